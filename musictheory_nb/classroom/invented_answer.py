"""Answers as students might give them: right ones, from what an item shows as right, and wrong ones that lie near."""

from collections.abc import Callable, Mapping
from itertools import product
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import AnswerError, ClassroomError
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.measures_input import MeasuresInput
from musictheory_nb.practice.number_input import NumberInput
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, KeysInput, SectionsInput
from musictheory_nb.practice.rhythm_input import RhythmInput
from musictheory_nb.practice.roles_input import RolesInput
from musictheory_nb.practice.staff_input import StaffInput
from musictheory_nb.practice.sung_input import SungInput
from musictheory_nb.practice.symbol_input import SymbolInput
from musictheory_nb.practice.text_input import TextInput

#: Wrong answers that are tried before one is settled for, and steps by which a wrong value may lie off.
_TRIES: Final = 48
_NEAR: Final = (-1, 1, -2, 2)
#: Milliseconds by which a wrong tap comes early or late.
_TAP_MS: Final = (-400, -250, 250, 400)
_LETTERS: Final = "CDEFGAB"
#: What somebody may write where a symbol is asked, by what the input reads; what it does not take is passed over.
_SYMBOLS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "chord": ("C", "Dm7", "G7", "F#m7b5", "Bbmaj7", "Edim", "Do", "Rem7", "Sol7"),
        "numeral": ("I", "ii", "IV", "V7", "vi"),
        "figures": ("6", "6 4", "7", "6 5"),
        "scale": ("C major", "D Dorian", "A harmonic minor", "F Lydian", "Do major", "Re Dorian"),
        "pitches": ("C E G", "D F A", "G B D F", "Do Mi Sol", "Re Fa La"),
        "interval": ("m3", "M3", "P4", "A4", "P5", "m6"),
        "chords": ("C", "Dm7", "G7", "Dm7 G7", "C Am7", "Fmaj7 G7/B"),
        "numerals": ("I", "ii6", "V7", "ii7 V7", "I vi", "IV V65"),
    }
)
#: What is written where a teacher marks it.
_OWN_WORDS: Final = "The theme returns in the home key, so I hear the form as rounded."


def _right_values(entry: Input, shown: JSON) -> list[JSON]:
    """Values of one input that may be right, from what the item shows as right after the answer."""
    if isinstance(entry, SymbolInput | NumberInput | TextInput) or (isinstance(entry, ChoiceInput) and not entry.many):
        return list(shown)
    return [list(shown)]


def right_answer(exercise: Exercise, item: Item) -> Answer:
    """Return an answer that earns the full score, from what the item shows as right; words where a teacher marks them.

    Raises
    ------
    ClassroomError
        The item shows none.
    """
    steps = []
    for step in item.response.steps:
        shown = item.solution.get(step.id, {})
        found = [{e.id: value} for e in step.inputs if e.id in shown for value in _right_values(e, shown[e.id])]
        steps.append(found or [{e.id: _OWN_WORDS[: e.most]} for e in step.inputs if isinstance(e, TextInput)])
    ids = [step.id for step in item.response.steps]
    for values in product(*steps):
        answer = dict(zip(ids, values, strict=True))
        mark = exercise.mark(item, answer)
        if mark.score == 1.0 or mark.awaits_teacher:
            return answer
    raise ClassroomError(f"{exercise.id} item {item.index + 1}: what it shows as right does not earn the full score")


def _wrong_choice(entry: ChoiceInput, right: JSON, draw: Draw) -> JSON:
    values = [option.value for option in entry.options]
    if not entry.many:
        return values[(values.index(right) + draw.choice(_NEAR)) % len(values)]
    others = [value for value in values if value not in right]
    gone = draw.choice(right)
    chosen = {*right, draw.choice(others)} - {gone} if others else {gone}
    return [value for value in values if value in chosen]


def _wrong_keys(entry: KeysInput, right: JSON, draw: Draw) -> JSON:
    return [min(entry.high, max(entry.low, midi + draw.choice(_NEAR))) for midi in right]


def _wrong_sections(entry: SectionsInput, right: JSON, draw: Draw) -> JSON:
    starts = {0: right[0][1]}
    for start, label in right[1:]:
        starts.setdefault(min(len(entry.measures) - 1, max(1, start + draw.choice((-4, 0, 0, 4, 8)))), label)
    return [[start, label] for start, label in sorted(starts.items())]


def _other_letter(pitch: str, draw: Draw) -> str:
    """The pitch a step up or down; its accidental stays."""
    place = _LETTERS.index(pitch[0]) + draw.choice((-1, 1))
    octave = int(pitch.lstrip(_LETTERS).lstrip("#b")) + place // len(_LETTERS)
    accidental = pitch[1:].rstrip("-0123456789")
    return f"{_LETTERS[place % len(_LETTERS)]}{accidental}{octave}"


def _wrong_staff(entry: StaffInput, right: JSON, draw: Draw) -> JSON:
    """One note a step off, or two neighbours that change their lengths, or the last note or rest forgotten."""
    rows = [list(row) for row in right]
    sounding = [at for at, row in enumerate(rows) if row[0]]
    way = draw.integer(3)
    if way == 0 and sounding:
        at = draw.choice(sounding)
        pitches = list(rows[at][0])
        which = draw.integer(len(pitches))
        pitches[which] = _other_letter(pitches[which], draw)
        rows[at][0] = pitches
    elif way == 1 and len(rows) > 1:
        at = draw.integer(len(rows) - 1)
        rows[at][1], rows[at + 1][1] = rows[at + 1][1], rows[at][1]
    elif len(rows) > 1:
        rows.pop()
    return rows


def _wrong_taps(entry: RhythmInput, right: JSON, draw: Draw) -> JSON:
    at = draw.integer(len(right))
    return sorted({*right[:at], right[at] + draw.choice(_TAP_MS), *right[at + 1 :]})


def _wrong_places(entry: FingerboardInput, right: JSON, draw: Draw) -> JSON:
    return [[string, min(entry.frets, max(0, fret + draw.choice(_NEAR)))] for string, fret in right]


def _wrong_symbol(entry: SymbolInput, right: JSON, draw: Draw) -> JSON:
    return draw.choice(_SYMBOLS[entry.reads])


def _wrong_roles(entry: RolesInput, right: JSON, draw: Draw) -> JSON:
    at = draw.integer(len(right))
    others = [option.value for option in entry.roles if option.value != right[at]]
    return [*right[:at], draw.choice(others), *right[at + 1 :]]


def _wrong_measures(entry: MeasuresInput, right: JSON, draw: Draw) -> JSON:
    last = len(entry.measures) - 1
    if draw.integer(4) == 0:
        return [[0, last]]  # somewhere in it
    if len(right) == 1 and draw.integer(2) == 0:
        return [[at, at] for at in (draw.integer(last + 1),)]
    return [[min(last, max(0, place + off)) for place in span] for span in right for off in (draw.choice(_NEAR),)]


def _wrong_number(entry: NumberInput, right: JSON, draw: Draw) -> JSON:
    return min(entry.high, max(entry.low, right + draw.choice(_NEAR)))


def _wrong_text(entry: TextInput, right: JSON, draw: Draw) -> JSON:
    return "I do not know."[: entry.most]


def _wrong_sung(entry: SungInput, right: JSON, draw: Draw) -> JSON:
    return [note + draw.choice(_NEAR) for note in right]


#: Class of input -> a value near the right one, as somebody might take one thing for another.
_WRONG: Final[Mapping[type, Callable[[Any, JSON, Draw], JSON]]] = MappingProxyType(
    {
        ChoiceInput: _wrong_choice,
        KeysInput: _wrong_keys,
        SectionsInput: _wrong_sections,
        StaffInput: _wrong_staff,
        RhythmInput: _wrong_taps,
        FingerboardInput: _wrong_places,
        SymbolInput: _wrong_symbol,
        RolesInput: _wrong_roles,
        MeasuresInput: _wrong_measures,
        NumberInput: _wrong_number,
        TextInput: _wrong_text,
        SungInput: _wrong_sung,
    }
)


def wrong_value(entry: Input, right: JSON, draw: Draw) -> JSON:
    """Return a value near the right one; by chance it may be right, or one that the input does not take."""
    return _WRONG[type(entry)](entry, thawed(right), draw)


def wrong_answer(exercise: Exercise, item: Item, right: Answer, draw: Draw) -> Answer:
    """Return an answer near the right one that does not earn the full score; the right one where none is found."""
    for _ in range(_TRIES):
        step = draw.choice(item.response.steps)
        ((name, value),) = right[step.id].items()
        entry = next(entry for entry in step.inputs if entry.id == name)
        try:
            answer = item.response.check({**right, step.id: {name: wrong_value(entry, value, draw)}})
        except AnswerError:
            continue
        if exercise.mark(item, answer).score < 1.0:
            return answer
    return right
