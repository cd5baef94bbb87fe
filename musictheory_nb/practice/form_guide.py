"""Exercise family: a guide through the form of a piece, step by step, each with its hint and its own mark."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import counted, sentence
from musictheory_nb.practice.display_settings import NAMING, Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.form_marking import CREDIT, JUDGES, Judging
from musictheory_nb.practice.form_question import FORM_QUESTIONS, is_form_step
from musictheory_nb.practice.form_step import FormStep, form_step
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Response
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.section_verdict import SectionRule, around_boundaries
from musictheory_nb.practice.setting_check import is_switch, whole_number

#: Most steps of a guide.
MOST_STEPS: Final = 60
#: Measures that can be heard at first.
OPENING: Final = 8
#: At most so many places are offered for listening after the answer.
MOST_PLACES: Final = 6
_MOST_TOLERANCE: Final = 4


def _are_steps(value: JSON) -> bool:
    return isinstance(value, list) and 1 <= len(value) <= MOST_STEPS and all(map(is_form_step, value))


SETTINGS: Final = (
    Setting(
        "excerpt",
        None,
        "The piece.",
        "the name of an excerpt frozen into the lesson",
        lambda value: isinstance(value, str) and bool(value),
    ),
    Setting(
        "steps",
        None,
        "What is asked, in this order, an item a step; a student who meets fewer than all (`count`) meets some of them, in "
        "this order. Only what stands here is asked.",
        "a list of rows such as {'ask': 'cadence', 'measures': ['1', '8'], 'answer': 'half', 'hint': '…', 'why': '…'}; hint and "
        "why, a sentence of the explanation, may be left out; measures are written by their printed numbers; "
        + "; ".join(
            f"{name!r} asks for {one.meaning}, and its answer is {one.answer}"
            + (f" (needs {' and '.join(one.needs)})" if one.needs else "")
            for name, one in FORM_QUESTIONS.items()
        ),
        _are_steps,
    ),
    Setting("hints", True, "Whether the hints of the steps are shown.", "True or False", is_switch),
    Setting(
        "tolerance",
        1,
        "How many measures the beginning of a section may be off and still count.",
        f"a whole number from 0 to {_MOST_TOLERANCE}",
        whole_number(0, _MOST_TOLERANCE),
    ),
    Setting(
        "label_weight",
        0.5,
        "How much of the score of sections their letters make up; the boundaries make up the rest.",
        "a number from 0 to 1",
        lambda value: type(value) in (int, float) and 0 <= value <= 1,
    ),
    *NAMING,
)


@dataclass(frozen=True)
class FormGuide:
    """Form guide, version 1.

    The student hears and sees any measures of a whole piece and is led through its form: boundaries and letters, what
    comes back and what has changed, phrase lengths, cadences, pedal points, who trades with whom, who plays where. Each
    step is an item of its own, with its own mark and explanation; the explanation of one helps with the next.

    Settings::

    {settings}

    Marking: the mean over the parts of the step, each by what it is:

    {credit}
    """

    kind: str = "form-guide"
    version: int = 1
    title: str = "Through the form of a piece"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together; here they always do."""

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, excerpt = question.settings, question.excerpt()
        rows, count = settings["steps"], question.count
        if count > len(rows):
            raise ExerciseError(
                f"exercise {question.exercise!r}: count {count}, and {counted(len(rows), 'step')}; each step makes one item"
            )
        chosen = sorted(question.draw_for_all().shuffled(range(len(rows)))[:count])
        row = rows[chosen[question.index]]
        display = Display.of(settings)
        step = form_step(excerpt, row, display)
        told = [f"Step {question.index + 1} of {count}. {step.prompt}"]
        if settings["hints"] and "hint" in row:
            told.append(sentence(f"Hint: {row['hint'].strip()}"))
        explain = step.explain + (f"\n{sentence(row['why'].strip())}" if "why" in row else "")
        last = min(OPENING, len(excerpt.measures)) - 1
        return Item(
            question.exercise,
            question.index,
            "\n".join(told),
            (
                MediaRequest("sound", excerpt, "Hear the measures that you choose", last=last, choose_measures=True),
                MediaRequest("notation", excerpt, "Score of these measures", last=last, choose_measures=True),
                *_shown_after(step, excerpt, last),
            ),
            Response(tuple(part.step(at) for at, part in enumerate(step.parts))),
            {
                "ask": row["ask"],
                "step": chosen[question.index],
                "parts": [[part.judged, part.truth] for part in step.parts],
                "places": [list(span) for span in step.places],
                "rule": [settings["tolerance"], settings["label_weight"]],
                **display.key,
            },
            explain,
            {part.step(at).id: part.solution for at, part in enumerate(step.parts)},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        judged = _judged(item, answer)
        score = sum(score for score, _ in judged) / len(judged)
        if len(judged) == 1:
            return Mark(score, judged[0][1])
        labels = [step.label.rstrip("?:. ") for step in item.response.steps]
        return Mark(score, " ".join(f"{label}: {why}" for label, (_, why) in zip(labels, judged, strict=True)))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the places of the right answer and those that were marked, to be heard one after the other."""
        if self.mark(item, answer).score == 1.0:
            return ()
        excerpt = item.media[0].excerpt
        if item.key["ask"] == "sections":
            truth, given = item.key["parts"][0][1], answer["part-1"]["sections"]
            return around_boundaries(excerpt, truth, given, item.key["rule"][0])
        found = [("Listen again", span) for span in item.key["places"][:MOST_PLACES]]
        right = {tuple(span) for span in item.key["places"]}
        for step in item.response.steps:
            for span in answer[step.id].get("measures", [])[:MOST_PLACES]:
                if tuple(span) not in right:
                    found.append(("You marked", span))
        return tuple(
            MediaRequest("sound", excerpt, f"{name}: {span_words(excerpt, *span)}", "answered", *span)
            for name, span in found
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return what was right and what was answered, of the first part that was not right; None for a full score."""
        for step, (_, truth), (score, _) in zip(
            item.response.steps, item.key["parts"], _judged(item, answer), strict=True
        ):
            if score < 1.0:
                ((_, value),) = answer[step.id].items()
                return step.inputs[0].words(truth), step.inputs[0].words(value)
        return None


def _shown_after(step: FormStep, excerpt: Excerpt, last: int) -> list[MediaRequest]:
    """Return the music with the answer in it: the letters above the score, or the measures that hold the answer."""
    if step.marked is not None:
        label = "Score with the sections"
        return [MediaRequest("notation", step.marked, label, "answered", last=last, choose_measures=True)]
    found = []
    for span in step.places[:MOST_PLACES]:
        where = span_words(excerpt, *span)
        found.append(MediaRequest("sound", excerpt, f"Hear {where}", "answered", *span))
        found.append(MediaRequest("notation", excerpt, f"Score of {where}", "answered", *span))
    return found


def _judged(item: Item, answer: Answer) -> list[tuple[float, str]]:
    """Score and reason of each part."""
    rule = SectionRule(*item.key["rule"])
    found = []
    for step, (judged, truth) in zip(item.response.steps, item.key["parts"], strict=True):
        entry = step.inputs[0]
        labels = {one.value: one.label for one in entry.options} if isinstance(entry, ChoiceInput) else {}
        ((_, value),) = answer[step.id].items()
        found.append(JUDGES[judged](Judging(item.media[0].excerpt, rule, labels), truth, value))
    return found


FormGuide.__doc__ = described(
    FormGuide.__doc__, SETTINGS, credit=credit_table(("what is answered", "how it is marked", "score"), CREDIT)
)
FORM_GUIDE: Final = FormGuide()
