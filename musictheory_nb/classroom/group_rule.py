"""Work of a group: one hand-in counts for all its members, and a member's share of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import StudentMarks
from musictheory_nb.classroom.policy_section import ByName, Section, is_number, is_one_of, words_of
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

COUNTS: Final = MappingProxyType(
    {
        "best": "the member's work with most points",
        "latest": "the member's work with the latest answer",
        "own": "each member's own work; the groups are named in reports only",
    }
)


def _are_members(value: JSON) -> bool:
    return isinstance(value, list | tuple) and len(value) >= 2 and len(set(map(str, value))) == len(value) and all(map(is_slug, value))  # fmt: skip


SECTION: Final = Section(
    "group",
    "Work that was done in groups.",
    (Setting("counts", "best", "Whose work counts for all members.", words_of(COUNTS), is_one_of(*COUNTS)),),
    (
        ByName(
            "members", "group", "The students of a group.", "a list of at least two student ids, each once",
            _are_members, 'trio = ["ines-orta", "jun-abernathy", "kofi-sorensen"]',
        ),
        ByName(
            "share", "student", "Percent of the group's mark that a member gets.", "0 to 100",
            is_number(0, 100), '"kofi-sorensen" = 80',
        ),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class GroupRule:
    """The rule on group work; see `SECTION`."""

    counts: str = "best"
    members: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    share: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "GroupRule":
        """Return the rule that checked settings state."""
        members = {group: tuple(students) for group, students in settings["members"].items()}
        return cls(settings["counts"], MappingProxyType(members), MappingProxyType(settings["share"]))

    def group_of(self, student: str) -> str:
        """Return the group of a student; empty for none."""
        return next((group for group, students in self.members.items() if student in students), "")


@dataclass(frozen=True, slots=True)
class GroupWork:
    """Whose work counts for a student: the group, and the student who handed it in."""

    group: str
    student: str


def with_group_work(
    students: Sequence[StudentMarks], rule: GroupRule
) -> tuple[tuple[StudentMarks, ...], dict[str, GroupWork]]:
    """Return the marks with each group's work in the place of its members' own, and whose work that is.

    What was found in a member's own hand-in stays with that member. A group of which nobody answered is left alone.
    """
    if rule.counts == "own" or not rule.members:
        return tuple(students), {}
    by_id = {one.student.id: one for one in students}
    counting: dict[str, tuple[str, StudentMarks]] = {}
    for group, members in rule.members.items():
        handed_in = [by_id[id] for id in members if id in by_id and by_id[id].answered]
        if not handed_in:
            continue
        if rule.counts == "best":
            best = max(handed_in, key=lambda one: one.points)
        else:
            best = max(handed_in, key=lambda one: one.last_answer)
        counting.update({id: (group, best) for id in members if id in by_id})
    shown = []
    for one in students:
        if one.student.id in counting:
            work = counting[one.student.id][1]
            one = replace(
                one,
                exercises=work.exercises,
                confusions=work.confusions,
                handed_in=True,
                last_answer=work.last_answer,
                after_due=work.after_due,
            )
        shown.append(one)
    return tuple(shown), {id: GroupWork(group, work.student.id) for id, (group, work) in counting.items()}
