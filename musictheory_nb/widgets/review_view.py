"""Review on the screen: one question after the other, unmarked, for as long as the student likes."""

import html
from collections.abc import Callable
from typing import Any

from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.review import REASONS, Next
from musictheory_nb.widgets.exercise_view import ExerciseView, Recorder, verdict
from musictheory_nb.widgets.stand_in import AnsweredRow, stand_in

#: Rows of the saved view: the latest answers of this sitting.
_ROWS = 40


class ReviewView(ExerciseView):
    """Questions that `following` gives, one by one.

    Parameters
    ----------
    following : callable
        Returns the question that comes next.
    record : callable
        As for `ExerciseView`; called for the question on the screen.
    standing : callable
        Returns a line on where the student stands, for the heading.
    returns : callable
        Returns a line on when what was just asked comes again.
    preview : bool
        Whether nothing is recorded.
    """

    def __init__(
        self,
        following: Callable[[], Next],
        record: Recorder,
        standing: Callable[[], str],
        returns: Callable[[], str],
        *,
        preview: bool = False,
    ) -> None:
        self._following = following
        self._standing = standing
        self._returns = returns
        self._asked_now = following()
        self._rows_so_far: list[AnsweredRow] = []
        first = self._asked_now
        super().__init__(first.exercise, first.seed, {}, record, preview=preview)

    @property
    def asked(self) -> Next:
        """The question on the screen."""
        return self._asked_now

    def _first(self) -> int:
        return self._asked_now.index

    def _next(self) -> int | None:
        return self._asked_now.index

    def _refresh(self) -> None:
        answered = self._index in self._lines
        told = f"Review, not marked: {REASONS[self._asked_now.reason]}. {self._standing()}"
        if self.preview:
            told += " Preview: nothing is recorded."
        self._heading.value = f'<div class="mtnb-progress">{html.escape(told)}</div>'
        self._actions.actions = [
            {"id": "check", "label": "Check my answer", "enabled": not answered, "primary": not answered},
            {"id": "next", "label": "Another question", "enabled": True, "primary": answered},
        ]

    def _act(self, action: str) -> None:
        if action == "check":
            self.check()
        elif action == "next":
            self.ask(self._following())

    def ask(self, question: Next) -> None:
        """Put another question on the screen; one that was not answered is passed over."""
        self._asked_now = question
        self.exercise: Exercise = question.exercise
        self._seed = question.seed
        self._lines = {}
        self.show(question.index)
        self._actions.news = self._item.prompt
        self._actions.focus("start")

    def _more_told(self) -> list[str]:
        return [comes] if (comes := self._returns()) else []

    def _tell_the_end(self) -> None:
        """There is none."""
        line = self._lines[self._index]
        answer = self._item.response.check(line.answer)
        words = answer_words(self._item.response, answer)
        said = verdict(self.exercise.mark(self._item, answer))
        self._rows_so_far.append(AnsweredRow(len(self._rows_so_far) + 1, self._item.prompt, words, said))

    def _bundle(self) -> dict[str, str]:
        return stand_in("Review", len(self._rows_so_far), self._rows_so_far[-_ROWS:] if not self.preview else ())

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        bundle = super()._repr_mimebundle_(**kwargs)
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        data["text/plain"] = "Review"
        return bundle
