"""The staff on which a student writes: engraved after each step, large enough to point at, and empty where nothing is."""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import NARROWEST_PX, WIDEST_PX, loaded_toolkit, toolkit_options
from musictheory_nb.media.mei import mei_text
from musictheory_nb.media.svg_finish import finished_svg
from musictheory_nb.practice.staff_input import Row, StaffInput
from musictheory_nb.practice.staff_rows import staff_excerpt

#: A staff is 52 pixels high: 6.5 from one step to the next.
_SCALE_PERCENT: Final = 72
#: Room for clef, signature and metre, and for a measure, in pixels.
_HEAD_PX: Final = 150
_MEASURE_PX: Final = 230
_PITCH_PX: Final = 75


def staff_drawing(asked: StaffInput, rows: Sequence[Row], width_px: int = 860) -> str:
    """Return the staff of `asked` with the notes given and `rows` on it, as SVG for a page.

    Each notehead carries ``data-note``, the index of its row (those given come first).

    Parameters
    ----------
    asked : StaffInput
        The staff.
    rows : sequence of rows
        What has been written so far.
    width_px : int
        Widest that the picture may be; measures that do not fit go to a next system.

    Raises
    ------
    MediaError
        A width that cannot be, or rows that cannot be written.

    Examples
    --------
    >>> staff_drawing(StaffInput(), [[["F#4"], "1", False]]).count('data-note="0"')
    1
    """
    if not NARROWEST_PX <= width_px <= WIDEST_PX:
        raise MediaError(f"width_px {width_px!r}: a staff is {NARROWEST_PX} to {WIDEST_PX} pixels wide")
    excerpt = staff_excerpt(asked, rows)
    places = len(excerpt.notes) + 2 if asked.pitches_only else 0
    wanted = _HEAD_PX + (places * _PITCH_PX if asked.pitches_only else len(excerpt.measures) * _MEASURE_PX)
    options = toolkit_options(width_px, int(excerpt.digest[-7:], 16) + 1)
    options |= {
        "scale": _SCALE_PERCENT,
        "pageWidth": round(min(width_px, max(wanted, NARROWEST_PX)) * 100 / _SCALE_PERCENT),
        "minLastJustification": 0,  # the staff keeps its width while it fills
        "mnumInterval": 1 if len(excerpt.measures) > 1 else 0,
        "pageMarginTop": 60,
        "pageMarginBottom": 60,
    }
    mei = mei_text(excerpt, unfinished=True)
    if asked.pitches_only:
        mei = mei.replace("<scoreDef ", '<scoreDef meter.visible="false" ', 1)
    toolkit = loaded_toolkit(mei, options)
    if toolkit.getPageCount() > 1:
        raise MediaError(f"measures {asked.measures}: more than one picture holds; ask for fewer")
    return finished_svg(toolkit.renderToSVG(1), excerpt, (), "")
