"""The marking policy: what a file may say, and what it makes of marks. Expected values are worked by hand beside each check."""

import math

import pytest

from musictheory_nb.classroom.attempt_rule import AttemptRule, answers_that_count
from musictheory_nb.classroom.class_marks import ClassMarks, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.late_rule import LateRule, started_units
from musictheory_nb.classroom.marking_policy import SECTIONS, MarkingPolicy, parse_policy, read_policy
from musictheory_nb.classroom.policy_marks import final_marks
from musictheory_nb.classroom.policy_template import policy_template
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.rounding_rule import rounded
from musictheory_nb.classroom.time_span import TimeSpan, moment_after, read_span
from musictheory_nb.errors import PolicyError
from musictheory_nb.practice.marking import mark_lesson

DUE = "2026-03-06 18:00 UTC"


def student(id, *scores, time="2026-03-06T17:00:00Z", points=10.0, times=()):
    answered = any(score is not None for score in scores)
    exercise = ExerciseMarks("first", scores, points, times)
    return StudentMarks(Student(id, id.title()), (exercise,), handed_in=answered, last_answer=time if answered else "")


def a_class(*students, due=DUE, exercises=("first",)):
    return ClassMarks(
        "read", "Read", "sha256:0", tuple((id, "Intervals") for id in exercises), students, due and read_due(due)
    )


def marks(policy, *students, **more):
    found = final_marks(parse_policy(policy.encode()), a_class(*students), **more)
    return {one.student: one for one in found}


# -- the file ---------------------------------------------------------------------------------------------------------

BAD = [
    pytest.param(b"[late\n", "line 1", id="not TOML"),
    pytest.param(b'[late]\nper = "day"\nper = "hour"\n', "line 3", id="key twice"),
    pytest.param(b"\n[lait]\n", "line 2: .lait. is no section.*did you mean 'late'", id="unknown section"),
    pytest.param(b'[late]\n\nper = "fortnight"', "line 3: late.per 'fortnight'; allowed: 'none'", id="not allowed"),
    pytest.param(b"[late]\ntake = 3", "line 2: 'take' is no setting.*did you mean 'takes'", id="unknown setting"),
    pytest.param(b"late = 3", "line 1: late 3; write a table, as .late.", id="no table"),
    pytest.param(b"late.takes = 101", "line 1: late.takes 101; allowed: 0 to 100", id="dotted key"),
    pytest.param(b"[late]\ntakes = nan", "line 2: late.takes nan", id="not a number"),
    pytest.param(b"[late]\ntakes = inf", "line 2: late.takes inf", id="infinite"),
    pytest.param(b"[late]\ntakes = true", "line 2: late.takes True", id="truth value"),
    pytest.param(b"[late]\ngrace = 10", "line 2: late.grace 10", id="number for a time"),
    pytest.param(b'[late]\ngrace = "10 fortnights"', "line 2: late.grace '10 fortnights'", id="unknown unit"),
    pytest.param(b'[late]\ngrace = "-1 day"', "line 2: late.grace '-1 day'", id="negative time"),
    pytest.param(b'[late.extra]\nada = "a while"', "line 2: student 'ada': 'a while'", id="extra time"),
    pytest.param(b"[weights]\nfirst = -1", "line 2: exercise 'first': -1", id="negative weight"),
    pytest.param(b'[dropped]\nitems = [\n "first"\n]', "line 2: dropped.items", id="item without number"),
    pytest.param(b'[dropped]\nitems = ["first 0"]', "line 2: dropped.items", id="items count from 1"),
    pytest.param(b"[dropped.lowest]\nfirst = 0.5", "line 2: exercise 'first': 0.5", id="half an item"),
    pytest.param(b'[curve]\nkind = "linear"\nfrom = [80, 40]', "line 3: curve.from .80, 40.", id="out of order"),
    pytest.param(b'[group.members]\na = ["x"]', "line 2: group 'a'", id="a group of one"),
    pytest.param(b'[group.members]\na = ["x","y"]\nb = ["y","z"]', "line 3: student 'y' is in the group 'a'", id="two groups"),
    pytest.param(b"[group.share]\nx = 50", "line 2: student 'x' is in no group", id="share without group"),
    pytest.param(b"\xff\xfe", "line 1: not UTF-8", id="not UTF-8"),
    pytest.param(b"#" * 70_000, "at most", id="too large"),
    pytest.param(b"a = " + b"[" * 5000, "policy.toml", id="too deep"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "told"), BAD)
def test_a_bad_policy_is_refused_with_its_line(data, told):
    with pytest.raises(PolicyError, match=told):
        parse_policy(data)


def test_a_policy_that_is_not_there_is_named(tmp_path):
    with pytest.raises(PolicyError, match=r"policy '.*gone.toml' cannot be opened"):
        read_policy(tmp_path / "gone.toml")


def test_template_states_every_setting_and_changes_nothing(tmp_path):
    path = tmp_path / "policy.toml"
    path.write_text(policy_template(), encoding="utf-8")
    policy = read_policy(path)
    assert policy.text.values.keys() == {section.name for section in SECTIONS}
    for section in SECTIONS:
        assert set(policy.text.values[section.name]) >= {setting.name for setting in section.settings}
    lesson = a_class(student("ada", 1.0, 0.5, None), student("ben", None, None, None))
    assert final_marks(policy, lesson) == final_marks(MarkingPolicy(), lesson)
    assert [one.effects for one in final_marks(policy, lesson)] == [(), ()]


NOT_THERE = [
    pytest.param("[weights]\nfrist = 3", "line 2: exercise 'frist' is not in the lesson; it has: first; did you mean 'first'", id="weight"),
    pytest.param('[dropped]\nitems = ["first 4"]', "line 2: exercise 'first' has no item 4; it has 3", id="item"),
    pytest.param("[dropped.lowest]\nfirst = 3", "line 2: the lowest 3 of 'first' are all", id="all items"),
    pytest.param('[late.extra]\nbob = "1 day"', "line 2: student 'bob' is not in the class", id="extra time"),
    pytest.param('[group.members]\na = ["ada", "bob"]', "line 2: student 'bob' is not in the class", id="member"),
]  # fmt: skip


@pytest.mark.parametrize(("policy", "told"), NOT_THERE)
def test_what_is_not_in_lesson_or_class_is_named_with_its_line(policy, told):
    with pytest.raises(PolicyError, match=told):
        marks(policy, student("ada", 1.0, 0.0, 1.0))


# -- lateness ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("time", "percent", "words"),
    [
        ("2026-03-06T18:00:00Z", 80, ""),
        ("2026-03-06T18:10:00Z", 80, ""),  # within the grace of ten minutes
        ("2026-03-06T18:10:01Z", 72, "late 1 day: −10 % of the mark"),  # 80 - 8
        ("2026-03-07T18:10:00Z", 72, "late 1 day: −10 % of the mark"),
        ("2026-03-07T18:10:01Z", 64, "late 2 days: −20 % of the mark"),  # 80 - 16
        ("2026-03-20T00:00:00Z", 60, "late 14 days: −25 % of the mark"),  # the most: 80 - 20
    ],
)
def test_each_started_day_takes_its_percent_up_to_the_most(time, percent, words):
    policy = '[late]\nper = "day"\ntakes = 10\ngrace = "10 minutes"\nmost = 25\n'
    found = marks(policy, student("ada", 1.0, 0.6, time=time))["ada"]
    assert found.percent == pytest.approx(percent)
    assert found.words == words


def test_per_hour_and_of_the_full_mark():
    policy = '[late]\nper = "hour"\ntakes = 5\nof = "full"\n'
    found = marks(policy, student("ada", 1.0, 0.6, time="2026-03-06T20:00:01Z"))["ada"]
    assert found.percent == pytest.approx(65)  # three started hours, 15 of 100 points
    (effect,) = found.effects
    assert (effect.rule, effect.before, effect.after, effect.change) == ("late", pytest.approx(80), pytest.approx(65), pytest.approx(-15))  # fmt: skip


def test_a_mark_does_not_fall_below_nothing():
    assert marks('[late]\nper = "day"\ntakes = 100\nof = "full"', student("ada", 0.3, time="2026-03-09T00:00:00Z"))["ada"].percent == 0  # fmt: skip


def test_answers_by_themselves_lose_only_what_is_late():
    late = student("ada", 1.0, 1.0, 0.5, None, times=("2026-03-06T10:00:00Z", "2026-03-07T10:00:00Z", "2026-03-06T18:00:00Z", ""), time="2026-03-07T10:00:00Z")  # fmt: skip
    found = marks('[late]\nper = "day"\ntakes = 20\nby = "answers"\n', late)["ada"]
    # 2.5 of 4 = 62.5; the one late answer counts 0.8: 2.3 of 4 = 57.5
    assert (found.raw_percent, found.percent) == (pytest.approx(62.5), pytest.approx(57.5))
    assert found.words == "1 answer late, the latest by 1 day: −5 %"


def test_a_dropped_answer_is_not_late():
    late = student("ada", 1.0, 0.0, times=("2026-03-06T10:00:00Z", "2026-03-08T10:00:00Z"), time="2026-03-08T10:00:00Z")
    assert marks('[late]\nper = "day"\nby = "answers"\n[dropped]\nitems = ["first 2"]', late)["ada"].percent == 100


def test_extra_time_puts_off_due_time_and_closing_of_one_student():
    policy = '[late]\nper = "day"\ntakes = 10\ncloses = "2 days"\n[late.extra]\nben = "3 days"\n'
    times = ("2026-03-06T10:00:00Z", "2026-03-09T10:00:00Z")
    found = marks(policy, *(student(id, 1.0, 1.0, times=times, time=times[-1]) for id in ("ada", "ben")))
    # Ada's second answer is three days late, after closing: half the work is left, and that was in time.
    assert found["ada"].percent == 50
    assert found["ada"].words == "late: 1 answer after closing left out"
    assert (found["ben"].percent, found["ben"].effects) == (100, ())


def test_a_due_time_of_ones_own_goes_before_that_of_the_class():
    found = marks(
        '[late]\nper = "day"',
        student("ada", 1.0, time="2026-03-08T10:00:00Z"),
        student("ben", 1.0, time="2026-03-08T10:00:00Z"),
        dues={"ben": read_due("2026-03-08 12:00 UTC")},
    )
    assert (found["ada"].percent, found["ben"].percent) == (pytest.approx(80), 100)


#: IANA time zone database: Berlin leaves summer time on 2026-10-25 (that day has 25 hours) and enters it on 2026-03-29
#: (23 hours); New York leaves it on 2026-11-01. UTC offsets +2/+1 and -4/-5.
CHANGES = [
    ("2026-10-24 23:59 Europe/Berlin", "2026-10-25T22:58:59Z", 1),  # 23:58:59 winter time on the next day
    ("2026-10-24 23:59 Europe/Berlin", "2026-10-25T22:59:01Z", 2),  # 23:59:01 winter time
    ("2026-03-28 23:59 Europe/Berlin", "2026-03-29T21:58:59Z", 1),  # 23:58:59 summer time
    ("2026-03-28 23:59 Europe/Berlin", "2026-03-29T21:59:01Z", 2),
    ("2026-10-31 23:59 America/New_York", "2026-11-02T04:58:59Z", 1),
    ("2026-10-31 23:59 -04:00", "2026-11-02T04:58:59Z", 2),  # an offset knows no summer time
    ("2026-10-31 23:59 America/New_York", "2026-11-01T03:59:00Z", 0),
]


@pytest.mark.parametrize(("due", "time", "days"), CHANGES)
def test_days_end_by_the_clock_where_the_work_is_due(due, time, days):
    assert started_units(LateRule("day"), read_due(due), time) == days


def test_a_day_of_grace_is_a_day_by_the_calendar_and_24_hours_are_not():
    due = read_due("2026-10-24 23:59 Europe/Berlin")
    by_calendar = moment_after(due, read_span("1 day")) - moment_after(due, TimeSpan())
    by_clock = moment_after(due, read_span("24 hours")) - moment_after(due, TimeSpan())
    assert (by_calendar.total_seconds(), by_clock.total_seconds()) == (25 * 3600, 24 * 3600)


# -- attempts ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("counts", "score"), [("first", 0.0), ("last", 0.0), ("best", 1.0)])
def test_the_attempt_that_the_policy_names_counts(classroom, counts, score):
    seed = classroom.copy("ada-quill").seed
    lines = [line for start, right in enumerate((False, True, False)) for line in classroom.lines("ada-quill", [right], start=start)]  # fmt: skip
    chosen, choices = answers_that_count(classroom.lesson.plan, seed, reversed(lines), AttemptRule(counts))
    assert len(chosen) == 1
    assert mark_lesson(classroom.lesson.plan, seed, chosen).exercises[0].items[0].mark.score == score
    (choice,) = choices
    assert (choice.attempts, choice.first_score, choice.score) == (3, 0.0, score)


def test_attempts_beyond_the_most_and_after_closing_are_left_out(classroom):
    seed = classroom.copy("ada-quill").seed
    lines = [line for start, right in enumerate((False, True, True)) for line in classroom.lines("ada-quill", [right], start=start)]  # fmt: skip
    plan = classroom.lesson.plan
    assert answers_that_count(plan, seed, lines, AttemptRule("best", 1))[0] == (lines[0],)
    before = answers_that_count(plan, seed, lines, AttemptRule("last"), is_open=lambda time: time < lines[2].time)
    assert before[0] == (lines[1],)


def test_the_effect_of_attempts_is_told(classroom):
    seed = classroom.copy("ada-quill").seed
    lines = [line for start, right in enumerate((False, True)) for line in classroom.lines("ada-quill", [right], start=start)]  # fmt: skip
    _, choices = answers_that_count(classroom.lesson.plan, seed, lines, AttemptRule("best"))
    (found,) = final_marks(
        parse_policy(b'[attempts]\ncounts = "best"'),
        a_class(student("ada", 1.0, 1.0, 0.0, 0.0)),
        choices={"ada": choices},
    )
    (effect,) = found.effects
    assert (effect.before, effect.after) == (25, 50)  # one of four items more
    assert effect.words == "attempts: the best counts (first item 1: attempt 2 of 2)"


# -- dropped items, weights -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("policy", "percent"),
    [
        ('[dropped]\nitems = ["first 2"]', 100 * 1.5 / 3),
        ('[dropped]\nitems = ["first 2"]\ncounts = "full"', 100 * 2.5 / 4),
        ("[dropped.lowest]\nfirst = 2", 100 * 1.5 / 2),
        ('[dropped]\nitems = ["first 1"]\n[dropped.lowest]\nfirst = 1', 100 * 0.5 / 2),
    ],
)
def test_dropped_items(policy, percent):
    found = marks(policy, student("ada", 1.0, 0.0, 0.5, None), student("ben", None, None, None, None))
    assert found["ada"].percent == pytest.approx(percent)
    assert [effect.rule for effect in found["ada"].effects] == ["dropped"]
    assert (found["ben"].percent, found["ben"].effects) == (0, ())


def test_weights_take_the_place_of_points():
    two = StudentMarks(
        Student("ada", "Ada"), (ExerciseMarks("first", (1.0,), 10.0), ExerciseMarks("second", (0.0, 0.5), 10.0))
    )
    lesson = a_class(two, exercises=("first", "second"))
    (plain,) = final_marks(MarkingPolicy(), lesson)
    assert plain.percent == pytest.approx(62.5)  # (10 + 2.5) of 20
    (weighted,) = final_marks(parse_policy(b"[weights]\nsecond = 30"), lesson)
    assert weighted.percent == pytest.approx(43.75)  # (10 + 7.5) of 40
    assert weighted.points == pytest.approx(17.5)
    (without,) = final_marks(parse_policy(b"[weights]\nsecond = 0"), lesson)
    assert without.percent == 100


# -- curve, rounding, pass mark ---------------------------------------------------------------------------------------

CURVES = [
    ('kind = "add"\nadd = 7', [71, 100, 7]),  # 95 + 7 stops at 100
    ('kind = "top"', [100 * 64 / 95, 100, 0]),
    ('kind = "top"\nto_top = 100\nmost = 97', [100 * 64 / 95, 97, 0]),
    ('kind = "linear"\nfrom = [50, 100]\nto = [60, 100]', [60 + 14 * 0.8, 60 + 45 * 0.8, 20]),
    ('kind = "square root"', [80, 10 * math.sqrt(95), 0]),
]


@pytest.mark.parametrize(("curve", "percents"), CURVES)
def test_curves(curve, percents):
    them = [student("ada", 0.64), student("ben", 0.95), student("cy", 0.0), student("dee", None)]
    found = marks(f"[curve]\n{curve}", *them)
    assert [found[id].percent for id in ("ada", "ben", "cy")] == pytest.approx(percents)
    assert (found["dee"].percent, found["dee"].effects) == (0, ()), "nobody gets marks for nothing"


@pytest.mark.parametrize("curve", [curve for curve, _ in CURVES])
def test_a_curve_never_turns_two_marks_round(curve):
    them = [student(f"s{n}", n / 20) for n in range(21)]
    percents = [one.percent for one in marks(f"[curve]\n{curve}", *them).values()]
    assert percents == sorted(percents)
    assert all(0 <= percent <= 100 for percent in percents)


def test_lateness_of_the_best_does_not_move_the_others():
    policy = '[curve]\nkind = "top"\n[late]\nper = "day"\ntakes = 50\n'
    found = marks(policy, student("ada", 0.8, time="2026-03-07T10:00:00Z"), student("ben", 0.4))
    assert (found["ada"].percent, found["ben"].percent) == (pytest.approx(50), pytest.approx(50))
    assert [effect.rule for effect in found["ada"].effects] == ["curve", "late"]


@pytest.mark.parametrize(
    ("value", "step", "way", "expected"),
    [
        # Python's decimal module documents these ways: ROUND_HALF_UP, ROUND_HALF_EVEN, ROUND_CEILING, ROUND_FLOOR.
        (2.5, 1, "half up", 3), (2.5, 1, "half even", 2), (3.5, 1, "half even", 4), (2.1, 1, "up", 3),
        (2.9, 1, "down", 2), (62.25, 0.5, "half up", 62.5), (1.1 + 2.2, 0.1, "up", 3.3), (61.4, 5, "half up", 60),
    ],
)  # fmt: skip
def test_rounding(value, step, way, expected):
    assert rounded(value, step, way) == expected


def test_pass_mark_counts_after_rounding():
    found = marks("[rounding]\nto = 1\n[pass]\npercent = 60", student("ada", 0.595), student("ben", 0.594))
    assert (found["ada"].passed, found["ben"].passed) == (True, False)
    assert marks("", student("ada", 1.0))["ada"].passed is None


def test_points_can_be_rounded_too():
    found = marks('[rounding]\nto = 0.5\nunit = "points"', student("ada", 0.63, points=10.0))["ada"]
    assert (found.points, found.percent) == (pytest.approx(6.5), pytest.approx(65))


# -- groups, make-up work ---------------------------------------------------------------------------------------------


def test_group_work_counts_for_all_members_by_their_share():
    policy = '[group]\ncounts = "best"\n[group.members]\nduo = ["ada", "ben"]\n[group.share]\nben = 80\n'
    found = marks(policy, student("ada", 0.9), student("ben", None), student("cy", 0.2))
    assert [found[id].percent for id in ("ada", "ben", "cy")] == pytest.approx([90, 72, 20])
    assert found["ben"].words == "group duo: the work of ada counts; group: 80 % of the group's mark"
    assert found["ada"].effects == ()


def test_the_latest_work_of_a_group_may_count():
    policy = '[group]\ncounts = "latest"\n[group.members]\nduo = ["ada", "ben"]\n'
    found = marks(policy, student("ada", 0.9), student("ben", 0.5, time="2026-03-06T17:30:00Z"))
    assert found["ada"].percent == found["ben"].percent == pytest.approx(50)


@pytest.mark.parametrize(("counts", "percent"), [("best", 75), ("last", 75), ("mean", 62.5)])
def test_makeup_work_up_to_its_most(counts, percent):
    policy = f'[makeup]\ncounts = "{counts}"\nmost = 75\n'
    found = marks(policy, student("ada", 0.5), student("ben", 0.9), makeup={"ada": 95.0})
    assert found["ada"].percent == pytest.approx(percent)
    assert "95 %, counted as 75 %" in found["ada"].words
    assert found["ben"].effects == ()


def test_effects_lead_from_the_raw_mark_to_the_final_one():
    policy = '[dropped.lowest]\nfirst = 1\n[curve]\nkind = "add"\nadd = 3\n[late]\nper = "day"\n[rounding]\nto = 1\n'
    found = marks(policy, student("ada", 1.0, 0.4, 0.3, time="2026-03-07T10:00:00Z"))["ada"]
    assert [effect.rule for effect in found.effects] == ["dropped", "curve", "late", "rounding"]
    # 1.7 of 3; 70 without the lowest; 73 curved; 65.7 late; 66 rounded
    steps = [found.effects[0].before, *(effect.after for effect in found.effects)]
    assert steps == pytest.approx([170 / 3, 70, 73, 65.7, 66])
    for before, after in zip(found.effects, found.effects[1:], strict=False):
        assert before.after == after.before
    assert (found.raw_percent, found.percent) == (found.effects[0].before, found.effects[-1].after)


def test_same_marks_whatever_the_order_of_the_class():
    them = [student(f"s{n}", n / 7, 0.5, time=f"2026-03-0{5 + n % 3}T10:00:00Z") for n in range(7)]
    policy = '[curve]\nkind = "top"\n[late]\nper = "day"\n[rounding]\nto = 0.5\n'
    assert marks(policy, *them) == marks(policy, *reversed(them))
