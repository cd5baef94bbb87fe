"""What a student is asked to do: steps, each answered through one of its inputs.

An answer is plain data: ``{step id: {input id: value}}``, with exactly one input a step. The input that was used is
thereby part of the record (piano keys or buttons, say).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final, TypeAlias

from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.measures_input import MeasuresInput
from musictheory_nb.practice.number_input import NumberInput
from musictheory_nb.practice.piano_key_name import key_name
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.rhythm_input import RhythmInput
from musictheory_nb.practice.roles_input import RolesInput
from musictheory_nb.practice.staff_input import StaffInput
from musictheory_nb.practice.sung_input import SungInput
from musictheory_nb.practice.symbol_input import SymbolInput
from musictheory_nb.practice.text_input import TextInput

__all__ = [
    "MAX_LABEL",
    "Answer",
    "ChoiceInput",
    "FingerboardInput",
    "Input",
    "KeysInput",
    "MeasuresInput",
    "NumberInput",
    "Option",
    "Response",
    "RhythmInput",
    "RolesInput",
    "SectionsInput",
    "StaffInput",
    "Step",
    "SungInput",
    "SymbolInput",
    "TextInput",
]

Answer: TypeAlias = Mapping[str, Mapping[str, JSON]]

#: Longest text of a label that a student writes for a section.
MAX_LABEL: Final = 8


@dataclass(frozen=True, slots=True)
class ChoiceInput:
    """Pick one option, or with `many` any number of them (at least one).

    The value is the option's value, or with `many` a list of values.
    """

    how: ClassVar[str] = "with the buttons"

    options: tuple[Option, ...]
    many: bool = False
    id: str = "choice"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the value as marking takes it (a list in the order of the options), or raise AnswerError."""
        values = tuple(option.value for option in self.options)
        allowed = ", ".join(values)
        if not self.many:
            if not isinstance(value, str) or value not in values:
                raise refuse(step, value, f"one of {allowed}")
            return value
        if not isinstance(value, list) or not value or any(not isinstance(v, str) or v not in values for v in value):
            raise refuse(step, value, f"a list of at least one of {allowed}")
        if len(set(value)) != len(value):
            raise refuse(step, value, "each choice once")
        return [v for v in values if v in value]

    def words(self, value: JSON) -> str:
        """Return the labels of a checked value."""
        labels = {option.value: option.label for option in self.options}
        return ", ".join(labels[one] for one in (value if self.many else [value]))


@dataclass(frozen=True, slots=True)
class KeysInput:
    """Play `count` keys on a piano keyboard, from `low` to `high` (MIDI numbers, both included).

    The value is the list of MIDI numbers in the order played. `given` are keys shown as a start, which the student
    does not play.
    """

    how: ClassVar[str] = "on the piano keyboard"

    low: int
    high: int
    count: int = 1
    given: tuple[int, ...] = ()
    id: str = "keys"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of MIDI numbers, or raise AnswerError."""
        ok = isinstance(value, list) and len(value) == self.count
        if not ok or any(type(v) is not int or not self.low <= v <= self.high for v in value):
            raise refuse(step, value, f"a list of {self.count} MIDI numbers from {self.low} to {self.high}")
        return list(value)

    def words(self, value: JSON) -> str:
        """Return the names of checked keys."""
        return "on the keyboard " + ", ".join(key_name(midi) for midi in value)


@dataclass(frozen=True, slots=True)
class SectionsInput:
    """Mark where sections begin and give each a letter.

    The value is a list of ``[first measure index, label]``, ascending, that begins with measure index 0. `measures`
    are the printed numbers of all measures.
    """

    how: ClassVar[str] = "on the strip of measures"

    measures: tuple[str, ...]
    id: str = "sections"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of [index, label], or raise AnswerError."""
        allowed = f"a list of [measure index, label] from [0, …], ascending, below {len(self.measures)}"
        if not isinstance(value, list) or not 1 <= len(value) <= len(self.measures):
            raise refuse(step, value, allowed)
        before = -1
        for row in value:
            if not isinstance(row, list) or len(row) != 2 or type(row[0]) is not int or not isinstance(row[1], str):
                raise refuse(step, row, allowed)
            if not before < row[0] < len(self.measures) or (before < 0 and row[0] != 0):
                raise refuse(step, row, allowed)
            if not 1 <= len(row[1].strip()) <= MAX_LABEL or not row[1].strip().isprintable():
                raise refuse(step, row, f"a label of 1 to {MAX_LABEL} characters, such as 'A'")
            before = row[0]
        return [[row[0], row[1].strip()] for row in value]

    def words(self, value: JSON) -> str:
        """Return checked sections by the printed numbers of their measures."""
        return ", ".join(f"{label} from measure {self.measures[index]}" for index, label in value)


Input: TypeAlias = (
    ChoiceInput
    | KeysInput
    | SectionsInput
    | StaffInput
    | RhythmInput
    | FingerboardInput
    | SymbolInput
    | RolesInput
    | MeasuresInput
    | NumberInput
    | TextInput
    | SungInput
)
"""One way to answer. Each has ``id``, ``how`` (the end of "or answer …"), ``check(step, value)`` and ``words(value)``."""


@dataclass(frozen=True, slots=True)
class Step:
    """One question of an item: its id, its wording, and the inputs of which the student uses one."""

    id: str
    label: str
    inputs: tuple[Input, ...]


@dataclass(frozen=True, slots=True)
class Response:
    """All steps of an item.

    Examples
    --------
    >>> asked = Response((Step("size", "Which interval?", (ChoiceInput((Option("m3", "m3"), Option("M3", "M3"))),)),))
    >>> asked.check({"size": {"choice": "M3"}})
    {'size': {'choice': 'M3'}}
    >>> asked.check({"size": {"choice": "P9"}})
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'size': 'P9'; allowed: one of m3, M3
    """

    steps: tuple[Step, ...]

    def check(self, answer: JSON) -> dict[str, dict[str, JSON]]:
        """Return the answer in the form that marking takes, or raise.

        Raises
        ------
        AnswerError
            A step missing or unknown, not exactly one input, or a value of the wrong type or out of bounds.
        """
        ids = [step.id for step in self.steps]
        if not isinstance(answer, Mapping) or set(answer) != set(ids):
            raise refuse("item", answer, f"one entry for each of {', '.join(ids)}")
        checked: dict[str, dict[str, JSON]] = {}
        for step in self.steps:
            given = answer[step.id]
            inputs = {entry.id: entry for entry in step.inputs}
            if not isinstance(given, Mapping) or len(given) != 1 or next(iter(given)) not in inputs:
                raise refuse(step.id, given, f"exactly one of the inputs {', '.join(inputs)}")
            (name, value) = next(iter(given.items()))
            checked[step.id] = {name: inputs[name].check(step.id, value)}
        return checked
