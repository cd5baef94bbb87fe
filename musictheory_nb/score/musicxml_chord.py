"""Chord symbols of MusicXML (`harmony`) as chart text, and their transposition.

Conventions: MusicXML 4.0, ``kind-value`` and ``degree``. The text is made from root, kind, degrees and bass, not from
how the file's own font prints it, so that all files spell alike; the printed text counts only for the kind ``other``
and for ``7alt``.
"""

import re
import xml.etree.ElementTree as ElementTree
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import PitchError
from musictheory_nb.score.musicxml_number import whole_number
from musictheory_nb.theory.pitch_name import PitchName, move_spelling

#: Chart text after the root for each kind of MusicXML 4.0 that musicians write as a symbol.
KIND_TEXT: Final = MappingProxyType(
    {
        "major": "",
        "minor": "m",
        "augmented": "aug",
        "diminished": "dim",
        "dominant": "7",
        "major-seventh": "maj7",
        "minor-seventh": "m7",
        "diminished-seventh": "dim7",
        "augmented-seventh": "aug7",
        "half-diminished": "m7b5",
        "major-minor": "m(maj7)",
        "major-sixth": "6",
        "minor-sixth": "m6",
        "dominant-ninth": "9",
        "major-ninth": "maj9",
        "minor-ninth": "m9",
        "dominant-11th": "11",
        "major-11th": "maj11",
        "minor-11th": "m11",
        "dominant-13th": "13",
        "major-13th": "maj13",
        "minor-13th": "m13",
        "suspended-second": "sus2",
        "suspended-fourth": "sus4",
        "power": "5",
        "Neapolitan": "",
    }
)
#: Kinds that are chords of a style rather than symbols; they keep the kind's name in brackets.
_NAMED_KINDS: Final = ("Italian", "French", "German", "pedal", "Tristan")
#: A dominant with all its alterations has no kind of its own; its printed name says more than its degrees.
_ALTERED: Final = "7alt"
_SIGNS: Final = MappingProxyType({-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"})
#: A note name at the start of a chord text or after a slash or bar.
_NOTE: Final = re.compile(r"(^|[/|])([A-G](?:bb|##|b|#)?)")


def _name(element: ElementTree.Element, of: str) -> str | None:
    holder = element.find(of)
    if holder is None:
        return None
    step = (holder.findtext(f"{of}-step") or "").strip().upper()
    if step not in tuple("ABCDEFG"):
        return None
    alter = holder.findtext(f"{of}-alter")
    return step + _SIGNS[whole_number(alter, f"{of}-alter", -2, 2) if (alter or "").strip() else 0]


def _suspended(sus: str, degrees: list[tuple[int, int, str]]) -> tuple[str, list[tuple[int, int, str]]]:
    """Return the text of a suspended chord and the degrees left over: a seventh turns it into ``7sus4``, ``9sus4`` ...

    A suspended seventh has no kind of its own in MusicXML: it is written as an added degree 7, altered or not.
    """
    if not any(value == 7 and alter <= 0 and how == "add" for value, alter, how in degrees):
        return sus, degrees
    added = {value for value, alter, how in degrees if how == "add" and alter == 0}
    top = 13 if 13 in added else 9 if 9 in added else 7
    rest = [
        (value, alter, how)
        for value, alter, how in degrees
        if not (
            how == "add" and value <= top and ((value == 7 and alter <= 0) or (alter == 0 and value in (9, 11, 13)))
        )
    ]
    return f"{top}{sus}", rest


def _with_degrees(base: str, kind: str, degrees: list[tuple[int, int, str]]) -> str:
    """Return the text after the root: `base` and its degrees as charts print them."""
    rest = list(degrees)
    if kind.startswith("suspended"):
        base, rest = _suspended(base, rest)
    if kind in ("major-sixth", "minor-sixth") and (9, 0, "add") in rest:
        rest.remove((9, 0, "add"))
        base += "/9"
    has_seventh = any(number in base for number in ("7", "9", "11", "13")) and "/9" not in base
    altered, bracketed = "", []
    for value, alter, how in rest:
        sign = _SIGNS.get(alter, "#" * alter if alter > 0 else "b" * -alter)
        if how == "subtract":
            bracketed.append(f"no{value}")
        elif sign and (how == "alter" or (has_seventh and value > 7)):
            altered += f"{sign}{value}"
        elif value == 7 and how == "add" and not has_seventh:
            bracketed.append("maj7" if alter == 1 else f"add{sign}7")
        else:
            bracketed.append(f"add{sign}{value}")
    if altered and (not base[-1:].isdigit() or "sus" in base):
        altered = f"({altered})"  # after a bare root too: B(b5) is no power chord on B flat
    return base + altered + "".join(f"({text})" for text in bracketed)


def symbol_text(root: str, kind: str, degrees: list[tuple[int, int, str]], printed: str = "") -> str:
    """Return chart text, without a bass, of root, MusicXML kind and degrees (value, alteration, how).

    Examples
    --------
    >>> symbol_text("G", "dominant", [(9, 1, "add"), (13, -1, "add")]), symbol_text("C", "major-sixth", [(9, 0, "add")])
    ('G7#9b13', 'C6/9')
    """
    if kind in KIND_TEXT:
        return root + _with_degrees(KIND_TEXT[kind], kind, degrees)
    if kind in _NAMED_KINDS:
        return f"{root}({kind})"
    if degrees:
        return root + _with_degrees("", "other", degrees)
    return root + (printed or f"({kind})")


def chord_text(harmony: ElementTree.Element) -> tuple[str, str] | None:
    """Return chart text and kind of a ``harmony`` element; None if it names no root (a Roman numeral, say).

    Raises
    ------
    ScoreError
        An alteration or degree that is no number of its range.

    Examples
    --------
    >>> def read(inside): return chord_text(ElementTree.fromstring(f"<harmony>{inside}</harmony>"))
    >>> read("<root><root-step>B</root-step><root-alter>-1</root-alter></root><kind>half-diminished</kind>")
    ('Bbm7b5', 'half-diminished')
    >>> read("<root><root-step>C</root-step></root><kind>none</kind>")
    ('N.C.', 'none')
    >>> read("<function>V</function><kind>dominant</kind>") is None
    True
    """
    texts: list[str] = []
    kinds: list[str] = []
    group: list[ElementTree.Element] = []
    groups: list[list[ElementTree.Element]] = []
    for child in harmony:
        if child.tag in ("root", "function", "numeral"):
            group = []
            groups.append(group)
        group.append(child)
    for members in groups or ([group] if group else []):
        holder = ElementTree.Element("harmony")
        holder.extend(members)
        kind_element = holder.find("kind")
        kind = ((kind_element.text if kind_element is not None else None) or "major").strip()
        printed = (kind_element.get("text") or "").strip() if kind_element is not None else ""
        if kind == "none":
            return "N.C.", "none"
        root = _name(holder, "root")
        if root is None:
            return None
        degrees = [
            (
                whole_number(degree.findtext("degree-value"), "degree-value", 1, 15),
                whole_number(degree.findtext("degree-alter") or "0", "degree-alter", -3, 3),
                (degree.findtext("degree-type") or "add").strip(),
            )
            for degree in holder.findall("degree")
        ]
        text = root + _ALTERED if printed in ("alt", _ALTERED) else symbol_text(root, kind, degrees, printed)
        bass = _name(holder, "bass")
        texts.append(f"{text}/{bass}" if bass and bass != root else text)
        kinds.append(kind)
    return ("|".join(texts), kinds[0]) if texts else None


def move_chord_text(text: str, chromatic: int, diatonic: int) -> str:
    """Return `text` with every note name in it moved by so many semitones and steps.

    Examples
    --------
    >>> move_chord_text("D7/F#", -2, -1), move_chord_text("N.C.", -2, -1)
    ('C7/E', 'N.C.')
    """
    if not (chromatic or diatonic) or text.startswith("N.C."):
        return text

    def moved(match: re.Match[str]) -> str:
        return match[1] + move_name(match[2], chromatic, diatonic)

    return _NOTE.sub(moved, text)


def move_name(name: str, chromatic: int, diatonic: int) -> str:
    """Return a note name moved by so many semitones and steps; with at most two accidentals, else respelled.

    Examples
    --------
    >>> move_name("D", -2, -1), move_name("B", 3, 2), move_name("F##", 1, 0)
    ('C', 'D', 'G#')
    """
    start = PitchName(name)
    for steps in (diatonic, diatonic + 1, diatonic - 1):
        try:
            step, alter, _ = move_spelling(start.step, start.alter, steps, chromatic)
        except PitchError:
            continue
        if abs(alter) <= 2:
            return PitchName.of(step, alter).name
    return name
