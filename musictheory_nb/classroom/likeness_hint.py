"""Where the records of two students show the same thing that each of them should have of their own.

A hint to a teacher, never a verdict: a shared computer, a file sent by mistake, two windows or work allowed in pairs look the
same. Nothing here touches a mark, and only what stands in the records is told; likeness of answers proves nothing and is not
looked at.

What a record holds of its own: the id of an answer (128 bits drawn when it is given), the time of an answer together with
the milliseconds it took, the milliseconds of a run of answers, and the seed from the manifest.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.packed_answers import PackedAnswers
from musictheory_nb.classroom.report_words import counted
from musictheory_nb.practice.answer_record import AnswerLine

#: Kind of likeness -> what it is, in words.
KINDS: Final = MappingProxyType(
    {
        "answer ids": "the same answer ids, which are drawn at random when an answer is given",
        "seed": "the seed of another student",
        "times": "answers at the same times that took equally long, to the millisecond",
        "timings": "a run of answers that took equally long, one after the other, to the millisecond",
        "name": "a record in another student's name",
    }
)
#: Equal (time, milliseconds) pairs, and length of a run of equal milliseconds, from which on they are told.
FEWEST_TIMES: Final = 3
FEWEST_IN_RUN: Final = 6
#: A key shared by more students than this is a fault of a computer or program, not of one student; it is told once.
MOST_SHARING: Final = 8

#: Bits of the table in which keys are looked for that come twice.
_BITS_A_KEY: Final = 64

NOT_A_VERDICT: Final = (
    "A hint, and no verdict: a shared computer, a file passed on by mistake or work in pairs look the same. No mark depends on it. "
    "Ask the students before you conclude anything."
)


@dataclass(frozen=True, slots=True)
class Recorded:
    """What one student's record shows: the seed of the manifest, all answer lines, and what the record claims.

    `claimed_seeds` and `claimed_students` are those that notebook and record name, whether they are right or not.
    """

    student: str
    seed: int
    answers: tuple[AnswerLine, ...] | PackedAnswers = ()
    claimed_seeds: tuple[int, ...] = ()
    claimed_students: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LikenessHint:
    """One likeness.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    students : tuple of str
        Ids of those concerned, sorted.
    count : int
        How many answers show it; 0 for a seed or a name.
    exercises : tuple of str
        In which exercises, where it concerns answers.
    """

    kind: str
    students: tuple[str, ...]
    count: int = 0
    exercises: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What is seen, in one sentence that names the students by id."""
        who = " and ".join(self.students) if len(self.students) < 3 else ", ".join(self.students)
        if self.kind == "seed":
            return f"{who}: the work of one names the seed of the other."
        if self.kind == "name":
            return f"{who}: the work of one holds a record in the name of the other."
        where = f" in {', '.join(self.exercises)}" if self.exercises else ""
        return f"{who}: {counted(self.count, 'answer')}{where} with {KINDS[self.kind]}."


@dataclass
class _Found:
    """Pairs of students, with the answers that show a likeness."""

    pairs: dict[tuple[str, ...], set[tuple[str, int]]] = field(default_factory=lambda: defaultdict(set))

    def add(self, students: Iterable[str], exercise: str, index: int) -> None:
        them = tuple(sorted(set(students)))
        if len(them) > 1:
            self.pairs[them].add((exercise, index))

    def hints(self, kind: str, fewest: int) -> list[LikenessHint]:
        return [
            LikenessHint(kind, students, len(items), tuple(sorted({exercise for exercise, _ in items})))
            for students, items in self.pairs.items()
            if len(items) >= fewest
        ]


def _pairs_of(owners: Sequence[str]) -> Iterable[tuple[str, ...]]:
    """All pairs of the owners of one key, or all of them together where there are many."""
    them = sorted(set(owners))
    if len(them) > MOST_SHARING:
        yield tuple(them[:MOST_SHARING])
        return
    for at, one in enumerate(them):
        for other in them[at + 1 :]:
            yield one, other


class _Repeats:
    """Which of very many keys come more than once, in little memory; of those that do not, a few are taken for it."""

    def __init__(self, keys: int) -> None:
        self._mask = (1 << max(16, (_BITS_A_KEY * keys).bit_length())) - 1
        self._bits = bytearray((self._mask + 1) // 8)
        self._repeated: set[int] = set()

    def add(self, key: object) -> None:
        at = hash(key) & self._mask
        byte, bit = at >> 3, 1 << (at & 7)
        if self._bits[byte] & bit:
            self._repeated.add(at)
        else:
            self._bits[byte] |= bit

    def __contains__(self, key: object) -> bool:
        return hash(key) & self._mask in self._repeated


#: What two records may share, and the items (exercise, index) that show it.
_Shown = tuple[object, tuple[tuple[str, int], ...]]


def _ids(lines: Sequence[AnswerLine]) -> Iterator[_Shown]:
    return ((line.id, ((line.exercise, line.index),)) for line in lines)


def _times(lines: Sequence[AnswerLine]) -> Iterator[_Shown]:
    return (
        ((line.time, line.ms), ((line.exercise, line.index),)) for line in lines if line.ms is not None and line.time
    )


def _runs(lines: Sequence[AnswerLine]) -> Iterator[_Shown]:
    """Equal milliseconds of `FEWEST_IN_RUN` answers in turn, whatever the clock said."""
    timed = [line for line in sorted(lines, key=lambda each: each.order) if line.ms is not None]
    for start in range(len(timed) - FEWEST_IN_RUN + 1):
        run = timed[start : start + FEWEST_IN_RUN]
        key = tuple(line.ms or 0 for line in run)
        if len(set(key)) > FEWEST_IN_RUN // 2:  # zeros, or one number over and over, are no fingerprint
            yield key, tuple((line.exercise, line.index) for line in run)


#: Kind of likeness -> what of the answers is compared, and in how many of them it must show.
_COMPARED: Final[Mapping[str, tuple[Callable[[Sequence[AnswerLine]], Iterator[_Shown]], int]]] = MappingProxyType(
    {"answer ids": (_ids, 1), "times": (_times, FEWEST_TIMES), "timings": (_runs, FEWEST_IN_RUN)}
)


def _shared(records: Sequence[Recorded]) -> Iterator[LikenessHint]:
    """What two records share; the records are gone through twice, so that only what may be shared is kept in memory."""
    count = sum(len(one.answers) for one in records)
    repeats = {kind: _Repeats(count) for kind in _COMPARED}
    for one in records:
        lines = tuple(one.answers)
        for kind, (shown, _) in _COMPARED.items():
            for key, _ in shown(lines):
                repeats[kind].add(key)
    owners: dict[str, dict[object, list[tuple[str, tuple[tuple[str, int], ...]]]]] = {
        kind: defaultdict(list) for kind in _COMPARED
    }
    for one in records:
        lines = tuple(one.answers)
        for kind, (shown, _) in _COMPARED.items():
            for key, items in shown(lines):
                if key in repeats[kind]:
                    owners[kind][key].append((one.student, items))
    for kind, (_, fewest) in _COMPARED.items():
        found = _Found()
        for shared in owners[kind].values():
            for pair in _pairs_of([student for student, _ in shared]):
                for exercise, index in next(items for student, items in shared if student in pair):
                    found.add(pair, exercise, index)
        yield from found.hints(kind, fewest)


def _claims(records: Sequence[Recorded]) -> list[LikenessHint]:
    by_seed = {one.seed: one.student for one in records}
    known = {one.student for one in records}
    hints = []
    for one in records:
        seeds = {*one.claimed_seeds, *(line.seed for line in one.answers if line.seed is not None)}
        for seed in seeds:
            other = by_seed.get(seed, one.student)
            if other != one.student:
                hints.append(LikenessHint("seed", tuple(sorted((one.student, other)))))
        for name in set(one.claimed_students) & known - {one.student}:
            hints.append(LikenessHint("name", tuple(sorted((one.student, name)))))
    return list(dict.fromkeys(hints))


def likeness_hints(
    records: Sequence[Recorded], groups: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> tuple[LikenessHint, ...]:
    """Return every likeness between the records of a class, strongest kind first.

    A likeness of two students is told by its strongest kind only. Students of one group are left out. Cost grows with the number of
    answers.

    Parameters
    ----------
    records : sequence of Recorded
        One for each student.
    groups : Mapping of str to sequence of str
        Students who were to work together, by group.

    Examples
    --------
    >>> likeness_hints([Recorded("ada", 1), Recorded("ben", 2, claimed_seeds=(1,))])[0].sentence
    'ada and ben: the work of one names the seed of the other.'
    """
    together = [set(members) for members in groups.values()]
    order = list(KINDS)
    hints = [*_shared(records), *_claims(records)]
    hints.sort(key=lambda hint: (order.index(hint.kind), -hint.count, hint.students))
    told: dict[tuple[str, ...], LikenessHint] = {}
    for hint in hints:
        if not any(set(hint.students) <= members for members in together):
            told.setdefault(hint.students, hint)
    return tuple(told.values())
