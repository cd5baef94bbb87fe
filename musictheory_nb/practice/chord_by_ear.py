"""Exercise family: name the quality, and the inversion, of a chord that is heard."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_answer import chord_compare, chord_confusion, chord_key, chord_mark
from musictheory_nb.practice.chord_marking import (
    CREDIT,
    inversion_options,
    quality_options,
    readings_by_ear,
    right_values,
)
from musictheory_nb.practice.chord_pool import (
    ITEMS,
    check_chords_fit,
    chord_case,
    chord_excerpt,
    inversions_asked,
    qualities_asked,
)
from musictheory_nb.practice.chord_vocabulary import (
    PLAYED,
    SEVENTHS,
    TRIADS,
    VOICINGS,
    chord_sentence,
    chord_shown,
    degrees_of,
    inversions_setting,
    qualities_setting,
)
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_draw import keyboard
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, Response, Step
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.pitch import Pitch

#: What may be asked; the root cannot be named by ear.
ASK: Final = ("quality", "inversion")
#: How the quality may be answered.
INPUTS: Final = ("buttons", "keys")

SETTINGS: Final = (
    qualities_setting(
        (*TRIADS, *SEVENTHS[:3]), "The qualities that are asked for; they are the answers to choose from."
    ),
    inversions_setting("The inversions in which chords are played."),
    ITEMS,
    Setting(
        "ask",
        ["quality"],
        "What is asked: the quality, the inversion, or both in two steps.",
        "['quality'], ['inversion'] or ['quality', 'inversion']",
        several_of(ASK),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How the quality is answered: by name, or by playing the chord on piano keys, its bass note given; keys are "
        "offered where all the chords have as many tones.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    Setting(
        "played",
        "both",
        "How the chord is played: at once, note by note from the bass up, or first so and then so.",
        ", ".join(map(repr, PLAYED)),
        one_of(PLAYED),
    ),
    Setting(
        "voicing",
        "close",
        "How the tones lie: as near together as can be, or the second from the bass an octave higher.",
        ", ".join(map(repr, VOICINGS)),
        one_of(VOICINGS),
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
class ChordByEar:
    """Chord by ear, version 1.

    A chord is played on a root drawn by chance; the student names its quality, its inversion, or both. Each quality in
    each inversion comes once before any comes again. Where chords sound alike (a sixth chord and the first inversion
    of a minor seventh, say) each of the names is right.

    Settings::

    {settings}

    Marking: where quality and inversion are asked, the quality makes up five sevenths of the score. In each step:

    {credit}

    On piano keys: the share of the tones that were played, in whatever octave, less as much for each wrong one.
    With ``partial`` False, whatever is below 1 in all counts 0.
    """

    kind: str = "chord-by-ear"
    version: int = 1
    title: str = "Chords by ear"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_chords_fit(settings, register(settings))
        check_steps(settings, by_keys="keys" in settings["inputs"] and _same_size(settings))
        if "quality" in settings["ask"] and settings["inputs"] == ["keys"] and not _same_size(settings):
            raise ExerciseError(
                "inputs ['keys']: the chords have different numbers of tones, so that their number would tell; offer "
                "'buttons', or ask triads and seventh chords apart"
            )

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = chord_case(question, place)
        readings = readings_by_ear(case.quality, case.inversion, qualities_asked(settings), inversions_asked(settings))
        look = place.clef, settings["timbre"], display.part_shift
        heard, seen = (chord_excerpt(case.pitches, how, *look) for how in (settings["played"], "together"))
        shift = display.part_shift[0]
        midi = tuple(Pitch(name).midi + shift for name in case.pitches)
        steps = _steps(settings, midi[0], len(midi))
        right: dict[str, JSON] = {"keys": list(midi[1:])}
        shown = chord_shown(case.root, case.quality, case.inversion, display.names)
        told = chord_sentence(case.root, case.quality, case.inversion, display)
        if len(readings) > 1:
            told += " By ear alone it cannot be told from other names that are right, too."
        return Item(
            question.exercise,
            question.index,
            "Listen to the chord. " + _QUESTIONS[tuple(step for step in ASK if step in settings["ask"])],
            (
                MediaRequest("sound", heard, "Hear the chord"),
                MediaRequest("notation", seen, f"The chord {shown}", "answered", marked=(0,)),
            ),
            Response(steps),
            chord_key(case, readings, settings, display),
            told,
            {
                step.id: {
                    entry.id: right["keys"] if entry.id == "keys" else right_values(readings, step.id)
                    for entry in step.inputs
                }
                for step in steps
            },
            (MediaRequest("notation", seen, "The chord"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        return chord_mark(item, answer)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and the one answered, to be heard one after the other."""
        return chord_compare(item, answer, ("sound",), "both")

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right quality or inversion, the one answered); None for a full score."""
        return chord_confusion(item, answer)


_QUESTIONS: Final = {
    ("quality",): "What is its quality?",
    ("inversion",): "In which inversion is it?",
    ("quality", "inversion"): "What is its quality, and in which inversion is it?",
}


def check_steps(settings: CompleteSettings, by_keys: bool = False) -> None:
    """Raise unless there is something to choose in every step.

    Raises
    ------
    ExerciseError
        There is not.
    """
    if "quality" in settings["ask"] and len(qualities_asked(settings)) < 2 and not by_keys:
        raise ExerciseError(
            f"qualities {settings['qualities']}: give at least two, so that there is something to choose"
        )
    if "inversion" in settings["ask"] and len(inversions_asked(settings)) < 2:
        raise ExerciseError(
            f"inversions {settings['inversions']}: give at least two, or do not ask for the inversion, as ask ['quality']"
        )


@lru_cache(maxsize=256)
def _same_size(settings: CompleteSettings) -> bool:
    return len({len(degrees_of(quality)) for quality in qualities_asked(settings)}) == 1


@lru_cache(maxsize=4096)
def _steps(settings: CompleteSettings, bass: int, tones: int) -> tuple[Step, ...]:
    found = []
    for step in ASK:
        if step not in settings["ask"]:
            continue
        if step == "inversion":
            options = inversion_options(inversions_asked(settings))
            found.append(Step(step, "Which inversion is it?", (ChoiceInput(options),)))
            continue
        inputs: tuple[Input, ...] = ()
        qualities = qualities_asked(settings)
        if "buttons" in settings["inputs"] and len(qualities) > 1:
            inputs += (ChoiceInput(quality_options(qualities)),)
        label = "Which quality is it?"
        if "keys" in settings["inputs"] and _same_size(settings):
            board = keyboard(bass, bass + 24, bass)
            inputs += (KeysInput(board.low, board.high, tones - 1, (bass,)),)
            how = "play the other notes above the bass note"
            label += f" Choose its name, or {how}." if len(inputs) > 1 else f" {how.capitalize()}."
        found.append(Step(step, label, inputs))
    return tuple(found)


ChordByEar.__doc__ = described(ChordByEar.__doc__, SETTINGS, credit=credit_table(("step", "answer", "score"), CREDIT))
CHORD_BY_EAR: Final = ChordByEar()
