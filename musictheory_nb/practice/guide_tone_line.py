"""Guide-tone lines as music: where they begin, how they are written under their chords, what they do from chord to chord."""

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias

from musictheory_nb.practice.chord_progression import BAR_QUARTERS, Progression
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display, in_part
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.guide_tone_rule import (
    DEGREE_WORDS,
    guide_names,
    nearest_guide_tones,
    smooth_line,
    smooth_lines,
)
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voice_leading import step_of

LINE, UPPER, LOWER = "line", "upper", "lower"
#: Lines from the upper one down, each one pitch a chord.
Lines: TypeAlias = tuple[tuple[str, ...], ...]


def line_names(lines: int) -> tuple[str, ...]:
    """Return what one or two lines are called.

    Examples
    --------
    >>> line_names(1), line_names(2)
    (('line',), ('upper', 'lower'))
    """
    return (LINE,) if lines == 1 else (UPPER, LOWER)


@lru_cache(maxsize=4096)
def lines_over(progression: Progression, place: Register, how_many: str, third: bool) -> Lines:
    """Return right lines that begin near the middle of a register, the upper one first.

    Examples
    --------
    >>> lines_over(Progression("C major", (("Dm7",), ("G7",), ("C",))), Register("treble", 59, 83), "two", True)
    (('F5', 'F5', 'E5'), ('C5', 'B4', 'C5'))
    """
    names = guide_names(progression.chords[0])
    first, other = (names[0], names[1]) if third else (names[1], names[0])
    middle = (place.low_midi + place.high_midi) // 2
    if how_many == "one":
        start = _near(first.name, middle)
        return (smooth_line(progression.chords, start.name),)
    lower = _near(other.name, middle - 3)
    upper = _near(first.name, lower.chromatic + 6)
    if upper.chromatic <= lower.chromatic:
        upper = upper.up("P8")
    return smooth_lines(progression.chords, upper.name, lower.name)


def _near(name: str, middle: int) -> Pitch:
    octaves = range(middle // 12 - 2, middle // 12 + 1)
    pitches = [Pitch(f"{name}{octave}") for octave in octaves]
    return min(pitches, key=lambda pitch: (abs(pitch.chromatic - middle), pitch.chromatic))


@lru_cache(maxsize=4096)
def guide_excerpt(
    progression: Progression, lines: Lines, clef: str, timbre: str, shift: tuple[int, int] = (0, 0)
) -> Excerpt:
    """Return lines of one note a chord under the chord symbols; where a line has no note yet, rests.

    Examples
    --------
    >>> made = guide_excerpt(Progression("C major", (("Dm7", "G7"), ("C",))), (("C5",), ("F4",)), "treble", "struck")
    >>> [(note.pitches, str(note.duration)) for note in made.notes]
    [(('F4', 'C5'), '2'), ((), '2'), ((), '4')]
    """
    measures = tuple(
        ExcerptMeasure(str(at + 1), Fraction(BAR_QUARTERS), "4/4", Key(progression.key).fifths)
        for at in range(len(progression.bars))
    )
    notes = []
    for at, chord in enumerate(progression.symbols):
        length = Fraction(BAR_QUARTERS, len(progression.bars[chord.measure]))
        here = {line[at] for line in lines if at < len(line)}
        pitches = tuple(sorted(here, key=lambda name: (Pitch(name).diatonic, Pitch(name).chromatic)))
        notes.append(ExcerptNote(0, chord.measure, chord.onset, length, pitches))
    part = ExcerptPart("", clef, timbre=timbre)
    return in_part(Excerpt((part,), measures, tuple(notes), progression.symbols, tempo=Fraction(100)), shift)


def half_steps(whole: Excerpt) -> tuple[int, ...]:
    """Return the notes (indices) to which a line moves by a half step."""
    found = []
    for at, (before, note) in enumerate(pairwise(whole.notes)):
        steps = [step_of(one, other) for one, other in zip(before.pitches, note.pitches, strict=False)]
        if "half step" in steps:
            found.append(at + 1)
    return tuple(found)


@lru_cache(maxsize=4096)
def lines_explained(progression: Progression, lines: Lines, display: Display) -> str:
    """Return what each line does from chord to chord, and where another note would be as near."""
    rows = []
    for step, line in zip(line_names(len(lines)), lines, strict=True):
        told = []
        for at, (name, symbol) in enumerate(zip(line, progression.chords, strict=True)):
            chord = renamed(Chord(symbol).display, display.names)
            pitch = Pitch(name)
            degree = next(one.degree for one in guide_names(symbol) if one.pitch_class == pitch.pitch_class)
            way = ""
            if at:
                before = Pitch(line[at - 1])
                way = {"common tone": ", a common tone"}.get(step_of(before, pitch), "")
                if not way:
                    size = Interval.between(before, pitch)
                    moves = step_of(before, pitch)
                    moves = f"a {moves}" if moves != "leap" else f"a {size.as_ascending.name}"
                    way = f", {moves} {'up' if pitch.chromatic > before.chromatic else 'down'}"
            told.append(f"{display.note(pitch.pitch_name.name)} is the {DEGREE_WORDS[degree]} of {chord}{way}")
        which = "" if step == LINE else f"{step.capitalize()} line: "
        rows.append(f"{which}{'; '.join(told)}.")
    if len(lines) == 1:
        rows += _other_ways(progression, lines[0], display)
    return "\n".join(rows)


def _other_ways(progression: Progression, line: tuple[str, ...], display: Display) -> list[str]:
    """Return where the line might have gone as well."""
    found = []
    for (before, name), symbol in zip(pairwise(line), progression.chords[1:], strict=True):
        near = nearest_guide_tones(symbol, Pitch(before).pitch_class)
        others = [display.note(one.name) for one in near if one.pitch_class != Pitch(name).pitch_class]
        if others:
            found.append(f"Over {renamed(Chord(symbol).display, display.names)}, {listed(others)} would be as near.")
    return found
