"""What can stand in a line of ABC music, and what quoted texts and decorations mean.

Conventions: ABC 2.1, section 4.
"""

import re
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScoreError, TheoryError
from musictheory_nb.theory.chord import Chord

_LENGTH: Final = r"\d*/*\d*"
#: Everything that can stand in a line of music, in the order in which it is tried.
TOKEN: Final = re.compile(
    rf"""\[(?P<letter>[A-Za-z]):(?P<value>[^\]]*)\]
    |(?P<bar>\.?\[?(?:\||:(?=[|:]))[|:\]]*)(?:\s*\[(?=\d)|(?=\d))?(?P<passes>(?<=[|:\]\[])\d[\d,\-]*)?
    |\[(?P<ending>\d[\d,\-]*)
    |"(?P<quoted>[^"]*)"
    |!(?P<decoration>[^!|\]\[\s]{{1,40}})!|\+(?P<old>[A-Za-z.]{{1,20}})\+
    |\{{(?P<graces>[^}}]*)\}}?
    |\((?P<p>\d\d?)(?::(?P<q>\d?\d?))?(?::(?P<r>\d?\d?))?
    |(?P<microtone>[\^_=]+(?:\d*/\d*|\d+)(?=[A-Ga-g]))|(?P<wide>\(&|&\))
    |(?P<accidental>\^\^?|__?|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)(?P<length>{_LENGTH})
    |[zx](?P<rest>{_LENGTH})|[ZX](?P<bars>\d*)
    |(?P<chord>\[)|(?P<chord_end>\])(?P<chord_length>{_LENGTH})
    |(?P<tie>-)|(?P<broken>>{{1,3}}|<{{1,3}})|(?P<overlay>&)|(?P<short>[H-Wh-w~])
    |(?P<other>.)""",
    re.X,
)
GRACE: Final = re.compile(r"(?P<accidental>\^\^?|__?|=)?(?P<pitch>[A-Ga-g])(?P<octave>[,']*)")
ALTERS: Final = MappingProxyType({"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0})
#: Notes in the time of which a tuplet of so many is played; others take 2, or 3 in compound time.
TUPLET_TIME: Final = MappingProxyType({2: 3, 3: 2, 4: 3, 6: 2, 8: 3})
SIGNS: Final = MappingProxyType(
    {
        "segno": ("segno", ""),
        "coda": ("coda", ""),
        "fine": ("fine", "Fine"),
        "D.C.": ("dacapo", "D.C."),
        "dacapo": ("dacapo", "D.C."),
        "D.S.": ("dalsegno", "D.S."),
        "dacoda": ("tocoda", "To Coda"),
        "D.C.alfine": ("dacapo", "D.C. al Fine"),
        "D.C.alcoda": ("dacapo", "D.C. al Coda"),
        "D.S.alfine": ("dalsegno", "D.S. al Fine"),
        "D.S.alcoda": ("dalsegno", "D.S. al Coda"),
    }
)
#: Short cuts that mean something here, unless ``U:`` gives them another meaning.
SHORT: Final = MappingProxyType({"H": "!fermata!", "O": "!coda!", "S": "!segno!"})
#: A chord symbol among quoted texts: a root, then nothing but what chord symbols are made of.
_CHORD: Final = re.compile(
    r"\(?[A-G](?:##|bb|[#b])?(?:maj|Maj|min|mi|ma|m|M|dim|Dim|aug|Aug|sus|add|alt|omit|no|[oø°Δ+\-(),\s]|[#b]?\d{1,2}"
    r"|[/|][A-G](?:##|bb|[#b])?)*"
)


#: A chord symbol with another one in brackets behind it, which is not the one that is played.
_ALTERNATE: Final = re.compile(r"([^()]+)\(([A-G][^()]*)\)")


def chord_text(text: str) -> str:
    """Return the chord symbol of a quoted text, the one that counts; ``''`` if it is none.

    Examples
    --------
    >>> chord_text("G(Em)"), chord_text("C/e"), chord_text("(Am7)"), chord_text("Coda")
    ('G', 'C/E', 'Am7', '')
    """
    if (both := _ALTERNATE.fullmatch(text)) is not None and is_chord(both[1]) and is_chord(both[2]):
        text = both[1].strip()
    if (low := re.fullmatch(r"(.+/)([a-g])(#|b)?", text)) is not None and is_chord(low[1][:-1]):
        text = low[1] + low[2].upper() + (low[3] or "")
    if not is_chord(text):
        return ""
    return text.strip("()") if text.startswith("(") else text


@lru_cache(maxsize=4096)
def is_chord(text: str) -> bool:
    """Whether a quoted text is a chord symbol: made of what these are made of, or read as a chord.

    Examples
    --------
    >>> is_chord("Am7"), is_chord("(D/F#)"), is_chord("C6/9"), is_chord("Coda")
    (True, True, True, False)
    """
    if _CHORD.fullmatch(text):
        return True
    if text[:1] not in tuple("ABCDEFG"):
        return False
    try:
        Chord(text)
    except TheoryError:
        return False
    return True


def length_in_units(text: str) -> Fraction:
    """Return a note length in units: ``3``, ``3/2``, ``/`` (a half), ``//`` (a quarter).

    Examples
    --------
    >>> [str(length_in_units(text)) for text in ("", "3", "3/2", "/", "//", "/4")]
    ['1', '3', '3/2', '1/2', '1/4', '1/4']
    """
    upper, slashes, lower = re.fullmatch(r"(\d*)(/*)(\d*)", text).groups()  # type: ignore[union-attr]
    if (
        len(upper) > 4
        or len(lower) > 4
        or len(slashes) > 6
        or (lower and int(lower) == 0)
        or upper.strip("0") == "" != upper
    ):
        raise ScoreError(f"length {text[:20]!r}: write it as '3', '3/2' or '/2'")
    below = int(lower) if lower else 2 ** len(slashes)
    return Fraction(int(upper or 1), below)
