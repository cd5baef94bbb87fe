"""The files that marking writes: the table, the report, the pages of students, JUnit XML; with names or without."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.class_marks import ClassMarks
from musictheory_nb.classroom.junit_report import junit_xml
from musictheory_nb.classroom.marking_run import MarkedAssignment, MarkingOrder
from musictheory_nb.classroom.marks_column import check_columns
from musictheory_nb.classroom.marks_table import USUAL, MarksFormat, marks_csv
from musictheory_nb.classroom.page_task import FOLDER, write_pages
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.report import report_html
from musictheory_nb.classroom.report_extras import ReportExtras
from musictheory_nb.classroom.shown_marks import pseudonyms_of, with_names, without_names

MARKS_NAME: Final = "marks.csv"
REPORT_NAME: Final = "report.html"


@dataclass(frozen=True)
class MarkingFiles:
    """What is to be written.

    Parameters
    ----------
    to : Path
        The folder, made when it is not there.
    form : MarksFormat
        Of the table.
    students : bool
        Whether to write a page for each student.
    pseudonyms : bool
        Whether students are shown under pseudonyms, everywhere.
    junit : Path or None
        Where JUnit XML goes.
    fail_on_notices : bool
        Whether what is to be looked at counts as a failed test in it.
    """

    to: Path
    form: MarksFormat = USUAL
    students: bool = False
    pseudonyms: bool = False
    junit: Path | None = None
    fail_on_notices: bool = False

    def check(self, order: MarkingOrder) -> None:
        """Raise what would be raised only after all is marked.

        Raises
        ------
        ReportError
            A column that is not known.
        """
        if self.form.columns:
            versions = order.assignment.versions(order.lesson).values()
            check_columns(self.form.columns, tuple(dict.fromkeys(e.id for one in versions for e in one.plan.exercises)))


@dataclass(frozen=True)
class Written:
    """What was written: the marks as shown, how many pages were made anew, and where everything is."""

    marks: ClassMarks
    finals: tuple[FinalMark, ...]
    pages_made: int
    lines: tuple[str, ...]


def write_marking(
    order: MarkingOrder,
    marked: MarkedAssignment,
    files: MarkingFiles,
    each: Callable[[str], None] = lambda student: None,
) -> Written:
    """Write what was asked for.

    Parameters
    ----------
    order, marked
        What was marked, and what came of it.
    files : MarkingFiles
        What is to be written.
    each : callable
        Is called with the id of each student whose page is there.

    Raises
    ------
    ReportError
        A letter that the table's encoding has not.
    ClassroomError
        The disk refuses.
    """
    shown = without_names(marked, pseudonyms_of(order)) if files.pseudonyms else with_names(marked)
    lesson, lines, pages, made = shown.marks.lesson, [], {}, 0
    finals = {lesson: shown.finals} if shown.finals else {}
    table = marks_csv([shown.marks], finals, files.form)
    make_folder(files.to)
    if files.students:
        hrefs, made = write_pages(marked, shown, files.to, order.workers, each)
        pages = dict(hrefs)
        lines.append(f"Pages:  {files.to / FOLDER}")
    extras = ReportExtras(
        shown.finals,
        0.0 if marked.policy is None else marked.policy.pass_percent,
        shown.hints,
        {shown.students[id].id: one.exchanges for id, one in shown.remarks.items() if one.exchanges},
        pages,
    )
    write_whole(files.to / MARKS_NAME, table)
    write_whole(files.to / REPORT_NAME, report_html([shown.marks], extras={lesson: extras}))
    if files.junit is not None:
        make_folder(files.junit.parent)
        write_whole(files.junit, junit_xml([shown.marks], finals, fail_on_notices=files.fail_on_notices))
        lines.append(f"JUnit:  {files.junit}")
    return Written(shown.marks, shown.finals, made, tuple(lines))
