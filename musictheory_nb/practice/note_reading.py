"""Exercise family: name a written note, or write the note that is named."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display, in_part
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.interval_comparison import side_by_side
from musictheory_nb.practice.interval_draw import keyboard
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, Option, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.practice.written_note import GivenNote, given_notes, letters, staff_row
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEPS

#: What is asked: the name of a note that is seen, or the note of a name.
ASK: Final = ("name", "note")
#: How it is answered: with a note asked for, on the staff or on piano keys; with a name asked for, by buttons, in letters
#: or on piano keys.
INPUTS: Final = ("buttons", "text", "keys", "staff")
_FITTING: Final = {"name": ("buttons", "text", "keys"), "note": ("staff", "keys")}
#: The accidentals, as semitones.
ACCIDENTALS: Final = ("natural", "sharp", "flat", "double sharp", "double flat")
_ALTER: Final = dict(zip(ACCIDENTALS, (0, 1, -1, 2, -2), strict=True))
#: How many names there are to choose from.
CHOICES: Final = 7
_STEP: Final = "note"
CREDIT: Final = (
    ("right", "the note", 1.0),
    ("octave", "the note in another octave", 0.5),
    ("letter", "the letter, with another accidental", 0.5),
    ("spelling", "the sound, by another name", 0.5),
    ("other", "any other", 0.0),
)
_SCORES: Final = {case: score for case, _, score in CREDIT}

SETTINGS: Final = (
    Setting(
        "ask",
        "name",
        "Whether a note is seen and its name asked for, or named and to be written or played.",
        ", ".join(map(repr, ASK)),
        one_of(ASK),
    ),
    Setting(
        "accidentals",
        ["natural", "sharp", "flat"],
        "Which accidentals the notes have; each comes up equally often.",
        f"a list of at least one of {', '.join(map(repr, ACCIDENTALS))}",
        several_of(ACCIDENTALS),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered. A name is given by buttons, in letters or by the piano key, a note on the staff or the piano keys; what does "
        "not fit is left out.",
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
class NoteReading:
    """Reading and writing notes, version 1.

    A note stands on or near the staff of the student's clef and is to be named, or is named, with its octave, and to be
    written. No note comes again before all of its accidental have come.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0. The octave counts on piano keys and on the staff alone, and on
    piano keys there is no spelling.
    """

    kind: str = "note-reading"
    version: int = 1
    title: str = "Notes on the staff"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        fitting = _FITTING[settings["ask"]]
        if not set(fitting) & set(settings["inputs"]):
            raise ExerciseError(
                f"inputs {list(settings['inputs'])}: to give a {settings['ask']}, write at least one of "
                f"{', '.join(map(repr, fitting))}"
            )
        if not all(_notes(register(settings), name) for name in settings["accidentals"]):
            raise ExerciseError(
                f"low {settings['low']!r} and high {settings['high']!r}: no note lies between them for each of the accidentals"
            )

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        note = _note_of(question, place)
        shown = display.pitch(note)
        written = f", {display.written_for}" if display.written_for else ""
        excerpt = _one_note(note, place.clef, settings["timbre"], display.part_shift)
        inputs = _inputs(settings, note)
        asks_name = settings["ask"] == "name"
        seen = MediaRequest("notation", excerpt, "The note")
        right = MediaRequest("notation", excerpt, f"The note {shown}", "answered", marked=(0,))
        sound = MediaRequest("sound", excerpt, "Hear the note", "answered")
        prompt = f"Look at the note{written}. What is its name?" if asks_name else f"Write or play {shown}{written}."
        clef = "treble clef, an octave lower" if place.clef == "treble-8" else f"{place.clef} clef"
        return Item(
            question.exercise,
            question.index,
            prompt,
            (seen, sound, right) if asks_name else (sound, right),
            Response((Step(_STEP, "Which note is it?" if asks_name else f"Where is {shown}?", inputs),)),
            {"note": note, "partial": settings["partial"], **display.key},
            f"In the {clef} {_place_words(note, place.clef)} is {shown}.",
            {_STEP: {each.id: _right(each.id, note, display) for each in inputs}},
            twin_text=f"In the {clef}, a note stands {_place_words(note, place.clef)}"
            f"{_accidental_words(note)}." if asks_name else "",
        )  # fmt: skip

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        case, told = _judged(item, answer)
        score = _SCORES[case] if item.key["partial"] or case == "right" else 0.0
        right = Display.of_key(item.key).pitch(item.key["note"])
        why = {
            "right": f"Right: {right}.",
            "octave": f"The right name in another octave: it is {right}.",
            "letter": f"The letter is right, the accidental is not: it is {right}.",
            "spelling": f"The same key on the piano, but written so it is {right}.",
            "other": f"Not {told}: it is {right}.",
        }[case]
        return Mark(score, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the right note and the one answered, one after the other, where the answer has an octave."""
        case, told = _judged(item, answer)
        given = _single(item, answer)
        pitch = None if given is None else given.pitch
        if case == "right" or pitch is None or not 0 <= pitch.chromatic <= 127:
            return ()
        right = Display.of_key(item.key).pitch(item.key["note"])
        part = item.media[0].excerpt.parts[0]
        rows = ((f"Right, {right}, and then your answer, {told}", (item.key["note"], pitch.name)),)
        return side_by_side(("notation", "sound"), rows, False, part)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right note, the one answered) in words; None for a right answer."""
        case, told = _judged(item, answer)
        if case == "right":
            return None
        right = Display.of_key(item.key).pitch(item.key["note"])
        return right, told if told != right else f"{told} in another octave"


@lru_cache(maxsize=256)
def _notes(place: Register, accidental: str) -> tuple[str, ...]:
    """Names of the notes of a register with an accidental, from below."""
    alter = _ALTER[accidental]
    low, high = place.low_midi // 12 - 2, place.high_midi // 12 + 1
    pitches = [Pitch.of(step, alter, octave) for octave in range(low, high + 1) for step in STEPS]
    return tuple(pitch.name for pitch in pitches if place.low_midi <= pitch.chromatic <= place.high_midi)


def _note_of(question: Question, place: Register) -> str:
    order = _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        tuple(question.settings["accidentals"]),
        place,
    )
    return order[question.index]


@lru_cache(maxsize=1024)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, kinds: tuple[str, ...], place: Register
) -> tuple[str, ...]:
    """Return the note of each item of the exercise."""
    pools = [_notes(place, kind) for kind in kinds]
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    order = order_without_repeats(draw, list(range(len(pools))), [len(pool) for pool in pools], count)
    return tuple(pools[kind][at] for kind, at in order)


@lru_cache(maxsize=4096)
def _one_note(note: str, clef: str, timbre: str, shift: tuple[int, int]) -> Excerpt:
    return in_part(Excerpt.melody((note,), (2,), clef=clef, timbre=timbre), shift)


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, note: str) -> tuple[Input, ...]:
    display, place = Display.of(settings), register(settings)
    wanted = [name for name in _FITTING[settings["ask"]] if name in settings["inputs"]]
    found: tuple[Input, ...] = ()
    if "staff" in wanted:
        found += (StaffInput(place.clef, pitches_only=True, transposition=display.written_for),)
    if "buttons" in wanted:
        names = _offered(Pitch(note), tuple(settings["accidentals"]))
        found += (ChoiceInput(tuple(Option(name, display.note(name)) for name in names)),)
    if "text" in wanted:
        found += (SymbolInput("pitches", names=display.theory_names),)
    if "keys" in wanted:
        shift = display.part_shift[0]
        found += (replace(keyboard(place.low_midi + shift, place.high_midi + shift, None), count=1),)
    return found


def _offered(note: Pitch, accidentals: tuple[str, ...]) -> tuple[str, ...]:
    """Names to choose from: the note's, its letter with other accidentals, and its neighbours on the staff."""
    alters = [_ALTER[name] for name in accidentals]
    letter = STEPS.index(note.step)
    names = [note.pitch_name.name]
    for away in (0, 1, -1, 2, -2, 3, -3):
        for alter in sorted(alters, key=lambda one: (one != note.alter, abs(one - note.alter), one)):
            name = Pitch.of(STEPS[(letter + away) % 7], alter, 4).pitch_name.name
            if name not in names and (away == 0 or alter == note.alter):
                names.append(name)
    return tuple(sorted(names[:CHOICES], key=lambda name: (STEPS.index(name[0]), len(name), name)))


def _right(id: str, note: str, display: Display) -> list[JSON]:
    """Return what an input shows as right."""
    pitch = Pitch(note)
    if id == "choice":
        return [pitch.pitch_name.name]
    if id == "keys":
        return [pitch.midi + display.part_shift[0]]
    if id == "symbol":
        return [letters([pitch.pitch_name.name], display)]
    return [staff_row((note,))]


def _single(item: Item, answer: Answer) -> GivenNote | None:
    if "choice" in answer[_STEP]:
        name = str(answer[_STEP]["choice"])
        return GivenNote(Pitch(f"{name}4").pitch_class, name, False)
    given = given_notes(answer[_STEP], Display.of_key(item.key))
    return given[0] if len(given) == 1 else None


def _judged(item: Item, answer: Answer) -> tuple[str, str]:
    """Return the case of `CREDIT`, and what was answered in words."""
    display = Display.of_key(item.key)
    given = _single(item, answer)
    if given is None:
        return "other", "one note"
    right, told = Pitch(item.key["note"]), given.shown(display)
    name = right.pitch_name.name
    same_name = given.name in ("", name)
    if given.has_octave:
        if given.chromatic == right.chromatic:
            return ("right" if same_name else "spelling"), told
        if given.pitch_class == right.pitch_class and same_name:
            return "octave", told
    elif given.name == name:
        return "right", told
    elif given.pitch_class == right.pitch_class:
        return "spelling", told
    return ("letter" if given.name[:1] == name[0] else "other"), told


# -- where a note stands, in words ---------------------------------------------------------------------------------

#: The diatonic number of the lowest line of each clef's staff.
_LOWEST_LINE: Final = {clef: Pitch(name).diatonic for clef, name in (
    ("treble", "E4"), ("bass", "G2"), ("alto", "F3"), ("tenor", "D3"), ("treble-8", "E3"),
)}  # fmt: skip
_ORDINALS: Final = ("first", "second", "third", "fourth", "fifth")


def _place_words(note: str, clef: str) -> str:
    """Return where a note stands on the staff, lines and spaces counted from below.

    Examples
    --------
    >>> _place_words("G4", "treble"), _place_words("C4", "treble"), _place_words("D4", "bass")
    ('on the second line', 'on the first ledger line below the staff', 'above the first ledger line above the staff')
    """
    at = Pitch(note).diatonic - _LOWEST_LINE[clef]
    if 0 <= at <= 8:
        return f"on the {_ORDINALS[at // 2]} line" if at % 2 == 0 else f"in the {_ORDINALS[at // 2]} space"
    above = at > 8
    beyond = at - 8 if above else -at
    side = "above" if above else "below"
    if beyond == 1:
        return f"in the space just {side} the staff"
    ledger = _ORDINALS[min(beyond // 2, 5) - 1]
    return f"{'on' if beyond % 2 == 0 else side} the {ledger} ledger line {side} the staff"


def _accidental_words(note: str) -> str:
    names = {1: "sharp", -1: "flat", 2: "double sharp", -2: "double flat"}
    alter = Pitch(note).alter
    return f", with a {names[alter]} before it" if alter else ""


NoteReading.__doc__ = described(
    NoteReading.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in CREDIT])
)
NOTE_READING: Final = NoteReading()
