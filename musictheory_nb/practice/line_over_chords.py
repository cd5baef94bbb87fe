"""A line with chord symbols above it as an excerpt, the chords under it for the ear, and what each of its notes is."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_progression import BAR_QUARTERS, Progression
from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.embellished_line import LineNote
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.sounding_pitch import sounding_pitches
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.note_role import NoteRole, note_roles
from musictheory_nb.theory.pitch import Pitch

#: How many notes a bar of a line that a teacher writes may have; they share it evenly.
NOTES_IN_A_BAR: Final = (1, 2, 4, 8)
#: A chord under a line begins as near above this pitch as it can (C3).
_CHORD_LOW: Final = "C3"
_TEMPO: Final = Fraction(80)


@lru_cache(maxsize=4096)
def line_excerpt(
    progression: Progression,
    line: tuple[LineNote, ...],
    clef: str,
    timbre: str,
    shift: tuple[int, int] = (0, 0),
    title: str = "",
) -> Excerpt:
    """Return a line with its chord symbols; the same pitch across a change of chord is tied where the line holds it.

    Examples
    --------
    >>> two = Progression("C major", (("G7",), ("C",)))
    >>> made = line_excerpt(two, written_line(two, "D5 B4 C5 D5 | C5"), "treble", "struck")
    >>> [str(note.duration) for note in made.notes], [chord.text for chord in made.chords]
    (['1', '1', '1', '1', '4'], ['G7', 'C'])
    """
    fifths = Key(progression.key).fifths
    measures = tuple(
        ExcerptMeasure(str(at + 1), Fraction(BAR_QUARTERS), "4/4", fifths) for at in range(len(progression.bars))
    )
    ties = _ties(line, progression)
    notes = tuple(
        ExcerptNote(0, note.bar, note.onset, note.quarters, (note.pitch,), tie=tie)
        for note, tie in zip(line, ties, strict=True)
    )
    part = ExcerptPart("", clef, timbre=timbre)
    return in_part(Excerpt((part,), measures, notes, progression.symbols, title=title, tempo=_TEMPO), shift)


def _ties(line: Sequence[LineNote], progression: Progression) -> list[str]:
    """Return the ties: a suspension, which goes on by step to a chord tone, is held over and not struck again."""
    roles = [
        one.role
        for one in note_roles([note.pitch for note in line], [note.chord for note in line], key=progression.key)
    ]
    over = [
        False,
        *(
            one.pitch == two.pitch and role == "suspension"
            for one, two, role in zip(line, line[1:], roles[1:], strict=False)
        ),
    ]
    after = [*over[1:], False]
    return [{(False, False): "", (False, True): "start", (True, True): "continue", (True, False): "stop"}[pair]
            for pair in zip(over, after, strict=True)]  # fmt: skip


def written_line(progression: Progression, text: str) -> tuple[LineNote, ...]:
    """Read a teacher's line: its bars between strokes, the notes of each sharing it evenly; none where it cannot be.

    Examples
    --------
    >>> line = written_line(Progression("C major", (("Dm7", "G7"), ("C",))), "F4 A4 G4 B4 | C5")
    >>> [(note.pitch, str(note.onset), note.chord) for note in line]
    [('F4', '0', 'Dm7'), ('A4', '1', 'Dm7'), ('G4', '2', 'G7'), ('B4', '3', 'G7'), ('C5', '0', 'C')]
    >>> written_line(Progression("C major", (("C",),)), "F4 A4 G4")
    ()
    """
    bars = text.strip().strip("|").split("|")
    if len(bars) != len(progression.bars):
        return ()
    found: list[LineNote] = []
    for at, (bar, chords) in enumerate(zip(bars, progression.bars, strict=True)):
        try:
            pitches = [Pitch(one) for one in note_list(bar)]
        except TheoryError:
            return ()
        if len(pitches) not in NOTES_IN_A_BAR or not all(0 <= pitch.chromatic <= 127 for pitch in pitches):
            return ()
        length, share = Fraction(BAR_QUARTERS, len(pitches)), Fraction(BAR_QUARTERS, len(chords))
        for place, pitch in enumerate(pitches):
            onset = place * length
            found.append(LineNote(pitch.name, length, at, onset, chords[int(onset / share)]))
    return tuple(found)


@lru_cache(maxsize=256)
def one_part(excerpt: Excerpt, part: int) -> Excerpt:
    """Return a part of a piece (index) under the piece's chord symbols, at the pitch at which these are written.

    A part that is written in the register of its player (an octave away) stays so.

    Examples
    --------
    >>> from musictheory_nb.practice.display_settings import Display
    >>> clarinet = in_part(Excerpt.melody(["D5"], chord="C"), Display(transposition="Bb3").part_shift)
    >>> one_part(clarinet, 0).notes[0].pitches, one_part(clarinet, 0).parts[0].chromatic
    (('C5',), 0)
    """
    return at_concert_pitch(excerpt.cut(0, len(excerpt.measures) - 1, [part]))


@lru_cache(maxsize=256)
def at_concert_pitch(excerpt: Excerpt) -> Excerpt:
    """Return music with its transposing parts written as they sound; a part an octave away from its sound stays so.

    Examples
    --------
    >>> from musictheory_nb.practice.display_settings import Display
    >>> basses = in_part(Excerpt.melody(["D3"]), Display(transposition="double bass").part_shift)
    >>> at_concert_pitch(basses) == basses
    True
    """
    moved = {at for at, part in enumerate(excerpt.parts) if part.chromatic % 12}
    if not moved:
        return excerpt
    parts = tuple(
        replace(part, chromatic=0, diatonic=0) if at in moved else part for at, part in enumerate(excerpt.parts)
    )
    notes = tuple(
        replace(note, pitches=tuple(pitch.name for pitch in sounding_pitches(excerpt, note)))
        if note.part in moved
        else note
        for note in excerpt.notes
    )
    return replace(excerpt, parts=parts, notes=notes)


@lru_cache(maxsize=4096)
def over_its_chords(excerpt: Excerpt) -> Excerpt:
    """Return a line with its chords held below, as it is heard; they are written for the same instrument as the line.

    Examples
    --------
    >>> two = Progression("C major", (("G7",), ("C",)))
    >>> heard = over_its_chords(line_excerpt(two, written_line(two, "D5 | C5"), "treble", "struck"))
    >>> [note.pitches for note in heard.notes if note.part == 1]
    [('G3', 'B3', 'D4', 'F4'), ('C3', 'E3', 'G3')]
    """
    part = len(excerpt.parts)
    starts = excerpt.starts
    at = [starts[chord.measure] + chord.onset for chord in excerpt.chords]
    held: list[ExcerptNote] = []
    for chord, begin, end in zip(excerpt.chords, at, [*at[1:], starts[-1]], strict=True):
        pitches = sounding_chord(chord.text)
        if not pitches:
            continue
        for measure in range(chord.measure, len(excerpt.measures)):
            first, last = max(begin, starts[measure]), min(end, starts[measure + 1])
            if first >= last:
                break
            held.append(ExcerptNote(part, measure, first - starts[measure], last - first, pitches))
    shift = excerpt.parts[0].chromatic, excerpt.parts[0].diatonic
    if shift[0] % 12 == 0:  # an octave is the register of the player, not that of the chords
        shift = 0, 0
    below = ExcerptPart("Chords", "bass", chromatic=shift[0], diatonic=shift[1], timbre="held")
    return replace(excerpt, parts=(*excerpt.parts, below), notes=(*excerpt.notes, *held))


@lru_cache(maxsize=2048)
def sounding_chord(symbol: str) -> tuple[str, ...]:
    """Return the pitches of a chord as it is held below a line; none for N.C.

    Examples
    --------
    >>> sounding_chord("Dm7"), sounding_chord("N.C.")
    (('D3', 'F3', 'A3', 'C4'), ())
    """
    chord = Chord(symbol)
    return () if chord.is_no_chord else tuple(pitch.name for pitch in chord.pitches(_CHORD_LOW))


@dataclass(frozen=True, slots=True)
class LineRole:
    """What a note of an excerpt is: its index in ``excerpt.notes`` and what theory says."""

    index: int
    found: NoteRole


@lru_cache(maxsize=4096)
def line_roles(excerpt: Excerpt, first: int, last: int, key: str = "") -> tuple[LineRole, ...]:
    """Return what each note of the first part is in measures `first` to `last`, over the symbol that stands there.

    A tied note counts again only where the chord has changed. Grace notes are left out. None at all where a note has no
    symbol yet, there are several notes at once, or a symbol cannot be read.

    Examples
    --------
    >>> two = Progression("C major", (("G7",), ("C",)))
    >>> made = line_excerpt(two, written_line(two, "D5 C5 B4 C5 | C5 D5 E5 G5"), "treble", "struck")
    >>> [one.found.role for one in line_roles(made, 0, 1, "C major")]
    ['chord tone', 'passing', 'chord tone', 'anticipation', 'chord tone', 'passing', 'chord tone', 'chord tone']
    """
    line = _line(excerpt, first, last)
    if line is None:
        return ()
    indices = [index for index, _, _ in line]
    notes = [excerpt.notes[index] if index >= 0 else None for index in indices]
    try:
        found = note_roles(
            [None if note is None else note.pitches[0] for note in notes],
            [symbol for _, symbol, _ in line],
            key=key or None,
            durations_quarters=[length for _, _, length in line],
        )
    except TheoryError:
        return ()
    kept = [index for index in indices if index >= 0]
    return tuple(LineRole(index, one) for index, one in zip(kept, found, strict=True))


def _line(excerpt: Excerpt, first: int, last: int) -> list[tuple[int, str, Fraction]] | None:
    """Return (index of the note or -1 for a rest, symbol, length) in order; None where there is no single line."""
    starts = excerpt.starts
    symbols = sorted((starts[chord.measure] + chord.onset, chord.text) for chord in excerpt.chords)
    inside = [
        (starts[note.measure] + note.onset, index, note)
        for index, note in enumerate(excerpt.notes)
        if note.part == 0 and first <= note.measure <= last and note.duration
    ]
    found: list[tuple[int, str, Fraction]] = []
    ends, before = None, ("", "")
    for onset, index, note in sorted(inside, key=lambda row: row[:2]):
        here = [text for begin, text in symbols if begin <= onset]
        if len(note.pitches) > 1 or (ends is not None and onset < ends) or not here or note.voice != 1:
            return None
        if ends is not None and onset > ends:
            found.append((-1, here[-1], onset - ends))
        ends = onset + note.duration
        now = (note.pitches[0] if note.pitches else "", here[-1])
        if note.tie in ("stop", "continue") and now == before and found:
            index, symbol, length = found[-1]
            found[-1] = (index, symbol, length + note.duration)
            continue
        found.append((index if note.pitches else -1, here[-1], note.duration))
        before = now
    return found or None
