"""What one student gets back, as plain data: what was asked and answered, why, and what to practise next."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.invented_answer import right_answer
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.report_words import counted
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.teacher_remark import Comment, Exchange, RubricMark
from musictheory_nb.errors import ClassroomError
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.marking import MarkedExercise, MarkedItem, MarkedLesson
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.twin import twin_words

#: Lines of advice, and pairs that one of them names.
MAX_ADVICE: Final = 6
MAX_PAIRS: Final = 3


@dataclass(frozen=True)
class ReportedItem:
    """One question as it is given back.

    Parameters
    ----------
    index : int
        From 0.
    prompt, answered, right, why, explain : str
        In words; `answered` is empty where there is no answer, `right` where the answer was right or no words can tell.
    score : float or None
        0 to 1; None without an answer.
    media : tuple of MediaRequest
        What was heard and seen when asked, and where the answer was not right also what is shown after it.
    compare : tuple of MediaRequest
        The right answer and the one given, side by side.
    rubric : RubricMark or None
        The teacher's mark, which then is the score.
    awaits_teacher : bool
        Whether a teacher has still to mark the answer.
    twin : str
        Which twin of the question was used, in words; empty for none.
    """

    index: int
    prompt: str
    answered: str
    right: str
    score: float | None
    why: str
    explain: str
    media: tuple[MediaRequest, ...] = ()
    compare: tuple[MediaRequest, ...] = ()
    rubric: RubricMark | None = None
    awaits_teacher: bool = False
    twin: str = ""


@dataclass(frozen=True)
class ReportedExercise:
    """One exercise as it is given back."""

    id: str
    title: str
    items: tuple[ReportedItem, ...]
    points: float
    points_possible: float
    confusions: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class StudentReport:
    """Everything that the page of a student shows.

    Parameters
    ----------
    lesson, title : str
        Id and title of the lesson.
    student : Student
        Whose work it is (or the pseudonym).
    exercises : tuple of ReportedExercise
        In the order of the lesson that the student got.
    final : FinalMark or None
        After the marking policy; None where there is none.
    due : DueTime or None
        When this student's work was due.
    comments, exchanges
        The teacher's comments; the student's questions with the replies.
    notices : tuple of str
        What was out of order in what was handed in, as far as the student should know.
    """

    lesson: str
    title: str
    student: Student
    exercises: tuple[ReportedExercise, ...]
    final: FinalMark | None = None
    due: DueTime | None = None
    comments: tuple[Comment, ...] = ()
    exchanges: tuple[Exchange, ...] = ()
    notices: tuple[str, ...] = ()

    @property
    def points(self) -> float:
        """Points before any policy."""
        return sum(one.points for one in self.exercises)

    @property
    def points_possible(self) -> float:
        """Points that can be reached."""
        return sum(one.points_possible for one in self.exercises)

    @property
    def answered(self) -> int:
        """Number of items with an answer that counts."""
        return sum(item.score is not None for one in self.exercises for item in one.items)

    @property
    def awaiting(self) -> int:
        """Number of answers that a teacher has still to mark."""
        return sum(item.awaits_teacher for one in self.exercises for item in one.items)

    @property
    def asked(self) -> int:
        """Number of items."""
        return sum(len(one.items) for one in self.exercises)


def right_words(exercise: Exercise, marked: MarkedItem) -> str:
    """Return a right answer in words; empty where the item shows none."""
    try:
        return answer_words(marked.item.response, right_answer(exercise, marked.item))
    except ClassroomError:
        return ""


def _item(exercise: Exercise, marked: MarkedItem, rubric: RubricMark | None) -> ReportedItem:
    item, line = marked.item, marked.line
    answered, score, awaits = "", None, False
    compare: tuple[MediaRequest, ...] = ()
    if line is not None:
        answer = item.response.check(line.answer)
        answered = answer_words(item.response, answer)
        score, awaits = marked.mark.score, marked.mark.awaits_teacher and rubric is None
        compare = exercise.compare(item, line.answer) if score < 1 and rubric is None else ()
    if rubric is not None:
        score = rubric.score
    return ReportedItem(
        item.index,
        item.prompt,
        answered,
        "" if score == 1 or awaits or rubric is not None else right_words(exercise, marked),
        score,
        "" if line is None or rubric is not None else marked.mark.why,
        item.explain,
        item.shown("asked") if score == 1 else item.media,
        compare,
        rubric,
        awaits,
        "" if line is None else twin_words(line.twin),
    )


def _exercise(marked: MarkedExercise, rubric_marks: dict[tuple[str, int], RubricMark]) -> ReportedExercise:
    exercise = marked.exercise
    items = tuple(_item(exercise, one, rubric_marks.get((exercise.id, one.item.index))) for one in marked.items)
    score = sum(item.score or 0.0 for item in items) / len(items)
    confusions = tuple(one.confusion for one in marked.items if one.confusion is not None)
    points = float(exercise.points)
    return ReportedExercise(exercise.id, exercise.family.title, items, score * points, points, confusions)


def student_report(
    marked: MarkedLesson,
    student: Student,
    *,
    final: FinalMark | None = None,
    due: DueTime | None = None,
    rubric_marks: Sequence[RubricMark] = (),
    comments: Sequence[Comment] = (),
    exchanges: Sequence[Exchange] = (),
    notices: Sequence[str] = (),
) -> StudentReport:
    """Return what a student gets back, from the marks in full that `mark_lesson` makes.

    Parameters
    ----------
    marked : MarkedLesson
        Of the answers that count.
    student : Student
        Whose they are.
    final, due, rubric_marks, comments, exchanges, notices
        See `StudentReport`; of several rubric marks for one item the latest stands.
    """
    given = {(mark.exercise, mark.index): mark for mark in sorted(rubric_marks, key=lambda mark: mark.time)}
    return StudentReport(
        marked.plan.id,
        marked.plan.title,
        student,
        tuple(_exercise(one, given) for one in marked.exercises),
        final,
        due,
        tuple(comments),
        tuple(exchanges),
        tuple(notices),
    )


def practise_next(report: StudentReport) -> tuple[str, ...]:
    """Return what to practise next, weakest exercise first: what was taken for what, and what is still open.

    An exercise in which all was right is not named; where all was right in all of them, that is said.
    """
    advice = []
    for one in sorted(report.exercises, key=lambda one: one.points / one.points_possible if one.points_possible else 1):
        scores = [item.score for item in one.items if not item.awaits_teacher]
        if all(score == 1 for score in scores):
            continue
        told = [f"{one.title} ({one.id}): {sum(score == 1 for score in scores)} of {len(scores)} right."]
        pairs = Counter(one.confusions).most_common(MAX_PAIRS)
        if pairs:
            words = "; ".join(
                f"{right} against {answered} ({counted(times, 'time')})" for (right, answered), times in pairs
            )
            told.append(f"Compare {words}.")
        if missing := scores.count(None):
            told.append(f"{counted(missing, 'question')} not answered yet.")
        advice.append(" ".join(told))
    if awaiting := report.awaiting:
        advice.append(f"{counted(awaiting, 'answer')} {'awaits' if awaiting == 1 else 'await'} your teacher's mark.")
    if not report.answered:
        return ("Nothing is answered yet: open the lesson and begin with its first exercise.",)
    if not advice:
        return ("Everything was right. Go on to the next lesson, or repeat this one by ear alone, a little faster.",)
    return tuple(advice[:MAX_ADVICE])
