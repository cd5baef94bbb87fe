"""The marks of a class in one lesson, as plain figures: what the table and the report are written from."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import fmean

from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.marking import MarkedExercise


@dataclass(frozen=True, slots=True)
class Confusion:
    """A wrong answer: in which exercise and item (from 0), what was right and what was answered."""

    exercise: str
    index: int
    right: str
    answered: str


@dataclass(frozen=True, slots=True)
class ExerciseMarks:
    """One exercise of one student: a score from 0 to 1 for each item (None where not answered), and its points.

    `awaits` are the items (from 0) whose answers a teacher has still to mark; they count neither for nor against.
    `times` (UTC, as recorded; empty where not answered) and `ms` (milliseconds spent; None where not recorded) are of
    the answers that count, item by item, or empty when nothing is known. Both are hints: a student writes them.
    """

    id: str
    scores: tuple[float | None, ...]
    points_possible: float
    times: tuple[str, ...] = ()
    ms: tuple[int | None, ...] = ()
    awaits: tuple[int, ...] = ()

    @property
    def answered(self) -> int:
        """Number of items with an answer that counts."""
        return sum(score is not None for score in self.scores)

    @property
    def awaiting(self) -> int:
        """Number of answers that a teacher has still to mark."""
        return sum(self.scores[at] is not None for at in self.awaits)

    @property
    def answers_marked(self) -> int:
        """Number of answers with a mark."""
        return self.answered - self.awaiting

    @property
    def marked_share(self) -> float:
        """Share of the items that a teacher has not still to mark, 0 to 1."""
        return 1.0 - self.awaiting / len(self.scores)

    @property
    def score(self) -> float:
        """Mean score, 0 to 1, of what is marked; an item without an answer counts 0."""
        reached = sum(score or 0.0 for at, score in enumerate(self.scores) if at not in self.awaits)
        marked = len(self.scores) - self.awaiting
        return reached / marked if marked else 0.0

    @property
    def points_marked(self) -> float:
        """Points that can be reached by what is marked."""
        return self.points_possible * self.marked_share

    @property
    def points(self) -> float:
        """Points reached."""
        return self.score * self.points_marked

    @property
    def seconds(self) -> float | None:
        """Seconds spent on the items, where they are recorded; None where none are."""
        known = [one for one in self.ms if one is not None]
        return sum(known) / 1000 if known else None


@dataclass(frozen=True, slots=True)
class StudentMarks:
    """One student in one lesson.

    Parameters
    ----------
    student : Student
        From the manifest.
    exercises : tuple of ExerciseMarks
        In the order of the lesson that was handed out to the student.
    confusions : tuple of Confusion
        Every wrong answer that the family can name.
    handed_in : bool
        Whether there was a record or a notebook.
    last_answer : str
        UTC time of the latest answer that counts, as the student's computer wrote it; empty when there is none.
    after_due : int
        Answers that count and say they were given after the due time. A hint: no mark depends on it.
    problems, notes : tuple of str
        See `Submission`; `notes` of marking are among them.
    failed : bool
        Whether marking itself broke off: a fault of this package, not of the student.
    """

    student: Student
    exercises: tuple[ExerciseMarks, ...] = ()
    confusions: tuple[Confusion, ...] = ()
    handed_in: bool = False
    last_answer: str = ""
    after_due: int = 0
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    failed: bool = False

    @property
    def points(self) -> float:
        """Points reached."""
        return sum(exercise.points for exercise in self.exercises)

    @property
    def points_possible(self) -> float:
        """Points that can be reached."""
        return sum(exercise.points_possible for exercise in self.exercises)

    @property
    def points_marked(self) -> float:
        """Points that can be reached by what is marked."""
        return sum(exercise.points_marked for exercise in self.exercises)

    @property
    def answered(self) -> int:
        """Number of items with an answer that counts."""
        return sum(exercise.answered for exercise in self.exercises)

    @property
    def awaiting(self) -> int:
        """Number of answers that a teacher has still to mark."""
        return sum(exercise.awaiting for exercise in self.exercises)

    @property
    def asked(self) -> int:
        """Number of items."""
        return sum(len(exercise.scores) for exercise in self.exercises)

    @property
    def score(self) -> float:
        """Share of the points reached, 0 to 1, of those that are marked; 0 where there are none."""
        return self.points / self.points_marked if self.points_marked else 0.0

    def exercise(self, id: str) -> ExerciseMarks | None:
        """Return the marks of that exercise; None when the student's version of the lesson has none of that id."""
        return next((exercise for exercise in self.exercises if exercise.id == id), None)


@dataclass(frozen=True)
class ClassMarks:
    """A class in one lesson.

    Parameters
    ----------
    lesson, title, digest : str
        Of the teacher's present notebook.
    exercises : tuple of (str, str)
        Id and family title of every exercise of which there are marks, in the order of the lesson.
    students : tuple of StudentMarks
        In the order of the manifest.
    due : DueTime or None
        When it was due.
    problems : tuple of str
        What concerns no single student.
    """

    lesson: str
    title: str
    digest: str
    exercises: tuple[tuple[str, str], ...]
    students: tuple[StudentMarks, ...]
    due: DueTime | None = None
    problems: tuple[str, ...] = ()

    @property
    def taking_part(self) -> tuple[StudentMarks, ...]:
        """The students with at least one answer."""
        return tuple(one for one in self.students if one.answered)

    @property
    def with_marks(self) -> tuple[StudentMarks, ...]:
        """The students with at least one answer that is marked."""
        return tuple(one for one in self.students if one.answered > one.awaiting)

    def mean_score(self, exercise: str = "") -> float | None:
        """Return the mean score, 0 to 1, of those with a marked answer (in that exercise); None without any."""
        if not exercise:
            return fmean(one.score for one in self.with_marks) if self.with_marks else None
        marks = [m for one in self.students if (m := one.exercise(exercise)) is not None and m.answers_marked]
        return fmean(one.score for one in marks) if marks else None


@dataclass(frozen=True, slots=True)
class ConfusedPair:
    """What was taken for what: how often, and by how many students."""

    exercise: str
    right: str
    answered: str
    times: int
    students: int


def confused_pairs(students: Iterable[StudentMarks], exercise: str = "") -> tuple[ConfusedPair, ...]:
    """Return what was confused with what, most often first; of all exercises, or of one."""
    times: Counter[tuple[str, str, str]] = Counter()
    who: Counter[tuple[str, str, str]] = Counter()
    for one in students:
        pairs = [(c.exercise, c.right, c.answered) for c in one.confusions if exercise in ("", c.exercise)]
        times.update(pairs)
        who.update(set(pairs))
    rows = [ConfusedPair(*pair, count, who[pair]) for pair, count in times.items()]
    return tuple(sorted(rows, key=lambda row: (-row.times, -row.students, row.exercise, row.right, row.answered)))


def exercise_marks(marked: MarkedExercise) -> tuple[ExerciseMarks, tuple[Confusion, ...]]:
    """Return the figures of a marked exercise, without its items."""
    scores = tuple(None if item.line is None else item.mark.score for item in marked.items)
    confusions = tuple(
        Confusion(marked.exercise.id, item.item.index, *item.confusion)
        for item in marked.items
        if item.confusion is not None
    )
    times = tuple("" if item.line is None else item.line.time for item in marked.items)
    ms = tuple(None if item.line is None else item.line.ms for item in marked.items)
    awaits = tuple(at for at, item in enumerate(marked.items) if item.mark.awaits_teacher)
    return ExerciseMarks(marked.exercise.id, scores, float(marked.exercise.points), times, ms, awaits), confusions
