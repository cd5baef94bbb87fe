"""What a class handed in: the students' folders, and whatever else lies among them, found by what it says it is.

A file in the folder of a student is that student's. Anything else (a folder or zip of another name, a single notebook or
record, a zip of the whole class) is looked into, and belongs to the student that the parameters of the notebook name, or the
first line of the record. The seed in a notebook proves it: nobody else knows it. What nothing proves counts only where a
student has nothing else.
"""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.class_file import NAME
from musictheory_nb.classroom.handed_file import (
    MAX_GATHERED,
    NOTEBOOK_ENDING,
    RECORD_ENDING,
    TRACES,
    ZIP_ENDING,
    HandedFile,
    Listing,
    Opener,
    Place,
    list_place,
    list_zip,
    open_root,
)
from musictheory_nb.classroom.handed_notebook import claims_of, parsed_notebook
from musictheory_nb.classroom.manifest import manifest_path
from musictheory_nb.classroom.paper_answers import PAPER_FOLDER, paper_lines
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.student_folder import StudentFolder
from musictheory_nb.classroom.submission import (
    Elsewhere,
    Submission,
    read_submission,
    submission_fingerprint,
)
from musictheory_nb.errors import ClassroomError, SubmissionError
from musictheory_nb.practice.answer_record import MAX_BYTES, read_record
from musictheory_nb.practice.embedded_record import MAX_NOTEBOOK_BYTES, embedded_readings

#: Lines about what belongs to nobody; the rest are counted.
MAX_LINES: Final = 25


@dataclass(frozen=True)
class Submissions:
    """What a class handed in, ready to be read student by student, in any order and in any process.

    Parameters
    ----------
    folder : Path
        The class's folder, or a zip of it.
    assignment : Assignment
        What was handed out.
    elsewhere : Mapping of str to tuple of Elsewhere
        For each student, files that lie outside their folder.
    problems : tuple of str
        Lines about what belongs to nobody.
    paper : Path
        The folder in which answers from paper are kept.
    """

    folder: Path
    assignment: Assignment
    elsewhere: Mapping[str, tuple[Elsewhere, ...]]
    problems: tuple[str, ...]
    paper: Path
    _groups: Mapping[str, tuple[HandedOut, ...]] = field(default_factory=dict, repr=False)

    def arguments(self, copy: HandedOut) -> dict[str, Any]:
        """Return what `read_submission` and `submission_fingerprint` need for one student, as plain data."""
        members = self._groups.get(copy.group, (copy,)) if copy.group else (copy,)
        ids = [member.student.id for member in members]
        return {
            "folder": self.folder,
            "lesson": self.assignment.lesson,
            "copy": copy,
            "members": members,
            "elsewhere": tuple(one for id in ids for one in self.elsewhere.get(id, ())),
            "paper": tuple(line for id in ids for line in paper_lines(self.paper, self.assignment.lesson, id)),
        }

    def of(self, copy: HandedOut, cells: Mapping[str, str]) -> Submission:
        """Return what a student handed in; see `read_submission`.

        Raises
        ------
        RecordError
            The answers that the teacher entered from paper are damaged.
        """
        return read_submission(cells=cells, **self.arguments(copy))

    def fingerprint(self, copy: HandedOut) -> str:
        """Return the fingerprint of what a student handed in, without reading answers out of it.

        Raises
        ------
        RecordError
            The answers that the teacher entered from paper are damaged.
        """
        return submission_fingerprint(**self.arguments(copy))


@dataclass(frozen=True, slots=True)
class _Claim:
    """Whose a file says it is, and of which lesson; the seed where it names one."""

    student: str
    lesson: str
    seed: str = ""


def _claim(file: HandedFile, data: bytes) -> _Claim | None:
    if file.is_record:
        header = read_record(data.split(b"\n", 1)[0] + b"\n").header
        return None if header is None else _Claim(header.student, header.lesson)
    notebook = parsed_notebook(data, file.shown)
    claims = claims_of(notebook["cells"])
    if "STUDENT" in claims and "LESSON" in claims:
        return _Claim(claims["STUDENT"], claims["LESSON"], claims.get("SEED", ""))
    header = next((reading.header for reading in embedded_readings(notebook) if reading.header), None)
    return None if header is None else _Claim(header.student, header.lesson)


@dataclass
class _Search:
    """Whose the files are that lie outside the students' folders."""

    assignment: Assignment
    seeds: Mapping[str, str]
    found: list[Elsewhere] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def look(self, opener: Opener, file: HandedFile) -> bool:
        """Look at one file; return whether it says whose it is."""
        try:
            data = opener.read(file, MAX_BYTES if file.is_record else MAX_NOTEBOOK_BYTES)
            claim = None if data is None else _claim(file, data)
        except SubmissionError as error:
            self.told.append(str(error))
            return True
        if claim is None:
            return False
        if claim.lesson == self.assignment.lesson:
            seed = self.seeds.get(claim.student)
            if seed is None:
                who = claim.student or "nobody"
                self.told.append(f"{file.shown} says it is of {who}, who got no copy; it was not marked")
            else:
                self.found.append(Elsewhere(file, claim.student, claim.seed == seed))
        return True

    def elsewhere(self) -> dict[str, tuple[Elsewhere, ...]]:
        """What was found, by student; a record beside a proven notebook, and nobody else's, is proven by it."""
        owners: dict[tuple[str, ...], set[str]] = {}
        for one in self.found:
            owners.setdefault(one.file.steps, set()).add(one.student)
        sure = {one.file.steps for one in self.found if one.is_proven and one.file.steps}
        grouped: dict[str, list[Elsewhere]] = {}
        for one in self.found:
            proven = one.is_proven or (one.file.steps in sure and len(owners[one.file.steps]) == 1)
            grouped.setdefault(one.student, []).append(Elsewhere(one.file, one.student, proven))
        return {student: tuple(files) for student, files in grouped.items()}


def _others(folder: Path, assignment: Assignment, own: Sequence[Path], told: list[str]) -> list[os.DirEntry[str]]:
    """What lies in the class's folder and is neither a student's folder nor the teacher's."""
    known = {copy.student.id for copy in assignment.copies}
    found = []
    try:
        with os.scandir(folder) as entries:
            for entry in sorted(entries, key=lambda one: one.name):
                if entry.name in known or entry.name.startswith(".") or entry.name in TRACES:
                    continue
                if entry.is_symlink():
                    told.append(f"{entry.name} is a link; it was not followed")
                elif any(path.exists() and path.samefile(entry.path) for path in own):
                    continue
                elif entry.name in (manifest_path(folder, assignment.lesson).name, NAME, PAPER_FOLDER):
                    told.append(f"{entry.name} lies among the submissions; it was not believed")
                else:
                    found.append(entry)
    except OSError as error:
        raise ClassroomError(f"folder '{folder}' cannot be opened: {error.strerror}") from None
    return found


def _list_others(root: Place, others: Sequence[os.DirEntry[str]], search: _Search) -> None:
    """Look into everything that is neither a student's folder nor the teacher's."""
    loose = [one.name for one in others if one.is_file(follow_symlinks=False)]
    with Opener(root, MAX_GATHERED) as opener:
        for name in loose:
            if name.lower().endswith((RECORD_ENDING, NOTEBOOK_ENDING)):
                file = HandedFile((), name)
                if not search.look(opener, file):
                    search.told.append(f"{file.shown} does not say whose it is; it was not marked")
        for entry in others:
            shown = plain_line(entry.name, 60)
            if entry.is_dir(follow_symlinks=False):
                nobody = f"the folder {shown} is of no student in the class file; it was not marked"
            elif entry.name.lower().endswith(ZIP_ENDING):
                nobody = f"{shown} holds nothing that says whose it is; it was not marked"
            else:
                continue
            found = Listing()
            try:
                if isinstance(root, StudentFolder) and entry.is_dir(follow_symlinks=False):
                    with root.folder(entry.name) as inside:
                        list_place(inside, (entry.name,), found, most=MAX_GATHERED)
                else:
                    list_zip(root, entry.name, found, most=MAX_GATHERED)
            except SubmissionError as error:
                search.told.append(str(error))
                continue
            said = [search.look(opener, file) for file in found.files]
            search.told += found.told if any(said) else [*_only_refusals(found.told), nobody]


def _only_refusals(told: Sequence[str]) -> list[str]:
    """Of the lines about a place in which nothing was found, those about zips that were not opened."""
    return [line for line in told if ZIP_ENDING in line.lower()]


def gather_submissions(
    folder: Path, assignment: Assignment, *, own: Sequence[Path] = (), beside: Path | None = None
) -> Submissions:
    """Return what a class handed in.

    Parameters
    ----------
    folder : Path
        The class's folder with a folder for each student, or a folder or zip with their work in any order.
    assignment : Assignment
        What was handed out.
    own : sequence of Path
        What is the teacher's in that folder: the class file, the folder of the marks.
    beside : Path, optional
        The folder of the class file, where answers from paper lie; by default `folder`.

    Raises
    ------
    ClassroomError
        The folder cannot be opened.
    """
    folder = Path(folder)
    paper = (folder if beside is None else Path(beside)) / PAPER_FOLDER
    search = _Search(assignment, {copy.student.id: str(copy.shown_seed) for copy in assignment.copies})
    try:
        if folder.is_file():
            with open_root(folder) as root, Opener(root, MAX_GATHERED) as opener:
                found = Listing()
                list_place(root, (), found, most=MAX_GATHERED)
                search.told += found.told
                for file in found.files:
                    if not search.look(opener, file):
                        search.told.append(f"{file.shown} does not say whose it is; it was not marked")
        else:
            others = _others(folder, assignment, [*own, paper], search.told)
            if others:
                with open_root(folder) as root:
                    _list_others(root, others, search)
    except SubmissionError as error:
        raise ClassroomError(str(error)) from None
    groups: dict[str, tuple[HandedOut, ...]] = {}
    for copy in assignment.copies:
        if copy.group:
            groups[copy.group] = (*groups.get(copy.group, ()), copy)
    told = [plain_line(line) for line in dict.fromkeys(search.told)]
    if len(told) > MAX_LINES:
        told[MAX_LINES:] = [f"and {len(told) - MAX_LINES} more lines of this kind"]
    return Submissions(folder, assignment, search.elsewhere(), tuple(told), paper, groups)
