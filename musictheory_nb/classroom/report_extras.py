"""What a class report can tell beside the raw marks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from musictheory_nb.classroom.likeness_hint import LikenessHint
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.teacher_remark import Exchange


@dataclass(frozen=True)
class ReportExtras:
    """What is known of a lesson beside its marks; everything may be left out.

    Parameters
    ----------
    finals : sequence of FinalMark
        Marks after the policy, in the order of the students.
    pass_percent : float
        The policy's pass mark; 0 for none.
    hints : sequence of LikenessHint
        Likenesses between records.
    exchanges : Mapping of str to sequence of Exchange
        Students' questions and the replies, by student id.
    pages : Mapping of str to str
        Where the page of each student lies, relative to the report, by student id.
    """

    finals: Sequence[FinalMark] = ()
    pass_percent: float = 0.0
    hints: Sequence[LikenessHint] = ()
    exchanges: Mapping[str, Sequence[Exchange]] = field(default_factory=lambda: MappingProxyType({}))
    pages: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def final(self, student: str) -> FinalMark | None:
        """Return the mark of a student after the policy; None without one."""
        return self._by_student.get(student)

    @property
    def _by_student(self) -> Mapping[str, FinalMark]:
        found: dict[str, FinalMark] | None = self.__dict__.get("_finals")
        if found is None:
            found = {final.student: final for final in self.finals}
            object.__setattr__(self, "_finals", found)
        return found
