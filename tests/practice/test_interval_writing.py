"""Interval writing: the note asked for is music21's; near misses earn what is said."""

import pytest

from musictheory_nb.practice.exercise import Exercise


def exercise(count=20, **settings):
    return Exercise("one", "interval-writing", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def in_music21(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("transposition", ["", "Bb3", "bass guitar"])
def test_what_is_shown_as_right_is_music21s_transposition(transposition):
    made = exercise(40, transposition=transposition)
    shift = {"": 0, "Bb3": -2, "bass guitar": -12}[transposition]
    for item in items(made):
        sign = "-" if item.key["direction"] == "down" else ""
        expected = in_music21(item.key["notes"][0]).transpose(sign + item.key["interval"])
        right = item.solution["note"]
        assert in_music21(right["staff"][0][0][0]).nameWithOctave == expected.nameWithOctave
        assert right["keys"] == [expected.midi + shift]
        assert in_music21(right["symbol"][0]).name == expected.name


def of(made, first, second):
    return next(item for item in items(made, range(40)) if item.key["notes"] == (first, second))


@pytest.mark.parametrize(
    ("answer", "score"),
    [
        # a diminished fifth above B3 is F4; rows of the docstring, read off by hand
        ({"staff": [[["F4"], "1", False]]}, 1.0),
        ({"staff": [[["E#4"], "1", False]]}, 0.5),
        ({"staff": [[["F5"], "1", False]]}, 0.5),
        ({"staff": [[["F#4"], "1", False]]}, 0.25),
        ({"staff": [[["E#3"], "1", False]]}, 0.25),  # an A4 lower: the size in the other direction
        ({"staff": [[["G4"], "1", False]]}, 0.0),
        ({"staff": [[[], "1", False]]}, 0.0),
        ({"staff": [[["F4"], "1", False], [["G4"], "1", False]]}, 0.0),
        ({"keys": [65]}, 1.0),
        ({"keys": [53]}, 0.5),
        ({"keys": [66]}, 0.0),
        ({"symbol": "F"}, 1.0),
        ({"symbol": "F4"}, 1.0),
        ({"symbol": "E#"}, 0.5),
        ({"symbol": "F3"}, 0.5),
        ({"symbol": "Fb"}, 0.25),
        ({"symbol": "B F"}, 0.0),
    ],
)
def test_credit_is_that_of_the_table(answer, score):
    made = exercise(1, items=["B3 F4"])
    item = made.item(1, 0)
    assert made.mark(item, {"note": answer}).score == score


def test_another_spelling_is_right_where_the_teacher_says_so():
    made = exercise(1, items=["B3 F4"], enharmonic=True)
    item, answer = made.item(1, 0), {"note": {"symbol": "E#"}}
    assert made.mark(item, answer).score == 1.0
    assert made.confusion(item, answer) is None


def test_a_wrong_note_is_heard_beside_the_right_one_and_named():
    """B3 up to F sharp 4 is a perfect fifth: common practice, no source."""
    made = exercise(1, items=["B3 F4"])
    item = made.item(1, 0)
    answer = {"note": {"staff": [[["F#4"], "1", False]]}}
    assert made.confusion(item, answer) == ("diminished fifth up", "perfect fifth up")
    shown = [
        (request.kind, [note.pitches[0] for note in request.excerpt.notes]) for request in made.compare(item, answer)
    ]
    assert shown == [
        ("sound", ["B3", "F4"]), ("sound", ["B3", "F#4"]), ("notation", ["B3", "F4"]), ("notation", ["B3", "F#4"]),
    ]  # fmt: skip


def test_german_letters_are_read():
    """H is English B (Duden)."""
    made = exercise(1, items=["F4 B4"], names="german")
    item = made.item(1, 0)
    assert made.mark(item, {"note": {"symbol": "H"}}).score == 1.0
    assert made.mark(item, {"note": {"symbol": "B"}}).score == 0.25


def test_piano_keys_reach_to_a_teachers_own_pair():
    """C4 up to Eb5, a minor tenth, for the B flat clarinet: it sounds B flat 3 (58) to D flat 5 (73)."""
    made = Exercise(
        "one", "interval-writing",
        {"items": ["C4 Eb5"], "inputs": ["keys"], "clef": "tenor", "transposition": "clarinet in Bb"}, count=1, lesson="demo",
    )  # fmt: skip
    item = made.item(1, 0)
    assert item.solution["note"]["keys"] == [73]
    assert made.mark(item, {"note": {"keys": [73]}}).score == 1.0
