"""What an answer about a chord is worth: its root, its quality and its inversion, against every reading that is right."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_vocabulary import (
    INVERSION_NAMES,
    QUALITY_NAMES,
    degrees_of,
    inversions_of,
    tone_names,
)
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.response import Option
from musictheory_nb.theory.chord_degree import DEGREE_CLASS

#: The questions about a chord, each with its share of the score where all are asked.
STEPS: Final = MappingProxyType({"root": 0.3, "quality": 0.5, "inversion": 0.2})
#: What a quality is worth: case, what it is, score.
QUALITY_CREDIT: Final = (
    ("right", "the quality itself", 1.0),
    ("seventh", "the right third and fifth, another or no seventh (or sixth)", 0.5),
    ("third", "the right third", 0.25),
    ("other", "any other quality", 0.0),
)
#: The table of a family's docstring.
CREDIT: Final = (
    ("quality", *QUALITY_CREDIT[0][1:]),
    *(("", *row[1:]) for row in QUALITY_CREDIT[1:]),
    ("inversion", "the tone in the bass; any, where they sound alike (augmented triad, diminished seventh)", 1.0),
)
_QUALITY_SCORES: Final = MappingProxyType({case: score for case, _, score in QUALITY_CREDIT})


@dataclass(frozen=True, slots=True)
class ChordReading:
    """One right reading of a chord; the root is empty where it is not asked."""

    quality: str
    inversion: int
    root: str = ""

    def value(self, step: str) -> str:
        """Return what the reading answers to a step."""
        return {"root": self.root, "quality": self.quality, "inversion": str(self.inversion)}[step]


@lru_cache(maxsize=4096)
def sound_above_bass(quality: str, inversion: int) -> frozenset[int]:
    """Return the pitch classes of a chord above its bass note.

    Examples
    --------
    >>> sorted(sound_above_bass("maj", 1)), sound_above_bass("6", 0) == sound_above_bass("m7", 1)
    ([0, 3, 8], True)
    """
    classes = [DEGREE_CLASS[degree] for degree in degrees_of(quality)]
    return frozenset((one - classes[inversion]) % 12 for one in classes)


def _cases(qualities: Iterable[str], inversions: Sequence[int]) -> list[tuple[str, int]]:
    return [(quality, one) for quality in qualities for one in inversions if one in inversions_of(quality)]


@lru_cache(maxsize=2048)
def readings_by_ear(
    quality: str, inversion: int, qualities: tuple[str, ...], inversions: tuple[int, ...]
) -> tuple[ChordReading, ...]:
    """Return the readings among those offered that sound alike, the one that was drawn first.

    Examples
    --------
    >>> [(one.quality, one.inversion) for one in readings_by_ear("6", 0, ("6", "m7"), (0, 1))]
    [('6', 0), ('m7', 1)]
    """
    sound = sound_above_bass(quality, inversion)
    alike = [case for case in _cases(qualities, inversions) if sound_above_bass(*case) == sound]
    alike.sort(key=lambda case: case != (quality, inversion))
    return tuple(ChordReading(*case) for case in alike)


@lru_cache(maxsize=4096)
def readings_by_sight(
    root: str, quality: str, inversion: int, qualities: tuple[str, ...], inversions: tuple[int, ...]
) -> tuple[ChordReading, ...]:
    """Return the readings among those offered that are spelled alike over the same bass, the one that was drawn first.

    Examples
    --------
    >>> [(one.root, one.quality) for one in readings_by_sight("C", "6", 0, ("6", "m7"), (0, 1))]
    [('C', '6'), ('A', 'm7')]
    """
    names = tone_names(root, quality)
    found = [ChordReading(quality, inversion, root)]
    for other in names:
        for kind, at in _cases(qualities, inversions):
            try:
                spelled = tone_names(other, kind)
            except TheoryError:
                continue
            reading = ChordReading(kind, at, other)
            if set(spelled) == set(names) and spelled[at] == names[inversion] and reading not in found:
                found.append(reading)
    return tuple(found)


@lru_cache(maxsize=4096)
def quality_case(right: str, given: str) -> str:
    """Return the case of `QUALITY_CREDIT`.

    Examples
    --------
    >>> [quality_case("maj7", one) for one in ("maj7", "7", "maj", "aug", "m7")]
    ['right', 'seventh', 'seventh', 'third', 'other']
    """
    return case_of_degrees(degrees_of(right), degrees_of(given))


def case_of_degrees(right: Sequence[str], given: Sequence[str]) -> str:
    """Return the case of `QUALITY_CREDIT` of chords given by their degrees.

    Examples
    --------
    >>> case_of_degrees(("1", "3", "5", "b7"), ("1", "3", "5", "7"))
    'seventh'
    """
    if right == given:
        return "right"
    parts = []
    for degrees in (right, given):
        third = next(
            (one for one in degrees if one in ("3", "b3")), ",".join(one for one in degrees if one in ("2", "4"))
        )
        parts.append((third, next((one for one in degrees if one.lstrip("b#") == "5"), "")))
    if parts[0] == parts[1]:
        return "seventh"
    return "third" if parts[0][0] == parts[1][0] else "other"


def step_scores(
    readings: Sequence[ChordReading], given: Mapping[str, str]
) -> tuple[ChordReading, dict[str, float], float]:
    """Return the reading that an answer agrees with best, the score of each step against it, and that of all.

    Parameters
    ----------
    readings : sequence of ChordReading
        All that are right.
    given : mapping
        Step to value; only steps that were asked.
    """
    best: tuple[ChordReading, dict[str, float], float] | None = None
    total = sum(STEPS[step] for step in given)
    for reading in readings:
        scores = {
            step: _QUALITY_SCORES[quality_case(reading.quality, value)]
            if step == "quality"
            else float(reading.value(step) == value)
            for step, value in given.items()
        }
        score = 1.0 if min(scores.values()) == 1.0 else sum(STEPS[step] * one for step, one in scores.items()) / total
        if best is None or score > best[2]:
            best = reading, scores, score
    assert best is not None
    return best


def right_values(readings: Sequence[ChordReading], step: str) -> list[str]:
    """Return what a step shows as right: one value a reading, so that the first of one step goes with that of another."""
    return list(dict.fromkeys(reading.value(step) for reading in readings))


@lru_cache(maxsize=256)
def quality_options(qualities: tuple[str, ...]) -> tuple[Option, ...]:
    """Return the buttons of the qualities."""
    return tuple(Option(quality, QUALITY_NAMES[quality]) for quality in qualities)


@lru_cache(maxsize=64)
def inversion_options(inversions: tuple[int, ...]) -> tuple[Option, ...]:
    """Return the buttons of the inversions, from root position on."""
    return tuple(Option(str(one), INVERSION_NAMES[one]) for one in sorted(inversions))


def value_words(step: str, value: str, display: Display) -> str:
    """Return the value of a step in words."""
    if step == "root":
        return display.note(value)
    return QUALITY_NAMES[value] if step == "quality" else INVERSION_NAMES[int(value)]
