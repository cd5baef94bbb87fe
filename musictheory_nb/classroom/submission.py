"""What one student handed in, read as hostile: answers are taken out of it as data, and everything else is a line.

Nothing in the folder is run, imported or followed. What it says of itself (whose it is, its seed, its version of the
lesson) decides no mark; where it contradicts the manifest, that is reported.
"""

import importlib.machinery
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.handout import notebook_name
from musictheory_nb.classroom.manifest import HandedOut
from musictheory_nb.classroom.notebook_file import source_text, tags_of
from musictheory_nb.classroom.parameters_cell import TAG, claimed_parameters
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.student_folder import MAX_ENTRIES, Entry, StudentFolder, open_student_folder
from musictheory_nb.errors import SubmissionError
from musictheory_nb.practice.answer_record import (
    MAX_BYTES,
    AnswerLine,
    RecordReading,
    merge_answers,
    read_record,
)
from musictheory_nb.practice.embedded_record import MAX_NOTEBOOK_BYTES, embedded_readings, notebook_from_bytes
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.record_file import record_name

#: Files of one student that are read, and bytes of them together.
MAX_FILES: Final = 20
MAX_TOTAL_BYTES: Final = 128 * 1024 * 1024
#: Values (numbers, texts, lists …) of one notebook: what is read into memory stays bounded.
MAX_VALUES: Final = 2_000_000
#: Lines about one student; the rest are counted.
MAX_PROBLEMS: Final = 25

RECORD_ENDING: Final = ".jsonl"
NOTEBOOK_ENDING: Final = ".ipynb"
#: Endings of files that Python imports.
_IMPORTABLE: Final = (*importlib.machinery.all_suffixes(), ".pth", ".pyw", ".egg")
#: Other endings -> what is said of such a file.
_OTHER: Final = (
    ((".zip", ".tar", ".gz", ".7z", ".rar"), "was not unpacked; have the files themselves handed in"),
    ((".manifest.json",), "was not believed; the teacher's manifest lies elsewhere"),
)
#: What the tools leave behind, which no teacher needs to hear of.
_TRACES: Final = (".ipynb_checkpoints", ".git", ".gitignore", ".gitkeep", ".DS_Store", "Thumbs.db", "desktop.ini")


@dataclass(frozen=True)
class Submission:
    """What could be read.

    Parameters
    ----------
    answers : tuple of AnswerLine
        Merged from all files, earliest first.
    handed_in : bool
        Whether there was a record or a notebook of this lesson.
    problems : tuple of str
        One line for each thing that a teacher should look at; none of them has touched a mark.
    notes : tuple of str
        What is good to know and needs no attention.
    """

    answers: tuple[AnswerLine, ...] = ()
    handed_in: bool = False
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass
class _Reading:
    """What has been read so far."""

    lesson: str
    copy: HandedOut
    cells: Mapping[str, str]
    sources: list[tuple[AnswerLine, ...]] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    handed_in: bool = False

    def take(self, reading: RecordReading, name: str, *, expected: bool) -> bool:
        """Take the answers of one record, or say why not; return whether it is of this lesson and student."""
        header = reading.header
        student = self.copy.student.id
        if header is None:
            if expected:
                self.problems += reading.problems
                self.sources.append(reading.answers)
            return expected
        if header.lesson != self.lesson:
            if expected:
                self.problems.append(f"{name} says it is of the lesson {header.lesson!r}; its answers are left out")
            return False
        if header.student != student:
            self.problems.append(f"{name} holds answers that say they are of {header.student!r}; they are left out")
            return False
        self.problems += reading.problems
        if header.digest and header.digest != self.copy.digest:
            self.problems.append(
                f"{name} was answered on another version of the lesson ({header.digest[:15]}…) than was handed out"
            )
        self.sources.append(reading.answers)
        return True

    def notebook(self, notebook: JSON, name: str, *, expected: bool) -> bool:
        """Take what a notebook carries and report what it says of itself; return whether it is of this lesson."""
        cells = notebook["cells"]
        claims = _claims(cells)
        ours = claims.get("LESSON") == self.lesson
        for reading in embedded_readings(notebook, name):
            ours = self.take(reading, name, expected=expected) or ours
        if not (ours or expected):
            return False
        truth = {
            "LESSON": (self.lesson, "lesson"),
            "STUDENT": (self.copy.student.id, "student"),
            "SEED": (str(self.copy.seed), "seed"),
            "DIGEST": (self.copy.digest, "version of the lesson"),
        }
        if not claims:
            self.problems.append(
                f"{name}: its parameters cell is gone or was rewritten; the manifest's values were used"
            )
        for parameter, (right, what) in truth.items():
            if claims and (said := claims.get(parameter)) != right:
                told = f"does not say its {what}" if said is None else f"says its {what} is {said[:60] or 'nobody'}"
                self.problems.append(f"{name} {told}; the manifest's was used, {right[:60]}")
        held = {source_text(cell).strip() for cell in cells if isinstance(cell, dict)}
        if changed := [id for id, source in self.cells.items() if source.strip() not in held]:
            told = ", ".join(changed)
            self.problems.append(f"{name}: cells missing or changed: {told}; the teacher's own exercises were marked")
        return True


def _claims(cells: Iterable[JSON]) -> dict[str, str]:
    """What the first parameters cell says, whether it still has its tag or not."""
    candidates = [cell for cell in cells if isinstance(cell, dict) and cell.get("cell_type") == "code"]
    for cell in sorted(candidates, key=lambda one: TAG not in tags_of(one)):
        claims = claimed_parameters(source_text(cell))
        if claims:
            return claims
    return {}


def _parsed(data: bytes, name: str) -> JSON:
    """Return the notebook in `data`, with a list of cells.

    Raises
    ------
    SubmissionError
        It is none, or too much to read.
    """
    values = data.count(b",") + data.count(b"[") + data.count(b"{")
    if values > MAX_VALUES:
        raise SubmissionError(f"{name} holds {values} values; at most {MAX_VALUES} are read")
    try:
        return notebook_from_bytes(data)
    except ValueError as error:
        raise SubmissionError(f"{name}: {error}") from None


def _lying_beside(entries: Iterable[Entry]) -> list[str]:
    """Lines about what has no business beside the notebook."""
    told = []
    for entry in entries:
        if entry.name in _TRACES:
            continue
        name = plain_line(entry.name, 60)
        if entry.kind == "link":
            told.append(f"{name} is a link; it was not followed")
        elif entry.kind == "other":
            told.append(f"{name} is neither file nor folder; it was not opened")
        elif entry.kind == "folder":
            told.append(f"the folder {name} lies beside the notebook; it was not looked into")
        elif entry.name.lower().endswith(_IMPORTABLE):
            told.append(f"{name} lies beside the notebook; it was neither run nor imported")
        else:
            told += [f"{name} {words}" for endings, words in _OTHER if entry.name.lower().endswith(endings)]
    return told


def _read_files(folder: StudentFolder, names: Iterable[str], reading: _Reading, expected: Mapping[str, bool]) -> None:
    """Read the files of those names in turn."""
    left = MAX_TOTAL_BYTES
    for name in names:
        shown = plain_line(name, 80)
        is_record = name.endswith(RECORD_ENDING)
        try:
            data = folder.read(name, min(MAX_BYTES if is_record else MAX_NOTEBOOK_BYTES, left))
            if data is None:
                continue
            left -= len(data)
            if is_record:
                ours = reading.take(read_record(data, shown), shown, expected=expected[name])
            else:
                ours = reading.notebook(_parsed(data, shown), shown, expected=expected[name])
            if ours and not expected[name]:
                reading.notes.append(f"{shown} was read too")
            reading.handed_in = reading.handed_in or ours
        except SubmissionError as error:
            reading.problems.append(str(error))
            reading.handed_in = reading.handed_in or expected[name]


def _cut(lines: list[str]) -> tuple[str, ...]:
    shown = [plain_line(line) for line in dict.fromkeys(lines)]
    if len(shown) > MAX_PROBLEMS:
        shown[MAX_PROBLEMS:] = [f"and {len(shown) - MAX_PROBLEMS} more lines of this kind"]
    return tuple(shown)


def read_submission(folder: Path, lesson: str, copy: HandedOut, cells: Mapping[str, str]) -> Submission:
    """Read what one student handed in; never raises for anything that lies in the folder.

    Read are the record and the notebook under the names that were handed out, and other records and notebooks in the
    same folder that say they are of this lesson and student (a renamed or second copy). Answers that say they are of
    another student or lesson are left out and reported.

    Parameters
    ----------
    folder : Path
        The class's folder.
    lesson : str
        Slug of the lesson.
    copy : HandedOut
        The student's line of the manifest.
    cells : Mapping of str to str
        Source of each exercise's cell as handed out, by exercise id.
    """
    reading = _Reading(lesson, copy, cells)
    usual = (record_name(lesson, copy.student.id), notebook_name(lesson))
    try:
        with open_student_folder(folder, copy.student.id) as opened:
            if opened is None:
                return Submission()
            entries, more = opened.entries()
            if more:
                reading.problems.append(f"more than {MAX_ENTRIES} things in the folder; only these were looked at")
            reading.problems += _lying_beside(entry for entry in entries if entry.name not in usual)
            others = [
                entry.name
                for entry in entries
                if entry.kind == "file"
                and entry.name not in usual
                and entry.name.endswith((RECORD_ENDING, NOTEBOOK_ENDING))
            ]
            if len(others) > MAX_FILES:
                reading.problems.append(f"{len(others)} records and notebooks; only the first {MAX_FILES} were read")
            names = (*usual, *others[:MAX_FILES])
            _read_files(opened, names, reading, {name: name in usual for name in names})
    except SubmissionError as error:
        reading.problems.append(str(error))
    except OSError as error:
        reading.problems.append(f"the folder cannot be read: {error.strerror}")
    answers, conflicts = merge_answers(*reading.sources)
    return Submission(answers, reading.handed_in, _cut([*reading.problems, *conflicts]), _cut(reading.notes))
