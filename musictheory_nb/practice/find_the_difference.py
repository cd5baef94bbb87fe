"""Exercise family: what is played differs in one place from what is written; find the place, and what is different."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.changed_passage import KINDS, MOVES, Change, changed_passage
from musictheory_nb.practice.counting_words import sentence
from musictheory_nb.practice.display_settings import NAMING, PARTIAL, Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.place_words import place_words
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, MeasuresInput, Option, Response, Step
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.setting_check import several_of, whole_number
from musictheory_nb.theory.interval import Interval

_WHERE, _WHAT = "where", "what"
#: Kinds of difference, as they are offered.
_OFFERED: Final = {
    "higher": "one note is played higher than it is written",
    "lower": "one note is played lower than it is written",
    "lengths": "two notes have other lengths than they are written with",
}
CREDIT: Final = (
    ("where", "exactly the measure", "1.0"),
    ("", "the measure and one next to it, or the one next to it alone", "0.5"),
    ("what", "what is different", "1.0"),
    ("", "a pitch, and the other way: lower for higher", "0.5"),
)
#: How often passages are drawn before there is none.
_TRIES: Final = 24

SETTINGS: Final = (
    Setting(
        "excerpt",
        None,
        "The piece.",
        "the name of an excerpt frozen into the lesson",
        lambda value: isinstance(value, str) and bool(value),
    ),
    Setting(
        "differences",
        list(KINDS),
        "What may be played otherwise: one note higher or lower than it is written, or two notes with other lengths.",
        f"a list of at least one of {', '.join(map(repr, KINDS))}",
        several_of(KINDS),
    ),
    Setting(
        "moved_by",
        list(MOVES),
        "How far a note is moved that is played higher or lower; seconds and thirds keep to the key signature.",
        f"a list of at least one of {', '.join(map(repr, MOVES))}",
        several_of(MOVES),
    ),
    Setting(
        "length",
        4,
        "How many measures a passage has; at most as many as the excerpt.",
        "a whole number from 2 to 16",
        whole_number(2, 16),
    ),
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class FindTheDifference:
    """Find the difference, version 1.

    A passage of a piece is seen as it is written and heard with one difference: a note that is higher or lower, or two
    notes that share their time otherwise. The student says in which measure it is, and what it is.

    Settings::

    {settings}

    Marking: the mean of two steps.

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "find-the-difference"
    version: int = 1
    title: str = "Find the difference"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together; here they always do."""

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, excerpt, display = question.settings, question.excerpt(), Display.of(question.settings)
        passage, change = _drawn(question, excerpt)
        measure = passage.notes[change.notes[0]].measure
        numbers = tuple(one.number for one in passage.measures)
        where = span_words(passage, 0, len(numbers) - 1)
        title = f" of {excerpt.title}" if excerpt.title else ""
        options = tuple(Option(kind, _OFFERED[kind]) for kind in KINDS)
        only = measure, measure
        return Item(
            question.exercise,
            question.index,
            f"See {where}{title} as they are written, and hear them with one difference. In which measure is it, and what is "
            "different?",
            (
                MediaRequest("sound", change.played, f"Hear {where}, with one difference", choose_measures=True),
                MediaRequest("notation", passage, f"Score of {where}, as written"),
                MediaRequest(
                    "notation", change.played, "As it was played", "answered", *only,
                    marked=tuple(note for note in change.notes),
                ),
                MediaRequest("sound", passage, "Hear the measure as it is written", "answered", *only),
                MediaRequest("sound", change.played, "Hear the measure as it was played", "answered", *only),
            ),
            Response(
                (
                    Step(_WHERE, "In which measure is the difference?", (MeasuresInput(numbers),)),
                    Step(_WHAT, "What is different?", (ChoiceInput(options),)),
                )
            ),
            {"measure": measure, "kind": change.kind, "partial": settings["partial"], **display.key},
            _told(passage, change, display),
            {_WHERE: {"measures": [[measure, measure]]}, _WHAT: {"choice": [change.kind]}},
            twin=(MediaRequest("notation", change.played, f"{sentence(where).rstrip('.')}, as they are played"),),
        )  # fmt: skip

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        place, placed = _place(item, answer)
        what, told = _what(item, answer)
        score = (place + what) / 2
        return Mark(score if item.key["partial"] or score == 1.0 else 0.0, f"{placed} {told}")

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the measure as it is written and as it was played, to be heard one after the other."""
        if self.mark(item, answer).score == 1.0:
            return ()
        return tuple(request for request in item.media if request.kind == "sound" and request.moment == "answered")

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what is different, what was answered) in words; None for a full score."""
        if self.mark(item, answer).score == 1.0:
            return None
        given, right = answer[_WHAT]["choice"], item.key["kind"]
        return _OFFERED[right], (_OFFERED[given] if given != right else "in another measure")


def _drawn(question: Question, excerpt: Excerpt) -> tuple[Excerpt, Change]:
    """Return a passage and its difference: kinds in turn, places by chance."""
    settings, draw = question.settings, question.draw()
    kinds = list(settings["differences"])
    turn = question.draw_for_all().shuffled(kinds)[question.index % len(kinds)]
    length = min(settings["length"], len(excerpt.measures))
    for attempt in range(_TRIES):
        first = draw.integer(len(excerpt.measures) - length + 1)
        passage = excerpt.cut(first, first + length - 1)
        kind = turn if attempt < _TRIES // 2 else draw.choice(kinds)
        change = changed_passage(draw, passage, kind, settings["moved_by"])
        if change is not None:
            return passage, change
    raise ExerciseError(
        f"exercise {question.exercise!r}: the excerpt has no notes that can be played {', '.join(kinds)}; choose other "
        "differences or another excerpt"
    )


def _told(passage: Excerpt, change: Change, display: Display) -> str:
    note = passage.notes[change.notes[0]]
    where = sentence(place_words(passage, note)).rstrip(".")
    if change.kind == "lengths":
        longer = change.played.notes[change.notes[0]].duration > note.duration
        return f"{where}: the first of two notes is played {'longer' if longer else 'shorter'} than it is written, and the second begins {'later' if longer else 'earlier'}."
    name = Interval.between(change.before, change.after).simple.name
    return (
        f"{where}: {display.pitch(change.before)} is written, and {display.pitch(change.after)} is played, "
        f"{'an' if name[0] in 'aeiou' else 'a'} {name} {change.kind}."
    )


def _place(item: Item, answer: Answer) -> tuple[float, str]:
    ((first, last),) = answer[_WHERE]["measures"]
    right = item.key["measure"]
    number = item.media[1].excerpt.measures[right].number
    if first == last == right:
        return 1.0, f"Right: measure {number}."
    near = last - first <= 1 and first - 1 <= right <= last + 1
    return (0.5 if near else 0.0), f"{'Near: it' if near else 'It'} is in measure {number}."


def _what(item: Item, answer: Answer) -> tuple[float, str]:
    given, right = answer[_WHAT]["choice"], item.key["kind"]
    if given == right:
        return 1.0, "What is different is right."
    told = f"Not so: {_OFFERED[right]}."
    return (0.5 if {given, right} == {"higher", "lower"} else 0.0), told


FindTheDifference.__doc__ = described(
    FindTheDifference.__doc__, SETTINGS, credit=credit_table(("step", "answer", "score"), CREDIT)
)
FIND_THE_DIFFERENCE: Final = FindTheDifference()
