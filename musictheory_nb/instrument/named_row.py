"""Rows of the tables beside these modules, and finding one by its name as musicians write it."""

import re
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType

from musictheory_nb.errors import AmbiguousError, InstrumentError

Row = Mapping[str, str]


def read_rows(file_name: str) -> tuple[dict[str, str], ...]:
    """Rows of a tab-separated table in this folder, by the names of their columns.

    Examples
    --------
    >>> read_rows("tuning.tsv")[0]["strings"]
    'E1 A1 D2 G2'
    """
    text = Path(__file__).with_name(file_name).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    columns = lines[0].split("\t")
    return tuple(dict(zip(columns, line.split("\t"), strict=True)) for line in lines[1:])


def parted(cell: str) -> tuple[str, ...]:
    """Entries of a cell that are parted by semicolons.

    Examples
    --------
    >>> parted("cor anglais; English horn in F"), parted("")
    (('cor anglais', 'English horn in F'), ())
    """
    return tuple(entry.strip() for entry in cell.split(";") if entry.strip())


def plain_name(text: str) -> str:
    """Name without what writers differ in: case, spaces, hyphens, ♭ or b or "flat", "five" or 5, "sax".

    Examples
    --------
    >>> plain_name("Clarinet in B flat") == plain_name("clarinet in B♭") == plain_name("CLARINET in Bb")
    True
    >>> plain_name("five-string bass guitar")
    '5 string bass guitar'
    """
    words = text.casefold().replace("♭", "b").replace("♯", "#").replace("-", " ").split()
    joined = " ".join(_SAME.get(word, word) for word in words)
    return re.sub(r"\b([a-g]) flat\b", r"\1b", joined)


#: Words of one meaning.
_SAME = MappingProxyType({"four": "4", "five": "5", "six": "6", "seven": "7", "sax": "saxophone"})


def row_named(text: str, what: str, rows: Mapping[str, Row]) -> Row:
    """Row that bears a name.

    Parameters
    ----------
    text : str
        The name.
    what : str
        What it names, for the message: ``'instrument'``.
    rows : mapping
        Rows by every plain name.

    Raises
    ------
    AmbiguousError
        Several rows have the words of the text in their names: "bass".
    InstrumentError
        No row bears the name; the nearest names are given.

    Examples
    --------
    >>> rows = {"tenor banjo": {"name": "tenor banjo"}, "viola": {"name": "viola"}}
    >>> row_named("Tenor  Banjo", "instrument", rows)["name"]
    'tenor banjo'
    >>> row_named("voila", "instrument", rows)
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: instrument 'voila': is not in the table; did you mean 'viola'?
    """
    plain = plain_name(text)
    if plain in rows:
        return rows[plain]
    words = _words(plain)
    same = {row["name"]: row for name, row in rows.items() if _words(name) == words}
    if len(same) == 1:
        return next(iter(same.values()))
    readings = tuple(dict.fromkeys(row["name"] for name, row in rows.items() if words and words <= _words(name)))
    if len(readings) == 1:
        raise InstrumentError(f"{what} {text!r}: write it whole: {readings[0]!r}")
    if readings:
        raise AmbiguousError(f"{what} {text!r}: say which: {_either(readings)}", readings)
    near = tuple(dict.fromkeys(rows[name]["name"] for name in get_close_matches(plain, rows, 3, 0.7)))
    known = tuple(dict.fromkeys(row["name"] for row in rows.values()))
    hint = f"did you mean {_either(near)}?" if near else f"known are {', '.join(map(repr, known))}"
    raise InstrumentError(f"{what} {text!r}: is not in the table; {hint}")


def _words(plain: str) -> frozenset[str]:
    """Words of a plain name, in whatever order: "Bb clarinet" and "clarinet in Bb" have the same."""
    return frozenset(plain.split()) - {"in"}


def _either(names: tuple[str, ...]) -> str:
    quoted = [repr(name) for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"
