"""The fingerboard as a second way to every answer on piano keys, for students whose instrument has strings.

It is the same for all families: an item with piano keys gets a fingerboard beside them, and places pressed on it are marked
as the keys that sound the same. No family knows of it, and no item changes where the setting is not used.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, InstrumentError, TheoryError
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, KeysInput, Response, Step
from musictheory_nb.practice.setting import Setting

#: The strings of the instrument that the setting ``transposition`` names.
OWN: Final = "instrument"
#: So many frets are shown, unless the keys reach higher.
_USUAL_FRETS: Final = 12


@lru_cache(maxsize=256)
def _tuning(text: str) -> Tuning:
    return Tuning(text)


def _is_fingerboard(value: JSON) -> bool:
    if value in ("", OWN):
        return True
    try:
        return isinstance(value, str) and bool(_tuning(value).strings)
    except (InstrumentError, TheoryError):
        return False


FINGERBOARD: Final = Setting(
    "fingerboard",
    "",
    "A fingerboard beside the piano keys, wherever there are keys to answer on and the notes lie on its strings.",
    f"'' for none, '{OWN}' for the instrument of the setting 'transposition', a tuning such as 'bass guitar', 'ukulele' or "
    "'violin', or open strings such as 'D1 A1 D2 G2'",
    _is_fingerboard,
)


def tuning_of(settings: Mapping[str, JSON], exercise: str) -> Tuning | None:
    """Return the strings that settings name; None for no fingerboard.

    Raises
    ------
    ExerciseError
        The setting ``transposition`` names no instrument with strings.

    Examples
    --------
    >>> tuning_of({"fingerboard": "instrument", "transposition": "viola"}, "one")
    <Tuning viola: C3 G3 D4 A4>
    >>> tuning_of({}, "one") is None
    True
    >>> tuning_of({"fingerboard": "instrument", "transposition": "clarinet"}, "one")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: exercise 'one': fingerboard 'instrument': transposition 'clarinet' names no instrument with strings; write a tuning, such as 'bass guitar'
    """
    text = settings.get(FINGERBOARD.name, FINGERBOARD.default)
    if not text:
        return None
    if text != OWN:
        return _tuning(text)
    name = settings.get("transposition", "")
    try:
        return _tuning(Instrument(name).tuning_name)
    except (InstrumentError, TheoryError):
        raise ExerciseError(
            f"exercise {exercise!r}: fingerboard '{OWN}': transposition {name!r} names no instrument with strings; write a "
            "tuning, such as 'bass guitar'"
        ) from None


def _lowest_place(tuning: Tuning, frets: int, midi: int) -> tuple[int, int] | None:
    """Return the place of a sounding note that is nearest the nut, as an answer writes it."""
    found = [place for place in tuning.places_of(midi) if place.fret <= frets]
    if not found:
        return None
    place = min(found, key=lambda one: (max(one.fret, 0), one.string))
    index = len(tuning.strings) - place.string
    return index, place.fret - tuning.nuts[index]


def _frets(tuning: Tuning, highest_midi: int) -> int:
    top = max(pitch.chromatic for pitch in tuning.strings)
    return min(tuning.frets, max(_USUAL_FRETS, highest_midi - top))


@lru_cache(maxsize=4096)
def _board(keys: KeysInput, tuning: Tuning) -> FingerboardInput | None:
    """Return the fingerboard for piano keys; None where a note that is given does not lie on it."""
    frets = _frets(tuning, keys.high)
    given = [_lowest_place(tuning, frets, midi) for midi in keys.given]
    return (
        None
        if None in given
        else FingerboardInput(
            tuple(pitch.name for pitch in tuning.strings),
            frets,
            tuning.fretted,
            keys.count,
            tuple(place for place in given if place is not None),
            nuts=tuning.nuts if any(tuning.nuts) else (),
        )
    )


@lru_cache(maxsize=4096)
def _places(board: FingerboardInput, tuning: Tuning, midi: tuple[int, ...]) -> tuple[tuple[int, int], ...] | None:
    found = [_lowest_place(tuning, board.frets, number) for number in midi]
    return None if None in found else tuple(place for place in found if place is not None)


def with_fingerboard(item: Item, tuning: Tuning | None) -> Item:
    """Return an item with a fingerboard beside the piano keys of each step whose right notes lie on it.

    Examples
    --------
    >>> asked = Response((Step("note", "Which note?", (KeysInput(48, 59),)),))
    >>> item = Item("one", 0, "Play C.", (), asked, {}, "C.", {"note": {"keys": [48]}})
    >>> shown = with_fingerboard(item, Tuning("bass guitar"))
    >>> [entry.id for entry in shown.response.steps[0].inputs], shown.solution["note"]["fingerboard"]
    (['keys', 'fingerboard'], [[3, 5]])
    """
    if tuning is None:
        return item
    steps, solution = [], dict(item.solution)
    for step in item.response.steps:
        keys = next((entry for entry in step.inputs if isinstance(entry, KeysInput)), None)
        right = item.solution.get(step.id, {})
        board = None if keys is None else _board(keys, tuning)
        places = None if keys is None or board is None else _places(board, tuning, tuple(right.get(keys.id, ())))
        if board is not None and places is not None:
            at = step.inputs.index(keys) + 1
            step = Step(step.id, step.label, (*step.inputs[:at], board, *step.inputs[at:]))
            if places:
                solution[step.id] = {**right, board.id: [list(place) for place in places]}
        steps.append(step)
    return replace(item, response=Response(tuple(steps)), solution=solution)


def as_keys(item: Item, answer: Answer) -> Answer:
    """Return a checked answer with places of a fingerboard as the piano keys that sound the same.

    Examples
    --------
    >>> asked = Response((Step("note", "Which note?", (KeysInput(48, 59), FingerboardInput(("E1", "A1", "D2", "G2")))),))
    >>> as_keys(Item("one", 0, "Play C.", (), asked, {}, "C."), {"note": {"fingerboard": [[3, 5]]}})
    {'note': {'keys': [48]}}
    """
    told: dict[str, Mapping[str, JSON]] = {}
    for step in item.response.steps:
        ((used, value),) = answer[step.id].items()
        board = next((one for one in step.inputs if isinstance(one, FingerboardInput) and one.id == used), None)
        keys = next((one for one in step.inputs if isinstance(one, KeysInput)), None)
        if board is not None and keys is not None:
            told[step.id] = {keys.id: [board.midi(place) for place in value]}
    return {**answer, **told} if told else answer
