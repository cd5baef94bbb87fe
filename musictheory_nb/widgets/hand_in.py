"""The last cell of a lesson: how many answers the notebook holds, and the answers themselves in its output."""

import html
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from IPython.display import display

from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.embedded_record import ANSWERS_MIME, MARKS_MIME, embedded_answers
from musictheory_nb.practice.plain_data import JSON


@dataclass(frozen=True, slots=True)
class AnsweredExercise:
    """How many items an exercise has, and how many of them are answered."""

    id: str
    count: int
    answered: int


@dataclass(frozen=True)
class HandInState:
    """The lesson at one moment: whose it is, what has been answered, the marks, and what could not be read.

    `marks` is None in a sealed copy, which cannot tell any.
    """

    header: RecordHeader
    answers: tuple[AnswerLine, ...]
    exercises: tuple[AnsweredExercise, ...]
    marks: dict[str, JSON] | None
    problems: tuple[str, ...] = ()

    @property
    def preview(self) -> bool:
        """Whether no student is named."""
        return not self.header.student


class HandIn:
    """What the hand-in cell shows and stores.

    Parameters
    ----------
    state : callable
        Returns the lesson as it is now.

    Notes
    -----
    The output carries every answer of the record, so that handing in the notebook alone is enough. It is brought up to
    date after each answer for as long as the page stays open; running the cell again does the same after a reload.
    """

    def __init__(self, state: Callable[[], HandInState]) -> None:
        self._state = state
        self._handle: Any = None

    def bundle(self) -> dict[str, Any]:
        """Return the output: text, HTML and, unless this is a preview, the answers and the marks so far."""
        state = self._state()
        total = sum(one.count for one in state.exercises)
        answered = sum(one.answered for one in state.exercises)
        if state.preview:
            text = f"Preview: nothing is recorded. A student would hand in {total} answers here."
            return {"text/plain": text, "text/html": f"<p>{html.escape(text)}</p>"}
        text = f"{answered} of {total} answers are in this notebook."
        if apart := self._apart(state):
            held = answered + sum(apart.values())
            text = f"{held} answers are in this notebook." if held > 1 else "1 answer is in this notebook."
            advice = (
                f"The cells of these exercises have not been run since the lesson was opened: {', '.join(apart)}. "
                "Choose Run All Cells in the menu Run to see whether all is answered."
            )
        elif not total:
            text = "No answers are in this notebook."
            advice = "No exercise of this lesson has been run yet. Choose Run All Cells in the menu Run."
        elif answered < total:
            missing = [
                f"{one.id} ({one.answered} of {one.count})" for one in state.exercises if one.answered < one.count
            ]
            advice = "Not finished: " + ", ".join(missing) + ". You can save and go on another day."
        else:
            shown = ", ".join(one.id for one in state.exercises)
            advice = f"All answered, in every exercise whose cell has been run: {shown}."
        after = (
            "Save the notebook (Ctrl+S, on a Mac ⌘S), then hand it in. If you have answered more than this says, "
            "run this cell again before you save."
        )
        rows = [text, advice, after, *(f"Note: {problem}" for problem in state.problems)]
        return {
            "text/plain": "\n".join(rows),
            "text/html": f"<p><strong>{html.escape(rows[0])}</strong></p>"
            + "".join(f"<p>{html.escape(row)}</p>" for row in rows[1:]),
            ANSWERS_MIME: embedded_answers(state.header, state.answers),
            **({} if state.marks is None else {MARKS_MIME: state.marks}),
        }

    @staticmethod
    def _apart(state: HandInState) -> dict[str, int]:
        """Number of items answered in exercises whose cells have not been run, by exercise id."""
        run = {one.id for one in state.exercises}
        items = {(line.exercise, line.index) for line in state.answers if line.exercise not in run}
        return dict(sorted(Counter(exercise for exercise, _ in items).items()))

    def refresh(self) -> None:
        """Bring the output up to date."""
        if self._handle is not None:
            self._handle.update(self.bundle(), raw=True)

    def _ipython_display_(self) -> None:
        self._handle = display(self.bundle(), raw=True, display_id=True)
