"""Fields of an ABC tune: key, metre, unit note length, tempo, clef.

Conventions: ABC 2.1, sections 3.1.6 to 3.1.14.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScoreError

#: Steps on the circle of fifths from the major key of the same tonic.
_MODES: Final = MappingProxyType(
    {
        "": (0, "major"),
        "maj": (0, "major"),
        "ion": (0, "major"),
        "m": (-3, "minor"),
        "min": (-3, "minor"),
        "aeo": (-3, "minor"),
        "mix": (-1, "mixolydian"),
        "dor": (-2, "dorian"),
        "phr": (-4, "phrygian"),
        "lyd": (1, "lydian"),
        "loc": (-5, "locrian"),
    }
)
_TONIC_FIFTHS: Final = MappingProxyType({"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5})
_SHARPS: Final = "FCGDAEB"
_KEY: Final = re.compile(r"([A-G])(?:([#b♯♭])|n(?![a-z]))?\s*([A-Za-z]*)")
_CLEFS: Final = MappingProxyType(
    {
        "treble": "treble",
        "treble-8": "treble-8",
        "treble+8": "treble+8",
        "bass": "bass",
        "bass-8": "bass-8",
        "bass3": "baritone",
        "alto": "alto",
        "tenor": "tenor",
        "alto1": "soprano",
        "alto2": "mezzo-soprano",
        "perc": "percussion",
        "none": "none",
    }
)
_ALTERS: Final = MappingProxyType({"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0})


@dataclass(frozen=True, slots=True)
class AbcKey:
    """Key signature, the alteration of each letter under it, and what else a ``K:`` or ``V:`` says."""

    fifths: int
    mode: str
    alters: tuple[tuple[str, int], ...]


def read_key(text: str) -> AbcKey | None:
    """Return the key that a ``K:`` field names; None if it names none (only a clef, say).

    Raises
    ------
    ScoreError
        It is no key.

    Examples
    --------
    >>> key = read_key("Edor"); key.fifths, key.mode, key.alters
    (2, 'dorian', (('C', 1), ('F', 1)))
    >>> read_key("Es")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: key 'Es': ABC writes it 'Eb'
    """
    words = re.sub(r"\b(clef|middle|transpose|octave|stafflines|name|nm|snm)\s*=\s*(\"[^\"]*\"|\S+)", " ", text).strip()
    first = (
        re.sub(r"^(treble|bass\d?|alto\d?|tenor|perc|none)?[+-]?8?\b", "", words).strip()
        if words[:1].islower()
        else words
    )
    if first.startswith(("Hp", "HP")):
        return AbcKey(2, "mixolydian", (("C", 1), ("F", 1)) if first.startswith("Hp") else ())
    if not first:
        return AbcKey(0, "", ()) if words.startswith("none") else None
    if (german := re.fullmatch(r"(H|Es|As|Des|Ges|Ces)(m|moll|dur)?", first)) is not None:
        plain = {"H": "B"}.get(german[1], german[1][0] + "b") + ("m" if (german[2] or "").startswith("m") else "")
        raise ScoreError(f"key {text.strip()[:40]!r}: ABC writes it {plain!r}")
    match = _KEY.match(first)
    if match is None:
        raise ScoreError(f"key {text.strip()[:40]!r}: write it as 'G', 'Am', 'Edor' or 'Bb mixolydian'")
    word = match[3].lower()
    mode_word = "m" if word == "m" else word[:3]
    if mode_word not in _MODES:
        if word in ("exp", "treble", "bass", "alto", "tenor", "perc", "clef"):
            mode_word = ""
        else:
            raise ScoreError(f"key {text.strip()[:40]!r}: write it as 'G', 'Am', 'Edor' or 'Bb mixolydian'")
    steps, mode = _MODES[mode_word]
    fifths = _TONIC_FIFTHS[match[1]] + {"#": 7, "♯": 7, "b": -7, "♭": -7}.get(match[2] or "", 0) + steps
    if abs(fifths) > 7:
        raise ScoreError(f"key {text.strip()[:40]!r}: it would have more than seven sharps or flats")
    alters = {letter: 1 for letter in _SHARPS[: max(fifths, 0)]} | {
        letter: -1 for letter in _SHARPS[::-1][: max(-fifths, 0)]
    }
    rest = first[match.end() :]
    changed = re.findall(r"(\^\^?|__?|=)([A-Ga-g])", rest)
    if word == "exp":
        alters = {}
    for sign, letter in changed:
        alters[letter.upper()] = _ALTERS[sign]
    if word == "exp":
        fifths = sum(alters.values())
    return AbcKey(fifths, mode, tuple(sorted(alters.items())))


def clef_of(text: str) -> str:
    """Return the clef that a ``K:`` or ``V:`` field names, ``''`` if none."""
    match = re.search(r"(?:clef\s*=\s*\"?|\s|^)((?:treble|bass|alto|tenor|perc|none)\d?(?:[+-]8)?)\b", text)
    return _CLEFS.get(match[1], _CLEFS.get(match[1].rstrip("+-8"), "treble")) if match else ""


def shift_of(text: str) -> tuple[int, int]:
    """Return ``transpose=`` in semitones and ``octave=`` in octaves, 0 without them."""
    semitones = re.search(r"\btranspose\s*=\s*([+-]?\d{1,2})\b", text)
    octaves = re.search(r"\boctave\s*=\s*([+-]?\d)\b", text)
    return int(semitones[1]) if semitones else 0, int(octaves[1]) if octaves else 0


def read_metre(text: str) -> tuple[str, Fraction]:
    """Return metre and its quarters from an ``M:`` field; ``''`` and 0 for none.

    Raises
    ------
    ScoreError
        It is no metre.

    Examples
    --------
    >>> read_metre("C|"), read_metre("(2+3)/8"), read_metre("none")
    (('2/2', Fraction(4, 1)), ('2+3/8', Fraction(5, 2)), ('', Fraction(0, 1)))
    """
    stripped = text.strip()
    if stripped in ("C", "c"):
        return "4/4", Fraction(4)
    if stripped in ("C|", "c|"):
        return "2/2", Fraction(4)
    if stripped.lower() in ("none", "") or stripped.lower().startswith(("free", "frei")):
        return "", Fraction(0)
    match = re.fullmatch(r"\(?\s*(\d{1,2}(?:\s*\+\s*\d{1,2})*)\s*\)?\s*/\s*(\d{1,3})", stripped)
    figures = [int(figure) for figure in match[1].split("+")] if match else []
    if match is None or not all(figures) or int(match[2]) == 0:
        raise ScoreError(f"metre {stripped[:40]!r}: write it as '6/8', 'C', 'C|' or 'none'")
    lower = int(match[2])
    return f"{'+'.join(map(str, figures))}/{lower}", Fraction(4 * sum(figures), lower)


def read_unit(text: str, metre_quarters: Fraction) -> Fraction:
    """Return the unit note length in quarters, from ``L:`` or, without one, from the metre.

    Raises
    ------
    ScoreError
        It is no fraction of a whole note.
    """
    stripped = text.strip()
    if not stripped:
        return Fraction(1, 4) if 0 < metre_quarters < 3 else Fraction(1, 2)
    match = re.fullmatch(r"(\d{1,3})\s*(?:/\s*(\d{1,4}))?", stripped)
    if match is None or int(match[1]) == 0 or int(match[2] or 1) == 0:
        raise ScoreError(f"unit note length {stripped[:40]!r}: write it as '1/8'")
    return Fraction(4 * int(match[1]), int(match[2] or 1))


def read_tempo(text: str, unit: Fraction) -> tuple[Fraction, str]:
    """Return quarters a minute (0 for none) and words of a ``Q:`` field.

    Examples
    --------
    >>> read_tempo('"Allegro" 3/8=60', Fraction(1, 2))
    (Fraction(90, 1), 'Allegro')
    """
    words = " ".join(re.findall(r"\"([^\"]*)\"", text))
    bare = re.sub(r"\"[^\"]*\"", " ", text)
    match = re.search(r"((?:\d{1,2}/\d{1,3}\s*)+)=\s*(\d{1,4})", bare)
    if match:
        quarters = sum(
            (
                Fraction(4 * int(upper), int(lower))
                for upper, lower in re.findall(r"(\d+)/(\d+)", match[1])
                if int(lower)
            ),
            Fraction(0),
        )
        return quarters * int(match[2]), words
    match = re.search(r"(?:C\d?\s*=\s*)?\b(\d{1,4})\b", bare)
    return (unit * int(match[1]) if match else Fraction(0)), words
