"""Text in a table that a spreadsheet opens and must never take for a formula."""

import re
from typing import Final

#: A cell that begins with one of these is a formula to a spreadsheet (the full-width forms to one set to East Asian text).
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
#: A spreadsheet that is set to another separator than the file's cuts cells apart there.
_AFTER_SEPARATOR: Final = re.compile(r"([,;|\t\r\n][\s\"']*)(?=[=+\-@＝＋－＠])")


def cell_text(value: str) -> str:
    """Return a text as a spreadsheet cell that is never taken for a formula, whatever separates its cells.

    Notes
    -----
    Text that would be a formula is preceded by an apostrophe, as the OWASP notes on CSV injection advise; so is what
    would become one where the text is cut at a comma, semicolon, bar, tab or line end.

    Examples
    --------
    >>> cell_text("=1+1"), cell_text(" @x"), cell_text("Inés"), cell_text("Ada;=1+1")
    ("'=1+1", "' @x", 'Inés', "Ada;'=1+1")
    """
    value = _AFTER_SEPARATOR.sub(r"\1'", value)
    risky = value.lstrip(" ").startswith(FORMULA_STARTS) or value.lstrip().startswith(FORMULA_STARTS)
    return f"'{value}" if risky else value
