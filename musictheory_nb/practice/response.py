"""What a student is asked to do: steps, each answered through one of its inputs.

An answer is plain data: ``{step id: {input id: value}}``, with exactly one input a step. The input that was used is
thereby part of the record (piano keys or buttons, say).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.plain_data import JSON

Answer: TypeAlias = Mapping[str, Mapping[str, JSON]]

#: Longest text of a label that a student writes for a section.
MAX_LABEL: Final = 8


def _refuse(step: str, given: JSON, allowed: str) -> AnswerError:
    shown = repr(given)
    return AnswerError(f"answer to {step!r}: {shown if len(shown) <= 60 else shown[:57] + '…'}; allowed: {allowed}")


@dataclass(frozen=True, slots=True)
class Option:
    """One choice: its value in the record, its label on the screen, and what a screen reader says if not the label."""

    value: str
    label: str
    spoken: str = ""


@dataclass(frozen=True, slots=True)
class ChoiceInput:
    """Pick one option, or with `many` any number of them (at least one).

    The value is the option's value, or with `many` a list of values.
    """

    options: tuple[Option, ...]
    many: bool = False
    id: str = "choice"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the value as marking takes it (a list in the order of the options), or raise AnswerError."""
        values = tuple(option.value for option in self.options)
        allowed = ", ".join(values)
        if not self.many:
            if not isinstance(value, str) or value not in values:
                raise _refuse(step, value, f"one of {allowed}")
            return value
        if not isinstance(value, list) or not value or any(not isinstance(v, str) or v not in values for v in value):
            raise _refuse(step, value, f"a list of at least one of {allowed}")
        if len(set(value)) != len(value):
            raise _refuse(step, value, "each choice once")
        return [v for v in values if v in value]


@dataclass(frozen=True, slots=True)
class KeysInput:
    """Play `count` keys on a piano keyboard, from `low` to `high` (MIDI numbers, both included).

    The value is the list of MIDI numbers in the order played. `given` are keys shown as a start, which the student
    does not play.
    """

    low: int
    high: int
    count: int = 1
    given: tuple[int, ...] = ()
    id: str = "keys"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of MIDI numbers, or raise AnswerError."""
        ok = isinstance(value, list) and len(value) == self.count
        if not ok or any(type(v) is not int or not self.low <= v <= self.high for v in value):
            raise _refuse(step, value, f"a list of {self.count} MIDI numbers from {self.low} to {self.high}")
        return list(value)


@dataclass(frozen=True, slots=True)
class SectionsInput:
    """Mark where sections begin and give each a letter.

    The value is a list of ``[first measure index, label]``, ascending, that begins with measure index 0. `measures`
    are the printed numbers of all measures.
    """

    measures: tuple[str, ...]
    id: str = "sections"

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of [index, label], or raise AnswerError."""
        allowed = f"a list of [measure index, label] from [0, …], ascending, below {len(self.measures)}"
        if not isinstance(value, list) or not 1 <= len(value) <= len(self.measures):
            raise _refuse(step, value, allowed)
        before = -1
        for row in value:
            if not isinstance(row, list) or len(row) != 2 or type(row[0]) is not int or not isinstance(row[1], str):
                raise _refuse(step, row, allowed)
            if not before < row[0] < len(self.measures) or (before < 0 and row[0] != 0):
                raise _refuse(step, row, allowed)
            if not 1 <= len(row[1].strip()) <= MAX_LABEL or not row[1].strip().isprintable():
                raise _refuse(step, row, f"a label of 1 to {MAX_LABEL} characters, such as 'A'")
            before = row[0]
        return [[row[0], row[1].strip()] for row in value]


Input: TypeAlias = ChoiceInput | KeysInput | SectionsInput


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
            raise _refuse("item", answer, f"one entry for each of {', '.join(ids)}")
        checked: dict[str, dict[str, JSON]] = {}
        for step in self.steps:
            given = answer[step.id]
            inputs = {entry.id: entry for entry in step.inputs}
            if not isinstance(given, Mapping) or len(given) != 1 or next(iter(given)) not in inputs:
                raise _refuse(step.id, given, f"exactly one of the inputs {', '.join(inputs)}")
            (name, value) = next(iter(given.items()))
            checked[step.id] = {name: inputs[name].check(step.id, value)}
        return checked
