"""Exercise family: play, write or sing back a short pattern in a key that is heard."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, Slip, SlipCosts, align, line_notes
from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.degree_pattern import (
    ENDS_HOME,
    LENGTH,
    START,
    WIDEST,
    check_patterns,
    in_other_key,
    other_key,
    pattern_of,
)
from musictheory_nb.practice.degree_pool import check_degrees
from musictheory_nb.practice.degree_vocabulary import ASKED, degree_class, degree_label, degree_words
from musictheory_nb.practice.dictation_line import align_melody
from musictheory_nb.practice.display_settings import CLEF, DEGREES, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SungInput
from musictheory_nb.practice.setting_check import several_of, whole_number
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.practice.tonal_frame import FRAME, FRAME_WORDS, asked_notes, framed
from musictheory_nb.practice.written_note import staff_row
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi
from musictheory_nb.theory.voice_leading import nearest_pitch

#: How a pattern may be answered.
INPUTS: Final = ("keys", "staff", "sung")
_DO: Final = {"keys": "play it back", "staff": "write it", "sung": "sing it"}
_STEP: Final = "pattern"
#: What a sung note costs that is the right one and out of tune.
OUT_OF_TUNE_COST: Final = 0.5
_QUARTER: Final = Fraction(1)
CREDIT: Final = (
    ("every note; played or sung, in whatever octave as a whole", "1"),
    ("a wrong note, a missing note, or one too many", "less 1/n"),
    ("a note on the staff that sounds right and is spelled otherwise", "less 1/2n"),
    ("a sung note that is off by more than ``cents``", "less 1/2n"),
    ("all of it on the staff an octave too high or too low", "less 1/n, once"),
)

SETTINGS: Final = (
    keys_setting(MAJOR_KEYS, "The keys that come up, in turn."),
    ASKED,
    FRAME,
    LENGTH,
    WIDEST,
    START,
    ENDS_HOME,
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: on piano keys, on a staff, or sung or played to the microphone.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    Setting(
        "cents",
        50,
        "How far a sung note may be off and still be in tune, in hundredths of a half step.",
        "a whole number from 10 to 50",
        whole_number(10, 50),
    ),
    DEGREES,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class DegreePlayBack:
    """Degree play-back, version 1.

    After a cadence or the tonic chord, or over a drone, a short pattern is heard in a key that is told; the student plays
    it on piano keys, writes it on a staff, or sings it. Keys come in turn; patterns go by steps and leaps within an octave.
    A student who cannot hear it sees it in another key, to be given in the key that is asked.

    Settings::

    {settings}

    Marking: the answer is aligned with the pattern so that as little as can be is wrong, so that one note left out costs
    one slip. Of n notes:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "degree-play-back"
    version: int = 1
    title: str = "Patterns in a key to play back"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_degrees(settings, register(settings))
        check_patterns(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = pattern_of(question, place)
        look = settings["frame"], place.clef, settings["timbre"], display.part_shift
        music = framed(case.key, case.pitches, *look, as_line=True)
        elsewhere = framed(other_key(case.key), in_other_key(case.pitches, case.key), *look, as_line=True)
        home, frame = display.scale(case.key), FRAME_WORDS[settings["frame"]]
        heard = f"over {frame}" if settings["frame"] == "drone" else f"after {frame}"
        notes = counted(len(case.pitches), "note")
        inputs = _inputs(settings, case.key, case.pitches)
        sounding = [Pitch(name).chromatic + display.part_shift[0] for name in case.pitches]
        right: dict[str, JSON] = {
            "keys": sounding,
            "staff": [staff_row((name,)) for name in case.pitches],
            "sung": _sung(sounding),
        }
        shown = [degree_label(case.key, degree, display) for degree in case.degrees]
        return Item(
            question.exercise,
            question.index,
            f"Listen to the pattern of {notes} {heard}. The key is {home}. "
            f"{listed([_DO[name] for name in settings['inputs']], 'or').capitalize()}.",
            (
                MediaRequest("sound", music, f"Hear {frame} and the pattern"),
                MediaRequest(
                    "notation", music, f"In {home}: {', '.join(shown)}", "answered", marked=asked_notes(music)
                ),
            ),
            Response((Step(_STEP, f"Which {notes} in {home} are they?", inputs),)),
            {
                "key": case.key,
                "degrees": case.degrees,
                "pitches": case.pitches,
                "frame": settings["frame"],
                "cents": settings["cents"],
                "partial": settings["partial"],
                **display.key,
            },
            _explained(case.key, case.degrees, case.pitches, display),
            {_STEP: {entry.id: right[entry.id] for entry in inputs}},
            (
                MediaRequest(
                    "notation", elsewhere, f"The pattern in {display.scale(other_key(case.key))}; give it in {home}"
                ),
            ),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        notes = len(item.key["pitches"])
        if not found.alignment.cost:
            return Mark(1.0, f"Right: {_in_degrees(item, display)}.")
        score = found.alignment.score(notes) if item.key["partial"] else 0.0
        told = [_slip_words(item, slip, found, display) for slip in found.alignment.slips]
        if found.octaves:
            told.append(f"All of it is written an octave too {'high' if found.octaves > 0 else 'low'}.")
        return Mark(score, " ".join([*told, f"The pattern is {_in_degrees(item, display)}."]))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the pattern and the one answered, to be heard one after the other in the key."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        pitches = tuple(name for note in found.given if (name := _nearest_name(item, note.pitch)))
        is_playable = all(0 <= Pitch(name).chromatic + display.part_shift[0] <= 127 for name in pitches)
        if not found.alignment.cost or not pitches or not is_playable:
            return ()
        part = item.media[0].excerpt.parts[0]
        look = item.key["frame"], part.clef, part.timbre, display.part_shift
        rows = (("Right", tuple(item.key["pitches"])), ("Your answer", pitches))
        return tuple(
            MediaRequest("sound", framed(item.key["key"], notes, *look, as_line=True), label, "answered")
            for label, notes in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right degree, the one answered) of the first slip; None where all is right."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if not found.alignment.cost:
            return None
        if not found.alignment.slips:
            return "in its octave", "an octave off"
        slip = found.alignment.slips[0]
        right = "nothing" if slip.right is None else _label(item, slip.right.pitch, display)
        given = "nothing" if slip.given is None else _label(item, slip.given.pitch, display)
        return right, given if given != right else f"{given}, spelled otherwise or out of tune"


@dataclass(frozen=True, slots=True)
class _Judged:
    """The answer against the pattern, its notes, and by how many octaves it is off where that counts."""

    alignment: Alignment
    given: tuple[LineNote, ...]
    octaves: int


def _sung(sounding: list[int]) -> list[JSON]:
    """Return MIDI numbers as sung: moved by octaves into the range of voices."""
    voice = SungInput(len(sounding))
    low, high = Pitch(voice.low).midi, Pitch(voice.high).midi
    off = -(-(low - min(sounding)) // 12) if min(sounding) < low else min(0, (high - max(sounding)) // 12)
    return [float(midi + 12 * off) for midi in sounding]


def _line(pitches: tuple[str, ...]) -> tuple[LineNote, ...]:
    return line_notes([(name, _QUARTER) for name in pitches])


def _judged(item: Item, answer: Answer) -> _Judged:
    ((used, value),) = answer[_STEP].items()
    right = _line(tuple(item.key["pitches"]))
    if used == "staff":
        given = _line(tuple(name for row in value for name in row[0]))
        alignment, octaves = align_melody(right, given, SlipCosts(), False)
        return _Judged(alignment, given, octaves)
    shift = Display.of_key(item.key).part_shift[0]
    sounds = [f"{note - shift:.2f}" for note in value]
    given = _line(tuple(sounds))
    differs = _sung_difference(item.key["cents"] if used == "sung" else 50)
    best = None
    mean = sum(map(_chromatic, item.key["pitches"])) / len(right) - sum(value) / len(value) + shift
    nearest = round(mean / 12)
    for octaves in (nearest, nearest - 1, nearest + 1):
        moved = tuple(replace(note, pitch=f"{float(note.pitch) + 12 * octaves:.2f}") for note in given)
        found = align(right, moved, SlipCosts(), differs)
        if best is None or found.cost < best.alignment.cost:
            best = _Judged(found, moved, 0)
        if not found.cost:
            break
    assert best is not None
    return best


@lru_cache(maxsize=4096)
def _chromatic(name: str) -> int:
    return Pitch(name).chromatic


def _sung_difference(cents: int) -> Callable[[str, str], float]:
    """Return how a written pitch is compared with a sounding one in semitones: 0 in tune, 1 another note."""

    def difference(right: str, given: str) -> float:
        off = abs(float(given) - _chromatic(right))
        if off * 100 <= cents + 1e-6:
            return 0.0
        return OUT_OF_TUNE_COST if off <= 0.5 else 1.0

    return difference


def _nearest_name(item: Item, text: str) -> str:
    """Return what was answered as a written pitch: of the degrees of the key where one sounds so."""
    if text[-1:].isdigit() and text[0] in "ABCDEFG":
        return text
    midi = math.floor(float(text) + 0.5)
    if not 0 <= midi <= 127:
        return ""
    for degree in ("1", "2", "3", "4", "5", "6", "7", *item.key["degrees"], "#7"):
        home = key_named(item.key["key"])
        if (home.tonic.pitch_class + degree_class(item.key["key"], degree)) % 12 == midi % 12:
            pitch = nearest_pitch(home.note(degree), spell_midi(midi))
            if pitch.chromatic == midi:
                return pitch.name
    return spell_midi(midi).name


def _label(item: Item, text: str, display: Display) -> str:
    """Return a note as its degree, with its name."""
    name = _nearest_name(item, text)
    if not name:
        return "a note out of reach"
    note = Pitch(name).pitch_name.name
    key = item.key["key"]
    degree = key_named(key).degree(note)
    try:
        return f"{degree_label(key, degree, display)} ({display.note(note)})"
    except ValueError:  # no syllable for it
        return display.note(note)


def _in_degrees(item: Item, display: Display) -> str:
    return ", ".join(degree_label(item.key["key"], degree, display) for degree in item.key["degrees"])


def _slip_words(item: Item, slip: Slip, found: _Judged, display: Display) -> str:
    """Return one slip as a sentence."""
    if slip.right is None:
        assert slip.given is not None
        return f"{_label(item, slip.given.pitch, display)} is one too many."
    place = int(slip.right.onset) + 1
    right = _label(item, slip.right.pitch, display)
    if slip.given is None:
        return f"Note {place}, {right}, is missing."
    if slip.kind != "spelling":
        return f"Note {place} is {right}, not {_label(item, slip.given.pitch, display)}."
    if slip.given.pitch[0] in "ABCDEFG":
        return f"Note {place} sounds right, but it is spelled {right}."
    off = float(slip.given.pitch) - _chromatic(slip.right.pitch)
    return f"Note {place}, {right}, is {abs(off) * 100:.0f} cents too {'high' if off > 0 else 'low'}."


@lru_cache(maxsize=4096)
def _explained(key: str, degrees: tuple[str, ...], pitches: tuple[str, ...], display: Display) -> str:
    shown = ", ".join(degree_label(key, degree, display) for degree in degrees)
    names = ", ".join(display.pitch(name) for name in pitches)
    told = [f"The pattern is {shown}: {names}."]
    told += [f"{degree_words(key, one, display)}." for one in dict.fromkeys(degrees)]
    return "\n".join(told)


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, key: str, pitches: tuple[str, ...]) -> tuple[Input, ...]:
    display, place = Display.of(settings), register(settings)
    shift = display.part_shift[0]
    midi = [Pitch(name).chromatic + shift for name in pitches]
    low, high = min(midi) // 12 * 12, max(midi) // 12 * 12 + 11
    tonic = nearest_pitch(key_named(key).tonic, pitches[0]).chromatic + shift
    made: dict[str, Input] = {
        "keys": KeysInput(min(low, tonic // 12 * 12), max(high, tonic // 12 * 12 + 11), len(pitches), (tonic,)),
        "staff": StaffInput(place.clef, key_named(key).fifths, pitches_only=True, transposition=display.written_for),
        "sung": SungInput(len(pitches)),
    }
    return tuple(made[name] for name in INPUTS if name in settings["inputs"])


DegreePlayBack.__doc__ = described(DegreePlayBack.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
DEGREE_PLAY_BACK: Final = DegreePlayBack()
