"""One finding about texture: what, where, in which parts, and a plain sentence (`TextureSpan`)."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.score.score import Score

#: What is found.
KINDS: Final = (
    "solo",
    "tutti",
    "unison",
    "octaves",
    "doubling",
    "trading",
    "call and response",
    "pedal point",
    "inner pedal point",
    "upper pedal point",
    "ostinato",
    "ground bass",
)


@dataclass(frozen=True, slots=True)
class TextureSpan:
    """One span of a texture.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    first, last : int
        Indices of its measures as written, both included.
    first_measure, last_measure : str
        Their numbers, as players count.
    parts : tuple of int
        Indices of the parts that make it.
    sentence : str
        What happens, in words.
    confidence : float
        From 0 to 1.
    pitch : str
        Of a pedal point: its pitch class, ``'Eb'``; else ``''``.
    turns : tuple of (tuple of int, int)
        Of trading: the parts of each turn and its length in bars.
    period : int
        Of an ostinato or a ground bass: length of the figure in bars, else 0.
    """

    kind: str
    first: int
    last: int
    first_measure: str
    last_measure: str
    parts: tuple[int, ...]
    sentence: str
    confidence: float
    pitch: str = ""
    turns: tuple[tuple[tuple[int, ...], int], ...] = ()
    period: int = 0


def part_names(score: Score, parts: Sequence[int]) -> str:
    """Return the names of parts as text: ``'Flute, Oboe and Horn'``."""
    names = [score.parts[part].name for part in parts]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def bars_text(score: Score, first: int, last: int) -> str:
    """Return measures as text: ``'bars 3-6'``, ``'bar 3'``."""
    one, other = score.measures[first].number, score.measures[last].number
    return f"bar {one}" if one == other else f"bars {one}-{other}"


def span(
    score: Score, kind: str, first: int, last: int, parts: Sequence[int], told: str, confidence: float
) -> TextureSpan:
    """Return a finding, its sentence begun with the bars."""
    numbers = (score.measures[first].number, score.measures[last].number)
    sentence = f"{bars_text(score, first, last)}: {told}"
    return TextureSpan(
        kind, first, last, *numbers, tuple(parts), sentence[0].upper() + sentence[1:], round(confidence, 2)
    )
