"""Exercise family: write or play the notes of a Roman numeral in a key."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import (
    NoteComparison,
    compare_notes,
    lowest_given,
    moved_near,
    written_pitches,
)
from musictheory_nb.practice.numeral_pool import (
    KEYS,
    check_numerals_fit,
    numeral_case,
    numeral_excerpt,
    numeral_items_setting,
)
from musictheory_nb.practice.numeral_vocabulary import (
    FIGURES,
    levels_setting,
    numeral,
    numeral_sentence,
    numeral_shown,
)
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.setting_check import is_switch, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.written_note import NOTE_INPUTS, given_notes, letters, staff_row
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.roman_analysis import roman_of

_STEP: Final = "notes"
#: What another bass costs.
BASS_COST: Final = 0.25
CREDIT: Final = (
    ("all tones, the bass lowest, in whatever octaves and however doubled", "1"),
    ("each tone", "its share of 1"),
    ("a tone that sounds right and is spelled otherwise; in full with ``enharmonic``", "half its share"),
    ("a note of another sound", "less one share"),
    ("another tone than the bass lowest", f"less {BASS_COST}"),
)

SETTINGS: Final = (
    KEYS,
    levels_setting(("triads", "inverted triads", "sevenths"), "Which chords come up."),
    numeral_items_setting("."),
    Setting(
        "inputs",
        list(NOTE_INPUTS),
        "How it is answered: on a staff, on piano keys (where no spelling is asked), or in letters from the bass up.",
        f"a list of at least one of {', '.join(map(repr, NOTE_INPUTS))}",
        several_of(NOTE_INPUTS),
    ),
    Setting("enharmonic", False, "Whether another spelling of the same sound is right.", "True or False", is_switch),
    FIGURES,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class NumeralWriting:
    """Numeral writing, version 1.

    A Roman numeral is given in a key; the student writes its notes on a staff with the signature of the key or in letters,
    or plays them on piano keys. Each numeral comes once before any comes again, and none in the same key before it came in
    all. Notes on the staff may stand one above the other or one after the other; of letters the first is the bass.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. On piano keys there is no spelling.
    """

    kind: str = "numeral-writing"
    version: int = 1
    title: str = "Roman numerals to write or play"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_numerals_fit(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = numeral_case(question, place)
        shown, home = numeral_shown(case.figure, case.key, settings["figures"]), display.scale(case.key)
        chord = numeral_excerpt(
            case.pitches, case.key, "close", place.clef, settings["timbre"], display.part_shift, shown
        )
        inputs = _inputs(settings, place, case.key, len(case.pitches))
        right: dict[str, JSON] = {
            "staff": [staff_row(case.pitches)],
            "keys": [Pitch(name).chromatic + display.part_shift[0] for name in case.pitches],
            "symbol": [letters(numeral(case.figure, case.key).names, display)],
        }
        written = f" ({display.written_for})" if display.written_for else ""
        return Item(
            question.exercise,
            question.index,
            f"Write or play {shown} in {home}{written}.",
            (
                MediaRequest("sound", chord, f"Hear {shown}", "answered"),
                MediaRequest("notation", chord, f"{shown} in {home}", "answered"),
            ),
            Response((Step(_STEP, f"Which notes make {shown} in {home}?", inputs),)),
            {
                "key": case.key,
                "figure": case.figure,
                "pitches": case.pitches,
                "clef": place.clef,
                "timbre": settings["timbre"],
                "figures": settings["figures"],
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            numeral_sentence(case.figure, case.key, display, settings["figures"]),
            {_STEP: {entry.id: right[entry.id] for entry in inputs}},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        shown = numeral_shown(item.key["figure"], item.key["key"], item.key["figures"])
        asked = numeral(item.key["figure"], item.key["key"])
        if found.score == 1.0:
            other = ", spelled otherwise than the key has it" if found.notes.misspelled else ""
            return Mark(1.0, f"Right: the notes of {shown}{other}.")
        told = found.notes.told(display, shown)
        if not found.is_bass_right and asked.bass.name not in found.notes.missing:
            told.append(f"{display.note(asked.bass.name)} must be the lowest note.")
        if made := _numeral_made(item, answer):
            told.append(f"These notes make {numeral_shown(made, item.key['key'], item.key['figures'])}.")
        told.append(f"From the bass up it is {listed([display.note(name) for name in asked.names])}.")
        return Mark(found.score, " ".join(told))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and what was answered, heard and seen; where they sound alike, only seen."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        given = given_notes(answer[_STEP], display)
        if found.score == 1.0 or not given:
            return ()
        pitches = written_pitches(given, item.key["pitches"][0])
        pitches = tuple(sorted(dict.fromkeys(pitches), key=lambda name: Pitch(name).chromatic))
        if not pitches:
            return ()
        key, figures, made = item.key["key"], item.key["figures"], _numeral_made(item, answer)
        shown = numeral_shown(item.key["figure"], key, figures)
        theirs = numeral_shown(made, key, figures) if made else ""
        rows = (
            (f"Right: {shown}", shown, moved_near(item.key["pitches"], pitches[0])),
            (f"Your answer: {theirs}" if theirs else "Your answer", theirs, pitches),
        )
        alike = not found.notes.foreign and not found.notes.missing and found.is_bass_right
        look = "close", item.key["clef"], item.key["timbre"], display.part_shift
        return tuple(
            MediaRequest(kind, numeral_excerpt(notes, key, *look, text), label, "answered")
            for kind in (("notation",) if alike else ("sound", "notation"))
            for label, text, notes in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the numeral, the one that the notes make); None for a full score."""
        found = _judged(item, answer)
        if found.score == 1.0:
            return None
        key, figure = item.key["key"], item.key["figure"]
        made = _numeral_made(item, answer)
        told = numeral_shown(made, key) if made else "other notes"
        right = numeral_shown(figure, key)
        if not found.notes.foreign and not found.notes.missing:
            return right, "spelled otherwise" if found.is_bass_right else "another bass"
        return right, told if told != right else "other notes"


@dataclass(frozen=True, slots=True)
class _Judged:
    """The notes of an answer against those of the numeral, whether the bass is lowest, the score."""

    notes: NoteComparison
    is_bass_right: bool
    score: float


def _judged(item: Item, answer: Answer) -> _Judged:
    key = item.key
    given = given_notes(answer[_STEP], Display.of_key(key))
    asked = numeral(key["figure"], key["key"])
    notes = compare_notes(asked.names, given)
    is_bass_right = bool(given) and lowest_given(given).pitch_class == asked.bass.pitch_class
    if is_bass_right and notes.is_right(key["enharmonic"]):
        return _Judged(notes, True, 1.0)
    score = max(0.0, notes.share(key["enharmonic"]) - (0.0 if is_bass_right else BASS_COST))
    return _Judged(notes, is_bass_right, score if key["partial"] else 0.0)


def _numeral_made(item: Item, answer: Answer) -> str:
    """Return the numeral of the notes that were answered, where they are spelled and make another one; else empty."""
    given = given_notes(answer[_STEP], Display.of_key(item.key))
    names = tuple(note.name for note in (lowest_given(given), *given)) if given else ()
    made = _numeral_of(tuple(dict.fromkeys(names)), item.key["key"]) if all(names) else ""
    return made if made != item.key["figure"] else ""


@lru_cache(maxsize=4096)
def _numeral_of(names: tuple[str, ...], key: str) -> str:
    if len(names) < 3:
        return ""
    try:
        roman = roman_of(names, key)
        return roman.figure if set(roman.names) == set(names) and roman.inversion is not None else ""
    except (TheoryError, KeyError):
        return ""


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, place: Register, key: str, tones: int) -> tuple[Input, ...]:
    display = Display.of(settings)
    found: tuple[Input, ...] = ()
    if "staff" in settings["inputs"]:
        found += (
            StaffInput(
                place.clef,
                key_named(key).fifths,
                pitches_only=True,
                chords=True,
                transposition=display.written_for,
            ),
        )
    if "keys" in settings["inputs"]:
        low, high = (midi + display.part_shift[0] for midi in (place.low_midi, place.high_midi))
        found += (KeysInput(low // 12 * 12, high // 12 * 12 + 11, tones),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("pitches", names=display.theory_names),)
    return found


NumeralWriting.__doc__ = described(NumeralWriting.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
NUMERAL_WRITING: Final = NumeralWriting()
