"""From verovio's SVG to a picture for a notebook page.

What changes: the colour is that of the theme (``--jp-content-font-color0``, black where there is none); the element has
``role="img"`` with a title and the text twin as its description; identities that nothing refers to go, so that two
pictures on one page cannot clash; chord symbols are drawn (see `chord_text`); marked notes get a ring, which is seen
without colour.
"""

import re
from collections.abc import Collection, Sequence
from types import MappingProxyType
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from musictheory_nb.errors import MediaError
from musictheory_nb.media.chord_text import drawn_chord, is_below, text_lines
from musictheory_nb.practice.excerpt import Excerpt

_NAMESPACE: Final = "http://www.w3.org/2000/svg"
_SVG: Final = f"{{{_NAMESPACE}}}"
_INK: Final = "var(--jp-content-font-color0, black)"
_ACCENT: Final = "var(--jp-brand-color1, #1565c0)"
#: Size of chord symbols in verovio's units; a space of the staff is 180.
_CHORD_SIZE: Final = 390.0
#: From one line of figured bass to the next.
_LINE: Final = 400.0
#: How much lower numerals and figures stand than verovio puts them, which is close to the staff.
_DROP: Final = 130.0
#: Widths of notehead glyphs (breve, whole note) by SMuFL code point, in thousandths of the font size times four.
_WIDTHS: Final = MappingProxyType({"E0A0": 600, "E0A2": 430})
_WIDTH: Final = 314
#: Room between a notehead and its ring.
_ROOM: Final = 135.0
#: Attribute that carries the index of a note in the excerpt, and class of the rings.
NOTE_ATTRIBUTE: Final = "data-note"
MARK_CLASS: Final = "music-mark"
_TRANSFORM: Final = re.compile(r"translate\((-?[\d.]+), ?(-?[\d.]+)\) scale\((-?[\d.]+)")
_NOTE_ID: Final = re.compile(r"n(\d+)-\d+-\d+")
_CHORD_ID: Final = re.compile(r"c(\d+)")
_RULES: Final = (
    "#{0} g.reh, #{0} g.voltaBracket, #{0} g.tempo {{font-weight: bold}}"
    " #{0} g.mNum {{font-style: italic}}"
    " #{0} path, #{0} rect, #{0} ellipse, #{0} polygon, #{0} polyline {{stroke: currentColor}}"
    " #{0} .{2} {{stroke: {1}}}"
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
    style.text = _RULES.format(name, _ACCENT, MARK_CLASS)
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
            continue
        if kind == "harm" and (chord := _CHORD_ID.fullmatch(identity)):
            _draw_chord(child, excerpt.chords[int(chord[1])].text)
            continue
        if note := _NOTE_ID.fullmatch(identity):
            child.set(NOTE_ATTRIBUTE, note[1])
        _finish(child, excerpt, marked)
        if kind == "chord" or (kind == "note" and element.get("class") != "chord"):
            ringed = [one for one in child.iter(_SVG + "g") if int(one.get(NOTE_ATTRIBUTE, "-1")) in marked]
            if ringed:
                child.append(_ring(ringed))


def _draw_chord(group: Element, text: str) -> None:
    """Put the drawn symbol in place of the text that kept its room."""
    place = next(group.iter(_SVG + "text"))
    x, y = float(place.get("x", "0")), float(place.get("y", "0"))
    y += _DROP if is_below(text) else 0.0
    drawn = [drawn_chord(line, x, y + at * _LINE, _CHORD_SIZE) for at, line in enumerate(text_lines(text))]
    group[:] = list(ElementTree.fromstring(f'<g xmlns="{_NAMESPACE}">{"".join(drawn)}</g>'))


def _ring(notes: Sequence[Element]) -> Element:
    """Return one ring around the noteheads of `notes`."""
    left, right, top, bottom, room = [], [], [], [], 0.0
    glyphs = [
        glyph
        for note in notes
        for head in note.iter(_SVG + "g")
        if head.get("class") == "notehead"
        for glyph in head.iter(_SVG + "use")
    ]
    for glyph in glyphs:
        if found := _TRANSFORM.match(glyph.get("transform", "")):
            x, y, scale = (float(number) for number in found.groups())
            room = _ROOM * scale
            left.append(x)
            right.append(x + _WIDTHS.get(glyph.get("href", "#")[1:5], _WIDTH) * scale)
            top.append(y)
            bottom.append(y)
    if not left:
        raise MediaError("a marked note: verovio drew no notehead for it")
    x, y = min(left) - room, min(top) - 1.7 * room
    width, height = max(right) + room - x, max(bottom) + 1.7 * room - y
    return Element(
        _SVG + "rect",
        {
            "class": MARK_CLASS,
            "x": f"{x:.0f}",
            "y": f"{y:.0f}",
            "width": f"{width:.0f}",
            "height": f"{height:.0f}",
            "rx": f"{min(width, height) / 2:.0f}",
            "fill": "none",
            "stroke-width": "42",
        },
    )
