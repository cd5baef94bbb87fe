"""Worksheets in a folder: the students' sheets in one place, the key and the table for the answers in another."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.answer_key import answer_key_html, blank_table
from musictheory_nb.classroom.assignment import Assignment
from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.print_pdf import NO_BROWSER, find_browser, print_pdf
from musictheory_nb.classroom.worksheet import LISTENING, Sheet, worksheet_html
from musictheory_nb.errors import ClassroomError
from musictheory_nb.practice.lesson_plan import LessonPlan

#: What goes to the students, and what stays with the teacher.
SHEETS: Final = "sheets"
TEACHER: Final = "teacher"
#: The seed of a sheet that is nobody's, as in a teacher's notebook.
PREVIEW_SEED: Final = 1


@dataclass(frozen=True)
class Printed:
    """What was written: the students' sheets, the teacher's files, and what a teacher should know."""

    sheets: tuple[Path, ...]
    teacher: tuple[Path, ...]
    remarks: tuple[str, ...] = ()


def sheets_for(assignment: Assignment, students: Sequence[str] = ()) -> tuple[tuple[Sheet, str], ...]:
    """Return the sheet of each student's copy, with when it is due as the teacher wrote it.

    Parameters
    ----------
    assignment : Assignment
        What was handed out.
    students : sequence of str
        Ids; none means all.

    Raises
    ------
    ClassroomError
        A student got no copy.
    """
    known = {copy.student.id: copy for copy in assignment.copies}
    if missing := [id for id in students if id not in known]:
        raise ClassroomError(f"no copy of {assignment.lesson!r} was handed out to {', '.join(missing[:12])}")
    versions = assignment.marked_by(assignment.versions())
    made = []
    for id in students or known:
        copy = known[id]
        due = assignment.due_of(copy)
        sheet = Sheet(versions[copy.digest].plan, copy.seed, id, copy.student.name)
        made.append((sheet, due.written if due is not None else ""))
    return tuple(made)


def sheet_without_name(plan: LessonPlan, seed: int = PREVIEW_SEED) -> tuple[tuple[Sheet, str], ...]:
    """Return one sheet that is nobody's."""
    return ((Sheet(plan, seed), ""),)


def write_worksheets(
    sheets: Sequence[tuple[Sheet, str]],
    to: Path,
    *,
    listening: str = "printed",
    pdf: bool = True,
    tell: Callable[[str], None] = lambda name: None,
) -> Printed:
    """Write sheets, key and table below `to`.

    Parameters
    ----------
    sheets : sequence of (Sheet, str)
        With when each is due.
    to : Path
        Made when it is not there. Sheets go to its folder `SHEETS`, all else to `TEACHER`.
    listening : str
        One of `worksheet.LISTENING`.
    pdf : bool
        Whether each page is printed to PDF too, where a browser is found.
    tell : callable
        Called with the name of each file that is done.

    Raises
    ------
    ClassroomError
        A word for `listening` that is not known, no sheets, a disk that refuses, a browser that fails.
    """
    if listening not in LISTENING:
        raise ClassroomError(f"listening {listening!r}; allowed: {', '.join(LISTENING)}")
    if not sheets:
        raise ClassroomError("no copy was handed out: there is nothing to print")
    to = Path(to)
    for folder in (to, to / SHEETS, to / TEACHER):
        if folder.is_symlink():
            raise ClassroomError(f"'{folder}' is a link; nothing is written through links")
        make_folder(folder)
    browser = find_browser() if pdf else ""
    lesson = sheets[0][0].plan.id

    def written(path: Path, data: bytes) -> list[Path]:
        write_whole(path, data)
        paths = [path]
        if browser and path.suffix == ".html":
            paths.append(path.with_suffix(".pdf"))
            print_pdf(browser, path, paths[-1])
        tell(path.name)
        return paths

    pages = []
    for sheet, due in sheets:
        pages += written(to / SHEETS / f"{sheet.file_name}.html", worksheet_html(sheet, listening=listening, due=due))
    own = [sheet for sheet, _ in sheets]
    kept = written(to / TEACHER / f"{lesson}.answer-key.html", answer_key_html(own, listening=listening))
    if any(sheet.student for sheet in own):
        kept += written(to / TEACHER / f"{lesson}.answers.csv", blank_table(own))
    return Printed(tuple(pages), tuple(kept), (NO_BROWSER,) if pdf and not browser else ())
