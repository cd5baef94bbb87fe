"""Interval in a piece: what is found is what music21 finds; marking by hand on a little song of our own."""

import pytest
from family_sample import frozen_excerpts

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise


def exercise(count=6, excerpt="song", **settings):
    return Exercise(
        "one", "interval-in-a-piece", {"excerpt": excerpt, **settings}, count=count, lesson="demo",
        excerpts=frozen_excerpts(),
    )  # fmt: skip


def in_music21(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("excerpt", ["chorale", "rag"])
def test_marked_notes_make_the_interval_by_music21(excerpt):
    from music21 import interval

    made = exercise(30, excerpt, ask="one", length=4)
    for item in (made.item(seed, index) for seed in range(3) for index in range(30)):
        answered = next(request for request in item.media if request.marked)
        notes = answered.excerpt.notes
        two = item.media[-1].excerpt.notes
        pitches = [name for note in two for name in note.pitches]
        between = interval.Interval(*map(in_music21, pitches))
        assert between.name == item.key["interval"]
        assert all(answered.first <= notes[at].measure <= answered.last for at in answered.marked)


def song_item(made, interval, spans):
    for seed in range(60):
        for index in range(made.count):
            item = made.item(seed, index)
            if item.key["interval"] == interval and item.key["first"] == 0 and item.key["spans"] == spans:
                return item
    raise AssertionError("not drawn")


#: Read off the notes by hand (tests/practice/conftest.py): in measures 0 to 3 of the song B4 falls to F4 from measure 1 to 2.
@pytest.mark.parametrize(
    ("value", "score"),
    [([[1, 2]], 1.0), ([[1, 1]], 0.5), ([[2, 2]], 0.5), ([[0, 2]], 0.5), ([[0, 3]], 0.0), ([[3, 3]], 0.0)],
)
def test_one_place_by_measures(value, score):
    made = exercise(intervals=["A4", "P4"], directions=["up", "down"], length=4)
    item = song_item(made, "A4", [[1, 2]])
    assert item.solution["where"]["measures"] == [[1, 2]]
    assert made.mark(item, {"where": {"measures": value}}).score == score


def test_all_places_by_measures():
    """Minor thirds side by side in measures 0 to 3: E4 to G4 in 1, E4 to D4 is none, D4 to F#4 a major one, F#4 to A4 in 3."""
    made = exercise(intervals=["m3", "P4"], directions=["up", "down"], length=4, ask="all")
    item = song_item(made, "m3", [[1, 1], [3, 3]])
    assert made.mark(item, {"where": {"measures": [[1, 1], [3, 3]]}}).score == 1.0
    half = made.mark(item, {"where": {"measures": [[1, 1]]}})
    assert half.score == pytest.approx(2 / 3)  # precision 1, recall 1/2
    assert half.why == "1 of 2 places found."
    wide = made.mark(item, {"where": {"measures": [[0, 3]]}})
    assert wide.score == pytest.approx(2 / 3)  # precision 1/2, recall 1
    assert wide.why.endswith("There is no minor third in measure 0 or 2.")


def test_places_to_choose_from_have_one_that_is_right():
    made = exercise(12, "chorale", length=4, inputs=["places"])
    for item in (made.item(seed, index) for seed in range(5) for index in range(12)):
        intervals = [place[1] for place in item.key["places"]]
        assert intervals.count(item.key["interval"]) == 1
        assert intervals[int(item.solution["where"]["choice"][0])] == item.key["interval"]


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"ask": "all", "inputs": ["places"]}, "pointed out by measures"),
        ({"intervals": ["A8"]}, "has none of the intervals A8"),
        ({"length": 0}, "length"),
        ({"ask": "some"}, "ask"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen).item(1, 0)


def test_a_passage_is_longer_where_it_has_one_place_only():
    """Two measures of the little waltz have fifths of the left hand only; to choose from there must be another interval."""
    made = exercise(14, "waltz", intervals=["P5", "P4"], directions=["down", "together"], length=2, inputs=["places"])
    for item in (made.item(seed, at) for seed in range(20) for at in range(14)):
        assert len({place[1] for place in item.key["places"]}) > 1
