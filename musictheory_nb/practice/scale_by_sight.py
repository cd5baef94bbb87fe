"""Exercise family: name the scale or mode that is seen."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, Response, Step, SymbolInput
from musictheory_nb.practice.scale_answer import (
    STEP,
    TONIC_CREDIT,
    alike_kinds,
    kind_options,
    scale_compare,
    scale_confusion,
    scale_mark,
)
from musictheory_nb.practice.scale_by_ear import check_choice, telling_notes
from musictheory_nb.practice.scale_pool import check_scales_fit, items_setting, kinds_asked, scale_case, scale_excerpt
from musictheory_nb.practice.scale_vocabulary import (
    TONICS,
    direction_setting,
    kind_shown,
    scale_on,
    scale_sentence,
    scales_setting,
    shown_scale,
)
from musictheory_nb.practice.section_evidence import signature_words
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.pitch_text import write_pitch

#: How a scale may be named: its kind by a button, or tonic and kind in letters.
INPUTS: Final = ("buttons", "text")
#: How sharps and flats are written: each at its note, or in the key signature.
ACCIDENTALS: Final = ("at the note", "in the signature")
_MOST_IN_SIGNATURE: Final = 7

SETTINGS: Final = (
    scales_setting("The scales that are asked for; they are the answers to choose from."),
    TONICS,
    items_setting("; their kinds are among the answers to choose from"),
    direction_setting("Which way the scale goes."),
    Setting(
        "accidentals",
        "at the note",
        "Where sharps and flats are written. The signature is that of the major scale with the same notes, for other "
        "scales that of the major or minor key on the tonic.",
        ", ".join(map(repr, ACCIDENTALS)),
        one_of(ACCIDENTALS),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by buttons with the kinds of scale, or by writing tonic and name, as D Dorian.",
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
class ScaleBySight:
    """Scale by sight, version 1.

    A scale is written from tonic to tonic in the student's clef, near the staff; the student names it. Each kind comes
    once before any comes again, and no tonic in the same octave before all of that kind have come. Every name that the
    trade has for a scale is read.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. A button names the kind alone, on the tonic that is seen.
    """

    kind: str = "scale-by-sight"
    version: int = 1
    title: str = "Scales by sight"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_scales_fit(settings, register(settings))
        if "buttons" in settings["inputs"]:
            check_choice(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = scale_case(question, place)
        signed = settings["accidentals"] == "in the signature"
        fifths = signature_for(case.tonic, case.kind) if signed else 0
        look = place.clef, settings["timbre"], display.part_shift
        line, heard = scale_excerpt(case.pitches, *look, fifths), scale_excerpt(case.pitches, *look)
        right = alike_kinds(case.kind, kinds_asked(settings), settings["direction"])
        inputs = _inputs(settings)
        values: dict[str, JSON] = {
            "choice": list(right),
            "symbol": [f"{write_pitch(scale_on(case.tonic, one).tonic, display.theory_names)} {one}" for one in right],
        }
        shown = shown_scale(case.tonic, case.kind, display)
        told = scale_sentence(case.tonic, case.kind, settings["direction"], display)
        if len(right) > 1:
            told += f" Written so it cannot be told from {listed([kind_shown(one) for one in right[1:]], 'or')}."
        written = f", {display.written_for}" if display.written_for else ""
        aloud = f"The notes in turn are {', '.join(display.pitch(name) for name in case.pitches)}."
        return Item(
            question.exercise,
            question.index,
            f"Look at the scale{written}. Which one is it?",
            (
                MediaRequest("notation", line, "The scale"),
                MediaRequest("sound", heard, "Hear the scale", "answered"),
                MediaRequest(
                    "notation",
                    line,
                    f"The scale {shown}",
                    "answered",
                    marked=telling_notes(case.tonic, case.kind, case.pitches),
                ),
            ),
            Response((Step(STEP, "Which scale is it?", inputs),)),
            {
                "tonic": case.tonic,
                "kind": case.kind,
                "pitches": case.pitches,
                "direction": settings["direction"],
                "partial": settings["partial"],
                **display.key,
            },
            told,
            {STEP: {entry.id: values[entry.id] for entry in inputs}},
            twin_text=f"The key signature has {signature_words(fifths)}. {aloud}" if signed else aloud,
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        return scale_mark(item, answer)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the scale and the one answered, heard and seen side by side."""
        return scale_compare(item, answer, ("sound", "notation"))

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right scale, the one answered) in words; None for a full score."""
        return scale_confusion(item, answer)


@lru_cache(maxsize=2048)
def signature_for(tonic: str, kind: str) -> int:
    """Return the sharps (flats below 0) in the signature of a scale; 0 where it has none.

    Examples
    --------
    >>> signature_for("D", "Dorian"), signature_for("G", "harmonic minor"), signature_for("E", "Lydian dominant")
    (0, -2, 4)
    """
    scale = scale_on(tonic, kind)
    if scale.family == "major":
        try:
            fifths = scale.parent.tonic.fifths
        except TheoryError:
            return 0
    else:
        fifths = scale.tonic.fifths - (0 if "3" in scale.degrees else 3)
    return fifths if abs(fifths) <= _MOST_IN_SIGNATURE else 0


@lru_cache(maxsize=256)
def _inputs(settings: CompleteSettings) -> tuple[Input, ...]:
    found: tuple[Input, ...] = ()
    if "buttons" in settings["inputs"]:
        found += (ChoiceInput(kind_options(kinds_asked(settings))),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("scale", names=Display.of(settings).theory_names),)
    return found


ScaleBySight.__doc__ = described(
    ScaleBySight.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in TONIC_CREDIT])
)
SCALE_BY_SIGHT: Final = ScaleBySight()
