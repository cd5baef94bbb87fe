"""When a guide-tone line is right: each note a guide tone of its chord, reached by the shortest way there is.

The guide tones of a chord are its third (or suspended tone) and its seventh (or sixth); of a triad its third, and
either root or fifth. A line by itself goes to a guide tone that lies nearest to the note before. Two lines take one
guide tone each, so that together they move as little as possible. Where several ways are equally short, each is right.
"""

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.written_note import GivenNote
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.guide_tones import guide_degrees
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voice_leading import nearest_pitch
from musictheory_nb.theory.voicing import chord_name_at

#: What a guide tone is worth that is not reached by the shortest way, or is spelled otherwise.
FAR, MISSPELLED = 0.5, 0.5


@dataclass(frozen=True, slots=True)
class GuideName:
    """A guide tone of a chord: its name, its degree, its pitch class, and whether it is the first (the third)."""

    name: str
    degree: str
    pitch_class: int
    is_third: bool


@lru_cache(maxsize=2048)
def guide_names(symbol: str) -> tuple[GuideName, ...]:
    """Return the guide tones of a chord, the third (or suspended tone) first.

    Examples
    --------
    >>> [(one.name, one.degree) for one in guide_names("Dm7")], [one.name for one in guide_names("C")]
    ([('F', 'b3'), ('C', 'b7')], ['E', 'C', 'G'])
    """
    chord = Chord(symbol)
    third, others = guide_degrees(chord)
    names = [(chord_name_at(chord, degree), degree) for degree in (third, *others)]
    return tuple(GuideName(name.name, degree, name.pitch_class, at == 0) for at, (name, degree) in enumerate(names))


def _apart(first: int, second: int) -> int:
    """Return the shortest way between two pitch classes, in semitones."""
    return min((first - second) % 12, (second - first) % 12)


@lru_cache(maxsize=8192)
def nearest_guide_tones(symbol: str, before: int) -> tuple[GuideName, ...]:
    """Return the guide tones of a chord that are nearest to a pitch class.

    Examples
    --------
    >>> [one.name for one in nearest_guide_tones("G7", 0)], [one.name for one in nearest_guide_tones("A7", 4)]
    (['B'], ['C#', 'G'])
    """
    names = guide_names(symbol)
    shortest = min(_apart(one.pitch_class, before) for one in names)
    return tuple(one for one in names if _apart(one.pitch_class, before) == shortest)


@lru_cache(maxsize=2048)
def _all_pairs(symbol: str) -> tuple[tuple[GuideName, GuideName], ...]:
    third, *others = guide_names(symbol)
    return tuple(pair for other in others for pair in ((third, other), (other, third)))


@lru_cache(maxsize=8192)
def nearest_pairs(symbol: str, before: tuple[int, int]) -> tuple[tuple[GuideName, GuideName], ...]:
    """Return the ways of two lines to the guide tones of a chord that are shortest together: (of the first, of the second).

    Examples
    --------
    >>> [(one.name, other.name) for one, other in nearest_pairs("G7", (0, 5))]
    [('B', 'F')]
    """
    pairs = _all_pairs(symbol)
    lengths = [sum(_apart(one.pitch_class, at) for one, at in zip(pair, before, strict=True)) for pair in pairs]
    return tuple(pair for pair, length in zip(pairs, lengths, strict=True) if length == min(lengths))


@dataclass(frozen=True, slots=True)
class JudgedTone:
    """A note of a line: what it is worth, and its fault: '', 'foreign', 'far', 'octave', 'spelling', 'missing', 'doubled'."""

    score: float
    fault: str


def _judged(note: GivenNote, before: GivenNote, right: set[str], symbol: str, enharmonic: bool) -> JudgedTone:
    names = {one.pitch_class: one.name for one in guide_names(symbol)}
    if note.pitch_class not in names:
        return JudgedTone(0.0, "foreign")
    name = names[note.pitch_class]
    if name not in right:
        return JudgedTone(FAR, "far")
    if note.has_octave and before.has_octave and abs(note.chromatic - before.chromatic) > 6:
        return JudgedTone(FAR, "octave")
    if note.name not in ("", name) and not enharmonic:
        return JudgedTone(MISSPELLED, "spelling")
    return JudgedTone(1.0, "")


def judge_line(
    symbols: tuple[str, ...], start: GivenNote, given: tuple[GivenNote, ...], enharmonic: bool
) -> tuple[JudgedTone, ...]:
    """Return what each note of a line after its first is worth; each is measured from the student's own note before.

    After a note that is no guide tone any guide tone is right, so that one slip costs one note.

    Examples
    --------
    >>> c, b, f = (GivenNote(at, name, False) for at, name in ((0, "C"), (11, "B"), (5, "F")))
    >>> [one.score for one in judge_line(("Dm7", "G7", "Cmaj7"), c, (b, b), False)]
    [1.0, 1.0]
    >>> [one.fault for one in judge_line(("Dm7", "G7", "Cmaj7"), c, (f,), False)]
    ['far', 'missing']
    """
    found: list[JudgedTone] = []
    before = start
    for at, symbol in enumerate(symbols[1:]):
        if at >= len(given):
            found.append(JudgedTone(0.0, "missing"))
            continue
        lost = bool(found) and found[-1].fault == "foreign"
        near = guide_names(symbol) if lost else nearest_guide_tones(symbol, before.pitch_class)
        found.append(_judged(given[at], before, {one.name for one in near}, symbol, enharmonic))
        before = given[at]
    return tuple(found)


def judge_two_lines(
    symbols: tuple[str, ...],
    starts: tuple[GivenNote, GivenNote],
    given: tuple[tuple[GivenNote, ...], tuple[GivenNote, ...]],
    enharmonic: bool,
) -> tuple[tuple[JudgedTone, ...], tuple[JudgedTone, ...]]:
    """Return what each note of two lines is worth: right are notes of a way that is shortest for both together.

    Where each would be right by itself and together they leave out a guide tone, that of the second line counts half.
    """
    found: tuple[list[JudgedTone], list[JudgedTone]] = ([], [])
    before = starts
    for at, symbol in enumerate(symbols[1:]):
        here = [line[at] if at < len(line) else None for line in given]
        lost = any(line and line[-1].fault in ("foreign", "missing") for line in found)
        pairs = _all_pairs(symbol) if lost else nearest_pairs(symbol, (before[0].pitch_class, before[1].pitch_class))
        classes = tuple(None if note is None else note.pitch_class for note in here)
        whole = [pair for pair in pairs if tuple(one.pitch_class for one in pair) == classes]
        for which, note in enumerate(here):
            if note is None:
                found[which].append(JudgedTone(0.0, "missing"))
                continue
            right = {pair[which].name for pair in whole or pairs}
            judged = _judged(note, before[which], right, symbol, enharmonic)
            if which and not whole and not judged.fault and not found[0][-1].fault:
                judged = JudgedTone(FAR, "doubled")
            found[which].append(judged)
        before = tuple(note or old for note, old in zip(here, before, strict=True))  # type: ignore[assignment]
    return tuple(found[0]), tuple(found[1])


@lru_cache(maxsize=4096)
def smooth_line(symbols: tuple[str, ...], start: str) -> tuple[str, ...]:
    """Return a right line from a pitch; of equally near guide tones the one that has been there less.

    Examples
    --------
    >>> smooth_line(("Dm7", "G7", "Cmaj7"), "C5")
    ('C5', 'B4', 'B4')
    """
    line = [Pitch(start)]
    for symbol in symbols[1:]:
        near = nearest_guide_tones(symbol, line[-1].pitch_class)
        pitches = [nearest_pitch(one.name, line[-1]) for one in near]
        line.append(min(pitches, key=lambda pitch: (abs(pitch.chromatic - line[0].chromatic), pitch.chromatic)))
    return tuple(pitch.name for pitch in line)


@lru_cache(maxsize=4096)
def smooth_lines(symbols: tuple[str, ...], upper: str, lower: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return two right lines, the upper one first; of equally short ways the one that keeps them in order.

    Examples
    --------
    >>> smooth_lines(("Dm7", "G7", "Cmaj7"), "C5", "F4")
    (('C5', 'B4', 'B4'), ('F4', 'F4', 'E4'))
    """
    lines = ([Pitch(upper)], [Pitch(lower)])
    for symbol in symbols[1:]:
        here = lines[0][-1], lines[1][-1]
        ways = [
            tuple(nearest_pitch(one.name, at) for one, at in zip(pair, here, strict=True))
            for pair in nearest_pairs(symbol, (here[0].pitch_class, here[1].pitch_class))
        ]
        best = min(ways, key=lambda way: (way[0].chromatic <= way[1].chromatic, way[0].chromatic))
        for line, pitch in zip(lines, best, strict=True):
            line.append(pitch)
    return tuple(pitch.name for pitch in lines[0]), tuple(pitch.name for pitch in lines[1])


#: Degrees of guide tones in words.
DEGREE_WORDS: Final = MappingProxyType(
    {
        "1": "root",
        "2": "second",
        "b3": "minor third",
        "3": "third",
        "4": "fourth",
        "b5": "diminished fifth",
        "5": "fifth",
        "#5": "augmented fifth",
        "6": "sixth",
        "bb7": "diminished seventh",
        "b7": "seventh",
        "7": "major seventh",
    }
)
#: How each fault is told.
FAULT_WORDS: Final = MappingProxyType(
    {
        "foreign": "{note} is no guide tone of {chord}",
        "far": "{note} is a guide tone of {chord}, but another lies nearer",
        "octave": "{note} is right, but lies an octave away",
        "spelling": "{note} sounds right, but is spelled otherwise in {chord}",
        "missing": "over {chord} a note is missing",
        "doubled": "{note} leaves out the other guide tone of {chord}",
    }
)
