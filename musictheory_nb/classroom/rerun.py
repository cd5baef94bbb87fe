"""Running the teacher's notebook again with a student's answers, to compare its marks with those worked out headless.

What runs is the teacher's notebook only, in a new folder that holds nothing but the student's answers, written anew
as a record; nothing of what was handed in is copied. Python is kept from importing what lies in the current folder.
"""

import asyncio
import os
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from musictheory_nb.classroom.assignment import HandedOut
from musictheory_nb.classroom.class_marks import ClassMarks
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import RerunError
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.embedded_record import MARKS_MIME, marks_data
from musictheory_nb.practice.marking import MarkedLesson
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.record_file import record_name

#: Seconds that one cell, and the whole notebook, may take.
CELL_TIMEOUT_S: Final = 120
NOTEBOOK_TIMEOUT_S: Final = 600
#: Students whose disagreement is told in the error; the report has all.
MAX_TOLD: Final = 5

#: Added to the kernel's environment: nothing is imported from the current folder.
_ENVIRONMENT: Final = {"PYTHONSAFEPATH": "1", "MPLBACKEND": "agg"}
#: Taken out of it: what would run a start-up file or name another notebook.
_LEFT_OUT: Final = ("PYTHONSTARTUP", "PYTHONINSPECT", "IPYTHONDIR", "JPY_SESSION_NAME")


@dataclass(frozen=True)
class Rerun:
    """What is to be run: the version of the lesson, whose copy, the answers, and the marks that were worked out."""

    lesson: LessonNotebook
    copy: HandedOut
    answers: tuple[AnswerLine, ...]
    marked: MarkedLesson


@dataclass(frozen=True)
class RerunResult:
    """The outcome for one student: no lines when the marks agree."""

    student: str
    problems: tuple[str, ...] = ()


def _environment(folder: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in _LEFT_OUT}
    return {**kept, **_ENVIRONMENT, "IPYTHONDIR": str(folder / "ipython")}


def _kernel(folder: Path) -> Any:
    """A kernel of this very Python, whatever kernels are installed, that does not look into the current folder."""
    from jupyter_client.kernelspec import KernelSpecManager
    from jupyter_client.manager import AsyncKernelManager

    class OwnKernel(KernelSpecManager):  # type: ignore[misc]
        """Knows one kernel: this Python."""

        def get_kernel_spec(self, kernel_name: str) -> Any:
            """Return the specification of this Python's kernel, whatever is asked for."""
            from jupyter_client.kernelspec import KernelSpec

            argv = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
            argv += ["--InteractiveShellApp.ignore_cwd=True", "--HistoryManager.enabled=False", "--log-level=ERROR"]
            return KernelSpec(argv=argv, display_name="Python 3", language="python")

    return AsyncKernelManager(
        kernel_name="python3",
        kernel_spec_manager=OwnKernel(),
        connection_file=str(folder / "kernel.json"),
    )


def _record(answers: Sequence[AnswerLine], header: RecordHeader) -> bytes:
    return "".join([header.line(), *(answer.line() for answer in answers)]).encode("utf-8")


async def _executed(rerun: Rerun) -> Any:
    """Run the notebook and return it with its outputs."""
    import nbformat
    from nbclient import NotebookClient

    student = rerun.copy.student.id
    lesson = rerun.lesson.plan.id
    content = rerun.lesson.copy_for(student, rerun.copy.seed)
    notebook = nbformat.reads(content.decode("utf-8"), as_version=4)
    with tempfile.TemporaryDirectory(prefix="musictheory-nb-rerun-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        work = folder / "work"
        work.mkdir()
        header = RecordHeader(lesson, student, rerun.lesson.plan.digest)
        (work / record_name(lesson, student)).write_bytes(_record(rerun.answers, header))
        client = NotebookClient(
            notebook,
            km=_kernel(folder),
            timeout=CELL_TIMEOUT_S,
            resources={"metadata": {"path": str(work)}},
            store_widget_state=False,
            shutdown_kernel="immediate",
        )
        run = client.async_execute(env=_environment(folder), cwd=str(work), cleanup_kc=True)
        await asyncio.wait_for(run, NOTEBOOK_TIMEOUT_S)
    return notebook


def _marks_in(notebook: Mapping[str, JSON]) -> JSON:
    """Return the marks in the output of the hand-in cell.

    Raises
    ------
    RerunError
        There are none, or more than one.
    """
    found = [
        output["data"][MARKS_MIME]
        for cell in notebook["cells"]
        for output in cell.get("outputs", ())
        if MARKS_MIME in output.get("data", {})
    ]
    if len(found) != 1:
        raise RerunError(f"{len(found)} outputs of the notebook carry marks; the hand-in cell's alone should")
    return found[0]


def _disagreements(headless: Mapping[str, Sequence[float | None]], rerun: JSON) -> list[str]:
    if not isinstance(rerun, Mapping) or list(rerun) != list(headless):
        return [f"the notebook has the exercises {list(rerun)}, its reading {list(headless)}"]
    told = []
    for exercise, scores in headless.items():
        again = list(rerun[exercise])
        if len(again) != len(scores):
            told.append(f"{exercise}: {len(again)} items in the notebook, {len(scores)} in its reading")
            continue
        for index, (one, other) in enumerate(zip(scores, again, strict=True), start=1):
            if one != other:
                told.append(f"{exercise} item {index}: marked {one}, in the notebook {other}")
    return told


async def _compared(rerun: Rerun) -> RerunResult:
    student = rerun.copy.student.id
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    try:
        notebook = await _executed(rerun)
        told = _disagreements(marks_data(rerun.marked), _marks_in(notebook))
    except (CellTimeoutError, TimeoutError):
        told = [f"the notebook did not finish (a cell may take {CELL_TIMEOUT_S} s, all of them {NOTEBOOK_TIMEOUT_S} s)"]
    except CellExecutionError as error:
        told = [f"a cell of the notebook failed: {error.ename}: {error.evalue}"]
    except (DeadKernelError, RuntimeError) as error:
        told = [f"the notebook's kernel ended: {error}"]
    except RerunError as error:
        told = [str(error)]
    return RerunResult(student, tuple(plain_line(line) for line in told))


def rerun_all(
    reruns: Sequence[Rerun], *, at_once: int = 0, each: Callable[[RerunResult], None] = lambda result: None
) -> tuple[RerunResult, ...]:
    """Run the teacher's notebook again for each student and compare its marks with those worked out before.

    Parameters
    ----------
    reruns : sequence of Rerun
        One for each student.
    at_once : int
        Kernels that run at the same time; 0 takes one for each processor.
    each : callable
        Is called with each result as soon as it is there.

    Returns
    -------
    tuple of RerunResult
        In the order given; a notebook that failed or did not finish is a problem, never a mark.
    """

    async def run() -> list[RerunResult]:
        free = asyncio.Semaphore(at_once or os.cpu_count() or 1)

        async def one(rerun: Rerun) -> RerunResult:
            async with free:
                result = await _compared(rerun)
            each(result)
            return result

        return list(await asyncio.gather(*map(one, reruns)))

    return tuple(asyncio.run(run()))


def rerun_here(rerun: Rerun) -> RerunResult:
    """Run the teacher's notebook again for one student, in whatever process this is."""
    return asyncio.run(_compared(rerun))


def with_rerun(marks: ClassMarks, results: Sequence[RerunResult]) -> ClassMarks:
    """Return the marks with what the re-run found among the lines of each student; no mark is changed."""
    found = {result.student: tuple(f"re-run: {line}" for line in result.problems) for result in results}
    students = (replace(one, problems=(*one.problems, *found.get(one.student.id, ()))) for one in marks.students)
    return replace(marks, students=tuple(students))


def check_agreement(results: Sequence[RerunResult]) -> None:
    """Raise unless every re-run gave the marks that were worked out.

    Raises
    ------
    RerunError
        A notebook failed, did not finish, or came to other marks; names students and items.

    Examples
    --------
    >>> check_agreement([RerunResult("ines-orta")])
    >>> check_agreement([RerunResult("ines-orta", ("first item 2: marked 1.0, in the notebook 0.0",))])
    Traceback (most recent call last):
    musictheory_nb.errors.RerunError: the re-run disagrees for 1 of 1 students: ines-orta: first item 2: marked 1.0, in the notebook 0.0
    """
    bad = [result for result in results if result.problems]
    if bad:
        lines = "; ".join(f"{result.student}: {result.problems[0]}" for result in bad[:MAX_TOLD])
        more = "; the report has all of it" if len(bad) > MAX_TOLD or any(len(one.problems) > 1 for one in bad) else ""
        raise RerunError(f"the re-run disagrees for {len(bad)} of {len(results)} students: {lines}{more}")
