"""What a teacher sets of an exercise on the chord that a line suggests, and the lines that students meet."""

from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_pool import read_case
from musictheory_nb.practice.chord_progression import Progression
from musictheory_nb.practice.chord_vocabulary import (
    QUALITY_NAMES,
    SEVENTHS,
    TRIADS,
    degrees_of,
    plain_roots,
    qualities_setting,
)
from musictheory_nb.practice.display_settings import AUTO, CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.embellished_line import LineNote
from musictheory_nb.practice.family import CompleteSettings, Setting
from musictheory_nb.practice.implied_line import MOST_TONES, TEXTURES, implied_line
from musictheory_nb.practice.line_over_chords import written_line
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import is_switch, one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register, register_of
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.chord import Chord

#: How the chord is named: by its symbol, or root and quality one after the other.
ANSWERS: Final = ("symbol", "parts")
#: What is given: the line to be heard, to be seen, or both.
GIVEN: Final = ("sound", "notation")
#: So many lines of each kind are drawn on each chord before one comes again.
LINES: Final = 3
_ALLOWED_ITEMS: Final = (
    "a list of rows [chord symbol, line], bars between strokes, as [['Dm7', 'D3 F3 A3 C4 | B3 A3 F3 E3']], 1, 2, 4 or 8 "
    "notes a bar, or []"
)


def _is_item(row: JSON) -> bool:
    if not isinstance(row, list) or len(row) != 2 or not all(isinstance(one, str) for one in row):
        return False
    case = read_case(row[0])
    return case is not None and case[2] == 0 and bool(own_line(*row)[1])


def _are_items(value: JSON) -> bool:
    return isinstance(value, list) and all(map(_is_item, value))


@lru_cache(maxsize=1024)
def own_line(symbol: str, text: str) -> tuple[Progression, tuple[LineNote, ...]]:
    """Return a teacher's line with its chord in each of its bars; no notes where the line cannot be read.

    Examples
    --------
    >>> progression, line = own_line("Dm7", "D3 F3 A3 C4 | D3")
    >>> progression.chords, len(line)
    (('Dm7', 'Dm7'), 5)
    """
    bars = len(text.strip().strip("|").split("|"))
    case = read_case(symbol)
    assert case is not None
    mode = "minor" if "b3" in degrees_of(case[1]) and "3" not in degrees_of(case[1]) else "major"
    progression = Progression(f"{case[0]} {mode}", ((Chord(symbol).symbol,),) * bars)
    return progression, written_line(progression, text)


SETTINGS: Final = (
    qualities_setting(
        (*TRIADS, *SEVENTHS), f"The qualities that are asked for, of at most {MOST_TONES} tones; with ``parts`` they are the "
        "answers to choose from."
    ),
    Setting(
        "textures",
        list(TEXTURES),
        "What the lines are like.",
        f"a list of at least one of {', '.join(map(repr, TEXTURES))}",
        several_of(tuple(TEXTURES)),
    ),
    Setting("items", [], "Lines of your own, in place of those drawn by rule.", _ALLOWED_ITEMS, _are_items),
    Setting(
        "answer",
        "symbol",
        "Whether the symbol is written, or root and quality are chosen.",
        ", ".join(map(repr, ANSWERS)),
        one_of(ANSWERS),
    ),
    Setting(
        "given",
        list(GIVEN),
        "Whether the line is heard, seen, or both. Where it is only heard, its first note is told.",
        f"a list of at least one of {', '.join(map(repr, GIVEN))}",
        several_of(GIVEN),
    ),
    Setting("enharmonic", False, "Whether another spelling of the same sound is right.", "True or False", is_switch),
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)  # fmt: skip


@lru_cache(maxsize=256)
def qualities_offered(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the qualities that can come up: those of the setting, and those of the teacher's lines."""
    own = [case[1] for row in settings["items"] if (case := read_case(row[0]))]
    return tuple(dict.fromkeys([*settings["qualities"], *own]))


def place_of(settings: CompleteSettings, texture: str) -> Register:
    """Return clef and register: a walking bass stands in the bass clef where nothing else is set."""
    is_free = (
        settings["clef"] == AUTO and not settings["transposition"] and not settings["low"] and not settings["high"]
    )
    return register_of("bass", "", "", "") if texture == "walking bass" and is_free else register(settings)


@lru_cache(maxsize=256)
def line_cases(settings: CompleteSettings) -> tuple[tuple[tuple[str, str, int], ...], ...]:
    """Return for each quality (texture, root, number) of the lines that can be drawn."""
    found = []
    for quality in settings["qualities"]:
        lines = [
            (texture, root, number)
            for texture in settings["textures"]
            for root in plain_roots(quality)
            for number in range(LINES)
            if (place := place_of(settings, texture)).high_midi - place.low_midi >= 12
            and implied_line(root, quality, texture, place.low_midi, place.high_midi, number) is not None
        ]
        if not lines:
            raise ExerciseError(
                f"low and high: no line on a {QUALITY_NAMES[quality]} fits between them; widen the register, or leave out "
                f"{quality!r}"
            )
        found.append(tuple(lines))
    return tuple(found)


@lru_cache(maxsize=1024)
def line_order(
    lesson: str, exercise: str, version: int, seed: int, count: int, settings: CompleteSettings
) -> tuple[tuple[int, int], ...]:
    """Return (which quality or line of the teacher's, which line of it) for each item of the exercise."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    sizes = [1] * len(settings["items"]) or [len(lines) for lines in line_cases(settings)]
    return order_without_repeats(draw, list(range(len(sizes))), sizes, count)


def check_lines(settings: CompleteSettings) -> None:
    """Raise unless complete settings make lines, and something to choose from.

    Raises
    ------
    ExerciseError
        They do not.
    """
    wide = [one for one in settings["qualities"] if len(degrees_of(one)) > MOST_TONES]
    if wide:
        raise ExerciseError(f"qualities {wide}: a line shows at most {MOST_TONES} tones; leave them out")
    if settings["answer"] == "parts" and len(qualities_offered(settings)) < 2:
        raise ExerciseError(
            f"qualities {settings['qualities']}: give at least two, so that there is something to choose"
        )
    if not settings["items"]:
        line_cases(settings)
