"""Numerals in keys to read and write: drawn by rule or listed by the teacher, each once before any comes again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError, VoiceLeadingError
from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.four_part_excerpt import column, four_part_excerpt
from musictheory_nb.practice.key_setting import MAJOR_KEYS, MINOR_KEYS, key_named, keys_setting, read_key
from musictheory_nb.practice.numeral_vocabulary import numeral, numerals_of
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import one_of
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.four_part import setting_faults, write_four_parts
from musictheory_nb.theory.pitch import Pitch

#: How a chord is written.
LAYOUTS: Final = ("close", "four parts")
LAYOUT: Final = Setting(
    "layout",
    "close",
    "How the chord is written: in close position on one staff, or for soprano, alto, tenor and bass on two staves, where "
    "low, high and clef play no part.",
    ", ".join(map(repr, LAYOUTS)),
    one_of(LAYOUTS),
)
KEYS: Final = keys_setting((*MAJOR_KEYS, *MINOR_KEYS), "The keys that come up.")
_ALLOWED: Final = "a list of different texts of a key and a numeral, as ['Eb major: V65/V', 'A minor: vii°7'], or []"
#: A tenor up to E4 is easy to read on the bass staff.
_HIGH_TENOR: Final = 64


@dataclass(frozen=True, slots=True)
class NumeralCase:
    """A numeral as it is asked: its key, itself, its written pitches from low to high."""

    key: str
    figure: str
    pitches: tuple[str, ...]


@lru_cache(maxsize=1024)
def read_numeral_item(text: str) -> tuple[str, str] | None:
    """Return key and numeral of a teacher's text; None where it cannot be asked for.

    Examples
    --------
    >>> read_numeral_item("Eb major: V6/5/V"), read_numeral_item("V7"), read_numeral_item("C major: V13")
    (('Eb major', 'V65/V'), None, None)
    """
    key_text, colon, figure = text.partition(":")
    key = read_key(key_text.strip())
    if key is None or not colon:
        return None
    try:
        roman = numeral(figure.strip(), key.name)
    except TheoryError:
        return None
    fits = roman.inversion is not None and len(roman.names) <= 4 and roman.chord.degrees[0] == "1"
    if not fits or any(abs(name.alter) > 2 for name in roman.pitch_names):
        return None
    return key.name, roman.figure


def _are_items(value: JSON) -> bool:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        return False
    found = [read_numeral_item(one) for one in value]
    return None not in found and len(set(found)) == len(found)


def numeral_items_setting(meaning: str) -> Setting:
    """Return the setting of the teacher's own numerals."""
    return Setting("items", [], f"Numerals of your own, in place of those drawn by rule{meaning}", _ALLOWED, _are_items)


@lru_cache(maxsize=32768)
def close_position(figure: str, key: str, lowest: str) -> tuple[str, ...]:
    """Return a numeral in close position, its bass the first of its name from `lowest` up."""
    return tuple(pitch.name for pitch in numeral(figure, key).pitches(lowest))


@lru_cache(maxsize=8192)
def in_four_parts(figure: str, key: str) -> tuple[tuple[str, ...], ...]:
    """Return a numeral for four voices, complete and well doubled, from the bass up, with each tone in the soprano that can be.

    Examples
    --------
    >>> in_four_parts("V7", "C major")
    (('G2', 'D4', 'F4', 'B4'), ('G2', 'B3', 'D4', 'F4'))
    """
    roman = numeral(figure, key)
    found = []
    for name in roman.pitch_names:
        try:
            parts = write_four_parts([roman], key, [name])[0]
        except VoiceLeadingError:
            continue
        whole = {pitch.pitch_name for pitch in parts} == set(roman.pitch_names)
        if whole and all(fault.severity != "fault" for fault in setting_faults(parts, roman)):
            found.append(column(parts)[::-1])
    return tuple([one for one in found if Pitch(one[1]).chromatic <= _HIGH_TENOR] or found)


@lru_cache(maxsize=16384)
def _placed(figure: str, key: str, register: Register, layout: str) -> tuple[tuple[str, ...], ...]:
    if layout == "four parts":
        return ((),)  # which of them is drawn where the item is made: setting for four voices takes time
    bass = numeral(figure, key).bass
    found = []
    for octave in range(register.low_midi // 12 - 2, register.high_midi // 12 + 1):
        low = Pitch.from_name(bass, octave)
        if low.chromatic >= register.low_midi:
            pitches = close_position(figure, key, low.name)
            if Pitch(pitches[-1]).chromatic <= register.high_midi:
                found.append(pitches)
    return tuple(found)


@lru_cache(maxsize=256)
def _kinds(settings: CompleteSettings) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return each kind of question: a numeral, and the keys in which it comes up."""
    if settings["items"]:
        return tuple((item[1], (item[0],)) for text in settings["items"] if (item := read_numeral_item(text)))
    keys = [key_named(text) for text in settings["keys"]]
    found = []
    for is_minor in (False, True):
        names = tuple(key.name for key in keys if key.is_minor == is_minor)
        if names:
            found += [(figure, names) for figure in numerals_of(tuple(settings["levels"]), is_minor)]
    return tuple(found)


@lru_cache(maxsize=256)
def _pools(settings: CompleteSettings, register: Register) -> tuple[tuple[NumeralCase, ...], ...]:
    layout = settings.get("layout", "close")
    found = []
    for figure, keys in _kinds(settings):
        pool = [NumeralCase(key, figure, one) for key in keys for one in _placed(figure, key, register, layout)]
        if not pool:
            raise ExerciseError(
                f"low and high in the {register.clef} clef: {figure} of {keys[0]} does not fit between them; widen the "
                "register"
            )
        found.append(tuple(pool))
    return tuple(found)


def check_numerals_fit(settings: CompleteSettings, register: Register) -> None:
    """Raise unless every numeral that can be asked for fits into the register.

    Raises
    ------
    ExerciseError
        One does not; the message says which.
    """
    _pools(settings, register)


@lru_cache(maxsize=2048)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, settings: CompleteSettings, register: Register
) -> tuple[NumeralCase, ...]:
    pools = _pools(settings, register)
    likes = [numeral(pool[0].figure, pool[0].key).root.name for pool in pools]
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    order = order_without_repeats(draw, likes, [len(pool) for pool in pools], count)
    return tuple(pools[kind][at] for kind, at in order)


def numeral_case(question: Question, register: Register) -> NumeralCase:
    """Return the numeral of an item."""
    case = _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        question.settings,
        register,
    )[question.index]
    return case if case.pitches else replace(case, pitches=question.draw().choice(in_four_parts(case.figure, case.key)))


@lru_cache(maxsize=256)
def numerals_asked(settings: CompleteSettings, is_minor: bool) -> tuple[str, ...]:
    """Return the numerals from which answers are chosen: those of the levels, and those of the teacher's list."""
    own = [item for text in settings["items"] if (item := read_numeral_item(text))]
    mine = [figure for key, figure in own if key_named(key).is_minor == is_minor]
    return tuple(dict.fromkeys([*numerals_of(tuple(settings["levels"]), is_minor), *mine]))


@lru_cache(maxsize=8192)
def numeral_excerpt(
    pitches: tuple[str, ...],
    key: str,
    layout: str,
    clef: str,
    timbre: str,
    shift: tuple[int, int] = (0, 0),
    text: str = "",
) -> Excerpt:
    """Return a chord with the signature of its key, and what stands above it.

    Examples
    --------
    >>> one = numeral_excerpt(("B3", "D4", "G4"), "G major", "close", "treble", "struck", text="I6")
    >>> one.measures[0].fifths, one.chords[0].text
    (1, 'I6')
    """
    fifths = key_named(key).fifths
    if layout == "four parts":
        bass, tenor, alto, soprano = pitches
        chords = ((soprano, alto, tenor, bass),)
        return in_part(four_part_excerpt(chords, fifths, timbre, texts=(text,)), shift)
    return in_part(Excerpt.melody(pitches, clef=clef, fifths=fifths, timbre=timbre, together=True, chord=text), shift)


def near_pitches(figure: str, key: str, layout: str, lowest: str) -> tuple[str, ...]:
    """Return a numeral laid out like another one whose lowest note is `lowest`.

    Examples
    --------
    >>> near_pitches("IV", "C major", "close", "G4")
    ('F4', 'A4', 'C5')
    """
    if layout == "four parts":
        return in_four_parts(figure, key)[0]
    bass, near = numeral(figure, key).bass, Pitch(lowest)
    octaves: Sequence[int] = range(near.octave - 1, near.octave + 2)
    low = min(
        (Pitch.from_name(bass, octave) for octave in octaves), key=lambda one: abs(one.chromatic - near.chromatic)
    )
    return close_position(figure, key, low.name)
