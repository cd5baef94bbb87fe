"""What was written on a paper worksheet, as the value of an input: names, letters and numbers in place of clicks."""

import contextlib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final

from musictheory_nb.errors import AnswerError, TheoryError
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.plain_data import JSON, strict_json
from musictheory_nb.practice.response import (
    ChoiceInput,
    FingerboardInput,
    Input,
    KeysInput,
    MeasuresInput,
    NumberInput,
    Option,
    RolesInput,
    SectionsInput,
    StaffInput,
    SymbolInput,
    TextInput,
)
from musictheory_nb.theory.pitch import Pitch

#: Between the answers to the steps of one item.
STEP_MARK: Final = "|"
_BETWEEN: Final = re.compile(r"\s*[;,]\s*")
_KEYS_BETWEEN: Final = re.compile(r"[\s;,]+")
_PAIR: Final = re.compile(r"\s*([^=:;,]{1,20}?)\s*[=:]\s*([^=:;,]{1,20}?)\s*")
#: Letters before the choices of a question.
_LETTERS: Final = tuple("abcdefghijklmnopqrstuvwxyz")
#: Notes on a staff: pitches joined by +, or r for a rest; a length in quarters; ~ where the note is tied on.
_STAFF_BETWEEN: Final = re.compile(r"[\s;,]+")
_STAFF_NOTE: Final = re.compile(r"([^=~\s]{1,60})(?:=(\d{1,3}(?:/\d{1,3})?))?(~?)")
_RESTS: Final = ("r", "rest")
_SPAN: Final = re.compile(r"\s*(\w{1,10})\s*(?:[-–]\s*(\w{1,10}))?\s*")


def _parts(text: str) -> list[str]:
    return [part for part in _BETWEEN.split(text.strip()) if part]


def choice_marks(options: Sequence[Option]) -> tuple[str, ...]:
    """Return what stands before each option on a sheet: letters, or numbers where an option is called by a letter.

    Examples
    --------
    >>> choice_marks([Option("m3", "minor third"), Option("M3", "major third")])
    ('a', 'b')
    >>> choice_marks([Option("C", "C"), Option("B", "B")])
    ('1', '2')
    """
    names = {text.casefold() for option in options for text in (option.value, option.label)}
    numbers = [str(at) for at in range(1, len(options) + 1)]
    for marks in (_LETTERS[: len(options)], numbers, [f"#{number}" for number in numbers]):
        if len(marks) == len(options) and not names & set(marks):
            return tuple(marks)
    raise AnswerError(f"the options {', '.join(sorted(names))[:80]}: no letters or numbers tell them apart")


def _option(options: Sequence[Option], text: str) -> str | None:
    """The value of the option that a text means: its value, its label, or its letter or number on the sheet."""
    for same in (str, str.casefold):
        for option in options:
            if same(text) in (same(option.value), same(option.label)):
                return option.value
    marks = choice_marks(options)
    return options[marks.index(text.casefold())].value if text.casefold() in marks else None


def _choice(entry: ChoiceInput, text: str) -> JSON:
    return [_option(entry.options, part) for part in _parts(text)] if entry.many else _option(entry.options, text)


def _keys(entry: KeysInput, text: str) -> JSON:
    return [int(part) if part.isdecimal() else Pitch(part).midi for part in _KEYS_BETWEEN.split(text.strip()) if part]


def _sections(entry: SectionsInput, text: str) -> JSON:
    found = [_PAIR.fullmatch(part) for part in _parts(text)]
    return [[entry.measures.index(match[2]), match[1]] for match in found if match]


def _spans(entry: MeasuresInput, text: str) -> JSON:
    found = [_SPAN.fullmatch(part) for part in _parts(text)]
    return [[entry.measures.index(match[1]), entry.measures.index(match[2] or match[1])] for match in found if match]


def _roles(entry: RolesInput, text: str) -> JSON:
    return [_option(entry.roles, part) for part in _parts(text)]


def _frets(entry: FingerboardInput, text: str) -> JSON:
    found = [_PAIR.fullmatch(part) for part in _parts(text)]
    return [[len(entry.tuning) - int(match[1]), int(match[2])] for match in found if match]


def _staff(entry: StaffInput, text: str) -> JSON:
    rows: list[JSON] = []
    for word in _STAFF_BETWEEN.split(text.strip()):
        match = _STAFF_NOTE.fullmatch(word)
        if match is None:
            raise ValueError(word)
        heads = (
            []
            if match[1].casefold() in _RESTS
            else [Pitch(name[:1].upper() + name[1:]).name for name in match[1].split("+")]
        )
        rows.append([sorted(heads, key=lambda name: Pitch(name).chromatic), match[2] or "1", bool(match[3])])
    return rows


#: Input -> how a text is read for it, and what may be written in words.
_READERS: Final[Mapping[type, tuple[Callable[[Any, str], JSON], str]]] = {
    ChoiceInput: (_choice, "the choice, or the letter or number before it; several with commas between"),
    KeysInput: (_keys, "pitches, as C4 E4"),
    SectionsInput: (_sections, "letter = measure, as A=1, B=17"),
    MeasuresInput: (_spans, "measures, as 3-6, 9"),
    RolesInput: (_roles, "one word a note, with commas between"),
    FingerboardInput: (_frets, "string:fret, the highest string being 1, as 4:3, 3:2"),
    NumberInput: (lambda entry, text: int(text), "a whole number"),
    StaffInput: (
        _staff,
        "notes, as C4 Eb4; where rhythm is asked with their lengths in quarters, as C4=1 D4=1/2 r=1; chords as C4+E4",
    ),
    SymbolInput: (lambda entry, text: text, "the symbol"),
    TextInput: (lambda entry, text: text, "the text"),
}


def _readings(entry: Input, text: str) -> Iterator[JSON]:
    """Values that a text may mean for one input."""
    reader = _READERS.get(type(entry))
    if reader is not None:
        with contextlib.suppress(TheoryError, ValueError, IndexError):  # it is no such thing; the next reading may be
            yield reader[0](entry, text)
    try:
        yield strict_json(text)
    except ValueError:
        return


def is_for_paper(entry: Input) -> bool:
    """Return whether an answer can be written for this input; taps and sung notes need the notebook.

    Examples
    --------
    >>> is_for_paper(SymbolInput("chord"))
    True
    """
    return type(entry) in _READERS


def how_to_write(inputs: Sequence[Input]) -> str:
    """Return what may be written for a step with these inputs, in words; empty where nothing can be.

    Examples
    --------
    >>> how_to_write([NumberInput(0, 9)])
    'a whole number'
    """
    told = [_READERS[type(entry)][1] for entry in inputs if type(entry) in _READERS]
    return "; or ".join(dict.fromkeys(told))


def _allowed(inputs: Sequence[Input]) -> str:
    return how_to_write(inputs) or "the value as JSON, as the answer record has it"


def paper_answer(item: Item, text: str) -> dict[str, dict[str, JSON]]:
    """Return the answer that a text from a worksheet means.

    Parameters
    ----------
    item : Item
        What was asked.
    text : str
        The answers to the steps of the item, with bars between.

    Raises
    ------
    AnswerError
        There are more or fewer steps, or a step cannot be answered so; says what may be written.

    Examples
    --------
    >>> from musictheory_nb.practice.exercise import Exercise
    >>> item = Exercise("first", "interval-by-ear", {"inputs": ["buttons"]}, lesson="demo").item(7, 0)
    >>> paper_answer(item, "P5")
    {'interval': {'choice': 'P5'}}
    >>> paper_answer(item, "P5 | M3")
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: 'P5 | M3': 2 answers; allowed: 1 (interval), with | between
    """
    steps = item.response.steps
    parts = [part.strip() for part in text.split(STEP_MARK)] if len(steps) > 1 or STEP_MARK in text else [text.strip()]
    if len(steps) == 1 and len(parts) > 1 and any(isinstance(one, TextInput) for one in steps[0].inputs):
        parts = [text.strip()]
    if len(parts) != len(steps):
        names = ", ".join(step.id for step in steps)
        raise AnswerError(f"{text[:60]!r}: {len(parts)} answers; allowed: {len(steps)} ({names}), with | between")
    answer: dict[str, dict[str, JSON]] = {}
    for step, part in zip(steps, parts, strict=True):
        for entry in step.inputs:
            if step.id in answer:
                break
            for value in _readings(entry, part):
                try:
                    answer[step.id] = {entry.id: entry.check(step.id, value)}
                    break
                except AnswerError:
                    continue
        if step.id not in answer:
            raise AnswerError(f"{part[:60]!r} is no answer to {step.id!r}; allowed: {_allowed(step.inputs)}")
    return answer
