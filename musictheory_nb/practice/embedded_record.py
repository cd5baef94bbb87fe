"""The copy of the answer record that a notebook carries in the output of its hand-in cell."""

import json
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import RecordError
from musictheory_nb.practice.answer_record import (
    FORMAT,
    MAX_LINES,
    MAX_PROBLEMS,
    AnswerLine,
    RecordHeader,
    RecordReading,
    answer_from_data,
    header_from_data,
)
from musictheory_nb.practice.marking import MarkedLesson
from musictheory_nb.practice.plain_data import JSON, unique_pairs

#: MIME type of the answers in a cell's output.
ANSWERS_MIME: Final = "application/vnd.musictheory-nb.answers+json"
#: MIME type of the marks that the kernel worked out; read from the teacher's own re-run only.
MARKS_MIME: Final = "application/vnd.musictheory-nb.marks+json"
#: Largest notebook file that is read for its answers.
MAX_NOTEBOOK_BYTES: Final = 64 * 1024 * 1024
#: Longest whole number in a notebook's other outputs that is read; Python itself stops at 4300 digits.
_MAX_DIGITS: Final = 4000

#: No answer has been read before.
NOTHING_KNOWN: Final[Mapping[str, AnswerLine]] = MappingProxyType({})


def embedded_answers(header: RecordHeader, answers: Iterable[AnswerLine]) -> dict[str, JSON]:
    """Return the JSON values that the hand-in cell stores under `ANSWERS_MIME`."""
    return {
        "header": {"format": FORMAT, "lesson": header.lesson, "student": header.student, "digest": header.digest},
        "answers": [answer.to_data() for answer in answers],
    }


def read_embedded_answers(
    data: JSON, name: str = "notebook", known: Mapping[str, AnswerLine] = NOTHING_KNOWN
) -> RecordReading:
    """Read what `embedded_answers` writes, from a notebook that nobody vouches for; never raises for its content.

    Parameters
    ----------
    data : JSON
        Of any shape.
    name : str
        How the problems call it.
    known : Mapping of str to AnswerLine
        Answers that have been read already, by id: what says the same need not be looked at again.

    Examples
    --------
    >>> read_embedded_answers({"answers": 3}).problems
    ('notebook: its embedded answers are not in the form that the hand-in cell writes',)
    """
    rows = data.get("answers") if isinstance(data, dict) else None
    if not isinstance(data, dict) or set(data) != {"header", "answers"} or not isinstance(rows, list):
        return RecordReading(
            None, (), (f"{name}: its embedded answers are not in the form that the hand-in cell writes",)
        )
    problems: list[str] = []
    header: RecordHeader | None = None
    try:
        header = header_from_data(data["header"])
    except RecordError as error:
        problems.append(f"{name} embedded header: {error}")
    answers: dict[str, AnswerLine] = {}
    for number, row in enumerate(rows[:MAX_LINES], start=1):
        id = row.get("id") if isinstance(row, dict) else None
        if isinstance(id, str) and (old := known.get(id)) is not None and old.says(row):
            answers.setdefault(id, old)
            continue
        try:
            answer = answer_from_data(row)
        except RecordError as error:
            problems.append(f"{name} embedded answer {number}: {error}")
            continue
        if answers.setdefault(answer.id, answer) != answer:
            problems.append(f"{name} embedded answer {number}: its id stands twice and differs; the first one stands")
    if len(rows) > MAX_LINES:
        problems.append(f"{name}: {len(rows)} embedded answers; only the first {MAX_LINES} are read")
    if len(problems) > MAX_PROBLEMS:
        problems[MAX_PROBLEMS:] = [
            f"{name}: and {len(problems) - MAX_PROBLEMS} more embedded answers that cannot be read"
        ]
    return RecordReading(header, tuple(answers.values()), tuple(problems))


def marks_data(marked: MarkedLesson) -> dict[str, JSON]:
    """Return the marks as the hand-in cell stores them under `MARKS_MIME`: a score an item, null where not answered."""
    return {
        one.exercise.id: [None if item.line is None else round(item.mark.score, 9) for item in one.items]
        for one in marked.exercises
    }


def _any_number(text: str) -> int:
    if len(text) > _MAX_DIGITS:
        raise ValueError(f"not JSON that can be read: a number of {len(text)} digits")
    return int(text)


def notebook_from_bytes(data: bytes) -> dict[str, JSON]:
    """Return the parsed notebook in a file that nobody vouches for; it has a list of cells, of any shape.

    Other outputs than ours may hold NaN and numbers of any size, which other programs write: only the answers are read
    strictly (`read_embedded_answers`). A name that stands twice in one object is refused wherever it is.

    Raises
    ------
    ValueError
        Not UTF-8, not JSON, nested too deep, or not a notebook.
    """
    try:
        notebook = json.loads(data.decode("utf-8-sig"), object_pairs_hook=unique_pairs, parse_int=_any_number)
    except UnicodeDecodeError:
        raise ValueError("not UTF-8 text") from None
    except json.JSONDecodeError as error:
        raise ValueError(f"not JSON: {error.msg} at line {error.lineno}") from None
    except RecursionError:
        raise ValueError("not JSON that can be read: nested too deep") from None
    if not isinstance(notebook, dict) or not isinstance(notebook.get("cells"), list):
        raise ValueError("not a notebook")
    return notebook


def read_notebook_answers(data: bytes, name: str = "notebook") -> RecordReading:
    """Read all embedded answers of a notebook file that nobody vouches for; never raises for its content.

    Looks at the outputs of code cells only; of a notebook with several copies, all are read and joined.

    Parameters
    ----------
    data : bytes
        The whole ``.ipynb`` file.
    name : str
        How the problems call it.

    Examples
    --------
    >>> read_notebook_answers(b"[]", "handed-in.ipynb").problems
    ('handed-in.ipynb: not a notebook',)
    """
    if len(data) > MAX_NOTEBOOK_BYTES:
        return RecordReading(None, (), (f"{name}: {len(data)} bytes; at most {MAX_NOTEBOOK_BYTES} are read",))
    try:
        notebook = notebook_from_bytes(data)
    except ValueError as error:
        return RecordReading(None, (), (f"{name}: {error}",))
    header: RecordHeader | None = None
    answers: dict[str, AnswerLine] = {}
    problems: list[str] = []
    for reading in embedded_readings(notebook, name):
        header = header or reading.header
        problems.extend(reading.problems)
        for answer in reading.answers:
            if answers.setdefault(answer.id, answer) != answer:
                problems.append(f"{name}: answer {answer.id} stands twice and differs; the first one stands")
    return RecordReading(header, tuple(answers.values()), tuple(problems[:MAX_PROBLEMS]))


def embedded_readings(
    notebook: JSON, name: str = "notebook", known: Mapping[str, AnswerLine] = NOTHING_KNOWN
) -> Iterator[RecordReading]:
    """Yield what each output that carries answers holds, in the order of the notebook.

    Parameters
    ----------
    notebook : JSON
        The parsed notebook, of any shape.
    name : str
        How the problems call it.
    known : Mapping of str to AnswerLine
        As for `read_embedded_answers`.
    """
    cells = notebook.get("cells") if isinstance(notebook, dict) else None
    for cell in cells if isinstance(cells, list) else ():
        outputs = cell.get("outputs") if isinstance(cell, dict) else None
        for output in outputs if isinstance(outputs, list) else ():
            bundle = output.get("data") if isinstance(output, dict) else None
            if isinstance(bundle, dict) and ANSWERS_MIME in bundle:
                yield read_embedded_answers(bundle[ANSWERS_MIME], name, known)
