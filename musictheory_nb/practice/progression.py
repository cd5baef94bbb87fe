"""Progressions in a key, drawn by rule: which chord may follow which, how they end, with each chord in its turn.

Source: the usual chart of harmony courses, in which chords go from the tonic by predominants to the dominant and home, each
inversion where its bass and its seventh may go on by step (common practice, no source).
"""

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import ExerciseError, VoiceLeadingError
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.four_part_excerpt import Column, column
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.setting_check import several_of, whole_number
from musictheory_nb.theory.four_part import FOUR_VOICES, write_four_parts
from musictheory_nb.theory.part_writing import part_faults


def _table(text: str) -> MappingProxyType[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in text.strip().splitlines():
        figure, _, after = line.partition(":")
        found[figure] = (*found.get(figure, ()), *after.split())
    return MappingProxyType(found)


#: Which chords may follow each, in major and in minor keys.
FOLLOWING_IN_MAJOR: Final = _table("""
I: I6 ii ii6 ii7 ii65 iii IV IV6 V V6 V7 V65 V43 vi vii°6 V7/ii V65/ii V7/IV V65/IV V42/IV V7/V V65/V V7/vi V65/vi
I: vii°7/V vii°7/ii iv iiø65 bVI N6 It6 Fr43 Ger65
I6: I ii6 ii65 IV V V7 V43 vii°6 V65/V vii°7/V iv N6
ii: V V7 ii6 Cad64 V7/V
ii6: V V7 Cad64 V65/V vii°7/V
ii7: V V7
ii65: V V7 Cad64
iii: vi IV
IV: I V V7 ii ii6 Cad64 vii°6 iv V7/V V65/V vii°7/V
IV6: V V65 V6
V: I I6 vi V7 V42 V65/vi
V6: I V65
V7: I vi
V65: I
V43: I I6
V42: I6
vi: ii ii6 ii7 ii65 IV V V7/ii V7/V V65/V V7/IV iv It6 Fr43 Ger65
vii°6: I I6
Cad64: V V7
V7/ii: ii
V65/ii: ii
vii°7/ii: ii
V7/IV: IV
V65/IV: IV
V42/IV: IV6
V7/V: V V7 Cad64
V65/V: V V7 Cad64
vii°7/V: V Cad64
V7/vi: vi
V65/vi: vi
iv: I V V7 Cad64
iiø65: V V7 Cad64
bVI: iv iiø65 N6
N6: V V7 Cad64
It6: V
Fr43: V Cad64
Ger65: Cad64
""")
FOLLOWING_IN_MINOR: Final = _table("""
i: i6 ii°6 iiø65 III iv iv6 V V6 V7 V65 V43 VI VII vii°6 vii°7 V7/iv V65/iv V7/V V65/V vii°7/V N6 It6 Fr43 Ger65
i6: i ii°6 iiø65 iv V V7 V43 vii°6 V65/V vii°7/V N6
ii°6: V V7 Cad64 vii°7/V
iiø65: V V7 Cad64
III: VI iv V7/iv
iv: i V V7 ii°6 Cad64 VII V7/V vii°7/V It6
iv6: V Fr43
V: i i6 VI V7 V42 I
V6: i V65
V7: i VI I
V65: i
V43: i i6
V42: i6
VI: iv ii°6 iiø65 V7/iv N6 It6 Fr43 Ger65
VII: III V6
vii°6: i i6
vii°7: i
Cad64: V V7
V7/iv: iv
V65/iv: iv
V7/V: V V7 Cad64
V65/V: V V7 Cad64
vii°7/V: V Cad64
N6: V V7 Cad64
It6: V
Fr43: V Cad64
Ger65: Cad64
I:
""")


class ChordLevel(NamedTuple):
    """What a level adds, and its numerals in major and in minor keys."""

    words: str
    major: tuple[str, ...]
    minor: tuple[str, ...]


def _level(words: str, major: str, minor: str) -> ChordLevel:
    return ChordLevel(words, tuple(major.split()), tuple(minor.split()))


CHORD_LEVELS: Final = MappingProxyType(
    {
        "primary chords": _level("tonic, subdominant and dominant", "I IV V V7", "i iv V V7"),
        "other triads": _level("the other triads of the key", "ii iii vi ii6 vii°6", "ii°6 III VI VII vii°6"),
        "inversions": _level("tonic, subdominant and dominant in first inversion", "I6 IV6 V6", "i6 iv6 V6"),
        "sevenths": _level(
            "more seventh chords and the inversions of V7", "ii7 ii65 V65 V43 V42", "iiø65 V65 V43 V42 vii°7"
        ),
        "cadential six-four": _level("the six-four before the dominant", "Cad64", "Cad64"),
        "secondary dominants": _level(
            "dominants of other chords",
            "V7/ii V65/ii vii°7/ii V7/IV V65/IV V42/IV V7/V V65/V vii°7/V V7/vi V65/vi",
            "V7/iv V65/iv V7/V V65/V vii°7/V",
        ),
        "mixture": _level("chords of the parallel key", "iv iiø65 bVI", "I"),
        "chromatic predominants": _level(
            "the Neapolitan and augmented sixths", "N6 It6 Fr43 Ger65", "N6 It6 Fr43 Ger65"
        ),
    }
)
#: How progressions end: the last chord but one (none for any) and the last, in major and in minor keys.
_ENDS: Final = MappingProxyType(
    {
        "authentic": ((("V", "I"), ("V7", "I")), (("V", "i"), ("V7", "i"), ("V", "I"), ("V7", "I"))),
        "plagal": ((("IV", "I"), ("iv", "I")), (("iv", "i"),)),
        "half": ((("", "V"),), (("", "V"),)),
        "deceptive": ((("V", "vi"), ("V7", "vi")), (("V", "VI"), ("V7", "VI"))),
    }
)
CADENCES: Final = tuple(_ENDS)
#: Fewest and most chords.
FEWEST, MOST = 3, 8
#: How often a progression is drawn again that cannot be set for four voices without a fault.
_TRIES: Final = 40


def chords_setting(name: str) -> Setting:
    """Return the setting of the chords that progressions are made of."""
    told = "; ".join(f"{level}: {row.words}" for level, row in CHORD_LEVELS.items())
    return Setting(
        name,
        ["primary chords", "other triads", "inversions"],
        f"Which chords there are in progressions: {told}. Each of them comes in some progression before any comes so again.",
        f"a list of different ones of {', '.join(map(repr, CHORD_LEVELS))}, with 'primary chords' or what makes a cadence",
        several_of(tuple(CHORD_LEVELS)),
    )


CHORDS: Final = chords_setting("levels")
LENGTH: Final = Setting(
    "chords",
    4,
    "How many chords a progression has; the first is the tonic.",
    f"a whole number from {FEWEST} to {MOST}",
    whole_number(FEWEST, MOST),
)
CADENCE: Final = Setting(
    "cadences",
    ["authentic"],
    "How progressions end.",
    f"a list of different ones of {', '.join(map(repr, CADENCES))}",
    several_of(CADENCES),
)


@dataclass(frozen=True, slots=True)
class Progression:
    """A progression: its key, its numerals, its setting for four voices."""

    key: str
    figures: tuple[str, ...]
    columns: tuple[Column, ...]


@lru_cache(maxsize=256)
def figures_in(levels: tuple[str, ...], is_minor: bool) -> tuple[str, ...]:
    """Return the numerals of levels.

    Examples
    --------
    >>> figures_in(("primary chords", "inversions"), True)
    ('i', 'iv', 'V', 'V7', 'i6', 'iv6', 'V6')
    """
    rows = [level.minor if is_minor else level.major for name, level in CHORD_LEVELS.items() if name in levels]
    return tuple(figure for row in rows for figure in row)


class _State(NamedTuple):
    """A chord on the way, and whether the chord whose turn it is has come."""

    figure: str
    has_come: bool


@lru_cache(maxsize=1024)
def _ways(
    levels: tuple[str, ...], is_minor: bool, chords: int, cadences: tuple[str, ...], turn: str
) -> tuple[MappingProxyType[_State, tuple[_State, ...]], ...]:
    """Return, for each chord but the last, where each may go on so that the progression can end; empty where none can."""
    figures = figures_in(levels, is_minor)
    following = FOLLOWING_IN_MINOR if is_minor else FOLLOWING_IN_MAJOR
    ends = [pair for cadence in cadences for pair in _ENDS[cadence][is_minor]]
    states = [_State(figure, has_come) for figure in figures for has_come in (False, True)]

    def goes_on(state: _State) -> list[_State]:
        after = [figure for figure in following[state.figure] if figure in figures]
        return [_State(figure, state.has_come or figure == turn) for figure in after]

    rows: list[MappingProxyType[_State, tuple[_State, ...]]] = []
    good: set[_State] = set()
    for place in range(chords - 1):
        row = {}
        for state in states:
            if place:
                row[state] = tuple(other for other in goes_on(state) if other in good)
            else:
                row[state] = tuple(
                    other
                    for other in goes_on(state)
                    if other.has_come
                    and any(last == other.figure and before in ("", state.figure) for before, last in ends)
                )
        rows.append(MappingProxyType({state: after for state, after in row.items() if after}))
        good = set(rows[-1])
    home = "i" if is_minor else "I"
    return tuple(rows[::-1]) if _State(home, home == turn) in good else ()


@lru_cache(maxsize=512)
def turns_of(levels: tuple[str, ...], is_minor: bool, chords: int, cadences: tuple[str, ...]) -> tuple[str, ...]:
    """Return the chords that can come up.

    Examples
    --------
    >>> turns_of(("primary chords", "chromatic predominants"), False, 3, ("authentic",))
    ('I', 'V', 'V7')
    """
    return tuple(figure for figure in figures_in(levels, is_minor) if _ways(levels, is_minor, chords, cadences, figure))


def _plan(
    settings: CompleteSettings, is_minor: bool, levels: str
) -> tuple[tuple[str, ...], bool, int, tuple[str, ...]]:
    return tuple(settings[levels]), is_minor, settings["chords"], tuple(settings["cadences"])


def check_progressions(settings: CompleteSettings, levels: str = "levels") -> None:
    """Raise unless progressions can be made in every key.

    Parameters
    ----------
    settings : CompleteSettings
        With ``keys``, ``chords`` and ``cadences``.
    levels : str
        Name of the setting of the chords.

    Raises
    ------
    ExerciseError
        None can.
    """
    for name in settings["keys"]:
        if not turns_of(*_plan(settings, key_named(name).is_minor, levels)):
            raise ExerciseError(
                f"{levels} {settings[levels]} and cadences {settings['cadences']}: no progression of {settings['chords']} "
                f"chords in {name} can be made of them; add 'primary chords'"
            )


@lru_cache(maxsize=4096)
def set_for_four(figures: tuple[str, ...], key: str) -> tuple[Column, ...]:
    """Return a progression for four voices; empty where it cannot be set without a fault.

    Examples
    --------
    >>> [one[3] for one in set_for_four(("I", "IV", "V7", "I"), "C major")]
    ['C3', 'F3', 'G3', 'C4']
    """
    try:
        parts = write_four_parts(figures, key)
    except VoiceLeadingError:
        return ()
    voices = {name: [getattr(one, name) for one in parts] for name in FOUR_VOICES}
    if any(fault.severity == "fault" for fault in part_faults(voices, key, figures)):
        return ()
    return tuple(column(one) for one in parts)


def progression_of(question: Question, levels: str = "levels") -> Progression:
    """Return the progression of an item: keys in turn, and each chord in turn, the others by chance.

    `levels` is the name of the setting of the chords.
    """
    settings = question.settings
    keys = tuple(key_named(text).name for text in settings["keys"])
    key = keys[turn_of(question, keys)]
    plan = _plan(settings, key_named(key).is_minor, levels)
    turns = turns_of(*plan)
    # the tonic comes in every progression, and needs no turn
    turns = turns[1:] if len(turns) > 1 else turns
    turn = turns[turn_of(question, turns, "chord" if key_named(key).is_minor else "chord of major")]
    draw = question.draw()
    for wanted in (turn, *turns):
        for _ in range(_TRIES):
            figures = _walk(draw, _ways(*plan, wanted), wanted)
            if columns := set_for_four(figures, key):
                return Progression(key, figures, columns)
    raise ExerciseError(f"exercise {question.exercise!r}: no progression in {key} can be set without a fault")


def _walk(draw: Draw, ways: tuple[MappingProxyType[_State, tuple[_State, ...]], ...], turn: str) -> tuple[str, ...]:
    first = "i" if _State("i", False) in ways[0] or _State("i", True) in ways[0] else "I"
    line = [_State(first, first == turn)]
    for row in ways:
        options = row[line[-1]]
        heard = {state.figure for state in line}
        fresh = [state for state in options if state.figure not in heard] or list(options)
        line.append(draw.choice(fresh))
    return tuple(state.figure for state in line)
