"""Exercise family: an answer in the student's own words, which a teacher marks by a rubric shown beside the question."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import counted, sentence
from musictheory_nb.practice.display_settings import WORDS
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Response, Step, TextInput
from musictheory_nb.practice.rubric import MOST_ROWS, is_rubric, is_text, rubric_of
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.setting_check import whole_number
from musictheory_nb.practice.text_input import MOST_CHARACTERS, MOST_LINES
from musictheory_nb.practice.visiting_order import visiting_order

_STEP: Final = "answer"
_AWAITED: Final = "Your teacher will mark this by the rubric beside the question."
CREDIT: Final = (
    ("any text", "0, and the mark is awaited: nothing is told right or wrong"),
    ("after the teacher's mark", "points given, of all the points of the rubric"),
)


def _is_question(value: JSON) -> bool:
    return is_text(value) or (isinstance(value, list) and len(value) == 2 and all(map(is_text, value)))


def _are_questions(value: JSON) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_question, value))


def _is_span(value: JSON) -> bool:
    return value == [] or (
        isinstance(value, list)
        and len(value) == 2
        and all(type(one) is int or (isinstance(one, str) and bool(one.strip())) for one in value)
    )


SETTINGS: Final = (
    Setting(
        "questions",
        None,
        "What is asked; each student meets `count` of them in an order of their own. A second text is a good answer, "
        "which is shown once the student has answered.",
        "a list of at least one question, or [question, good answer]",
        _are_questions,
    ),
    Setting(
        "rubric",
        None,
        "By what the answer is marked; shown beside the question.",
        f"a list of 1 to {MOST_ROWS} different rows [criterion, points] or [criterion, points, what earns them]",
        is_rubric,
    ),
    Setting(
        "excerpt",
        "",
        "Music that belongs to the questions, to be heard and seen.",
        "the name of an excerpt frozen into the lesson, or '' for none",
        lambda value: isinstance(value, str),
    ),
    Setting(
        "measures",
        [],
        "Which measures of it, first and last by their printed numbers.",
        "[first, last] such as ['9', '16'], or [] for all",
        _is_span,
    ),
    Setting(
        "most",
        2000,
        "How long an answer can be, in characters.",
        f"a whole number from 50 to {MOST_CHARACTERS}",
        whole_number(50, MOST_CHARACTERS),
    ),
    Setting(
        "lines", 8, "How many lines the field shows.", f"a whole number from 1 to {MOST_LINES}", whole_number(1, MOST_LINES)
    ),
    WORDS,
)  # fmt: skip


@dataclass(frozen=True)
class FreeResponse:
    """Free response, version 1.

    The student answers in words. The rubric stands beside the question, and a teacher marks by it.

    Settings::

    {settings}

    Marking:

    {credit}
    """

    kind: str = "free-response"
    version: int = 1
    title: str = "Free response"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        if settings["measures"] and not settings["excerpt"]:
            raise ExerciseError(f"measures {settings['measures']}: name the excerpt that they are of")

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings = question.settings
        asked = settings["questions"]
        if question.count > len(asked):
            raise ExerciseError(
                f"exercise {question.exercise!r}: count {question.count}, and {counted(len(asked), 'question')}; "
                "each question makes one item"
            )
        order = visiting_order(question.draw_for_all(), range(len(asked)), question.count)
        row = asked[order[question.index]]
        text, good = (row, "") if isinstance(row, str) else row
        text, good = text.strip(), good.strip()
        rubric = rubric_of(settings["rubric"])
        told = [text if text.endswith("?") else sentence(text)]
        told.append(f"Your teacher marks it by this rubric, {sum(one.points for one in rubric):g} points in all.")
        return Item(
            question.exercise,
            question.index,
            "\n".join([*told, *(one.words for one in rubric)]),
            _media(question.excerpt(), settings["measures"]) if settings["excerpt"] else (),
            Response((Step(_STEP, "Your answer.", (TextInput(settings["most"], settings["lines"]),)),)),
            {
                "question": order[question.index],
                "rubric": [[one.name, one.points] for one in rubric],
                **({"good": good} if good else {}),
            },
            sentence(f"One good answer: {good}") if good else "Your answer is kept for your teacher.",
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return that the mark is the teacher's."""
        return Mark(0.0, _AWAITED, awaits_teacher=True)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return nothing: no answer is told right or wrong."""
        return ()

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return None: nothing is told to be taken for something else."""
        return None


def _media(excerpt: Excerpt, measures: list[JSON]) -> tuple[MediaRequest, ...]:
    first, last = 0, len(excerpt.measures) - 1
    if measures:
        first, last = (excerpt.measure_index(str(number).strip()) for number in measures)
        if first > last:
            raise ExerciseError(f"measures {measures}: write the first one first")
    where = span_words(excerpt, first, last)
    return (
        MediaRequest("sound", excerpt, f"Hear {where}", "asked", first, last, choose_measures=True),
        MediaRequest("notation", excerpt, f"Score of {where}", "asked", first, last, choose_measures=True),
    )


FreeResponse.__doc__ = described(FreeResponse.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
FREE_RESPONSE: Final = FreeResponse()
