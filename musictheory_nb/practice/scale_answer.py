"""What an answer that names a scale is worth, by ear or by sight, and what is heard and seen beside it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.response import Answer
from musictheory_nb.practice.scale_pool import scale_excerpt
from musictheory_nb.practice.scale_vocabulary import (
    is_kind,
    kind_shown,
    scale_line,
    scale_on,
    semitones_in,
    shown_scale,
)
from musictheory_nb.practice.symbol_reading import read_scale
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_catalogue import scale_type

#: The step of every family that names a scale.
STEP: Final = "scale"
#: Inputs that name the tonic, too: letters, and buttons with whole scales.
BUTTONS_WITH_TONIC: Final = "scales"
_WHOLE: Final = ("symbol", BUTTONS_WITH_TONIC)
#: Case, what the answer is, score.
KIND_CREDIT: Final = (
    ("right", "the scale itself, by any of its names", 1.0),
    ("one", "a scale on the same tonic that differs in one note", 0.5),
    ("two", "a scale on the same tonic that differs in two notes", 0.25),
    ("other", "any other scale", 0.0),
)
#: Where the tonic is named, too.
TONIC_CREDIT: Final = (
    KIND_CREDIT[0],
    ("notes", "the same notes from another tonic (C major for D Dorian)", 0.5),
    ("spelling", "the same sound, the tonic spelled otherwise", 0.5),
    *KIND_CREDIT[1:],
)
_SCORES: Final = MappingProxyType({case: score for case, _, score in TONIC_CREDIT})


@lru_cache(maxsize=8192)
def kind_case(right: str, given: str, direction: str) -> str:
    """Return the case of `KIND_CREDIT` of two kinds that are heard, or seen, on the same tonic.

    Examples
    --------
    >>> [kind_case("Dorian", one, "up") for one in ("Dorian", "natural minor", "major", "Phrygian", "Lydian")]
    ['right', 'one', 'two', 'two', 'other']
    >>> kind_case("melodic minor", "natural minor", "down"), kind_case("Ionian", "major", "up")
    ('right', 'right')
    """
    lines = [semitones_in(kind, direction) for kind in (right, given)]
    if lines[0] == lines[1]:
        return "right"
    one, other = ({semitone % 12 for semitone in line} for line in lines)
    apart = max(len(one - other), len(other - one), 1)
    return {1: "one", 2: "two"}.get(apart, "other")


def alike_kinds(kind: str, kinds: Sequence[str], direction: str) -> tuple[str, ...]:
    """Return the kinds that cannot be told from `kind` on the same tonic, itself first.

    Examples
    --------
    >>> alike_kinds("melodic minor", ("natural minor", "melodic minor"), "down")
    ('melodic minor', 'natural minor')
    """
    return (kind, *(one for one in kinds if one != kind and kind_case(kind, one, direction) == "right"))


@lru_cache(maxsize=256)
def kind_options(kinds: tuple[str, ...]) -> tuple[Option, ...]:
    """Return the buttons of kinds of scale."""
    return tuple(Option(kind, kind_shown(kind)) for kind in kinds)


@dataclass(frozen=True, slots=True)
class JudgedScale:
    """The scale that was answered: tonic, kind, case of `TONIC_CREDIT`, score; no kind where notes were played."""

    tonic: str
    kind: str
    case: str
    score: float


def judge_scale(item: Item, answer: Answer) -> JudgedScale:
    """Return a named scale against that of the item; a button names the kind alone, or a whole scale.

    A key may hold ``also``: kinds on the same tonic that are right, too.
    """
    key = item.key
    ((used, value),) = answer[STEP].items()
    tonic, kind = key["tonic"], value
    if used in _WHOLE:
        scale = read_scale(value, Display.of_key(key).theory_names)
        tonic, kind = scale.tonic.name, scale.called if is_kind(scale.called) else scale.type.name
        if not is_kind(kind) or scale_type(kind) != scale.type:  # a mode that the catalogue has no name for
            return JudgedScale(tonic, "", "other", 0.0)
    case = _case(key["tonic"], key["kind"], tonic, kind, key["direction"])
    if tonic == key["tonic"] and any(kind_case(one, kind, key["direction"]) == "right" for one in key.get("also", ())):
        case = "right"
    score = _SCORES[case] if key["partial"] or case == "right" else 0.0
    return JudgedScale(tonic, kind, case, score)


@lru_cache(maxsize=8192)
def _case(tonic: str, kind: str, given_tonic: str, given: str, direction: str) -> str:
    case = kind_case(kind, given, direction)
    if tonic == given_tonic:
        return case
    own, other = PitchName(tonic).pitch_class, PitchName(given_tonic).pitch_class
    if own == other:
        return "spelling" if case == "right" else "other"
    shift = (other - own) % 12
    notes = {semitone % 12 for semitone in semitones_in(kind, direction)}
    same = {(semitone + shift) % 12 for semitone in semitones_in(given, direction)} == notes
    return "notes" if same else "other"


def _given_words(item: Item, answer: Answer, judged: JudgedScale, display: Display) -> str:
    ((used, value),) = answer[STEP].items()
    if used not in _WHOLE:
        return kind_shown(judged.kind)
    scale = read_scale(value, display.theory_names)
    return f"{display.note(scale.tonic.name)} {kind_shown(scale.called)}"


def scale_mark(item: Item, answer: Answer) -> Mark:
    """Return the mark of a named scale, and why."""
    judged, display = judge_scale(item, answer), Display.of_key(item.key)
    right, told = shown_scale(item.key["tonic"], item.key["kind"], display), _given_words(item, answer, judged, display)
    why = {
        "right": f"Right: {right}.",
        "notes": f"{told} has the same notes, but the tonic is {display.note(item.key['tonic'])}: {right}.",
        "spelling": f"The sound is right, but spelled so it is {right}.",
        "one": f"Almost: {told} differs in one note; it is {right}.",
        "two": f"{told[:1].upper()}{told[1:]} differs in two notes; it is {right}.",
        "other": f"Not {told}, but {right}.",
    }[judged.case]
    if judged.case == "right" and judged.kind != item.key["kind"]:
        why = f"Right: {told}, which cannot be told from {right} here."
    return Mark(judged.score, why)


def scale_compare(
    item: Item, answer: Answer, kinds: tuple[str, ...], *, as_it_sounds: bool = False
) -> tuple[MediaRequest, ...]:
    """Return the scale and the one answered, to be heard and seen one after the other.

    They stand in the student's part, as the question does, or as they sound.
    """
    judged, display = judge_scale(item, answer), Display.of_key(item.key)
    if judged.score == 1.0 or not judged.kind:
        return ()
    key, own = item.key, tuple(item.key["pitches"])
    low = min(Pitch(name).octave for name in own)
    try:
        line = scale_line(judged.tonic, judged.kind, low, key["direction"])
    except TheoryError:
        return ()
    if not all(0 <= Pitch(name).chromatic <= 127 for name in line):
        return ()
    part = item.media[0].excerpt.parts[0]
    look = part.clef, part.timbre, (0, 0) if as_it_sounds else (part.chromatic, part.diatonic)
    rows = (
        (f"Right: {shown_scale(key['tonic'], key['kind'], display)}", own),
        (f"Your answer: {shown_scale(judged.tonic, judged.kind, display)}", line),
    )
    if judged.case == "spelling":
        kinds = ("notation",)
    return tuple(
        MediaRequest(kind, scale_excerpt(notes, *look), label, "answered") for kind in kinds for label, notes in rows
    )


def scale_confusion(item: Item, answer: Answer) -> tuple[str, str] | None:
    """Return (the right kind, the kind answered), or the scales with their tonics where these differ."""
    judged, display = judge_scale(item, answer), Display.of_key(item.key)
    if judged.score == 1.0:
        return None
    right, told = kind_shown(item.key["kind"]), _given_words(item, answer, judged, display)
    if judged.kind and judged.tonic == item.key["tonic"]:
        return right, kind_shown(judged.kind)
    return shown_scale(item.key["tonic"], item.key["kind"], display), told


def can_be_spelled(tonic: str, kind: str) -> bool:
    """Return whether a kind of scale can be spelled on a tonic.

    Examples
    --------
    >>> can_be_spelled("C", "altered"), can_be_spelled("Fbb", "Locrian bb3 bb7")
    (True, False)
    """
    try:
        scale_on(tonic, kind)
    except TheoryError:
        return False
    return True
