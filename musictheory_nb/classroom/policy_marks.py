"""Raw marks and a policy make final marks, each with the effect of every rule."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.attempt_rule import AttemptChoice
from musictheory_nb.classroom.class_marks import ClassMarks, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.curve import curve_words, curved
from musictheory_nb.classroom.drop_rule import Dropped, after_dropping
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.group_rule import GroupWork, with_group_work
from musictheory_nb.classroom.late_rule import deduction, is_closed, late_words, started_units
from musictheory_nb.classroom.makeup_rule import makeup_words, with_makeup
from musictheory_nb.classroom.marking_policy import MarkingPolicy
from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.policy_effect import Effect, FinalExercise, FinalMark, percent_words
from musictheory_nb.classroom.rounding_rule import is_passed, rounded
from musictheory_nb.classroom.time_span import NO_TIME, TimeSpan

NO_CHOICES: Final[Mapping[str, tuple[AttemptChoice, ...]]] = MappingProxyType({})
NO_DUES: Final[Mapping[str, DueTime]] = MappingProxyType({})
NO_PERCENT: Final[Mapping[str, float]] = MappingProxyType({})


def _percent(exercises: tuple[FinalExercise, ...]) -> float:
    possible = sum(one.points_possible for one in exercises)
    return 100 * sum(one.points for one in exercises) / possible if possible else 0.0


def _plain(marks: tuple[ExerciseMarks, ...]) -> tuple[FinalExercise, ...]:
    return tuple(FinalExercise(one.id, one.score, one.points_marked) for one in marks)


def _weight(policy: MarkingPolicy, marks: ExerciseMarks) -> float:
    """What an exercise counts, without the answers that await a teacher's mark."""
    return policy.weights.get(marks.id, marks.points_possible) * marks.marked_share


@dataclass(frozen=True, slots=True)
class _Due:
    """When a student's work is due: the due time of the class or the student's own, and the extra time."""

    time: DueTime
    extra: TimeSpan


class _Account:
    """A student's mark while the rules are applied: each change is written down."""

    def __init__(self, percent: float) -> None:
        self.percent = percent
        self.effects: list[Effect] = []
        self.kept: dict[str, Dropped] = {}

    def change(self, rule: str, words: str, percent: float, *, always: bool = False) -> None:
        if always or percent != self.percent:
            self.effects.append(Effect(rule, words, self.percent, percent))
        self.percent = percent


def _first_attempts(one: StudentMarks, choices: tuple[AttemptChoice, ...]) -> tuple[ExerciseMarks, ...]:
    """The exercises as they were if the first answer to each item counted."""
    first = {(choice.exercise, choice.index): choice.first_score for choice in choices}
    return tuple(
        replace(marks, scores=tuple(first.get((marks.id, at), score) for at, score in enumerate(marks.scores)))
        for marks in one.exercises
    )


def _attempt_words(counts: str, choices: tuple[AttemptChoice, ...]) -> str:
    told = [f"{c.exercise} item {c.index + 1}: attempt {c.chosen} of {c.attempts}" for c in choices[:6]]
    more = f", and {len(choices) - 6} more" if len(choices) > 6 else ""
    return f"attempts: the {counts} counts ({', '.join(told)}{more})"


def _closed_out(one: StudentMarks, policy: MarkingPolicy, due: _Due | None) -> tuple[StudentMarks, int]:
    """The marks without the answers that came after closing, and how many those are."""
    if due is None or not policy.late.closes:
        return one, 0
    left_out, exercises, counted = 0, [], []
    for marks in one.exercises:
        times = marks.times or ("",) * len(marks.scores)
        scores = list(marks.scores)
        for at, time in enumerate(times):
            if time and is_closed(policy.late, due.time, time, due.extra):
                scores[at] = None
                left_out += 1
            elif time:
                counted.append(time)
        exercises.append(replace(marks, scores=tuple(scores)))
    if not left_out:
        return one, 0
    return replace(one, exercises=tuple(exercises), last_answer=max(counted, default="")), left_out


def _without_dropped(
    account: _Account, one: StudentMarks, policy: MarkingPolicy
) -> tuple[tuple[FinalExercise, ...], str]:
    if not one.answered:
        return _plain(one.exercises), ""
    found, told = [], []
    for marks in one.exercises:
        kept = account.kept[marks.id] = after_dropping(policy.dropped, marks.id, marks.scores, marks.awaits)
        if kept.words:
            told.append(kept.words)
        if kept.scores:
            found.append(FinalExercise(marks.id, sum(kept.scores) / len(kept.scores), marks.points_marked))
    return tuple(found), "; ".join(told)


def _late_percent(account: _Account, one: StudentMarks, policy: MarkingPolicy, due: _Due) -> tuple[float, str]:
    """The mark in percent after lateness, and the words; the same mark and no words when nothing is late."""
    rule = policy.late
    if rule.by == "hand-in":
        units = started_units(rule, due.time, one.last_answer, due.extra) if one.last_answer else 0
        if not units:
            return account.percent, ""
        lost = deduction(rule, units)
        base = account.percent if rule.of == "mark" else 100.0
        return max(0.0, account.percent - base * lost / 100), late_words(rule, units)
    reached = taken = 0.0
    late, most = 0, 0
    for marks in one.exercises:
        kept = account.kept[marks.id]
        for score, at in zip(kept.scores, kept.places, strict=True):
            weight = _weight(policy, marks) / len(kept.scores)
            reached += weight * score
            if at is None or marks.scores[at] is None:
                continue
            time = marks.times[at] if marks.times else one.last_answer
            units = started_units(rule, due.time, time, due.extra) if time else 0
            if units:
                late, most = late + 1, max(most, units)
                lost = deduction(rule, units) / 100
                taken += weight * (score * lost if rule.of == "mark" else min(score, lost))
    if not late or not reached:
        return account.percent, ""
    answers = "1 answer" if late == 1 else f"{late} answers"
    words = f"{answers} late, the latest by {most} {rule.per if most == 1 else rule.per + 's'}: "
    after = account.percent * (1 - taken / reached)
    return after, f"{words}−{number_text(account.percent - after)} %"


def _before_curve(
    one: StudentMarks, policy: MarkingPolicy, choices: tuple[AttemptChoice, ...], group: GroupWork | None, due: _Due | None
) -> tuple[_Account, StudentMarks, tuple[FinalExercise, ...]]:  # fmt: skip
    """Rules 1 to 4, which look at one student's answers alone."""
    account = _Account(_percent(_plain(_first_attempts(one, choices))))
    if choices:
        account.change("attempts", _attempt_words(policy.attempts.counts, choices), _percent(_plain(one.exercises)))
    if group is not None and group.student != one.student.id:
        words = f"group {group.group}: the work of {group.student} counts"
        account.change("group", words, account.percent, always=True)
    one, left_out = _closed_out(one, policy, due)
    if left_out:
        answers = "1 answer" if left_out == 1 else f"{left_out} answers"
        account.change("late", f"late: {answers} after closing left out", _percent(_plain(one.exercises)))
    if one.awaiting:
        answers = (
            "1 answer awaits its mark and is"
            if one.awaiting == 1
            else f"{one.awaiting} answers await their mark and are"
        )
        account.change("teacher", f"teacher: {answers} left out until then", account.percent, always=True)
    exercises, words = _without_dropped(account, one, policy)
    if words:
        account.change("dropped", f"dropped: {words}", _percent(exercises), always=True)
    shares = {marks.id: _weight(policy, marks) for marks in one.exercises}
    weighted = tuple(replace(marks, points_possible=float(shares[marks.id])) for marks in exercises)
    if policy.weights:
        told = ", ".join(f"{id} counts {number_text(points)}" for id, points in policy.weights.items())
        account.change("weights", f"weights: {told}", _percent(weighted))
    return account, one, weighted


def _after_curve(
    account: _Account, one: StudentMarks, policy: MarkingPolicy, due: _Due | None, makeup: float | None, possible: float
) -> None:  # fmt: skip
    """Rules 6 to 9."""
    if due is not None and one.answered and policy.late.per != "none":
        percent, words = _late_percent(account, one, policy, due)
        if words:
            account.change("late", words, percent, always=True)
    share = policy.group.share.get(one.student.id)
    if share is not None:
        account.change("group", f"group: {number_text(share)} % of the group's mark", account.percent * share / 100)
    if makeup is not None:
        percent = with_makeup(policy.makeup, account.percent, makeup)
        account.change("makeup", makeup_words(policy.makeup, makeup), percent, always=True)
    rounding = policy.rounding
    if rounding.unit == "percent":
        percent = rounded(account.percent, rounding.to, rounding.way)
    elif possible:
        percent = 100 * rounded(account.percent / 100 * possible, rounding.to, rounding.way) / possible
    else:
        percent = account.percent
    words = f"rounding: {rounding.way}, to {number_text(rounding.to)} {rounding.unit}"
    account.change("rounding", words, percent)


def final_marks(
    policy: MarkingPolicy,
    lesson: ClassMarks,
    *,
    choices: Mapping[str, tuple[AttemptChoice, ...]] = NO_CHOICES,
    dues: Mapping[str, DueTime] = NO_DUES,
    makeup: Mapping[str, float] = NO_PERCENT,
) -> tuple[FinalMark, ...]:
    r"""Return the final mark of every student, in the order of the class; a pure function of what is given.

    Parameters
    ----------
    policy : MarkingPolicy
        See the module `marking_policy` for the order of its rules.
    lesson : ClassMarks
        Raw marks, with the teacher's rubric marks in them.
    choices : Mapping of str to tuple of AttemptChoice
        By student id, from `attempt_rule.answers_that_count`.
    dues : Mapping of str to DueTime
        Due times of students who have another one than the class; extra time of the policy is added to it.
    makeup : Mapping of str to float
        Percent that students reached in make-up work, by id.

    Raises
    ------
    PolicyError
        The policy names an exercise, item or student that is not there.

    Examples
    --------
    >>> from musictheory_nb.classroom.marking_policy import parse_policy
    >>> from musictheory_nb.classroom.roster import Student
    >>> ada = StudentMarks(Student("ada", "Ada"), (ExerciseMarks("first", (1.0, 0.5, 0.0, 1.0), 8.0),))
    >>> policy = parse_policy(b"[dropped.lowest]\nfirst = 1\n[rounding]\nto = 1\n")
    >>> (mark,) = final_marks(policy, ClassMarks("x", "X", "", (("first", "Intervals"),), (ada,)))
    >>> mark.percent, mark.words
    (83.0, 'dropped: lowest 1 of first: item 3; rounding: half up, to 1 percent')
    """
    counts: dict[str, int] = {id: 0 for id, _ in lesson.exercises}
    for one in lesson.students:
        for marks in one.exercises:
            counts[marks.id] = max(counts.get(marks.id, 0), len(marks.scores))
    policy.check_fits(counts, [one.student.id for one in lesson.students])
    students, groups = with_group_work(lesson.students, policy.group)
    own_dues: dict[str, _Due | None] = {}
    accounts = []
    for own, one in zip(lesson.students, students, strict=True):
        id = one.student.id
        extra = policy.late.extra.get(id, NO_TIME)
        due = dues.get(id, lesson.due)
        own_dues[id] = None if due is None else _Due(due, extra)
        account, kept, exercises = _before_curve(one, policy, choices.get(id, ()), groups.get(id), own_dues[id])
        accounts.append((account, kept, exercises, _percent(_plain(own.exercises))))
    top = max((account.percent for account, one, _, _ in accounts if one.answered), default=0.0)
    found = []
    for account, one, exercises, raw in accounts:
        possible = sum(marks.points_possible for marks in exercises)
        if one.answered and policy.curve.kind != "none":
            account.change("curve", curve_words(policy.curve, top), curved(policy.curve, account.percent, top))
        id = one.student.id
        _after_curve(account, one, policy, own_dues[id], makeup.get(id), possible)
        passed = None
        if policy.pass_percent and not one.failed:
            passed = is_passed(account.percent, policy.pass_percent)
        found.append(FinalMark(id, raw, account.percent, possible, passed, tuple(account.effects), exercises))
    return tuple(found)


def mark_words(mark: FinalMark) -> str:
    """Return a final mark in one line.

    Examples
    --------
    >>> mark_words(FinalMark("ada", 70.0, 63.0, 10.0, True))
    '63 % (6.3 of 10 points), passed'
    """
    told = f"{percent_words(mark.percent)} ({number_text(mark.points)} of {number_text(mark.points_possible)} points)"
    return told if mark.passed is None else f"{told}, {'passed' if mark.passed else 'not passed'}"
