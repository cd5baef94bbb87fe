"""What a teacher sets of an exercise on the roles of notes, and the lines that students meet."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.chord_progression import KEYS, Progression, in_keys, progressions_setting, read_progression
from musictheory_nb.practice.display_settings import (
    CLEF,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
)
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.embellished_line import DRAWN_ROLES, VALUES, LineNote, embellished_line
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.line_over_chords import line_excerpt, line_roles, one_part, written_line
from musictheory_nb.practice.note_role_words import ROLE_NAMES
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import one_of, several_of, whole_number
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.key import Key

PROGRESSIONS: Final = (
    "C major: Dm7 | G7 | Cmaj7",
    "C minor: Dm7b5 | G7 | Cm7",
    "C major: Cmaj7 | A7 | Dm7 G7 | Cmaj7",
    "C major: C | F | G7 | C",
)
#: Which notes are asked about.
ASK: Final = ("all", "others")
#: So many lines are drawn over each progression in each key before one comes again.
LINES: Final = 6
#: A passage of a piece has so many notes, at least and at most.
_FEWEST, _MOST = 4, 40
#: Where a line has no note that is no chord tone, so many others are drawn in its place.
_MORE_TRIES: Final = 6
_ALLOWED_ITEMS: Final = (
    "a list of rows [progression, line], bars between strokes, as [['C major: Dm7 | G7', 'F4 E4 D4 C4 | B3 D4 F4 G4']], "
    "1, 2, 4 or 8 notes a bar, or []"
)


def _is_item(row: JSON) -> bool:
    if not isinstance(row, list) or len(row) != 2 or not all(isinstance(one, str) for one in row):
        return False
    progression = read_progression(row[0])
    return progression is not None and bool(written_line(progression, row[1]))


def _are_items(value: JSON) -> bool:
    return isinstance(value, list) and all(map(_is_item, value))


def _is_key(value: JSON) -> bool:
    try:
        return isinstance(value, str) and (not value or Key(value) is not None)
    except TheoryError:
        return False


SETTINGS: Final = (
    progressions_setting(PROGRESSIONS, "The progressions over which lines are drawn by rule."),
    KEYS,
    Setting(
        "values",
        "quarters",
        "The notes of lines drawn by rule.",
        ", ".join(map(repr, VALUES)),
        one_of(tuple(VALUES)),
    ),
    Setting(
        "roles",
        list(DRAWN_ROLES),
        "The roles to choose from; lines drawn by rule have no others.",
        f"a list of at least two of {', '.join(map(repr, ROLE_NAMES))}",
        lambda value: several_of(tuple(ROLE_NAMES))(value) and len(value) > 1,
    ),
    Setting("items", [], "Lines of your own, in place of those drawn by rule.", _ALLOWED_ITEMS, _are_items),
    Setting(
        "excerpt",
        "",
        "A piece with chord symbols, in place of lines drawn by rule.",
        "the name of an excerpt frozen into the lesson, or ''",
        lambda value: isinstance(value, str),
    ),
    Setting("part", 1, "Which part of the piece is the line.", "a whole number from 1 to 40", whole_number(1, 40)),
    Setting(
        "length", 4, "How many measures of the piece are given.", "a whole number from 1 to 16", whole_number(1, 16)
    ),
    Setting(
        "key",
        "",
        "The key of the piece; without it the scale of each chord is the usual one.",
        "a key, as 'C major', or ''",
        _is_key,
    ),
    Setting(
        "ask",
        "all",
        "Whether all notes are asked about, or only those that are no chord tones.",
        ", ".join(map(repr, ASK)),
        one_of(ASK),
    ),
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True, slots=True)
class RoleCase:
    """A line to ask about: the music, first and last measure (indices), and its key."""

    music: Excerpt
    first: int
    last: int
    key: str


def check_roles(settings: CompleteSettings) -> None:
    """Raise unless complete settings make lines.

    Raises
    ------
    ExerciseError
        They do not: nothing to draw, two sources at once, or a progression that cannot be spelled.
    """
    register(settings)
    if settings["excerpt"] and settings["items"]:
        raise ExerciseError("items: there is an excerpt, too; leave one of them out")
    if settings["excerpt"] or settings["items"]:
        return
    if not set(settings["roles"]) & set(DRAWN_ROLES) - {"chord tone"}:
        raise ExerciseError(
            f"roles {settings['roles']}: of these no line can be drawn by rule; add one of {', '.join(DRAWN_ROLES[1:])}"
        )
    if set(settings["roles"]) & set(DRAWN_ROLES) <= {"chord tone", "enclosure"} and settings["values"] == "quarters":
        raise ExerciseError("values 'quarters': notes around a chord tone are drawn in eighths only; write 'eighths'")
    for text in settings["progressions"]:
        if not in_keys(text, tuple(settings["keys"])):
            raise ExerciseError(f"keys {settings['keys']}: {text!r} cannot be spelled in any of them")


def role_case(question: Question) -> RoleCase:
    """Return the line of an item."""
    settings = question.settings
    music = one_piece(question) if settings["excerpt"] else None
    order = _order(question.lesson, question.exercise, question.version, question.seed, question.count, music, settings)
    return _case(settings, music, *order[question.index])


def one_piece(question: Question) -> Excerpt:
    """Return the part of the piece that is the line.

    Raises
    ------
    ExerciseError
        The piece has no such part.
    """
    excerpt, part = question.excerpt(), question.settings["part"]
    if part > len(excerpt.parts):
        raise ExerciseError(f"exercise {question.exercise!r}: part {part}; the excerpt has {len(excerpt.parts)}")
    return one_part(excerpt, part - 1)


@lru_cache(maxsize=1024)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, music: Excerpt | None, settings: CompleteSettings
) -> tuple[tuple[int, int], ...]:
    """Return (which progression, item or passage; which line of it) for each item of the exercise."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    if music is not None:
        found = _passages(music, settings["length"], settings["key"])
        if not found:
            raise ExerciseError(
                f"exercise {exercise!r}: no {settings['length']} measures of the excerpt have a line of single notes, "
                "chord symbols to all of them, and a note that is no chord tone"
            )
        return order_without_repeats(draw, [0], [len(found)], count)
    if settings["items"]:
        return order_without_repeats(draw, list(range(len(settings["items"]))), [1] * len(settings["items"]), count)
    sizes = [LINES * len(in_keys(text, tuple(settings["keys"]))) for text in settings["progressions"]]
    return order_without_repeats(draw, list(range(len(sizes))), sizes, count)


@lru_cache(maxsize=64)
def _passages(music: Excerpt, length: int, key: str) -> tuple[tuple[int, int], ...]:
    """Return first and last measure of the passages that may be asked about; a symbol stands where each begins."""
    found = []
    for first in range(max(1, len(music.measures) - length + 1)):
        last = min(first + length, len(music.measures)) - 1
        told = line_roles(music, first, last, key)
        roles = [one.found.role for one in told]
        if not told or not _has_symbol(music, told[0].index):
            continue
        if _FEWEST <= len(roles) <= _MOST and set(roles) - {"chord tone"} and "no chord" not in roles:
            found.append((first, last))
    return tuple(found)


def _has_symbol(music: Excerpt, index: int) -> bool:
    """Return whether a symbol is printed in the measure of a note, at or before it."""
    note = music.notes[index]
    return any(chord.measure == note.measure and chord.onset <= note.onset for chord in music.chords)


def _drawn(progression: Progression, settings: CompleteSettings, place: Register, variant: int) -> tuple[LineNote, ...]:
    """Return a line with a note that is no chord tone; without one where many tries have none."""
    roles = tuple(role for role in DRAWN_ROLES if role in settings["roles"])
    found: tuple[LineNote, ...] = ()
    for more in range(_MORE_TRIES):
        number = variant + LINES * more
        line = embellished_line(progression, settings["values"], roles, place.low_midi, place.high_midi, number)
        found = found or line
        if line:
            made = line_excerpt(progression, line, place.clef, settings["timbre"])
            if any(
                one.found.role != "chord tone" for one in line_roles(made, 0, len(made.measures) - 1, progression.key)
            ):
                return line
    if not found:
        raise ExerciseError(
            f"low and high in the {place.clef} clef: no line over {' '.join(progression.chords)} fits between them; "
            "widen the register"
        )
    return found


@lru_cache(maxsize=8192)
def _case(settings: CompleteSettings, music: Excerpt | None, which: int, number: int) -> RoleCase:
    if music is not None:
        return RoleCase(music, *_passages(music, settings["length"], settings["key"])[number], settings["key"])
    place, shift = register(settings), Display.of(settings).part_shift
    if settings["items"]:
        text, line = settings["items"][which]
        progression = read_progression(text)
        assert progression is not None  # the setting was checked
        notes = written_line(progression, line)
    else:
        keys = in_keys(settings["progressions"][which], tuple(settings["keys"]))
        progression = keys[number // LINES]
        notes = _drawn(progression, settings, place, number % LINES)
    made = line_excerpt(progression, notes, place.clef, settings["timbre"], shift)
    return RoleCase(made, 0, len(made.measures) - 1, progression.key)
