"""What chord namers look for: the named qualities by pitch class, with what each may lack and what that costs.

Costs are small whole numbers; the cheapest reading comes first. They weigh how common a chord is, how it lies, and
what it leaves out, and are the taught practice of naming chords put in numbers (common practice, no source).
"""

from collections.abc import Iterator
from itertools import combinations
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.theory.chord_degree import DEGREE_CLASS, DEGREE_FIFTHS, DEGREE_PARTS, in_order
from musictheory_nb.theory.chord_quality import QUALITIES

#: How much speaks against a quality, by suffix; qualities that are not listed are not looked for.
QUALITY_COSTS: Final = MappingProxyType(
    {
        "": 0,
        "m": 0,
        "dim": 4,
        "aug": 6,
        "5": 3,
        "sus4": 8,
        "sus2": 9,
        "sus2sus4": 18,
        "(b5)": 16,
        "m(#5)": 20,
        "6": 7,
        "m6": 8,
        "6/9": 9,
        "m6/9": 10,
        "add9": 10,
        "m(add9)": 11,
        "add11": 14,
        "7": 3,
        "maj7": 3,
        "m7": 3,
        "m7b5": 5,
        "dim7": 5,
        "m(maj7)": 9,
        "dim(maj7)": 12,
        "7sus4": 8,
        "7sus2": 14,
        "maj7sus4": 13,
        "7#5": 9,
        "7b5": 10,
        "maj7#5": 10,
        "maj7b5": 20,
        "m7#5": 15,
        "9": 5,
        "maj9": 5,
        "m9": 5,
        "m9b5": 9,
        "m(maj9)": 11,
        "9sus4": 9,
        "maj9sus4": 16,
        "dim9": 16,
        "9#5": 11,
        "9b5": 12,
        "maj9#5": 13,
        "11": 9,
        "m11": 8,
        "maj11": 14,
        "m11b5": 11,
        "m(maj11)": 15,
        "m7(add11)": 10,
        "13": 8,
        "maj13": 10,
        "m13": 11,
        "m(maj13)": 16,
        "13sus4": 11,
        "7b9": 6,
        "7#9": 7,
        "7#11": 8,
        "7b13": 10,
        "7sus4(b9)": 10,
        "maj7#11": 8,
        "maj9#11": 9,
        "maj13#11": 11,
        "9#11": 9,
        "9b13": 12,
        "13b9": 9,
        "13#9": 11,
        "13#11": 10,
        "m7b9": 16,
        "m7b13": 16,
        "7alt": 10,
        "It+6": 7,
        "Fr+6": 6,
        "Ger+6": 6,
        "Tristan": 12,
    }
)
#: Dominants with two or more alterations cost this much, and as much again as they have tones above the seventh.
ALTERED_DOMINANT_COST: Final = 8
#: Cost of a degree in the bass, by its number; a root in the bass costs nothing.
BASS_COSTS: Final = MappingProxyType({1: 0, 2: 19, 3: 8, 4: 19, 5: 9, 6: 12, 7: 11})
HIGH_BASS_COST: Final = 25
ALTERED_BASS_COST: Final = 6
#: More for sixths, suspensions and symmetric chords with another tone than their root in the bass: each is another
#: chord in root position.
OTHER_NAME_COST: Final = 7
SYMMETRIC_COST: Final = 3
#: Cost of a left-out fifth: of a triad, of a seventh or sixth chord, of a larger chord; of other optional tones.
NO_FIFTH_COSTS: Final = MappingProxyType({3: 16, 4: 8})
NO_FIFTH_OF_LARGER_COST: Final = 5
OMITTED_COSTS: Final = MappingProxyType({"9": 3, "11": 0, "tension": 4})
#: Cost of a chord without its root, as pianists and guitarists voice it over a bass player.
ROOTLESS_COST: Final = 26
#: Cost of a chord over a bass note that is none of its tones.
FOREIGN_BASS_COST: Final = 16

_SEVENTHS: Final = ("b7", "7")
_ALTERED: Final = frozenset(("b5", "#5", "b9", "#9", "#11", "b13"))
_ALL_ALTERED: Final = frozenset(("b9", "#9", "#11", "b13"))  # that is the altered dominant, which has no fifth
_AUGMENTED_SIXTHS: Final = ("It+6", "Fr+6", "Ger+6")


class Template(NamedTuple):
    """A quality to look for.

    Attributes
    ----------
    degrees : tuple of str
        Degrees of the chord.
    cost : int
        What speaks against the quality.
    fifths : tuple of int
        Distance from the root on the line of fifths, by semitones above the root; meaningless where it has no tone.
    bass_costs : tuple of int
        Cost of each semitone above the root as the bass.
    by_spelling : bool
        Whether only its spelling tells it from a more common chord (augmented sixths).
    """

    degrees: tuple[str, ...]
    cost: int
    fifths: tuple[int, ...]
    bass_costs: tuple[int, ...]
    by_spelling: bool


class Match(NamedTuple):
    """A template that a set of pitch classes above a root stands for, the degrees it then lacks, and the cost."""

    cost: int
    template: Template
    missing: tuple[str, ...]


def _template(degrees: tuple[str, ...], cost: int, suffix: str = "") -> Template:
    fifths, bass = [0] * 12, [HIGH_BASS_COST] * 12
    numbers = {DEGREE_PARTS[degree][0] for degree in degrees}
    by_spelling = suffix in _AUGMENTED_SIXTHS or suffix == "Tristan"
    other = OTHER_NAME_COST if numbers & {2, 4, 6} else SYMMETRIC_COST if suffix in ("aug", "dim7") else 0
    for degree in degrees:
        number, place = DEGREE_PARTS[degree][0], DEGREE_CLASS[degree]
        fifths[place] = DEGREE_FIFTHS[degree]
        bass[place] = BASS_COSTS.get(number, HIGH_BASS_COST) + (other if number > 1 else 0)
        if number == 5 and degree != "5" and suffix not in ("dim", "dim7", "m7b5", "aug", "7#5", "7b5"):
            bass[place] += ALTERED_BASS_COST
        if by_spelling and number in (4, 6):
            bass[place] = BASS_COSTS[3]
    return Template(degrees, cost, tuple(fifths), tuple(bass), by_spelling)


def _altered_dominants() -> Iterator[tuple[str, ...]]:
    """Degrees of every dominant with an altered fifth, ninth, eleventh or thirteenth."""
    for fifth in ("5", "b5", "#5"):
        for ninths in ((), ("9",), ("b9",), ("#9",), ("b9", "#9")):
            for elevenths in ((), ("#11",)):
                for thirteenths in ((), ("13",), ("b13",)):
                    if (fifth == "b5" and elevenths) or (fifth == "#5" and thirteenths == ("b13",)):
                        continue  # the same sound twice
                    if thirteenths == ("13",) and not ninths:
                        continue  # a thirteenth without its ninth
                    natural = ("11",) if thirteenths == ("13",) and not elevenths else ()
                    degrees = in_order(("1", "3", fifth, "b7", *ninths, *elevenths, *natural, *thirteenths))
                    if not _ALTERED.isdisjoint(degrees) and not _ALL_ALTERED.issubset(degrees):
                        yield degrees


def _templates() -> tuple[Template, ...]:
    found = {
        row.degrees: _template(row.degrees, QUALITY_COSTS[row.suffix], row.suffix)
        for row in QUALITIES
        if row.suffix in QUALITY_COSTS
    }
    for degrees in _altered_dominants():
        if degrees not in found:
            found[degrees] = _template(degrees, ALTERED_DOMINANT_COST + len(degrees) - 4)
    for degrees, cost in ((("1", "5", "b7"), 14), (("1", "5", "7"), 15)):  # nothing says what their third is
        found[degrees] = _template(degrees, cost)
    return tuple(found.values())


def _omissions(degrees: tuple[str, ...]) -> dict[str, int]:
    """Degrees that a voicing may lack, with the cost of each."""
    costs = {}
    size = len(degrees)
    has_third = "3" in degrees or "b3" in degrees
    has_seventh = any(degree in degrees for degree in _SEVENTHS)
    if "5" in degrees and "b13" not in degrees and (has_third or (size > 3 and has_seventh)):
        costs["5"] = NO_FIFTH_COSTS.get(size, NO_FIFTH_OF_LARGER_COST)
    if "9" in degrees and has_seventh and ("11" in degrees or "13" in degrees):
        costs["9"] = OMITTED_COSTS["9"]
    if "13" in degrees and "11" in degrees:
        costs["11"] = OMITTED_COSTS["11"]
    if "b9" in degrees and "#9" in degrees and "#11" in degrees and "b13" in degrees:
        costs |= dict.fromkeys(("b9", "#9", "#11", "b13"), OMITTED_COSTS["tension"])
    if has_third and has_seventh:
        costs["1"] = ROOTLESS_COST
    return costs


def _matches() -> dict[int, tuple[Match, ...]]:
    """Every set of pitch classes that stands for a template, as a mask of semitones above the root."""
    found: dict[int, list[Match]] = {}
    for template in _templates():
        costs = _omissions(template.degrees)
        for count in range(len(costs) + 1):
            for missing in combinations(costs, count):
                left = [degree for degree in template.degrees if degree not in missing]
                if not _says_enough(template.degrees, left, missing):
                    continue
                mask = sum({1 << DEGREE_CLASS[degree] for degree in left})
                cost = template.cost + sum(costs[degree] for degree in missing)
                if "1" in missing and "5" in missing:
                    cost -= costs["5"]  # the bass player has the root and the fifth
                found.setdefault(mask, []).append(Match(cost, template, in_order(missing)))
    return {mask: tuple(sorted(matches, key=lambda match: match.cost)) for mask, matches in found.items()}


def _says_enough(degrees: tuple[str, ...], left: list[str], missing: tuple[str, ...]) -> bool:
    """Whether what is left still tells the chord."""
    if not _ALL_ALTERED.isdisjoint(missing) and not (
        ("b9" in left or "#9" in left) and ("b13" in left or "#11" in left)
    ):
        return False
    if "1" not in missing or ("3" in left and "b7" in left):
        return True
    return len(left) >= (3 if len(degrees) == 4 else 4)


#: Templates by the mask of semitones above the root (bit 0 is the root), the cheapest first.
MATCHES: Final = MappingProxyType(_matches())
