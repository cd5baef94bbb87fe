"""Degrees of a key as exercises ask for them: numbers, syllables of movable do, or the names of the notes."""

from functools import lru_cache
from typing import Final

from musictheory_nb.errors import PitchError
from musictheory_nb.practice.display_settings import DEGREE_NAMES, Display
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_degree import display_degree

#: Degrees that may be asked for, of the scale of the key: 3 is the minor third in minor, #7 its leading tone.
DEGREES_ASKED: Final = (
    "1", "#1", "b2", "2", "#2", "b3", "3", "4", "#4", "b5", "5", "#5", "b6", "6", "#6", "b7", "7", "#7",
)  # fmt: skip
SCALE_DEGREES: Final = ("1", "2", "3", "4", "5", "6", "7")
#: How a degree is answered: as the shared setting has it, or by the name of its note in a key that is told.
ANSWER_NAMES: Final = (*DEGREE_NAMES, "notes")

ASKED: Final = Setting(
    "asked",
    list(SCALE_DEGREES),
    "The degrees that are asked for, counted in the scale of the key: in minor 3 is the minor third, 7 a whole step below "
    "the tonic and #7 the leading tone.",
    f"a list of different degrees from {', '.join(DEGREES_ASKED)}",
    several_of(DEGREES_ASKED),
)
ANSWERED: Final = Setting(
    "degrees",
    "numbers",
    "How degrees are named: by numbers, by the syllables of movable do, the tonic of a minor key being do or la, or by the "
    "names of the notes in a key that is told (with names 'fixed-do', the syllables of fixed do).",
    ", ".join(map(repr, ANSWER_NAMES)),
    one_of(ANSWER_NAMES),
)


@lru_cache(maxsize=4096)
def degree_note(key: str, degree: str) -> str:
    """Return the note of a degree, without octave.

    Examples
    --------
    >>> degree_note("A minor", "7"), degree_note("A minor", "#7"), degree_note("C major", "b6")
    ('G', 'G#', 'Ab')
    """
    return key_named(key).note(degree).name


@lru_cache(maxsize=4096)
def degree_class(key: str, degree: str) -> int:
    """Return how many semitones a degree lies above the tonic, 0 to 11.

    Examples
    --------
    >>> degree_class("A minor", "3"), degree_class("C major", "3")
    (3, 4)
    """
    tonic = key_named(key).tonic.pitch_class
    return (PitchName(degree_note(key, degree)).pitch_class - tonic) % 12


@lru_cache(maxsize=8192)
def degree_label(key: str, degree: str, display: Display) -> str:
    """Return a degree as it is answered.

    Raises
    ------
    PitchError
        There is no syllable for it.

    Examples
    --------
    >>> [degree_label("A minor", "#7", Display(degrees=one)) for one in ("numbers", "do", "la", "notes")]
    ['♯7', 'ti', 'si', 'G♯']
    """
    note = degree_note(key, degree)
    if display.degrees == "notes":
        return display.note(note)
    return display.degree(key, note, display_degree(degree))


@lru_cache(maxsize=8192)
def degree_words(key: str, degree: str, display: Display) -> str:
    """Return what a degree is in its key, without a full stop.

    Examples
    --------
    >>> degree_words("C major", "5", Display())
    'G is 5 of C major, the dominant, a perfect fifth above the tonic'
    >>> degree_words("A minor", "#7", Display(degrees="la"))
    'G♯ is ♯7 of A minor (si), the leading tone, a major seventh above the tonic'
    >>> degree_words("C major", "1", Display())
    'C is 1 of C major, the tonic'
    """
    home, note = key_named(key), degree_note(key, degree)
    told = f"{display.note(note)} is {display_degree(degree)} of {display.scale(home.name)}"
    if display.degrees in ("do", "la"):
        told += f" ({degree_label(key, degree, display)})"
    try:
        told += f", the {home.degree_name(note)}"
    except PitchError:
        told += ", which is not in its scale"
    if note == home.tonic.name:
        return told
    name = Interval.between(home.tonic, PitchName(note)).name
    return f"{told}, {'an' if name[0] in 'aeio' else 'a'} {name} above the tonic"
