"""A lesson while it is open in a notebook: its music, its exercises, and the answers given so far."""

import os
import uuid
from collections.abc import Callable, Mapping
from pathlib import Path
from threading import Lock
from typing import Any, Protocol, TypeVar

from musictheory_nb.errors import AnswerError, ExerciseError, RecordError
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader, RecordReading, merge_answers, utc_now
from musictheory_nb.practice.embedded_record import MAX_NOTEBOOK_BYTES, marks_data, read_notebook_answers
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise, is_slug, named_excerpts
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import MarkedLesson, mark_lesson
from musictheory_nb.practice.plain_data import JSON, strict_json
from musictheory_nb.practice.record_file import RecordFile
from musictheory_nb.practice.review import ReviewPool, can_be_reviewed, evidence_in
from musictheory_nb.widgets.demonstration import Demonstration, Music, listen, show
from musictheory_nb.widgets.environment_check import check_environment
from musictheory_nb.widgets.exercise_view import ExerciseView, Recorder
from musictheory_nb.widgets.fingered_view import FingeredView, fingered
from musictheory_nb.widgets.hand_in import AnsweredExercise, HandIn, HandInState
from musictheory_nb.widgets.kept_recording import keep_recordings
from musictheory_nb.widgets.review_session import ReviewSession, review_name

View = TypeVar("View", bound=ExerciseView)

#: Largest limit of attempts; a record counts no further.
MOST_ATTEMPTS = 1000
#: Notebooks beside the lesson that are searched for embedded answers when it opens.
_MAX_NEIGHBOURS = 20


class Asked(Protocol):
    """What a session asks of an exercise, sealed or not: its name, its items, and how they are answered."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def version(self) -> int:
        """Of its family."""

    @property
    def count(self) -> int:
        """Number of its items."""

    def item(self, seed: int, index: int) -> Item:
        """Return an item."""


class LessonSession:
    """One open lesson; made by `open_lesson`.

    Parameters
    ----------
    lesson : str
        Slug of the lesson.
    student : str
        Slug of the student; empty for a preview, which writes no file and stores no record.
    seed : int
        The student's seed.
    digest : str
        Digest of the lesson when it was handed out; kept in the record as a hint.
    folder : Path, optional
        Where the record lies; the notebook's folder (the current one) by default.
    attempts : int
        How often an item may be answered; 0 for no limit.

    Raises
    ------
    ExerciseError
        A lesson or student that is no slug, or a seed or attempts that are no whole number.
    RecordError
        The student's record is there and cannot be opened.
    """

    def __init__(
        self, lesson: str, student: str, seed: int, digest: str, folder: Path | None = None, attempts: int = 1
    ) -> None:
        if not is_slug(lesson):
            raise ExerciseError(f"lesson {lesson!r}: write lower-case letters, digits and hyphens, as 'hear-intervals'")
        if student and not is_slug(student):
            raise ExerciseError(f"student {student!r}: write lower-case letters, digits and hyphens, as 'ines-orta'")
        if type(seed) is not int or not 0 <= seed <= 2**53:
            raise ExerciseError(f"seed {seed!r}; allowed: a whole number from 0 to 2**53")
        self.lesson = lesson
        self.student = student
        self.seed = seed
        if type(attempts) is not int or not 0 <= attempts <= MOST_ATTEMPTS:
            raise ExerciseError(f"attempts {attempts!r}; allowed: 1 to {MOST_ATTEMPTS}, or 0 for no limit")
        self.digest = digest
        self.attempts = attempts
        self.problems: tuple[str, ...] = ()
        self._lock = Lock()
        self._excerpts: dict[str, Excerpt] = {}
        self._exercises: dict[str, Exercise] = {}
        self._views: dict[str, ExerciseView] = {}
        self._hand_in: HandIn | None = None
        self._answers: tuple[AnswerLine, ...] = ()
        self._file: RecordFile | None = None
        if student:
            self._file = RecordFile(Path(folder or Path.cwd()), RecordHeader(lesson, student, digest))
            self._restore()

    # -- what the lesson holds ------------------------------------------------------------------------------------

    def excerpt(self, name: str, data: str, digest: str = "") -> None:
        """Add music that is frozen into the lesson.

        Parameters
        ----------
        name : str
            By which exercises call it.
        data : str
            JSON text of ``Excerpt.to_data()``.
        digest : str
            ``'sha256:…'``; when given, the data must have it.

        Raises
        ------
        ExerciseError
            The data cannot be read or is not what was frozen.
        """
        try:
            excerpt = Excerpt.from_data(strict_json(data))
        except ValueError as error:
            raise ExerciseError(f"excerpt {name!r}: {error}") from None
        if digest and excerpt.digest != digest:
            raise ExerciseError(f"excerpt {name!r} is not what was frozen into the lesson (its digest differs)")
        self._excerpts[name] = excerpt

    def music(self, name: str) -> Excerpt:
        """Return the excerpt of that name, to show or to hear it.

        Raises
        ------
        ExerciseError
            The lesson has none of that name so far.
        """
        if name not in self._excerpts:
            known = ", ".join(sorted(self._excerpts)) or "none so far"
            raise ExerciseError(f"excerpt {name!r}; this lesson has: {known}")
        return self._excerpts[name]

    def listen(self, music: Music, caption: str = "Listen", **how: Any) -> Demonstration:
        """Show music and let it be heard, as `demonstration.listen` does; an excerpt may be given by its name."""
        return listen(self._named(music), caption, lesson=self.lesson, **how)

    def show(self, music: Music, caption: str = "Notation", **how: Any) -> Demonstration:
        """Show music without sound, as `demonstration.show` does; an excerpt may be given by its name."""
        return show(self._named(music), caption, **how)

    def fingered(self, music: Music, on: str = "bass guitar", caption: str = "", **how: Any) -> FingeredView:
        """Show a line with its fingering, as `fingered_view.fingered` does; an excerpt may be given by its name."""
        return fingered(self._named(music), on, caption, lesson=self.lesson, **how)

    def _named(self, music: Music) -> Music:
        return self._excerpts.get(music, music) if isinstance(music, str) else music

    def exercise(
        self,
        id: str,
        kind: str,
        *,
        count: int = 10,
        points: float = 10.0,
        version: int = 1,
        settings: Mapping[str, JSON] | None = None,
    ) -> ExerciseView:
        """Show an exercise; running its cell again keeps what was answered.

        Parameters
        ----------
        id : str
            Slug, unique in the lesson.
        kind : str
            Family, such as ``'interval-by-ear'``.
        count, points, version, settings
            See `Exercise`.

        Raises
        ------
        ExerciseError
            It cannot be set as asked; the message says why.
        """
        self._catch_up()
        settings = settings or {}
        music = named_excerpts(settings, self._excerpts)
        exercise = Exercise(id, kind, settings, count, points, version, self.lesson, music)
        self._exercises[id] = exercise
        view = ExerciseView(
            exercise,
            self.seed,
            self._lines_of(exercise),
            self._recorder(exercise),
            preview=not self.student,
            recorded=self._refresh_hand_in,
            left=self._tries_of(exercise),
        )
        return self._shown(id, view)

    def _shown(self, id: str, view: View) -> View:
        """Put a view in the place of an earlier one of that exercise."""
        if (old := self._views.pop(id, None)) is not None:
            old.close()
        self._views[id] = view
        self._refresh_hand_in()
        return view

    def review(self) -> ReviewSession:
        """Open a review of this lesson: unmarked questions like those of its exercises, those first that are due or weak.

        What was answered in the lesson counts; what is answered in the review is recorded apart from it.

        Raises
        ------
        ExerciseError
            No exercise has been shown so far that can be reviewed.
        """
        self._catch_up()
        pool = ReviewPool(tuple(one for one in self._exercises.values() if can_be_reviewed(one)))
        before = evidence_in(self._answers, pool, self.seed)
        folder = None if self._file is None else self._file.path.parent
        return ReviewSession(review_name(self.lesson), self.student, pool, folder, before)

    def hand_in(self) -> HandIn:
        """Show how many answers this notebook holds, and store them in it."""
        self._catch_up()
        self._hand_in = HandIn(self._hand_in_state)
        return self._hand_in

    def _hand_in_state(self) -> HandInState:
        return HandInState(
            RecordHeader(self.lesson, self.student, self.digest),
            self._answers,
            self._answered(),
            self._marks(),
            self.problems,
        )

    def _answered(self) -> tuple[AnsweredExercise, ...]:
        """How much of each exercise shown so far is answered."""
        return tuple(
            AnsweredExercise(one.exercise.id, one.exercise.count, one.answered) for one in self.marked().exercises
        )

    def _marks(self) -> dict[str, JSON] | None:
        """The marks so far, as the hand-in cell stores them."""
        return marks_data(self.marked())

    # -- what has been answered -----------------------------------------------------------------------------------

    @property
    def plan(self) -> LessonPlan:
        """The lesson as far as its cells have been run."""
        return LessonPlan(self.lesson, self.lesson, tuple(self._exercises.values()))

    @property
    def answers(self) -> tuple[AnswerLine, ...]:
        """All recorded answers, earliest first."""
        return self._answers

    def marked(self) -> MarkedLesson:
        """Return the marks so far, as the grader works them out."""
        return mark_lesson(self.plan, self.seed, self._answers)

    def _tries_at(self, exercise: Asked, index: int) -> list[AnswerLine]:
        """The answers to an item that can be read, earliest first."""
        found = []
        for line in self._answers:
            if (line.exercise, line.version, line.index) == (exercise.id, exercise.version, index):
                try:
                    exercise.item(self.seed, index).response.check(line.answer)
                except AnswerError:
                    continue  # edited by hand: the student may answer; the grader names it
                found.append(line)
        return found

    def _lines_of(self, exercise: Asked) -> dict[int, AnswerLine]:
        """The answer that is shown for each item: the latest that the attempts allow; as in marking, those after it are left out."""
        found = {}
        numbers = {line.index for line in self._answers if line.exercise == exercise.id}
        for index in sorted(number for number in numbers if number < exercise.count):
            if tries := self._tries_at(exercise, index):
                found[index] = tries[: self.attempts or None][-1]
        return found

    def _tries_of(self, exercise: Asked) -> Callable[[int], int]:
        """A function that tells how often an item may still be answered."""

        def left(index: int) -> int:
            most = self.attempts or MOST_ATTEMPTS
            return max(0, most - len(self._tries_at(exercise, index)))

        return left

    def _recorder(self, exercise: Asked) -> Recorder:
        def record(index: int, answer: Mapping[str, JSON], heard: int, ms: int, twin: str) -> AnswerLine:
            def line_of(attempt: int) -> AnswerLine:
                return AnswerLine(
                    uuid.uuid4().hex, exercise.id, exercise.version, index, answer, attempt, utc_now(), heard,
                    min(ms, 10**9), twin=twin or None,
                )  # fmt: skip

            if self._file is None:
                return line_of(1)
            # JupyterLab calls back on threads of its own, while a cell may be running.
            with self._lock:
                self._take_in_record()
                tries = self._tries_at(exercise, index)
                if len(tries) >= (self.attempts or MOST_ATTEMPTS):
                    # answered meanwhile in another window: what was answered first stands
                    return tries[: self.attempts or None][-1]
                line = line_of(len(tries) + 1)
                self._file.append(line)
                self._answers = (*self._answers, line)
            self._keep_recordings(line)
            return line

        return record

    def _keep_recordings(self, line: AnswerLine) -> None:
        assert self._file is not None
        view = self._views.get(line.exercise)
        recorders = [] if view is None else [one for box in view.step_boxes for one in box.recorders]
        stem = f"{self.lesson}.{self.student}.{line.exercise}-{line.index + 1}.{line.id[:8]}"
        keep_recordings(recorders, self._file.path.parent, stem)

    def _refresh_hand_in(self) -> None:
        if self._hand_in is not None:
            self._hand_in.refresh()

    def _catch_up(self) -> None:
        if self._file is not None:
            with self._lock:
                self._take_in_record()

    def _take_in_record(self) -> None:
        """Add what others wrote to the record since: another window, or exercises shown before the lesson was opened again.

        What this session knows and the record has lost (the file was taken away meanwhile) is written to it again.
        """
        assert self._file is not None
        reading = self._readable(self._file)
        merged, conflicts = merge_answers(self._answers, reading.answers)
        known = {answer.id for answer in reading.answers}
        for answer in self._answers:
            if answer.id not in known:
                self._file.append(answer)
        self._answers = merged
        self.problems = tuple(dict.fromkeys((*self.problems, *reading.problems, *conflicts)))

    def _readable(self, file: RecordFile) -> RecordReading:
        reading = file.read()
        if reading.header is not None and (reading.header.lesson, reading.header.student) != (
            self.lesson,
            self.student,
        ):
            raise RecordError(
                f"the record {file.path.name!r} says it is of {reading.header.student!r}, "
                f"lesson {reading.header.lesson!r}; move it away and run the lesson again"
            )
        return reading

    def _restore(self) -> None:
        assert self._file is not None
        reading = self._readable(self._file)
        carried, problems = self._carried_by_notebooks()
        merged, conflicts = merge_answers(reading.answers, carried)
        known = {answer.id for answer in reading.answers}
        for answer in merged:
            if answer.id not in known:
                self._file.append(answer)
        self._answers = merged
        self.problems = (*reading.problems, *problems, *conflicts)

    def _carried_by_notebooks(self) -> tuple[tuple[AnswerLine, ...], tuple[str, ...]]:
        """Answers embedded in notebooks beside the record: a notebook that came alone brings its answers back."""
        assert self._file is not None
        found: list[AnswerLine] = []
        problems: list[str] = []
        with os.scandir(self._file.path.parent) as entries:
            notebooks = sorted(
                entry.path
                for entry in entries
                if entry.name.endswith(".ipynb")
                and entry.is_file(follow_symlinks=False)
                and entry.stat().st_size <= MAX_NOTEBOOK_BYTES
            )
        for path in notebooks[:_MAX_NEIGHBOURS]:
            reading = read_notebook_answers(Path(path).read_bytes(), Path(path).name)
            header = reading.header
            if header is not None and (header.lesson, header.student) == (self.lesson, self.student):
                found.extend(reading.answers)
                problems.extend(reading.problems)
        return tuple({answer.id: answer for answer in reversed(found)}.values()), tuple(problems)

    def __repr__(self) -> str:
        who = f"student {self.student!r}" if self.student else "preview"
        return f"<lesson {self.lesson!r}, {who}, {len(self._exercises)} exercises, {len(self._answers)} answers>"


def open_lesson(
    lesson: str, *, student: str = "", seed: int = 0, digest: str = "", folder: Any = None, attempts: int = 1
) -> LessonSession:
    """Open a lesson in its notebook.

    Parameters
    ----------
    lesson : str
        Slug of the lesson, as its parameters cell says.
    student : str
        Slug of the student; empty for a preview that writes no file.
    seed : int
        From which the student's items are drawn.
    digest : str
        Digest of the lesson as handed out.
    folder : path, optional
        Where the record lies; the current folder by default.
    attempts : int
        How often an item may be answered; 0 for no limit. What is right is shown after the last, or a right one.

    Raises
    ------
    ExerciseError, RecordError
        A parameter that cannot be, or a record that cannot be opened.
    SetupError
        The notebook's environment has widgets that are too old.

    Examples
    --------
    >>> open_lesson("demo", seed=7)
    <lesson 'demo', preview, 0 exercises, 0 answers>
    """
    check_environment()
    return LessonSession(lesson, student, seed, digest, None if folder is None else Path(folder), attempts)
