"""Exercise family: name or play an interval that is heard, seen, or both, alone or in a measure of a piece."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.display_settings import AUTO
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.interval_choice import (
    BOTH_KEYS_CREDIT,
    NAME_CREDIT,
    SECOND_KEY_CREDIT,
    IntervalChoice,
    both_keys_credit,
    interval_choices,
    name_credit,
    second_key_credit,
    size_name,
)
from musictheory_nb.practice.interval_comparison import second_note, side_by_side
from musictheory_nb.practice.interval_draw import (
    keyboard,
    order_in_excerpt,
    order_of_intervals,
    sounding_range,
    two_notes,
)
from musictheory_nb.practice.interval_settings import SETTINGS, IntervalPlan, check_plan, plan_of
from musictheory_nb.practice.interval_words import by_ear_sentence, interval_sentence, two_notes_read_aloud
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, Step
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.spelled_pair import pairs_in_register
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

_STEP: Final = "interval"

_LISTEN: Final = {
    ("sound", False): "Listen to the two notes, one after the other.",
    ("sound", True): "Listen to the two notes that sound together.",
    ("notation", False): "Look at the two notes, which follow each other.",
    ("notation", True): "Look at the two notes, which sound together.",
    ("both", False): "Listen to the two notes and look at them. They follow each other.",
    ("both", True): "Listen to the two notes and look at them. They sound together.",
}


@dataclass(frozen=True)
class IntervalByEar:
    """Interval by ear, version 1.

    Two notes are drawn as they stand in a key, or in an excerpt; the student names the interval, or plays it. Each
    interval comes once before any comes again, and none twice running.

    Settings::

    {settings}

    Marking. An answer by name, where the notes are only heard (intervals that sound alike are then one choice), and
    where they are seen before the answer:

    {names}

    An answer on the piano. Of two notes that follow each other the first is shown, and the second is played:

    {second}

    For two notes that sound together both are played:

    {both}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "interval-by-ear"
    version: int = 1
    title: str = "Intervals by ear"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_plan(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        return (self._of_excerpt if question.settings["excerpt"] else self._drawn)(question)

    def _drawn(self, question: Question) -> Item:
        settings, plan = question.settings, plan_of(question.settings)
        order = order_of_intervals(
            question.lesson,
            question.exercise,
            question.version,
            question.seed,
            question.count,
            plan.names,
            plan.directions,
        )
        name, direction = order[question.index]
        pair = question.draw().choice(pairs_in_register(name, plan.low_midi, plan.high_midi))
        down, together = direction == "down", direction == "together"
        first, second = (pair.high, pair.low) if down else (pair.low, pair.high)
        shift = plan.display.part_shift
        low_midi, high_midi = pair.low_midi + shift[0], pair.high_midi + shift[0]
        midi = (high_midi, low_midi) if down else (low_midi, high_midi)
        two = two_notes(first, second, together, plan.clef, settings["timbre"], shift)
        media = (
            MediaRequest("sound", two, "Hear the two notes", "asked" if plan.heard else "answered"),
            MediaRequest("notation", two, "The two notes", "asked" if plan.seen else "answered"),
        )
        prompt = f"{_LISTEN[settings['present'], together]} Which interval do they make?"
        degrees = (pair.high_degree, pair.low_degree) if down else (pair.low_degree, pair.high_degree)
        told = interval_sentence(name, first, second, direction, pair.scale, *degrees, plan.display)
        piano = None
        if plan.keys:
            piano = keyboard(plan.low_midi + shift[0], plan.high_midi + shift[0], None if together else midi[0])
        twin = () if plan.seen else (MediaRequest("notation", two, "The two notes"),)
        return self._made(question, plan, prompt, media, piano, name, direction, (first, second), midi, told, twin)

    def _of_excerpt(self, question: Question) -> Item:
        settings, plan, excerpt = question.settings, plan_of(question.settings), question.excerpt()
        order = order_in_excerpt(
            question.lesson,
            question.exercise,
            question.version,
            question.seed,
            question.count,
            excerpt,
            plan.names,
            plan.directions,
        )
        pair = order[question.index]
        together = pair.direction == "together"
        part = excerpt.parts[pair.part]
        clef = part.clef if settings["clef"] == AUTO else settings["clef"]
        two = two_notes(pair.first, pair.second, together, clef, settings["timbre"])
        heard, seen = ("asked" if given else "answered" for given in (plan.heard, plan.seen))
        where = span_words(excerpt, *pair.measures)
        media = (
            MediaRequest("sound", excerpt, f"Hear {where}", heard, *pair.measures),
            MediaRequest("sound", two, "Hear the two notes alone", heard),
            MediaRequest(
                "notation", excerpt, f"Score of {where}, the two notes marked", seen, *pair.measures, marked=pair.marked
            ),
        )
        title = f" of {excerpt.title}" if excerpt.title else ""
        listen = {"sound": "Listen to", "notation": "Look at", "both": "Listen to and look at"}[settings["present"]]
        which = "two notes of one part that sound together" if together else "two notes that follow each other"
        them = "it" if pair.measures[0] == pair.measures[1] else "them"
        ask = f"then to {which} in {them}" if settings["present"] == "sound" else f"where {which} are marked"
        prompt = f"{listen} {where}{title}, {ask}. Which interval do these two make?"
        told = interval_sentence(pair.interval, pair.first, pair.second, pair.direction, display=plan.display)
        told = f"In {where}, {told}"
        midi = pair.first_midi, pair.second_midi
        piano = None
        if plan.keys:
            piano = keyboard(*sounding_range(excerpt), None if together else midi[0])
        notes = pair.first, pair.second
        twin = () if plan.seen else (replace(media[-1], moment="asked"),)
        return self._made(question, plan, prompt, media, piano, pair.interval, pair.direction, notes, midi, told, twin)

    @staticmethod
    def _solution(
        inputs: tuple[Input, ...], choice: IntervalChoice, midi: tuple[int, int], direction: str
    ) -> dict[str, JSON]:
        """Return what each input shows as right after the answer."""
        keys = sorted(midi) if direction == "together" else [midi[1]]
        return {each.id: keys if isinstance(each, KeysInput) else [choice.value] for each in inputs}

    def _made(
        self,
        question: Question,
        plan: IntervalPlan,
        prompt: str,
        media: tuple[MediaRequest, ...],
        piano: KeysInput | None,
        name: str,
        direction: str,
        notes: tuple[str, str],
        midi: tuple[int, int],
        told: str,
        twin: tuple[MediaRequest, ...],
    ) -> Item:
        inputs: tuple[Input, ...] = (plan.buttons,) if plan.buttons is not None else ()
        label = "Which interval is it?"
        if piano is not None:
            play = (
                "play both notes, from any key" if direction == "together" else "play the second note after the first"
            )
            label = f"Which interval is it? {'Choose its name, or ' + play if inputs else play.capitalize()}."
            inputs += (piano,)
        choice = next(choice for choice in plan.choices if name in choice.names)
        if not plan.seen and (also := by_ear_sentence(name, choice.names)):
            told += " " + also
        return Item(
            question.exercise,
            question.index,
            prompt,
            media,
            Response((Step(_STEP, label, inputs),)),
            {
                "interval": name,
                "direction": direction,
                "notes": notes,
                "midi": midi,
                "choices": _names(plan.choices),
                "seen": plan.seen,
                "partial": question.settings["partial"],
                **plan.display.key,
            },
            told,
            {_STEP: self._solution(inputs, choice, midi, direction)},
            twin,
            "" if plan.heard else two_notes_read_aloud(*notes, direction, plan.display),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        case, score, told = _judged(item, answer)
        if not item.key["partial"] and score < 1.0:
            score = 0.0
        right = _right_choice(item).label
        why = {
            "right": f"Right: {right}.",
            "sound": f"Right: {right}." if score == 1.0 else f"The size is right, but spelled so it is a {right}.",
            "octave": f"Almost: {told}, an octave off; it is a {right}.",
            "direction": f"The size is right, and the direction is not; it is a {right} {item.key['direction']}.",
            "quality": f"The number is right: not {told}, but {right}.",
            "other": f"Not {told}, but {right}.",
        }[case]
        return Mark(score, why.replace(" a augmented", " an augmented"))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the right interval and the one answered, both from the same note; empty for a right answer."""
        case, _, told = _judged(item, answer)
        if case == "right" or (case == "sound" and not item.key["seen"]):
            return ()
        notes, direction = item.key["notes"], item.key["direction"]
        answered = _answered_notes(item, answer)
        if answered is None:
            return ()
        pairs = ((f"Right: {_right_choice(item).label}", notes), (f"Your answer: {told}", answered))
        kinds = ["notation"] if case == "sound" else (["sound", "notation"] if item.key["seen"] else ["sound"])
        # the part is that of the two notes alone
        return side_by_side(kinds, pairs, direction == "together", item.media[-2].excerpt.parts[0])

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right interval, the one answered) in words; None for a right answer."""
        _, score, told = _judged(item, answer)
        return None if score == 1.0 else (_right_choice(item).label, told)


@lru_cache(maxsize=512)
def _names(choices: tuple[IntervalChoice, ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(choice.names for choice in choices)


def _choice(item: Item, name: str) -> IntervalChoice:
    names = next(tuple(names) for names in item.key["choices"] if name in names)
    return interval_choices(names, not item.key["seen"])[0]


def _right_choice(item: Item) -> IntervalChoice:
    return _choice(item, item.key["interval"])


def _judged(item: Item, answer: Answer) -> tuple[str, float, str]:
    """Return the case of the credit table, its score, and what was answered in words."""
    ((used, value),) = answer[_STEP].items()
    first, second = item.key["midi"]
    if used == "choice":
        choice = _choice(item, value)
        return *name_credit(item.key["interval"], choice, item.key["seen"]), choice.label
    if len(value) == 2:
        return *both_keys_credit(abs(second - first), value), size_name(abs(value[0] - value[1]))
    way = "" if value[0] == first else (" up" if value[0] > first else " down")
    return *second_key_credit(first, second, value[0]), size_name(abs(value[0] - first)) + way


def _answered_notes(item: Item, answer: Answer) -> tuple[str, str] | None:
    """Return the two notes that were answered, to be heard beside the right ones; None where they cannot sound."""
    ((used, value),) = answer[_STEP].items()
    first = Pitch(item.key["notes"][0])
    if used == "keys":
        written = first.midi - item.key["midi"][0]
        played = sorted(value) if len(value) == 2 else value
        names = [spell_midi(midi + written).name for midi in played]
        return (names[0], names[1]) if len(names) == 2 else (first.name, names[0])
    second = second_note(first.name, _choice(item, value).names, item.key["direction"])
    return None if second is None else (first.name, second)


IntervalByEar.__doc__ = described(
    IntervalByEar.__doc__,
    SETTINGS,
    names=credit_table(("answer", "heard", "seen"), [row[1:] for row in NAME_CREDIT]),
    second=credit_table(("answer", "score"), [row[1:] for row in SECOND_KEY_CREDIT]),
    both=credit_table(("answer", "score"), [row[1:] for row in BOTH_KEYS_CREDIT]),
)
INTERVAL_BY_EAR: Final = IntervalByEar()
