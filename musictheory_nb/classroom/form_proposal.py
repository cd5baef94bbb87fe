"""What a piece offers on form: where its sections begin and which come back, where the analysis or the teacher is sure."""

from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.corrected_piece import BY_TEACHER
from musictheory_nb.classroom.form_guide_steps import finding_step, form_guide_steps
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise, whole
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.plain_data import JSON

#: What a section of the written score is called in the findings, each with its confidence.
_SECTIONS: Final = ("section", "return", "introduction", "coda")
#: Sections at most about which it is worth asking.
_MOST: Final = 12
#: Letters whose returns are asked for, and kinds of cadence.
_RETURNS, _CADENCES = 2, 3


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
    yield from _followed(analysis, options, music)


def _followed(analysis: Analysis, options: LessonOptions, music: Excerpt) -> Iterator[Proposal]:
    """Where the first section comes back, and the surest cadence of each kind."""
    sections = form_guide_steps(analysis.piece)
    steps: list[JSON] = [step for step in sections if step["ask"] == "returns"][:_RETURNS]
    cadences: dict[str, JSON] = {}
    for found in sorted(analysis.findings, key=lambda one: -one.confidence):
        if "cadence" in found.details and found.confidence >= SURE:
            cadences.setdefault(found.name, finding_step(found))
    steps += [step for step in cadences.values() if step is not None][:_CADENCES]
    asked = [step for step in steps if any(exercise("try", "form-guide", _guide([step], options), 1, {"piece": music}))]
    if not asked:
        return
    for one in exercise("follow-the-form", "form-guide", _guide(asked, options), len(asked), {"piece": music}):
        yield Proposal(
            "form",
            one,
            "find what comes back, and say by which cadence a phrase ends",
            "Returns and cadences",
            "Compare beginnings to find what comes back, and endings to hear whether a phrase closes or stays open.",
        )


def _guide(steps: list[JSON], options: LessonOptions) -> dict[str, JSON]:
    return {"excerpt": "piece", "steps": steps, "hints": options.level != "advanced"}


def _sentence(told: str) -> str:
    text = told[:1].upper() + told[1:]
    return text if text.endswith(".") else text + "."
