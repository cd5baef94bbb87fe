"""Text that nobody vouches for, as one harmless line for a terminal, a table or a page."""

import unicodedata
from typing import Final

#: Longest line, in characters.
MAX_LINE: Final = 240


def plain_line(text: str, limit: int = MAX_LINE) -> str:
    r"""Return `text` on one line: blanks run together, control and direction characters shown as ``·``, cut at `limit`.

    Nothing is escaped for HTML, CSV or a terminal's markup here; each writer does that for itself.

    Examples
    --------
    >>> plain_line("two\nlines \x1b[31mred")
    'two lines ·[31mred'
    >>> plain_line("x" * 10, limit=4)
    'xxx…'
    """
    shown = "".join(
        " " if letter.isspace() else "·" if unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co", "Cn") else letter
        for letter in text[: 4 * limit]
    )
    line = " ".join(shown.split())
    return line if len(line) <= limit else line[: limit - 1] + "…"
