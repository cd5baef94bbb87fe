"""Marking one student as a task of its own: it needs nothing but what it is given, and runs in any process or machine."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson
from musictheory_nb.classroom.mark_class import ALL_COUNT, Counting, MarkedStudent, Version, mark_work, not_marked
from musictheory_nb.classroom.marking_outcome import FORMAT, Outcome, outcome_of
from musictheory_nb.classroom.notebook_file import notebook_bytes
from musictheory_nb.classroom.sealed_cell import sealed_sources
from musictheory_nb.classroom.submission import submission_fingerprint
from musictheory_nb.errors import ClassroomError
from musictheory_nb.practice.plain_data import digest


@lru_cache(maxsize=1)
def package_version() -> str:
    """Return the version of this package, as it is installed."""
    return version("musictheory-nb")


@dataclass(frozen=True)
class MarkingWork:
    """What is to be marked.

    Parameters
    ----------
    arguments : dict
        As `Submissions.arguments` gives them.
    due : DueTime or None
        When it was due for this student.
    counting : Counting
        Which answers count.
    known : str
        Fingerprint of what was handed in when it was last marked on the same terms; empty when it is to be marked anyway.
    fault : str
        Why the arguments cannot be had; empty when they can.
    """

    arguments: dict[str, Any]
    due: DueTime | None = None
    counting: Counting = ALL_COUNT
    known: str = ""
    fault: str = ""

    @property
    def copy(self) -> HandedOut:
        """Whose work it is."""
        copy: HandedOut = self.arguments["copy"]
        return copy


@dataclass(frozen=True)
class Terms:
    """What marking goes by, the same for all: each version of the lesson, and the time after which an answer is in the future."""

    versions: Mapping[str, Version]
    notebooks: Mapping[str, LessonNotebook]
    limit: str


def terms_bytes(lesson: LessonNotebook, assignment: Assignment, limit: str) -> bytes:
    """Return the terms as bytes that `opened_terms` reads in any process.

    Raises
    ------
    ManifestError
        A version of the lesson kept in the class file was changed.
    """
    notebooks = assignment.versions(lesson)
    used = {copy.digest for copy in assignment.copies} | {lesson.plan.digest}
    marked_by = {digest: assignment.corrections.get(digest, digest) for digest in used}
    wanted = used | set(marked_by.values())
    data = {
        "package": package_version(),
        "format": FORMAT,
        "lessons": {
            digest: [one.name, notebook_bytes(dict(one.content)).decode("utf-8")]
            for digest, one in sorted(notebooks.items())
            if digest in wanted
        },
        "marked_by": dict(sorted(marked_by.items())),
        "sealed": assignment.sealed,
        "limit": limit,
    }
    return json.dumps(data, ensure_ascii=False).encode("utf-8")


@lru_cache(maxsize=4)
def opened_terms(data: bytes) -> Terms:
    """Return the terms that were sent.

    Raises
    ------
    ClassroomError
        They were made by another version of this package, whose marks might be others.
    """
    read = json.loads(data)
    if (read["package"], read["format"]) != (package_version(), FORMAT):
        raise ClassroomError(
            f"a worker has version {package_version()} of the package, and the grader {read['package']}; install the same on all"
        )
    notebooks = {name: parse_lesson(text.encode("utf-8"), title) for name, (title, text) in read["lessons"].items()}
    versions = {
        digest: Version(
            notebooks[other].plan,
            sealed_sources(notebooks[digest].plan) if read["sealed"] else notebooks[digest].exercise_sources(),
        )
        for digest, other in read["marked_by"].items()
    }
    return Terms(versions, {digest: notebooks[other] for digest, other in read["marked_by"].items()}, read["limit"])


def basis_of(work: MarkingWork, terms: Terms) -> str:
    """Return a digest of all that a student's marks depend on beside what was handed in."""
    copy, lesson = work.copy, terms.versions[work.copy.digest]
    counting, due = work.counting, work.due
    return digest(
        [
            package_version(),
            FORMAT,
            copy.seed,
            copy.digest,
            lesson.plan.digest,
            digest(dict(lesson.cells)),
            "" if due is None else due.utc,
            "" if due is None else due.written,
            [counting.attempts.counts, counting.attempts.most],
            [[span.days, span.minutes] for span in (counting.closes, counting.extra)],
            [member.student.id for member in work.arguments.get("members", ())],
        ]
    )


def marked_in_full(terms: Terms, work: MarkingWork) -> MarkedStudent:
    """Return the marks of one student in full; never raises for anything that was handed in.

    Raises
    ------
    ClassroomError
        The folder of the class cannot be seen from here.
    """
    if work.fault:
        return not_marked(work.copy, ClassroomError(work.fault))
    folder = Path(work.arguments["folder"])
    if not folder.exists():
        raise ClassroomError(
            f"'{folder}' cannot be seen from a worker; put what was handed in where all of them see it"
        )
    return mark_work(
        work.arguments, terms.versions[work.copy.digest], work.due, counting=work.counting, limit=terms.limit
    )


def mark_task(data: bytes, work: MarkingWork) -> Outcome | None:
    """Return what marking one student comes to; None where the same was handed in as before.

    Parameters
    ----------
    data : bytes
        From `terms_bytes`.
    work : MarkingWork
        Of the student.

    Raises
    ------
    ClassroomError
        The package here is of another version, or the folder of the class cannot be seen.
    """
    terms = opened_terms(data)
    if work.known and not work.fault and submission_fingerprint(**work.arguments) == work.known:
        return None
    return outcome_of(marked_in_full(terms, work), work.copy.shown_seed, terms.limit)
