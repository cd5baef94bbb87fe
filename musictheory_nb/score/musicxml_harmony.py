"""Chord symbols as MusicXML ``harmony`` elements (`harmony_element`), the other way of `musicxml_chord`."""

import re
import xml.etree.ElementTree as ElementTree
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import MusicTheoryError
from musictheory_nb.score.musicxml_chord import KIND_TEXT, symbol_text
from musictheory_nb.score.musicxml_element import child
from musictheory_nb.theory.chord import Chord

_CHORD: Final = re.compile(r"(?P<root>[A-G](?:bb|##|b|#)?)(?P<suffix>.*?)(?:/(?P<bass>[A-G](?:bb|##|b|#)?))?")
_ALTERS: Final = {"bb": -2, "b": -1, "": 0, "#": 1, "##": 2}
_KINDS: Final = {text: kind for kind, text in reversed(tuple(KIND_TEXT.items()))}

_Degrees = tuple[tuple[int, int, str], ...]


def harmony_element(text: str, kind: str = "") -> ElementTree.Element | None:
    """Return the ``harmony`` of a chord text; None for a text that names no root.

    Parameters
    ----------
    text : str
        As it stands in the part: ``'G7b9/B'``, ``'N.C.'``, ``'D|C7'`` for one chord above another.
    kind : str
        MusicXML kind that the text is known to have, if any.

    Examples
    --------
    >>> element = harmony_element("G7b9/B")
    >>> [element.findtext(name) for name in ("root/root-step", "kind", "degree/degree-value", "bass/bass-step")]
    ['G', 'dominant', '9', 'B']
    >>> harmony_element("play softly") is None
    True
    """
    found = ElementTree.Element("harmony")
    if text.startswith("N.C."):
        _name(found, "root", "C")
        child(found, "kind", "none", text="N.C.")
        return found
    for one in text.split("|"):
        match = _CHORD.fullmatch(one)
        if match is None:
            return None
        known, degrees = _kind(match["root"], match["suffix"], kind)
        _name(found, "root", match["root"])
        child(found, "kind", known, text=match["suffix"])
        if match["bass"]:
            _name(found, "bass", match["bass"])
        for value, alter, how in degrees:
            degree = child(found, "degree")
            degree.set("print-object", "no")
            child(degree, "degree-value", value)
            child(degree, "degree-alter", alter)
            child(degree, "degree-type", how)
    return found


@lru_cache(maxsize=2048)
def _kind(root: str, suffix: str, kind: str) -> tuple[str, _Degrees]:
    """Return MusicXML kind and degrees of what stands behind a root; ``'other'`` where no kind fits."""
    if kind in KIND_TEXT and KIND_TEXT[kind] == suffix:
        return kind, ()
    if suffix in _KINDS:
        return _KINDS[suffix], ()
    if kind and kind not in ("other", "none") and suffix == f"({kind})":
        return kind, ()
    try:
        chord = Chord(root + suffix)
        degrees = tuple((int(value), int(alter), str(how)) for value, alter, how in chord.musicxml_degrees)
        known = chord.musicxml_kind
    except MusicTheoryError:
        return "other", ()
    if known not in KIND_TEXT:
        return "other", ()
    try:
        again = Chord(symbol_text(root, known, list(degrees)))
    except MusicTheoryError:
        return "other", ()
    return (known, degrees) if again == chord else ("other", ())


def _name(parent: ElementTree.Element, of: str, name: str) -> None:
    holder = child(parent, of)
    child(holder, f"{of}-step", name[0])
    if name[1:]:
        child(holder, f"{of}-alter", _ALTERS[name[1:]])
