"""Key, metre, clef and transposition of MusicXML's ``attributes``."""

import xml.etree.ElementTree as ElementTree
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.musicxml_number import whole_number

#: Names of clefs by sign and line; an octave change is added as ``-8`` or ``+8``.
CLEF_NAMES: Final = MappingProxyType(
    {
        ("G", 2): "treble",
        ("G", 1): "French violin",
        ("F", 4): "bass",
        ("F", 3): "baritone",
        ("F", 5): "subbass",
        ("C", 1): "soprano",
        ("C", 2): "mezzo-soprano",
        ("C", 3): "alto",
        ("C", 4): "tenor",
        ("C", 5): "baritone",
    }
)
#: Line that a clef stands on where the file does not say.
_USUAL_LINES: Final = MappingProxyType({"G": 2, "F": 4, "C": 3})
_MODES: Final = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "locrian")
#: Steps that belong to a transposition by 0-11 semitones, where the file gives semitones alone.
_USUAL_STEPS: Final = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


def key_of(element: ElementTree.Element) -> tuple[int, str, bool]:
    """Return fifths and mode of a ``key``, and whether it is a key of the circle of fifths at all."""
    fifths = element.findtext("fifths")
    if fifths is None or not fifths.strip():
        return 0, "", element.find("key-step") is None
    mode = (element.findtext("mode") or "").strip().lower()
    return whole_number(fifths, "fifths", -11, 11), mode if mode in _MODES else "", True


def metre_of(element: ElementTree.Element) -> tuple[str, Fraction]:
    """Return the text of a ``time`` (``'3/4'``, ``'3+2/8'``) and its quarters; ``''`` and 0 for no metre.

    Raises
    ------
    ScoreError
        Figures that make no metre.

    Examples
    --------
    >>> metre_of(ElementTree.fromstring("<time><beats>3+2</beats><beat-type>8</beat-type></time>"))
    ('3+2/8', Fraction(5, 2))
    >>> metre_of(ElementTree.fromstring("<time><beats>0</beats><beat-type>4</beat-type></time>"))
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: beats '0': a whole number from 1 to 999 must stand there
    """
    beats = [child.text or "" for child in element if child.tag == "beats"]
    kinds = [child.text for child in element if child.tag == "beat-type"]
    if not beats or element.find("senza-misura") is not None:
        return "", Fraction(0)
    if len(beats) != len(kinds):
        raise ScoreError(f"a metre of {len(beats)} upper and {len(kinds)} lower figures")
    texts, quarters = [], Fraction(0)
    for upper, lower in zip(beats, kinds, strict=True):
        figures = [whole_number(figure, "beats", 1, 999) for figure in upper.split("+")]
        kind = whole_number(lower, "beat-type", 1, 1024)
        texts.append(f"{'+'.join(map(str, figures))}/{kind}")
        quarters += Fraction(4 * sum(figures), kind)
    return "+".join(texts), quarters


def clef_name(element: ElementTree.Element) -> str:
    """Return the name of a ``clef``: ``'treble'``, ``'treble-8'``, ``'bass'``, ``'percussion'`` and so on."""
    sign = (element.findtext("sign") or "G").strip()
    if sign not in _USUAL_LINES:
        return {"percussion": "percussion", "TAB": "tablature", "jianpu": "numbers"}.get(sign, "none")
    line = whole_number(element.findtext("line") or str(_USUAL_LINES[sign]), "clef line", 1, 9)
    name = CLEF_NAMES.get((sign, line), "treble" if sign == "G" else "bass" if sign == "F" else "alto")
    octaves = whole_number(element.findtext("clef-octave-change") or "0", "clef-octave-change", -3, 3)
    return name + {0: "", 1: "+8", -1: "-8", 2: "+15", -2: "-15", 3: "+22", -3: "-22"}[octaves]


def usual_steps(semitones: int) -> int:
    """Return the steps that go with a transposition of which only the semitones are given.

    Examples
    --------
    >>> usual_steps(-2), usual_steps(-3), usual_steps(12), usual_steps(-14)
    (-1, -2, 7, -8)
    """
    octaves, within = divmod(abs(semitones), 12)
    return (-1 if semitones < 0 else 1) * (7 * octaves + _USUAL_STEPS[within])


def transposition_of(element: ElementTree.Element) -> tuple[int, int]:
    """Return semitones and steps from written to sounding pitch of a ``transpose``.

    Examples
    --------
    >>> transposition_of(ElementTree.fromstring("<transpose><chromatic>-2</chromatic></transpose>"))
    (-2, -1)
    """
    chromatic = whole_number(element.findtext("chromatic") or "0", "chromatic", -60, 60)
    octaves = whole_number(element.findtext("octave-change") or "0", "octave-change", -5, 5)
    diatonic_text = element.findtext("diatonic")
    if diatonic_text is None or not diatonic_text.strip():
        diatonic = usual_steps(chromatic)
    else:
        diatonic = whole_number(diatonic_text, "diatonic", -40, 40)
    return chromatic + 12 * octaves, diatonic + 7 * octaves
