"""Review: what answers say of skills, and what is asked next. The order that is checked is that of the module's first lines."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from family_sample import frozen_excerpts, settings_of

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES
from musictheory_nb.practice.review import (
    Evidence,
    ReviewPool,
    can_be_reviewed,
    evidence_in,
    mastery,
    next_question,
    review_pool,
    skills_in,
    skills_of,
)

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
HEAR = Exercise(
    "hear", "interval-by-ear", {"intervals": ["m3", "M3", "P4", "P5"], "inputs": ["buttons"]}, lesson="demo", count=6
)
TRIADS = Exercise("triads", "chord-by-sight", {}, lesson="demo", count=6)
POOL = ReviewPool((HEAR,))


def line(exercise, seed, index, answer, number=0, **more):
    time = (NOW + timedelta(seconds=number)).isoformat().replace("+00:00", "Z")
    return AnswerLine(f"{number:032x}", exercise.id, exercise.version, index, answer, 1, time, seed=seed, **more)


def right(item):
    return {step: {"choice": values["choice"][0]} for step, values in item.solution.items()}


def shown(skill, right, number=0, guess=0.1):
    return Evidence(skill, right, NOW + timedelta(seconds=number), guess)


def ask(evidence=(), due=None, last=None, number=0, pool=POOL):
    draw = Draw("demo", "review", 1, 0, number)
    return next_question(pool, evidence, due or {}, NOW, draw, last=last)


def test_an_exercise_asks_for_what_its_items_ask_for():
    assert sorted(skill.value for skill in skills_in(HEAR)) == ["M3", "P4", "P5", "m3"]
    assert all(guess == 0.25 for _, guess in skills_of(HEAR, HEAR.item(7, 0)))
    steps = {skill.step for skill in skills_in(TRIADS)}
    assert steps == set(TRIADS.item(7, 0).solution)


def test_each_step_of_an_answer_speaks_for_its_own_skill():
    item = TRIADS.item(7, 0)
    answer = right(item)
    first, *others = item.solution
    choice = next(entry for entry in item.response.steps[0].inputs if entry.id == "choice")
    answer[first] = {"choice": next(o.value for o in choice.options if o.value not in item.solution[first]["choice"])}
    found = evidence_in([line(TRIADS, 7, 0, answer)], ReviewPool((TRIADS,)))
    assert {one.skill.step: one.right for one in found} == {first: False, **dict.fromkeys(others, True)}
    assert all((one.confusion is None) == one.right for one in found)


def test_the_state_is_the_record_replayed():
    lines = [line(HEAR, 5, index, right(HEAR.item(5, index)), index) for index in range(6)]
    found = evidence_in(reversed(lines), POOL)
    assert [one.time for one in found] == sorted(one.time for one in found)
    assert found == evidence_in(lines, POOL)
    assert len(found) == 6
    assert all(one.right for one in found)
    # lines without a seed are the lesson's own; others' lines, versions and answers that cannot be read say nothing
    own = replace(lines[0], seed=None)
    assert evidence_in([own], POOL) == ()
    assert evidence_in([own], POOL, seed=5) == found[:1]
    odd = [
        replace(lines[0], exercise="other"),
        replace(lines[0], version=9),
        replace(lines[0], index=99),
        replace(lines[0], answer={}),
    ]
    assert evidence_in(odd, POOL) == ()


def test_a_line_is_replayed_with_the_settings_that_it_carries():
    narrow = {"intervals": ["M7", "P8"], "inputs": ["buttons"]}
    other = replace(HEAR, settings=narrow)
    answer = right(other.item(5, 0))
    (one,) = evidence_in([line(HEAR, 5, 0, answer, settings=narrow)], POOL)
    assert one.right
    assert one.skill.value in ("M7", "P8")


def test_what_is_due_comes_first_and_the_weakest_of_it():
    strong, weak, new, later = skills_in(HEAR)
    evidence = [shown(strong, True, n) for n in range(3)] + [shown(weak, False, 5), shown(later, False, 6)]
    due = {strong: NOW, weak: NOW, later: NOW + timedelta(days=1)}
    first = ask(evidence, due)
    assert (first.skill, first.reason) == (weak, "due")
    assert skills_of(first.exercise, first.exercise.item(first.seed, first.index))[0][0] == weak
    second = ask(evidence, due, last=weak)
    assert (second.skill, second.reason) == (strong, "due")
    third = ask(evidence, {**due, strong: NOW + timedelta(days=2)}, last=weak)
    assert (third.skill, third.reason) == (new, "new")


def test_it_goes_on_without_end_with_what_is_weak():
    skills = skills_in(HEAR)
    evidence = [shown(skill, skill is not skills[0], n) for n, skill in enumerate(skills * 3)]
    due = dict.fromkeys(skills, NOW + timedelta(days=3))
    asked = Counter()
    last = None
    for number in range(60):
        following = ask(evidence, due, last, number)
        assert following.reason == "weak"
        assert following.skill != last
        last = following.skill
        asked[last] += 1
    assert skills[0] in [skill for skill, _ in asked.most_common(2)]
    assert asked[skills[0]] >= 15


def test_the_same_state_asks_the_same():
    assert ask(number=3) == ask(number=3)
    assert len({(ask(number=n).seed, ask(number=n).index) for n in range(8)}) == 8


@pytest.mark.parametrize(("kind", "version"), list(FAMILIES))
def test_every_family_can_be_replayed_or_is_left_out(kind, version):
    _, settings, count, _ = next(
        one for one in ((id, *row[1:]) for id, row in settings_of(kind).GOLDEN.items() if row[0] == version)
    )
    named = settings.get("excerpt") or []
    excerpts = {name: frozen_excerpts()[name] for name in ([named] if isinstance(named, str) else named)}
    exercise = Exercise("one", kind, settings, count, version=version, lesson="demo", excerpts=excerpts)
    if not can_be_reviewed(exercise):
        assert getattr(settings_of(kind), "SOLUTION", True) is False
        return
    asked = ask(pool=ReviewPool((exercise,)))
    assert asked.exercise == exercise
    assert asked.skill in [skill for skill, _ in skills_of(exercise, exercise.item(asked.seed, asked.index))]


def test_a_pool_of_kinds_and_what_cannot_be():
    assert "interval-by-ear" in review_pool().by_id
    assert "free-response" not in review_pool().by_id
    with pytest.raises(ExerciseError, match="'tubas'"):
        review_pool(["tubas"])
    with pytest.raises(ExerciseError, match="setting 'excerpt' must be given"):
        review_pool(["section-marking"])
    with pytest.raises(ExerciseError, match="no exercise to draw from"):
        ReviewPool(())
    with pytest.raises(ExerciseError, match="two exercises have the id 'hear'"):
        ReviewPool((HEAR, HEAR))


def test_mastery_follows_the_answers():
    one, other, *_ = skills_in(HEAR)
    known = mastery([shown(one, True, 1), shown(one, True, 2), shown(other, False, 3)])
    assert known[one] > 0.9 > 0.3 > known[other]
