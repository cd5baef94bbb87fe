"""The published schema of MusicXML 4.0 (`schema_faults`).

Source: `tests/published/musicxml_4_0.xsd`, W3C Music Notation Community Group, under the W3C Community Final Specification
Agreement; the two namespaces that it imports come with the library xmlschema.
"""

import functools
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import xmlschema

PUBLISHED = Path(__file__).parents[1] / "published"


@functools.cache
def _schema():
    bundled = Path(xmlschema.__file__).parent / "schemas"
    places = {
        "http://www.w3.org/1999/xlink": str(bundled / "XLINK" / "xlink.xsd"),
        "http://www.w3.org/XML/1998/namespace": str(bundled / "XML" / "xml.xsd"),
    }
    return xmlschema.XMLSchema(str(PUBLISHED / "musicxml_4_0.xsd"), locations=places)


def schema_faults(data):
    """What the schema finds wrong with the bytes of a file."""
    return [f"{error.path}: {error.reason}" for error in _schema().iter_errors(ElementTree.fromstring(data))]
