"""Marks kept in the class file between one run and the next, so that only what changed is marked again.

They are believed as long as what was handed in has the same fingerprint and was marked on the same terms, and no longer. All
of it can be worked out again from what was handed in.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from musictheory_nb.classroom.assignment import HandedOut
from musictheory_nb.classroom.class_file import ClassFile, Row
from musictheory_nb.classroom.marking_outcome import Outcome, outcome_data, outcome_from
from musictheory_nb.classroom.policy_effect import FinalMark


@dataclass(frozen=True, slots=True)
class KeptMark:
    """What was kept of one student: the fingerprint of the hand-in, the digest of the terms, and both rows."""

    fingerprint: str
    basis: str
    submission: Row
    mark: Row


def kept_marks(file: ClassFile, assignment: str) -> dict[str, KeptMark]:
    """Return what was kept, by student id.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    marks = {row["student"]: row for row in file.rows("mark", assignment=assignment)}
    return {
        row["student"]: KeptMark(row["fingerprint"], marks[row["student"]]["fingerprint"], row, marks[row["student"]])
        for row in file.rows("submission", assignment=assignment)
        if row["student"] in marks and row["fingerprint"]
    }


def kept_outcome(kept: KeptMark, copy: HandedOut) -> Outcome | None:
    """Return the outcome that was kept; None where it cannot be read, as one of another version of the package."""
    row = kept.submission
    try:
        lists = {name: [str(one) for one in json.loads(row[name])] for name in ("sources", "problems", "notes")}
        return outcome_from(
            json.loads(kept.mark["data"]),
            copy.student,
            copy.shown_seed,
            fingerprint=kept.fingerprint,
            handed_in=bool(row["handed_in"]),
            last_answer=row["last_answer"],
            sources=lists["sources"],
            problems=lists["problems"],
            notes=lists["notes"],
        )
    except (ValueError, TypeError, KeyError, AttributeError):  # written by another version
        return None


def _text(lines: Sequence[str]) -> str:
    return json.dumps(list(lines), ensure_ascii=False)


def keep_outcomes(file: ClassFile, assignment: str, outcomes: Sequence[tuple[Outcome, str]]) -> int:
    """Keep outcomes, each with the digest of the terms it was marked on, as one change; return how many rows changed.

    What is not settled is kept without a fingerprint, and so is marked again next time.

    Raises
    ------
    ClassFileError
        The file cannot be written.
    """
    changed = 0
    with file.changing():
        for outcome, basis in outcomes:
            marks = outcome.marks
            place = {"assignment": assignment, "student": marks.student.id}
            changed += file.put(
                "submission",
                **place,
                fingerprint=outcome.fingerprint if outcome.is_settled else "",
                handed_in=int(marks.handed_in),
                answers=outcome.answers,
                last_answer=marks.last_answer,
                sources=_text(outcome.sources),
                problems=_text(marks.problems),
                notes=_text(marks.notes),
            )
            data = json.dumps(outcome_data(outcome), ensure_ascii=False, separators=(",", ":"))
            changed += file.put(
                "mark",
                **place,
                fingerprint=basis,
                points=marks.points,
                points_possible=marks.points_possible,
                data=data,
            )
    return changed


def keep_finals(file: ClassFile, assignment: str, finals: Sequence[FinalMark]) -> int:
    """Keep the percent that the policy made of each student's marks, or that there is no policy; return how many changed.

    Raises
    ------
    ClassFileError
        The file cannot be written.
    """
    percents = {final.student: final.percent for final in finals}
    changed = 0
    with file.changing():
        for row in file.rows("mark", assignment=assignment):
            id, percent = row["student"], percents.get(row["student"])
            if row["final_percent"] != percent:
                changed += file.put("mark", assignment=assignment, student=id, final_percent=percent)
    return changed


def makeup_percents(file: ClassFile, assignment: str) -> tuple[Mapping[str, float], tuple[str, ...]]:
    """Return what students reached in work that makes up for an assignment, and lines about what is not marked yet.

    Returns
    -------
    tuple
        Percent by student id: after the policy that the make-up work was marked by, or without one. Who answered nothing of
        it has none. The best counts where there were several.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    found: dict[str, float] = {}
    told = []
    for other in file.rows("assignment", replaces=assignment):
        marks = file.rows("mark", assignment=other["id"])
        if not marks:
            told.append(
                f"the make-up work {other['id']!r} is not marked yet; mark it first, and then this lesson again"
            )
        answered = {row["student"] for row in file.rows("submission", assignment=other["id"]) if row["last_answer"]}
        for row in marks:
            if row["student"] in answered:
                raw = 100 * row["points"] / row["points_possible"] if row["points_possible"] else 0.0
                percent = raw if row["final_percent"] is None else row["final_percent"]
                found[row["student"]] = max(percent, found.get(row["student"], 0.0))
    return found, tuple(told)
