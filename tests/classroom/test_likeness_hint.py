"""Hints on likeness: told where two records show what each should have of its own, and nowhere else."""

import random
from dataclasses import replace

import pytest

from musictheory_nb.classroom.likeness_hint import KINDS, NOT_A_VERDICT, Recorded, likeness_hints
from musictheory_nb.classroom.packed_answers import packed
from musictheory_nb.practice.answer_record import AnswerLine


def line(student, index, *, ms=None, time=None, seed=None):
    return AnswerLine(
        f"{student:016x}{index:016x}", "first", 1, index, {"interval": {"choice": "m3"}}, 1,
        time or f"2026-03-02T10:{student:02d}:{index:02d}.{(37 * index * (student + 1)) % 1000:03d}Z", 1,
        4000 + (7919 * (index + 1) * (student + 1)) % 9000 if ms is None else ms, seed,
    )  # fmt: skip


def record(number, count=12, **more):
    return Recorded(f"s{number}", 100 + number, tuple(line(number, index) for index in range(count)), **more)


def test_a_class_that_works_alone_has_no_hints():
    assert likeness_hints([record(n) for n in range(1, 40)]) == ()


def test_equal_answers_prove_nothing():
    """All answer m3 throughout: no hint."""
    assert likeness_hints([record(1), record(2)]) == ()


def test_a_copied_record_is_told_by_its_answer_ids():
    (hint,) = likeness_hints([record(1), replace(record(1), student="s2", seed=102)])
    assert (hint.kind, hint.students, hint.count, hint.exercises) == ("answer ids", ("s1", "s2"), 12, ("first",))
    assert hint.sentence == f"s1 and s2: 12 answers in first with {KINDS['answer ids']}."


def test_new_ids_do_not_hide_equal_times():
    copied = tuple(replace(one, id=f"{99:016x}{at:016x}") for at, one in enumerate(record(1).answers))
    (hint,) = likeness_hints([record(1), Recorded("s2", 102, copied)])
    assert (hint.kind, hint.count) == ("times", 12)


def test_a_turned_clock_does_not_hide_equal_timings():
    copied = tuple(
        replace(one, id=f"{99:016x}{at:016x}", time=f"2026-04-01T08:00:{at:02d}.000Z")
        for at, one in enumerate(record(1).answers)
    )
    (hint,) = likeness_hints([record(1), Recorded("s2", 102, copied)])
    assert (hint.kind, hint.students) == ("timings", ("s1", "s2"))


@pytest.mark.parametrize("ms", [0, 5000])
def test_one_number_over_and_over_is_no_fingerprint(ms):
    them = [Recorded(f"s{n}", n, tuple(line(n, index, ms=ms) for index in range(12))) for n in (1, 2)]
    assert likeness_hints(them) == ()


def test_two_answers_at_one_moment_are_chance():
    times = ["2026-03-02T10:00:00.000Z", "2026-03-02T10:00:30.000Z"]
    them = [Recorded(f"s{n}", n, tuple(line(n, at, ms=4000 + at, time=time) for at, time in enumerate(times))) for n in (1, 2)]  # fmt: skip
    assert likeness_hints(them) == ()


def test_anothers_seed_and_anothers_name():
    found = likeness_hints(
        [record(1), record(2, claimed_seeds=(101, 555)), record(3, claimed_students=("s1", "nobody"))]
    )
    assert [(hint.kind, hint.students) for hint in found] == [("seed", ("s1", "s2")), ("name", ("s1", "s3"))]


def test_a_review_item_drawn_from_anothers_seed():
    (hint,) = likeness_hints([record(1), Recorded("s2", 102, (line(2, 0, seed=101),))])
    assert hint.kind == "seed"


def test_those_who_were_to_work_together_are_left_out():
    them = [record(1), replace(record(1), student="s2", seed=102)]
    assert likeness_hints(them, {"duo": ("s1", "s2", "s3")}) == ()
    assert len(likeness_hints(them, {"duo": ("s1", "s3")})) == 1


def test_one_record_handed_in_by_many_is_told_once():
    them = [replace(record(1), student=f"s{n:03d}", seed=n) for n in range(200)]
    (hint,) = likeness_hints(them)
    assert len(hint.students) == 8


def test_it_is_no_verdict():
    assert "no verdict" in NOT_A_VERDICT
    for words in (NOT_A_VERDICT, *KINDS.values()):
        assert not any(word in words.casefold() for word in ("cheat", "guilty", "plagiar", "fraud"))


def test_of_many_students_those_are_named_whose_records_were_planted_and_nobody_else():
    """Forty answers of each of 500, with ids, times and milliseconds drawn at random; three pairs share something."""
    draw = random.Random(5)

    def lines(number):
        return [
            AnswerLine(
                f"{draw.getrandbits(128):032x}", "first", 1, index, {}, 1,
                f"2026-03-02T{draw.randrange(8, 20):02}:{draw.randrange(60):02}:{draw.randrange(60):02}.{draw.randrange(1000):03}Z",
                None, draw.randrange(10**5),
            )
            for index in range(40)
        ]  # fmt: skip

    all_lines = [lines(number) for number in range(500)]
    all_lines[17][5] = all_lines[400][5]  # one answer id
    all_lines[30][:3] = [replace(one, id=f"{at:032x}") for at, one in enumerate(all_lines[31][:3])]  # three moments
    timed = sorted(all_lines[90], key=lambda one: one.order)[10:16]
    all_lines[91] = [
        replace(one, id=f"{at + 9:032x}", time=f"2026-03-05T10:00:{at:02}.000Z") for at, one in enumerate(timed)
    ]
    records = [Recorded(f"s{number:03}", number, packed(them)) for number, them in enumerate(all_lines)]
    told = {(hint.kind, hint.students) for hint in likeness_hints(records)}
    assert told == {("answer ids", ("s017", "s400")), ("times", ("s030", "s031")), ("timings", ("s090", "s091"))}
    assert [tuple(one.answers) for one in records] == [tuple(them) for them in all_lines]
