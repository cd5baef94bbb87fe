"""Exercises and lessons as data."""

import json
import math

import pytest

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import MAX_COUNT, MAX_SLUG, Exercise, is_slug
from musictheory_nb.practice.lesson_plan import LessonPlan


def exercise(id="first", **changes):
    return Exercise(id, **({"kind": "interval-by-ear", "count": 4, "lesson": "demo"} | changes))


@pytest.mark.parametrize("text", ["a", "hear-tritones", "2026-week-3", "x" * MAX_SLUG])
def test_slugs(text):
    assert is_slug(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "-a",
        "a-",
        "a--b",
        "A",
        "a b",
        "a_b",
        "a/b",
        "..",
        "a.b",
        "é",
        "٣",
        "a\n",
        "x" * (MAX_SLUG + 1),
        None,
        3,
        b"a",
    ],
)
def test_what_is_no_slug(text):
    assert not is_slug(text)


def test_an_exercise_reads_back_what_it_writes(little_song):
    made = exercise(settings={"excerpt": "song"}, excerpts={"song": little_song}, points=3.5, count=12)
    data = json.loads(json.dumps(made.to_data()))
    again = Exercise.from_data(data, {"song": little_song})
    assert again.to_data() == made.to_data()
    assert [again.item(5, index) for index in range(12)] == [made.item(5, index) for index in range(12)]


def test_another_excerpt_than_the_frozen_one_is_refused(little_song):
    data = exercise(settings={"excerpt": "song"}, excerpts={"song": little_song}).to_data()
    other = Excerpt.melody(["C4", "E4"])
    for excerpts in ({}, {"song": other}):
        with pytest.raises(ExerciseError, match="excerpt 'song' is missing or not the one frozen in the lesson"):
            Exercise.from_data(data, excerpts)


@pytest.mark.parametrize("change", [{"kind": None}, {"more": 1}])
def test_data_with_other_entries_is_refused(change):
    data = exercise().to_data() | change
    if change == {"kind": None}:
        del data["kind"]
    with pytest.raises(ExerciseError, match="allowed: exactly"):
        Exercise.from_data(data)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"id": "First"}, "exercise id 'First'"),
        ({"id": ""}, "exercise id ''"),
        ({"lesson": "../x"}, "lesson id"),
        ({"count": 0}, "count 0"),
        ({"count": MAX_COUNT + 1}, f"count {MAX_COUNT + 1}"),
        ({"count": 2.0}, "count 2.0"),
        ({"count": True}, "count True"),
        ({"points": -1}, "points -1"),
        ({"points": math.nan}, "points nan"),
        ({"points": True}, "points True"),
        ({"points": "10"}, "points '10'"),
        ({"kind": "chords"}, "exercise kind 'chords'"),
        ({"version": 2}, "version 2"),
        ({"settings": [("low", "C4")]}, "write a dictionary"),
        ({"settings": {"low": float("nan")}}, "low nan"),
    ],
)
def test_what_makes_no_exercise_is_refused_in_words(changes, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**changes)


@pytest.mark.parametrize("index", [-1, 4, 1.0, True, "0", None])
def test_an_item_outside_the_exercise_is_refused(index):
    with pytest.raises(ExerciseError, match="item index"):
        exercise().item(1, index)


@pytest.mark.parametrize("seed", ["1", 1.0, None, True])
def test_a_seed_that_is_no_whole_number_is_refused(seed):
    """A seed read as text from a file would draw other items without a word."""
    with pytest.raises(ExerciseError, match="seed"):
        exercise().item(seed, 0)


def test_exercises_alike_in_all_but_the_id_differ():
    one, other = exercise("one"), exercise("two")
    assert [one.item(1, at).key for at in range(4)] != [other.item(1, at).key for at in range(4)]
    lesson = exercise("one", lesson="demo-two")
    assert [one.item(1, at).key for at in range(4)] != [lesson.item(1, at).key for at in range(4)]


def test_settings_left_out_take_their_defaults():
    given = {"present": "sound", "low": "G3"}
    assert [exercise(settings=given).item(1, at) for at in range(4)] == [exercise().item(1, at) for at in range(4)]


def test_an_exercise_does_not_change_with_the_dictionary_it_was_made_from():
    chosen = {"intervals": ["m3", "P5"]}
    made = exercise(settings=chosen)
    before = made.item(1, 0)
    chosen["intervals"].append("P8")
    assert made.item(1, 0) == before
    assert made.to_data()["settings"] == {"intervals": ["m3", "P5"]}


def test_an_answer_out_of_shape_is_refused_before_marking():
    made = exercise()
    item = made.item(1, 0)
    for call in (made.mark, made.compare, made.confusion):
        with pytest.raises(AnswerError, match="answer to"):
            call(item, {"interval": {"choice": "no such thing"}})


def test_a_lesson_counts_items_and_points_and_finds_its_exercises():
    plan = LessonPlan("demo", "Demo", (exercise("one", points=4), exercise("two", count=6, points=2.5)))
    assert (plan.count, plan.points) == (10, 6.5)
    assert plan.exercise("two").count == 6
    with pytest.raises(ExerciseError, match="'three' is not in lesson 'demo'; it has: one, two"):
        plan.exercise("three")


def test_a_lesson_refuses_two_exercises_of_one_id_and_those_of_another_lesson():
    with pytest.raises(ExerciseError, match="two exercises have the id 'one'"):
        LessonPlan("demo", "Demo", (exercise("one"), exercise("one", count=9)))
    with pytest.raises(ExerciseError, match="belongs to 'other'"):
        LessonPlan("demo", "Demo", (exercise("one", lesson="other"),))


def test_the_digest_of_a_lesson_changes_with_whatever_decides_items_or_marks(little_song):
    def plan(**changes):
        return LessonPlan("demo", "Demo", (exercise(**changes),)).digest

    digests = [
        plan(), plan(count=5), plan(points=1), plan(id="second"), plan(settings={"partial": False}),
        plan(settings={"excerpt": "song"}, excerpts={"song": little_song}),
        plan(settings={"excerpt": "song"}, excerpts={"song": Excerpt.melody(["C4", "E4"])}),
    ]  # fmt: skip
    assert len(set(digests)) == len(digests)
    assert plan() == plan()
