"""Exercise family: name, or play, the scale or mode that is heard."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_draw import keyboard
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, Response, Step
from musictheory_nb.practice.scale_answer import (
    KIND_CREDIT,
    STEP,
    alike_kinds,
    kind_options,
    scale_compare,
    scale_confusion,
    scale_mark,
)
from musictheory_nb.practice.scale_pool import check_scales_fit, items_setting, kinds_asked, scale_case, scale_excerpt
from musictheory_nb.practice.scale_vocabulary import (
    TONICS,
    direction_setting,
    kind_of_semitones,
    kind_shown,
    scale_sentence,
    scales_setting,
    semitones_in,
    shown_scale,
    signs_of,
)
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

#: How a scale may be answered.
INPUTS: Final = ("buttons", "keys")
_KEYS: Final = "keys"

SETTINGS: Final = (
    scales_setting("The scales that are asked for; they are the answers to choose from."),
    TONICS,
    items_setting("; their kinds are among the answers to choose from"),
    direction_setting("Which way the scale goes."),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by name, or by playing the scale on piano keys, its tonic given; keys are offered where all "
        "scales have as many notes and go one way.",
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
)


@dataclass(frozen=True)
class ScaleByEar:
    """Scale by ear, version 1.

    A scale is played from tonic to tonic; the student names it. Each kind comes once before any comes again, and no tonic
    in the same octave before all of that kind have come. Where scales sound alike (the melodic minor scale going down, and
    natural minor) each of the names is right.

    Settings::

    {settings}

    Marking:

    {credit}

    On piano keys: the share of the notes beside the tonic that were played, in whatever order and octave, less as much
    for each wrong one. With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "scale-by-ear"
    version: int = 1
    title: str = "Scales by ear"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_scales_fit(settings, register(settings))
        if settings["inputs"] == ["keys"] and not _keys_fit(settings):
            raise ExerciseError(
                "inputs ['keys']: the scales have different numbers of notes, or go both ways; offer 'buttons', too"
            )
        if "buttons" in settings["inputs"]:
            check_choice(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = scale_case(question, place)
        direction = settings["direction"]
        right = alike_kinds(case.kind, kinds_asked(settings), direction)
        line = scale_excerpt(case.pitches, place.clef, settings["timbre"], display.part_shift)
        midi = sorted({Pitch(name).midi + display.part_shift[0] for name in case.pitches})
        inputs = _inputs(settings, midi[0])
        values: dict[str, JSON] = {"choice": list(right), "keys": midi[1:-1]}
        shown = shown_scale(case.tonic, case.kind, display)
        told = scale_sentence(case.tonic, case.kind, direction, display)
        if len(right) > 1:
            told += f" Heard so it cannot be told from {listed([kind_shown(one) for one in right[1:]], 'or')}."
        label = "Which scale is it?"
        if len(inputs) > 1:
            label += " Choose its name, or play the notes between the two tonics."
        elif inputs[0].id == _KEYS:
            label += " Play the notes between the two tonics."
        return Item(
            question.exercise,
            question.index,
            "Listen to the scale. Which one is it?",
            (
                MediaRequest("sound", line, "Hear the scale"),
                MediaRequest(
                    "notation",
                    line,
                    f"The scale {shown}",
                    "answered",
                    marked=telling_notes(case.tonic, case.kind, case.pitches),
                ),
            ),
            Response((Step(STEP, label, inputs),)),
            {
                "tonic": case.tonic,
                "kind": case.kind,
                "pitches": case.pitches,
                "direction": direction,
                "partial": settings["partial"],
                **display.key,
            },
            told,
            {STEP: {entry.id: values[entry.id] for entry in inputs}},
            (MediaRequest("notation", line, "The scale"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        if _KEYS not in answer[STEP]:
            return scale_mark(item, answer)
        score = _keys_score(item, answer)
        right = shown_scale(item.key["tonic"], item.key["kind"], Display.of_key(item.key))
        return Mark(score, f"Right: {right}." if score == 1.0 else f"Not all notes are right; it is {right}.")

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the scale and the one answered, to be heard one after the other."""
        if _KEYS not in answer[STEP]:
            return scale_compare(item, answer, ("sound",))
        if _keys_score(item, answer) == 1.0:
            return ()
        display, kind = Display.of_key(item.key), _played_kind(item, answer)
        played = [midi - display.part_shift[0] for midi in answer[STEP][_KEYS]]
        line = _spelled_line(item, tuple(sorted(played, reverse=item.key["direction"] == "down")))
        part = item.media[0].excerpt.parts[0]
        look = part.clef, part.timbre, (part.chromatic, part.diatonic)
        rows = (
            (f"Right: {shown_scale(item.key['tonic'], item.key['kind'], display)}", tuple(item.key["pitches"])),
            (f"Your answer: {kind_shown(kind) if kind else 'other notes'}", line),
        )
        return tuple(MediaRequest("sound", scale_excerpt(notes, *look), label, "answered") for label, notes in rows)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right kind, the kind answered) in words; None for a full score."""
        if _KEYS not in answer[STEP]:
            return scale_confusion(item, answer)
        if _keys_score(item, answer) == 1.0:
            return None
        right, told = kind_shown(item.key["kind"]), kind_shown(_played_kind(item, answer) or "other notes")
        return right, told if told != right else "other notes"


def check_choice(settings: CompleteSettings) -> None:
    """Raise unless there are two kinds of scale to choose from that are not alike.

    Raises
    ------
    ExerciseError
        There are not.
    """
    if len({semitones_in(kind, settings["direction"]) for kind in kinds_asked(settings)}) < 2:
        raise ExerciseError(
            f"scales {settings['scales']}: give at least two that sound different going {settings['direction']}, so that "
            "there is something to choose"
        )


def telling_notes(tonic: str, kind: str, pitches: tuple[str, ...]) -> tuple[int, ...]:
    """Return the indices of the notes that tell a scale from plain major or minor; without any, of its tonics.

    Examples
    --------
    >>> telling_notes("D", "Dorian", ("D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5"))
    (5,)
    """
    signs = {own for own, _ in signs_of(tonic, kind)[1]}
    marked = tuple(at for at, name in enumerate(pitches) if Pitch(name).pitch_name.name in signs)
    return marked or tuple(at for at, name in enumerate(pitches) if Pitch(name).pitch_name.name == tonic)


@lru_cache(maxsize=256)
def _keys_fit(settings: CompleteSettings) -> bool:
    sizes = {len(set(semitones_in(kind, settings["direction"]))) for kind in kinds_asked(settings)}
    return len(sizes) == 1 and settings["direction"] != "up and down"


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, low: int) -> tuple[Input, ...]:
    found: tuple[Input, ...] = ()
    kinds = kinds_asked(settings)
    if "buttons" in settings["inputs"]:
        found += (ChoiceInput(kind_options(kinds)),)
    if "keys" in settings["inputs"] and _keys_fit(settings):
        board = keyboard(low, low + 12, low)
        count = len(semitones_in(kinds[0], settings["direction"])) - 2
        found += (KeysInput(board.low, board.high, count, (low, low + 12)),)
    return found


def _played(item: Item, answer: Answer) -> tuple[set[int], set[int]]:
    """Return the semitones above the tonic of the scale and of what was played, the tonic left out."""
    shift = Display.of_key(item.key).part_shift[0]
    tonic = Pitch(item.key["pitches"][0]).chromatic + shift
    right = {semitone % 12 for semitone in semitones_in(item.key["kind"], item.key["direction"])} - {0}
    return right, {(midi - tonic) % 12 for midi in answer[STEP][_KEYS]} - {0}


def _keys_score(item: Item, answer: Answer) -> float:
    right, given = _played(item, answer)
    score = max(0.0, (len(given & right) - len(given - right)) / len(right))
    return score if item.key["partial"] or score == 1.0 else 0.0


def _played_kind(item: Item, answer: Answer) -> str:
    return kind_of_semitones((0, *_played(item, answer)[1]))


def _spelled_line(item: Item, played: tuple[int, ...]) -> tuple[str, ...]:
    """Return what was played as pitches between the two tonics: those of the scale as it spells them."""
    own = {Pitch(name).chromatic: name for name in item.key["pitches"]}
    ends = item.key["pitches"][0], item.key["pitches"][-1]
    inside = [own.get(midi) or spell_midi(midi).name for midi in played]
    return (ends[0], *inside, ends[1])


ScaleByEar.__doc__ = described(
    ScaleByEar.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in KIND_CREDIT])
)
SCALE_BY_EAR: Final = ScaleByEar()
