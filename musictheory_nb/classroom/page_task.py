"""Making the pages of students as tasks of their own, each made again only when something on it changed."""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.marking_run import MarkedAssignment
from musictheory_nb.classroom.marking_task import MarkingWork, marked_in_full, opened_terms, package_version
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.remark_store import NO_REMARKS, Remarks
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.shown_marks import ShownMarks, without_others
from musictheory_nb.classroom.student_page import student_page_html
from musictheory_nb.classroom.student_report import student_report
from musictheory_nb.classroom.worker_pool import Workers, run_all

#: Folder of the pages beside the report, and the list of what each was made from.
FOLDER: Final = "students"
LIST: Final = "pages.json"
#: From so many pages on, other processes are worth their start; so many go to one at once.
FEW: Final = 6
CHUNK: Final = 2


@dataclass(frozen=True)
class PageWork:
    """What the page of a student is made from."""

    work: MarkingWork
    student: Student
    final: FinalMark | None
    remarks: Remarks
    notices: tuple[str, ...]

    def digest(self, made_from: str) -> str:
        """Return a digest of all that is on the page, given that of the marks."""
        shown = repr((package_version(), made_from, self.student, self.final, self.remarks, self.notices))
        return hashlib.sha256(shown.encode("utf-8", "replace")).hexdigest()


def page_task(data: bytes, page: PageWork) -> bytes | None:
    """Return the page as a file; None where marking broke off.

    Parameters
    ----------
    data : bytes
        From `terms_bytes`.
    page : PageWork
        Of the student.
    """
    one = marked_in_full(opened_terms(data), page.work)
    if one.marked is None:
        return None
    report = student_report(
        one.marked,
        page.student,
        final=page.final,
        due=page.work.due,
        rubric_marks=page.remarks.rubric_marks,
        comments=page.remarks.comments,
        exchanges=page.remarks.exchanges,
        notices=page.notices,
    )
    return student_page_html(report)


def _page_works(marked: MarkedAssignment, shown: ShownMarks) -> Iterator[tuple[str, PageWork]]:
    finals = {final.student: final for final in shown.finals}
    marks = {one.student.id: one for one in shown.marks.students}
    ids = frozenset(marks)
    for id, work in marked.works.items():
        student = shown.students[id]
        notices = tuple(without_others(line, student.id, ids) for line in marks[student.id].problems)
        yield id, PageWork(work, student, finals.get(student.id), shown.remarks.get(id, NO_REMARKS), notices)


def _known(path: Path) -> dict[str, str]:
    try:
        read = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {str(name): str(digest) for name, digest in read.items()} if isinstance(read, dict) else {}


def page_name(student: Student) -> str:
    """Return the file name of a student's page."""
    return f"{student.id}.html"


def write_pages(
    marked: MarkedAssignment,
    shown: ShownMarks,
    to: Path,
    workers: Workers,
    each: Callable[[str], None] = lambda student: None,
) -> tuple[Mapping[str, str], int]:
    """Write a page for each student into ``students/``; those of which nothing changed are left as they are.

    Pages of an earlier run that are not made now, as under another name, are taken away.

    Parameters
    ----------
    marked : MarkedAssignment
        With names.
    shown : ShownMarks
        What is shown of it.
    to : Path
        The folder of the report.
    workers : Workers
        Who makes them.
    each : callable
        Is called with the id of each student whose page is there.

    Returns
    -------
    tuple
        Where the page of each student lies, relative to the report, by the id that is shown; and how many were made now.

    Raises
    ------
    ClassroomError
        The disk refuses.
    """
    home = to / FOLDER
    make_folder(home)
    before, now = _known(home / LIST), {}
    wanted: dict[str, PageWork] = {}
    pages: dict[str, str] = {}
    for id, page in _page_works(marked, shown):
        name = page_name(page.student)
        made_from = marked.prints.get(id, "")
        digest = page.digest(made_from)
        now[name] = digest if made_from else ""
        if made_from and before.get(name) == digest and (home / name).is_file():
            pages[page.student.id] = f"{FOLDER}/{name}"
            each(id)
        else:
            wanted[id] = page
    made = 0
    team = replace(workers, chunk=CHUNK, few=FEW)
    for (id, page), data in zip(
        wanted.items(), run_all(team, page_task, marked.terms, wanted.values(), len(wanted)), strict=True
    ):
        if data is not None:
            write_whole(home / page_name(page.student), data)
            pages[page.student.id] = f"{FOLDER}/{page_name(page.student)}"
            made += 1
        each(id)
    kept = {Path(href).name for href in pages.values()}
    for name in set(before) - kept:
        if Path(name).name == name and name.endswith(".html"):
            (home / name).unlink(missing_ok=True)
    text = json.dumps({name: digest for name, digest in sorted(now.items()) if name in kept}, indent=0)
    write_whole(home / LIST, text.encode("utf-8"))
    return pages, made
