"""What marking one student comes to, as plain data: kept in the class file, sent between processes, and read back whole."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.attempt_rule import AttemptChoice
from musictheory_nb.classroom.class_marks import Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.likeness_hint import Recorded
from musictheory_nb.classroom.mark_class import MarkedStudent
from musictheory_nb.classroom.packed_answers import packed, packed_rows
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.plain_data import JSON

#: Raised when what is kept changes its shape; what was kept before is then worked out again.
FORMAT: Final = 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """What marking one student came to.

    Parameters
    ----------
    marks : StudentMarks
        Before rubric marks and policy.
    fingerprint : str
        Of what was handed in.
    sources : tuple of str
        Files whose answers these are.
    answers : int
        Number of answers that were read.
    choices : tuple of AttemptChoice
        Items with several answers.
    trace : Recorded
        What is compared between students.
    is_settled : bool
        Whether it stays so as long as nothing is changed; not while answers are dated in the future, and not where marking broke off.
    """

    marks: StudentMarks
    fingerprint: str
    sources: tuple[str, ...]
    answers: int
    choices: tuple[AttemptChoice, ...]
    trace: Recorded
    is_settled: bool = True


def outcome_of(marked: MarkedStudent, seed: int, limit: str) -> Outcome:
    """Return the outcome without the items and answers in full.

    Parameters
    ----------
    marked : MarkedStudent
        In full.
    seed : int
        That the student's copy names.
    limit : str
        As for `mark_work`.
    """
    read = marked.submission
    trace = Recorded(marked.marks.student.id, seed, packed(read.answers), read.claimed_seeds, read.claimed_students)
    is_settled = not marked.marks.failed and not any(line.time > limit for line in read.answers)
    return Outcome(marked.marks, read.fingerprint, read.sources, len(read.answers), marked.choices, trace, is_settled)


def _exercise_data(one: ExerciseMarks) -> JSON:
    return [one.id, list(one.scores), one.points_possible, list(one.times), list(one.ms)]


def outcome_data(outcome: Outcome) -> dict[str, JSON]:
    """Return the JSON values from which `outcome_from` makes the outcome again, without what the class file has in columns."""
    marks, trace = outcome.marks, outcome.trace
    return {
        "format": FORMAT,
        "exercises": [_exercise_data(one) for one in marks.exercises],
        "confusions": [[one.exercise, one.index, one.right, one.answered] for one in marks.confusions],
        "after_due": marks.after_due,
        "choices": [
            [one.exercise, one.index, one.chosen, one.attempts, one.first_score, one.score] for one in outcome.choices
        ],
        "trace": packed(trace.answers).rows(),
        "claims": [list(trace.claimed_seeds), list(trace.claimed_students)],
    }


def outcome_from(
    data: JSON,
    student: Student,
    seed: int,
    *,
    fingerprint: str,
    handed_in: bool,
    last_answer: str,
    sources: Sequence[str],
    problems: Sequence[str],
    notes: Sequence[str],
) -> Outcome | None:
    """Return the outcome that was kept; None where it is of another format.

    Parameters
    ----------
    data : JSON
        From `outcome_data`.
    student, seed
        Of the copy.
    fingerprint, handed_in, last_answer, sources, problems, notes
        As kept beside it.
    """
    if data.get("format") != FORMAT:
        return None
    marks = StudentMarks(
        student,
        tuple(
            ExerciseMarks(id, tuple(scores), points, tuple(times), tuple(ms))
            for id, scores, points, times, ms in data["exercises"]
        ),
        tuple(Confusion(*row) for row in data["confusions"]),
        handed_in,
        last_answer,
        data["after_due"],
        tuple(problems),
        tuple(notes),
    )
    lines = packed_rows(data["trace"])
    seeds, students = data["claims"]
    choices = tuple(AttemptChoice(*row) for row in data["choices"])
    trace = Recorded(student.id, seed, lines, tuple(seeds), tuple(students))
    return Outcome(marks, fingerprint, tuple(sources), len(lines), choices, trace)
