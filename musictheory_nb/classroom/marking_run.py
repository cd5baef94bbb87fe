"""Marking an assignment as a whole: what was handed in, what was kept, the policy, the teacher's remarks, hints, all joined."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.attempt_rule import AttemptChoice
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks
from musictheory_nb.classroom.extra_time import read_extra_time
from musictheory_nb.classroom.hand_in import Submissions, gather_submissions
from musictheory_nb.classroom.kept_marks import (
    KeptMark,
    keep_finals,
    keep_outcomes,
    kept_marks,
    kept_outcome,
    makeup_percents,
)
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.likeness_hint import LikenessHint, likeness_hints
from musictheory_nb.classroom.mark_class import Counting, future_limit, put_together
from musictheory_nb.classroom.marking_outcome import Outcome
from musictheory_nb.classroom.marking_policy import MarkingPolicy
from musictheory_nb.classroom.marking_task import MarkingWork, Terms, basis_of, mark_task, opened_terms, terms_bytes
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.policy_marks import final_marks
from musictheory_nb.classroom.remark_store import Remarks, RemarkStore, load_remarks
from musictheory_nb.classroom.teacher_remark import with_rubric_marks
from musictheory_nb.classroom.time_span import NO_TIME
from musictheory_nb.classroom.worker_pool import Workers, run_all
from musictheory_nb.errors import ClassFileError, RecordError, RosterError

#: Students whose marks are kept as one change: what a kill costs at most.
BATCH: Final = 200


@dataclass(frozen=True)
class MarkingOrder:
    """What is to be marked, and how.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's present notebook.
    assignment : Assignment
        Of this lesson.
    path : Path
        The class file, or the manifest of an earlier hand-out.
    folder : Path
        What was handed in.
    own : tuple of Path
        What is the teacher's in that folder, such as the folder of the marks.
    policy : MarkingPolicy or None
        None gives raw marks alone.
    workers : Workers
        Who does the work.
    everything : bool
        Whether to mark again what has not changed.
    """

    lesson: LessonNotebook
    assignment: Assignment
    path: Path
    folder: Path
    own: tuple[Path, ...] = ()
    policy: MarkingPolicy | None = None
    workers: Workers = field(default_factory=Workers)
    everything: bool = False

    @property
    def has_class_file(self) -> bool:
        """Whether there is a class file in which marks are kept."""
        return self.path.suffix != ".json"


@dataclass(frozen=True)
class MarkedAssignment:
    """An assignment marked.

    Parameters
    ----------
    marks : ClassMarks
        Marks before the policy, with the teacher's rubric marks in them.
    finals : tuple of FinalMark
        After the policy; empty without one.
    hints : tuple of LikenessHint
        Likenesses between records.
    remarks : Mapping of str to Remarks
        What the teacher added, by student id.
    works : Mapping of str to MarkingWork
        From which marks in full, pages and re-runs are made, by student id.
    terms : bytes
        As for `mark_task`.
    prints : Mapping of str to str
        A digest of all from which a student's marks came, by student id; empty for what is not settled.
    marked, kept : int
        Students who were marked now, and who are as they were.
    policy : MarkingPolicy or None
        As it was applied.
    """

    marks: ClassMarks
    finals: tuple[FinalMark, ...]
    hints: tuple[LikenessHint, ...]
    remarks: Mapping[str, Remarks]
    works: Mapping[str, MarkingWork]
    terms: bytes
    prints: Mapping[str, str]
    marked: int
    kept: int
    policy: MarkingPolicy | None = None


def fitted_policy(policy: MarkingPolicy, assignment: Assignment) -> tuple[MarkingPolicy, tuple[str, ...]]:
    """Return the policy as it is applied to an assignment, and lines about what of it is counted already.

    Extra time that the roster gives is in the student's own due time, and is not counted a second time; work that was handed
    out to groups counts for all members as it is; where the policy says nothing of attempts, the hand-out does.
    """
    told = []
    twice = []
    for copy in assignment.copies:
        if copy.due is not None and copy.student.extra_time and copy.student.id in policy.late.extra:
            try:
                read_extra_time(copy.student.extra_time)
            except RosterError:  # not in the due time
                continue
            twice.append(copy.student.id)
    if twice:
        extra = {id: span for id, span in policy.late.extra.items() if id not in twice}
        policy = replace(policy, late=replace(policy.late, extra=MappingProxyType(extra)))
        told.append(
            f"extra time of {', '.join(twice)} is in their due time already; that of the policy was not added to it"
        )
    if assignment.together and policy.group.members:
        policy = replace(policy, group=replace(policy.group, counts="own"))
    if assignment.attempts and not policy.attempts.most:
        policy = replace(policy, attempts=replace(policy.attempts, most=assignment.attempts))
    return policy, tuple(told)


def _check_policy(order: MarkingOrder, terms: Terms) -> None:
    if order.policy is None:
        return
    counts: dict[str, int] = {}
    used = [order.lesson.plan, *(terms.versions[copy.digest].plan for copy in order.assignment.copies)]
    for plan in {plan.digest: plan for plan in used}.values():
        for exercise in plan.exercises:
            counts[exercise.id] = max(counts.get(exercise.id, 0), exercise.count)
    order.policy.check_fits(counts, [copy.student.id for copy in order.assignment.copies])


def _work(
    submissions: Submissions, assignment: Assignment, policy: MarkingPolicy | None, copy: HandedOut
) -> MarkingWork:
    counting = Counting()
    if policy is not None:
        extra = policy.late.extra.get(copy.student.id, NO_TIME)
        counting = Counting(policy.attempts, policy.late.closes, extra)
    due = assignment.due_of(copy)
    try:
        return MarkingWork(submissions.arguments(copy), due, counting)
    except RecordError as error:  # what the teacher entered from paper is damaged
        return MarkingWork({"copy": copy}, due, counting, fault=str(error))


class _Keeper:
    """Keeps outcomes in the class file, some at a time; where it cannot be written, marking goes on and a line tells."""

    def __init__(self, file: ClassFile | None, assignment: str) -> None:
        self.file = file
        self.problem = ""
        self._assignment = assignment
        self._waiting: list[tuple[Outcome, str]] = []

    def add(self, outcome: Outcome, basis: str) -> None:
        self._waiting.append((outcome, basis))
        if len(self._waiting) >= BATCH:
            self.flush()

    def flush(self) -> None:
        self.write(lambda file: keep_outcomes(file, self._assignment, self._waiting))
        self._waiting = []

    def write(self, act: Callable[[ClassFile], object]) -> None:
        if self.file is not None and not self.problem:
            try:
                act(self.file)
            except ClassFileError as error:
                self.problem = f"marks were not kept for the next time: {error}"


def _outcomes(
    order: MarkingOrder,
    terms: bytes,
    works: Mapping[str, MarkingWork],
    kept: Mapping[str, KeptMark],
    keeper: _Keeper,
    each: Callable[[str], None],
) -> tuple[list[Outcome], dict[str, str], int]:
    """Mark all; return the outcomes in the order of the copies, their prints, and how many were kept."""
    opened = opened_terms(terms)
    bases = {id: basis_of(work, opened) for id, work in works.items()}
    before: dict[str, Outcome] = {}

    def asked() -> Iterator[MarkingWork]:
        for id, work in works.items():
            old = kept.get(id)
            if old is not None and old.basis == bases[id]:
                outcome = kept_outcome(old, work.copy)
                if outcome is not None:
                    before[id] = outcome
                    work = replace(work, known=old.fingerprint)
            yield work

    found = []
    count = 0
    results = run_all(order.workers, mark_task, terms, asked(), len(works))
    for id, result in zip(works, results, strict=True):
        if result is None:
            count += 1
            found.append(before.pop(id))
        else:
            before.pop(id, None)
            found.append(result)
            keeper.add(result, bases[id])
        each(id)
    keeper.flush()
    prints = {one.marks.student.id: one.fingerprint + bases[one.marks.student.id] for one in found if one.is_settled}
    return found, prints, count


def _rubric(one: StudentMarks, remarks: Remarks) -> StudentMarks:
    marked = with_rubric_marks(one, remarks.rubric_marks)
    return replace(marked, problems=(*marked.problems, *remarks.problems)) if remarks.problems else marked


def _groups(assignment: Assignment, policy: MarkingPolicy | None) -> dict[str, Sequence[str]]:
    groups: dict[str, list[str]] = {}
    for copy in assignment.copies:
        if copy.group:
            groups.setdefault(copy.group, []).append(copy.student.id)
    own = {} if policy is None else {f"policy {name}": members for name, members in policy.group.members.items()}
    return {**groups, **own}


def mark_assignment(order: MarkingOrder, each: Callable[[str], None] = lambda student: None) -> MarkedAssignment:
    """Mark all that was handed in for an assignment.

    Only what changed since the last time is marked again: what was handed in, the lesson or its key, the due time, or a
    rule that decides which answers count. The class file keeps the marks. Rubric marks, comments, policy and hints are applied
    anew each time.

    Parameters
    ----------
    order : MarkingOrder
        What and how.
    each : callable
        Is called with the id of each student who is done.

    Raises
    ------
    PolicyError
        The policy names what is not there.
    ManifestError, ClassroomError
        As for `mark_class`; or workers cannot be had.
    """
    assignment = order.assignment
    limit = future_limit(datetime.now(UTC))
    terms = terms_bytes(order.lesson, assignment, limit)
    told: tuple[str, ...] = ()
    policy = order.policy
    if policy is not None:
        _check_policy(order, opened_terms(terms))
        policy, told = fitted_policy(policy, assignment)
    submissions = gather_submissions(order.folder, assignment, own=[order.path, *order.own], beside=order.path.parent)
    works = {copy.student.id: _work(submissions, assignment, policy, copy) for copy in assignment.copies}
    file = ClassFile.open(order.path) if order.has_class_file else None
    try:
        keeper = _Keeper(file, assignment.lesson)
        kept = kept_marks(file, assignment.lesson) if file is not None and not order.everything else {}
        outcomes, prints, same = _outcomes(order, terms, works, kept, keeper, each)
        store = load_remarks(file, assignment.lesson) if file is not None else RemarkStore()
        makeup, unmarked = makeup_percents(file, assignment.lesson) if file is not None else ({}, ())
        versions = opened_terms(terms).versions
        remarks = {copy.student.id: store.of(copy.student.id, versions[copy.digest].plan) for copy in assignment.copies}
        students = [_rubric(one.marks, remarks[one.marks.student.id]) for one in outcomes]
        problems = [*submissions.problems, *told, *(unmarked if policy is not None else ())]
        marks = put_together(order.lesson, assignment, versions, students, problems)
        finals: tuple[FinalMark, ...] = ()
        if policy is not None:
            finals = _finals(policy, marks, assignment, outcomes, makeup)
        keeper.write(lambda opened: keep_finals(opened, assignment.lesson, finals))
        if keeper.problem:
            marks = replace(marks, problems=(*marks.problems, keeper.problem))
    finally:
        if file is not None:
            file.close()
    hints = likeness_hints([one.trace for one in outcomes], _groups(assignment, policy))
    return MarkedAssignment(marks, finals, hints, remarks, works, terms, prints, len(outcomes) - same, same, policy)


def _finals(
    policy: MarkingPolicy,
    marks: ClassMarks,
    assignment: Assignment,
    outcomes: Sequence[Outcome],
    makeup: Mapping[str, float],
) -> tuple[FinalMark, ...]:
    choices: dict[str, tuple[AttemptChoice, ...]] = {
        one.marks.student.id: one.choices for one in outcomes if one.choices
    }
    dues = {copy.student.id: copy.due for copy in assignment.copies if copy.due is not None}
    return final_marks(policy, marks, choices=choices, dues=dues, makeup=makeup)
