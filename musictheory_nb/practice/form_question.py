"""What a guide through the form of a piece can ask, step by step: one table, with the shape of each answer."""

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import MAX_LABEL
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.theory.cadence import CADENCES
from musictheory_nb.theory.pitch_name import PitchName

#: Forms by name, with what makes each (common practice, no source).
FORMS: Final = MappingProxyType(
    {
        "one part": "one section, without a contrasting one",
        "strophic": "the same music for every verse",
        "binary": "two parts, AB",
        "rounded binary": "two parts, the second of which ends with the first one's opening",
        "ternary": "ABA, the first part comes back whole",
        "song form in 32 bars": "four phrases of eight, AABA or ABAC",
        "twelve-bar blues": "three phrases of four over I, IV and V",
        "minuet and trio": "a dance, a second one, and the first again",
        "rondo": "a refrain that comes back between episodes, such as ABACA",
        "strains": "a row of strains, each repeated, as in marches and rags",
        "theme and variations": "a theme, and again and again in other guise",
        "sonata form": "exposition, development and recapitulation",
        "through-composed": "new music throughout",
    }
)
#: What may have changed where music comes back, in words.
CHANGES: Final = MappingProxyType(
    {
        "nothing": "nothing",
        "melody": "the melody, which is varied or decorated",
        "harmony": "the chords",
        "key": "the key",
        "mode": "the mode, major or minor",
        "rhythm": "the rhythm",
        "metre": "the metre",
        "accompaniment": "the accompaniment",
        "players": "who plays what",
        "register": "the register, higher or lower",
        "length": "the length",
        "ending": "the ending",
    }
)
#: In which voice a note can be held.
VOICES: Final = MappingProxyType({"bass": "in the bass", "inner": "in an inner voice", "upper": "on top"})
#: Most phrases, places or sections that one step asks for, and longest phrase or turn.
MOST_ROWS: Final = 24
LONGEST: Final = 64
_LEAST_SECTIONS: Final = 2


def is_number(value: JSON) -> bool:
    """Return whether `value` may be the printed number of a measure."""
    return type(value) is int or (isinstance(value, str) and 0 < len(value.strip()) <= MAX_LABEL)


def is_span(value: JSON) -> bool:
    """Return whether `value` is ``[first, last]`` by printed numbers.

    Examples
    --------
    >>> is_span(["9", "16"]), is_span([9, 16]), is_span(["9"])
    (True, True, False)
    """
    return isinstance(value, list) and len(value) == 2 and all(map(is_number, value))


def _rows(check: Callable[[JSON], bool], least: int = 1) -> Callable[[JSON], bool]:
    return lambda value: isinstance(value, list) and least <= len(value) <= MOST_ROWS and all(map(check, value))


def _is_section(row: JSON) -> bool:
    return (
        isinstance(row, list)
        and len(row) == 2
        and is_number(row[0])
        and isinstance(row[1], str)
        and row[1].strip().isprintable()
        and 0 < len(row[1].strip()) <= MAX_LABEL
    )


def _is_length(value: JSON) -> bool:
    return type(value) is int and 1 <= value <= LONGEST


def _is_name(value: JSON) -> bool:
    try:
        return isinstance(value, str) and bool(PitchName(value).name)
    except ValueError:
        return False


def _is_held(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 3
        and is_span(value[0])
        and _is_name(value[1])
        and one_of(tuple(VOICES))(value[2])
    )


def _are_players(value: JSON, least: int = 1) -> bool:
    return (
        isinstance(value, list)
        and len(value) >= least
        and all(isinstance(one, str) and one.strip() for one in value)
        and len(set(value)) == len(value)
    )


def _is_trade(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 3
        and is_span(value[0])
        and _are_players(value[1], 2)
        and _is_length(value[2])
    )


def _is_scored(row: JSON) -> bool:
    return isinstance(row, list) and len(row) == 2 and is_span(row[0]) and _are_players(row[1])


def _are_changes(value: JSON) -> bool:
    return several_of(tuple(CHANGES))(value) and ("nothing" not in value or len(value) == 1)


@dataclass(frozen=True, slots=True)
class FormQuestion:
    """One thing to ask.

    Parameters
    ----------
    meaning : str
        What is asked, for the teacher.
    answer : str
        How the right answer is written, in words.
    check : callable
        Whether an answer is written so.
    needs : tuple of str
        Which entries of a step it needs beside the answer: ``measures``, ``of``.
    """

    meaning: str
    answer: str
    check: Callable[[JSON], bool]
    needs: tuple[str, ...] = ()


#: What a step can ask, by name.
FORM_QUESTIONS: Final = MappingProxyType(
    {
        "sections": FormQuestion(
            "where each section begins, and its letter",
            "rows [number, letter]",
            _rows(_is_section, _LEAST_SECTIONS),
        ),
        "letters": FormQuestion(
            "the letter of each section, whose beginnings are told", "rows [number, letter]",
            _rows(_is_section, _LEAST_SECTIONS),
        ),
        "form": FormQuestion("the form, of `measures` where they are given", f"one of {', '.join(map(repr, FORMS))}", one_of(tuple(FORMS))),
        "returns": FormQuestion(
            "where the music of `measures` comes back", "a list of [first, last]", _rows(is_span), ("measures",)
        ),
        "changes": FormQuestion(
            "what has changed in `measures`, which bring back `of`", f"a list from {', '.join(map(repr, CHANGES))}",
            _are_changes, ("measures", "of"),
        ),
        "phrase lengths": FormQuestion(
            "how long each phrase of `measures` is", "a list of numbers of measures", _rows(_is_length), ("measures",)
        ),
        "cadence": FormQuestion(
            "the cadence that ends `measures`", f"one of {', '.join(map(repr, CADENCES))}", one_of(tuple(CADENCES)),
            ("measures",),
        ),
        "pedal point": FormQuestion(
            "where a note is held, which one, and in which voice, in `measures` where they are given",
            f"[[first, last], note, voice], the voice one of {', '.join(map(repr, VOICES))}", _is_held,
        ),
        "trading": FormQuestion(
            "where players take turns, who, and how many measures a turn has, in `measures` where they are given",
            "[[first, last], [names of parts], measures]",
            _is_trade,
        ),
        "orchestration": FormQuestion(
            "who plays in each section", "rows [[first, last], [names of parts]]", _rows(_is_scored)
        ),
    }
)  # fmt: skip
#: Entries of a step.
ENTRIES: Final = ("ask", "answer", "measures", "of", "hint", "why")


def is_form_step(row: JSON) -> bool:
    """Return whether `row` is a step of a guide.

    Examples
    --------
    >>> is_form_step({"ask": "cadence", "measures": ["1", "8"], "answer": "half", "hint": "Listen to the bass."})
    True
    >>> is_form_step({"ask": "cadence", "answer": "half"}), is_form_step({"ask": "tempo", "answer": "fast"})
    (False, False)
    """
    if not isinstance(row, dict) or not set(row) <= set(ENTRIES) or row.get("ask") not in FORM_QUESTIONS:
        return False
    question = FORM_QUESTIONS[row["ask"]]
    return (
        question.check(row.get("answer"))
        and all(name in row for name in question.needs)
        and all(is_span(row[name]) for name in ("measures", "of") if name in row)
        and all(
            isinstance(row[name], str) and row[name].isprintable() and 0 < len(row[name].strip()) <= 500
            for name in ("hint", "why")
            if name in row
        )
    )
