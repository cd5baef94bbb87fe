"""What a division of a piece into sections is worth against the true one: boundaries and letters, in figures and in words."""

from dataclasses import dataclass
from typing import Final

from musictheory_nb.practice.counting_words import counted, listed, sentence
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.piece_sections import bare_letter
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.segment_agreement import (
    Division,
    boundary_agreement,
    label_agreement,
    matched_boundaries,
)

#: At most so many missed and so many wrong boundaries are offered for listening after the answer.
MOST_COMPARED: Final = 3


@dataclass(frozen=True, slots=True)
class SectionRule:
    """How sections are marked: measures that a boundary may be off, weight of the letters, whether A and A′ differ."""

    tolerance: int = 1
    label_weight: float = 0.5
    variants: bool = False


def compared_letters(division: Division, variants: bool) -> dict[str, str]:
    """Return the letter that each label is compared as.

    Examples
    --------
    >>> compared_letters([(0, "A"), (8, "A′")], False), compared_letters([(0, "A"), (8, "A′")], True)
    ({'A': 'a', 'A′': 'a'}, {'A': 'a', 'A′': 'a′'})
    """
    return {label: label.strip().lower() if variants else bare_letter(label) for _, label in division}


def sections_verdict(excerpt: Excerpt, truth: Division, given: Division, rule: SectionRule) -> tuple[float, str]:
    """Return the score of a division, 0 to 1, and why.

    Notes
    -----
    ``(1 - label_weight) · boundaries + label_weight · letters``, both F measures of `segment_agreement`. The beginning and the
    end of the piece, which are given, do not count as boundaries; one letter throughout earns nothing where there are
    several; a single section scores 0.
    """
    starts, marked = [start for start, _ in truth[1:]], [start for start, _ in given[1:]]
    if not marked:
        return 0.0, f"Nothing is marked; there are {counted(len(starts), 'boundary', 'boundaries')} to find."
    boundaries = boundary_agreement(starts, marked, rule.tolerance).f
    letters = _letters_score(truth, given, rule.variants, len(excerpt.measures))
    score = boundaries + rule.label_weight * (letters - boundaries)
    pairs = matched_boundaries(starts, marked, rule.tolerance)
    hit, used = {one for one, _ in pairs}, {other for _, other in pairs}
    number = [measure.number for measure in excerpt.measures]
    missed = [f"measure {number[start]} ({label})" for start, label in truth[1:] if start not in hit]
    extra = [f"measure {number[start]}" for start in marked if start not in used]
    why = [f"{len(pairs)} of {len(starts)} {'boundary' if len(starts) == 1 else 'boundaries'} found."]
    if missed:
        why.append(f"Missed: {listed(missed)}.")
    if extra:
        why.append(f"No section begins at {listed(extra, 'or')}.")
    if rule.label_weight:
        right = "agree" if letters == 1.0 else f"agree to {100 * letters:.0f} percent"
        why.append(f"The letters {right}.")
    return min(1.0, max(0.0, score)), " ".join(why)


def _letters_score(truth: Division, given: Division, variants: bool, measures: int) -> float:
    as_compared = [
        [(start, names[label]) for start, label in division]
        for division, names in ((d, compared_letters(d, variants)) for d in (truth, given))
    ]
    told_apart = [len({label for _, label in division}) > 1 for division in as_compared]
    if told_apart[0] and not told_apart[1]:
        return 0.0
    return label_agreement(as_compared[0], as_compared[1], measures).f


def around_boundaries(excerpt: Excerpt, truth: Division, given: Division, tolerance: int) -> tuple[MediaRequest, ...]:
    """Return the sound of the measures around boundaries that were missed or marked where there is none."""
    starts, marked = [start for start, _ in truth[1:]], [start for start, _ in given[1:]]
    pairs = matched_boundaries(starts, marked, tolerance)
    hit, used = {one for one, _ in pairs}, {other for _, other in pairs}
    wanted = [(start, f"{label} begins") for start, label in truth[1:] if start not in hit][:MOST_COMPARED]
    wanted += [(start, "no section begins") for start in marked if start not in used][:MOST_COMPARED]
    found = []
    for at, what in wanted:
        span = max(0, at - 2), min(len(excerpt.measures) - 1, at + 1)
        name = f"{sentence(span_words(excerpt, *span)).rstrip('.')}: {what} at {excerpt.measures[at].number}"
        found.append(MediaRequest("sound", excerpt, name, "answered", *span))
    return tuple(found)
