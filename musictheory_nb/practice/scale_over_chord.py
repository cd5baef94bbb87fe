"""Exercise family: choose the scales that fit a chord, say which note of the first one to avoid, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_scale_facts import REASONS, ChordScaleFacts, OfferedScale, chord_scale_facts
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.family import Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Option, Response, Step
from musictheory_nb.practice.scale_over_chord_media import (
    chord_requests,
    first_choice_written_out,
    scale_over,
    scale_seen,
)
from musictheory_nb.practice.scale_over_chord_settings import (
    MOST_FITTING,
    OTHER_SCALE_CREDIT,
    SETTINGS,
    STEPS,
    check_chords,
    order_of_chords,
)
from musictheory_nb.theory.scale import Scale

_NO_NOTE: Final = "none"
_CREDIT_ROWS: Final = (
    ("scales, avoid, why", "each right choice: its share of the step; each wrong one takes as much away, down to 0"),
    ("avoid, why", f"all that holds for another fitting scale, marked in the first step: {OTHER_SCALE_CREDIT}"),
)


@lru_cache(maxsize=2048)
def _option(value: str, label: str) -> Option:
    return Option(value, label)


@lru_cache(maxsize=512)
def _note_option(name: str, names: str) -> Option:
    return Option(name, Display(names).note(name))


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
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_chords(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings = question.settings
        text = order_of_chords(
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
        first, timbre, naming = fitting[0], settings["timbre"], settings["names"]
        asked = [step for step in STEPS if step in settings["ask"] and (step == "scales" or first.reasons)]
        names = _note_names(facts, scales)
        chord = renamed(facts.display, naming)
        shown = {scale.name: renamed(scale.display, naming) for scale in scales}
        media = (
            *chord_requests(facts.symbol, chord, timbre),
            *(
                scale_over(facts.symbol, scale.name, f"Hear {shown[scale.name]} over the chord", timbre)
                for scale in scales
            ),
            first_choice_written_out(text, timbre, naming),
        )
        told = [f"First choice over {facts.shown}: {first.display}.", *(scale.told for scale in (*fitting, *lacking))]
        truths = [self._truth(fit, names) for fit in fitting]
        right = {"scales": [fit.name for fit in fitting], **truths[0]}
        tones = listed([Display(naming).note(name) for _, name in facts.tones])
        return Item(
            question.exercise,
            question.index,
            f"Hear and see the chord {renamed(facts.shown, naming)}. Which of these scales fit it?",
            media,
            Response(tuple(self._step(step, scales, names, facts.is_suspended, naming) for step in asked)),
            {
                "chord": text,
                "fitting": [fit.name for fit in fitting],
                "steps": asked,
                "notes": truths,
                "lacking": {scale.name: list(scale.missing) for scale in lacking},
                **Display(naming).key,
            },
            renamed("\n".join(told), naming),
            {step: {"choice": right[step]} for step in asked},
            tuple(scale_seen(scale.name, f"{shown[scale.name]} written out", timbre) for scale in scales),
            f"The notes of {chord} are {tones}.",
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
        taken = {scale.name for scale in near}
        return near + [scale for scale in shuffled if scale.name not in taken][: count - len(near)]

    @staticmethod
    def _truth(fit: OfferedScale, names: Mapping[int, str]) -> dict[str, JSON]:
        return {"avoid": [names[pitch] for pitch in fit.avoid_classes] or [_NO_NOTE], "why": list(fit.reasons)}

    @staticmethod
    def _step(
        step: str, scales: Sequence[OfferedScale], names: Mapping[int, str], suspended: bool, naming: str
    ) -> Step:
        if step == "scales":
            options = tuple(_option(scale.name, renamed(scale.display, naming)) for scale in scales)
            return Step(step, "Which of these scales fit the chord? Mark all that do.", (ChoiceInput(options, True),))
        if step == "avoid":
            options = (*(_note_option(name, naming) for name in names.values()), _option(_NO_NOTE, "No note"))
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
        names = Display.of_key(item.key).names
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        wrong = [_shown(name, names) for name in chosen if name not in fitting]
        missed = [_shown(name, names) for name in fitting if name not in chosen]
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
                truth = listed([_note_or_reason(step, value, names) for value in item.key["notes"][0][step]])
                told = right if scores[step] == 1.0 else f"{'Avoid' if step == 'avoid' else 'Reason'}: {truth}."
                why.append(told if scores[step] != OTHER_SCALE_CREDIT else f"{told} {half}")
        return Mark(min(1.0, score), " ".join(why))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return a scale that was marked and does not fit beside the first choice, or one that was not marked."""
        names = Display.of_key(item.key).names
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        over = {option.value: request.excerpt for option, request in zip(_options(item), item.media[2:], strict=False)}
        wrong = [name for name in chosen if name not in fitting][:1]
        missed = [name for name in fitting if name not in chosen][:1]
        if not wrong and not missed:
            return ()
        pairs = [(name, "fits") for name in missed or fitting[:1]] + [(name, "does not fit") for name in wrong]
        return tuple(
            MediaRequest("sound", over[name], f"{_shown(name, names)} {what}", "answered") for name, what in pairs
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (a scale that fits, the one marked instead), or the notes to avoid; None for a full score."""
        scores = _step_scores(item, answer)
        names = Display.of_key(item.key).names
        chosen, fitting = answer["scales"]["choice"], item.key["fitting"]
        shown = renamed(chord_scale_facts(item.key["chord"]).shown, names)
        if wrong := [name for name in chosen if name not in fitting]:
            return f"{_shown(fitting[0], names)} over {shown}", _shown(wrong[0], names)
        if missed := [name for name in fitting if name not in chosen]:
            return f"{_shown(missed[0], names)} over {shown}", "not marked"
        for step in ("avoid", "why"):
            if scores.get(step, 1.0) < 1.0:
                right, given = (
                    listed([_note_or_reason(step, value, names) for value in values])
                    for values in (item.key["notes"][0][step], answer[step]["choice"])
                )
                return f"{'avoid' if step == 'avoid' else 'reason'} over {shown}: {right}", given
        return None


def _options(item: Item) -> tuple[Option, ...]:
    entry = item.response.steps[0].inputs[0]
    assert isinstance(entry, ChoiceInput)
    return entry.options


@lru_cache(maxsize=1024)
def _shown(name: str, names: str) -> str:
    return renamed(Scale(name).display, names)


def _note_or_reason(step: str, value: str, names: str) -> str:
    if step == "why":
        return REASONS[value][:1].lower() + REASONS[value][1:]
    return "no note" if value == _NO_NOTE else Display(names).note(value)


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
    ScaleOverChord.__doc__, SETTINGS, credit=credit_table(("step", "credit"), _CREDIT_ROWS)
)
SCALE_OVER_CHORD: Final = ScaleOverChord()
