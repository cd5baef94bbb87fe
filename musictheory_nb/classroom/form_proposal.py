"""What a piece offers on form: where its sections begin and which come back, where the analysis or the teacher is sure."""

from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.corrected_piece import BY_TEACHER
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise, whole
from musictheory_nb.classroom.piece_analysis import Analysis

#: What a section of the written score is called in the findings, each with its confidence.
_SECTIONS: Final = ("section", "return", "introduction", "coda")
#: Sections at most about which it is worth asking.
_MOST: Final = 12


def written_sections(analysis: Analysis) -> list[tuple[str, str, str]]:
    """Return number of the first bar, letter, and reason of each section, in the order of the written bars."""
    played = analysis.piece.played().measures
    found: dict[int, tuple[str, str, str]] = {}
    for section in analysis.form.sections:
        at = played[section.first].written
        told = "; ".join(section.changes) or section.role or (section.evidence[0] if section.evidence else "")
        found.setdefault(at, (analysis.piece.measures[at].number, section.letter or section.name, told))
    return [found[at] for at in sorted(found)]


def is_form_sure(analysis: Analysis) -> bool:
    """Whether no section is in doubt."""
    if BY_TEACHER in analysis.form.evidence:
        return True
    told = [one for one in analysis.findings if one.name in _SECTIONS]
    return bool(told) and all(one.confidence >= SURE for one in told)


def form_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on its form."""
    sections = written_sections(analysis)
    music = whole(analysis.piece)
    if music is None or not 2 <= len(sections) <= _MOST or not is_form_sure(analysis):
        return
    if music.measures[0].number != sections[0][0]:
        sections[0] = (music.measures[0].number, *sections[0][1:])
    rows = [[number, letter, _sentence(told)] if told else [number, letter] for number, letter, told in sections]
    hints = {"first": "letters", "middle": "number", "advanced": "none"}[options.level]
    settings = {"excerpt": "piece", "sections": rows, "hints": hints, "tolerance": 1}
    for one in exercise("mark-sections", "section-marking", settings, 1, {"piece": music}):
        yield Proposal(
            "form",
            one,
            "say where the sections begin, and which of them come back",
            "The form of the whole",
            "Listen to the piece from beginning to end. Where does a new section begin, and does it bring back what was there "
            "before? Cadences, new material, barlines and keys are the signs; two together nearly always are right.",
        )


def _sentence(told: str) -> str:
    text = told[:1].upper() + told[1:]
    return text if text.endswith(".") else text + "."


def texture_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on who plays when; none of the families asks about it yet."""
    return iter(())
