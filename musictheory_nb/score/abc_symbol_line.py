"""Symbol lines of ABC (``s:``): chord symbols, annotations and decorations, one for each note above (`aligned_symbols`).

Conventions: ABC 2.1, section 4.15. ``*`` passes a note by, ``|`` goes on to the next bar. Grace notes and rests take no
symbol.
"""

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

_SYMBOL: Final = re.compile(r"\"([^\"]*)\"|!([^!\s]{1,40})!|(\*)|(\|)|([~.H-Wh-w])")


class AlignedSymbol(NamedTuple):
    """A symbol, the place among the notes at which it stands, and of what kind it is: quoted, named, or a short cut."""

    note: int
    kind: str
    text: str


def aligned_symbols(line: str, measures: Sequence[int]) -> list[AlignedSymbol]:
    """Return the symbols of a line; `measures` are those in which the notes above stand.

    Examples
    --------
    >>> [tuple(symbol) for symbol in aligned_symbols('"Am" * !>! | T', [0, 0, 0, 0, 1])]
    [(0, 'quoted', 'Am'), (2, 'named', '>'), (4, 'short', 'T')]
    """
    found: list[AlignedSymbol] = []
    at = 0
    bar = measures[0] if measures else 0
    for quoted, named, skipped, closes, short in _SYMBOL.findall(line):
        if closes:
            bar += 1
            at = next((note for note, measure in enumerate(measures) if measure >= bar), len(measures))
            continue
        if at >= len(measures):
            break
        if not skipped:
            kind = "named" if named else "short" if short else "quoted"
            found.append(AlignedSymbol(at, kind, named or short or quoted))
        at += 1
    return found
