"""Exercise family: mark where the sections of a whole piece begin, and give them letters."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Question, Setting, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.piece_sections import piece_sections, plan_words
from musictheory_nb.practice.plain_data import JSON, canonical_json
from musictheory_nb.practice.response import Answer, Response, SectionsInput, Step
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.section_settings import SETTINGS, check_pieces
from musictheory_nb.practice.section_verdict import SectionRule, around_boundaries, compared_letters, sections_verdict
from musictheory_nb.practice.segment_agreement import Division

#: Measures that can be heard at first.
OPENING: Final = 8

_STEP: Final = "sections"


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
        piece = piece_sections(excerpt, canonical_json(divisions[place]), settings["show_marks"])
        letters = compared_letters(piece.division, settings["variants"])
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
        score, why = sections_verdict(item.media[0].excerpt, _truth(item), _given(answer), _rule(item))
        return Mark(score, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the measures around boundaries that were missed or marked where there is none."""
        return around_boundaries(item.media[0].excerpt, _truth(item), _given(answer), item.key["tolerance"])

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the true plan and the plan answered, such as ``('AABA', 'AAB')``; None for a full score.

        A plan with the right letters at the wrong measures is told as ``'AABA with other boundaries'``.
        """
        if self.mark(item, answer).score == 1.0:
            return None
        truth, given = (plan_words([label for _, label in plan]) for plan in (_truth(item), _given(answer)))
        return truth, given if given != truth else f"{given} with other boundaries"


def _rule(item: Item) -> SectionRule:
    return SectionRule(item.key["tolerance"], item.key["label_weight"], item.key["variants"])


def _truth(item: Item) -> list[tuple[int, str]]:
    return [(start, label) for start, label in item.key["sections"]]


def _given(answer: Answer) -> list[tuple[int, str]]:
    return [(start, label) for start, label in answer[_STEP]["sections"]]


SectionMarking.__doc__ = described(SectionMarking.__doc__, SETTINGS)
SECTION_MARKING: Final = SectionMarking()
