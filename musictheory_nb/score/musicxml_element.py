"""One element below another, with its text and attributes (`child`), and text that XML can hold (`clean`)."""

import re
import xml.etree.ElementTree as ElementTree
from typing import Final

#: Characters that XML 1.0 does not allow, section 2.2.
_FORBIDDEN: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def child(parent: ElementTree.Element, tag: str, value: object = None, **attributes: str) -> ElementTree.Element:
    """Return a new last child of `parent`.

    Examples
    --------
    >>> note = ElementTree.Element("note")
    >>> _ = child(note, "duration", 4), child(note, "tie", type="start")
    >>> ElementTree.tostring(note)
    b'<note><duration>4</duration><tie type="start" /></note>'
    """
    element = ElementTree.SubElement(parent, tag, {name: clean(text) for name, text in attributes.items()})
    if value is not None:
        element.text = clean(str(value))
    return element


def clean(text: str) -> str:
    r"""Return the text without characters that XML cannot hold.

    Examples
    --------
    >>> clean("Trio\x00")
    'Trio'
    """
    return _FORBIDDEN.sub("", text)
