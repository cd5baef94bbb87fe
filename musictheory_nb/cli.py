"""The command line: ``musictheory-nb lab``, ``handout``, ``mark``, ``demo``, ``analyse``, ``write``, ``lesson`` and more."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from dataclasses import replace
from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Final

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.table import Table
from rich.text import Text

from musictheory_nb.classroom.exit_status import FAILED, MISUSED, RERUN_DISAGREES, STATUSES, exit_status
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import ClassroomError, MusicTheoryError, RerunError, ScoreError

if TYPE_CHECKING:
    from musictheory_nb.classroom.class_marks import ClassMarks
    from musictheory_nb.classroom.policy_effect import FinalMark

#: Rows of a table on the screen; larger classes are in the report.
MAX_ROWS: Final = 60


def _help(*paragraphs: str) -> str:
    """Return help whose paragraphs are as wide as the screen, whatever the width of this file."""
    return "\n\n".join(paragraphs)


app = typer.Typer(
    name="musictheory-nb",
    help="Music theory lessons in Jupyter notebooks: open them, hand them out, and mark what comes back.",
    epilog="Exit status: " + "; ".join(f"{status} {words}" for status, words in STATUSES.items()) + ".",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)


def _console() -> Console:
    return Console(highlight=False, soft_wrap=True)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"musictheory-nb {version('musictheory-nb')}")
        raise typer.Exit


@app.callback()
def _options(
    show_version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Music theory lessons in Jupyter notebooks: open them, hand them out, and mark what comes back."""


EncodingOption = Annotated[
    str, typer.Option(metavar="NAME", help="Encoding of the tables, where it is not UTF-8 or UTF-16.")
]
LessonArgument = Annotated[
    Path, typer.Argument(metavar="LESSON", help="The teacher's lesson notebook, or the name of a bundled one.")
]


@app.command(
    help=_help(
        "Open JupyterLab on the lessons.",
        "Whatever else is written goes on to JupyterLab, such as --no-browser or --port 8899.",
    ),
    epilog="Example:\n\nmusictheory-nb lab lessons",
    context_settings={"allow_extra_args": True, "ignore_unknown_options": True},
)
def lab(
    context: typer.Context,
    folder: Annotated[
        Path | None, typer.Argument(metavar="[FOLDER]", help="A folder or notebook; by default the bundled lessons.")
    ] = None,
) -> None:
    """Open JupyterLab on the lessons."""
    from musictheory_nb.classroom.lesson_folder import lesson_folder

    passed_on = list(context.args)
    if folder is not None and str(folder).startswith("-"):  # an option of JupyterLab, and no folder
        passed_on.insert(0, str(folder))
        folder = None
    place = folder if folder is not None else lesson_folder()
    if not place.exists():
        raise ClassroomError(f"'{place}': there is no such folder or notebook")
    if find_spec("jupyterlab") is None:
        raise ClassroomError("JupyterLab is not installed here; run: python -m pip install jupyterlab")
    # -P: nothing that lies in the current folder is imported by the server
    command = [sys.executable, "-P", "-m", "jupyterlab", str(place), *passed_on]
    if os.name == "posix":
        sys.stdout.flush()
        os.execv(command[0], command)
    raise typer.Exit(subprocess.call(command))


@app.command(
    help=_help(
        "Make a copy of a lesson for each student, each with items of its own, and the teacher's class file.",
        "Nothing that is there is overwritten: run it again to add a student. Keep FOLDER/class.sqlite to "
        "yourself, and keep it: marking goes by it.",
        "The roster, or a second table under --settings, may also say what a student needs otherwise than the class, in "
        "columns such as clef, transposition, names, present, extra time, due, group and section.",
    ),
    epilog="Example:\n\nmusictheory-nb handout lessons/02_hear_the_tritone.ipynb --roster class.csv --to term1",
)
def handout(
    lesson: LessonArgument,
    roster: Annotated[
        Path, typer.Option(metavar="FILE", help="CSV with columns such as student, name, email, in any order.")
    ],
    to: Annotated[
        Path, typer.Option("--to", metavar="FOLDER", help="Where the students' folders and the class file go.")
    ],
    due: Annotated[
        str, typer.Option(metavar="TIME", help="Date, time and zone, as '2026-11-01 23:59 Europe/Berlin'.")
    ] = "",
    encoding: EncodingOption = "",
    settings: Annotated[
        Path | None, typer.Option(metavar="FILE", help="A second table, of what some students need otherwise.")
    ] = None,
    attempts: Annotated[
        int | None,
        typer.Option(
            metavar="N", help="How often a question may be answered: tries in a copy, and answers that are looked at."
        ),
    ] = None,
    groups: Annotated[
        bool, typer.Option("--groups", help="Students of one group share a copy, and one hand-in counts for all.")
    ] = False,
    name: Annotated[
        str, typer.Option("--as", metavar="NAME", help="Hand the lesson out once more, with new questions, as NAME.")
    ] = "",
    makes_up: Annotated[
        str, typer.Option("--makes-up", metavar="NAME", help="The earlier lesson for which this one makes up.")
    ] = "",
    sealed: Annotated[
        bool,
        typer.Option(
            "--sealed", help="For work that counts: copies hold pictures and sounds, and nothing of the answers."
        ),
    ] = False,
    class_key: Annotated[
        str,
        typer.Option(
            "--class-key", metavar="KEY", help="To make a lost class file again: the key that `class key` printed."
        ),
    ] = "",
) -> None:
    """Make a copy of a lesson for each student, and the teacher's class file."""
    from musictheory_nb.classroom.due_time import read_due
    from musictheory_nb.classroom.handout import Terms, hand_out
    from musictheory_nb.classroom.lesson_folder import find_lesson
    from musictheory_nb.classroom.lesson_notebook import read_lesson
    from musictheory_nb.classroom.lesson_variant import lesson_variant
    from musictheory_nb.classroom.roster import read_roster, with_settings_file

    notebook = lesson_variant(read_lesson(find_lesson(lesson)), name=name)
    students = read_roster(roster, encoding)
    if settings is not None:
        students = with_settings_file(students, settings, encoding)
    moment = read_due(due) if due else None
    done = hand_out(
        notebook,
        students,
        to,
        terms=Terms(moment, attempts, groups or None, makes_up or None, sealed or None),
        class_key=class_key,
    )
    console = _console()
    written = f"{len(done.written)} {'copy' if len(done.written) == 1 else 'copies'} written"
    console.print(
        Text(
            f"{notebook.plan.title}: {written}, {len(done.kept)} left as {'it was' if len(done.kept) == 1 else 'they were'}"
        )
    )
    for remark in (*notebook.remarks, *done.remarks):
        console.print(Text(f"Note: {plain_line(remark, 400)}"))
    if done.assignment.attempts > 1:
        told = "which of them counts, the policy says; without one, the first"
        console.print(Text(f"Each question may be answered {done.assignment.attempts} times: {told}."))
    if done.assignment.due is not None:
        console.print(Text(f"Due: {done.assignment.due.written} ({done.assignment.due.utc})"))
    later = [copy for copy in done.assignment.copies if copy.due is not None]
    for copy in later[:MAX_ROWS]:
        if copy.due is not None:
            console.print(Text(f"Due for {plain_line(copy.student.name, 40)}: {copy.due.written} ({copy.due.utc})"))
    console.print(Text(f"Students' folders: {to}"))
    console.print(Text(f"Class file, for the teacher alone: {done.path}"))


@app.command(
    help=_help(
        "Mark what a class has handed in.",
        "Marks are worked out from the recorded answers, by the teacher's exercises and the class file. Nothing that a "
        "student handed in is run, and what it says of itself has no effect; whatever is wrong with it is a line in the "
        "report.",
        "The class file keeps the marks: the next time only what changed is marked again. Your rubric marks and comments "
        "stay.",
    ),
    epilog="Example:\n\nmusictheory-nb mark lessons/02_hear_the_tritone.ipynb term1 --to marks",
)
def mark(
    lesson: LessonArgument,
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="What was handed in: a folder for each student, or a zip of them.")
    ],
    to: Annotated[
        Path, typer.Option("--to", metavar="OUT", help="Where marks.csv and report.html go; nothing else is written.")
    ],
    policy: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Your marking policy, as `musictheory-nb policy` writes one to start from."),
    ] = None,
    students: Annotated[
        bool, typer.Option("--students", help="Also write a page for each student, to be given back, to OUT/students.")
    ] = False,
    columns: Annotated[
        str, typer.Option(metavar="NAMES", help="Columns of marks.csv, as 'student,percent,exercises'.")
    ] = "",
    order: Annotated[
        str, typer.Option(metavar="WORD", help="Rows of marks.csv by roster, name, student or percent.")
    ] = "roster",
    separator: Annotated[
        str, typer.Option(metavar="WORD", help="Between columns of marks.csv: comma, semicolon or tab.")
    ] = "comma",
    decimal: Annotated[str, typer.Option(metavar="WORD", help="Decimal sign in marks.csv: point or comma.")] = "point",
    encoding: Annotated[
        str, typer.Option(metavar="NAME", help="Encoding of marks.csv: utf-8, utf-8-bom, utf-16, cp1252 or latin-2.")
    ] = "utf-8",
    pseudonyms: Annotated[
        bool, typer.Option("--pseudonyms", help="Show each student under the pseudonym of the class file, everywhere.")
    ] = False,
    junit: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the marks as JUnit XML, for a CI service.")
    ] = None,
    fail_on_notices: Annotated[
        bool, typer.Option("--fail-on-notices", help="End with status 4 when something handed in is to be looked at.")
    ] = False,
    rerun: Annotated[
        bool, typer.Option("--rerun", help="Also run the teacher's notebook with each student's answers, and compare.")
    ] = False,
    everything: Annotated[bool, typer.Option("--all", help="Mark again what has not changed, too.")] = False,
    workers: Annotated[
        int, typer.Option(metavar="N", help="Processes that mark; by default one for each processor.")
    ] = 0,
    scheduler: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Mark on a Dask cluster, as tcp://10.0.0.5:8786.")
    ] = "",
    manifest: Annotated[
        Path | None,
        typer.Option(
            metavar="PATH", help="The class file, or the folder it is in; by default it is looked for in FOLDER."
        ),
    ] = None,
    name: Annotated[
        str, typer.Option("--as", metavar="NAME", help="The name under which the lesson was handed out once more.")
    ] = "",
) -> None:
    """Mark what a class has handed in."""
    from musictheory_nb.classroom.assignment_store import find_assignment
    from musictheory_nb.classroom.lesson_folder import find_lesson
    from musictheory_nb.classroom.lesson_notebook import read_lesson
    from musictheory_nb.classroom.lesson_variant import lesson_variant
    from musictheory_nb.classroom.marking_files import MarkingFiles, write_marking
    from musictheory_nb.classroom.marking_policy import read_policy
    from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
    from musictheory_nb.classroom.marks_table import MarksFormat
    from musictheory_nb.classroom.rerun import RerunResult, check_agreement, with_rerun
    from musictheory_nb.classroom.rerun_task import rerun_class
    from musictheory_nb.classroom.worker_pool import Workers

    wanted = tuple(one.strip() for one in columns.split(",")) if columns.strip() else ()
    files = MarkingFiles(
        to, MarksFormat(wanted, order, separator, decimal, encoding), students, pseudonyms, junit, fail_on_notices
    )
    notebook = lesson_variant(read_lesson(find_lesson(lesson)), name=name)
    rules = None if policy is None else read_policy(policy)
    found, path = find_assignment(notebook.plan.id, manifest or (folder if folder.is_dir() else folder.parent))
    for place in (to, *([] if junit is None else [junit])):
        _check_apart(place, folder, [copy.student.id for copy in found.copies])
    team = Workers(workers, scheduler)
    own = (to, *([] if junit is None else [junit]))
    asked = MarkingOrder(notebook, found, path, folder, own, rules, team, everything)
    files.check(asked)
    results: tuple[RerunResult, ...] = ()
    with _progress() as progress:
        task = progress.add_task("Marking", total=len(found.copies))
        marked = mark_assignment(asked, each=lambda student: progress.advance(task))
        if rerun:
            again = progress.add_task("Running again", total=len(found.copies))
            results = rerun_class(marked.terms, marked.works, team, each=lambda student: progress.advance(again))
            marked = replace(marked, marks=with_rerun(marked.marks, results))
        pages = progress.add_task("Pages", total=len(found.copies), visible=students)
        written = write_marking(asked, marked, files, each=lambda student: progress.advance(pages))
    _show([written.marks], to, {written.marks.lesson: written.finals})
    told = f"{marked.marked} marked, {marked.kept} as before"
    _console().print(Text(f"Students: {told}" + (f"; {written.pages_made} pages made" if students else "")))
    for line in written.lines:
        _console().print(Text(line))
    if rerun:
        check_agreement(results)
        _console().print(Text(f"Re-run: {len(results)} students with answers, the same marks"))
    _check_failed([written.marks])
    status = exit_status([written.marks], fail_on_notices=fail_on_notices)
    if status:
        raise typer.Exit(status)


@app.command(epilog="Example:\n\nmusictheory-nb policy --to policy.toml")
def policy(
    to: Annotated[
        Path | None, typer.Option("--to", metavar="FILE", help="A new file; without it the text is printed.")
    ] = None,
) -> None:
    """Write a marking policy to start from: every rule with its meaning and what is allowed."""
    from musictheory_nb.classroom.atomic_file import write_whole
    from musictheory_nb.classroom.policy_template import policy_template

    if to is None:
        typer.echo(policy_template(), nl=False)
        return
    if not write_whole(to, policy_template().encode("utf-8"), keep=True):
        raise ClassroomError(f"'{to}' is there already; name a new file")
    _console().print(Text(f"Written: {to}; with all values as they stand, marks are not changed"))


@app.command(
    help=_help(
        "Show the whole loop on an invented class of twelve: hand out, answer, mark.",
        "Every bundled lesson is handed out, and answered as students of different strength would. In the folder are "
        "then marks.csv, report.html, and under class/ the students' folders and the class file.",
    ),
    epilog="Example:\n\nmusictheory-nb demo --to demo-class",
)
def demo(
    to: Annotated[
        Path | None, typer.Option("--to", metavar="FOLDER", help="A new folder; by default demo-class, here.")
    ] = None,
) -> None:
    """Show the whole loop on an invented class of twelve."""
    from musictheory_nb.classroom.demo_class import CLASS, HOME, demo_homework
    from musictheory_nb.classroom.lesson_folder import bundled_lessons
    from musictheory_nb.classroom.lesson_notebook import read_lesson
    from musictheory_nb.classroom.mark_class import mark_class

    place = to if to is not None else _free_name("demo-class")
    lessons = [read_lesson(path) for path in bundled_lessons()]
    console = _console()
    console.print(Text(f"An invented class of {len(CLASS)} works on {len(lessons)} lessons"))
    manifests = demo_homework(lessons, place, each=lambda line: console.print(Text(f"  {plain_line(line)}")))
    home = place / HOME
    marks = [mark_class(one, its, home) for one, its in zip(lessons, manifests, strict=True)]
    _write(marks, place)
    _show(marks, place)
    console.print(Text(f"What the class handed in: {home}"))
    _check_failed(marks)


PieceArgument = Annotated[
    Path,
    typer.Argument(
        metavar="PIECE",
        help="MusicXML, MEI, MIDI, ABC or Humdrum; or the name of a bundled piece, such as bach/bwv66.6.",
    ),
]
TuneOption = Annotated[
    int | None,
    typer.Option(metavar="N", help="Which tune, by the number behind X:, of an ABC file that holds several."),
]


@app.command(
    help=_help(
        "Say what happens in a piece: keys, form, harmony, who plays, and every device, with bars and notes.",
        "Without --to or --json a summary is printed. --from, --until and --part leave out findings elsewhere; key, form "
        "and harmony are always those of the whole piece.",
    ),
    epilog="Example:\n\nmusictheory-nb analyse mozart/k156/movement3.mxl --to report.html",
)
def analyse(
    piece: PieceArgument,
    to: Annotated[
        Path | None,
        typer.Option("--to", metavar="FILE", help="Write a page (.html, with pictures and notation) or data (.json)."),
    ] = None,
    as_data: Annotated[bool, typer.Option("--json", help="Print data instead of the summary.")] = False,
    every: Annotated[bool, typer.Option("--all", help="All findings, where else the surest of each kind are.")] = False,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="NAME", help="Only findings in this part; may be repeated.")
    ] = None,
    first: Annotated[str | None, typer.Option("--from", metavar="BAR", help="Only findings from this bar on.")] = None,
    last: Annotated[str | None, typer.Option("--until", metavar="BAR", help="Only findings up to this bar.")] = None,
    tune: TuneOption = None,
    corrections: Annotated[
        Path | None,
        typer.Option("--corrections", metavar="FILE", help="Your corrections, as `lesson` lists what is in doubt."),
    ] = None,
) -> None:
    """Say what happens in a piece."""
    from musictheory_nb.classroom.analysis_data import analysis_json
    from musictheory_nb.classroom.analysis_text import WIDTH, analysis_lines
    from musictheory_nb.classroom.corrected_piece import correct_piece
    from musictheory_nb.classroom.piece_analysis import analyse as analyse_piece
    from musictheory_nb.classroom.piece_corrections import read_corrections
    from musictheory_nb.classroom.piece_files import ANALYSIS_FILES, check_ending, open_piece, save_analysis

    if to is not None:
        check_ending(to, ANALYSIS_FILES)
    screen = Console(stderr=True, highlight=False)
    with screen.status("Reading") if screen.is_terminal else nullcontext() as status:

        def tell(what: str) -> None:
            if status is not None:
                status.update(what)

        parts = [_part_named(name) for name in part or ()]
        opened = open_piece(piece, tune)
        if corrections is not None:
            opened = correct_piece(opened, read_corrections(corrections))
        found = analyse_piece(opened, first=first, last=last, parts=parts, each=tell)
        if to is not None:
            save_analysis(found, to, every=every, each=tell)
    if as_data:
        typer.echo(analysis_json(found), nl=False)
        return
    console = _console()
    if to is not None:
        console.print(Text(f"Written: {to}"))
        return
    width = min(WIDTH, console.width) if console.is_terminal else WIDTH
    for line in analysis_lines(found, width=width, every=every):
        console.print(Text(line.text, style="bold" if line.is_heading else ""))


def _part_named(name: str) -> str | int:
    """Return the name of a part, or its index where that is what was written."""
    return int(name) if name.isdecimal() and name.isascii() else name


@app.command(
    help=_help(
        "Write a piece as MusicXML or MIDI, or a part of it for a transposing instrument.",
        "MusicXML keeps the score as it is written; MIDI holds what sounds, repeats and jumps played out.",
    ),
    epilog="Example:\n\nmusictheory-nb write leadSheet/fosterBrownHair.mxl --to hair-in-bb.musicxml --for Bb",
)
def write(
    piece: PieceArgument,
    to: Annotated[Path, typer.Option("--to", metavar="FILE", help="The file: .musicxml, .mxl (compressed) or .mid.")],
    instrument: Annotated[
        str,
        typer.Option(
            "--for",
            metavar="INSTRUMENT",
            help="Write for an instrument: its name ('tenor saxophone'), its key (Bb, Eb, F, A, C) or interval (-M9).",
        ),
    ] = "",
    part: Annotated[
        str | None, typer.Option("--part", metavar="NAME", help="This part alone; name the instrument with --for.")
    ] = None,
    tune: TuneOption = None,
) -> None:
    """Write a piece as MusicXML or MIDI."""
    from musictheory_nb.classroom.piece_files import open_piece, save_piece

    chosen = _part_named(part) if part is not None else None
    written = save_piece(open_piece(piece, tune), to, part=chosen, instrument=instrument)
    names = ", ".join(plain_line(one.name, 40) for one in written.parts[:8]) + (" …" if len(written.parts) > 8 else "")
    _console().print(Text(f"Written: {to} ({names})"))


@app.command(
    help=_help(
        "Make a lesson notebook from a piece: a listening guide, exercises on its measures, a line to practise.",
        "Nothing is asked about what the analysis is not sure of: that is listed in NOTEBOOK with the ending .corrections.txt, where "
        "you confirm or correct it; the same command then uses the file.",
    ),
    epilog="Example:\n\nmusictheory-nb lesson lessons/pieces/low-water-slack-rope.abc --to low_water.ipynb --level first",
)
def lesson(
    piece: PieceArgument,
    to: Annotated[Path, typer.Option("--to", metavar="NOTEBOOK", help="The notebook to write (.ipynb).")],
    level: Annotated[str, typer.Option(metavar="LEVEL", help="first, middle or advanced.")] = "middle",
    focus: Annotated[
        list[str] | None,
        typer.Option(metavar="WHAT", help="intervals, harmony, scales, form or texture; may be repeated."),
    ] = None,
    instrument: Annotated[str, typer.Option(metavar="NAME", help="The student's instrument.")] = "double bass",
    length: Annotated[int, typer.Option(metavar="N", help="Number of exercises, 5 to 10.")] = 7,
    corrections: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your corrections, if they do not lie beside the notebook.")
    ] = None,
    tune: TuneOption = None,
) -> None:
    """Make a lesson notebook from a piece."""
    from musictheory_nb.classroom.lesson_files import make_lesson
    from musictheory_nb.classroom.lesson_options import LessonOptions
    from musictheory_nb.classroom.piece_files import open_piece

    options = LessonOptions(level, tuple(focus or ()), instrument, length)
    made = make_lesson(open_piece(piece, tune), to, options, corrections)
    console = _console()
    console.print(Text(f"Written: {to}"))
    for one in made.lesson.exercises:
        console.print(Text(f"  {one.exercise.id}: {one.exercise.count} of {one.exercise.kind}"))
    for line in made.told:
        console.print(Text(line))


@app.command(
    help=_help(
        "Print a lesson's exercises on paper, with the answer key apart.",
        "Sheets go to FOLDER/sheets, the key and a table for the answers to FOLDER/teacher. They are HTML, and PDF too where "
        "Chromium, Chrome or Edge is found.",
        "Where the lesson was handed out, each student gets a sheet with the questions of the own copy; fill the table, and enter "
        "it with: musictheory-nb class paper.",
    ),
    epilog="Example:\n\nmusictheory-nb worksheet lessons/01_hear_the_tritone.ipynb --handout term1 --to paper",
)
def worksheet(
    lesson: LessonArgument,
    to: Annotated[Path, typer.Option("--to", metavar="FOLDER", help="Where sheets and key go.")],
    handout: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Where the lesson was handed out: a sheet for each student.")
    ] = None,
    roster: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="With --handout: hand the lesson out to these students first; sheets for them alone."
        ),
    ] = None,
    seed: Annotated[int, typer.Option(min=0, max=2**53, help="Of a sheet that is nobody's.")] = 1,
    listening: Annotated[
        str,
        typer.Option(
            metavar="WORD", help="'printed': notation in place of what sounds; 'played': the teacher plays it."
        ),
    ] = "printed",
    pdf: Annotated[bool, typer.Option("--pdf/--no-pdf", help="Whether PDF files are made.")] = True,
    encoding: EncodingOption = "",
) -> None:
    """Print a lesson's exercises on paper, with the answer key apart."""
    from musictheory_nb.classroom.assignment_store import find_assignment
    from musictheory_nb.classroom.handout import hand_out
    from musictheory_nb.classroom.lesson_folder import find_lesson
    from musictheory_nb.classroom.lesson_notebook import read_lesson
    from musictheory_nb.classroom.roster import read_roster
    from musictheory_nb.classroom.worksheet_folder import sheet_without_name, sheets_for, write_worksheets

    notebook = read_lesson(find_lesson(lesson))
    if roster is not None and handout is None:
        raise ClassroomError("--roster needs --handout FOLDER, where the class file goes: answers come back through it")
    if handout is None:
        sheets = sheet_without_name(notebook.plan, seed)
    else:
        students = () if roster is None else read_roster(roster, encoding)
        if students:
            hand_out(notebook, students, handout)
        assignment, _ = find_assignment(notebook.plan.id, handout)
        sheets = sheets_for(assignment, [student.id for student in students])
    done = write_worksheets(sheets, to, listening=listening, pdf=pdf)
    console = _console()
    count = f"{len(sheets)} {'sheet' if len(sheets) == 1 else 'sheets'}"
    console.print(Text(f"{notebook.plan.title}: {count} in {done.sheets[0].parent}"))
    console.print(Text(f"For the teacher alone: {', '.join(map(str, done.teacher))}"))
    for remark in (*notebook.remarks, *done.remarks):
        console.print(Text(f"Note: {plain_line(remark, 400)}"))


FolderArgument = Annotated[
    Path, typer.Argument(metavar="FOLDER", help="The hand-out folder with the class file, or the class file itself.")
]


@app.command(
    help=_help(
        "Mark all copies of a lesson by a corrected key.",
        "Put right in the lesson notebook what is right and what it is worth, and give it here. Copies that were handed out "
        "stay as they are; what they ask may not change. Then mark again.",
    ),
    epilog="Example:\n\nmusictheory-nb correct lessons/15_map_the_form_of_a_rag.ipynb term1 --because 'bar 33'",
)
def correct(
    lesson: LessonArgument,
    folder: FolderArgument,
    because: Annotated[str, typer.Option(metavar="TEXT", help="The reason, for the history.")] = "",
) -> None:
    """Mark all copies of a lesson by a corrected key."""
    from musictheory_nb.classroom.class_file import ClassFile
    from musictheory_nb.classroom.key_correction import correct_key
    from musictheory_nb.classroom.lesson_folder import find_lesson
    from musictheory_nb.classroom.lesson_notebook import read_lesson

    notebook = read_lesson(find_lesson(lesson))
    with ClassFile.open(folder) as file:
        done = correct_key(file, notebook, because)
    copies = f"{done.copies} of {len(done.assignment.copies)} copies"
    _console().print(Text(f"{notebook.plan.title}: {copies} are marked by another key than before; now mark again"))


class_app = typer.Typer(
    name="class", help="Look after the class file: check it, export and import tables, enter paper answers.",
    no_args_is_help=True,
)  # fmt: skip
app.add_typer(class_app)


@class_app.command(epilog="Example:\n\nmusictheory-nb class check term1")
def check(folder: FolderArgument) -> None:
    """Say whether the class file is whole, and what is in it."""
    from musictheory_nb.classroom.class_file import ClassFile
    from musictheory_nb.classroom.class_schema import SOURCES, TABLES

    with ClassFile.open(folder) as file:
        faults = file.check()
        if faults:
            raise ClassroomError(f"'{file.path}': {'; '.join(faults)}")
        for name, table in TABLES.items():
            lines = f"{name}: {len(file.rows(name))} rows; {table.meaning} ({SOURCES[table.source]})"
            _console().print(Text(lines))
        _console().print(Text(f"The class file is whole: {file.path}"))


@class_app.command(epilog="Example:\n\nmusictheory-nb class key term1")
def key(folder: FolderArgument) -> None:
    """Print the key of the class, to be kept in a safe place: with it a lost class file can be made again."""
    from musictheory_nb.classroom.assignment_store import class_key_of
    from musictheory_nb.classroom.class_file import ClassFile

    with ClassFile.open(folder) as file:
        _console().print(Text(class_key_of(file)))


@class_app.command(epilog="Example:\n\nmusictheory-nb class export term1 --to tables")
def export(
    folder: FolderArgument,
    to: Annotated[Path, typer.Option("--to", metavar="OUT", help="A folder for the tables, or with --student a zip.")],
    student: Annotated[str, typer.Option(metavar="ID", help="Everything of one student, as a zip.")] = "",
) -> None:
    """Write the tables of the class file as CSV, or everything of one student as a zip."""
    from musictheory_nb.classroom.atomic_file import write_whole
    from musictheory_nb.classroom.class_file import ClassFile
    from musictheory_nb.classroom.class_tables import export_tables
    from musictheory_nb.classroom.student_data import student_zip

    with ClassFile.open(folder) as file:
        if student:
            write_whole(to, student_zip(file, student))
            _console().print(Text(f"Everything of {student}: {to}"))
        else:
            done = export_tables(file, to)
            _console().print(Text(f"{len(done)} tables, without seeds and keys: {to}"))


@class_app.command(name="import", epilog="Example:\n\nmusictheory-nb class import term1 comment tables/comment.csv")
def import_table(
    folder: FolderArgument,
    table: Annotated[str, typer.Argument(metavar="TABLE", help="rubric_mark, comment, question or reply.")],
    path: Annotated[Path, typer.Argument(metavar="FILE", help="A table as `class export` writes it.")],
    encoding: EncodingOption = "",
) -> None:
    """Read rubric marks, comments, questions or replies from a table."""
    from musictheory_nb.classroom.class_file import ClassFile
    from musictheory_nb.classroom.class_tables import import_entries

    with ClassFile.open(folder) as file:
        changed = import_entries(file, table, path, encoding)
    _console().print(Text(f"{changed} rows of {table} were added or changed"))


@class_app.command(epilog="Example:\n\nmusictheory-nb class paper term1 hear-the-tritone answers.csv")
def paper(
    folder: FolderArgument,
    lesson: Annotated[str, typer.Argument(metavar="LESSON", help="Id of the lesson, as 'hear-the-tritone'.")],
    path: Annotated[Path, typer.Argument(metavar="FILE", help="Columns student, exercise, question, answer.")],
    encoding: EncodingOption = "",
) -> None:
    """Enter answers from paper worksheets."""
    from musictheory_nb.classroom.assignment_store import find_assignment
    from musictheory_nb.classroom.paper_answers import enter_paper

    assignment, found = find_assignment(lesson, folder)
    done = enter_paper(path, assignment, found.parent, encoding)
    _console().print(Text(f"{done.added} answers entered, {done.changed} changed, {done.kept} there already"))


@class_app.command(epilog="Example:\n\nmusictheory-nb class erase term1 ines-orta --yes")
def erase(
    folder: FolderArgument,
    student: Annotated[str, typer.Argument(metavar="STUDENT", help="Id of the student.")],
    yes: Annotated[bool, typer.Option("--yes", help="Without this, nothing is erased.")] = False,
) -> None:
    """Take everything of a student out of the class file, and say what remains elsewhere."""
    from musictheory_nb.classroom.class_file import ClassFile
    from musictheory_nb.classroom.student_data import erase_student

    if not yes:
        raise ClassroomError(f"everything of {student!r} would be erased, and cannot be brought back; write --yes")
    with ClassFile.open(folder) as file:
        for line in erase_student(file, student):
            _console().print(Text(line))


def _free_name(name: str) -> Path:
    """Return the first of name, name-2, name-3 … that is not there."""
    number = 1
    while (place := Path(name if number == 1 else f"{name}-{number}")).exists():
        number += 1
    return place


def _progress() -> Progress:
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    console = Console(stderr=True)
    return Progress(*columns, console=console, transient=True, disable=not console.is_terminal)


def _check_apart(to: Path, folder: Path, students: Sequence[str]) -> None:
    """Raise when marks would be written into a student's folder."""
    inside = to.resolve()
    try:
        first = inside.relative_to(folder.resolve()).parts[:1]
    except ValueError:
        return
    if first and first[0] in set(students):
        raise ClassroomError(f"--to '{to}' lies in the folder of {first[0]!r}; name a folder of your own")


def _write(marks: "Sequence[ClassMarks]", to: Path) -> None:
    from musictheory_nb.classroom.atomic_file import make_folder, write_whole
    from musictheory_nb.classroom.marking_files import MARKS_NAME, REPORT_NAME
    from musictheory_nb.classroom.marks_table import marks_csv
    from musictheory_nb.classroom.report import report_html

    make_folder(to)
    write_whole(to / MARKS_NAME, marks_csv(marks))
    write_whole(to / REPORT_NAME, report_html(marks))


def _show(
    marks: "Sequence[ClassMarks]", to: Path, finals: "Mapping[str, Sequence[FinalMark]]" = MappingProxyType({})
) -> None:
    from musictheory_nb.classroom.marking_files import MARKS_NAME, REPORT_NAME

    console = _console()
    for lesson in marks:
        table = Table(
            title=Text(plain_line(lesson.title)), title_justify="left", box=None, header_style="bold", pad_edge=False
        )
        table.add_column("Student")
        by_policy = {final.student: final for final in finals.get(lesson.lesson, ())}
        for heading in ("Answered", "Points", "Score", *(["By policy"] if by_policy else []), "To look at"):
            table.add_column(heading, justify="right")
        for one in lesson.students[:MAX_ROWS]:
            answered = f"{one.answered} of {one.asked}" if one.asked else "not marked"
            score = f"{100 * one.score:.0f} %" if one.answered else "–"
            lines = str(len(one.problems)) if one.problems else ""
            cells = [answered, f"{one.points:.2f}", score]
            if by_policy:
                final = by_policy.get(one.student.id)
                cells.append(f"{final.percent:.1f} %" if final is not None and one.answered else "–")
            table.add_row(Text(plain_line(one.student.name, 40)), *cells, lines)
        console.print()
        console.print(table)
        if len(lesson.students) > MAX_ROWS:
            console.print(Text(f"… and {len(lesson.students) - MAX_ROWS} more, in the files"))
        for problem in lesson.problems:
            console.print(Text(f"Note: {plain_line(problem, 400)}"))
    console.print()
    console.print(Text(f"Marks:  {to / MARKS_NAME}"))
    console.print(Text(f"Report: {to / REPORT_NAME}"))


def _check_failed(marks: "Sequence[ClassMarks]") -> None:
    if failed := [one.student.id for lesson in marks for one in lesson.students if one.failed]:
        raise ClassroomError(f"not marked, by a fault of this package: {', '.join(failed[:12])}; the report says why")


def main() -> None:
    """Run the command line; errors of this package are one line, without a traceback."""
    try:
        app()
    except MusicTheoryError as error:
        Console(stderr=True, highlight=False, soft_wrap=True).print(Text(f"Error: {plain_line(str(error), 4000)}"))
        sys.exit(
            RERUN_DISAGREES if isinstance(error, RerunError) else MISUSED if isinstance(error, ScoreError) else FAILED
        )


if __name__ == "__main__":
    main()
