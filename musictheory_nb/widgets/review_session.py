"""Review of a student: what was answered so far, what is due, and the question that comes next. Nothing of it is marked."""

import os
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from musictheory_nb.errors import ExerciseError, RecordError
from musictheory_nb.media.confusion_picture import confusion_picture
from musictheory_nb.media.mastery_picture import mastery_picture
from musictheory_nb.media.picture import Picture
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader, utc_now
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.exercise import MAX_SLUG, Exercise, is_slug
from musictheory_nb.practice.mastery import MASTERED
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.record_file import RecordFile
from musictheory_nb.practice.review import (
    Evidence,
    Next,
    ReviewPool,
    Skill,
    can_be_reviewed,
    evidence_in,
    mastery,
    next_question,
    review_pool,
)
from musictheory_nb.widgets.environment_check import check_environment
from musictheory_nb.widgets.review_view import ReviewView
from musictheory_nb.widgets.spacing import due_times

_ENDING: Final = "-review"
#: Version of how questions are chosen; enters the draws.
_VERSION: Final = 1


def review_name(lesson: str) -> str:
    """Return the id under which the review of a lesson is recorded.

    Examples
    --------
    >>> review_name("hear-the-tritone")
    'hear-the-tritone-review'
    """
    return lesson[: MAX_SLUG - len(_ENDING)].rstrip("-") + _ENDING


def _again(moment: datetime, now: datetime) -> str:
    minutes = round((moment - now).total_seconds() / 60)
    if minutes <= 1:
        return "It comes again soon."
    if minutes < 90:
        return f"It comes again in about {minutes} minutes."
    hours = round(minutes / 60)
    if hours < 36:
        return f"It comes again in about {hours} hours."
    return f"It comes again on {moment.astimezone():%d %B %Y}, or earlier if you like."


class ReviewSession:
    """One open review; made by `review` or by a lesson.

    Parameters
    ----------
    name : str
        Slug under which it is recorded, apart from any lesson's answers.
    student : str
        Slug; empty for a preview, which writes no file.
    pool : ReviewPool
        From which questions are drawn.
    folder : Path, optional
        Where the record lies; the current folder by default.
    before : sequence of Evidence
        What the answers of a lesson say, which count too.

    Raises
    ------
    ExerciseError
        A name or student that is no slug.
    RecordError
        The record is there and cannot be opened, or is another's.

    Notes
    -----
    The state is the record, replayed at the start and added to: nothing else is kept, and no mark depends on it.
    """

    def __init__(
        self,
        name: str,
        student: str,
        pool: ReviewPool,
        folder: Path | None = None,
        before: Sequence[Evidence] = (),
    ) -> None:
        for what, value in (("review", name), ("student", student or "none")):
            if not is_slug(value):
                raise ExerciseError(f"{what} {value!r}: write lower-case letters, digits and hyphens, as 'ines-orta'")
        self.name = name
        self.student = student
        self.pool = pool
        self._file: RecordFile | None = None
        self._lines: tuple[AnswerLine, ...] = ()
        self.problems: tuple[str, ...] = ()
        if student:
            self._file = RecordFile(Path(folder or Path.cwd()), RecordHeader(name, student))
            reading = self._file.read()
            if reading.header is not None and (reading.header.lesson, reading.header.student) != (name, student):
                raise RecordError(
                    f"the record {self._file.path.name!r} says it is of {reading.header.student!r}, "
                    f"{reading.header.lesson!r}; move it away and run this again"
                )
            self._lines, self.problems = reading.answers, reading.problems
        own = evidence_in(self._lines, pool)
        self._evidence = sorted((*before, *own), key=lambda one: one.time)
        self._due: Mapping[Skill, datetime] = due_times(self._evidence)
        self._times = len(self._lines)
        self._last: Skill | None = None
        self.view = ReviewView(self._following, self._record, self.standing, self._returns, preview=not student)

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """What all answers so far say, earliest first."""
        return tuple(self._evidence)

    @property
    def due(self) -> Mapping[Skill, datetime]:
        """When each skill that was met is due again."""
        return dict(self._due)

    def due_now(self) -> tuple[Skill, ...]:
        """Return the skills that are due."""
        now = datetime.now(UTC)
        return tuple(skill for skill in self.pool.skills if skill in self._due and self._due[skill] <= now)

    def standing(self) -> str:
        """Return a line on where the student stands."""
        known = mastery(self._evidence)
        learned = sum(known.get(skill, 0.0) >= MASTERED for skill in self.pool.skills)
        return f"Due now: {len(self.due_now())}. Learned: {learned} of {len(self.pool.skills)}."

    def _following(self) -> Next:
        # every question that was shown is a draw of its own
        draw = Draw(f"{self.name}/{self.student}", "review", _VERSION, 0, self._times)
        self._times += 1
        now = datetime.now(UTC)
        asked = next_question(self.pool, self._evidence, self._due, now, draw, last=self._last)
        self._last = asked.skill
        return asked

    def _record(self, index: int, answer: Mapping[str, JSON], heard: int, ms: int, twin: str) -> AnswerLine:
        asked = self.view.asked
        exercise = asked.exercise
        line = AnswerLine(
            uuid.uuid4().hex, exercise.id, exercise.version, index, answer, 1, utc_now(), heard, min(ms, 10**9),
            asked.seed, dict(exercise.settings), twin or None,
        )  # fmt: skip
        if self._file is not None:
            self._file.append(line)
        self._lines = (*self._lines, line)
        self._evidence += evidence_in([line], self.pool)
        self._due = due_times(self._evidence)
        return line

    def _returns(self) -> str:
        moment = self._due.get(self.view.asked.skill) if hasattr(self, "view") else None
        return "" if moment is None else _again(moment, datetime.now(UTC))

    def progress(self) -> Picture:
        """Return a picture of how sure the student is of each skill; its text tells the same.

        Raises
        ------
        MediaError
            Nothing has been answered yet.
        """
        known = mastery(self._evidence)
        titles = {one.id: one.family.title for one in self.pool.exercises}
        many = len({skill.exercise for skill in known}) > 1
        labels = [f"{titles[skill.exercise]}: {skill.label}" if many and skill.step else skill.label for skill in known]
        return mastery_picture(labels, list(known.values()), MASTERED)

    def confusions(self) -> Picture:
        """Return a picture of what was taken for what; its text tells the same.

        Raises
        ------
        MediaError
            Nothing was.
        """
        pairs = {(one.time, one.confusion): one.confusion for one in self._evidence if one.confusion is not None}
        return confusion_picture(list(pairs.values()))

    def _ipython_display_(self) -> None:
        from IPython.display import display

        display(self.view)

    def __repr__(self) -> str:
        who = f"student {self.student!r}" if self.student else "preview"
        return f"<review {self.name!r}, {who}, {len(self.pool.skills)} skills, {len(self._evidence)} answers>"


def review(
    student: str = "",
    exercises: Sequence[str | Exercise] = (),
    *,
    name: str = "review",
    folder: Any = None,
) -> ReviewSession:
    """Open a review: unmarked questions without an end, those first that are due or weak.

    Parameters
    ----------
    student : str
        Slug; empty for a preview that writes no file.
    exercises : sequence of str or Exercise
        Kinds, such as ``'interval-by-ear'``, at their defaults, or exercises; by default every kind that needs no music of a
        piece.
    name : str
        Slug under which it is recorded.
    folder : path, optional
        Where the record lies; the current folder by default.

    Raises
    ------
    ExerciseError
        A kind that is not known, an exercise that a teacher marks, or a name that is no slug.
    RecordError
        The record cannot be opened.

    Examples
    --------
    >>> review(exercises=["interval-by-ear"])
    <review 'review', preview, 12 skills, 0 answers>
    """
    check_environment()
    place = None if folder is None else Path(os.fspath(folder))
    kinds = [one for one in exercises if isinstance(one, str)]
    made = review_pool(kinds, name).exercises if kinds or not exercises else ()
    given = tuple(replace(one, points=0) for one in exercises if isinstance(one, Exercise))
    for one in given:
        if not can_be_reviewed(one):
            raise ExerciseError(f"exercise {one.id!r}: a teacher marks it, so it cannot be reviewed")
    return ReviewSession(name, student, ReviewPool((*made, *given)), place)
