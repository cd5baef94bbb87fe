"""One exercise on the screen: question, sound and notation, answer, feedback; one question at a time."""

import html
import time
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets
from IPython.display import display

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.practice.twin import is_offered, twins_in
from musictheory_nb.widgets.action_row import ActionRow
from musictheory_nb.widgets.feedback import Feedback
from musictheory_nb.widgets.media_box import MediaBox
from musictheory_nb.widgets.stand_in import AnsweredRow, stand_in
from musictheory_nb.widgets.step_box import StepBox
from musictheory_nb.widgets.twin_box import TwinBox

#: Called with item index, checked answer, times heard, milliseconds and which twin was used; returns the recorded line.
Recorder = Callable[[int, Mapping[str, JSON], int, int, str], AnswerLine]

#: More attempts than these are not counted down.
MANY_TRIES = 100
#: Said where the record holds another answer to the item already.
ANSWERED_ELSEWHERE = "You had answered this question before, in another window; that answer stands and is shown."


def verdict(mark: Mark) -> str:
    """Return the verdict in a word or two.

    Examples
    --------
    >>> verdict(Mark(1.0, "")), verdict(Mark(0.5, "")), verdict(Mark(0.0, ""))
    ('Right.', 'Partly right (50 %).', 'Not right.')
    >>> verdict(Mark(0.0, "", awaits_teacher=True))
    'Answered.'
    """
    if mark.awaits_teacher:
        return "Answered."
    if mark.score >= 1:
        return "Right."
    return f"Partly right ({100 * mark.score:.0f} %)." if mark.score > 0 else "Not right."


def tries_told(left: int) -> str:
    """Return how often an item may still be answered, in words.

    Examples
    --------
    >>> tries_told(1), tries_told(2), tries_told(1000)
    ('You can answer once more.', 'You can answer 2 more times.', 'You can answer again as often as you like.')
    """
    if left > MANY_TRIES:
        return "You can answer again as often as you like."
    return "You can answer once more." if left == 1 else f"You can answer {left} more times."


class ExerciseView(ipywidgets.VBox):
    """An exercise that a student works through.

    Parameters
    ----------
    exercise : Exercise
        What is asked.
    seed : int
        The student's seed.
    lines : dict of int to AnswerLine
        Items answered before, by index; they are shown as answered.
    record : callable
        Puts an answer on the disk; it returns before any feedback is shown. Where the item was answered meanwhile in
        another window it records nothing and returns that line.
    preview : bool
        Whether nothing is recorded.
    recorded : callable, optional
        Called when an answer has been recorded and the verdict is on the screen.
    left : callable, optional
        How often item `index` may still be answered. While it may, and the answer is not right yet, the verdict is told and not
        what is right.

    Notes
    -----
    Errors are never swallowed: a failed action is shown in the exercise and raised again in the kernel.
    """

    def __init__(
        self,
        exercise: Exercise,
        seed: int,
        lines: Mapping[int, AnswerLine],
        record: Recorder,
        *,
        preview: bool = False,
        recorded: Callable[[], None] = lambda: None,
        left: Callable[[int], int] = lambda index: 0,
    ) -> None:
        self.exercise = exercise
        self.preview = preview
        self._seed = seed
        self._record = record
        self._recorded = recorded
        self._left = left
        self._is_again = False
        self._lines = dict(lines)
        self._stand_in: Any = None
        self._since = time.monotonic()
        self._heading = ipywidgets.HTML()
        self._prompt = ipywidgets.HTML()
        self._asked = MediaBox(exercise.lesson)
        self._twin = TwinBox(exercise.lesson)
        self._steps = ipywidgets.VBox()
        self._actions = ActionRow([], self._act, label=f"Exercise {exercise.id}")
        self._feedback = Feedback()
        self._answered = MediaBox(exercise.lesson)
        super().__init__(
            [
                self._heading,
                self._prompt,
                self._asked,
                self._twin,
                self._steps,
                self._actions,
                self._feedback,
                self._answered,
            ]
        )
        self.add_class("mtnb-exercise")
        self._index = 0
        self._item: Item
        self.show(self._first())

    def _first(self) -> int:
        """The item that is shown at the start: the first that is not answered."""
        return next((at for at in range(self.exercise.count) if at not in self._lines), 0)

    # -- what is on the screen ------------------------------------------------------------------------------------

    @property
    def index(self) -> int:
        """Index of the item on the screen, from 0."""
        return self._index

    @property
    def item(self) -> Item:
        """The item on the screen."""
        return self._item

    @property
    def twin(self) -> TwinBox:
        """The ways round what the student cannot hear or see."""
        return self._twin

    @property
    def step_boxes(self) -> tuple[StepBox, ...]:
        """The steps of the item on the screen."""
        return tuple(self._steps.children)

    def show(self, index: int) -> None:
        """Show item `index` (from 0), answered or not."""
        for box in self._steps.children:
            box.close_all()
        self._index = index
        self._is_again = False
        self._item = self.exercise.item(self._seed, index)
        self._prompt.value = f'<div class="mtnb-prompt">{html.escape(self._item.prompt)}</div>'
        line = self._lines.get(index)
        self._show_asked_media(line)
        self._steps.children = [StepBox(step, self._asked.hear) for step in self._item.response.steps]
        self._since = time.monotonic()
        if line is None:
            self._feedback.clear()
            self._answered.show(())
        else:
            self._tell(line)
            self._show_answered_media(line)
        self._refresh()

    def _show_asked_media(self, line: AnswerLine | None) -> None:
        """Show what is asked by sound and notation, and its twins; `line` is the answer where there is one."""
        # what stands in place of sight would be told twice, and too early
        self._asked.show(self._item.shown("asked"), is_told=not self._item.twin_text)
        used = twins_in(self.exercise.twin if line is None else line.twin)
        self._twin.show(self._item, used, offers=line is None and is_offered(self.exercise.twin))

    def _twin_used(self) -> str:
        """What the record says of the twins that have been shown."""
        return self._twin.used

    @property
    def _title(self) -> str:
        """The exercise in words."""
        return self.exercise.family.title

    def _tell(self, line: AnswerLine, note: str = "") -> None:
        """Lock the steps, show what was right, and give the verdict with its reasons."""
        try:
            answer = self._item.response.check(line.answer)
        except AnswerError as error:
            self._tell_unreadable(error)
            return
        mark = self.exercise.mark(self._item, answer)
        if left := self._tries_left(line):
            for box in self.step_boxes:
                box.show_given(answer[box.step.id])
            kind = "partly" if mark.score > 0 else "wrong"
            self._feedback.tell(verdict(mark), [note, tries_told(left)], verdict=kind)
            return
        for box in self.step_boxes:
            box.reveal(answer[box.step.id], self._item.solution.get(box.step.id, {}))
        kind = "" if mark.awaits_teacher else "right" if mark.score >= 1 else "partly" if mark.score > 0 else "wrong"
        said = verdict(mark)
        headline = [] if mark.why.startswith(said.rstrip(".")) else [said]
        told = [*headline, mark.why, *self._item.explain.splitlines(), *self._more_told()]
        told[1:1] = [note] if note else []
        self._feedback.tell(told[0], told[1:], verdict=kind)

    def _more_told(self) -> list[str]:
        """Lines that stand below the explanation."""
        return []

    def _tries_left(self, line: AnswerLine) -> int:
        """How often the item on the screen may still be answered: not at all where the answer is right, or a teacher's to mark."""
        left = self._left(self._index)
        if not left or self.preview:
            return 0
        try:
            mark = self._mark_of(self._item.response.check(line.answer))
        except AnswerError:
            return 0
        return 0 if mark is not None and (mark.score >= 1 or mark.awaits_teacher) else left

    def answer_again(self) -> None:
        """Take another answer to the item on the screen, where it may still be answered."""
        line = self._lines.get(self._index)
        if line is None or self._is_again or not self._tries_left(line):
            return
        for box in self._steps.children:
            box.close_all()
        self._is_again = True
        shown = twins_in(line.twin) or twins_in(self.exercise.twin)
        self._twin.show(self._item, shown, offers=is_offered(self.exercise.twin))
        self._steps.children = [StepBox(step, self._asked.hear) for step in self._item.response.steps]
        self._since = time.monotonic()
        self._feedback.clear()
        self._refresh()
        self._actions.news = f"Answer question {self._index + 1} again. {self._item.prompt}"
        self._actions.focus("start")

    def _tell_unreadable(self, error: AnswerError) -> None:
        self._feedback.tell("This recorded answer cannot be read.", [str(error)])
        for box in self.step_boxes:
            box.lock()

    def _mark_of(self, answer: Mapping[str, JSON]) -> Mark | None:
        """The mark of a checked answer to the item on the screen; None where nobody here can tell."""
        return self.exercise.mark(self._item, answer)

    def _show_answered_media(self, line: AnswerLine) -> None:
        try:
            answer = self._item.response.check(line.answer)
        except AnswerError:
            self._answered.show(())
            return
        if self._tries_left(line):
            self._answered.show(())
            return
        right = self.exercise.mark(self._item, answer).score >= 1
        compare = () if right else self.exercise.compare(self._item, answer)
        self._answered.show((*self._item.shown("answered"), *compare))

    def _refresh(self) -> None:
        count, done = self.exercise.count, len(self._lines)
        told = f"Question {self._index + 1} of {count}. {done} of {count} answered."
        if self.preview:
            told += " Preview: nothing is recorded."
        self._heading.value = f'<div class="mtnb-progress">{html.escape(told)}</div>'
        answered = self._index in self._lines and not self._is_again
        actions = [{"id": "check", "label": "Check my answer", "enabled": not answered, "primary": not answered}]
        if answered and self._tries_left(self._lines[self._index]):
            actions.append({"id": "again", "label": "Answer again", "enabled": True, "primary": False})
        if count > 1:
            more = self._next() is not None
            actions += [
                {"id": "previous", "label": "Previous question", "enabled": self._index > 0, "primary": False},
                {"id": "next", "label": "Next question", "enabled": more, "primary": answered and more},
            ]
        self._actions.actions = actions

    def _next(self) -> int | None:
        """The next item that is not answered, else the next one."""
        count = self.exercise.count
        for at in (*range(self._index + 1, count), *range(self._index)):
            if at not in self._lines:
                return at
        return self._index + 1 if self._index + 1 < count else None

    # -- what the student does ------------------------------------------------------------------------------------

    def _act(self, action: str) -> None:
        if action == "check":
            self.check()
        elif action == "again":
            self.answer_again()
        elif action == "next" and (following := self._next()) is not None:
            self._turn_to(following)
        elif action == "previous" and self._index > 0:
            self._turn_to(self._index - 1)

    def _turn_to(self, index: int) -> None:
        self.show(index)
        self._actions.news = f"Question {index + 1} of {self.exercise.count}. {self._item.prompt}"
        self._actions.focus("start")

    def check(self) -> Mark | None:
        """Record and mark what has been entered; None when it is not complete yet or another answer stands already.

        The student is told so.
        """
        if self._index in self._lines and not self._is_again:
            return None
        given = {box.step.id: box.value for box in self.step_boxes}
        missing = [box for box in self.step_boxes if box.value is None]
        if missing:
            self._feedback.tell("Not answered yet.", ["Still to do: " + "; ".join(box.step.label for box in missing)])
            return None
        try:
            answer = self._item.response.check(given)
        except AnswerError as error:
            self._feedback.tell("Not complete yet.", [str(error)])
            return None
        spent = int(1000 * (time.monotonic() - self._since))
        line = self._record(self._index, answer, self._asked.plays, spent, self._twin_used())
        self._twin.end()
        self._is_again = False
        self._lines[self._index] = line
        stands = thawed(line.answer) == thawed(answer)
        self._tell(line, "" if stands else ANSWERED_ELSEWHERE)
        self._refresh()
        self._actions.focus("next" if self._next() is not None else "check")
        self._tell_the_end()
        # What takes longer comes after the verdict.
        self._show_answered_media(line)
        self._update_stand_in()
        self._recorded()
        return self._mark_of(answer) if stands else None

    def _tell_the_end(self) -> None:
        """Say to a screen reader that all is answered, when it is."""
        if len(self._lines) == self.exercise.count:
            self._actions.news = f"All {self.exercise.count} questions of this exercise are answered."

    # -- what a saved notebook tells ------------------------------------------------------------------------------

    def _rows(self) -> list[AnsweredRow]:
        rows = []
        for index, line in sorted(self._lines.items()):
            item = self.exercise.item(self._seed, index)
            try:
                answer = item.response.check(line.answer)
            except AnswerError:
                continue
            said = self._verdict_of(item, answer)
            rows.append(AnsweredRow(index + 1, item.prompt, answer_words(item.response, answer), said))
        return rows

    def _verdict_of(self, item: Item, answer: Mapping[str, JSON]) -> str:
        """What is said of a checked answer, in a word or two."""
        return verdict(self.exercise.mark(item, answer))

    def _bundle(self) -> dict[str, str]:
        return stand_in(self._title, self.exercise.count, [] if self.preview else self._rows())

    def _update_stand_in(self) -> None:
        if self._stand_in is not None and not self.preview:
            self._stand_in.update(self._bundle(), raw=True)

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        self._stand_in = display(self._bundle(), raw=True, display_id=True)
        bundle = super()._repr_mimebundle_(**kwargs)
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        data["text/plain"] = f"Exercise {self.exercise.id}: {self._title}"
        return bundle

    def close(self) -> None:
        """Take the exercise and all that belongs to it off the screen."""
        for box in self._steps.children:
            box.close_all()
        self._asked.show(())
        self._twin.close()
        self._answered.show(())
        super().close()
