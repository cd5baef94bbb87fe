"""Written note values of MusicXML (``type``, dots, ``time-modification``) as exact quarters."""

import xml.etree.ElementTree as ElementTree
from fractions import Fraction
from types import MappingProxyType
from typing import Final

#: Quarters of each note value.
NOTE_VALUES: Final = MappingProxyType(
    {
        "maxima": Fraction(32),
        "long": Fraction(16),
        "breve": Fraction(8),
        "whole": Fraction(4),
        "half": Fraction(2),
        "quarter": Fraction(1),
        "eighth": Fraction(1, 2),
        "16th": Fraction(1, 4),
        "32nd": Fraction(1, 8),
        "64th": Fraction(1, 16),
        "128th": Fraction(1, 32),
        "256th": Fraction(1, 64),
    }
)


def written_value(note: ElementTree.Element) -> Fraction | None:
    """Return the quarters that a note's type, dots and tuplet say; None if they say nothing that can be read.

    Examples
    --------
    >>> written_value(ElementTree.fromstring(
    ...     "<note><type>16th</type><time-modification><actual-notes>6</actual-notes><normal-notes>4</normal-notes>"
    ...     "</time-modification></note>"))
    Fraction(1, 6)
    """
    value = NOTE_VALUES.get((note.findtext("type") or "").strip())
    if value is None:
        return None
    dots = min(len(note.findall("dot")), 4)
    value *= 2 - Fraction(1, 2**dots)
    actual = (note.findtext("time-modification/actual-notes") or "1").strip()
    normal = (note.findtext("time-modification/normal-notes") or "1").strip()
    if not (actual.isdecimal() and normal.isdecimal() and 0 < int(actual[:4]) < 1000 and 0 < int(normal[:4]) < 1000):
        return None
    return value * int(normal) / int(actual)
