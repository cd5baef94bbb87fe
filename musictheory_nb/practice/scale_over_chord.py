"""Exercise family: choose the scales that fit a chord, say which note of the first one to avoid, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.chord_scale_facts import (
    REASONS,
    ChordScaleFacts,
    OfferedScale,
    chord_scale_facts,
)
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import TIMBRES, Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Option, Response, Step
from musictheory_nb.practice.visiting_order import visiting_order
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale

#: Chords of each level: what stands behind the root, and where the root lies above the tonic of a major key ('' for no
#: key, so that the chord stands for itself).
LEVELS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = MappingProxyType(
    {
        "modes": (
            ("maj7", "P1"), ("m7", "M2"), ("m7", "M3"), ("maj7", "P4"), ("7", "P5"), ("m7", "M6"), ("m7b5", "M7"),
        ),
        "dominants": (
            ("7", ""), ("7#11", ""), ("7(b9)", ""), ("13(b9)", ""), ("9(b13)", ""), ("7sus4(b9)", ""), ("7#5", ""),
        ),
        "altered": (
            ("7alt", ""), ("7(b9,b13)", ""), ("13(b9)", ""), ("7#5", ""), ("7#11", ""), ("maj7#11", ""), ("m(maj7)", ""),
        ),
    }
)  # fmt: skip
ROOTS: Final = ("C", "Db", "D", "Eb", "E", "F", "G", "Ab", "A", "Bb")
#: The steps of an item, each with its share of the score where all are asked.
STEPS: Final[Mapping[str, float]] = MappingProxyType({"scales": 0.5, "avoid": 0.25, "why": 0.25})
#: What an answer that would be right for another fitting scale, marked as well, is worth in the last two steps.
OTHER_SCALE_CREDIT: Final = 0.5
FEWEST_OFFERED: Final = 3
MOST_OFFERED: Final = 8
#: At most so many of the scales offered fit.
MOST_FITTING: Final = 3

_NO_NOTE: Final = "none"
#: Lowest notes of the chord where it stands alone, and where a scale runs over it.
_ALONE: Final = "G3"
_UNDER: Final = "C3"
_SCALE_TEMPO: Final = Fraction(80)
_CREDIT_ROWS: Final = (
    ("scales, avoid, why", "each right choice: its share of the step; each wrong one takes as much away, down to 0"),
    ("avoid, why", f"all that holds for another fitting scale, marked in the first step: {OTHER_SCALE_CREDIT}"),
)


def _is_chord_list(value: JSON) -> bool:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value) or len(set(value)) != len(value):
        return False
    try:
        for one in value:
            chord_scale_facts(one)
    except TheoryError:
        return False
    return True


def _are_roots(value: JSON) -> bool:
    if not isinstance(value, list) or not value or len(set(map(str, value))) != len(value):
        return False
    try:
        return all(isinstance(one, str) and abs(PitchName(one).alter) <= 1 for one in value)
    except TheoryError:
        return False


_SETTINGS: Final = (
    Setting(
        "level",
        "modes",
        "Which chords are asked: 'modes' takes the seventh chords on every degree of a major key, each in its key; "
        + "; ".join(
            f"{level!r} {' '.join(suffix for suffix, _ in rows)}" for level, rows in LEVELS.items() if not rows[0][1]
        )
        + ".",
        ", ".join(map(repr, LEVELS)),
        lambda value: isinstance(value, str) and value in LEVELS,
    ),
    Setting(
        "roots",
        list(ROOTS),
        "The roots on which the chords of the level stand; for 'modes' the tonics of the keys.",
        "a list of different pitch names with at most one accidental, as ['C', 'Eb']",
        _are_roots,
    ),
    Setting(
        "chords",
        [],
        "Chords to ask instead of those of the level.",
        "a list of different chord symbols for which scales are taught, each with its key if you wish, as "
        "['G7alt', 'Em7 in C major']; [] for the level's",
        _is_chord_list,
    ),
    Setting(
        "offered",
        5,
        f"How many scales there are to choose from; one to {MOST_FITTING} of them fit.",
        f"a whole number from {FEWEST_OFFERED} to {MOST_OFFERED}",
        lambda value: type(value) is int and FEWEST_OFFERED <= value <= MOST_OFFERED,
    ),
    Setting(
        "ask",
        list(STEPS),
        "Which steps an item has: the scales that fit, the notes to avoid, the reason. Where teachers differ about the "
        "notes to avoid, only the first is asked.",
        "['scales'], ['scales', 'avoid'] or ['scales', 'avoid', 'why']",
        lambda value: isinstance(value, list) and bool(value) and value == list(STEPS)[: len(value)],
    ),
    Setting(
        "timbre",
        "struck",
        "How the chord and the scales sound.",
        ", ".join(map(repr, TIMBRES)),
        lambda value: isinstance(value, str) and value in TIMBRES,
    ),
)


@lru_cache(maxsize=1024)
def _on_root(root: str, suffix: str, above_tonic: str) -> str:
    """Return the chord as `chord_scale_facts` reads it; with `above_tonic`, `root` is the tonic of its key."""
    if not above_tonic:
        return root + suffix
    return f"{PitchName(root).up(above_tonic).name}{suffix} in {root} major"


@lru_cache(maxsize=2048)
def _order(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    chords: tuple[str, ...],
    level: str,
    roots: tuple[str, ...],
) -> tuple[str, ...]:
    """Return the chord of every item: each chord, or each kind of chord and each root, once a round."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    if chords:
        return tuple(chords[place] for place in visiting_order(draw, chords, count))
    rows = LEVELS[level]
    kinds, places = visiting_order(draw, rows, count), visiting_order(draw, roots, count)
    return tuple(_on_root(roots[place], *rows[kind]) for kind, place in zip(kinds, places, strict=True))


@lru_cache(maxsize=2048)
def _chord_requests(symbol: str, display: str, timbre: str) -> tuple[MediaRequest, MediaRequest]:
    pitches = [pitch.name for pitch in Chord(symbol).pitches(_ALONE)]
    alone = Excerpt.melody(pitches, together=True, timbre=timbre, chord=symbol)
    return MediaRequest("sound", alone, "Hear the chord"), MediaRequest("notation", alone, f"The chord {display}")


@lru_cache(maxsize=512)
def _run(scale: str) -> tuple[str, ...]:
    """Return the scale up one octave, its first note at the top again."""
    pitches = Scale(scale).pitches(4)
    if pitches[-1].chromatic - pitches[0].chromatic != 12:
        pitches = [*pitches, pitches[0].up("P8")]
    return tuple(pitch.name for pitch in pitches)


@lru_cache(maxsize=8192)
def _scale_over(symbol: str, scale: str, label: str, timbre: str) -> MediaRequest:
    """Return the scale in quavers over the chord held below."""
    run = _run(scale)
    length = Fraction(len(run), 2)
    notes = [ExcerptNote(0, 0, Fraction(at, 2), Fraction(1, 2), (name,)) for at, name in enumerate(run)]
    below = tuple(pitch.name for pitch in Chord(symbol).pitches(_UNDER))
    notes.append(ExcerptNote(1, 0, Fraction(0), length, below))
    metre = f"{len(run) // 2}/4" if len(run) % 2 == 0 else f"{len(run)}/8"
    excerpt = Excerpt(
        (ExcerptPart("scale", "treble", timbre=timbre), ExcerptPart("chord", "bass", timbre="held")),
        (ExcerptMeasure("1", length, metre),),
        tuple(notes),
        (ExcerptChord(0, Fraction(0), symbol),),
        tempo=_SCALE_TEMPO,
    )
    return MediaRequest("sound", excerpt, label)


@lru_cache(maxsize=2048)
def _answered(text: str, timbre: str) -> MediaRequest:
    """Return the first choice written out, the notes to avoid marked."""
    facts = chord_scale_facts(text)
    first = facts.fitting[0]
    run = _run(first.name)
    line = Excerpt.melody(run, [Fraction(1, 2)] * len(run), timbre=timbre, chord=facts.symbol, tempo=int(_SCALE_TEMPO))
    avoid = first.avoid_classes if first.reasons else ()
    marked = tuple(at for at, name in enumerate(run) if Pitch(name).pitch_class in avoid)
    label = f"{first.display} over {facts.display}" + (", notes to avoid marked" if marked else "")
    return MediaRequest("notation", line, label, "answered", marked=marked)


@lru_cache(maxsize=2048)
def _option(value: str, label: str) -> Option:
    return Option(value, label)


@lru_cache(maxsize=512)
def _note_option(name: str) -> Option:
    return Option(name, PitchName(name).display)


@lru_cache(maxsize=8)
def _reason_options(suspended: bool) -> tuple[Option, ...]:
    return tuple(Option(case, words) for case, words in REASONS.items() if case != "fourth" or suspended)


def _note_names(facts: ChordScaleFacts, scales: Iterable[OfferedScale]) -> dict[int, str]:
    """Return one name for each pitch class of the scales, the chord's own first, in order from the root up."""
    names = {pitch: name for scale in reversed(list(scales)) for pitch, name in reversed(scale.notes)}
    names.update((pitch, name) for pitch, name in facts.tones if pitch in names)
    around = ((facts.root + above) % 12 for above in range(12))
    return {pitch: names[pitch] for pitch in around if pitch in names}


@dataclass(frozen=True)
class ScaleOverChord:
    """Scale over chord, version 1.

    A chord is heard and seen. Step one: which of the scales offered fit it; each can be heard over the chord. Step two:
    which notes of the scale that comes first for the chord are better not held against it. Step three: why. Scales
    offered that do not fit lack at least one tone of the chord that players do not leave out.

    Settings::

    {settings}

    Marking: the first step makes up half of the score, the others a quarter each; where fewer are asked, these shares
    are scaled to 1. In each step:

    {credit}
    """

    kind: str = "scale-over-chord"
    version: int = 1
    title: str = "Scales over chords"
    settings: tuple[Setting, ...] = _SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        offered = settings["offered"]
        chords = settings["chords"] or [
            _on_root(root, *row) for root in settings["roots"] for row in LEVELS[settings["level"]]
        ]
        for text in chords:
            try:
                facts = chord_scale_facts(text)
            except TheoryError as error:
                raise ExerciseError(f"roots {settings['roots']}: {error}") from None
            if len(facts.lacking) < offered - 1:
                raise ExerciseError(
                    f"offered {offered}: only {len(facts.lacking)} scales do not fit {text}; offer fewer, or ask a "
                    "chord with more tones"
                )

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings = question.settings
        text = _order(
            question.lesson,
            question.exercise,
            question.version,
            question.seed,
            question.count,
            tuple(settings["chords"]),
            settings["level"],
            tuple(settings["roots"]),
        )[question.index]
        facts = chord_scale_facts(text)
        draw = question.draw()
        fitting = self._fitting(facts, draw, settings["offered"])
        lacking = self._lacking(facts, draw, settings["offered"] - len(fitting))
        scales = draw.shuffled([*fitting, *lacking])
        first, timbre = fitting[0], settings["timbre"]
        asked = [step for step in STEPS if step in settings["ask"] and (step == "scales" or first.reasons)]
        names = _note_names(facts, scales)
        media = (
            *_chord_requests(facts.symbol, facts.display, timbre),
            *(
                _scale_over(facts.symbol, scale.name, f"Hear {scale.display} over the chord", timbre)
                for scale in scales
            ),
            _answered(text, timbre),
        )
        told = [f"First choice over {facts.shown}: {first.display}.", *(scale.told for scale in (*fitting, *lacking))]
        truths = [self._truth(fit, names) for fit in fitting]
        right = {"scales": [fit.name for fit in fitting], **truths[0]}
        return Item(
            question.exercise,
            question.index,
            f"Hear and see the chord {facts.shown}. Which of these scales fit it?",
            media,
            Response(tuple(self._step(step, scales, names, facts.is_suspended) for step in asked)),
            {
                "chord": text,
                "fitting": [fit.name for fit in fitting],
                "steps": asked,
                "notes": truths,
                "lacking": {scale.name: list(scale.missing) for scale in lacking},
            },
            " ".join(told),
            {step: {"choice": right[step]} for step in asked},
        )

    @staticmethod
    def _fitting(facts: ChordScaleFacts, draw: Draw, offered: int) -> list[OfferedScale]:
        """Return the first choice and, by chance, others that fit; at least one scale offered never fits."""
        most = min(MOST_FITTING, len(facts.fitting), offered - 1)
        extra = draw.integer(most)
        return [facts.fitting[0], *draw.shuffled(facts.fitting[1:])[:extra]]

    @staticmethod
    def _lacking(facts: ChordScaleFacts, draw: Draw, count: int) -> list[OfferedScale]:
        """Return scales that do not fit: half of them, where there are as many, lack one tone only."""
        shuffled = draw.shuffled(facts.lacking)
        near = [scale for scale in shuffled if len(scale.missing) == 1][: (count + 1) // 2]
        return near + [scale for scale in shuffled if scale not in near][: count - len(near)]

    @staticmethod
    def _truth(fit: OfferedScale, names: Mapping[int, str]) -> dict[str, JSON]:
        return {"avoid": [names[pitch] for pitch in fit.avoid_classes] or [_NO_NOTE], "why": list(fit.reasons)}

    @staticmethod
    def _step(step: str, scales: Sequence[OfferedScale], names: Mapping[int, str], suspended: bool) -> Step:
        if step == "scales":
            options = tuple(_option(scale.name, scale.display) for scale in scales)
            return Step(step, "Which of these scales fit the chord? Mark all that do.", (ChoiceInput(options, True),))
        if step == "avoid":
            options = (*map(_note_option, names.values()), _option(_NO_NOTE, "No note"))
            label = (
                "Think of the scale that comes first for this chord. Which of its notes are better not held against the "
                "chord? Mark all, or “No note”."
            )
            return Step(step, label, (ChoiceInput(options, True),))
        label = "Why these notes, or none? Mark all reasons that hold."
        return Step(step, label, (ChoiceInput(_reason_options(suspended), True),))

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        scores = _step_scores(item, answer)
        total = sum(STEPS[step] for step in scores)
        score = (
            1.0
            if all(one == 1.0 for one in scores.values())
            else (sum(STEPS[step] * one for step, one in scores.items()) / total)
        )
        why = []
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        wrong = [_shown(name) for name in chosen if name not in fitting]
        missed = [_shown(name) for name in fitting if name not in chosen]
        if not wrong and not missed:
            why.append("The scales are right.")
        if wrong:
            why.append(f"{listed(wrong)} {'does' if len(wrong) == 1 else 'do'} not fit.")
        if missed:
            why.append(f"{listed(missed)} {'fits' if len(missed) == 1 else 'fit'}, too.")
        for step, right, half in (
            (
                "avoid",
                "The notes to avoid are right.",
                "That holds for another scale that fits, not for the first one.",
            ),
            ("why", "The reason is right.", "The reason is that of another scale that fits."),
        ):
            if step in scores:
                truth = listed([_note_or_reason(step, value) for value in item.key["notes"][0][step]])
                told = right if scores[step] == 1.0 else f"{'Avoid' if step == 'avoid' else 'Reason'}: {truth}."
                why.append(told if scores[step] != OTHER_SCALE_CREDIT else f"{told} {half}")
        return Mark(min(1.0, score), " ".join(why))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return a scale that was marked and does not fit beside the first choice, or one that was not marked."""
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        over = {option.value: request.excerpt for option, request in zip(_options(item), item.media[2:], strict=False)}
        wrong = [name for name in chosen if name not in fitting][:1]
        missed = [name for name in fitting if name not in chosen][:1]
        if not wrong and not missed:
            return ()
        pairs = [(name, "fits") for name in missed or fitting[:1]] + [(name, "does not fit") for name in wrong]
        return tuple(MediaRequest("sound", over[name], f"{_shown(name)} {what}", "answered") for name, what in pairs)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (a scale that fits, the one marked instead), or the notes to avoid; None for a full score."""
        scores = _step_scores(item, answer)
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        shown = chord_scale_facts(item.key["chord"]).shown
        if wrong := [name for name in chosen if name not in fitting]:
            return f"{_shown(fitting[0])} over {shown}", _shown(wrong[0])
        if missed := [name for name in fitting if name not in chosen]:
            return f"{_shown(missed[0])} over {shown}", "not marked"
        for step in ("avoid", "why"):
            if scores.get(step, 1.0) < 1.0:
                right, given = (
                    listed([_note_or_reason(step, value) for value in values])
                    for values in (item.key["notes"][0][step], answer[step]["choice"])
                )
                return f"{'avoid' if step == 'avoid' else 'reason'} over {shown}: {right}", given
        return None


def _options(item: Item) -> tuple[Option, ...]:
    entry = item.response.steps[0].inputs[0]
    assert isinstance(entry, ChoiceInput)
    return entry.options


@lru_cache(maxsize=1024)
def _shown(name: str) -> str:
    return Scale(name).display


def _note_or_reason(step: str, value: str) -> str:
    if step == "why":
        return REASONS[value][:1].lower() + REASONS[value][1:]
    return "no note" if value == _NO_NOTE else PitchName(value).display


def _share(chosen: Sequence[str], right: Sequence[str]) -> float:
    """Return the share of what is right that was chosen, less as much for each wrong choice; not below 0."""
    hits = sum(value in right for value in chosen)
    return max(0.0, (2 * hits - len(chosen)) / len(right))


def _step_scores(item: Item, answer: Answer) -> dict[str, float]:
    """Return the score of each step that was asked."""
    chosen, fitting, notes = answer["scales"]["choice"], item.key["fitting"], item.key["notes"]
    scores = {"scales": _share(chosen, fitting)}
    for step in item.key["steps"]:
        if step == "scales":
            continue
        given = answer[step]["choice"]
        score = _share(given, notes[0][step])
        for name, other in zip(fitting[1:], notes[1:], strict=True):
            if name in chosen and other["why"] and set(given) == set(other[step]):
                score = max(score, OTHER_SCALE_CREDIT)
        scores[step] = score
    return scores


ScaleOverChord.__doc__ = described(
    ScaleOverChord.__doc__, _SETTINGS, credit=credit_table(("step", "credit"), _CREDIT_ROWS)
)
SCALE_OVER_CHORD: Final = ScaleOverChord()
