"""Intervals as answers: which are told apart by ear, what they are called, and what a near miss is worth."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.response import Option
from musictheory_nb.theory.interval import Interval

#: Widest interval that is asked for, in semitones.
WIDEST_SEMITONES: Final = 24


def _allowed() -> tuple[str, ...]:
    found = ["P1"]
    for number in range(1, 16):
        for quality in ("d", "P", "A") if (number - 1) % 7 in (0, 3, 4) else ("d", "m", "M", "A"):
            if (quality, number) != ("d", 1) and 0 < Interval.of(quality, number).semitones <= WIDEST_SEMITONES:
                found.append(f"{quality}{number}")
    return tuple(found)


#: Every interval that may be asked for.
INTERVALS: Final = _allowed()
#: The simple ones in common use, in order of size.
SIMPLE: Final = ("m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8")
#: The usual name of each size in semitones, octaves aside; six are a tritone.
_USUAL: Final = ("P1", "m2", "M2", "m3", "M3", "P4", "", "P5", "m6", "M6", "m7", "M7")

#: What an answer by name is worth: case, what it is, where the notes are only heard, where they are seen.
NAME_CREDIT: Final = (
    ("right", "the interval itself", 1.0, 1.0),
    ("sound", "another interval of the same size (A4 for d5)", 1.0, 0.5),
    ("octave", "the same interval an octave wider or narrower (M9 for M2)", 0.5, 0.5),
    ("quality", "the right number with another quality (M3 for m3)", 0.25, 0.25),
    ("other", "any other interval", 0.0, 0.0),
)
#: What the second note played after the first one is worth: case, what it is, score.
SECOND_KEY_CREDIT: Final = (
    ("right", "the second note", 1.0),
    ("octave", "the second note in another octave, but not the first note again", 0.5),
    ("direction", "the right size in the other direction", 0.25),
    ("other", "any other note", 0.0),
)
#: What two notes played for an interval heard at once are worth.
BOTH_KEYS_CREDIT: Final = (
    ("right", "two notes of the right size, at any pitch", 1.0),
    ("octave", "the right size an octave wider or narrower", 0.5),
    ("other", "any other two notes", 0.0),
)


@dataclass(frozen=True, slots=True)
class IntervalChoice:
    """One answer: the intervals that it stands for, its value in the record and its label."""

    names: tuple[str, ...]
    semitones: int
    label: str

    @property
    def value(self) -> str:
        """How the record writes it: its first name."""
        return self.names[0]

    @property
    def option(self) -> Option:
        """The button."""
        return Option(self.value, self.label)


@lru_cache(maxsize=256)
def interval_choices(names: tuple[str, ...], by_sound: bool) -> tuple[IntervalChoice, ...]:
    """Return the answers among `names` in order of size, those that sound alike merged into one with `by_sound`.

    Examples
    --------
    >>> [choice.label for choice in interval_choices(("P5", "d5", "A4"), True)]
    ['tritone (augmented fourth or diminished fifth)', 'perfect fifth']
    >>> [choice.value for choice in interval_choices(("P5", "d5", "A4"), False)]
    ['A4', 'd5', 'P5']
    """
    ordered = sorted((Interval(name) for name in names), key=lambda each: (each.semitones, each.number))
    groups: list[list[Interval]] = []
    for one in ordered:
        if by_sound and groups and groups[-1][0].semitones == one.semitones:
            groups[-1].append(one)
        else:
            groups.append([one])
    choices = []
    for group in groups:
        label = listed([one.name for one in group], "or")
        if len(group) > 1 and all(one.is_tritone and not one.is_compound for one in group):
            label = f"tritone ({label})"
        choices.append(IntervalChoice(tuple(str(one) for one in group), group[0].semitones, label))
    return tuple(choices)


def size_name(semitones: int) -> str:
    """Return the usual name of an interval of so many semitones, spelling unknown.

    Examples
    --------
    >>> size_name(6), size_name(7), size_name(12), size_name(15), size_name(18), size_name(40)
    ('tritone', 'perfect fifth', 'perfect octave', 'minor tenth', 'tritone and an octave', '40 semitones')
    """
    octaves, rest = divmod(semitones, 12)
    if octaves > 2 or (octaves == 2 and rest):
        return counted(semitones, "semitone")
    if rest == 6:
        return "tritone and an octave" if octaves else "tritone"
    simple = Interval(_USUAL[rest])
    return Interval.of(simple.quality, simple.number + 7 * octaves).name


@lru_cache(maxsize=4096)
def name_case(asked: str, answered: str) -> str:
    """Return the case of `NAME_CREDIT` that answering `answered` for `asked` is.

    Examples
    --------
    >>> [name_case("d5", given) for given in ("d5", "A4", "d12", "P5", "P4")]
    ['right', 'sound', 'octave', 'quality', 'other']
    """
    one, other = Interval(asked), Interval(answered)
    if one == other:
        return "right"
    if one.semitones == other.semitones:
        return "sound"
    if one.quality == other.quality and (one.number - other.number) % 7 == 0:
        return "octave"
    return "quality" if one.number == other.number else "other"


def name_credit(asked: str, choice: IntervalChoice, seen: bool) -> tuple[str, float]:
    """Return the case and the score of answering `choice`: the best of the intervals that it stands for."""
    scores = {case: where_seen if seen else heard for case, _, heard, where_seen in NAME_CREDIT}
    case = max((name_case(asked, name) for name in choice.names), key=lambda each: scores[each])
    return case, scores[case]


def second_key_credit(first: int, second: int, played: int) -> tuple[str, float]:
    """Return the case and the score of playing `played` after `first`, where `second` was heard (MIDI numbers).

    Examples
    --------
    >>> [second_key_credit(60, 66, played) for played in (66, 78, 54, 67)]
    [('right', 1.0), ('octave', 0.5), ('octave', 0.5), ('other', 0.0)]
    >>> second_key_credit(60, 64, 56)
    ('direction', 0.25)
    """
    if played == second:
        case = "right"
    elif (played - second) % 12 == 0 and played != first:
        case = "octave"
    else:
        case = "direction" if played - first == first - second else "other"
    return case, next(row[2] for row in SECOND_KEY_CREDIT if row[0] == case)


def both_keys_credit(semitones: int, played: Sequence[int]) -> tuple[str, float]:
    """Return the case and the score of playing two notes for an interval of `semitones`.

    Examples
    --------
    >>> both_keys_credit(6, [66, 60]), both_keys_credit(6, [60, 78]), both_keys_credit(6, [60, 67])
    (('right', 1.0), ('octave', 0.5), ('other', 0.0))
    """
    size = abs(played[0] - played[1])
    octave_off = size > 0 and (size - semitones) % 12 == 0
    case = "right" if size == semitones else "octave" if octave_off else "other"
    return case, next(row[2] for row in BOTH_KEYS_CREDIT if row[0] == case)
