r"""Figured bass: the notes that figures ask for above a bass in a key, and the figures of notes above their bass.

Conventions
-----------
A figure is a number counted in letters from the bass up, octaves aside; the key signature tells its accidental. ``#``,
``b`` and ``n`` (``♯ ♭ ♮``, before or behind the figure) make the note sharp, flat or natural; ``+`` behind it, or a stroke
(``\``), raises it a half step against the signature. An accidental alone belongs to the third. Figures that go
without saying are left out, as the table shows. Source: the abbreviations of thorough-bass practice as harmony courses
teach them (common practice, no source).
"""

import re
from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import RomanNumeralError
from musictheory_nb.theory.key_degree import signature_alter
from musictheory_nb.theory.key_mode import KEY_MODES
from musictheory_nb.theory.pitch_grammar import STEP_INDEX, STEPS
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_key import KeyGiven, RomanKey, read_roman_key

#: Figures as they are written, highest first, with all the figures that they stand for.
ABBREVIATIONS: Final = MappingProxyType(
    {
        (): (5, 3),
        (5,): (5, 3),
        (3,): (5, 3),
        (6,): (6, 3),
        (6, 4): (6, 4),
        (7,): (7, 5, 3),
        (7, 5): (7, 5, 3),
        (7, 3): (7, 5, 3),
        (6, 5): (6, 5, 3),
        (4, 3): (6, 4, 3),
        (6, 4, 3): (6, 4, 3),
        (4, 2): (6, 4, 2),
        (2,): (6, 4, 2),
        (4,): (5, 4),
        (5, 4): (5, 4),
        (5, 2): (5, 2),
        (7, 4): (7, 5, 4),
        (9,): (9, 5, 3),
        (9, 7): (9, 7, 5, 3),
        (9, 4): (9, 5, 4),
        (7, 6): (7, 6, 3),
        (9, 6): (9, 6, 3),
        (7, 2): (7, 4, 2),
        (7, 4, 2): (7, 4, 2),
    }
)
_FIGURE: Final = re.compile(r"(##|bb|[#bn])?(1[0-3]|[2-9])(\+|\\|##|bb|[#bn])?|(##|bb|[#bn])")
_SIGNS: Final = str.maketrans({"♯": "#", "♭": "b", "♮": "n", "𝄪": "##", "𝄫": "bb", "x": "##"})
_LITERAL: Final = MappingProxyType({"#": 1, "##": 2, "b": -1, "bb": -2, "n": 0})
#: Shortest form of full figures.
_SHORT: Final = MappingProxyType(
    {
        (5, 3): (),
        (6, 3): (6,),
        (6, 4): (6, 4),
        (7, 5, 3): (7,),
        (6, 5, 3): (6, 5),
        (6, 4, 3): (4, 3),
        (6, 4, 2): (4, 2),
        (5, 4): (5, 4),
        (9, 5, 3): (9,),
        (9, 7, 5, 3): (9, 7),
    }
)


def figured_notes(bass: PitchName | str, figures: str, key: KeyGiven) -> tuple[PitchName, ...]:
    """Notes that figures ask for: the bass, then the notes above it from the lowest figure up.

    Parameters
    ----------
    bass : PitchName or str
        The bass note.
    figures : str
        Such as ``""``, ``"6"``, ``"65"``, ``"6/4"``, ``"#6"``, ``"7 #"``, ``"4+ 2"``.
    key : Key or str
        The key, for its signature.

    Raises
    ------
    RomanNumeralError
        The text holds no figures.
    PitchError, KeyNameError
        The bass or the key cannot be read.

    Examples
    --------
    >>> [note.name for note in figured_notes("F#", "65", "G major")]
    ['F#', 'A', 'C', 'D']
    >>> [note.name for note in figured_notes("E", "#", "A minor")], [n.name for n in figured_notes("F", "#6", "A minor")]
    (['E', 'G#', 'B'], ['F', 'A', 'D#'])
    >>> figured_notes("F", "H", "A minor")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: figures 'H': write numbers from 2 to 13 with # b n or +, such as '6', '65' or '7 #'
    """
    low, home = PitchName(bass), read_roman_key(key)
    written = _read_figures(figures)
    numbers = tuple(sorted(written, reverse=True))
    whole = ABBREVIATIONS.get(numbers, numbers)
    notes = [low]
    for number in sorted(set(whole) | set(numbers)):
        notes.append(_note_above(low, number, written.get(number, ""), home))
    return tuple(notes)


def figures_of(notes: Sequence[PitchName | str], key: KeyGiven) -> str:
    """Figures of notes above their bass, the first of them, in the shortest usual form.

    Raises
    ------
    RomanNumeralError
        No notes.
    PitchError, KeyNameError
        A note or the key cannot be read.

    Examples
    --------
    >>> figures_of(["F#", "A", "C", "D"], "G major"), figures_of(["E", "G#", "B"], "A minor")
    ('6/5', '#')
    >>> figures_of(["F", "A", "D#"], "A minor"), figures_of(["C", "E", "G"], "C major")
    ('#6', '')
    >>> figures_of([], "C major")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: notes: give at least the bass
    """
    names = [PitchName(note) for note in notes]
    if not names:
        raise RomanNumeralError("notes: give at least the bass")
    home = read_roman_key(key)
    low = names[0]
    written: dict[int, str] = {}
    for name in names[1:]:
        number = (STEP_INDEX[name.step] - STEP_INDEX[low.step]) % 7 + 1
        if name != low:
            plain = _signature(name.step, home)
            sign = "" if name.alter == plain else {1: "#", 2: "##", -1: "b", -2: "bb", 0: "n"}.get(name.alter, "")
            written[8 if number == 1 else number] = sign
    full = tuple(sorted(written, reverse=True))
    if 2 in written and {3, 5} & set(full):  # a second above a third is a ninth
        written[9] = written.pop(2)
        full = tuple(sorted(written, reverse=True))
    shown = {*_SHORT.get(full, full), *(number for number, sign in written.items() if sign)}
    texts = []
    for number in sorted(shown, reverse=True):
        sign = written[number]
        texts.append(
            sign if number == 3 and sign and full in ((5, 3), (6, 3), (7, 5, 3), (6, 5, 3)) else f"{sign}{number}"
        )
    return "/".join(texts)


def _read_figures(figures: str) -> dict[int, str]:
    """Figures with the accidental of each."""
    if not isinstance(figures, str):
        raise RomanNumeralError(f"figures {figures!r}: write them as text, such as '6' or '65'")
    plain = re.sub(r"[\s,/]+", " ", figures.translate(_SIGNS)).strip()
    written: dict[int, str] = {}
    for group in plain.split():
        end = 0
        for match in _FIGURE.finditer(group):
            before, digits, behind, alone = match.groups()
            if match.start() != end or (before and behind):
                break
            end = match.end()
            number = int(digits) if digits else 3
            written[number] = alone or before or behind or written.get(number, "")
        if end != len(group):
            raise RomanNumeralError(
                f"figures {figures!r}: write numbers from 2 to 13 with # b n or +, such as '6', '65' or '7 #'"
            )
    return written


def _signature(step: str, key: RomanKey) -> int:
    return signature_alter(step, key.tonic + KEY_MODES[key.mode].signature_shift)


def _note_above(bass: PitchName, number: int, sign: str, key: RomanKey) -> PitchName:
    step = STEPS[(STEP_INDEX[bass.step] + number - 1) % 7]
    alter = _signature(step, key)
    if sign in _LITERAL:
        alter = _LITERAL[sign]
    elif sign:
        alter += 1
    return PitchName.of(step, alter)
