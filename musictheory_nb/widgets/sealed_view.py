"""A sealed exercise on the screen: the same questions and inputs; of an answer it is said that it is recorded, and no more."""

from collections.abc import Callable, Mapping
from typing import Any, Final, cast

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.sealed_exercise import SealedExercise
from musictheory_nb.widgets.exercise_view import ExerciseView, Recorder, tries_told

RECORDED: Final = "Recorded."
NO_VERDICT: Final = "Your teacher marks it; this copy does not hold the answers."


class SealedView(ExerciseView):
    """A sealed exercise that a student works through.

    Parameters
    ----------
    exercise : SealedExercise
        What is asked.
    lines, record, preview, recorded, left
        As for `ExerciseView`.
    """

    sealed: SealedExercise

    def __init__(
        self,
        exercise: SealedExercise,
        lines: Mapping[int, AnswerLine],
        record: Recorder,
        *,
        preview: bool = False,
        recorded: Callable[[], None] = lambda: None,
        left: Callable[[int], int] = lambda index: 0,
    ) -> None:
        self.sealed = exercise
        # what needs a key (`family`, `mark`, `compare`) is never asked of it: the methods below take its place
        super().__init__(cast(Any, exercise), 0, lines, record, preview=preview, recorded=recorded, left=left)

    @property
    def _title(self) -> str:
        return self.sealed.title

    def _show_asked_media(self, line: AnswerLine | None) -> None:
        item = self.sealed.items[self._index]
        self._asked.show_stored(item.sounds, item.notation)
        self._twin.show(self._item, (), offers=False)

    def _twin_used(self) -> str:
        return self.sealed.items[self._index].twin

    def _tell(self, line: AnswerLine, note: str = "") -> None:
        try:
            answer = self._item.response.check(line.answer)
        except AnswerError as error:
            self._tell_unreadable(error)
            return
        for box in self.step_boxes:
            box.show_given(answer[box.step.id])
        left = self._tries_left(line)
        self._feedback.tell(RECORDED, [note, NO_VERDICT, *([tries_told(left)] if left else [])])

    def _show_answered_media(self, line: AnswerLine) -> None:
        self._answered.show(())

    def _mark_of(self, answer: Mapping[str, JSON]) -> Mark | None:
        return None

    def _verdict_of(self, item: Item, answer: Mapping[str, JSON]) -> str:
        return RECORDED
