"""Sections as findings: what begins where, what comes back and how it is changed (`form_devices`)."""

from typing import Final

from musictheory_nb.score.finding import FINDING_KINDS, JSON, Finding, finding
from musictheory_nb.score.form_section import Form, Section
from musictheory_nb.score.score import Score

#: How many changes of a return are told in its sentence; all stand in its details.
_TOLD: Final = 3
#: How sure a section is whose boundary is written, and one that only the notes tell.
_WRITTEN, _HEARD = 0.9, 0.7
_HEARD_REASONS: Final = ("the same music again", "new music", "eight bars", "beginning")


def form_devices(score: Score, form: Form) -> list[Finding]:
    """Return the sections of `form_section.find_form` as findings, each passage of the written score once.

    A repeat by a sign is no return. A score that is one section throughout has no findings.
    """
    if len(form.sections) < 2:
        return []
    found: list[Finding] = []
    seen: set[tuple[int, int]] = set()
    for section in form.sections:
        at = _written(score, section)
        if not any(one == at[0] or (one <= at[0] and at[1] <= other) for one, other in seen):
            found.append(_told(score, form, section, at))
        seen.add(at)
    if form.name:
        details: dict[str, JSON] = {"form": form.name, "plan": form.plan, "inner forms": list(form.inner_names)}
        told = f"form of the whole: {form.name} ({form.plan}); {'; '.join(form.evidence)}"
        at = (0, len(score.measures) - 1)
        found.append(finding(score, "standard form", at, told, 0.8, details=details))
    return found


def _written(score: Score, section: Section) -> tuple[int, int]:
    """Return the first and last written measure of a section, as indices."""
    order = score.play_order[section.first : section.last + 1]
    return min(order), max(order)


def _told(score: Score, form: Form, section: Section, at: tuple[int, int]) -> Finding:
    details: dict[str, JSON] = {"label": section.label, "bars": section.bars, "changes": list(section.changes)}
    bars = f"{section.bars} bar{'s' * (section.bars > 1)}"
    name = section.role if section.role in FINDING_KINDS else "section" if section.like is None else "return"
    if section.like is None:
        bare = "music behind the last section" if section.role == "coda" else "music before the first section"
        what = f"section {section.label}" if section.label else bare
        told = what if name == "section" else f"{name}" + (f" ({what})" if section.label else "")
        told = f"{told}, {bars}"
    else:
        like = form.sections[section.like]
        details["like"] = like.label
        details["kinds of change"] = [one.kind for one in section.differences]
        where = f"bars {like.first_measure}-{like.last_measure}"
        told = (
            f"{'section ' + like.label if name == 'return' else name + ': section ' + like.label} ({where}) comes back"
        )
        if section.changes:
            more = len(section.changes) - _TOLD
            told += f" as {section.label}, changed: " if section.label != like.label else ", changed: "
            told += "; ".join(section.changes[:_TOLD]) + (f"; and {more} more changes" if more > 0 else "")
        elif section.label != like.label:
            told += f" as {section.label}"
    sure = _HEARD if all(reason in _HEARD_REASONS for reason in section.evidence) else _WRITTEN
    return finding(score, name, at, told, sure, details=details)
