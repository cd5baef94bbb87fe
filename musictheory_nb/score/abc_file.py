"""An ABC file split into its tunes, each with its header fields and body lines.

Conventions: ABC 2.1 (abcnotation.com standard). A tune begins with ``X:``; fields before the first tune hold for all of
them; a blank line ends a tune; ``%`` begins a remark; ``+:`` goes on with the field before. Texts between
``%%begintext`` and ``%%endtext`` are no music.
"""

import re
from dataclasses import dataclass, field
from typing import Final

from musictheory_nb.errors import ScoreError

#: Most tunes of one file.
MAX_TUNES: Final = 20_000
#: Directives that say how the music is to be read; they may be written as fields (``I:``) too.
_DIRECTIVES: Final = ("%%propagate-accidentals", "%%linebreak", "%%abc-include")
_FIELD: Final = re.compile(r"([A-Za-z]):\s*(.*)")


@dataclass(slots=True)
class AbcTune:
    """One tune.

    Parameters
    ----------
    number : str
        What stands after ``X:``.
    header : list of (str, str)
        Fields up to the key, in order.
    body : list of str
        Lines of music and fields after the key.
    """

    number: str
    header: list[tuple[str, str]] = field(default_factory=list)
    body: list[str] = field(default_factory=list)

    def first(self, letter: str) -> str:
        """Return the first field of that letter, ``''`` without one."""
        return next((value for name, value in self.header if name == letter), "")

    def last(self, letter: str) -> str:
        """Return the last field of that letter, which is the one that holds; ``''`` without one."""
        return next((value for name, value in reversed(self.header) if name == letter), "")


def without_remark(line: str) -> str:
    r"""Return a line up to its remark; ``\%`` is a percent sign."""
    return re.split(r"(?<!\\)%", line, maxsplit=1)[0].rstrip()


def split_tunes(text: str) -> list[AbcTune]:
    r"""Return the tunes of an ABC file.

    Raises
    ------
    ScoreError
        It has none, or more than `MAX_TUNES`.

    Examples
    --------
    >>> tunes = split_tunes("M:4/4\n\nX:1\nT:One\nK:C\nCDEF|\n\nX:2\nK:G\nGABc|\n")
    >>> [(tune.number, tune.last("K"), tune.last("M"), tune.body) for tune in tunes]
    [('1', 'C', '4/4', ['CDEF|']), ('2', 'G', '4/4', ['GABc|'])]
    """
    tunes: list[AbcTune] = []
    shared: list[tuple[str, str]] = []
    tune: AbcTune | None = None
    in_header = False
    typeset = False
    for raw in text.replace("\r\n", "\n").replace("\r", "\n").split("\n"):
        line = without_remark(raw).strip()
        if raw.startswith("%%begin") or (typeset and not raw.startswith("X:")):  # text to be printed, not music
            typeset = not raw.startswith("%%end")
            continue
        typeset = False
        if not raw.strip():
            tune = None
            continue
        if raw.startswith(_DIRECTIVES):
            line = f"I:{raw[2:].strip()}"
        elif raw.lstrip().startswith("%"):
            continue
        if line.startswith("+:"):
            _go_on(line[2:].strip(), tune, in_header)
            continue
        match = _FIELD.fullmatch(line)
        letter = match[1] if match else ""
        if match and letter == "X":
            if len(tunes) >= MAX_TUNES:
                raise ScoreError(f"this ABC file has more than {MAX_TUNES} tunes")
            tune = AbcTune(match[2].strip(), list(shared))
            tunes.append(tune)
            in_header = True
        elif tune is None:
            if match and not tunes:
                shared.append((letter, match[2].strip()))
        elif in_header and match:
            tune.header.append((letter, match[2].strip()))
            if letter == "K":
                in_header = False
                tune.body.clear()  # what stood between the fields was no music
        elif line:
            tune.body.append(line)
    if not tunes:
        raise ScoreError("this ABC text has no tune: a tune begins with a line such as 'X:1'")
    return tunes


def _go_on(text: str, tune: AbcTune | None, in_header: bool) -> None:
    """Add to the field before what ``+:`` continues."""
    if tune is None:
        return
    if in_header and tune.header:
        letter, value = tune.header[-1]
        tune.header[-1] = (letter, f"{value} {text}")
    elif not in_header and tune.body and _FIELD.match(tune.body[-1]):
        tune.body[-1] += f" {text}"
