"""Exercise family: find an interval in a passage of a piece, one or all of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import counted, listed, sentence
from musictheory_nb.practice.display_settings import NAMING, PARTIAL, Display
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_choice import INTERVALS, NAME_CREDIT, SIMPLE, name_case
from musictheory_nb.practice.interval_comparison import side_by_side
from musictheory_nb.practice.interval_settings import DIRECTIONS
from musictheory_nb.practice.interval_words import a, interval_sentence
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.neighbouring_notes import NotePair, note_pairs
from musictheory_nb.practice.place_words import place_words
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, MeasuresInput, Option, Response, Step
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.setting_check import one_of, several_of, whole_number
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.interval import Interval

#: What is asked for.
ASK: Final = ("one", "all")
#: How one of them may be answered; all of them are pointed out by measures.
INPUTS: Final = ("measures", "places")
#: How many places there are to choose from.
PLACES: Final = 4
#: So many of the places are told in the explanation.
MOST_TOLD: Final = 6
_STEP: Final = "where"
CREDIT: Final = (
    ("one, by measures", "exactly the measure, or the two measures, in which the notes stand", "1.0"),
    ("", "one measure more than that, or only one of the two", "0.5"),
    ("one, by place", "the place; another interval there earns what naming it would", "as intervals by sight"),
    (
        "all",
        "F measure: of the measures marked, how many hold a note of one; of the places, how many are marked",
        "0 to 1",
    ),
)
_NAME_SCORES: Final = {case: seen for case, _, _, seen in NAME_CREDIT}

SETTINGS: Final = (
    Setting(
        "excerpt",
        None,
        "The piece.",
        "the name of an excerpt frozen into the lesson",
        lambda value: isinstance(value, str) and bool(value),
    ),
    Setting(
        "intervals",
        list(SIMPLE),
        "The intervals that are asked for; those that the piece has not are left out.",
        f"a list of different intervals from {', '.join(INTERVALS)}",
        several_of(INTERVALS),
    ),
    Setting(
        "directions",
        list(DIRECTIONS),
        "How the two notes stand: neighbours of one part, the second one higher or lower, or a chord of two.",
        f"a list of at least one of {', '.join(map(repr, DIRECTIONS))}",
        several_of(DIRECTIONS),
    ),
    Setting(
        "ask",
        "one",
        "Whether one place is asked for, or all in the passage.",
        ", ".join(map(repr, ASK)),
        one_of(ASK),
    ),
    Setting(
        "length",
        8,
        "How many measures the passage has; more where it would have no other place to choose from.",
        "a whole number from 1 to 64",
        whole_number(1, 64),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        f"How one place is answered: by its measures, or by choosing from {PLACES} places.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class IntervalInAPiece:
    """Interval in a piece, version 1.

    A passage of a piece is heard and seen. The student finds two neighbouring notes of one part, or two notes of one
    part that sound together, that make the interval asked for. Tied notes are one; rests and grace notes part
    neighbours.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "interval-in-a-piece"
    version: int = 1
    title: str = "Intervals in a piece"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        if settings["ask"] == "all" and "measures" not in settings["inputs"]:
            raise ExerciseError("inputs ['places']: all places are pointed out by measures; write inputs ['measures']")

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, excerpt, display = question.settings, question.excerpt(), Display.of(question.settings)
        order = _order(
            question.lesson, question.exercise, question.version, question.seed, question.count, excerpt, settings
        )
        pair = order[question.index]
        draw = question.draw()
        first, last = _window(draw, excerpt, pair, settings["length"])
        inside = _inside(excerpt, first, last, tuple(settings["directions"]))
        if settings["inputs"] == ["places"]:
            while all(one.interval == pair.interval for one in inside) and last - first + 1 < len(excerpt.measures):
                first, last = max(0, first - 1), min(len(excerpt.measures) - 1, last + 1)
                inside = _inside(excerpt, first, last, tuple(settings["directions"]))
        found = [one for one in inside if one.interval == pair.interval]
        name, every = Interval(pair.interval).name, settings["ask"] == "all"
        numbers = tuple(measure.number for measure in excerpt.measures[first : last + 1])
        places = _places(draw, excerpt, pair, [one for one in inside if one.interval != pair.interval])
        inputs: tuple[Input, ...] = ()
        if "measures" in settings["inputs"]:
            inputs += (MeasuresInput(numbers, 0 if every else 1),)
        if "places" in settings["inputs"] and not every and len(places) > 1:
            options = tuple(Option(str(at), sentence(words).rstrip(".")) for at, (words, _) in enumerate(places))
            inputs += (ChoiceInput(options),)
        if not inputs:
            raise ExerciseError(
                f"exercise {question.exercise!r}: inputs ['places'], and the excerpt has no other interval to choose from; "
                "offer 'measures', too"
            )
        where, title = span_words(excerpt, first, last), f" of {excerpt.title}" if excerpt.title else ""
        which = f"every {name}" if every else a(name)
        spans = [[one.measures[0] - first, one.measures[1] - first] for one in found]
        right: dict[str, JSON] = {
            "measures": _joined(spans) if every else [spans[found.index(pair)]],
            "choice": [str(at) for at, (_, one) in enumerate(places) if one is pair],
        }
        marked = tuple(sorted({note for one in found for note in one.marked}))
        alone = (pair.first, pair.second)
        return Item(
            question.exercise,
            question.index,
            f"Hear and see {where}{title}. Find {which} {_ways(settings['directions'])}.",
            (
                MediaRequest("sound", excerpt, f"Hear {where}", "asked", first, last, choose_measures=True),
                MediaRequest("notation", excerpt, f"Score of {where}", "asked", first, last),
                MediaRequest(
                    "notation", excerpt, f"Score of {where}, {counted(len(found), 'place')} marked", "answered", first,
                    last, marked=marked,
                ),
                *side_by_side(
                    ("sound",), [(f"Hear the two notes of {place_words(excerpt, excerpt.notes[pair.marked[0]])}", alone)],
                    pair.direction == "together", excerpt.parts[pair.part],
                ),
            ),
            Response((Step(_STEP, f"Where is {which}?", inputs),)),
            {
                "interval": pair.interval,
                "ask": settings["ask"],
                "first": first,
                "spans": spans,
                "places": [(words, one.interval, one.first, one.second, one.direction) for words, one in places],
                "partial": settings["partial"],
                **display.key,
            },
            _told(excerpt, found, display),
            {_STEP: {entry.id: right[entry.id] for entry in inputs}},
        )  # fmt: skip

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        score, why = _judged(item, answer)
        return Mark(score if item.key["partial"] or score == 1.0 else 0.0, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return a place that is right and what was answered, to be heard one after the other."""
        if self.mark(item, answer).score == 1.0:
            return ()
        excerpt, offset = item.media[0].excerpt, item.key["first"]
        name = Interval(item.key["interval"]).name
        ((used, value),) = answer[_STEP].items()
        if used == "choice":
            _, interval, first, second, direction = item.key["places"][int(value)]
            rows = ((f"Your answer: {Interval(interval).name}", (first, second)),)
            return side_by_side(("sound",), rows, direction == "together", item.media[-1].excerpt.parts[0])
        begin, end = (index + offset for index in item.key["spans"][0])
        found = [
            MediaRequest(
                "sound", excerpt, f"{a(name).capitalize()}: {span_words(excerpt, begin, end)}", "answered", begin, end
            )
        ]
        for first, last in value[:1]:
            label = f"Your answer: {span_words(excerpt, first + offset, last + offset)}"
            found.append(MediaRequest("sound", excerpt, label, "answered", first + offset, last + offset))
        return tuple(found)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the interval, what was answered) in words; None for a full score."""
        if self.mark(item, answer).score == 1.0:
            return None
        name = Interval(item.key["interval"]).name
        ((used, value),) = answer[_STEP].items()
        if used == "choice":
            return name, Interval(item.key["places"][int(value)][1]).name
        return name, "not found" if _judged(item, answer)[0] == 0 else "found in part"


@lru_cache(maxsize=4096)
def _inside(excerpt: Excerpt, first: int, last: int, directions: tuple[str, ...]) -> tuple[NotePair, ...]:
    """Return the pairs that lie in a passage."""
    return tuple(
        one
        for one in note_pairs(excerpt)
        if first <= one.measures[0] and one.measures[1] <= last and one.direction in directions
    )


def _ways(directions: Sequence[str]) -> str:
    melodic = "two neighbouring notes of one part"
    if "together" not in directions:
        return f"between {melodic}" + (f", going {directions[0]}" if len(directions) == 1 else "")
    together = "two notes of one part that sound together"
    return f"between {together}" if len(directions) == 1 else f"between {melodic}, or {together}"


@lru_cache(maxsize=512)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, excerpt: Excerpt, settings: CompleteSettings
) -> tuple[NotePair, ...]:
    """Return one pair for each item: intervals in rounds, and no pair again before all of its interval."""
    length = settings["length"]
    pools: dict[str, list[NotePair]] = {}
    for pair in note_pairs(excerpt):
        wanted = pair.interval in settings["intervals"] and pair.direction in settings["directions"]
        if wanted and pair.measures[1] - pair.measures[0] < length:
            pools.setdefault(pair.interval, []).append(pair)
    if not pools:
        raise ExerciseError(
            f"exercise {exercise!r}: the excerpt has none of the intervals {', '.join(settings['intervals'])} "
            f"{listed(settings['directions'], 'or')} between neighbouring notes; choose other intervals or another excerpt"
        )
    names = [name for name in settings["intervals"] if name in pools]
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    order = order_without_repeats(draw, names, [len(pools[name]) for name in names], count)
    return tuple(pools[names[kind]][at] for kind, at in order)


def _window(draw: Draw, excerpt: Excerpt, pair: NotePair, length: int) -> tuple[int, int]:
    """Return the passage: `length` measures that hold the pair, at a place drawn by chance."""
    length = min(length, len(excerpt.measures))
    lowest = max(0, pair.measures[1] - length + 1)
    highest = min(pair.measures[0], len(excerpt.measures) - length)
    first = lowest + draw.integer(highest - lowest + 1)
    return first, first + length - 1


def _places(draw: Draw, excerpt: Excerpt, pair: NotePair, others: Sequence[NotePair]) -> list[tuple[str, NotePair]]:
    """Return the right place and others, in the order of the piece; first those whose interval is nearly the one asked for."""
    near = {"sound": 0, "quality": 1, "octave": 1, "other": 2}
    drawn = sorted(draw.shuffled(others), key=lambda one: near[name_case(pair.interval, one.interval)])
    chosen = {place_words(excerpt, excerpt.notes[pair.marked[0]]): pair}
    for one in drawn:
        if len(chosen) < PLACES:
            chosen.setdefault(place_words(excerpt, excerpt.notes[one.marked[0]]), one)
    return sorted(chosen.items(), key=lambda row: (row[1].measures, row[1].part, row[1].marked))


def _joined(spans: Sequence[Sequence[int]]) -> list[list[int]]:
    """Return the measures of all spans as spans that do not touch."""
    found: list[list[int]] = []
    for first, last in sorted(map(tuple, spans)):
        if found and first <= found[-1][1] + 1:
            found[-1][1] = max(found[-1][1], last)
        else:
            found.append([first, last])
    return found


def _told(excerpt: Excerpt, found: Sequence[NotePair], display: Display) -> str:
    rows = [
        f"{sentence(place_words(excerpt, excerpt.notes[one.marked[0]])).rstrip('.')}: "
        f"{interval_sentence(one.interval, one.first, one.second, one.direction, display=display)}"
        for one in found[:MOST_TOLD]
    ]
    if len(found) > MOST_TOLD:
        rows.append(
            f"There are {counted(len(found) - MOST_TOLD, 'more place')}.".replace("There are one", "There is one")
        )
    return "\n".join(rows)


def _judged(item: Item, answer: Answer) -> tuple[float, str]:
    ((used, value),) = answer[_STEP].items()
    name, excerpt, first = Interval(item.key["interval"]).name, item.media[0].excerpt, item.key["first"]
    spans = [tuple(span) for span in item.key["spans"]]
    if used == "choice":
        words, interval, *_ = item.key["places"][int(value)]
        case = name_case(item.key["interval"], interval)
        other = Interval(interval).name
        why = f"Right: {words}." if case == "right" else f"At {words} stands {a(other)}, not {a(name)}."
        return _NAME_SCORES[case], why
    if item.key["ask"] == "all":
        marked = {measure for begin, end in value for measure in range(begin, end + 1)}
        held = {measure for begin, end in spans for measure in range(begin, end + 1)}
        hits = sum(any(begin <= measure <= end for measure in marked) for begin, end in spans)
        precision, recall = len(marked & held) / len(marked), hits / len(spans)
        score = 2 * precision * recall / (precision + recall) if precision and recall else 0.0
        why = f"{hits} of {len(spans)} {'place' if len(spans) == 1 else 'places'} found."
        if wrong := sorted(marked - held):
            numbers = listed([excerpt.measures[measure + first].number for measure in wrong], "or")
            why += f" There is no {name} in measure {numbers}."
        return score, why
    begin, end = value[0]
    shown = span_words(excerpt, begin + first, end + first)
    if (begin, end) in spans:
        return 1.0, f"Right: {a(name)} stands in {shown}."
    near = any(begin <= one and other <= end and end - begin == other - one + 1 for one, other in spans)
    near = near or any(one != other and begin == end and begin in (one, other) for one, other in spans)
    right = span_words(excerpt, spans[0][0] + first, spans[0][1] + first)
    if near:
        return 0.5, f"Almost: {shown} is not exactly where {a(name)} stands; one stands in {right}."
    return 0.0, f"Not in {shown}; {a(name)} stands in {right}."


IntervalInAPiece.__doc__ = described(
    IntervalInAPiece.__doc__, SETTINGS, credit=credit_table(("asked", "answer", "score"), CREDIT)
)
INTERVAL_IN_A_PIECE: Final = IntervalInAPiece()
