"""An excerpt, or what an item asks to be seen, as a notation picture with its text twin.

Verovio engraves the MEI of `mei`; what it draws is then made fit for a notebook page: cropped to the music, coloured by
JupyterLab's theme, named for screen readers, chord symbols and marked notes drawn, and without a date, a version or an
identity drawn by lot, so that equal music gives an equal SVG. Nothing is fetched: glyphs are outlines in the picture.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.mei import NO_MARKS, PlayingMarks, mei_text
from musictheory_nb.media.passage import passage
from musictheory_nb.media.score_text import describe
from musictheory_nb.media.svg_finish import finished_svg
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest

NARROWEST_PX, WIDEST_PX = 240, 4000
#: Size of the engraving: a staff is 32 pixels high.
_SCALE_PERCENT: Final = 44

#: How verovio names the group of one system.
_SYSTEM: Final = 'class="system"'

_OPTIONS: Final = (
    ("adjustPageHeight", True),
    ("breaks", "auto"),
    ("font", "Leipzig"),
    ("footer", "none"),
    ("header", "none"),
    ("minLastJustification", 0.75),
    ("pageHeight", 60000),
    ("pageMarginBottom", 20),
    ("pageMarginLeft", 40),
    ("pageMarginRight", 20),
    ("pageMarginTop", 20),
    ("scale", _SCALE_PERCENT),
    ("smuflTextFont", "none"),
    ("spacingSystem", 8),
    ("svgFormatRaw", True),
    ("svgRemoveXlink", True),
    ("svgViewBox", True),
)


@dataclass(frozen=True)
class Engraving:
    """Notation, ready to be shown.

    Parameters
    ----------
    svg : str
        An SVG element to stand in a page; its colours are those of the page's theme.
    text : str
        The same music in words.
    """

    svg: str = field(repr=False)
    text: str

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        return {"text/html": self.svg, "text/plain": self.text}


def toolkit_options(width_px: int, seed: int) -> dict[str, Any]:
    """Return what verovio is told: the page's width and the seed of its glyph names."""
    return {**dict(_OPTIONS), "pageWidth": round(width_px * 100 / _SCALE_PERCENT), "xmlIdSeed": seed}


def loaded_toolkit(mei: str, options: dict[str, Any]) -> Any:
    """Return a new verovio toolkit that has read an MEI document.

    Raises
    ------
    MediaError
        Verovio cannot read it.
    """
    import verovio

    # verovio keeps the place of its fonts for each thread, and JupyterLab calls back on threads of its own.
    verovio.setDefaultResourcePath(str(files("verovio") / "data"))
    verovio.enableLog(verovio.LOG_OFF)
    # A new toolkit each time: verovio's names depend on what a toolkit drew before.
    toolkit = verovio.toolkit()
    toolkit.setOptions(options)
    if not toolkit.loadData(mei):
        raise MediaError(f"music {mei[:60]!r}…: verovio cannot read it")
    return toolkit


def _moved(hands: PlayingMarks, places: Mapping[int, int]) -> PlayingMarks:
    """Marks by the indices of the notes that are shown."""
    fingers, strings = (
        {places[index]: text for index, text in row.items() if index in places}
        for row in (hands.fingers, hands.strings)
    )
    return PlayingMarks(fingers, strings)


def engrave(
    music: MediaRequest | Excerpt,
    *,
    first: int | None = None,
    last: int | None = None,
    parts: Sequence[int] = (),
    marked: Sequence[int] = (),
    width_px: int = 900,
    words: str = "american",
    is_described: bool = True,
    hands: PlayingMarks = NO_MARKS,
) -> Engraving:
    """Return the notation of `music`.

    Parameters
    ----------
    music : MediaRequest or Excerpt
        What is given here replaces the request's own span, parts and marked notes.
    first, last : int, optional
        Measure indices, both included; -1 for `last` is the end.
    parts : sequence of int
        Part indices; none means those of the request, or all.
    marked : sequence of int
        Indices into the notes of the whole excerpt; each is ringed, and called marked in the text.
    width_px : int
        Widest that the picture may be; shorter music gives a narrower one.
    words : str
        Words of the text twin: ``'american'`` or ``'british'``.
    is_described : bool
        Whether the picture carries the text for a screen reader.
    hands : PlayingMarks
        Fingers and strings beside the notes, by index in the whole excerpt; the text does not tell them.

    Raises
    ------
    MediaError
        A span, part, note or width that does not exist, or music that cannot be written.

    Notes
    -----
    The text says all that the notation shows. An item that is answered by ear shows neither before it is answered.

    Examples
    --------
    >>> engrave(Excerpt.melody(["B3", "F4"])).text
    'Treble clef. Measure 1, 2/4, no sharps or flats: quarter B3, quarter F4.'
    >>> engrave(Excerpt.melody(["B3", "F4"]), width_px=10)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: width_px 10: a picture is 240 to 4000 pixels wide
    """
    if not NARROWEST_PX <= width_px <= WIDEST_PX:
        raise MediaError(f"width_px {width_px!r}: a picture is {NARROWEST_PX} to {WIDEST_PX} pixels wide")
    shown = passage(music, first=first, last=last, parts=parts, marked=marked)
    text = describe(shown.excerpt, marked=shown.marked, words=words)
    seed = int(shown.excerpt.digest[-7:], 16) + 1
    toolkit = loaded_toolkit(
        mei_text(shown.excerpt, hands=_moved(hands, shown.places)), toolkit_options(width_px, seed)
    )
    drawn = toolkit.renderToSVG(1)
    if drawn.count(_SYSTEM) == 1:
        # Several systems fill the width and end at one margin; a single one is as wide as its music.
        toolkit.setOptions({"adjustPageWidth": True})
        toolkit.redoLayout()
        drawn = toolkit.renderToSVG(1)
    if toolkit.getPageCount() > 1:
        raise MediaError(
            f"{len(shown.excerpt.measures)} measures: more than one picture holds; ask for fewer with first and last"
        )
    return Engraving(finished_svg(drawn, shown.excerpt, shown.marked, text if is_described else ""), text)
