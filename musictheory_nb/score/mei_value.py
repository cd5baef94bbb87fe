"""Values of MEI attributes: durations, accidentals, keys, metres, clefs.

Source: MEI 4 and 5, modules shared and cmn.
"""

import re
import xml.etree.ElementTree as ElementTree
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.musicxml_attributes import CLEF_NAMES

#: Semitones of the accidentals of common notation; halves are quarter tones.
_ACCIDENTALS: Final = MappingProxyType(
    {
        "n": Fraction(0), "s": Fraction(1), "f": Fraction(-1), "x": Fraction(2), "ss": Fraction(2), "ff": Fraction(-2),
        "ts": Fraction(3), "xs": Fraction(3), "sx": Fraction(3), "tf": Fraction(-3), "ns": Fraction(1),
        "nf": Fraction(-1), "1qs": Fraction(1, 2), "1qf": Fraction(-1, 2), "3qs": Fraction(3, 2),
        "3qf": Fraction(-3, 2), "su": Fraction(3, 2), "sd": Fraction(1, 2), "fu": Fraction(-1, 2),
        "fd": Fraction(-3, 2), "nu": Fraction(1, 2), "nd": Fraction(-1, 2),
    }
)  # fmt: skip
_LONG: Final = MappingProxyType({"breve": Fraction(8), "long": Fraction(16), "maxima": Fraction(32)})


def attribute(element: ElementTree.Element, *names: str) -> str:
    """Return the first of these attributes that is there, ``''`` if none."""
    return next((value.strip() for name in names if (value := element.get(name)) is not None), "")


def number_of(element: ElementTree.Element, name: str, default: int, low: int = 0, high: int = 9999) -> int:
    """Return a whole-number attribute.

    Raises
    ------
    ScoreError
        It is there and no whole number, or outside `low` to `high`.
    """
    text = (element.get(name) or "").strip()
    if not text:
        return default
    if not re.fullmatch(r"[+-]?[0-9]{1,6}", text) or not low <= int(text) <= high:
        raise ScoreError(f"<{element.tag} {name}={text[:20]!r}>: a whole number from {low} to {high} must stand there")
    return int(text)


def duration_of(element: ElementTree.Element, default: str = "") -> Fraction | None:
    """Return the written quarters of a note, chord or rest; None if it has no duration.

    Examples
    --------
    >>> duration_of(ElementTree.fromstring('<note dur="8" dots="1"/>'))
    Fraction(3, 4)
    """
    text = attribute(element, "dur") or default
    if not text:
        return None
    if text in _LONG:
        value = _LONG[text]
    elif re.fullmatch(r"[0-9]{1,4}", text) and int(text) in (1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048):
        value = Fraction(4, int(text))
    else:
        raise ScoreError(f"<{element.tag} dur={text[:20]!r}>: write 1, 2, 4, 8 and so on, breve or long")
    dots = number_of(element, "dots", len(element.findall("dot")), 0, 4)
    return value * (2 - Fraction(1, 2**dots))


def accidental_of(element: ElementTree.Element) -> tuple[Fraction | None, Fraction | None]:
    """Return the sounding and the printed alteration of a note in semitones; None where it does not say."""
    holders = [element, *element.findall(".//accid")]
    found = []
    for name in ("accid.ges", "accid"):
        text = next((value for holder in holders if (value := holder.get(name))), None)
        if text is not None and text not in _ACCIDENTALS:
            raise ScoreError(f"<{element.tag} {name}={text[:20]!r}>: not an accidental that is read")
        found.append(_ACCIDENTALS[text] if text is not None else None)
    return found[0], found[1]


def key_of(element: ElementTree.Element) -> tuple[int, str] | None:
    """Return fifths and mode that a scoreDef, staffDef or keySig gives; None if it gives none."""
    holder = element if element.tag == "keySig" else element.find("keySig")
    text = attribute(holder, "sig") if holder is not None else ""
    mode = attribute(holder, "mode") if holder is not None else ""
    if not text and element.tag != "keySig":
        text = attribute(element, "keysig", "key.sig")
        mode = mode or attribute(element, "key.mode")
    if text == "0":
        return 0, mode
    match = re.fullmatch(r"([0-9]{1,2})([sf])", text)
    if match is None:
        return None
    return int(match[1]) * (1 if match[2] == "s" else -1), mode


def metre_of(element: ElementTree.Element) -> tuple[str, Fraction] | None:
    """Return metre and its quarters that a scoreDef, staffDef or meterSig gives; None if it gives none.

    Raises
    ------
    ScoreError
        Its figures make no metre.
    """
    holder = (
        element if element.tag == "meterSig" else element.find(".//meterSig") if element.tag != "scoreDef" else None
    )
    if element.tag == "scoreDef":
        holder = element.find("meterSig")
        if holder is None:
            holder = element.find("meterSigGrp/meterSig")
    prefix = "" if holder is not None else "meter."
    source = holder if holder is not None else element
    count, unit, sign = (attribute(source, prefix + name) for name in ("count", "unit", "sym"))
    if not count and sign in ("common", "cut"):
        return ("4/4", Fraction(4)) if sign == "common" else ("2/2", Fraction(4))
    if not count or not unit:
        return None
    figures = [int(figure) for figure in re.findall(r"[0-9]{1,3}", count)]
    if (
        not re.fullmatch(r"[0-9+ ]{1,20}", count)
        or not re.fullmatch(r"[0-9]{1,3}", unit)
        or not all(figures)
        or not int(unit)
    ):
        raise ScoreError(f"metre {count[:20]!r} over {unit[:20]!r}: two whole numbers must stand there")
    return f"{'+'.join(map(str, figures))}/{int(unit)}", Fraction(4 * sum(figures), int(unit))


def clef_of(element: ElementTree.Element) -> str:
    """Return the name of the clef that a staffDef or clef gives; ``''`` if it gives none."""
    holder = element if element.tag == "clef" else element.find("clef")
    prefix = "" if holder is not None else "clef."
    source = holder if holder is not None else element
    shape, line = attribute(source, prefix + "shape"), attribute(source, prefix + "line")
    if not shape:
        return ""
    if shape == "perc":
        return "percussion"
    if shape == "GG":
        return "treble-8"
    name = CLEF_NAMES.get((shape, int(line) if line.isdecimal() and len(line) < 3 else 0), "")
    name = name or {"G": "treble", "F": "bass", "C": "alto"}.get(shape, "none")
    octaves = attribute(source, prefix + "dis")
    sign = "-" if attribute(source, prefix + "dis.place") == "below" else "+"
    return f"{name}{sign}{octaves}" if octaves in ("8", "15", "22") else name
