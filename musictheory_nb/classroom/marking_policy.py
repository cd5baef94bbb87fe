"""The marking policy of a class: a small declared file, and what it makes of the raw marks, rule by rule.

The file is TOML, ``policy.toml`` beside the lesson. Rules are applied in this order, whatever order the file has:

1. ``attempts``: of several answers to an item one counts (see `attempt_rule`; it works on answers, before marking).
2. ``group``: the work that counts for all members of a group.
3. ``dropped``: named items, then each student's lowest.
4. ``weights``: points of an exercise in the place of the lesson's.
5. ``curve``: for all who answered something.
6. ``late``: after the curve, so that one student's lateness does not move the best mark of the class, and what lateness
   takes is not given back.
7. ``group.share``: a member's share of the group's mark.
8. ``makeup``: make-up work, itself marked by its own policy.
9. ``rounding``, and then ``pass``.

A rule that changes nothing for a student leaves no effect. A student without any answer has 0 and no effects.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom import attempt_rule, curve, drop_rule, group_rule, late_rule, makeup_rule, rounding_rule
from musictheory_nb.classroom.attempt_rule import AttemptRule
from musictheory_nb.classroom.curve import Curve
from musictheory_nb.classroom.drop_rule import DropRule
from musictheory_nb.classroom.group_rule import GroupRule
from musictheory_nb.classroom.late_rule import LateRule
from musictheory_nb.classroom.makeup_rule import MakeupRule
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.policy_section import ByName, Section, is_number, read_section
from musictheory_nb.classroom.policy_text import Keys, PolicyText, near, parse_toml, read_toml
from musictheory_nb.classroom.rounding_rule import RoundingRule
from musictheory_nb.practice.plain_data import JSON

WEIGHTS: Final = Section(
    "weights",
    "Points that an exercise counts for, in the place of the lesson's; exercises that are not named keep theirs.",
    (),
    (
        ByName(
            "",
            "exercise",
            "Points of the exercise.",
            "0 to 1000; 0 leaves it out",
            is_number(0, 1000),
            "hear-tritones = 20",
        ),
    ),
)

#: All sections of a policy, in the order of the documentation.
SECTIONS: Final[tuple[Section, ...]] = (
    attempt_rule.SECTION,
    group_rule.SECTION,
    drop_rule.SECTION,
    WEIGHTS,
    curve.SECTION,
    late_rule.SECTION,
    makeup_rule.SECTION,
    rounding_rule.SECTION,
    rounding_rule.PASS_SECTION,
)


@dataclass(frozen=True)
class MarkingPolicy:
    """A marking policy; one made without arguments changes nothing.

    `text` is the file it was read from, for the lines of its errors.
    """

    attempts: AttemptRule = field(default_factory=AttemptRule)
    group: GroupRule = field(default_factory=GroupRule)
    dropped: DropRule = field(default_factory=DropRule)
    weights: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    curve: Curve = field(default_factory=Curve)
    late: LateRule = field(default_factory=LateRule)
    makeup: MakeupRule = field(default_factory=MakeupRule)
    rounding: RoundingRule = field(default_factory=RoundingRule)
    pass_percent: float = 0.0
    text: PolicyText = field(
        default_factory=lambda: PolicyText("policy", MappingProxyType({}), MappingProxyType({})), repr=False
    )

    def check_fits(self, exercises: Mapping[str, int], students: Sequence[str]) -> None:
        """Raise unless every exercise, item and student that the policy names is there.

        Parameters
        ----------
        exercises : Mapping of str to int
            Number of items of each exercise of the lesson, by id.
        students : sequence of str
            Ids of the class.

        Raises
        ------
        PolicyError
            Something is not; names the line.
        """
        known = tuple(exercises)
        for keys, id in (
            *((("weights", id), id) for id in self.weights),
            *((("dropped", "items"), id) for id, _ in self.dropped.items),
            *((("dropped", "lowest", id), id) for id in self.dropped.lowest),
        ):
            if id not in exercises:
                told = ", ".join(known) or "none"
                raise self.text.error(
                    keys, f"exercise {plain_line(id, 60)!r} is not in the lesson; it has: {told}{near(id, known)}"
                )
        for id, index in self.dropped.items:
            if index >= exercises[id]:
                raise self.text.error(
                    ("dropped", "items"), f"exercise {id!r} has no item {index + 1}; it has {exercises[id]}"
                )
        for id, count in self.dropped.lowest.items():
            if count >= exercises[id]:
                raise self.text.error(
                    ("dropped", "lowest", id),
                    f"the lowest {count} of {id!r} are all of its {exercises[id]} items; drop fewer, or give it weight 0",
                )
        self._check_students(frozenset(students), tuple(students))

    def _check_students(self, known: frozenset[str], ids: tuple[str, ...]) -> None:
        named: list[tuple[Keys, str]] = [(("late", "extra", id), id) for id in self.late.extra]
        named += [(("group", "share", id), id) for id in self.group.share]
        named += [(("group", "members", group), id) for group, them in self.group.members.items() for id in them]
        for keys, id in named:
            if id not in known:
                raise self.text.error(
                    keys,
                    f"student {plain_line(id, 60)!r} is not in the class; write the id of the roster{near(id, ids)}",
                )


def policy_from(text: PolicyText) -> MarkingPolicy:
    """Return the policy that a file states.

    Raises
    ------
    PolicyError
        A section or setting that is not known, a value that is not allowed, or a student in two groups.
    """
    known = tuple(section.name for section in SECTIONS)
    for name in text.values:
        if name not in known:
            shown = plain_line(name, 40)
            raise text.error(
                (name,), f"[{shown}] is no section of a policy; allowed: {', '.join(known)}{near(name, known)}"
            )
    read: dict[str, dict[str, JSON]] = {section.name: read_section(section, text) for section in SECTIONS}
    group = GroupRule.from_settings(read["group"])
    where: dict[str, str] = {}
    for name, members in group.members.items():
        for student in members:
            if student in where:
                raise text.error(
                    ("group", "members", name), f"student {student!r} is in the group {where[student]!r} already"
                )
            where[student] = name
    for student in group.share:
        if student not in where:
            raise text.error(("group", "share", student), f"student {student!r} is in no group of [group.members]")
    late = LateRule.from_settings(read["late"])
    return MarkingPolicy(
        AttemptRule.from_settings(read["attempts"]),
        group,
        DropRule.from_settings(read["dropped"]),
        MappingProxyType(read["weights"][""]),
        Curve.from_settings(read["curve"]),
        late,
        MakeupRule.from_settings(read["makeup"]),
        RoundingRule.from_settings(read["rounding"]),
        read["pass"]["percent"],
        text,
    )


def parse_policy(data: bytes, name: str = "policy.toml") -> MarkingPolicy:
    r"""Return the policy in the bytes of its file.

    Raises
    ------
    PolicyError
        It is not TOML, or says what a policy cannot say; the message names the line.

    Examples
    --------
    >>> parse_policy(b'[late]\nper = "day"\ntakes = 5\n').late.takes
    5
    >>> parse_policy(b'[late]\nper = "week"\n')
    Traceback (most recent call last):
    musictheory_nb.errors.PolicyError: 'policy.toml', line 2: late.per 'week'; allowed: 'none' (late work counts in full), 'day' (each started day), 'hour' (each started hour)
    """
    return policy_from(parse_toml(data, name))


def read_policy(path: Path) -> MarkingPolicy:
    """Read a policy file.

    Raises
    ------
    PolicyError
        It cannot be opened, or as for `parse_policy`.
    """
    return policy_from(read_toml(path))
