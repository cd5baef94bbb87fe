"""Note names in a finished sentence of `theory`, put into another system of names."""

import re
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.display_settings import Display

#: What may follow the note A; before any other small letter it is the article.
_AFTER_A: Final = (
    "and", "or", "is", "to", "up", "down", "in", "of", "over", "altered", "harmonic", "melodic", "major", "minor",
    "half-whole", "whole-half", "whole tone holds", "whole tone fits", "whole tone does",
)  # fmt: skip
_NOTE: Final = re.compile(
    rf"(?<![\w♯♭°])(?:(?P<a>A)(?= [a-z])(?! (?:{'|'.join(_AFTER_A)})\b)"
    r"|(?P<name>[A-G][♯♭𝄪𝄫]*)(?=$|[\s.,;:)/]|\d|m|maj|dim|aug|sus|alt|add|°|ø|\())"
)


@lru_cache(maxsize=8192)
def renamed(text: str, names: str) -> str:
    """Return `text` with its note names, and the roots and basses of its chord symbols, in a system of names.

    Parameters
    ----------
    text : str
        English names with printed accidentals, as `theory` writes them.
    names : str
        One of `display_settings.NAME_SYSTEMS`.

    Examples
    --------
    >>> renamed("B Phrygian holds every tone of B7sus4: B, E, F♯ and A. A suspended chord.", "german")
    'H Phrygian holds every tone of H7sus4: H, E, Fis and A. A suspended chord.'
    >>> renamed("Do not rest on F (11), a half step above E (3).", "fixed-do")
    'Do not rest on Fa (11), a half step above Mi (3).'
    """
    if names == "english":
        return text
    display = Display(names)
    return _NOTE.sub(lambda match: match["a"] or display.note(match["name"]), text)
