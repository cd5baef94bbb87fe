"""Exercise family: write or play the note at an interval above or below a note."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.display_settings import (
    CLEF,
    DEGREES,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
    in_part,
)
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_choice import size_name
from musictheory_nb.practice.interval_comparison import side_by_side
from musictheory_nb.practice.interval_draw import keyboard, two_notes
from musictheory_nb.practice.interval_pool import ITEMS, case_of, check_pool, intervals_setting
from musictheory_nb.practice.interval_words import a, interval_sentence
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.setting_check import is_switch, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.practice.written_note import GivenNote, given_notes, letters, note_inputs_setting, staff_row
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: Where the note is written.
DIRECTIONS: Final = ("up", "down")
_WHERE: Final = {"up": "above", "down": "below"}
_STEP: Final = "note"
#: Case, what the answer is, score.
CREDIT: Final = (
    ("right", "the note itself; written in letters it needs no octave", 1.0),
    ("spelling", "a note that sounds the same and is spelled otherwise (G♭ for F♯); 1 with ``enharmonic``", 0.5),
    ("octave", "the right note in another octave", 0.5),
    ("direction", "the right interval in the other direction", 0.25),
    ("letter", "the right letter with another accidental", 0.25),
    ("other", "any other note, or several", 0.0),
)
_SCORES: Final = {case: score for case, _, score in CREDIT}

SETTINGS: Final = (
    intervals_setting("The intervals that are asked for."),
    Setting(
        "directions",
        list(DIRECTIONS),
        "Whether the note is written above or below the one given.",
        f"a list of at least one of {', '.join(map(repr, DIRECTIONS))}",
        several_of(DIRECTIONS),
    ),
    ITEMS,
    note_inputs_setting(),
    Setting(
        "enharmonic",
        False,
        "Whether another spelling of the same sound is right.",
        "True or False",
        is_switch,
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
class IntervalWriting:
    """Interval writing, version 1.

    A note is written in the student's clef; the student writes or plays the note at the interval that is asked for.
    Each interval comes once before any comes again; both notes lie near the staff, spelled as in a key.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. On piano keys there is no spelling: the second and the fifth row
    do not come up.
    """

    kind: str = "interval-writing"
    version: int = 1
    title: str = "Intervals to write or play"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_pool(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = case_of(question, place)
        look = place.clef, settings["timbre"], display.part_shift
        name, first = Interval(case.interval).name, display.pitch(case.first)
        given, both = _one_note(case.first, *look), two_notes(case.first, case.second, False, *look)
        where = _WHERE[case.direction]
        written = f" ({display.written_for})" if display.written_for else ""
        key = {
            "interval": case.interval,
            "direction": case.direction,
            "notes": (case.first, case.second),
            "clef": place.clef,
            "timbre": settings["timbre"],
            "enharmonic": settings["enharmonic"],
            "partial": settings["partial"],
            **display.key,
        }
        inputs = _inputs(settings, case.first)
        return Item(
            question.exercise,
            question.index,
            f"Write or play the note {a(name)} {where} {first}{written}.",
            (
                MediaRequest("notation", given, f"The note {first}"),
                MediaRequest("sound", both, "Hear both notes", "answered"),
                MediaRequest("notation", both, f"{a(name).capitalize()} {where} {first}", "answered", marked=(1,)),
            ),
            Response((Step(_STEP, f"Which note lies {a(name)} {where} {first}?", inputs),)),
            key,
            interval_sentence(
                case.interval, case.first, case.second, case.direction, case.scale, case.first_degree,
                case.second_degree, display,
            ),
            {_STEP: {each.id: _right(each.id, case.second, display) for each in inputs}},
            twin_text=f"The note is {first}.",
        )  # fmt: skip

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        case, told = _judged(item, answer)
        score = _score(item, case)
        display = Display.of_key(item.key)
        right = display.pitch(item.key["notes"][1])
        asked = f"{a(Interval(item.key['interval']).name)} {_WHERE[item.key['direction']]} it"
        why = {
            "right": f"Right: {right}.",
            "spelling": f"The sound is right, but {asked} is spelled {right}.",
            "octave": f"The right note in another octave: {asked} is {right}.",
            "direction": f"The right interval in the other direction: {asked} is {right}.",
            "letter": f"The letter is right, the accidental is not: {asked} is {right}.",
            "other": f"Not {told}: {asked} is {right}.",
        }[case]
        return Mark(score, f"Right: {right}, by another name." if case == "spelling" and score == 1.0 else why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the right note and the one answered, each after the note given, heard and seen."""
        case, told = _judged(item, answer)
        if _score(item, case) == 1.0 or (case == "octave" and "symbol" in answer[_STEP]):
            return ()
        first, second = item.key["notes"]
        given = _single(item, answer)
        answered = None if given is None else _in_octave(given, first, item.key["direction"])
        if answered is None or not 0 <= answered.chromatic <= 127:
            return ()
        rows = (
            (f"Right: {Display.of_key(item.key).pitch(second)}", (first, second)),
            (f"Your answer: {told}", (first, answered.name)),
        )
        kinds = ("notation",) if case == "spelling" else ("sound", "notation")
        return side_by_side(kinds, rows, False, item.media[0].excerpt.parts[0])

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right interval, the one answered) in words; None for a right answer."""
        case, told = _judged(item, answer)
        if _score(item, case) == 1.0:
            return None
        right = f"{Interval(item.key['interval']).name} {item.key['direction']}"
        given = _single(item, answer)
        words = told if given is None else _interval_words(given, item.key["notes"][0], item.key["direction"])
        return right, words if words != right else told


@lru_cache(maxsize=4096)
def _one_note(first: str, clef: str, timbre: str, shift: tuple[int, int]) -> Excerpt:
    return in_part(Excerpt.melody((first,), (2,), clef=clef, timbre=timbre), shift)


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, first: str) -> tuple[Input, ...]:
    display, place = Display.of(settings), register(settings)
    found: tuple[Input, ...] = ()
    if "staff" in settings["inputs"]:
        found += (
            StaffInput(
                place.clef, pitches_only=True, given=(((first,), "1", False),), transposition=display.written_for
            ),
        )
    if "keys" in settings["inputs"]:
        shift = display.part_shift[0]
        low, high = (midi + shift for midi in (place.low_midi, place.high_midi))
        midi = Pitch(first).midi + shift
        own = [Pitch(name).midi + shift for pair in settings["items"] for name in pair.split()]
        found += (keyboard(min(low, midi - 12, *own), max(high, midi + 12, *own), midi),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("pitches", names=display.theory_names),)
    return found


def _right(id: str, second: str, display: Display) -> list[JSON]:
    """Return what an input shows as right."""
    if id == "keys":
        return [Pitch(second).midi + display.part_shift[0]]
    if id == "symbol":
        return [letters([Pitch(second).pitch_name.name], display)]
    return [staff_row((second,))]


def _single(item: Item, answer: Answer) -> GivenNote | None:
    given = given_notes(answer[_STEP], Display.of_key(item.key))
    return given[0] if len(given) == 1 else None


def _in_octave(given: GivenNote, first: str, direction: str) -> Pitch | None:
    """Return the note that was given; without an octave, the nearest of its name in the direction asked for."""
    if given.has_octave:
        return given.pitch
    start, name = Pitch(first), PitchName(given.name)
    octaves = (
        range(start.octave - 1, start.octave + 3)
        if direction == "up"
        else range(start.octave + 1, start.octave - 3, -1)
    )
    for octave in octaves:
        pitch = Pitch.from_name(name, octave)
        if pitch.chromatic >= start.chromatic if direction == "up" else pitch.chromatic <= start.chromatic:
            return pitch
    return None


def _judged(item: Item, answer: Answer) -> tuple[str, str]:
    """Return the case of `CREDIT`, and what was answered in words."""
    display = Display.of_key(item.key)
    given = _single(item, answer)
    if given is None:
        return "other", "several notes" if given_notes(answer[_STEP], display) else "a rest"
    first, second = (Pitch(name) for name in item.key["notes"])
    told = given.shown(display)
    name = second.pitch_name.name
    same_sound = given.chromatic == second.chromatic if given.has_octave else given.pitch_class == second.pitch_class
    if same_sound:
        return "right" if given.name in ("", name) else "spelling", told
    same_name = given.has_octave and given.pitch_class == second.pitch_class and given.name in ("", name)
    if same_name and given.chromatic != first.chromatic:
        return "octave", told
    if given.has_octave and given.chromatic - first.chromatic == first.chromatic - second.chromatic:
        return "direction", told
    return "letter" if given.name[:1] == name[0] else "other", told


def _score(item: Item, case: str) -> float:
    if case == "spelling" and item.key["enharmonic"]:
        return 1.0
    return _SCORES[case] if item.key["partial"] or case == "right" else 0.0


def _interval_words(given: GivenNote, first: str, direction: str) -> str:
    """Return the interval that was answered; on piano keys by its usual name."""
    start, pitch = Pitch(first), _in_octave(given, first, direction)
    if pitch is None:
        return "another note"
    way = "" if pitch.chromatic == start.chromatic else " up" if pitch.chromatic > start.chromatic else " down"
    if not given.name:
        return size_name(abs(pitch.chromatic - start.chromatic)) + way
    try:
        return Interval.between(start, pitch).as_ascending.name + way
    except TheoryError:
        return size_name(abs(pitch.chromatic - start.chromatic)) + way


IntervalWriting.__doc__ = described(
    IntervalWriting.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in CREDIT])
)
INTERVAL_WRITING: Final = IntervalWriting()
