"""Progressions by ear: chords by music21, part writing by plain arithmetic, ends and credit by hand."""

from itertools import combinations, pairwise

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.numeral_vocabulary import numeral
from musictheory_nb.practice.progression import (
    CADENCES,
    CHORD_LEVELS,
    FOLLOWING_IN_MAJOR,
    FOLLOWING_IN_MINOR,
    figures_in,
)


def exercise(count=12, **settings):
    return Exercise("one", "progression-by-ear", settings, count=count, lesson="demo")


def items(made, seed=1):
    return [made.item(seed, index) for index in range(made.count)]


def right_answer(item):
    """The answer by the first input of each step."""
    answer = {}
    for step in item.response.steps:
        entry = step.inputs[0]
        value = item.solution[step.id][entry.id]
        answer[step.id] = {entry.id: value[0] if entry.id == "choice" else value}
    return answer


@pytest.mark.parametrize("keys", [["D major", "Ab major"], ["E minor", "Bb minor"]])
def test_chords_are_those_of_music21(keys):
    """The cadential six-four is its I64 (i64), N6 its bII6."""
    from music21 import key, roman

    for item in items(exercise(levels=list(CHORD_LEVELS), chords=6, keys=keys, cadences=list(CADENCES))):
        tonic, mode = item.key["key"].split()
        home = key.Key(tonic.replace("b", "-"), mode)
        for figure, parts in zip(item.key["figures"], item.key["columns"], strict=True):
            text = figure.replace("Cad", "I" if mode == "major" else "i").replace("N6", "bII6").replace("°", "o")
            theirs = roman.RomanNumeral(text, home)
            names = {name[:-1].replace("b", "-") for name in parts}
            assert names <= {pitch.name for pitch in theirs.pitches}, (figure, parts)
            assert parts[3][:-1].replace("b", "-") == theirs.bass().name


def test_no_parallel_fifths_or_octaves_and_voices_in_their_ranges():
    """Counted in semitones by music21: two voices that both move keep no fifth, octave or unison (common practice)."""
    from music21 import pitch

    def midi(name):
        return pitch.Pitch(name.replace("b", "-")).midi

    for item in items(exercise(30, levels=list(CHORD_LEVELS), chords=6)):
        chords = [[midi(name) for name in parts] for parts in item.key["columns"]]
        for parts in chords:
            assert parts == sorted(parts, reverse=True), "no voices cross"
            assert parts[3] >= 40
            assert parts[0] <= 81
        for before, after in pairwise(chords):
            for high, low in combinations(range(4), 2):
                if before[high] == after[high] or before[low] == after[low]:
                    continue
                same = (before[high] - before[low]) % 12, (after[high] - after[low]) % 12
                assert same not in ((7, 7), (0, 0)), item.key["figures"]


def test_each_chord_comes_in_its_turn():
    made = exercise(16, keys=["C major"], levels=["primary chords", "other triads", "inversions"], chords=5)
    figures = figures_in(("primary chords", "other triads", "inversions"), False)
    heard = {figure for item in items(made) for figure in item.key["figures"]}
    assert heard == set(figures)


@pytest.mark.parametrize(
    ("cadence", "ends"),
    [
        ("authentic", {("5", "1")}),
        ("plagal", {("4", "1")}),
        ("deceptive", {("5", "6")}),
    ],
)
def test_progressions_end_as_the_cadence_says(cadence, ends):
    """Degrees of the last two roots: common practice, no source."""
    levels = ["primary chords", "other triads"]
    for item in items(exercise(keys=["C major", "A minor"], levels=levels, cadences=[cadence])):
        last = tuple(numeral(figure, item.key["key"]).degree for figure in item.key["figures"][-2:])
        assert last in ends
        assert {"authentic": "an authentic", "plagal": "a plagal", "deceptive": "a deceptive"}[cadence] in item.explain


def test_half_cadences_end_on_the_dominant():
    for item in items(exercise(cadences=["half"])):
        assert item.key["figures"][-1] == "V"
        assert "a half cadence" in item.explain


@pytest.mark.parametrize(("table", "is_minor"), [(FOLLOWING_IN_MAJOR, False), (FOLLOWING_IN_MINOR, True)])
def test_the_table_of_what_follows_is_closed_and_keeps_the_rules_of_harmony(table, is_minor):
    """Seventh and six-four go on as courses teach: V42 to a tonic sixth, a cadential six-four to V (common practice)."""
    figures = set(figures_in(tuple(CHORD_LEVELS), is_minor))
    assert set(table) == figures
    assert {one for after in table.values() for one in after} <= figures
    key = "A minor" if is_minor else "C major"
    tonic = "i" if is_minor else "I"
    assert table["V42"] == (f"{tonic}6",)
    assert set(table["Cad64"]) == {"V", "V7"}
    for figure, after in table.items():
        asked = numeral(figure, key)
        if asked.applied_to is not None:
            goals = (
                {asked.applied_to.root, numeral("V", key).root} if figure.endswith("/V") else {asked.applied_to.root}
            )
            for one in after:
                assert numeral(one, key).root in goals or one == "Cad64", (figure, one)


def test_each_part_has_its_share():
    """Bass 0.3, qualities 0.2, numerals 0.5, counted by hand for three chords after the first."""
    made = exercise(12, keys=["C major"], levels=["primary chords"], chords=4)
    item = next(item for item in items(made) if item.key["figures"][-2:] == ("V7", "I"))
    right = right_answer(item)
    assert made.mark(item, right).score == 1.0
    rows = right["bass"]["staff"]
    wrong = right | {"bass": {"staff": [*rows[:-1], [["D3"], "1", False]]}}
    assert made.mark(item, wrong).score == pytest.approx(1 - 0.3 / 3)
    roles = right["qualities"]["roles"]
    wrong = right | {"qualities": {"roles": [*roles[:-2], "major triad", roles[-1]]}}
    assert made.mark(item, wrong).score == pytest.approx(1 - 0.2 / 3 / 2)  # a dominant seventh is alike
    wrong = right | {"numeral-3": {"symbol": "V"}}
    assert made.mark(item, wrong).score == pytest.approx(1 - 0.5 / 3 / 2)  # the seventh is missing
    assert made.mark(item, wrong).why.endswith("chord 3 is V7, not V.")


def test_a_bass_line_counts_in_any_octave_and_one_note_left_out_costs_one():
    made = exercise(1, keys=["C major"], chords=6, ask=["bass"])
    item = made.item(2, 0)
    names = [parts[3][:-1] for parts in item.key["columns"][1:]]
    assert made.mark(item, {"bass": {"symbol": " ".join(names)}}).score == 1.0
    assert made.mark(item, {"bass": {"staff": [[[f"{name}4"], "1", False] for name in names]}}).score == 1.0
    assert made.mark(item, {"bass": {"symbol": " ".join(names[:1] + names[2:])}}).score == pytest.approx(0.8)


def test_the_six_four_before_the_dominant_may_be_called_by_either_name():
    made = exercise(20, keys=["C major"], levels=["primary chords", "cadential six-four"], chords=5, ask=["numerals"])
    item = next(item for item in items(made) if "Cad64" in item.key["figures"])
    place = item.key["figures"].index("Cad64") + 1
    for name in ("I64", "Cad64", "V64-53"):
        assert made.mark(item, right_answer(item) | {f"numeral-{place}": {"symbol": name}}).score == 1.0


def test_the_twin_is_in_another_key_and_shows_no_numeral():
    for item in items(exercise(4)):
        (twin,) = item.twin
        assert twin.excerpt.measures[0].fifths != item.media[1].excerpt.measures[0].fifths
        assert not twin.excerpt.chords
        assert [chord.text for chord in item.media[1].excerpt.chords] == list(item.key["figures"])


def test_a_wrong_progression_is_heard_beside_the_right_one():
    made = exercise(1, keys=["C major"], chords=4)
    item = made.item(1, 0)
    wrong = "ii6" if item.key["figures"][1] != "ii6" else "IV"
    right, answered = made.compare(item, right_answer(item) | {"numeral-2": {"symbol": wrong}})
    assert len(right.excerpt.notes) == len(answered.excerpt.notes) == 16


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"chords": 2}, "chords"),
        ({"levels": ["mixture"]}, "no progression"),
        ({"levels": ["primary chords"], "cadences": ["deceptive"]}, "no progression"),
        ({"cadences": []}, "cadences"),
        ({"ask": ["melody"]}, "ask"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
