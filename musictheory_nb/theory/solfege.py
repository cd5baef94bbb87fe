"""Solfège syllables, movable and fixed.

Movable do names degrees. Raised degrees take -i (di ri fi si li), lowered ones -e (me se le te), the lowered second
ra. With do-based minor the tonic is do in every mode; with la-based minor (and modes) syllables are those of the
relative major key, so that a minor tonic is la. Fixed do names letters: C is do in every key; in its chromatic form
accidentals change the syllable as in movable do.
Source: the syllables of North-American ear-training courses (common practice, no source).
"""

from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.major_scale import MAJOR_SEMITONES
from musictheory_nb.theory.pitch_grammar import ACCIDENTALS, STEP_INDEX
from musictheory_nb.theory.pitch_name import PitchName

#: The systems of syllables, with what each does.
SOLFEGE_SYSTEMS: Final = MappingProxyType(
    {
        "do": "movable do; the tonic is do in every mode (do-based minor, default)",
        "la": "movable do of the relative major; a minor tonic is la (la-based minor)",
        "fixed": "C is do in every key; accidentals are not sung",
        "fixed chromatic": "C is do in every key; accidentals change the syllable",
    }
)

#: Syllables of the degrees 1-7 of a major scale by alteration.
SYLLABLES: Final = MappingProxyType(
    {
        0: ("do", "re", "mi", "fa", "sol", "la", "ti"),
        1: ("di", "ri", "", "fi", "si", "li", ""),
        -1: ("", "ra", "me", "", "se", "le", "te"),
    }
)
#: Other spellings of syllables that are read.
_ALSO: Final = MappingProxyType(
    {"so": "sol", "ray": "re", "rey": "re", "doh": "do", "soh": "sol", "lah": "la", "fah": "fa"}
)


def check_solfege_system(system: str) -> None:
    """Raise `PitchError` unless `system` is one of `SOLFEGE_SYSTEMS`.

    Examples
    --------
    >>> check_solfege_system("la")
    >>> check_solfege_system("so")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: system 'so': must be one of 'do', 'la', 'fixed', 'fixed chromatic'
    """
    if not isinstance(system, str) or system not in SOLFEGE_SYSTEMS:
        raise PitchError(f"system {system!r}: must be one of {', '.join(map(repr, SOLFEGE_SYSTEMS))}")


def syllable(degree: int, alter: int) -> str:
    """Syllable of a degree 1-7 of a major scale, altered by semitones.

    Raises
    ------
    PitchError
        No syllable is in use, as for a raised third or a degree altered twice.

    Examples
    --------
    >>> syllable(1, 0), syllable(4, 1), syllable(2, -1), syllable(7, -1)
    ('do', 'fi', 'ra', 'te')
    >>> syllable(3, 1)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: degree '#3': has no syllable of its own; it sounds as fa
    """
    found = SYLLABLES[alter][degree - 1] if alter in SYLLABLES else ""
    if not found:
        sounding = MAJOR_SEMITONES[degree - 1] + alter
        heard = "do di re ri mi fa fi sol si la li ti".split()[sounding % 12]  # noqa: SIM905 - a row of twelve
        signs = ("#" if alter > 0 else "b") * abs(alter)
        raise PitchError(f"degree '{signs}{degree}': has no syllable of its own; it sounds as {heard}")
    return found


def read_syllable(text: str) -> tuple[int, int]:
    """Degree 1-7 of a major scale and its alteration in semitones, of a movable-do syllable.

    Raises
    ------
    PitchError
        No such syllable.

    Examples
    --------
    >>> read_syllable("me"), read_syllable("fi"), read_syllable("so")
    ((3, -1), (4, 1), (5, 0))
    >>> read_syllable("zi")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: syllable 'zi': must be one of do, re, mi, fa, sol, la, ti, di, ri, fi, si, li, \
ra, me, se, le, te
    """
    if not isinstance(text, str):
        raise PitchError(f"syllable {text!r}: write it as text, such as 'sol'")
    plain = text.strip().lower()
    plain = _ALSO.get(plain, plain)
    for alter, row in SYLLABLES.items():
        if plain and plain in row:
            return row.index(plain) + 1, alter
    known = ", ".join(name for row in SYLLABLES.values() for name in row if name)
    raise PitchError(f"syllable {text!r}: must be one of {known}")


def fixed_syllable(note: PitchName, *, chromatic: bool = False) -> str:
    """Fixed-do syllable of a note; with `chromatic`, accidentals change it.

    Raises
    ------
    PitchError
        `chromatic`, and the note has no syllable of its own (E#, Cb, double accidentals).

    Examples
    --------
    >>> fixed_syllable(PitchName("F#")), fixed_syllable(PitchName("F#"), chromatic=True)
    ('fa', 'fi')
    >>> fixed_syllable(PitchName("Cb"), chromatic=True)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: note 'Cb': has no chromatic fixed-do syllable
    """
    degree = STEP_INDEX[note.step] + 1
    if not chromatic:
        return syllable(degree, 0)
    found = SYLLABLES[note.alter][degree - 1] if note.alter in SYLLABLES else ""
    if not found:
        raise PitchError(f"note '{note.step}{ACCIDENTALS[note.alter]}': has no chromatic fixed-do syllable")
    return found
