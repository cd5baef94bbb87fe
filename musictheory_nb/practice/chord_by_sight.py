"""Exercise family: name the root, the quality and the inversion of a chord that is seen."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_answer import chord_compare, chord_confusion, chord_key, chord_mark
from musictheory_nb.practice.chord_by_ear import check_steps
from musictheory_nb.practice.chord_marking import (
    CREDIT,
    STEPS,
    inversion_options,
    quality_options,
    readings_by_sight,
    right_values,
)
from musictheory_nb.practice.chord_pool import (
    ITEMS,
    check_chords_fit,
    chord_case,
    chord_excerpt,
    inversions_asked,
    notes_read_aloud,
    qualities_asked,
)
from musictheory_nb.practice.chord_vocabulary import (
    SEVENTHS,
    TRIADS,
    VOICINGS,
    chord_sentence,
    chord_shown,
    inversions_setting,
    qualities_setting,
)
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.response import Answer, ChoiceInput, Option, Response, Step
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.pitch import Pitch

#: What may be asked.
ASK: Final = tuple(STEPS)
_LABELS: Final = (
    ("root", "What is its root?"),
    ("quality", "Which quality is it?"),
    ("inversion", "Which inversion is it?"),
)

SETTINGS: Final = (
    qualities_setting((*TRIADS, *SEVENTHS), "The qualities that are asked for; they are the answers to choose from."),
    inversions_setting("The inversions in which chords are written."),
    ITEMS,
    Setting(
        "ask",
        ["root", "quality"],
        "What is asked, a step each. The root is chosen from the notes of the chord.",
        f"a list of at least one of {', '.join(map(repr, ASK))}",
        several_of(ASK),
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
_ROOT_CREDIT: Final = (("root", "the root itself", 1.0),)


@dataclass(frozen=True)
class ChordBySight:
    """Chord by sight, version 1.

    A chord is written in the student's clef, near the staff; the student names its root, quality and inversion, as
    asked. Each quality in each inversion comes once before any comes again. Where the same notes over the same bass
    have two names (C6 and Am7/C), each is right.

    Settings::

    {settings}

    Marking: the root makes up 0.3, the quality 0.5 and the inversion 0.2 of the score; where fewer are asked, these
    shares are scaled to 1. In each step:

    {credit}

    With ``partial`` False, whatever is below 1 in all counts 0.
    """

    kind: str = "chord-by-sight"
    version: int = 1
    title: str = "Chords by sight"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_chords_fit(settings, register(settings))
        check_steps(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = chord_case(question, place)
        readings = readings_by_sight(
            case.root, case.quality, case.inversion, qualities_asked(settings), inversions_asked(settings)
        )
        chord = chord_excerpt(case.pitches, "together", place.clef, settings["timbre"], display.part_shift)
        shown = chord_shown(case.root, case.quality, case.inversion, display.names)
        steps = _steps(settings, case.pitches)
        told = chord_sentence(case.root, case.quality, case.inversion, display)
        if others := [chord_shown(one.root, one.quality, one.inversion, display.names) for one in readings[1:]]:
            told += f" {' and '.join(others)} would be right, too."
        written = f", {display.written_for}" if display.written_for else ""
        return Item(
            question.exercise,
            question.index,
            f"Look at the chord{written}. What is it?",
            (
                MediaRequest("notation", chord, "The chord"),
                MediaRequest("sound", chord, "Hear the chord", "answered"),
                MediaRequest("notation", chord, f"The chord {shown}", "answered", marked=(0,)),
            ),
            Response(steps),
            chord_key(case, readings, settings, display),
            told,
            {step.id: {"choice": right_values(readings, step.id)} for step in steps},
            twin_text=notes_read_aloud([display.pitch(name) for name in case.pitches]),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        return chord_mark(item, answer)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and the one answered, heard and seen side by side."""
        return chord_compare(item, answer, ("sound", "notation"), "together")

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what was right, what was answered) of the first step that is wrong; None for a full score."""
        return chord_confusion(item, answer)


@lru_cache(maxsize=8192)
def _steps(settings: CompleteSettings, pitches: tuple[str, ...]) -> tuple[Step, ...]:
    display = Display.of(settings)
    names = [Pitch(name).pitch_name.name for name in pitches]
    options = {
        "root": tuple(Option(name, display.note(name)) for name in names),
        "quality": quality_options(qualities_asked(settings)),
        "inversion": inversion_options(inversions_asked(settings)),
    }
    return tuple(Step(step, label, (ChoiceInput(options[step]),)) for step, label in _LABELS if step in settings["ask"])


ChordBySight.__doc__ = described(
    ChordBySight.__doc__, SETTINGS, credit=credit_table(("step", "answer", "score"), (*_ROOT_CREDIT, *CREDIT))
)
CHORD_BY_SIGHT: Final = ChordBySight()
