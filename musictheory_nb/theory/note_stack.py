"""Root and degrees of a set of spelled notes, by their places on the line of fifths.

Every chord has a pattern on the line of fifths that tells its root whatever the order and octave of its notes: a major
triad is a note, the next one, and the one four places on. Chords with a sixth are not looked for: C E G A is a seventh
chord on A. A pattern with several roots (C D G) is taken on its bass where that is one of them. `chord_naming` ranks
all readings of notes, respelled ones too; this module reads notes as they are spelled, fast.
"""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.augmented_sixth import AUGMENTED_SIXTHS
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, NAMES_BY_FIFTHS, SIMPLE_DEGREES, ChordParts, in_order
from musictheory_nb.theory.chord_quality import DEGREES_BY_SUFFIX
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEP_FIFTHS, STEP_SEMITONES, read_pitch_text
from musictheory_nb.theory.pitch_name import PitchName

#: Suffixes of the chords that are looked for, those in thirds first.
_SUFFIXES: Final = (
    *("", "m", "dim", "aug", "7", "maj7", "m7", "m7b5", "dim7", "m(maj7)", "7#5", "maj7#5", "dim(maj7)"),
    *("9", "7b9", "maj9", "m9", "m9b5", "m(maj9)", "7#9", "9#5", "11", "m11", "maj11", "m11b5", "13", "m13", "maj13"),
    *("7b5", "maj7b5", "7#11", "maj7#11", "9#11", "maj9#11", "7(b9,b13)", "7(#9,b13)", "7b13", "9b13", "13b9", "13#11"),
    *("sus4", "7sus4", "9sus4", "sus2", "7sus4(b9)", "add9", "m(add9)", "6/9", "m6/9", "7alt", "(b5)", "m(#5)", "5"),
)
#: Chords with tones left out, as degrees.
_INCOMPLETE: Final = (
    *(("1", "3", "b7"), ("1", "3", "7"), ("1", "b3", "b7"), ("1", "b3", "7"), ("1", "3"), ("1", "b3")),
    *(("1", "3", "b7", "9"), ("1", "3", "b7", "b9"), ("1", "3", "7", "9"), ("1", "b3", "b7", "9")),
    *(("1", "3", "b7", "13"), ("1", "3", "b7", "9", "13"), ("1", "3", "5", "b7", "9", "13"), ("1",)),
    *(("1", "5", "b7"), ("1", "5", "7"), ("1", "b5", "b7"), ("1", "b5", "bb7"), ("1", "b3", "bb7")),
)


def _patterns() -> dict[int, tuple[tuple[int, tuple[str, ...]], ...]]:
    """Readings by pattern: distance of the root from the flattest note, and degrees."""
    found: dict[int, list[tuple[int, tuple[str, ...]]]] = {}
    sixths = tuple(row.degrees for row in AUGMENTED_SIXTHS.values())
    for degrees in (*(DEGREES_BY_SUFFIX[suffix] for suffix in _SUFFIXES), *_INCOMPLETE, *sixths):
        places = [DEGREE_FIFTHS[degree] for degree in degrees]
        flattest = min(places)
        mask = sum(1 << (place - flattest) for place in set(places))
        if all(other != degrees for _, other in found.setdefault(mask, [])):
            found[mask].append((-flattest, degrees))
    return {mask: tuple(readings) for mask, readings in found.items()}


_PATTERNS: Final = MappingProxyType(_patterns())
#: Distance on the line of fifths of two names of one pitch class.
_ENHARMONIC: Final = 12
#: Triads and seventh chords, to which advice on spelling leads.
_PLAIN: Final = frozenset(DEGREES_BY_SUFFIX[suffix] for suffix in _SUFFIXES[:9])
_RAISED: Final = MappingProxyType({"2": "9", "4": "11", "6": "13"})
Note = Pitch | PitchName | str


def note_stacks(notes: Iterable[Note] | str) -> tuple[ChordParts, ...]:
    """Chords that spelled notes make, the most likely first.

    Parameters
    ----------
    notes : iterable of Pitch, PitchName or str
        The notes; with octave numbers the lowest is the bass, without them the first.

    Raises
    ------
    ChordError
        There are no notes, or they make no known chord as they are spelled.
    PitchError
        A note cannot be read.

    Examples
    --------
    >>> note_stacks(["E4", "C5", "G3"])[0]
    ChordParts(root=PitchName('C'), degrees=('1', '3', '5'), bass=PitchName('G'))
    >>> note_stacks(["C", "D#", "G"])
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: notes 'C D# G': make no chord as they are spelled; write 'C Eb G' if that is meant
    """
    places, octaves = [], []
    for note in note_list(notes):
        if isinstance(note, str):
            step, alter, octave = read_pitch_text(note, "note")
        elif isinstance(note, PitchName):
            step, alter, octave = note.step, note.alter, None
        elif isinstance(note, Pitch):
            step, alter, octave = note.step, note.alter, note.octave
        else:
            raise ChordError(f"note {note!r}: give each note as text, Pitch or PitchName")
        place = STEP_FIFTHS[step] + 7 * alter
        places.append(place)
        if octave is not None:
            octaves.append((12 * octave + STEP_SEMITONES[step] + alter, place))
    if not places:
        raise ChordError("notes: give at least one note")
    if octaves and len(octaves) != len(places):
        raise ChordError("notes: give every note an octave number, or none")
    bass = min(octaves)[1] if octaves else places[0]
    flattest, mask = min(places), 0
    for place in places:
        mask |= 1 << (place - flattest)
    readings = _PATTERNS.get(mask) or _piled_up(sorted(set(places)))
    if not readings:
        different = tuple(dict.fromkeys(places))
        advice = _other_spelling(different)
        raise ChordError(f"notes {_names(different)!r}: make no chord as they are spelled{advice}")
    found = [
        ChordParts(NAMES_BY_FIFTHS[flattest + offset], degrees, NAMES_BY_FIFTHS[bass]) for offset, degrees in readings
    ]
    if len(found) > 1:
        found.sort(key=lambda parts: parts.root != parts.bass)
    return tuple(found)


def _names(places: Iterable[int]) -> str:
    return " ".join(NAMES_BY_FIFTHS[place].name for place in places)


def _other_spelling(places: tuple[int, ...]) -> str:
    """Advice to spell one note otherwise, where that makes a chord in one way only."""
    found = []
    for index, place in enumerate(places):
        for other in (place - _ENHARMONIC, place + _ENHARMONIC):
            changed = (*places[:index], other, *places[index + 1 :])
            flattest = min(changed)
            readings = (
                _PATTERNS.get(sum(1 << (p - flattest) for p in set(changed)), ()) if other in NAMES_BY_FIFTHS else ()
            )
            if any(degrees in _PLAIN for _, degrees in readings):
                found.append(changed)
    return f"; write {_names(found[0])!r} if that is meant" if len(found) == 1 else ""


def _piled_up(places: list[int]) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Readings of a set without a name as thirds on one of its notes, with the ninths and more that are there."""
    found = []
    for root in places:
        degrees = [SIMPLE_DEGREES.get(place - root, "") for place in places]
        numbers = {degree[-1:] for degree in degrees}
        has_seventh = "7" in numbers
        if (
            len(numbers) == len(places)
            and "" not in numbers
            and "3" in numbers
            and ("5" in numbers or "7" in degrees or "b7" in degrees)
            and ("6" not in numbers or has_seventh)
            and ("bb7" not in degrees or "b5" in degrees)
        ):
            raised = (_RAISED.get(degree[-1], degree[-1]) for degree in degrees)
            named = (degree[:-1] + number for degree, number in zip(degrees, raised, strict=True))
            found.append((root - places[0], in_order(named)))
    return tuple(found)
