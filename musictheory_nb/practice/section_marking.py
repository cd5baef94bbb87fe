"""Exercise family: mark where the sections of a whole piece begin, and give them letters."""

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import counted, listed, sentence
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Question, Setting, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON, canonical_json, strict_json
from musictheory_nb.practice.response import Answer, Response, SectionsInput, Step
from musictheory_nb.practice.section_evidence import barline_evidence, novelty_evidence, return_evidence, span_words
from musictheory_nb.practice.section_settings import SETTINGS, check_pieces
from musictheory_nb.practice.segment_agreement import (
    Division,
    boundary_agreement,
    label_agreement,
    matched_boundaries,
)

#: At most so many missed and so many wrong boundaries are offered for listening after the answer.
MOST_COMPARED: Final = 3
#: Measures that can be heard at first.
OPENING: Final = 8

_STEP: Final = "sections"


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
class _Piece:
    """What the teacher says of one excerpt, worked out once."""

    division: tuple[tuple[int, str], ...]
    explain: str
    shown: Excerpt
    marked: Excerpt
    spans: tuple[tuple[int, int], ...]


@lru_cache(maxsize=64)
def _piece(excerpt: Excerpt, rows_text: str, show_marks: bool) -> _Piece:
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
    return _Piece(
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


def _title(excerpt: Excerpt) -> str:
    if not excerpt.title:
        return "this piece"
    return excerpt.title + (f" ({excerpt.composer})" if excerpt.composer else "")


def _hint(division: Division, hints: str, letter: Mapping[str, str]) -> str:
    if hints == "none":
        return ""
    told = f" It has {counted(len(division), 'section')}"
    if hints == "letters":
        told += f" with {counted(len(set(letter.values())), 'different letter')}"
    return told + "."


def _letters(division: Division, variants: bool) -> dict[str, str]:
    """Label as written -> label as it is compared."""
    return {label: label.strip().lower() if variants else bare_letter(label) for _, label in division}


@dataclass(frozen=True)
class SectionMarking:
    """Section marking, version 1.

    The student hears and sees any measures of a whole piece, marks where its sections begin and gives each a letter.
    The first section begins with the piece; a pickup belongs to it. Letters count by agreement alone: who writes XXYX
    for AABA has all of them right.

    Settings::

    {settings}

    Marking: ``score = (1 - label_weight) · boundaries + label_weight · letters``, where

    ========== ==================================================================================================
    part       what it is
    ========== ==================================================================================================
    boundaries F measure of the marked boundaries against the true ones, each within `tolerance` measures and used
               once (`segment_agreement.boundary_agreement`; the beginning and the end of the piece, which are
               given, do not count)
    letters    F measure over all pairs of measures with the same letter (`segment_agreement.label_agreement`);
               0 when the answer has one letter throughout and the truth has several
    ========== ==================================================================================================

    An answer that is one single section scores 0: nothing has been marked.
    """

    kind: str = "section-marking"
    version: int = 1
    title: str = "Sections of a piece"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: Mapping[str, JSON]) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_pieces(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings = question.settings
        several = isinstance(settings["excerpt"], list)
        names = settings["excerpt"] if several else [settings["excerpt"]]
        divisions = settings["sections"] if several else [settings["sections"]]
        if question.count > len(names):
            raise ExerciseError(
                f"exercise {question.exercise!r}: count {question.count}, and {counted(len(names), 'excerpt')}; "
                "each excerpt makes one item"
            )
        place = question.draw_for_all().shuffled(range(len(names)))[question.index] if several else 0
        excerpt = question.excerpt(names[place])
        piece = _piece(excerpt, canonical_json(divisions[place]), settings["show_marks"])
        letters = _letters(piece.division, settings["variants"])
        prompt = (
            f"Hear {_title(excerpt)}, all of it or any measures. Mark where each section begins and give it a letter: "
            "the same letter where the same music comes back." + _hint(piece.division, settings["hints"], letters)
        )
        last = min(OPENING, len(excerpt.measures)) - 1
        media = [
            MediaRequest("sound", piece.shown, "Hear the measures that you choose", last=last, choose_measures=True),
            MediaRequest("notation", piece.shown, "Score of these measures", last=last, choose_measures=True),
            MediaRequest(
                "notation", piece.marked, "Score with the sections", "answered", last=last, choose_measures=True
            ),
        ]
        for (_, label), span in zip(piece.division, piece.spans, strict=True):
            name = f"Section {label}, {span_words(excerpt, *span)}"
            media.append(MediaRequest("sound", piece.shown, name, "answered", *span))
        return Item(
            question.exercise,
            question.index,
            prompt,
            tuple(media),
            Response(
                (
                    Step(
                        _STEP,
                        "Where does each section begin, and what is its letter?",
                        (SectionsInput(tuple(measure.number for measure in excerpt.measures), id="sections"),),
                    ),
                )
            ),
            {
                "sections": [[start, label] for start, label in piece.division],
                "tolerance": settings["tolerance"],
                "label_weight": settings["label_weight"],
                "variants": settings["variants"],
            },
            piece.explain,
            {_STEP: {"sections": [[start, label] for start, label in piece.division]}},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        truth, given = _truth(item), _given(answer)
        excerpt = item.media[0].excerpt
        starts, marked = [start for start, _ in truth[1:]], [start for start, _ in given[1:]]
        if not marked:
            return Mark(0.0, f"Nothing is marked; there are {counted(len(starts), 'boundary', 'boundaries')} to find.")
        window, weight = item.key["tolerance"], item.key["label_weight"]
        boundaries = boundary_agreement(starts, marked, window).f
        letters = self._letters_score(item, truth, given)
        score = boundaries + weight * (letters - boundaries)
        pairs = matched_boundaries(starts, marked, window)
        hit, used = {one for one, _ in pairs}, {other for _, other in pairs}
        number = [measure.number for measure in excerpt.measures]
        missed = [f"measure {number[start]} ({label})" for start, label in truth[1:] if start not in hit]
        extra = [f"measure {number[start]}" for start in marked if start not in used]
        why = [f"{len(pairs)} of {len(starts)} {'boundary' if len(starts) == 1 else 'boundaries'} found."]
        if missed:
            why.append(f"Missed: {listed(missed)}.")
        if extra:
            why.append(f"No section begins at {listed(extra, 'or')}.")
        if weight:
            right = "agree" if letters == 1.0 else f"agree to {100 * letters:.0f} percent"
            why.append(f"The letters {right}.")
        return Mark(min(1.0, max(0.0, score)), " ".join(why))

    def _letters_score(self, item: Item, truth: Division, given: Division) -> float:
        variants = item.key["variants"]
        as_compared = [
            [(start, names[label]) for start, label in division]
            for division, names in ((d, _letters(d, variants)) for d in (truth, given))
        ]
        told_apart = [len({label for _, label in division}) > 1 for division in as_compared]
        if told_apart[0] and not told_apart[1]:
            return 0.0
        return label_agreement(as_compared[0], as_compared[1], len(item.media[0].excerpt.measures)).f

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the measures around boundaries that were missed or marked where there is none."""
        truth, given = _truth(item), _given(answer)
        excerpt = item.media[0].excerpt
        starts, marked = [start for start, _ in truth[1:]], [start for start, _ in given[1:]]
        pairs = matched_boundaries(starts, marked, item.key["tolerance"])
        hit, used = {one for one, _ in pairs}, {other for _, other in pairs}
        wanted = [(start, f"{label} begins") for start, label in truth[1:] if start not in hit][:MOST_COMPARED]
        wanted += [(start, "no section begins") for start in marked if start not in used][:MOST_COMPARED]
        found = []
        for at, what in wanted:
            span = max(0, at - 2), min(len(excerpt.measures) - 1, at + 1)
            name = f"{sentence(span_words(excerpt, *span)).rstrip('.')}: {what} at {excerpt.measures[at].number}"
            found.append(MediaRequest("sound", excerpt, name, "answered", *span))
        return tuple(found)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the true plan and the plan answered, such as ``('AABA', 'AAB')``; None for a full score.

        A plan with the right letters at the wrong measures is told as ``'AABA with other boundaries'``.
        """
        if self.mark(item, answer).score == 1.0:
            return None
        truth, given = (plan_words([label for _, label in plan]) for plan in (_truth(item), _given(answer)))
        return truth, given if given != truth else f"{given} with other boundaries"


def _truth(item: Item) -> list[tuple[int, str]]:
    return [(start, label) for start, label in item.key["sections"]]


def _given(answer: Answer) -> list[tuple[int, str]]:
    return [(start, label) for start, label in answer[_STEP]["sections"]]


SectionMarking.__doc__ = described(SectionMarking.__doc__, SETTINGS)
SECTION_MARKING: Final = SectionMarking()
