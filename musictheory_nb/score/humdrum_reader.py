"""Humdrum text to a `Draft`, read by music21."""

import logging
import re
import warnings
from typing import Final

from musictheory_nb.errors import MusicTheoryError, ScoreError
from musictheory_nb.score.draft import Draft
from musictheory_nb.score.stream_reader import read_stream
from musictheory_nb.score.time_limit import within_seconds

#: Longest that music21 may take over one file, in seconds of computing.
LIMIT_S: Final = 25.0
#: Most lines of a Humdrum file.
MAX_LINES: Final = 100_000


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
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return read_stream(converter.parseData(text, format="humdrum"))

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
