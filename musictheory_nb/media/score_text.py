"""Notation in words, as one musician would read it aloud to another.

The text twin says everything that the page shows: clefs, keys, metres, rehearsal marks, barlines, chord symbols, every
note with its value, voices, ties and grace notes. It withholds nothing; an item that is to be answered by ear shows
neither notation nor text until it has been answered.
"""

from collections.abc import Collection, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import IntervalError, TheoryError
from musictheory_nb.media.chord_text import spoken_chord
from musictheory_nb.media.key_signature import written_fifths
from musictheory_nb.media.note_value import SHORTEST
from musictheory_nb.media.passage import notes_by_measure, passage
from musictheory_nb.media.tie import excerpt_pitch
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.terms import check_vocabulary, duration_name, reworded

_ALTERATIONS: Final = MappingProxyType(
    {
        -3: "-triple-flat ",
        -2: "-double-flat ",
        -1: "-flat ",
        0: "",
        1: "-sharp ",
        2: "-double-sharp ",
        3: "-triple-sharp ",
    }
)
_COUNTS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven")
_CLEF_NAMES: Final = MappingProxyType({"treble-8": "treble clef an octave lower"})
_ENDINGS: Final = MappingProxyType({"1": "first ending", "2": "second ending", "3": "third ending"})
_TIES: Final = MappingProxyType({"start": ", tied on", "continue": ", tied over and on", "stop": ", tied over"})


def spoken_pitch(pitch: Pitch) -> str:
    """Return a pitch as read aloud.

    Examples
    --------
    >>> spoken_pitch(Pitch("B3")), spoken_pitch(Pitch("Eb4")), spoken_pitch(Pitch("F##5"))
    ('B3', 'E-flat 4', 'F-double-sharp 5')
    """
    return f"{pitch.step}{_ALTERATIONS[pitch.alter]}{pitch.octave}"


def spoken_key(fifths: int) -> str:
    """Return a key signature as read aloud.

    Examples
    --------
    >>> spoken_key(0), spoken_key(1), spoken_key(-3)
    ('no sharps or flats', 'one sharp', 'three flats')
    """
    if not fifths:
        return "no sharps or flats"
    count = _COUNTS[abs(fifths)] if abs(fifths) < len(_COUNTS) else str(abs(fifths))
    return f"{count} {'sharp' if fifths > 0 else 'flat'}{'s' if abs(fifths) > 1 else ''}"


def spoken_duration(quarters: Fraction, words: str = "american") -> str:
    """Return a note value as read aloud before a pitch.

    Examples
    --------
    >>> spoken_duration(Fraction(3, 2)), spoken_duration(Fraction(5, 4)), spoken_duration(Fraction(1), "british")
    ('dotted quarter', 'quarter tied to sixteenth', 'crotchet')
    """
    try:
        return duration_name(quarters, words).removesuffix(" note")
    except TheoryError:
        pass
    part = Fraction(8)
    while part > quarters and part > SHORTEST:
        part /= 2
    rest = quarters - part
    if rest > 0 and rest.denominator <= 64 and rest.denominator & (rest.denominator - 1) == 0:
        return f"{spoken_duration(part, words)} tied to {spoken_duration(rest, words)}"
    return f"{quarters} of a quarter" if words == "american" else f"{quarters} of a crotchet"


def _spoken_note(note: ExcerptNote, marked: bool, words: str) -> str:
    names = [spoken_pitch(excerpt_pitch(pitch)) for pitch in sorted(note.pitches, key=excerpt_pitch)]
    if not names:
        return f"{spoken_duration(note.duration, words)} rest"
    value = spoken_duration(note.duration, words) if note.duration else "grace note"
    sounded = names[0] if len(names) == 1 else f"chord {' '.join(names)}"
    return f"{value} {sounded}{_TIES.get(note.tie, '')}{' (marked)' if marked else ''}"


def _keys(fifths: int, parts: Sequence[ExcerptPart], names: Sequence[str]) -> str:
    """Return the key signatures of all staves: the commonest, and who reads another."""
    read = [written_fifths(fifths, part) for part in parts]
    most = max(read, key=read.count)
    others = [f"{name}: {spoken_key(own)}" for name, own in zip(names, read, strict=True) if own != most]
    return spoken_key(most) + (f" ({'; '.join(others)})" if others else "")


def _heading(measure: ExcerptMeasure, before: ExcerptMeasure | None, keys: str) -> str:
    """Return what is printed at the left of a measure: number, metre, key, marks and barline."""
    parts = ["Pickup measure" if measure.number == "0" else f"Measure {measure.number}"]
    if before is None or before.metre != measure.metre:
        parts.append(measure.metre if before is None else f"time signature {measure.metre}")
    if before is None or before.fifths != measure.fifths:
        parts.append(keys if before is None else f"key signature {keys}")
    if measure.mark:
        parts.append(f"rehearsal mark {measure.mark}")
    if measure.ending and (before is None or before.ending != measure.ending):
        parts.append(_ENDINGS.get(measure.ending, f"ending {measure.ending}"))
    if measure.repeat_start:
        parts.append("repeat begins")
    return ", ".join(parts)


def _beat(onset: Fraction, measure: ExcerptMeasure) -> str:
    """Return the place of an onset in its measure, counted from 1 in units of the metre."""
    place = onset / Fraction(4, int(measure.metre.partition("/")[2])) + 1
    whole, part = divmod(place, 1)
    return f"beat {whole}" if not part else f"beat {whole} and {part}"


def _voices(notes: Sequence[tuple[int, ExcerptNote]], marked: Collection[int], words: str) -> str:
    """Return the notes of one part in one measure, voice after voice."""
    if not any(note.pitches for _, note in notes):
        return "measure rest"
    voices = sorted({note.voice for _, note in notes})
    spoken = []
    for at, voice in enumerate(voices):
        own = sorted(
            ((index, note) for index, note in notes if note.voice == voice and (note.duration or note.pitches)),
            key=lambda one: (one[1].onset, one[1].duration != 0),
        )
        line = ", ".join(_spoken_note(note, index in marked, words) for index, note in own)
        spoken.append(f"voice {at + 1}: {line}" if len(voices) > 1 else line)
    return "; ".join(spoken)


def _opening(name: str, part: ExcerptPart) -> str:
    """Return what stands at the left of a staff: its name, its clef, and how it sounds where it transposes."""
    clef = _CLEF_NAMES.get(part.clef, f"{part.clef} clef")
    told = f"{name}, {clef}" if name else clef.capitalize()
    if not (part.chromatic or part.diatonic):
        return told
    way = "higher" if part.chromatic > 0 else "lower"
    try:
        interval = Interval.from_steps(abs(part.diatonic), abs(part.chromatic)).name
    except IntervalError:  # a score may say what no interval is called
        return f"{told}, sounding {abs(part.chromatic)} half steps {way}"
    article = "an" if interval[0] in "aeiou" else "a"
    return f"{told}, sounding {article} {interval} {way}"


def _names(parts: Sequence[ExcerptPart]) -> list[str]:
    """Return a name for each part, no two alike: staves of one player by their place, players of one name by number."""
    names = []
    for at, part in enumerate(parts):
        own = [other for other, one in enumerate(parts) if one.group == part.group and part.group]
        name = part.name or (f"Part {at + 1}" if len(parts) > 1 else "")
        if len(own) == 2:
            name += f", {'upper' if at == own[0] else 'lower'} staff"
        elif len(own) > 2:
            name += f", staff {own.index(at) + 1}"
        names.append(name)
    return [f"{name} {names[: at + 1].count(name)}" if names.count(name) > 1 else name for at, name in enumerate(names)]


def describe(
    excerpt: Excerpt,
    first: int | None = None,
    last: int | None = None,
    parts: Sequence[int] = (),
    *,
    marked: Collection[int] = (),
    words: str = "american",
) -> str:
    """Return the notation of `excerpt` in words.

    Parameters
    ----------
    excerpt : Excerpt
        The music.
    first, last : int, optional
        Measure indices, both included; -1 for `last` is the end.
    parts : sequence of int
        Part indices; none means all.
    marked : collection of int
        Indices of marked notes.
    words : str
        ``'american'`` (quarter, measure) or ``'british'`` (crotchet, bar).

    Raises
    ------
    MediaError
        A span, part or pitch that does not exist.
    TheoryError
        No such words.

    Examples
    --------
    >>> describe(Excerpt.melody(["B3", "F4"]))
    'Treble clef. Measure 1, 2/4, no sharps or flats: quarter B3, quarter F4.'
    >>> describe(Excerpt.melody(["C4", "Eb4"], together=True, chord="Cm"), words="british")
    'Treble clef. Bar 1, 4/4, no sharps or flats; C minor on beat 1: semibreve chord C4 E-flat 4.'
    >>> describe(Excerpt.melody(["B3"]), first=4)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: measures 4 to 0: this music has the measure indices 0 to 0
    """
    check_vocabulary(words)
    shown = passage(excerpt, first=first, last=last, parts=parts, marked=tuple(marked))
    music = shown.excerpt
    places = notes_by_measure(music)
    names = _names(music.parts)
    opening = [_opening(name, part) for name, part in zip(names, music.parts, strict=True)]
    sentences = [f"{music.title}." if music.title else "", "; ".join(opening) + "."]
    for at, measure in enumerate(music.measures):
        keys = _keys(measure.fifths, music.parts, names)
        heading = reworded(_heading(measure, music.measures[at - 1] if at else None, keys), words)
        chords = [f"{spoken_chord(c.text)} on {_beat(c.onset, measure)}" for c in music.chords if c.measure == at]
        lines = []
        for part, name in enumerate(names):
            line = _voices(places.get((part, at), []), shown.marked, words)
            lines.append(
                f"{name}: {reworded(line, words) if line == 'measure rest' else line}"
                if name and len(names) > 1
                else line
            )
        closing = "; repeat ends" if measure.repeat_end else "; double barline" if measure.double_bar else ""
        symbols = f"; {', '.join(chords)}" if chords else ""
        sentences.append(f"{heading}{symbols}: {'. '.join(lines)}{closing}.")
    return " ".join(sentence for sentence in sentences if sentence)
