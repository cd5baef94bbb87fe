"""What one student handed in, read as hostile: answers are taken out of it as data, and everything else is a line.

Nothing in it is run, imported or followed. What it says of itself (whose it is, its seed, its version of the
lesson) decides no mark; where it contradicts the class file, that is reported.
"""

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.assignment import HandedOut
from musictheory_nb.classroom.handed_file import (
    MAX_GATHERED,
    NOTEBOOK_ENDING,
    HandedFile,
    Listing,
    Opener,
    Place,
    list_place,
    open_root,
)
from musictheory_nb.classroom.handed_notebook import claims_of, parsed_notebook
from musictheory_nb.classroom.handed_work import Source, newest_work
from musictheory_nb.classroom.notebook_file import notebook_name, source_text
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.student_folder import MAX_ENTRIES, open_student_folder
from musictheory_nb.errors import SubmissionError
from musictheory_nb.practice.answer_record import (
    MAX_BYTES,
    AnswerLine,
    RecordReading,
    merge_answers,
    read_record,
)
from musictheory_nb.practice.embedded_record import MAX_NOTEBOOK_BYTES, embedded_readings
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.record_file import record_name

#: Files of one student that are read, and bytes of them together.
MAX_FILES: Final = 20
MAX_TOTAL_BYTES: Final = 128 * 1024 * 1024
#: Lines about one student; the rest are counted.
MAX_PROBLEMS: Final = 25
#: A seed as a notebook names it.
_SEED: Final = re.compile(r"[0-9]{1,16}")


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
    sources : tuple of str
        Files whose answers these are.
    fingerprint : str
        The same as long as all that was handed in is the same; see `submission_fingerprint`.
    claimed_seeds, claimed_students : tuple
        Seeds and students that it names, right or wrong; for hints alone.
    """

    answers: tuple[AnswerLine, ...] = ()
    handed_in: bool = False
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    fingerprint: str = ""
    claimed_seeds: tuple[int, ...] = ()
    claimed_students: tuple[str, ...] = ()


@dataclass
class _Reading:
    """What has been read so far, and whose file is being read."""

    lesson: str
    copy: HandedOut
    cells: Mapping[str, str]
    is_proven: bool = True
    sources: list[Source] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    handed_in: bool = False
    seeds: set[int] = field(default_factory=set)
    students: set[str] = field(default_factory=set)
    known: dict[str, AnswerLine] = field(default_factory=dict)

    def _keep(self, reading: RecordReading, file: HandedFile) -> None:
        for answer in reading.answers:
            self.known.setdefault(answer.id, answer)
        self.sources.append(Source(file.shown, file.steps, self.copy.student.id, reading.answers, self.is_proven))

    def take(self, reading: RecordReading, file: HandedFile, *, expected: bool) -> bool:
        """Take the answers of one record, or say why not; return whether it is of this lesson and student."""
        header, name = reading.header, file.shown
        student = self.copy.student.id
        if header is None:
            if expected:
                self.problems += reading.problems
                self._keep(reading, file)
            return expected
        if header.lesson != self.lesson:
            if expected:
                self.problems.append(f"{name} says it is of the lesson {header.lesson!r}; its answers are left out")
            return False
        self.students.add(header.student)
        if header.student != student:
            self.problems.append(f"{name} holds answers that say they are of {header.student!r}; they are left out")
            return False
        self.problems += reading.problems
        if header.digest and header.digest != self.copy.shown_digest:
            self.problems.append(
                f"{name} was answered on another version of the lesson ({header.digest[:15]}…) than was handed out"
            )
        self._keep(reading, file)
        return True

    def notebook(self, notebook: JSON, file: HandedFile, *, expected: bool) -> bool:
        """Take what a notebook carries and report what it says of itself; return whether it is of this lesson."""
        cells, name = notebook["cells"], file.shown
        claims = claims_of(cells)
        ours = claims.get("LESSON") == self.lesson
        for reading in embedded_readings(notebook, name, self.known):
            ours = self.take(reading, file, expected=expected) or ours
        if not (ours or expected):
            return False
        truth = {
            "LESSON": (self.lesson, "lesson"),
            "STUDENT": (self.copy.student.id, "student"),
            "SEED": (str(self.copy.shown_seed), "seed"),
            "DIGEST": (self.copy.shown_digest, "version of the lesson"),
        }
        if not claims:
            self.problems.append(
                f"{name}: its parameters cell is gone or was rewritten; the teacher's values were used"
            )
        if _SEED.fullmatch(seed := claims.get("SEED", "")):
            self.seeds.add(int(seed))
        for parameter, (right, what) in truth.items():
            if claims and (said := claims.get(parameter)) != right:
                told = f"does not say its {what}" if said is None else f"says its {what} is {said[:60] or 'nobody'}"
                self.problems.append(f"{name} {told}; the teacher's was used, {right[:60]}")
        held = {source_text(cell).strip() for cell in cells if isinstance(cell, dict)}
        if changed := [id for id, source in self.cells.items() if source.strip() not in held]:
            told = ", ".join(changed)
            self.problems.append(f"{name}: cells missing or changed: {told}; the teacher's own exercises were marked")
        return True


@dataclass(frozen=True)
class _Piece:
    """One file of one student, or what kept it from being read; `expected` where a hand-out gave it its name and place."""

    copy: HandedOut
    file: HandedFile
    data: bytes | None
    problem: str = ""
    expected: bool = False
    is_proven: bool = True


@dataclass
class _Budget:
    """Bytes and files of one student that may still be read."""

    bytes: int = MAX_TOTAL_BYTES
    files: int = MAX_FILES


def _pieces(
    place: Place,
    files: Iterable[tuple[HandedFile, HandedOut, bool, bool]],
    budget: _Budget,
    most: int = MAX_ENTRIES,
) -> Iterator[_Piece]:
    """Read files one after the other; each comes with whose it is, whether it is expected, and whether that is proven."""
    with Opener(place, most) as opener:
        for file, copy, expected, is_proven in files:
            try:
                data = opener.read(file, min(MAX_BYTES if file.is_record else MAX_NOTEBOOK_BYTES, budget.bytes))
            except SubmissionError as error:
                yield _Piece(copy, file, None, str(error), expected, is_proven)
                continue
            if data is not None:
                budget.bytes -= len(data)
                yield _Piece(copy, file, data, "", expected, is_proven)


def _is_of_another_lesson(file: HandedFile, student: str) -> bool:
    """Whether the hand-out of some other lesson gave a file its name and place."""
    ending = f".{student}.answers.jsonl" if file.is_record else NOTEBOOK_ENDING
    return not file.steps and file.name.endswith(ending) and is_slug(file.name.removesuffix(ending))


def _own_pieces(folder: Path, lesson: str, copy: HandedOut, budget: _Budget, told: list[str]) -> Iterator[_Piece]:
    """Read what lies in the folder of one student."""
    usual = (record_name(lesson, copy.student.id), notebook_name(lesson))
    if folder.is_file():  # a zip with the work of the class
        return
    try:
        with open_student_folder(folder, copy.student.id) as opened:
            if opened is None:
                return
            found = Listing()
            list_place(opened, (), found, skip=usual)  # reading those says what is wrong with them
            told += found.told
            others = [file for file in found.files if not _is_of_another_lesson(file, copy.student.id)]
            of_others = [file for file in found.files if _is_of_another_lesson(file, copy.student.id)]
            if len(others) > budget.files:
                told.append(f"{len(others)} records and notebooks; only the first {MAX_FILES} were read")
            chosen = [*others[: budget.files], *of_others]
            passed = frozenset(of_others)  # unless it names this lesson: a copy under another name
            budget.files -= min(len(others), budget.files)
            files = [
                *((HandedFile((), name), copy, True, True) for name in usual),
                *((file, copy, False, True) for file in chosen),
            ]
            for piece in _pieces(opened, files, budget):
                if piece.file not in passed or piece.data is None or lesson.encode("ascii") in piece.data:
                    yield piece
    except SubmissionError as error:
        told.append(str(error))
    except OSError as error:
        told.append(f"the folder cannot be read: {error.strerror}")


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A file that was found by what it says it is, outside the folder of its student: where, whose, and whether proven."""

    file: HandedFile
    student: str
    is_proven: bool


def _all_pieces(
    folder: Path, lesson: str, members: Sequence[HandedOut], elsewhere: Sequence[Elsewhere], told: list[str]
) -> Iterator[_Piece]:
    budget = _Budget()
    for member in members:
        yield from _own_pieces(folder, lesson, member, budget, told)
    if not elsewhere:
        return
    by_id = {member.student.id: member for member in members}
    chosen = [one for one in elsewhere if one.student in by_id][: max(budget.files, 1)]
    if len(chosen) < len(elsewhere):
        told.append(f"{len(elsewhere)} more records and notebooks; only the first {len(chosen)} were read")
    try:
        with open_root(folder) as root:
            files = ((one.file, by_id[one.student], False, one.is_proven) for one in chosen)
            yield from _pieces(root, files, budget, MAX_GATHERED)
    except SubmissionError as error:
        told.append(str(error))


def _take(piece: _Piece, reading: _Reading) -> None:
    """Take the answers out of one file."""
    reading.copy, reading.is_proven = piece.copy, piece.is_proven
    file, expected = piece.file, piece.expected
    try:
        if piece.data is None:
            raise SubmissionError(piece.problem)
        if file.is_record:
            ours = reading.take(read_record(piece.data, file.shown), file, expected=expected)
        else:
            ours = reading.notebook(parsed_notebook(piece.data, file.shown), file, expected=expected)
        if ours and not expected:
            reading.notes.append(f"{file.shown} was read too")
        reading.handed_in = reading.handed_in or ours
    except SubmissionError as error:
        reading.problems.append(str(error))
        reading.handed_in = reading.handed_in or expected


def _cut(lines: list[str]) -> tuple[str, ...]:
    shown = [plain_line(line) for line in dict.fromkeys(lines)]
    if len(shown) > MAX_PROBLEMS:
        shown[MAX_PROBLEMS:] = [f"and {len(shown) - MAX_PROBLEMS} more lines of this kind"]
    return tuple(shown)


class _Fingerprint:
    """SHA-256 over every file that is read, and every line about what is not."""

    def __init__(self) -> None:
        self._hash = hashlib.sha256()

    def add(self, piece: _Piece) -> None:
        """Add one file."""
        content = piece.problem.encode("utf-8", "replace") if piece.data is None else piece.data
        head = f"{piece.copy.student.id}\n{piece.file.shown}\n{len(content)}\n"
        self._hash.update(head.encode("utf-8", "replace"))
        self._hash.update(content)

    def text(self, told: Sequence[str]) -> str:
        """Return the fingerprint."""
        self._hash.update("\n".join(told).encode("utf-8", "replace"))
        return self._hash.hexdigest()


def submission_fingerprint(
    folder: Path,
    lesson: str,
    copy: HandedOut,
    *,
    members: Sequence[HandedOut] = (),
    elsewhere: Sequence[Elsewhere] = (),
    paper: Sequence[AnswerLine] = (),
) -> str:
    """Return what `read_submission` has as its fingerprint, without looking into the files: much faster.

    Parameters
    ----------
    folder, lesson, copy, members, elsewhere, paper
        As for `read_submission`.
    """
    told: list[str] = []
    mark = _Fingerprint()
    for piece in _all_pieces(folder, lesson, members or (copy,), elsewhere, told):
        mark.add(piece)
    return mark.text([*told, *(line.line() for line in paper)])


def read_submission(
    folder: Path,
    lesson: str,
    copy: HandedOut,
    cells: Mapping[str, str],
    *,
    members: Sequence[HandedOut] = (),
    elsewhere: Sequence[Elsewhere] = (),
    paper: Sequence[AnswerLine] = (),
) -> Submission:
    """Read what one student handed in; never raises for anything that lies in the folder.

    Read are the record and the notebook under the names that were handed out, and other records and notebooks in the
    same folder, in folders and zips in it, that say they are of this lesson and student (a renamed or second copy).
    Answers that say they are of another student or lesson are left out and reported. Of several pieces of work the newest
    counts (`newest_work`).

    Parameters
    ----------
    folder : Path
        The class's folder.
    lesson : str
        Slug of the lesson.
    copy : HandedOut
        The student's copy.
    cells : Mapping of str to str
        Source of each exercise's cell as handed out, by exercise id.
    members : sequence of HandedOut
        The copies of the student's group, this one among them: what one member handed in counts for all.
    elsewhere : sequence of Elsewhere
        Files that lie outside the student's folder; see `Submissions`.
    paper : sequence of AnswerLine
        Answers that the teacher entered from paper.
    """
    reading = _Reading(lesson, copy, cells)
    told: list[str] = []
    mark = _Fingerprint()
    for piece in _all_pieces(folder, lesson, members or (copy,), elsewhere, told):
        mark.add(piece)
        _take(piece, reading)
    problems = [*told, *reading.problems]
    work, others = newest_work(reading.sources)
    for other in others:
        problems.append(
            f"{other.names}: other answers to the same items, {len(other.answers)} until {other.last[:16]}; the newer "
            f"ones in {work.names} count"
        )
    if work.sources and not any(one.is_proven for one in work.sources):
        problems.append(f"{work.names}: nothing but the file itself says whose it is")
    notes = list(reading.notes)
    handed = sorted({one.student for one in work.sources} - {copy.student.id})
    if handed:
        notes.append(f"handed in for the group {copy.group} by {', '.join(handed)}")
    answers, conflicts = merge_answers(work.answers, tuple(paper))
    if paper:
        notes.append(f"{len(paper)} answers were entered from paper")
    return Submission(
        answers,
        reading.handed_in or bool(paper),
        _cut([*problems, *work.conflicts, *conflicts]),
        _cut(notes),
        tuple(dict.fromkeys(one.name for one in work.sources)),
        mark.text([*told, *(line.line() for line in paper)]),
        tuple(sorted(reading.seeds)),
        tuple(sorted(reading.students)),
    )
