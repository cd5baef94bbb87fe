"""Exercise family: write or play a scale that is named."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from musictheory_nb.practice.display_settings import CLEF, ENHARMONIC, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import NoteComparison, compare_notes, written_pitches
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.scale_by_ear import telling_notes
from musictheory_nb.practice.scale_pool import check_scales_fit, items_setting, scale_case, scale_excerpt
from musictheory_nb.practice.scale_vocabulary import (
    MODES,
    TONICS,
    direction_setting,
    kind_of_semitones,
    kind_shown,
    names_in,
    scale_on,
    scale_sentence,
    scales_setting,
    shown_scale,
)
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.written_note import GivenNote, given_notes, letters, note_inputs_setting, staff_row
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_degree import degree_fifths

_STEP: Final = "notes"
#: Which way a scale is written.
DIRECTIONS: Final = ("up", "down")
_WAYS: Final = {"up": "up from", "down": "down from"}
#: What notes out of order cost.
ORDER_COST: Final = 0.25
CREDIT: Final = (
    ("all notes in order, with or without the tonic at the end", "1"),
    ("each note beside the tonic", "its share of 1"),
    ("a note that sounds right and is spelled otherwise; in full with ``enharmonic``", "half its share"),
    ("a note of another sound", "less one share"),
    ("not in order, or not within the octave", f"less {ORDER_COST}"),
)

SETTINGS: Final = (
    scales_setting("The scales that are asked for.", (*MODES, "Locrian")),
    TONICS,
    items_setting(""),
    direction_setting("Whether the scale is written up or down from its tonic.", DIRECTIONS),
    note_inputs_setting(),
    ENHARMONIC,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class ScaleSpelling:
    """Scale spelling, version 1.

    A scale is named; the student writes its notes on a staff or in letters, or plays them on piano keys, from the tonic
    given to the one an octave away. Each kind comes once before any comes again, and no tonic before all of that kind
    have come. Where a scale has several spellings that are taught (the altered scale with one letter a degree or as tones
    of its chord, a diminished scale without double accidentals), each is right.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. On piano keys there is no spelling.
    """

    kind: str = "scale-spelling"
    version: int = 1
    title: str = "Scales to write or play"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_scales_fit(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = scale_case(question, place, each_tonic_once=True)
        direction, shown = settings["direction"], shown_scale(case.tonic, case.kind, display)
        first = display.pitch(case.pitches[0])
        written = f" ({display.written_for})" if display.written_for else ""
        line = scale_excerpt(case.pitches, place.clef, settings["timbre"], display.part_shift)
        inputs = _inputs(settings, place, case.pitches)
        right: dict[str, JSON] = {
            "staff": [staff_row((name,)) for name in case.pitches[1:]],
            "keys": [Pitch(name).midi + display.part_shift[0] for name in case.pitches[1:]],
            "symbol": [letters(names_in(case.tonic, case.kind, direction), display)],
        }
        return Item(
            question.exercise,
            question.index,
            f"Write or play the scale {shown}, {_WAYS[direction]} {first}{written}.",
            (
                MediaRequest("sound", line, f"Hear {shown}", "answered"),
                MediaRequest(
                    "notation",
                    line,
                    f"The scale {shown}",
                    "answered",
                    marked=telling_notes(case.tonic, case.kind, case.pitches),
                ),
            ),
            Response((Step(_STEP, f"Which notes follow {first} in {shown}, going {direction}?", inputs),)),
            {
                "tonic": case.tonic,
                "kind": case.kind,
                "pitches": case.pitches,
                "direction": direction,
                "clef": place.clef,
                "timbre": settings["timbre"],
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            scale_sentence(case.tonic, case.kind, direction, display),
            {_STEP: {entry.id: right[entry.id] for entry in inputs}},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        shown = shown_scale(item.key["tonic"], item.key["kind"], display)
        if found.score == 1.0:
            return Mark(1.0, f"Right: {shown}.")
        told = found.notes.told(display, shown)
        if not found.in_order and not found.notes.missing:
            told.append(f"The notes must follow each other {item.key['direction']} within one octave.")
        names = " ".join(
            display.note(name) for name in names_in(item.key["tonic"], item.key["kind"], item.key["direction"])
        )
        return Mark(found.score, " ".join([*told, f"It is {names}."]))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the scale and what was answered, heard and seen; where they sound alike, only seen."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        given = given_notes(answer[_STEP], display)
        if found.score == 1.0 or not given:
            return ()
        key = item.key
        pitches = written_pitches(given, key["pitches"][0], rising=key["direction"] == "up")
        if not pitches:
            return ()
        if Pitch(pitches[0]).pitch_class != Pitch(key["pitches"][0]).pitch_class:
            pitches = (key["pitches"][0], *pitches)
        alike = found.in_order and not found.notes.foreign and not found.notes.missing
        rows = (
            (f"Right: {shown_scale(key['tonic'], key['kind'], display)}", tuple(key["pitches"])),
            ("Your answer", pitches),
        )
        look = key["clef"], key["timbre"], display.part_shift
        return tuple(
            MediaRequest(kind, scale_excerpt(notes, *look), label, "answered")
            for kind in (("notation",) if alike else ("sound", "notation"))
            for label, notes in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right kind, what the notes make) in words; None for a full score."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0:
            return None
        right = kind_shown(item.key["kind"])
        if not found.notes.foreign and not found.notes.missing:
            return right, "spelled otherwise" if found.in_order else "in another order"
        tonic = PitchName(item.key["tonic"]).pitch_class
        kind = kind_of_semitones(
            (0, *((note.pitch_class - tonic) % 12 for note in given_notes(answer[_STEP], display)))
        )
        return right, kind_shown(kind) if kind and kind_shown(kind) != right else "other notes"


@dataclass(frozen=True, slots=True)
class _Judged:
    """The notes of an answer against those of the scale, whether they are in order, the score."""

    notes: NoteComparison
    in_order: bool
    score: float


def _judged(item: Item, answer: Answer) -> _Judged:
    """Return an answer against the scale; of the spellings of a note that are taught, the one that was given."""
    key = item.key
    given = given_notes(answer[_STEP], Display.of_key(key))
    tonic = Pitch(key["pitches"][0])
    with_tonic = (GivenNote(tonic.chromatic, tonic.pitch_name.name, True), *given)
    used = {note.name for note in with_tonic}
    choices = spellings(key["tonic"], key["kind"], key["direction"])
    names = tuple(next((name for name in choice if name in used), choice[0]) for choice in choices)
    notes = compare_notes(names, with_tonic)
    in_order = _is_in_order(names, given, tonic.chromatic, key["direction"] == "up")
    score = 1.0
    if not in_order or not notes.is_right(key["enharmonic"]):
        cost = ORDER_COST if not in_order and not notes.missing else 0.0
        score = max(0.0, notes.score(key["enharmonic"]) - cost) if key["partial"] else 0.0
    return _Judged(notes, in_order, score)


def _is_in_order(names: Sequence[str], given: Sequence[GivenNote], tonic: int, rising: bool) -> bool:
    """Return whether notes go one way from the tonic, each once, and those with an octave within one octave."""
    places = {PitchName(name).pitch_class: at for at, name in enumerate(names)}
    order = [places.get(note.pitch_class, -1) for note in given]
    if order and order[0] == 0:
        order = order[1:]
    if order and order[-1] == 0:
        order[-1] = len(names)
    if any(a >= b for a, b in pairwise([0, *order])):
        return False
    heights = [note.chromatic - tonic if rising else tonic - note.chromatic for note in given if note.has_octave]
    return all(0 <= height <= 12 for height in heights) and all(a < b for a, b in pairwise(heights))


@lru_cache(maxsize=8192)
def spellings(tonic: str, kind: str, direction: str) -> tuple[tuple[str, ...], ...]:
    """Return for each note of a scale the spellings that are taught, first the one that is shown.

    Examples
    --------
    >>> spellings("C", "altered", "up")
    (('C',), ('Db',), ('Eb', 'D#'), ('Fb', 'E'), ('Gb', 'F#'), ('Ab',), ('Bb',))
    >>> spellings("D", "Dorian", "down")[:3]
    (('D',), ('C',), ('B',))
    """
    scale, shown = scale_on(tonic, kind), names_in(tonic, kind, direction)
    if direction == "down" and scale.type.descending:
        return tuple((name,) for name in shown)
    as_tones = [
        PitchName.from_fifths(scale.tonic.fifths + degree_fifths(degree)).name
        for degree in scale.type.chord_degrees or scale.degrees
    ]
    rising = [tuple(dict.fromkeys(names)) for names in zip(scale.names, scale.plain_names, as_tones, strict=True)]
    return (rising[0], *rising[:0:-1]) if direction == "down" else tuple(rising)


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, place: Register, pitches: tuple[str, ...]) -> tuple[Input, ...]:
    display = Display.of(settings)
    first = Pitch(pitches[0]).midi + display.part_shift[0]
    found: tuple[Input, ...] = ()
    if "staff" in settings["inputs"]:
        given = (((pitches[0],), "1", False),)
        found += (StaffInput(place.clef, pitches_only=True, given=given, transposition=display.written_for),)
    if "keys" in settings["inputs"]:
        ends = sorted((first, Pitch(pitches[-1]).midi + display.part_shift[0]))
        found += (KeysInput(ends[0] // 12 * 12, ends[1] // 12 * 12 + 11, len(pitches) - 1, (first,)),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("pitches", names=display.theory_names),)
    return found


ScaleSpelling.__doc__ = described(ScaleSpelling.__doc__, SETTINGS, credit=credit_table(("answer", "score"), CREDIT))
SCALE_SPELLING: Final = ScaleSpelling()
