"""From verovio's SVG to a picture for a notebook page.

What changes: the colour is that of the theme (``--jp-content-font-color0``, black where there is none); the element has
``role="img"`` with a title and the text twin as its description; identities that nothing refers to go, so that two
pictures on one page cannot clash; chord symbols are drawn (see `chord_text`); marked notes get a ring, which is seen
without colour.
"""

import re
from collections.abc import Collection
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from musictheory_nb.errors import MediaError
from musictheory_nb.media.chord_text import drawn_chord
from musictheory_nb.practice.excerpt import Excerpt

_NAMESPACE: Final = "http://www.w3.org/2000/svg"
_SVG: Final = f"{{{_NAMESPACE}}}"
_INK: Final = "var(--jp-content-font-color0, black)"
_ACCENT: Final = "var(--jp-brand-color1, #1565c0)"
#: Size of chord symbols in verovio's units; a space of the staff is 180.
_CHORD_SIZE: Final = 390.0
#: Half widths of notehead glyphs, in thousandths of the font size times four; others are as wide as a quarter's.
_HALF_WIDTHS: Final = {"E0A0": 300, "E0A2": 215}
_HALF_WIDTH: Final = 157
_TRANSFORM: Final = re.compile(r"translate\((-?[\d.]+), ?(-?[\d.]+)\) scale\((-?[\d.]+)")
_NOTE_ID: Final = re.compile(r"n(\d+)-\d+-\d+")
_CHORD_ID: Final = re.compile(r"c(\d+)")
_RULES: Final = (
    "#{0} g.reh, #{0} g.voltaBracket, #{0} g.tempo {{font-weight: bold}}"
    " #{0} g.mNum {{font-style: italic}}"
    " #{0} path, #{0} rect, #{0} ellipse, #{0} polygon, #{0} polyline {{stroke: currentColor}}"
    " #{0} .music-mark {{stroke: {1}}}"
)


def finished_svg(drawn: str, excerpt: Excerpt, marked: Collection[int], text: str) -> str:
    """Return verovio's picture of `excerpt`, made fit for a page.

    Parameters
    ----------
    drawn : str
        What verovio drew; notes and chord symbols carry the identities that `mei` gives them.
    excerpt : Excerpt
        The music.
    marked : collection of int
        Indices of the notes that are ringed.
    text : str
        The text twin.

    Raises
    ------
    MediaError
        The drawing is no SVG as verovio writes it.
    """
    try:
        root = ElementTree.fromstring(drawn)
        page = next(child for child in root if child.tag == _SVG + "svg")
        width, height = (float(side) for side in root.attrib.pop("viewBox").split()[2:])
    except (ElementTree.ParseError, StopIteration, KeyError, ValueError) as error:
        raise MediaError(f"drawing {drawn[:60]!r}: no SVG as verovio writes it ({error})") from None
    name = root.get("id", "music")
    for child in list(root):
        if child.tag in (_SVG + "desc", _SVG + "style"):
            root.remove(child)
    _finish(page, excerpt, frozenset(marked))
    page.attrib.pop("color", None)
    page.set("fill", "currentColor")
    root.attrib.clear()
    root.attrib.update(
        {
            "id": name,
            "class": "music-notation",
            "role": "img",
            "aria-labelledby": f"{name}-title {name}-text",
            "viewBox": f"0 0 {width:g} {height:g}",
            "width": f"{width:g}",
            "height": f"{height:g}",
            "style": f"max-width: 100%; height: auto; color: {_INK}",
        }
    )
    first, last = excerpt.measures[0].number, excerpt.measures[-1].number
    title = Element(_SVG + "title", {"id": f"{name}-title"})
    title.text = f"Notation, measure {first}" if len(excerpt.measures) == 1 else f"Notation, measures {first} to {last}"
    description = Element(_SVG + "desc", {"id": f"{name}-text"})
    description.text = text
    style = Element(_SVG + "style")
    style.text = _RULES.format(name, _ACCENT)
    root[:0] = [title, description, style]
    ElementTree.register_namespace("", _NAMESPACE)
    return ElementTree.tostring(root, encoding="unicode")


def _finish(element: Element, excerpt: Excerpt, marked: frozenset[int]) -> None:
    """Finish everything below `element`: identities, placeholders, chord symbols, marks."""
    for child in list(element):
        kind = child.get("class", "")
        identity = child.attrib.pop("id", "")
        if "placeholder" in kind or "MilestoneEnd" in kind or (child.tag == _SVG + "g" and not len(child)):
            element.remove(child)
        elif kind == "harm" and (chord := _CHORD_ID.fullmatch(identity)):
            _draw_chord(child, excerpt.chords[int(chord[1])].text)
        else:
            _finish(child, excerpt, marked)
            if (note := _NOTE_ID.fullmatch(identity)) and int(note[1]) in marked:
                child.extend(_rings(child))


def _draw_chord(group: Element, text: str) -> None:
    """Put the drawn symbol in place of the text that kept its room."""
    place = next(group.iter(_SVG + "text"))
    x, y = float(place.get("x", "0")), float(place.get("y", "0"))
    group[:] = list(ElementTree.fromstring(f'<g xmlns="{_NAMESPACE}">{drawn_chord(text, x, y, _CHORD_SIZE)}</g>'))


def _rings(note: Element) -> list[Element]:
    """Rings around the notehead of `note`."""
    rings = []
    for head in (group for group in note.iter(_SVG + "g") if group.get("class") == "notehead"):
        for glyph in head.iter(_SVG + "use"):
            found = _TRANSFORM.match(glyph.get("transform", ""))
            if not found:
                continue
            x, y, scale = (float(number) for number in found.groups())
            half = _HALF_WIDTHS.get(glyph.get("href", "#")[1:5], _HALF_WIDTH) * scale
            rings.append(
                Element(
                    _SVG + "ellipse",
                    {
                        "class": "music-mark",
                        "cx": f"{x + half:.0f}",
                        "cy": f"{y:.0f}",
                        "rx": f"{half + 170 * scale:.0f}",
                        "ry": f"{300 * scale:.0f}",
                        "fill": "none",
                        "stroke-width": "42",
                    },
                )
            )
    return rings
