"""Exercise family: write or play the notes of a chord symbol."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_pool import OWN_CHORDS, ChordCase, check_chords_fit, chord_case, chord_excerpt
from musictheory_nb.practice.chord_vocabulary import (
    INVERSION_NAMES,
    QUALITY_NAMES,
    SEVENTHS,
    TRIADS,
    chord_of,
    chord_sentence,
    chord_shown,
    inversions_setting,
    qualities_setting,
    tone_names,
)
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, ENHARMONIC, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import (
    NoteComparison,
    compare_notes,
    lowest_given,
    moved_near,
    written_pitches,
)
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.setting_check import is_switch
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.written_note import GivenNote, given_notes, letters, note_inputs_setting, staff_row
from musictheory_nb.theory.chord_naming import name_chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

_STEP: Final = "notes"
#: What another bass costs.
BASS_COST: Final = 0.25
CREDIT: Final = (
    ("all tones, the bass lowest, in whatever octaves and however doubled", "1"),
    ("each tone but the root", "its share of 1"),
    ("a tone that sounds right and is spelled otherwise; in full with ``enharmonic``", "half its share"),
    ("a note of another sound, or the root left out", "less one share"),
    ("another tone than the bass lowest", f"less {BASS_COST}"),
)

SETTINGS: Final = (
    qualities_setting((*TRIADS, *SEVENTHS), "The qualities that are asked for."),
    inversions_setting("The inversions that are asked for; the bass stands behind a slash."),
    OWN_CHORDS,
    note_inputs_setting("in letters from the bass up"),
    ENHARMONIC,
    Setting(
        "leave_out",
        True,
        "Whether tones of a ninth, eleventh or thirteenth chord may be missing that players may leave out, one of those "
        "above the seventh being there.",
        "True or False",
        is_switch,
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
class ChordSpelling:
    """Chord spelling, version 1.

    A chord symbol is given; the student writes its notes on a staff or in letters, or plays them on piano keys. Each
    quality in each inversion comes once before any comes again, and no root comes again before all of that quality
    have come. Notes on the staff may stand one above the other or one after the other; of letters the first is the bass.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. On piano keys there is no spelling.
    """

    kind: str = "chord-spelling"
    version: int = 1
    title: str = "Chords to write or play"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_chords_fit(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = chord_case(question, place, each_root_once=True)
        shown = chord_shown(case.root, case.quality, case.inversion, display.names)
        written = f" ({display.written_for})" if display.written_for else ""
        chord = chord_excerpt(case.pitches, "together", place.clef, settings["timbre"], display.part_shift)
        inputs = _inputs(settings, place, len(case.pitches))
        names = [Pitch(name).pitch_name.name for name in case.pitches]
        right: dict[str, JSON] = {
            "staff": [staff_row(case.pitches)],
            "keys": [Pitch(name).midi + display.part_shift[0] for name in case.pitches],
            "symbol": [letters(names, display)],
        }
        return Item(
            question.exercise,
            question.index,
            f"Write or play the chord {shown}{written}.",
            (
                MediaRequest("sound", chord, f"Hear {shown}", "answered"),
                MediaRequest("notation", chord, f"The chord {shown}", "answered", marked=(0,)),
            ),
            Response((Step(_STEP, _question(settings, case, shown), inputs),)),
            {
                "root": case.root,
                "quality": case.quality,
                "inversion": case.inversion,
                "pitches": case.pitches,
                "clef": place.clef,
                "timbre": settings["timbre"],
                "enharmonic": settings["enharmonic"],
                "leave_out": settings["leave_out"],
                "partial": settings["partial"],
                **display.key,
            },
            _explained(case, settings["leave_out"], display),
            {_STEP: {entry.id: right[entry.id] for entry in inputs}},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        shown = _shown(item, display)
        names = listed([display.note(Pitch(name).pitch_name.name) for name in item.key["pitches"]])
        if found.score == 1.0:
            other = ", spelled otherwise than the symbol has it" if found.notes.misspelled else ""
            return Mark(1.0, f"Right: the notes of {shown}{other}.")
        told = found.notes.told(display, shown)
        bass = Pitch(item.key["pitches"][0]).pitch_name.name
        if not found.is_bass_right and bass not in found.notes.missing:
            told.append(f"{display.note(bass)} must be the lowest note.")
        return Mark(found.score, " ".join([*told, f"From the bass up it is {names}."]))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and what was answered, heard and seen; where they sound alike, only seen."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0 or found.is_empty:
            return ()
        given = given_notes(answer[_STEP], display)
        pitches = written_pitches(given, item.key["pitches"][0])
        pitches = tuple(sorted(dict.fromkeys(pitches), key=lambda name: Pitch(name).chromatic))
        if not pitches:
            return ()
        right = moved_near(item.key["pitches"], pitches[0])
        alike = not found.notes.foreign and not found.notes.missing and found.is_bass_right
        rows = ((f"Right: {_shown(item, display)}", right), ("Your answer", pitches))
        look = item.key["clef"], item.key["timbre"], display.part_shift
        return tuple(
            MediaRequest(kind, chord_excerpt(notes, "together", *look), label, "answered")
            for kind in (("notation",) if alike else ("sound", "notation"))
            for label, notes in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right quality and inversion, what the notes make) in words; None for a full score."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0:
            return None
        quality, inversion = QUALITY_NAMES[item.key["quality"]], item.key["inversion"]
        right = f"{quality}, {INVERSION_NAMES[inversion]}" if inversion else quality
        if not found.notes.foreign and not found.notes.missing:
            return right, "spelled otherwise" if found.is_bass_right else "another bass"
        told = _words(given_notes(answer[_STEP], display))
        return right, told if told not in (right, quality) else "other notes"


@dataclass(frozen=True, slots=True)
class _Judged:
    """The notes of an answer against those of the chord, whether the bass is lowest, the score."""

    notes: NoteComparison
    is_bass_right: bool
    is_empty: bool
    score: float


def _judged(item: Item, answer: Answer) -> _Judged:
    key = item.key
    given = given_notes(answer[_STEP], Display.of_key(key))
    names = tone_names(key["root"], key["quality"])
    may_miss, tensions = _may_miss(key["root"], key["quality"], tuple(key["pitches"]), key["leave_out"])
    classes = {note.pitch_class for note in given}
    if tensions and not any(PitchName(name).pitch_class in classes for name in tensions):
        may_miss = tuple(name for name in may_miss if name not in tensions)
    notes = compare_notes(names, given, may_miss)
    bass = Pitch(key["pitches"][0]).pitch_class
    is_bass_right = bool(given) and lowest_given(given).pitch_class == bass
    score = 1.0
    if not is_bass_right or not notes.is_right(key["enharmonic"]):
        score = max(0.0, notes.score(key["enharmonic"]) - (0.0 if is_bass_right else BASS_COST))
        score = score if key["partial"] else 0.0
    return _Judged(notes, is_bass_right, not given, score)


@lru_cache(maxsize=4096)
def _may_miss(
    root: str, quality: str, pitches: tuple[str, ...], leave_out: bool
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the names of the tones that may be missing, and of those above the seventh of which one must be there.

    Without `leave_out` only what nobody plays may be missing: the eleventh of a thirteenth chord.
    """
    tones = chord_of(root, quality).tones
    played = {Pitch(name).pitch_name.name for name in pitches}
    if not leave_out:
        return tuple(tone.name for tone in tones if tone.name not in played), ()
    may_miss = tuple(tone.name for tone in tones if tone.optional or tone.name not in played)
    return may_miss, tuple(tone.name for tone in tones if tone.degree.lstrip("b#") in ("9", "11", "13"))


@lru_cache(maxsize=4096)
def _explained(case: ChordCase, leave_out: bool, display: Display) -> str:
    told = chord_sentence(case.root, case.quality, case.inversion, display)
    may_miss = [display.note(name) for name in _may_miss(case.root, case.quality, case.pitches, leave_out)[0]]
    return f"{told} Players may leave out {listed(may_miss)}." if may_miss else told


def _shown(item: Item, display: Display) -> str:
    return chord_shown(item.key["root"], item.key["quality"], item.key["inversion"], display.names)


@lru_cache(maxsize=4096)
def _question(settings: CompleteSettings, case: ChordCase, shown: str) -> str:
    label = f"Which notes make {shown}?"
    if settings["leave_out"] and _may_miss(case.root, case.quality, case.pitches, True)[0]:
        label += " Tones that players may leave out may be missing."
    return label


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, place: Register, tones: int) -> tuple[Input, ...]:
    display = Display.of(settings)
    found: tuple[Input, ...] = ()
    if "staff" in settings["inputs"]:
        found += (StaffInput(place.clef, pitches_only=True, chords=True, transposition=display.written_for),)
    if "keys" in settings["inputs"]:
        low, high = (midi + display.part_shift[0] for midi in (place.low_midi, place.high_midi))
        found += (KeysInput(low // 12 * 12, high // 12 * 12 + 11, tones),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("pitches", names=display.theory_names),)
    return found


def _words(given: Sequence[GivenNote]) -> str:
    """Return the quality that notes make; ``'other notes'`` where they have no name."""
    notes = [note.pitch or note.name for note in given]
    if len({note.pitch_class for note in given}) < 3 or len({note.has_octave for note in given}) > 1:
        return "other notes"
    try:
        first = next((one for one in name_chord(notes) if not one.missing and not one.extra), None)
    except TheoryError:
        return "other notes"
    words = "" if first is None else first.chord.words
    return words if words in QUALITY_NAMES.values() else "other notes"


ChordSpelling.__doc__ = described(ChordSpelling.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
CHORD_SPELLING: Final = ChordSpelling()
