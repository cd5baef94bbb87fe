"""Which of several things that a student handed in counts: copies of one piece of work are put together, the newest counts."""

from collections.abc import Sequence
from dataclasses import dataclass

from musictheory_nb.practice.answer_record import AnswerLine, merge_answers


@dataclass(frozen=True)
class Source:
    """The answers of one file.

    Parameters
    ----------
    name : str
        How lines call the file.
    steps : tuple of str
        Where it lies.
    student : str
        Whose it is: of a group, the member who handed it in.
    answers : tuple of AnswerLine
        As they could be read.
    is_proven : bool
        Whether more than its own word says whose it is: it lies in the student's folder, or has the student's seed.
    """

    name: str
    steps: tuple[str, ...]
    student: str
    answers: tuple[AnswerLine, ...]
    is_proven: bool = True


@dataclass(frozen=True)
class Work:
    """One piece of work: its sources, and their answers put together, earliest first."""

    sources: tuple[Source, ...]
    answers: tuple[AnswerLine, ...]
    conflicts: tuple[str, ...] = ()

    @property
    def rank(self) -> tuple[bool, str, int]:
        """Sort key: proven before unproven, then the later last answer, then more answers."""
        proven = any(one.is_proven for one in self.sources)
        return proven, max((line.time.rstrip("Z") for line in self.answers), default=""), len(self.answers)

    @property
    def names(self) -> str:
        """Its files in words."""
        names = list(dict.fromkeys(one.name for one in self.sources))
        return " and ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")

    @property
    def last(self) -> str:
        """Time of the last answer."""
        return max((line.time for line in self.answers), default="")


def _work(sources: Sequence[Source]) -> Work:
    answers, conflicts = merge_answers(*(one.answers for one in sources))
    return Work(tuple(sources), answers, conflicts)


def _copies(sources: Sequence[Source]) -> list[Work]:
    """Put together what shares an answer: copies of one record, older and newer."""
    groups: list[tuple[set[str], list[Source]]] = []
    for one in sources:
        ids = {line.id for line in one.answers}
        same = [group for group in groups if group[0] & ids]
        groups = [group for group in groups if not group[0] & ids]
        groups.append((ids.union(*(group[0] for group in same)), [*(s for group in same for s in group[1]), one]))
    return [_work(group) for _, group in groups]


def _items(work: Work) -> set[tuple[str, int]]:
    return {(line.exercise, line.index) for line in work.answers}


def _completes(work: Work, other: Work) -> bool:
    """Whether `other` is the rest of the same student's `work`: it answers other items, and is as sure to be theirs."""
    sure = all(one.is_proven for one in other.sources) or not any(one.is_proven for one in work.sources)
    same = {one.student for one in work.sources} == {one.student for one in other.sources}
    return sure and same and not _items(work) & _items(other)


def newest_work(sources: Sequence[Source]) -> tuple[Work, tuple[Work, ...]]:
    """Return the work that counts, and the others, newest first.

    Files that share an answer are copies of one work. Of works that answer the same items anew, as when a student began a
    second time on another computer, the one with the latest answer counts.
    """
    works = sorted(_copies([one for one in sources if one.answers]), key=lambda work: work.rank, reverse=True)
    if not works:
        return Work((), ()), ()
    first, *others = works
    left = []
    for other in others:
        if _completes(first, other):
            first = _work([*first.sources, *other.sources])
        else:
            left.append(other)
    return first, tuple(left)
