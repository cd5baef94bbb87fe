"""Melody dictation: keys and measures as music21 has them; marks as rapidfuzz and slips counted by hand have them."""

import random
from fractions import Fraction
from itertools import pairwise

import pytest
from rapidfuzz.distance import Levenshtein

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.theory.pitch import Pitch

KEYS = ["C major", "E major", "Db major", "A minor", "F# minor", "Eb minor"]


def exercise(count=20, **settings):
    return Exercise("one", "melody-dictation", settings, count=count, lesson="demo")


def answer(item, rows):
    return {"melody": {"staff": rows}}


def right(item):
    return item.solution["melody"]["staff"]


def pitches(item):
    return [pitch for pitch, _ in item.key["notes"] if pitch]


def m21_key(name):
    from music21 import key

    tonic, _, mode = name.partition(" ")
    return key.Key(tonic.replace("b", "-"), mode)


def m21_pitch(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("level", [1, 2, 3])
def test_notes_are_of_the_scale_by_music21(level):
    """In minor those of the natural or the ascending melodic scale."""
    from music21 import scale

    made = exercise(30, keys=KEYS, melody_level=level, measures=4)
    for index in range(30):
        item = made.item(2, index)
        home = m21_key(item.key["key"])
        assert item.key["fifths"] == home.sharps
        allowed = {pitch.name for pitch in home.pitches}
        if home.mode == "minor":
            allowed |= {
                pitch.name
                for pitch in scale.MelodicMinorScale(home.tonic.name).getPitches(direction=scale.Direction.ASCENDING)
            }
        names = [m21_pitch(name) for name in pitches(item)]
        assert {pitch.name for pitch in names} <= allowed
        assert names[-1].name == home.tonic.name
        assert names[0].name in {
            one.name for one in home.getTonic() and home.romanNumeral("I" if home.mode == "major" else "i").pitches
        }


@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_moves_are_those_of_the_level_by_music21(level):
    from music21 import interval

    made = exercise(60, keys=KEYS, melody_level=level, measures=4)
    chromatic = 0
    for index in range(60):
        item = made.item(3, index)
        home = m21_key(item.key["key"])
        names = [m21_pitch(name) for name in pitches(item)]
        moves = [interval.Interval(one, other) for one, other in pairwise(names)]
        assert moves[-1].generic.undirected == 2
        for at, move in enumerate(moves):
            assert move.simpleName not in ("A4", "d5", "A2", "M7", "m7")
            assert move.generic.undirected <= 8
            if level == 1 and move.generic.undirected > 2:
                triad = {home.pitches[place].name for place in (0, 2, 4)}
                assert {names[at].name, names[at + 1].name} <= triad
            if level >= 3 and at + 1 < len(moves) and move.generic.undirected >= 4:
                following = moves[at + 1]
                assert following.generic.undirected == 2
                assert following.direction != move.direction
        chromatic += sum(home.getScaleDegreeAndAccidentalFromPitch(pitch)[1] is not None for pitch in names)
    if level == 4:
        assert chromatic > 20


def test_the_raised_seventh_goes_up_to_the_tonic():
    """By the rule of the leading tone (common practice, no source)."""
    made = exercise(60, keys=["A minor"], melody_level=3, measures=8)
    leading = 0
    for index in range(60):
        names = pitches(made.item(1, index))
        for name, following in pairwise(names):
            if name.startswith("G#"):
                leading += 1
                assert following.startswith("A") or following == name
    assert leading > 20


@pytest.mark.parametrize("transposition", ["", "clarinet", "double bass"])
def test_what_sounds_is_the_melody_with_the_beat(transposition):
    """Sounding pitch is written pitch by the usual transpositions: clarinet in B flat -2, double bass -12 semitones."""
    shift = {"": 0, "clarinet": -2, "double bass": -12}[transposition]
    made = exercise(5, transposition=transposition, metres=["3/4"], tempo=60)
    for index in range(5):
        item = made.item(1, index)
        request = next(request for request in item.media if request.label == "Hear the melody")
        sounds = [
            note for note in request.excerpt.notes if note.part == 0 and note.pitches and note.tie in ("", "start")
        ]
        assert [note.pitches[0] for note in sounds] == pitches(item)
        assert request.excerpt.parts[0].chromatic == shift
        assert request.excerpt.tempo == 60
        assert sounds[0].measure == 1  # after the measure that is counted in
        clicks = [note for note in request.excerpt.notes if note.part == 1]
        assert len(clicks) == 3 * 5


def test_one_slip_costs_one_nth():
    made = exercise(30, measures=4, level=2)
    draw = random.Random(1)
    for index in range(30):
        item = made.item(4, index)
        rows, asked = right(item), len(item.key["notes"]) - 1
        at = draw.randrange(len(rows))
        wrong = Pitch(rows[at][0][0])
        other = Pitch.of(wrong.step, wrong.alter, wrong.octave + 1).name
        slipped = [*rows[:at], [[other], *rows[at][1:]], *rows[at + 1 :]]
        mark = made.mark(item, answer(item, slipped))
        assert mark.score == pytest.approx(1 - 1 / asked)
        left_out = made.mark(item, answer(item, rows[:at] + rows[at + 1 :])) if len(rows) > 1 else mark
        assert left_out.score == pytest.approx(1 - 1 / asked)


def test_a_whole_line_in_another_octave_is_one_slip():
    made = exercise(10, first_note=False, clef="treble")
    for index in range(10):
        item = made.item(1, index)
        rows = [[[name[:-1] + str(int(name[-1]) - 1) for name in row[0]], row[1], row[2]] for row in right(item)]
        mark = made.mark(item, answer(item, rows))
        assert mark.score == pytest.approx(1 - 1 / len(item.key["notes"]))
        assert "All of it is an octave too low: one slip." in mark.why


def test_another_spelling_is_half_a_slip_or_right_by_setting():
    made = exercise(60, keys=["E minor"], melody_level=2, measures=8)
    lenient = exercise(60, keys=["E minor"], melody_level=2, measures=8, enharmonic=True)
    item = next(
        item for item in (made.item(1, at) for at in range(60)) if any("D#" in name for name in pitches(item)[1:])
    )
    rows = [[[name.replace("D#", "Eb") for name in row[0]], row[1], row[2]] for row in right(item)]
    times = sum("D#" in name for name in pitches(item)[1:])
    assert made.mark(item, answer(item, rows)).score == pytest.approx(1 - 0.5 * times / (len(item.key["notes"]) - 1))
    assert lenient.mark(lenient.item(1, item.index), answer(item, rows)).score == 1.0


def test_pitches_alone_are_marked_by_the_edit_distance_of_rapidfuzz():
    made = exercise(40, asks="pitches", inputs=["staff"], first_note=False, clef="treble")
    draw = random.Random(2)
    for index in range(40):
        item = made.item(5, index)
        asked = pitches(item)
        given = [name for name in asked if draw.random() < 0.8]
        given = [draw.choice(asked) if draw.random() < 0.3 else name for name in given] or asked[:1]
        letters = {name: chr(65 + at) for at, name in enumerate(dict.fromkeys(asked))}
        expected = Levenshtein.distance(*("".join(map(letters.get, names)) for names in (asked, given)))
        mark = made.mark(item, answer(item, [[[name], "1", False] for name in given]))
        assert mark.score == pytest.approx(max(0, 1 - expected / len(asked)))


def test_piano_keys_are_right_by_their_sound():
    """A clarinet in B flat sounds two semitones lower than written."""
    made = exercise(10, asks="pitches", inputs=["keys"], transposition="clarinet", keys=KEYS)
    for index in range(10):
        item = made.item(1, index)
        keys = [m21_pitch(name).midi - 2 for name in pitches(item)[1:]]
        assert made.mark(item, {"melody": {"keys": keys}}).score == 1.0
        keys[-1] += 1
        assert made.mark(item, {"melody": {"keys": keys}}).score == pytest.approx(1 - 1 / len(keys))


def test_the_twin_without_hearing_is_the_melody_in_another_key():
    made = exercise(12, keys=KEYS, melody_level=4)
    for index in range(12):
        item = made.item(1, index)
        (twin,) = item.twin
        seen = [note.pitches[0] for note in twin.excerpt.notes if note.pitches and note.tie in ("", "start")]
        away = {m21_pitch(one).ps - m21_pitch(other).ps for one, other in zip(seen, pitches(item), strict=True)}
        assert len(away) == 1
        assert away <= {-3, -2, -1, 1, 2, 3}
        assert twin.excerpt.measures[0].fifths != item.key["fifths"]


def test_a_register_that_holds_no_melody_is_refused():
    with pytest.raises(ExerciseError, match="a melody needs 14 semitones"):
        exercise(1, low="C4", high="A4")


def test_every_note_of_a_long_melody_is_compared():
    item = exercise(1, measures=8, level=3, ties=True, rests=True).item(1, 0)
    assert (
        sum(Fraction(length) for _, length in item.key["notes"])
        == 8 * {"2/4": 2, "3/4": 3, "4/4": 4}[item.key["metre"]]
    )
