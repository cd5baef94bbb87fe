"""Small numbers and lists in the words of a sentence."""

from collections.abc import Sequence
from typing import Final

_WORDS: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "twenty-one",
    "twenty-two", "twenty-three", "twenty-four",
)  # fmt: skip


def counted(number: int, noun: str, plural: str = "") -> str:
    """Return `number` with its noun, in words up to twenty-four.

    Examples
    --------
    >>> counted(6, "semitone"), counted(1, "sharp"), counted(0, "semitone"), counted(30, "measure")
    ('six semitones', 'one sharp', 'no semitones', '30 measures')
    """
    word = _WORDS[number] if 0 <= number < len(_WORDS) else str(number)
    return f"{word} {noun if number == 1 else plural or noun + 's'}"


def listed(words: Sequence[str], joint: str = "and") -> str:
    """Return `words` as a list in a sentence.

    Examples
    --------
    >>> listed(["C", "E", "G"]), listed(["A4", "d5"], "or"), listed(["C"])
    ('C, E and G', 'A4 or d5', 'C')
    """
    return " ".join(filter(None, (", ".join(words[:-1]), joint if len(words) > 1 else "", *words[-1:])))


def sentence(text: str) -> str:
    """Return `text` with a capital letter and a full stop.

    Examples
    --------
    >>> sentence("a double bar stands before it"), sentence("It is C.")
    ('A double bar stands before it.', 'It is C.')
    """
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
