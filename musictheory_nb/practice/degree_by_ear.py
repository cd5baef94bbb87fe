"""Exercise family: name the degree that a note is in a key that is heard."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import listed, sentence
from musictheory_nb.practice.degree_pool import check_degrees, degree_case
from musictheory_nb.practice.degree_vocabulary import (
    ANSWERED,
    ASKED,
    degree_class,
    degree_label,
    degree_note,
    degree_words,
)
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, Option, Response, Step
from musictheory_nb.practice.setting_check import several_of, whole_number
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.practice.tonal_frame import FRAME, FRAME_WORDS, asked_notes, framed
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi
from musictheory_nb.theory.voice_leading import nearest_pitch

#: How a degree may be answered.
INPUTS: Final = ("buttons", "keys")
#: Most notes of one item.
MOST_NOTES: Final = 8
_KEYS: Final = "keys"
#: Semitones away, what the answer is, score.
CREDIT: Final = (
    (0, "the degree, in whatever octave", 1.0),
    (1, "a degree a half step away", 0.5),
    (2, "a degree a whole step away", 0.25),
    (3, "any other degree", 0.0),
)
_SCORES: Final = {away: score for away, _, score in CREDIT}
_NTH: Final = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")

SETTINGS: Final = (
    keys_setting(MAJOR_KEYS, "The keys that come up."),
    ASKED,
    FRAME,
    Setting(
        "notes",
        1,
        "How many notes there are in an item, one after the other.",
        f"a whole number from 1 to {MOST_NOTES}",
        whole_number(1, MOST_NOTES),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by buttons with the degrees, or on piano keys, the tonic being shown.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    ANSWERED,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class DegreeByEar:
    """Degree by ear, version 1.

    A cadence, the tonic chord or a drone sets a key; then a note is heard, or several. The student tells which degree of
    the key each is. Each degree comes first once before any comes so again.

    Settings::

    {settings}

    Marking: the mean over the notes of

    {credit}

    With ``partial`` False, a note that is not right counts 0.
    """

    kind: str = "degree-by-ear"
    version: int = 1
    title: str = "Scale degrees by ear"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        if len(settings["asked"]) < 2:
            raise ExerciseError(f"asked {settings['asked']}: give at least two, so that there is something to choose")
        check_degrees(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = degree_case(question, place)
        music = framed(case.key, case.pitches, settings["frame"], place.clef, settings["timbre"], display.part_shift)
        steps = _steps(settings, case.key)
        many = len(case.degrees) > 1
        notes = f"the {_COUNTED[len(case.degrees)]} notes" if many else "the note"
        frame = FRAME_WORDS[settings["frame"]]
        heard = (
            f"Listen to {notes} over {frame}."
            if settings["frame"] == "drone"
            else f"Listen to {frame}, then to {notes}."
        )
        told = f" The key is {display.scale(case.key)}." if display.degrees == "notes" else ""
        ask = "Which degrees of the key are they?" if many else "Which degree of the key is it?"
        solution: dict[str, dict[str, JSON]] = {}
        tonic = _tonic_midi(case.key, display)
        for step, degree in zip(steps, case.degrees, strict=True):
            right: dict[str, JSON] = {"choice": [degree], _KEYS: [tonic + degree_class(case.key, degree)]}
            solution[step.id] = {entry.id: right[entry.id] for entry in step.inputs}
        shown = listed([degree_label(case.key, degree, display) for degree in case.degrees])
        return Item(
            question.exercise,
            question.index,
            f"{heard}{told} {ask}",
            (
                MediaRequest("sound", music, f"Hear {frame} and {notes}"),
                MediaRequest(
                    "notation", music, f"In {display.scale(case.key)}: {shown}", "answered", marked=asked_notes(music)
                ),
            ),
            Response(steps),
            {
                "key": case.key,
                "degrees": case.degrees,
                "pitches": case.pitches,
                "asked": settings["asked"],
                "frame": settings["frame"],
                "partial": settings["partial"],
                **display.key,
            },
            "\n".join(f"{degree_words(case.key, one, display)}." for one in dict.fromkeys(case.degrees)),
            solution,
            (MediaRequest("notation", music, f"{sentence(frame).rstrip('.')} and {notes}"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        key, display = item.key["key"], Display.of_key(item.key)
        given = _given(item, answer)
        scores, why = [], []
        for at, (degree, midi) in enumerate(zip(item.key["degrees"], given, strict=True)):
            away = _away(degree_class(key, degree), midi)
            scores.append(_SCORES[away] if item.key["partial"] or not away else 0.0)
            if away:
                note = "" if len(given) == 1 else f"{_NTH[at].capitalize()} note: "
                near = {1: ", a half step away", 2: ", a whole step away"}.get(away, "")
                told = f"not {_label(item, midi, display)}, but {degree_label(key, degree, display)}{near}."
                why.append(note + told if note else sentence(told))
        right = listed([degree_label(key, degree, display) for degree in item.key["degrees"]])
        return Mark(sum(scores) / len(scores), " ".join(why) or f"Right: {right}.")

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the notes and those answered, to be heard one after the other in the key."""
        key, display, given = item.key["key"], Display.of_key(item.key), _given(item, answer)
        if all(degree_class(key, degree) == midi for degree, midi in zip(item.key["degrees"], given, strict=True)):
            return ()
        pitches = tuple(_pitch_of(item, midi, own) for midi, own in zip(given, item.key["pitches"], strict=True))
        part = item.media[0].excerpt.parts[0]
        look = item.key["frame"], part.clef, part.timbre, display.part_shift
        right = listed([degree_label(key, degree, display) for degree in item.key["degrees"]])
        told = listed([_label(item, midi, display) for midi in given])
        rows = ((f"Right: {right}", tuple(item.key["pitches"])), (f"Your answer: {told}", pitches))
        return tuple(MediaRequest("sound", framed(key, notes, *look), label, "answered") for label, notes in rows)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right degrees, those answered); None where all are right."""
        key, display, given = item.key["key"], Display.of_key(item.key), _given(item, answer)
        wrong = [
            (degree_label(key, degree, display), _label(item, midi, display))
            for degree, midi in zip(item.key["degrees"], given, strict=True)
            if degree_class(key, degree) != midi
        ]
        return (wrong[0][0], wrong[0][1]) if wrong else None


_COUNTED: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def _away(right: int, given: int) -> int:
    """Return how many semitones the nearest octave of `given` lies from `right`, 3 for more than 2."""
    away = (right - given) % 12
    return min(away, 12 - away, 3)


@lru_cache(maxsize=512)
def _tonic_midi(key: str, display: Display) -> int:
    """Return the tonic as a piano key, near the middle of the piano."""
    return nearest_pitch(key_named(key).tonic, "C4").chromatic + display.part_shift[0] % 12


@lru_cache(maxsize=2048)
def _steps(settings: CompleteSettings, key: str) -> tuple[Step, ...]:
    display = Display.of(settings)
    tonic = _tonic_midi(key, display)
    inputs: tuple[Input, ...] = ()
    if "buttons" in settings["inputs"]:
        in_order = sorted(settings["asked"], key=lambda degree: degree_class(key, degree))
        inputs += (ChoiceInput(tuple(Option(one, degree_label(key, one, display)) for one in in_order)),)
    if _KEYS in settings["inputs"]:
        inputs += (KeysInput(tonic // 12 * 12, tonic // 12 * 12 + 23, 1, (tonic,)),)
    count = settings["notes"]
    if count == 1:
        return (Step("degree", "Which degree is it?", inputs),)
    return tuple(Step(f"degree-{at + 1}", f"Which degree is the {_NTH[at]} note?", inputs) for at in range(count))


def _given(item: Item, answer: Answer) -> list[int]:
    """Return how many semitones each answer lies above the tonic."""
    key = item.key["key"]
    tonic = _tonic_midi(key, Display.of_key(item.key))
    found = []
    for step in item.response.steps:
        ((used, value),) = answer[step.id].items()
        found.append((value[0] - tonic) % 12 if used == _KEYS else degree_class(key, value))
    return found


def _asked_as(item: Item, midi: int) -> str:
    """Return the degree that was to be chosen which lies so many semitones above the tonic; empty if none does."""
    return next((one for one in item.key["asked"] if degree_class(item.key["key"], one) == midi), "")


def _label(item: Item, midi: int, display: Display) -> str:
    """Return an answer as shown; a piano key that is none of the degrees asked for by its note."""
    key = item.key["key"]
    if degree := _asked_as(item, midi):
        return degree_label(key, degree, display)
    return display.note(spell_midi(key_named(key).tonic.pitch_class + 60 + midi).pitch_name.name)


def _pitch_of(item: Item, midi: int, near: str) -> str:
    """Return the pitch of an answer that lies nearest to the note asked for."""
    key = item.key["key"]
    if degree := _asked_as(item, midi):
        name = degree_note(key, degree)
    else:
        name = spell_midi(key_named(key).tonic.pitch_class + 60 + midi).pitch_name.name
    pitch = nearest_pitch(name, near)
    return pitch.name if 0 <= pitch.chromatic <= 127 else Pitch(near).name


DegreeByEar.__doc__ = described(
    DegreeByEar.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in CREDIT])
)
DEGREE_BY_EAR: Final = DegreeByEar()
