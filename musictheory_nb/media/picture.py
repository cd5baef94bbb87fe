"""A plotted picture with a sentence for those who do not see it: safe for colour-blind eyes, for print and dark themes.

Colours are Okabe and Ito's, and whatever a colour tells, a pattern or a place tells too. Ink is the theme's where the
picture stands in a notebook page, dark where it stands in an image on white. Equal figures give equal bytes: no date,
no identity drawn by lot, no state shared between figures (matplotlib's object interface, never pyplot).

References
----------
M. Okabe, K. Ito, "Color Universal Design (CUD): how to make figures and presentations that are friendly to colorblind
people", 2002, revised 2008 (the palette of eight).
"""

import re
import warnings
from dataclasses import dataclass, field
from io import StringIO
from types import MappingProxyType
from typing import Any, Final
from xml.sax.saxutils import escape, quoteattr

from musictheory_nb.errors import MediaError

OKABE_ITO: Final = MappingProxyType(
    {
        "black": "#000000",
        "orange": "#e69f00",
        "sky blue": "#56b4e9",
        "bluish green": "#009e73",
        "yellow": "#f0e442",
        "blue": "#0072b2",
        "vermillion": "#d55e00",
        "reddish purple": "#cc79a7",
    }
)
#: Patterns that go with the colours; told apart in grey as well.
HATCHES: Final = ("//", "\\\\", "xx", "--", "||", "++")
#: Stands for the theme's ink while a figure is drawn.
INK: Final = "#1b1c1e"
_THEME_INK: Final = f"var(--jp-content-font-color1, {INK})"

#: Decimals of a place in points that nobody sees.
_LONG_NUMBER: Final = re.compile(r"(\.\d\d)\d+")

_SETTINGS: Final = MappingProxyType(
    {
        "axes.edgecolor": INK,
        "axes.labelcolor": INK,
        "axes.spines.right": False,
        "axes.spines.top": False,
        "font.family": "sans-serif",
        "font.size": 11.0,
        "hatch.linewidth": 0.7,
        "path.simplify": False,
        "svg.fonttype": "none",
        "text.color": INK,
        "text.usetex": False,
        "xtick.color": INK,
        "ytick.color": INK,
    }
)


@dataclass(frozen=True)
class Picture:
    """A picture, ready to be shown.

    Parameters
    ----------
    svg : str
        An SVG element.
    alt : str
        What it shows, with the numbers.
    """

    svg: str = field(repr=False)
    alt: str

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        return {"text/html": self.svg, "text/plain": self.alt}


def settings(salt: str = "") -> Any:
    """Return a context in which figures are drawn in the house style, whatever the user's own settings are.

    Parameters
    ----------
    salt : str
        Names in the SVG are derived from it and from what is drawn.

    Examples
    --------
    >>> with settings():
    ...     from matplotlib import rcParams
    ...     rcParams["axes.spines.top"]
    False
    """
    import matplotlib

    house = {**matplotlib.rcParamsDefault, **_SETTINGS, "svg.hashsalt": salt or "musictheory_nb"}
    house.pop("backend", None)  # no window system is to be looked for
    return matplotlib.rc_context({key: house[key] for key in house if key not in ("backend_fallback", "interactive")})


def new_figure(width_in: float, height_in: float) -> Any:
    """Return an empty figure of matplotlib, on a canvas of its own; make it and fill it inside `settings`.

    Examples
    --------
    >>> with settings():
    ...     [float(side) for side in new_figure(6, 2).get_size_inches()]
    [6.0, 2.0]
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width_in, height_in), layout="constrained")
    FigureCanvasAgg(figure)
    return figure


def finished_picture(figure: Any, alt: str) -> Picture:
    """Return `figure` as a picture; call it inside `settings`.

    Raises
    ------
    MediaError
        There is no alt text.

    Examples
    --------
    >>> with settings():
    ...     finished_picture(new_figure(1, 1), "")
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: alt '': say in a sentence what the picture shows, with its numbers
    """
    if not alt.strip():
        raise MediaError(f"alt {alt!r}: say in a sentence what the picture shows, with its numbers")
    out = StringIO()
    with warnings.catch_warnings():
        # Text stays text, to be drawn by the reader's own fonts: those here need not have its letters.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure.savefig(out, format="svg", transparent=True, metadata={"Date": None, "Creator": None, "Format": None})
    svg = out.getvalue()
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"\s*<metadata>.*?</metadata>", "", svg, count=1, flags=re.DOTALL)
    svg = re.sub(r' d="[^"]*"', lambda drawn: _LONG_NUMBER.sub(r"\1", drawn[0]), svg)
    svg = svg.replace(INK, _THEME_INK)
    opening, rest = svg.split(">", 1)
    named = f'{opening} role="img" aria-label={quoteattr(alt)} style="max-width: 100%; height: auto"'
    return Picture(f"{named}><desc>{escape(alt)}</desc>{rest}".strip(), alt)
