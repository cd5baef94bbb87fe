"""Mark, comparison and confusion of an answer that names a chord in steps, by ear or by sight."""

from collections.abc import Mapping
from dataclasses import dataclass

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_marking import STEPS, ChordReading, quality_case, step_scores, value_words
from musictheory_nb.practice.chord_pool import ChordCase, chord_excerpt
from musictheory_nb.practice.chord_vocabulary import QUALITY_NAMES, chord_shown, inversions_of, voiced
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer
from musictheory_nb.theory.pitch import Pitch

#: The id of the input that takes notes instead of names.
_KEYS = "keys"


@dataclass(frozen=True)
class JudgedChord:
    """An answer against the reading that it agrees with best.

    Parameters
    ----------
    reading : ChordReading
        That reading.
    scores : dict of str to float
        Of each step.
    score : float
        Of all.
    given : dict of str to str
        Values of the steps that were answered by choice.
    """

    reading: ChordReading
    scores: dict[str, float]
    score: float
    given: dict[str, str]


def chord_key(
    case: ChordCase, readings: tuple[ChordReading, ...], settings: Mapping[str, JSON], display: Display
) -> dict[str, JSON]:
    """Return the key of an item that asks about a chord."""
    return {
        "root": case.root,
        "quality": case.quality,
        "inversion": case.inversion,
        "pitches": case.pitches,
        "readings": [(one.quality, one.inversion, one.root) for one in readings],
        "partial": settings["partial"],
        **display.key,
    }


def readings_of(item: Item) -> list[ChordReading]:
    """Return the right readings that a key holds."""
    return [ChordReading(*row) for row in item.key["readings"]]


def _keys_score(item: Item, played: list[int]) -> float:
    """Return the share of the tones that were played, less as much for each wrong one."""
    shift = Display.of_key(item.key).part_shift[0]
    tones = {(Pitch(name).chromatic + shift) % 12 for name in item.key["pitches"]}
    bass = (Pitch(item.key["pitches"][0]).chromatic + shift) % 12
    given = {midi % 12 for midi in played} | {bass}
    return max(0.0, (len(given & tones) - len(given - tones) - 1) / (len(tones) - 1))


def judged(item: Item, answer: Answer) -> JudgedChord:
    """Return an answer against the reading that it agrees with best."""
    given = {step: str(value["choice"]) for step, value in answer.items() if "choice" in value}
    reading, scores, score = (
        step_scores(readings_of(item), given) if given else (readings_of(item)[0], dict[str, float](), 0.0)
    )
    played = {step: _keys_score(item, value[_KEYS]) for step, value in answer.items() if _KEYS in value}
    if played:
        scores = {step: {**scores, **played}[step] for step in answer}
        full = min(scores.values()) == 1.0
        score = 1.0 if full else sum(STEPS[step] * one for step, one in scores.items()) / sum(STEPS[s] for s in scores)
    if not item.key["partial"] and score < 1.0:
        score = 0.0
    return JudgedChord(reading, scores, score, given)


def chord_mark(item: Item, answer: Answer) -> Mark:
    """Return the mark, and what is right and what is not in words."""
    found, display = judged(item, answer), Display.of_key(item.key)
    why = []
    for step, score in found.scores.items():
        right = value_words(step, found.reading.value(step), display)
        if score == 1.0:
            why.append(f"{step.capitalize()}: right, {right}.")
        elif step not in found.given:
            why.append(f"Not all notes are right; it is {_article(right)} chord.")
        else:
            told = value_words(step, found.given[step], display)
            near = ""
            if step == "quality":
                case = quality_case(found.reading.quality, found.given[step])
                near = {"seventh": ", with the same third and fifth", "third": ", with the same third"}.get(case, "")
            why.append(f"{step.capitalize()}: {right}, not {told}{near}.")
    return Mark(min(1.0, found.score), " ".join(why))


def _article(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def answered_chord(item: Item, answer: Answer) -> tuple[str, str, int] | None:
    """Return root, quality and inversion that were answered, what was not asked taken from the right reading."""
    found = judged(item, answer)
    root = found.given.get("root", found.reading.root or item.key["root"])
    quality = found.given.get("quality", found.reading.quality)
    inversion = int(found.given.get("inversion", found.reading.inversion))
    if inversion not in inversions_of(quality):
        inversion = 0
    try:
        voiced(root, quality, inversion, "C3", "close")
    except TheoryError:
        return None
    return root, quality, inversion


def chord_compare(item: Item, answer: Answer, kinds: tuple[str, ...], played: str) -> tuple[MediaRequest, ...]:
    """Return the chord and the one answered, each from the same register, to be heard and seen side by side."""
    found, display = judged(item, answer), Display.of_key(item.key)
    given = answered_chord(item, answer)
    if found.score == 1.0 or given is None or not found.given:
        return ()
    part = item.media[0].excerpt.parts[0]
    lowest = Pitch(item.key["pitches"][0])
    near = Pitch.from_name(Pitch("C4").pitch_name, lowest.octave).name if lowest.octave else "C1"
    pitches = voiced(
        *given, lowest.name if given[0] == item.key["root"] and given[2] == item.key["inversion"] else near, "close"
    )
    if pitches == tuple(item.key["pitches"]) or not all(0 <= Pitch(name).chromatic <= 127 for name in pitches):
        return ()
    names = item.key["root"], item.key["quality"], item.key["inversion"]
    rows = (
        (f"Right: {chord_shown(*names, display.names)}", tuple(item.key["pitches"])),
        (f"Your answer: {chord_shown(*given, display.names)}", pitches),
    )
    shift = part.chromatic, part.diatonic
    return tuple(
        MediaRequest(
            kind,
            chord_excerpt(notes, played if kind == "sound" else "together", part.clef, part.timbre, shift),
            label,
            "answered",
        )
        for kind in kinds
        for label, notes in rows
    )


def chord_confusion(item: Item, answer: Answer) -> tuple[str, str] | None:
    """Return (what was right, what was answered) of the first step that is wrong; None for a full score."""
    found, display = judged(item, answer), Display.of_key(item.key)
    if found.score == 1.0:
        return None
    step = next(step for step in ("quality", "inversion", "root") if found.scores.get(step, 1.0) < 1.0)
    right = value_words(step, found.reading.value(step), display)
    if step not in found.given:
        return right, "other notes"
    told = value_words(step, found.given[step], display)
    if step != "quality":
        quality = QUALITY_NAMES[found.reading.quality]
        return f"{quality}, {step} {right}" if step == "root" else f"{quality}, {right}", told
    return right, told
