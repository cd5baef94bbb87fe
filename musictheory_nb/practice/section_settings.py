"""What a teacher sets of a section-marking exercise."""

from collections.abc import Mapping
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.display_settings import WORDS
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import MAX_LABEL
from musictheory_nb.practice.setting_check import is_switch, one_of, one_or_several_names, whole_number

#: Widest tolerance, in measures.
MAX_TOLERANCE: Final = 4
#: What the prompt may give away.
HINTS: Final = ("none", "number", "letters")


def _is_row(row: JSON) -> bool:
    return (
        isinstance(row, list)
        and len(row) in (2, 3)
        and (type(row[0]) is int or (isinstance(row[0], str) and bool(row[0].strip())))
        and all(isinstance(text, str) and text.strip().isprintable() and bool(text.strip()) for text in row[1:])
        and len(row[1].strip()) <= MAX_LABEL
    )


def _is_division(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and len(value) > 1
        and all(_is_row(row) for row in value)
        and len({str(row[0]).strip() for row in value}) == len(value)
    )


def _are_divisions(value: JSON) -> bool:
    return isinstance(value, list) and bool(value) and (_is_division(value) or all(_is_division(v) for v in value))


def _is_share(value: JSON) -> bool:
    return type(value) in (int, float) and 0 <= value <= 1


SETTINGS: Final = (
    Setting(
        "excerpt",
        None,
        "The piece, or several pieces, of which each student meets `count` in an order of their own.",
        "the name of an excerpt frozen into the lesson, or a list of different names",
        one_or_several_names,
    ),
    Setting(
        "sections",
        None,
        "Where the sections begin: printed measure number, letter and, if you wish, a sentence shown in the explanation.",
        "a list of at least two rows [number, letter] or [number, letter, sentence], as [['1', 'A'], ['17', 'B']], "
        f"letters of at most {MAX_LABEL} characters; for several excerpts a list of such lists",
        _are_divisions,
    ),
    Setting(
        "tolerance",
        1,
        "How many measures a boundary may be off and still count.",
        f"a whole number from 0 to {MAX_TOLERANCE}",
        whole_number(0, MAX_TOLERANCE),
    ),
    Setting(
        "label_weight",
        0.5,
        "How much of the score the letters make up; the boundaries make up the rest.",
        "a number from 0 to 1",
        _is_share,
    ),
    Setting(
        "variants",
        False,
        "Whether A and A′, or B and B2, count as different letters.",
        "True or False",
        is_switch,
    ),
    Setting(
        "hints",
        "none",
        "What the prompt tells: nothing, the number of sections, or also how many letters there are.",
        ", ".join(map(repr, HINTS)),
        one_of(HINTS),
    ),
    Setting(
        "show_marks",
        False,
        "Whether rehearsal marks and section names in the score can be seen before the answer.",
        "True or False",
        is_switch,
    ),
    WORDS,
)


def check_pieces(settings: Mapping[str, JSON]) -> None:
    """Raise unless complete settings give one list of sections for each excerpt.

    Raises
    ------
    ExerciseError
        They do not.
    """
    excerpt, sections = settings["excerpt"], settings["sections"]
    one = _is_division(sections)
    names = 1 if isinstance(excerpt, str) else len(excerpt)
    if isinstance(excerpt, str) and not one:
        raise ExerciseError("sections: there is one excerpt; write one list of rows, as [['1', 'A'], ['17', 'B']]")
    if not isinstance(excerpt, str) and (one or len(sections) != names):
        given = 1 if one else len(sections)
        raise ExerciseError(f"sections: {names} excerpts and {given} lists of sections; write one list for each")
