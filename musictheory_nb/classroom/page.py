"""A self-contained HTML page: no script, nothing fetched, every text escaped."""

import base64
import hashlib
import html
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final


class Markup(str):
    """Text that is HTML already; every other text is escaped where it is put into a page."""

    __slots__ = ()


def escaped(text: str) -> Markup:
    """Return `text` as HTML that shows it letter by letter.

    Examples
    --------
    >>> escaped("<b> & 'x'")
    '&lt;b&gt; &amp; &#x27;x&#x27;'
    >>> escaped(element("b", "x"))
    '<b>x</b>'
    """
    return text if isinstance(text, Markup) else Markup(html.escape(text))


def joined(*parts: str) -> Markup:
    """Return the parts one after the other, each escaped unless it is HTML."""
    return Markup("".join(escaped(part) for part in parts))


def element(name: str, *content: str, **attributes: str) -> Markup:
    """Return an element. An attribute's trailing underscore is dropped; one that is empty is left out.

    Examples
    --------
    >>> element("th", "Items", scope="col", class_="")
    '<th scope="col">Items</th>'
    """
    told = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{html.escape(value)}"' for key, value in attributes.items() if value
    )
    return Markup(f"<{name}{told}>{joined(*content)}</{name}>")


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, and whether its cells are numbers."""

    heading: str
    is_number: bool = False


def table(
    caption: str,
    columns: Sequence[Column],
    rows: Iterable[Sequence[str]],
    foot: Sequence[str] = (),
    *,
    show_caption: bool = True,
) -> Markup:
    """Return a table whose first column heads its rows; it can be scrolled sideways, by keyboard too.

    Without `show_caption` the caption is there for a screen reader alone.
    """
    kinds = ["number" if column.is_number else "" for column in columns]

    def line(cells: Sequence[str]) -> Markup:
        first = element("th", cells[0], scope="row", class_=kinds[0])
        rest = (element("td", cell, class_=kind) for cell, kind in zip(cells[1:], kinds[1:], strict=True))
        return element("tr", first, *rest)

    heads = (element("th", c.heading, scope="col", class_=k) for c, k in zip(columns, kinds, strict=True))
    parts = [
        element("caption", caption, class_="" if show_caption else "spoken"),
        element("thead", element("tr", *heads)),
        Markup("\n"),
        element("tbody", *(joined(line(row), Markup("\n")) for row in rows)),
    ]
    if foot:
        parts.append(element("tfoot", line(foot)))
    return element("div", element("table", *parts), class_="wide", tabindex="0", role="group", aria_label=caption)


def picture(svg: str, alt: str, caption: str, words: str = "") -> Markup:
    """Return a figure with an SVG picture, as an image that can run nothing.

    With `words`, these can be opened below it, and where it is wider than the window it is scrolled, not shrunk.
    """
    data = base64.b64encode(svg.encode("utf-8")).decode("ascii")
    image = Markup(f'<img src="data:image/svg+xml;base64,{data}" alt="{html.escape(alt)}">')
    if not words:
        return element("figure", image, element("figcaption", caption))
    wide = element("div", image, class_="wide", tabindex="0", role="group", aria_label=shortened(alt))
    twin = element("details", element("summary", "In words"), element("p", words))
    return element("figure", wide, element("figcaption", caption), twin)


def shortened(text: str, letters: int = 60) -> str:
    """Return a text cut between words.

    Examples
    --------
    >>> shortened("Form of a piece", 10), shortened("Form")
    ('Form of a…', 'Form')
    """
    return text if len(text) <= letters else text[: letters + 1].rpartition(" ")[0] + "…"


#: What the page may do: show its own style sheet and pictures that it carries; nothing else.
POLICY: Final = "default-src 'none'; img-src data:; style-src 'sha256-{style}'; base-uri 'none'; form-action 'none'"


#: Added to the policy of a page with sound.
SOUND_POLICY: Final = "; media-src data:"


def page(title: str, style: str, *body: str, has_sound: bool = False) -> bytes:
    """Return the file of a page.

    Parameters
    ----------
    title, style : str
        Of the page; the style sheet's text.
    *body : str
        Its parts. The element ``main`` among them has the id ``main``, to which the first link leads.
    has_sound : bool
        Whether it carries sound, which it may then play.

    Notes
    -----
    The Content-Security-Policy names the style sheet by its SHA-256 (CSP level 3), so that no other style and no
    script can run, whatever a text may hold.
    """
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    policy = html.escape(POLICY.format(style=digest) + (SOUND_POLICY if has_sound else ""), quote=False)
    head = joined(
        Markup('<meta charset="utf-8">\n'),
        Markup(f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'),
        Markup('<meta name="viewport" content="width=device-width, initial-scale=1">\n'),
        Markup('<meta name="referrer" content="no-referrer">\n'),
        element("title", title),
        Markup(f"\n<style>{style}</style>\n"),
    )
    text = joined(
        Markup('<!DOCTYPE html>\n<html lang="en">\n'),
        element("head", head),
        Markup("\n"),
        element("body", element("a", "Skip to the content", href="#main", class_="skip"), Markup("\n"), *body),
        Markup("\n</html>\n"),
    )
    return text.encode("utf-8")
