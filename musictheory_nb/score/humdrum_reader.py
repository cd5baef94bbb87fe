"""Humdrum text to a `Draft`, read by music21."""

import contextlib
import io
import logging
import re
import warnings
from typing import Final

from musictheory_nb.errors import MusicTheoryError, ScoreError
from musictheory_nb.score.draft import Draft
from musictheory_nb.score.section_order import spans_of
from musictheory_nb.score.stream_reader import read_stream
from musictheory_nb.score.time_limit import within_seconds

#: Longest that music21 may take over one file, in seconds of computing.
LIMIT_S: Final = 25.0
#: Most lines of a Humdrum file.
MAX_LINES: Final = 100_000
#: Humdrum's codes of instruments that read several staves.
_STAFF_PAIRS: Final = ("*Ipiano", "*Iforte", "*Icemba", "*Iclavi", "*Ihpsch", "*Iorgan", "*Iharp", "*Icelst", "*Iaccor")
_LEFT_OUT: Final = re.compile(r"Error in parsing event \((.*?)\) at line (\d+)")


def read_humdrum(data: bytes) -> Draft:
    """Read a Humdrum score.

    Raises
    ------
    ScoreError
        music21 cannot read it, or takes longer than `LIMIT_S`.
    """
    text = _humdrum_text(data)
    from music21 import converter

    def read() -> Draft:
        said = io.StringIO()
        with warnings.catch_warnings(), contextlib.redirect_stderr(said):
            warnings.simplefilter("ignore")
            stream = converter.parseData(text, format="humdrum")
        # music21 leaves out what it cannot read and says so on the error stream alone.
        if left_out := _LEFT_OUT.search(said.getvalue()):
            raise ScoreError(f"line {left_out[2]}: {left_out[1][:60]} cannot be read as Humdrum")
        draft = read_stream(stream, _staves(text))
        _expand(text, draft)
        return draft

    level = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        return within_seconds(LIMIT_S, "reading this Humdrum file", read)
    except MusicTheoryError:
        raise
    except RecursionError:
        raise ScoreError("this Humdrum file is damaged: it is nested without end") from None
    except Exception as error:
        said = " ".join(str(error).split())[:200]
        raise ScoreError(f"this Humdrum file cannot be read: {type(error).__name__}: {said}") from None
    finally:
        logging.disable(level)


def _expand(text: str, draft: Draft) -> None:
    """Set the order of sections of the file's expansion list; the one named ``norep`` is for analysis."""
    lines = [line.split("\t")[0] for line in text.splitlines()]
    order = next((match[1] for line in lines if (match := re.fullmatch(r"\*>\[([^\[\]]*)\]", line))), "")
    names = [name.strip() for name in order.split(",") if name.strip()]
    if not names:
        return
    starts: dict[str, int] = {}
    measure, begun = 0, False
    for line in lines:
        if line.startswith("="):
            measure, begun = measure + begun, False
        elif label := re.fullmatch(r"\*>([^\[\]]+)", line):
            starts.setdefault(label[1], measure)
        elif line and not line.startswith(("*", "!")):
            begun = True
    try:
        if measure + begun != len(draft.measures):
            raise ScoreError("the barlines are others than those that were read")
        spans = spans_of(names, starts, len(draft.measures))
    except ScoreError:
        draft.notices.append(f"the file asks for its sections in the order {order[:60]!r}; they stand as written")
        return
    draft.sections = [(first, last, False) for first, last in spans]


def _staves(text: str) -> list[int]:
    r"""Return how many staves each player has, from the uppermost: neighbouring spines of one keyboard or harp are one.

    Examples
    --------
    >>> _staves("**kern\t**kern\t**kern\n*Ipiano\t*Ipiano\t*Ivioln\n")
    [1, 2]
    """
    lines = text.splitlines()
    start = next((line.split("\t") for line in lines if line.startswith("**")), [])
    spines = [place for place, kind in enumerate(start) if kind == "**kern"]
    codes: list[str] = [""] * len(start)
    for line in lines:
        tokens = line.split("\t")
        if len(tokens) == len(start) and all(token.startswith("*") for token in tokens):
            codes = [
                token if re.fullmatch(r"\*I[a-z]+", token) else known
                for token, known in zip(tokens, codes, strict=True)
            ]
        elif not line.startswith(("!", "*")) and line:
            break
    counts: list[int] = []
    previous = ""
    for place in reversed(spines):  # the leftmost spine is the lowest
        if codes[place] in _STAFF_PAIRS and codes[place] == previous:
            counts[-1] += 1
        else:
            counts.append(1)
        previous = codes[place]
    return counts


def _humdrum_text(data: bytes) -> str:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if text.count("\n") > MAX_LINES:
        raise ScoreError(f"the file has more than {MAX_LINES} lines")
    if number := re.search(r"\d{5,}(?=[A-Ga-gr.])", text):
        raise ScoreError(f"length {number[0][:20]!r}: no note is that short")
    return text
