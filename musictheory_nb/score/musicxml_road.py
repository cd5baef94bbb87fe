"""Signs of the road for writing: which words of a score carry them, and which signs need words of their own.

The other way of `road`: a D.C., D.S., Fine or To Coda is told for playback beside the words that say it, so that it is
read back at the same place; where a score has no such words, the usual ones are written.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from musictheory_nb.score.measure import Measure
from musictheory_nb.score.road import NO_FINE
from musictheory_nb.score.road_words import jump_until, names_section, road_kind, takes_repeats, until_sign
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import Words

#: How many bars before the barline words of a D.C. may stand.
_REACH: Final = 3


@dataclass(frozen=True, slots=True)
class RoadSign:
    """One sign: where it stands, the words or the glyph (``'segno'``, ``'coda'``) it is printed as, and its ``sound``."""

    measure: int
    onset: Fraction
    printed: str
    sound: tuple[tuple[str, str], ...]


def road_signs(score: Score) -> tuple[dict[int, dict[str, str]], list[RoadSign]]:
    """Return what to add to words of the score, by their place among them, and the signs that have no words."""
    carried: dict[int, dict[str, str]] = {}
    signs: list[RoadSign] = []
    by_measure: dict[int, list[int]] = {}
    for place, words in enumerate(score.words):
        by_measure.setdefault(words.measure, []).append(place)

    # "Menuetto D.C." and "D.C. al Segno" imply a Fine that nobody prints.
    implied = any(NO_FINE in notice for notice in score.notices) or any(
        road_kind(words.text) == "dacapo" and (names_section(words.text) or until_sign(words.text))
        for words in score.words
    )

    def tell(measure: Measure, kind: str, value: str, printed: str, onset: Fraction) -> None:
        for place in by_measure.get(measure.index, []):
            if _says(score.words[place], kind, measure):
                carried.setdefault(place, {})[kind] = value
                return
        if kind in ("dacapo", "dalsegno"):
            for before in range(max(measure.index - _REACH, 0), measure.index):
                if any(_says(score.words[place], kind, measure) for place in by_measure.get(before, [])):
                    printed = ""
        signs.append(RoadSign(measure.index, onset, printed, ((kind, value),)))

    for measure in score.measures:
        zero, end = Fraction(0), measure.length
        if measure.segno:
            tell(measure, "segno", measure.segno, "segno", zero)
        if measure.coda:
            tell(measure, "coda", measure.coda, "coda", zero)
        if measure.to_coda:
            tell(measure, "tocoda", measure.to_coda, "To Coda", end)
        if measure.fine:
            tell(measure, "fine", "yes", "" if implied else "Fine", end)
        if measure.jump:
            until = {"fine": " al Fine", "coda": " al Coda"}.get(measure.jump_until, "")
            printed = measure.jump + until + " con repetizione" * measure.jump_repeats
            back = measure.jump == "D.C."
            tell(measure, "dacapo" if back else "dalsegno", "yes" if back else measure.jump_sign or "1", printed, end)
    return carried, signs


def _says(words: Words, kind: str, measure: Measure) -> bool:
    """Whether the words are those of this sign."""
    if road_kind(words.text) != kind:
        return False
    if kind not in ("dacapo", "dalsegno"):
        return True
    return jump_until(words.text) in ("", measure.jump_until) and takes_repeats(words.text) == measure.jump_repeats
