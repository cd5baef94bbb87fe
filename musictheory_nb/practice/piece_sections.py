"""The sections of a piece as a teacher gives them: where they begin, their letters, and what the score tells of each."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import sentence
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.plain_data import strict_json
from musictheory_nb.practice.section_evidence import barline_evidence, novelty_evidence, return_evidence, span_words
from musictheory_nb.practice.segment_agreement import Division


def bare_letter(label: str) -> str:
    """Return a section's letter without the primes or numbers that tell its variants apart, in lower case.

    Examples
    --------
    >>> bare_letter("A′"), bare_letter("B2"), bare_letter("a"), bare_letter("Trio"), bare_letter("2")
    ('a', 'b', 'a', 'trio', '2')
    """
    plain = unicodedata.normalize("NFKC", label).strip()
    return (plain.rstrip("'′’`*0123456789 ") or plain).lower()


def plan_words(labels: Sequence[str]) -> str:
    """Return the labels of all sections as one plan.

    Examples
    --------
    >>> plan_words(["A", "A", "B", "A"]), plan_words(["intro", "A", "B"])
    ('AABA', 'intro A B')
    """
    return ("" if all(len(label) == 1 for label in labels) else " ").join(labels)


@dataclass(frozen=True)
class PieceSections:
    """What the teacher says of one excerpt, worked out once.

    Parameters
    ----------
    division : tuple of (int, str)
        Index of the first measure of each section, and its label.
    explain : str
        Every section, where it begins and what happens there, a line each.
    shown, marked : Excerpt
        The music as it is shown before the answer, and with the letters above it.
    spans : tuple of (int, int)
        First and last measure index of each section.
    """

    division: tuple[tuple[int, str], ...]
    explain: str
    shown: Excerpt
    marked: Excerpt
    spans: tuple[tuple[int, int], ...]


@lru_cache(maxsize=64)
def piece_sections(excerpt: Excerpt, rows_text: str, show_marks: bool = False) -> PieceSections:
    """Return the sections of an excerpt from rows ``[number, letter]`` or ``[number, letter, sentence]``, as canonical JSON.

    Raises
    ------
    ExerciseError
        A measure that the excerpt has not, an order that does not ascend, or a first section that does not begin with it.
    """
    rows = strict_json(rows_text)
    starts = [excerpt.measure_index(str(row[0]).strip()) for row in rows]
    if any(one >= other for one, other in pairwise(starts)):
        raise ExerciseError(
            f"sections {[row[0] for row in rows]}: the measures must ascend as they stand in the excerpt"
        )
    written = starts[0]
    if written == 1 and excerpt.measures[0].length < excerpt.measures[1].length:
        starts[0] = 0  # a pickup belongs to the first section
    if starts[0] != 0:
        raise ExerciseError(
            f"sections: the first begins at measure {rows[0][0]!r}, and the excerpt at "
            f"{excerpt.measures[0].number!r}; name what comes before, as [{excerpt.measures[0].number!r}, 'intro']"
        )
    division = tuple((start, str(row[1]).strip()) for start, row in zip(starts, rows, strict=True))
    ends = [start - 1 for start in starts[1:]] + [len(excerpt.measures) - 1]
    spans = tuple(zip(starts, ends, strict=True))
    marks = dict(division)
    plain = tuple(replace(measure, mark="") for measure in excerpt.measures)
    return PieceSections(
        division,
        _explanation(
            excerpt, division, ((written, ends[0]), *spans[1:]), [str(row[2]) if len(row) == 3 else "" for row in rows]
        ),
        excerpt if show_marks or plain == excerpt.measures else replace(excerpt, measures=plain),
        replace(
            excerpt,
            measures=tuple(replace(measure, mark=marks.get(at, "")) for at, measure in enumerate(excerpt.measures)),
        ),
        spans,
    )


def _explanation(excerpt: Excerpt, division: Division, spans: Sequence[tuple[int, int]], remarks: list[str]) -> str:
    """Name every section, where it begins and what happens there."""
    parts = [f"The plan is {plan_words([label for _, label in division])}."]
    seen: dict[str, list[tuple[int, int]]] = {}
    for (_, label), span, remark in zip(division, spans, remarks, strict=True):
        earlier = seen.setdefault(bare_letter(label), [])
        evidence = barline_evidence(excerpt, span[0])
        if label == division[0][1] and not seen[bare_letter(label)] and span[0] > 0:
            evidence.insert(0, "a pickup leads into it")
        evidence += return_evidence(excerpt, span, earlier) if earlier else novelty_evidence(excerpt, span)
        earlier.append(span)
        where = span_words(excerpt, *span)
        told = f"{sentence(where).rstrip('.')}: {label}"
        told += f" – {'; '.join(evidence)}." if evidence else "."
        parts.append(told + (f" {sentence(remark)}" if remark else ""))
    return "\n".join(parts)
