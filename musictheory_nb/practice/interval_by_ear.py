"""Exercise family: name or play an interval that is heard, seen, or both, alone or in a measure of a piece."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import CLEFS, TIMBRES, Excerpt
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.interval_choice import (
    BOTH_KEYS_CREDIT,
    INTERVALS,
    NAME_CREDIT,
    SECOND_KEY_CREDIT,
    SIMPLE,
    IntervalChoice,
    both_keys_credit,
    interval_choices,
    name_credit,
    second_key_credit,
    size_name,
)
from musictheory_nb.practice.interval_words import by_ear_sentence, interval_sentence
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.neighbouring_notes import NotePair, note_pairs
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, Response, Step
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.spelled_pair import pairs_in_register
from musictheory_nb.practice.visiting_order import visiting_order
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

DIRECTIONS: Final = ("up", "down", "together")
PRESENTATIONS: Final = ("sound", "notation", "both")
INPUTS: Final = ("buttons", "keys")
#: Lowest and highest note of a register, C1 and C7: an answer may lie two octaves beyond.
LOWEST_MIDI: Final = 24
HIGHEST_MIDI: Final = 96
#: A register that lies below this note, middle C, on the whole is written in the bass clef.
_MIDDLE_MIDI: Final = 60
_AUTO: Final = "auto"
_STEP: Final = "interval"


def _several_of(allowed: Sequence[str]) -> Callable[[JSON], bool]:
    def check(value: JSON) -> bool:
        return (
            isinstance(value, list)
            and bool(value)
            and all(isinstance(one, str) and one in allowed for one in value)
            and len(set(value)) == len(value)
        )

    return check


def _one_of(allowed: Sequence[str]) -> Callable[[JSON], bool]:
    return lambda value: isinstance(value, str) and value in allowed


@lru_cache(maxsize=256)
def _midi(text: str) -> int:
    return Pitch(text).midi


def _is_limit(value: JSON) -> bool:
    try:
        return isinstance(value, str) and LOWEST_MIDI <= _midi(value) <= HIGHEST_MIDI
    except PitchError:
        return False


_LIMIT: Final = f"a pitch from {spell_midi(LOWEST_MIDI).name} to {spell_midi(HIGHEST_MIDI).name}, such as 'G3'"
_SETTINGS: Final = (
    Setting(
        "intervals",
        list(SIMPLE),
        "The intervals that are asked for; they are the answers to choose from, too.",
        f"a list of different intervals from {', '.join(INTERVALS)}",
        _several_of(INTERVALS),
    ),
    Setting(
        "directions",
        list(DIRECTIONS),
        "How the two notes follow: the second one higher, lower, or both at once.",
        f"a list of at least one of {', '.join(map(repr, DIRECTIONS))}",
        _several_of(DIRECTIONS),
    ),
    Setting("low", "G3", "The lowest note that is drawn; without effect on notes of an excerpt.", _LIMIT, _is_limit),
    Setting("high", "E5", "The highest note that is drawn; without effect on notes of an excerpt.", _LIMIT, _is_limit),
    Setting(
        "present",
        "sound",
        "What is given: the sound, the notation (which needs no hearing), or both. Where the notes are seen before the "
        "answer, spelling counts.",
        ", ".join(map(repr, PRESENTATIONS)),
        _one_of(PRESENTATIONS),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by name, or on piano keys. Keys are offered only where the notes are heard and not seen.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        _several_of(INPUTS),
    ),
    Setting(
        "excerpt",
        "",
        "A piece from whose measures neighbouring notes are drawn, or notes that sound together in one part. A measure "
        "or two are heard, then the two notes alone.",
        "the name of an excerpt frozen into the lesson, or '' for notes drawn by rule",
        lambda value: isinstance(value, str),
    ),
    Setting(
        "clef",
        _AUTO,
        "The clef of the notation; by itself treble or bass after the register, and that of the part in an excerpt.",
        ", ".join(map(repr, (_AUTO, *CLEFS))),
        _one_of((_AUTO, *CLEFS)),
    ),
    Setting(
        "timbre",
        "struck",
        "How the two notes sound.",
        ", ".join(map(repr, TIMBRES)),
        _one_of(TIMBRES),
    ),
    Setting(
        "partial",
        True,
        "Whether a near miss earns part of the score, as in the tables below.",
        "True or False",
        lambda value: type(value) is bool,
    ),
)


@dataclass(frozen=True)
class _Plan:
    """What the settings say, worked out once."""

    names: tuple[str, ...]
    directions: tuple[str, ...]
    low_midi: int
    high_midi: int
    heard: bool
    seen: bool
    choices: tuple[IntervalChoice, ...]
    buttons: ChoiceInput | None
    keys: bool
    clef: str


@lru_cache(maxsize=512)
def _plan(
    names: tuple[str, ...],
    directions: tuple[str, ...],
    low: str,
    high: str,
    present: str,
    inputs: tuple[str, ...],
    clef: str,
) -> _Plan:
    seen = present != "sound"
    choices = interval_choices(names, not seen)
    low_midi, high_midi = _midi(low), _midi(high)
    by_register = "treble" if low_midi + high_midi >= 2 * _MIDDLE_MIDI else "bass"
    return _Plan(
        names,
        directions,
        low_midi,
        high_midi,
        present != "notation",
        seen,
        choices,
        ChoiceInput(tuple(choice.option for choice in choices)) if "buttons" in inputs else None,
        "keys" in inputs and not seen,
        by_register if clef == _AUTO else clef,
    )


def _plan_of(settings: Mapping[str, JSON]) -> _Plan:
    return _plan(
        tuple(settings["intervals"]),
        tuple(settings["directions"]),
        settings["low"],
        settings["high"],
        settings["present"],
        tuple(settings["inputs"]),
        settings["clef"],
    )


@lru_cache(maxsize=2048)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, names: tuple[str, ...], directions: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """Return (interval, direction) of every item: each interval, and each direction, once a round."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    visited = visiting_order(draw, [Interval(name).semitones for name in names], count)
    ways: list[str] = []
    while len(ways) < count:
        ways += draw.shuffled(directions)
    return tuple((names[place], way) for place, way in zip(visited, ways, strict=False))


@lru_cache(maxsize=512)
def _order_in_excerpt(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    excerpt: Excerpt,
    names: tuple[str, ...],
    directions: tuple[str, ...],
) -> tuple[NotePair, ...]:
    """Return the pair of notes of every item: intervals in rounds, and no pair again before all of its interval."""
    pool: dict[str, list[NotePair]] = {name: [] for name in names}
    for pair in note_pairs(excerpt):
        if pair.interval in pool and pair.direction in directions:
            pool[pair.interval].append(pair)
    present = [name for name in names if pool[name]]
    if not present:
        raise ExerciseError(
            f"exercise {exercise!r}: the excerpt has none of the intervals {', '.join(names)} "
            f"{listed(directions, 'or')} between neighbouring notes; choose other intervals or another excerpt"
        )
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    visited = visiting_order(draw, [Interval(name).semitones for name in present], count)
    waiting: dict[str, list[NotePair]] = {name: [] for name in present}
    order = []
    for place in visited:
        name = present[place]
        if not waiting[name]:
            waiting[name] = _shuffled(draw, pool[name])
        order.append(waiting[name].pop())
    return tuple(order)


def _shuffled(draw: Draw, pairs: Sequence[NotePair]) -> list[NotePair]:
    """Return the pairs in a drawn order, directions by turns, so that no direction crowds out the others."""
    turns: list[tuple[int, int, NotePair]] = []
    for rank, direction in enumerate(draw.shuffled(DIRECTIONS)):
        same = draw.shuffled([pair for pair in pairs if pair.direction == direction])
        turns += [(turn, rank, pair) for turn, pair in enumerate(same)]
    return [pair for *_, pair in sorted(turns, key=lambda row: row[:2], reverse=True)]


@lru_cache(maxsize=4096)
def _two_notes(first: str, second: str, together: bool, clef: str, timbre: str) -> Excerpt:
    if together:
        return Excerpt.melody((first, second), clef=clef, timbre=timbre, together=True)
    return Excerpt.melody((first, second), (2, 2), clef=clef, timbre=timbre)


@lru_cache(maxsize=512)
def _keyboard(low_midi: int, high_midi: int, given: int | None) -> KeysInput:
    """Return the piano: from the C at or below to the B at or above; the first note is given, or nothing."""
    return KeysInput(
        low_midi // 12 * 12,
        high_midi // 12 * 12 + 11,
        2 if given is None else 1,
        () if given is None else (given,),
    )


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
    settings: tuple[Setting, ...] = _SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        plan = _plan_of(settings)
        if plan.buttons is None and not plan.keys:
            raise ExerciseError("inputs ['keys']: where the notes are seen they are named; write inputs ['buttons']")
        if plan.buttons is not None and len(plan.choices) < 2:
            told = "that can be told apart by ear, " if not plan.seen else ""
            raise ExerciseError(
                f"intervals {settings['intervals']}: give at least two {told}so that there is something to choose"
            )
        if "P1" in plan.names and "together" in plan.directions:
            raise ExerciseError("intervals: a unison cannot be heard together; leave out 'P1' or 'together'")
        if settings["excerpt"]:
            return
        for name in plan.names:
            if not pairs_in_register(name, plan.low_midi, plan.high_midi):
                raise ExerciseError(
                    f"low {settings['low']!r} and high {settings['high']!r}: no {Interval(name).name} fits between "
                    "them; widen the register"
                )

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        return (self._of_excerpt if question.settings["excerpt"] else self._drawn)(question)

    def _drawn(self, question: Question) -> Item:
        settings, plan = question.settings, _plan_of(question.settings)
        order = _order(
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
        midi = (pair.high_midi, pair.low_midi) if down else (pair.low_midi, pair.high_midi)
        two = _two_notes(first, second, together, plan.clef, settings["timbre"])
        media = (
            MediaRequest("sound", two, "Hear the two notes", "asked" if plan.heard else "answered"),
            MediaRequest("notation", two, "The two notes", "asked" if plan.seen else "answered"),
        )
        prompt = f"{_LISTEN[settings['present'], together]} Which interval do they make?"
        degrees = (pair.high_degree, pair.low_degree) if down else (pair.low_degree, pair.high_degree)
        told = interval_sentence(name, first, second, direction, pair.scale, *degrees)
        keyboard = _keyboard(plan.low_midi, plan.high_midi, None if together else midi[0]) if plan.keys else None
        return self._made(question, plan, prompt, media, keyboard, name, direction, (first, second), midi, told)

    def _of_excerpt(self, question: Question) -> Item:
        settings, plan, excerpt = question.settings, _plan_of(question.settings), question.excerpt()
        order = _order_in_excerpt(
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
        clef = part.clef if settings["clef"] == _AUTO else settings["clef"]
        two = _two_notes(pair.first, pair.second, together, clef, settings["timbre"])
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
        told = interval_sentence(pair.interval, pair.first, pair.second, pair.direction)
        told = f"In {where}, {told}"
        midi = pair.first_midi, pair.second_midi
        keyboard = None
        if plan.keys:
            keyboard = _keyboard(*_range(excerpt), None if together else midi[0])
        notes = pair.first, pair.second
        return self._made(question, plan, prompt, media, keyboard, pair.interval, pair.direction, notes, midi, told)

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
        plan: _Plan,
        prompt: str,
        media: tuple[MediaRequest, ...],
        keyboard: KeysInput | None,
        name: str,
        direction: str,
        notes: tuple[str, str],
        midi: tuple[int, int],
        told: str,
    ) -> Item:
        inputs: tuple[Input, ...] = (plan.buttons,) if plan.buttons is not None else ()
        label = "Which interval is it?"
        if keyboard is not None:
            play = (
                "play both notes, from any key" if direction == "together" else "play the second note after the first"
            )
            label = f"Which interval is it? {'Choose its name, or ' + play if inputs else play.capitalize()}."
            inputs += (keyboard,)
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
            },
            told,
            {_STEP: self._solution(inputs, choice, midi, direction)},
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
        two = item.media[-2].excerpt.parts[0]  # the two notes alone
        clef, timbre = two.clef, two.timbre
        found = []
        pairs = ((f"Right: {_right_choice(item).label}", notes), (f"Your answer: {told}", answered))
        kinds = ["notation"] if case == "sound" else (["sound", "notation"] if item.key["seen"] else ["sound"])
        for kind in kinds:
            for label, (first, second) in pairs:
                excerpt = _two_notes(first, second, direction == "together", clef, timbre)
                found.append(MediaRequest(kind, excerpt, label, "answered"))
        return tuple(found)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right interval, the one answered) in words; None for a right answer."""
        _, score, told = _judged(item, answer)
        return None if score == 1.0 else (_right_choice(item).label, told)


@lru_cache(maxsize=512)
def _names(choices: tuple[IntervalChoice, ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(choice.names for choice in choices)


@lru_cache(maxsize=64)
def _range(excerpt: Excerpt) -> tuple[int, int]:
    """Return the lowest and highest sounding note of all pairs of an excerpt."""
    midi = [number for pair in note_pairs(excerpt) for number in (pair.first_midi, pair.second_midi)]
    return min(midi), max(midi)


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
        played = sorted(value) if len(value) == 2 else value
        names = [spell_midi(midi).name for midi in played]
        return (names[0], names[1]) if len(names) == 2 else (first.name, names[0])
    spelled: list[Pitch] = []
    for name in _choice(item, value).names:
        by = Interval(name)
        try:
            spelled.append(first.down(by) if item.key["direction"] == "down" else first.up(by))
        except PitchError:
            continue
    spelled = [pitch for pitch in spelled if 0 <= pitch.chromatic <= 127]
    if not spelled:
        return None
    return first.name, min(spelled, key=lambda pitch: (abs(pitch.alter), pitch.name)).name


IntervalByEar.__doc__ = described(
    IntervalByEar.__doc__,
    _SETTINGS,
    names=credit_table(("answer", "heard", "seen"), [row[1:] for row in NAME_CREDIT]),
    second=credit_table(("answer", "score"), [row[1:] for row in SECOND_KEY_CREDIT]),
    both=credit_table(("answer", "score"), [row[1:] for row in BOTH_KEYS_CREDIT]),
)
INTERVAL_BY_EAR: Final = IntervalByEar()
