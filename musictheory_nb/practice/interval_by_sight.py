"""Exercise family: name an interval that is seen."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.display_settings import CLEF, DEGREES, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_choice import NAME_CREDIT, interval_choices, name_case
from musictheory_nb.practice.interval_comparison import second_note, side_by_side
from musictheory_nb.practice.interval_draw import two_notes
from musictheory_nb.practice.interval_pool import ITEMS, case_of, check_pool, intervals_setting, signature_of
from musictheory_nb.practice.interval_settings import DIRECTIONS
from musictheory_nb.practice.interval_words import a, interval_sentence, two_notes_read_aloud
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, Response, Step, SymbolInput
from musictheory_nb.practice.section_evidence import signature_words
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.interval import Interval

#: How an interval may be named: by a button, or written short (d5).
INPUTS: Final = ("buttons", "text")
#: How sharps and flats are written: each at its note, or in the key signature.
ACCIDENTALS: Final = ("at the note", "in the signature")
_STEP: Final = "interval"
#: Case, what the answer is, score.
CREDIT: Final = tuple((case, what, seen) for case, what, _, seen in NAME_CREDIT)
_SCORES: Final = {case: score for case, _, score in CREDIT}

SETTINGS: Final = (
    intervals_setting("The intervals that are asked for; they are the answers to choose from, too."),
    Setting(
        "directions",
        list(DIRECTIONS),
        "How the two notes stand: the second one higher, lower, or one above the other.",
        f"a list of at least one of {', '.join(map(repr, DIRECTIONS))}",
        several_of(DIRECTIONS),
    ),
    ITEMS,
    Setting(
        "accidentals",
        "at the note",
        "Where sharps and flats are written. In the signature, it is that of a key in which both notes are found.",
        ", ".join(map(repr, ACCIDENTALS)),
        one_of(ACCIDENTALS),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by buttons with the names, or in short, as d5 for the diminished fifth.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
    DEGREES,
)


@dataclass(frozen=True)
class IntervalBySight:
    """Interval by sight, version 1.

    Two notes are written in the student's clef, near the staff, spelled as in a key; the student names the interval.
    Each interval comes once before any comes again, and no two notes come again before all of that interval have come.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "interval-by-sight"
    version: int = 1
    title: str = "Intervals by sight"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_pool(settings, register(settings))
        if "buttons" in settings["inputs"] and len(_offered(settings)) < 2:
            raise ExerciseError(
                f"intervals {settings['intervals']}: give at least two, so that there is something to choose"
            )

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = case_of(question, place)
        together = case.direction == "together"
        signed = settings["accidentals"] == "in the signature"
        fifths = signature_of(case.scale) if signed else 0
        look = place.clef, settings["timbre"], display.part_shift, fifths
        two = two_notes(case.first, case.second, together, *look)
        prompt = "Look at the two notes, which stand one above the other." if together else "Look at the two notes."
        if display.written_for:
            prompt = f"{prompt[:-1]}, {display.written_for}."
        name = Interval(case.interval).name
        aloud = two_notes_read_aloud(case.first, case.second, case.direction, display)
        return Item(
            question.exercise,
            question.index,
            f"{prompt} Which interval do they make?",
            (
                MediaRequest("notation", two, "The two notes"),
                MediaRequest("sound", two, "Hear the two notes", "answered"),
                MediaRequest("notation", two, f"The two notes: {a(name)}", "answered", marked=tuple(range(len(two.notes)))),
            ),
            _response(settings),
            {
                "interval": case.interval,
                "direction": case.direction,
                "notes": (case.first, case.second),
                "partial": settings["partial"],
                **display.key,
            },
            interval_sentence(
                case.interval, case.first, case.second, case.direction, case.scale, case.first_degree,
                case.second_degree, display,
            ),
            {_STEP: {each.id: [case.interval] for each in _inputs(settings)}},
            twin_text=f"The key signature has {signature_words(fifths)}. {aloud}" if signed else aloud,
        )  # fmt: skip

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        case, told = _judged(item, answer)
        score = _SCORES[case] if item.key["partial"] or case == "right" else 0.0
        right = Interval(item.key["interval"]).name
        why = {
            "right": f"Right: {right}.",
            "sound": f"The size is right, but spelled so it is {a(right)}.",
            "octave": f"Almost: {told}, an octave off; it is {a(right)}.",
            "quality": f"The number is right: not {told}, but {right}.",
            "other": f"Not {told}, but {right}.",
        }[case]
        return Mark(score, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the right interval and the one answered, heard and seen, from the same note."""
        case, told = _judged(item, answer)
        if case == "right":
            return ()
        notes, direction = item.key["notes"], item.key["direction"]
        answered = second_note(notes[0], (_given(answer),), direction)
        if answered is None:
            return ()
        kinds = ("notation",) if case == "sound" else ("sound", "notation")
        rows = (
            (f"Right: {Interval(item.key['interval']).name}", tuple(notes)),
            (f"Your answer: {told}", (notes[0], answered)),
        )
        return side_by_side(kinds, rows, direction == "together", item.media[0].excerpt.parts[0])

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right interval, the one answered) in words; None for a right answer."""
        case, told = _judged(item, answer)
        return None if case == "right" else (Interval(item.key["interval"]).name, told)


def _offered(settings: Mapping[str, JSON]) -> tuple[str, ...]:
    """Return the intervals that can be chosen: those of the setting, and those of the teacher's list."""
    named = [str(Interval.between(*text.split()).as_ascending) for text in settings["items"]]
    return tuple(dict.fromkeys([*settings["intervals"], *named]))


@lru_cache(maxsize=256)
def _response(settings: CompleteSettings) -> Response:
    return Response((Step(_STEP, "Which interval is it?", _inputs(settings)),))


@lru_cache(maxsize=256)
def _inputs(settings: CompleteSettings) -> tuple[Input, ...]:
    found: tuple[Input, ...] = ()
    if "buttons" in settings["inputs"]:
        options = tuple(choice.option for choice in interval_choices(_offered(settings), False))
        found += (ChoiceInput(options),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("interval"),)
    return found


def _given(answer: Answer) -> str:
    ((_, value),) = answer[_STEP].items()
    return str(Interval(value).as_ascending)


def _judged(item: Item, answer: Answer) -> tuple[str, str]:
    """Return the case of `CREDIT`, and what was answered in words."""
    given = _given(answer)
    return name_case(item.key["interval"], given), Interval(given).name


IntervalBySight.__doc__ = described(
    IntervalBySight.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in CREDIT])
)
INTERVAL_BY_SIGHT: Final = IntervalBySight()
