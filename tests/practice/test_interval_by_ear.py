"""Interval by ear: the intervals are what they are called, by music21; the pool is spread; near misses earn what is said."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.interval_by_ear import IntervalByEar
from musictheory_nb.practice.interval_choice import INTERVALS, SIMPLE, interval_choices, size_name
from musictheory_nb.practice.neighbouring_notes import note_pairs
from musictheory_nb.practice.response import KeysInput
from musictheory_nb.practice.spelled_pair import named_pairs
from musictheory_nb.practice.visiting_order import visiting_order


def exercise(count=20, excerpts=None, **settings):
    return Exercise("one", "interval-by-ear", settings, count=count, lesson="demo", excerpts=excerpts or {})


def items(made, seeds=range(5)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def in_music21(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("wide", [False, True])
def test_notes_make_the_interval_that_is_asked_for_by_music21(wide):
    from music21 import interval

    chosen = {"intervals": list(INTERVALS), "low": "C2", "high": "C7", "directions": ["up", "down"]} if wide else {}
    for item in items(exercise(200, **chosen), range(2)):
        first, second = (in_music21(name) for name in item.key["notes"])
        between = interval.Interval(first, second)
        # An augmented unison that descends is called diminished there; here no unison is diminished (design, section 3).
        assert {"d1": "A1"}.get(between.name, between.name) == item.key["interval"]
        assert item.key["midi"] == (first.midi, second.midi)
        way = {"up": 1, "down": -1, "together": 1}[item.key["direction"]]
        if item.key["interval"] not in ("P1",):
            assert (between.semitones > 0) == (way > 0)
        assert between.noteEnd.pitch.midi - between.noteStart.pitch.midi == between.semitones


def test_what_is_said_of_the_degrees_holds_in_music21s_scales():
    from music21 import scale

    kinds = {"major": scale.MajorScale, "harmonic minor": scale.HarmonicMinorScale}
    checked = 0
    for name in (*SIMPLE, "A2", "d7", "A5", "d4"):
        for low, high, where, low_degree, high_degree in named_pairs(name):
            tonic, _, kind = where.partition(" ")
            notes = kinds[kind](tonic.replace("♭", "-").replace("♯", "#"))
            for note, degree in ((low, low_degree), (high, high_degree)):
                assert notes.pitchFromDegree(degree).name.replace("-", "b") == note.name
            checked += 1
    assert checked > 400


def test_the_worked_example_of_the_explanation():
    """B up to F is a diminished fifth, 7 up to 4 in C major: common practice, no source."""
    found = {item.explain for item in items(exercise(30, intervals=["A4", "d5"], present="both"), range(20))}
    assert "B up to F is a diminished fifth, six semitones, a tritone; it is 7 up to 4 in C major." in found
    assert "F and B make an augmented fourth, six semitones, a tritone; they are 4 and 7 in C major." in found


@pytest.mark.parametrize("name", INTERVALS)
def test_spelling_is_sensible(name):
    """Single accidentals, and no E#, B#, Cb or Fb, which a reader meets only in keys of six or more accidentals."""
    pairs = named_pairs(name)
    assert pairs
    for low, high, *_ in pairs:
        assert abs(low.alter) <= 1
        assert abs(high.alter) <= 1
        assert not {low.name, high.name} & {"E#", "B#", "Cb", "Fb"}


@pytest.mark.parametrize(
    "chosen", [{}, {"intervals": ["P4", "A4", "d5", "P5"]}, {"intervals": ["m2", "A1", "M2", "m3"]}]
)
def test_questions_are_spread_over_the_pool_and_none_sounds_like_the_one_before(chosen):
    pool = chosen.get("intervals", SIMPLE)
    made = exercise(len(pool) * 3, **chosen)
    for seed in range(40):
        asked = [made.item(seed, index).key for index in range(made.count)]
        names = [key["interval"] for key in asked]
        for at in range(0, made.count, len(pool)):
            assert sorted(names[at : at + len(pool)]) == sorted(pool)
        sizes = [abs(key["midi"][0] - key["midi"][1]) for key in asked]
        assert all(one != other for one, other in pairwise(sizes))
        directions = Counter(key["direction"] for key in asked)
        assert max(directions.values()) - min(directions.values()) <= 1


@given(st.lists(st.sampled_from("abcde"), min_size=1, max_size=12), st.integers(0, 10**6), st.integers(1, 30))
def test_visiting_order_never_repeats_where_that_can_be_had(likes, seed, count):
    order = visiting_order(Draw("demo", "one", 1, seed, -1), likes, count)
    assert len(order) == count
    for at in range(0, count - len(likes) + 1, len(likes)):
        assert sorted(order[at : at + len(likes)]) == list(range(len(likes)))
    most = max(Counter(likes).values())
    repeated = sum(likes[one] == likes[other] for one, other in pairwise(order))
    if 2 * most <= len(likes) - 1:  # no kind makes up half of the pool
        assert repeated == 0
    assert order[: count // 2] == visiting_order(Draw("demo", "one", 1, seed, -1), likes, count)[: count // 2]


def test_two_students_and_two_exercises_get_different_items():
    one = [item.key["notes"] for item in items(exercise(20), [1])]
    assert one != [item.key["notes"] for item in items(exercise(20), [2])]
    other = Exercise("two", "interval-by-ear", {}, count=20, lesson="demo")
    assert one != [item.key["notes"] for item in items(other, [1])]


# spelling where it is seen


@pytest.mark.parametrize(
    ("present", "asked", "answered", "score"),
    [
        # where the notes are heard, intervals of one size are one choice
        ("sound", "m3", "M3", 0.25),
        ("sound", "m3", "P4", 0.0),
        ("sound", "M2", "M9", 0.5),
        # where they are seen, spelling counts
        ("notation", "d5", "A4", 0.5),
        ("notation", "A4", "d5", 0.5),
        ("both", "A2", "m3", 0.5),
        ("both", "m3", "M3", 0.25),
        ("both", "m3", "A3", 0.25),
        ("both", "P8", "P1", 0.5),
        ("both", "M2", "M9", 0.5),
        ("both", "m3", "P4", 0.0),
        ("both", "A4", "P4", 0.25),
    ],
)
def test_credit_by_name_is_that_of_the_table(present, asked, answered, score):
    """The rows of the docstring, read off by hand."""
    made = exercise(2, intervals=[asked, answered], present=present, directions=["up"])
    item = next(item for item in items(made) if item.key["interval"] == asked)
    assert made.mark(item, {"interval": {"choice": answered}}).score == score
    strict = exercise(2, intervals=[asked, answered], present=present, directions=["up"], partial=False)
    item = next(item for item in items(strict) if item.key["interval"] == asked)
    assert strict.mark(item, {"interval": {"choice": answered}}).score == 0.0


def test_intervals_that_sound_alike_are_one_choice_only_where_nothing_is_seen():
    labels = {
        present: [o.label for o in exercise(1, intervals=["P4", "A4", "d5"], present=present).item(1, 0).response.steps[0].inputs[0].options]
        for present in ("sound", "notation", "both")
    }  # fmt: skip
    assert labels["sound"] == ["perfect fourth", "tritone (augmented fourth or diminished fifth)"]
    assert labels["notation"] == labels["both"] == ["perfect fourth", "augmented fourth", "diminished fifth"]


def test_the_choice_by_ear_of_either_spelling_is_right():
    made = exercise(30, intervals=["P4", "A4", "d5"])
    for item in items(made, [3]):
        if item.key["interval"] in ("A4", "d5"):
            (right,) = (o.value for o in item.response.steps[0].inputs[0].options if "tritone" in o.label)
            assert made.mark(item, {"interval": {"choice": right}}).score == 1.0
            assert "By ear alone it cannot be told from" in item.explain


@pytest.mark.parametrize(
    ("direction", "played", "score"),
    [
        ("up", lambda first, second: [second], 1.0),
        ("up", lambda first, second: [first], 0.0),
        ("up", lambda first, second: [second + 1], 0.0),
        ("up", lambda first, second: [2 * first - second], 0.25),
        ("down", lambda first, second: [second], 1.0),
        ("down", lambda first, second: [second + 12], 0.5),
        ("down", lambda first, second: [2 * first - second], 0.25),
        ("together", lambda first, second: [first, second], 1.0),
        ("together", lambda first, second: [second, first], 1.0),
        ("together", lambda first, second: [first + 2, second + 2], 1.0),
        ("together", lambda first, second: [first, second + 12], 0.5),
        ("together", lambda first, second: [first, first], 0.0),
        ("together", lambda first, second: [first, second + 1], 0.0),
    ],
)
def test_credit_on_the_piano_is_that_of_the_tables(direction, played, score):
    """The rows of the docstring, read off by hand."""
    made = exercise(12, intervals=["m3", "P5"], directions=[direction], low="G3", high="A4")
    done = 0
    for item in items(made):
        answer = {"interval": {"keys": played(*item.key["midi"])}}
        (keys,) = item.response.steps[0].inputs[1:]
        if all(keys.low <= key <= keys.high for key in answer["interval"]["keys"]):
            assert made.mark(item, answer).score == score
            done += 1
    assert done > 5


def test_playing_the_first_note_again_is_no_octave():
    made = exercise(6, intervals=["P8", "m2"], directions=["up"])
    for item in items(made):
        if item.key["interval"] == "P8":
            assert made.mark(item, {"interval": {"keys": [item.key["midi"][0]]}}).score == 0.0


def test_the_first_note_is_given_and_the_keyboard_is_the_same_for_every_item():
    made = exercise(39)
    keys = [item.response.steps[0].inputs[1] for item in items(made)]
    assert {(one.low, one.high) for one in keys} == {(48, 83)}
    for item, one in zip(items(made), keys, strict=True):
        melodic = item.key["direction"] != "together"
        assert (one.count, one.given) == ((1, (item.key["midi"][0],)) if melodic else (2, ()))


def test_after_a_wrong_answer_both_intervals_are_heard_from_the_same_note():
    made = exercise(30, intervals=["m3", "P5"])
    for item in items(made):
        wrong = "P5" if item.key["interval"] == "m3" else "m3"
        right, answered = made.compare(item, {"interval": {"choice": wrong}})
        assert right.label.startswith("Right: ")
        assert answered.label.startswith("Your answer: ")
        first = [request.excerpt.notes[0].pitches[0] for request in (right, answered)]
        assert len(set(first)) == 1 or item.key["direction"] == "together"
        assert right.excerpt != answered.excerpt


def test_after_another_spelling_both_are_seen():
    made = exercise(4, intervals=["A4", "d5"], present="both", directions=["up"])
    for item in items(made):
        wrong = "d5" if item.key["interval"] == "A4" else "A4"
        assert [request.kind for request in made.compare(item, {"interval": {"choice": wrong}})] == ["notation"] * 2


@pytest.mark.parametrize(
    ("semitones", "name"),
    [
        (1, "minor second"),
        (6, "tritone"),
        (11, "major seventh"),
        (12, "perfect octave"),
        (14, "major ninth"),
        (24, "perfect fifteenth"),
    ],
)
def test_usual_names_of_sizes(semitones, name):
    """Source: tests/published/interval_sizes.tsv (names of simple and compound intervals by semitones)."""
    assert size_name(semitones) == name


def test_every_interval_offered_is_one_that_music21_knows_by_that_size():
    from music21 import interval

    for name in INTERVALS:
        (choice,) = interval_choices((name,), False)
        assert interval.Interval(name).semitones == choice.semitones
    assert len(INTERVALS) == len(set(INTERVALS))


# what is refused


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"intervals": []}, "intervals"),
        ({"intervals": ["m3", "m3"]}, "intervals"),
        ({"intervals": ["tritone"]}, "intervals"),
        ({"intervals": ["M5"]}, "intervals"),
        ({"intervals": ["m3"]}, "at least two"),
        ({"intervals": ["A4", "d5"]}, "at least two that can be told apart by ear"),
        ({"directions": ["sideways"]}, "directions"),
        ({"low": "E5", "high": "G3"}, "widen the register"),
        ({"low": "C4", "high": "G4"}, "no minor sixth fits between"),
        ({"low": "H4"}, "low 'H4'"),
        ({"low": 60}, "low 60"),
        ({"high": "C9"}, "high 'C9'"),
        ({"present": "colour"}, "present"),
        ({"inputs": ["keys"], "present": "notation"}, "named"),
        ({"intervals": ["P1", "m2"]}, "unison"),
        ({"partial": 1}, "partial 1"),
        ({"timbre": "brass"}, "timbre"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)


def test_keys_alone_may_ask_for_one_interval():
    assert exercise(4, intervals=["d5"], inputs=["keys"]).item(1, 0).response.steps[0].inputs[0].id == "keys"


# in a piece


def test_pairs_of_a_piece_are_what_music21_finds(maple_leaf_rag):
    """Every pair of neighbours, its interval and direction, against music21's own intervals."""
    from music21 import interval

    pairs = note_pairs(maple_leaf_rag)
    assert len(pairs) > 300
    for pair in pairs:
        between = interval.Interval(in_music21(pair.first), in_music21(pair.second))
        assert between.name == pair.interval
        expected = {1: "up", -1: "down"}[-1 if between.direction.value < 0 else 1]
        assert pair.direction in (expected, "together")


def test_neighbours_in_a_little_song(little_song):
    """Read off the notes by hand: pickup G3 to C4, E4 G4, ties none, chords of two in the left hand."""
    pairs = note_pairs(little_song)
    voice = [(p.first, p.second, p.interval, p.direction) for p in pairs if p.part == 0]
    assert voice[:6] == [
        ("G3", "C4", "P4", "up"),
        ("C4", "E4", "M3", "up"),
        ("E4", "G4", "m3", "up"),
        ("G4", "B4", "M3", "up"),
        ("B4", "F4", "A4", "down"),
        ("F4", "E4", "m2", "down"),
    ]
    hands = [p for p in pairs if p.part == 1]
    assert len(hands) == 16
    assert {(p.interval, p.direction) for p in hands} == {("P5", "together")}


def test_ties_rests_and_grace_notes_part_or_join_neighbours():
    """By hand: E4 is tied over the barline and then falls to D4; a rest, a grace note and a chord part neighbours."""
    from fractions import Fraction

    from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart

    rows = [
        (0, 0, 2, ("C4",), ""), (0, 2, 2, ("E4",), "start"), (1, 0, 1, ("E4",), "stop"), (1, 1, 1, ("D4",), ""),
        (1, 2, 1, (), ""), (1, 3, 1, ("A4",), ""), (2, 0, 0, ("B4",), ""), (2, 0, 1, ("C5",), ""),
        (2, 1, 1, ("C4", "E4", "G4"), ""), (2, 2, 1, ("F4",), ""), (2, 3, 1, ("G4",), ""),
    ]  # fmt: skip
    notes = tuple(ExcerptNote(0, m, Fraction(o), Fraction(d), p, 1, t) for m, o, d, p, t in rows)
    measures = tuple(ExcerptMeasure(str(n), Fraction(4)) for n in (1, 2, 3))
    found = note_pairs(Excerpt((ExcerptPart("Flute"),), measures, notes))
    assert [(p.first, p.second, p.marked, p.measures) for p in found] == [
        ("C4", "E4", (0, 1), (0, 0)),
        ("E4", "D4", (1, 3), (0, 1)),
        ("F4", "G4", (9, 10), (2, 2)),
    ]


def test_a_transposing_part_is_heard_where_it_sounds():
    """A clarinet in B flat sounds a major second lower than written (common practice)."""
    from dataclasses import replace

    from musictheory_nb.practice.excerpt import Excerpt

    written = Excerpt.melody(["D4", "F#4"])
    clarinet = replace(written, parts=(replace(written.parts[0], chromatic=-2, diatonic=-1),))
    (pair,) = note_pairs(clarinet)
    assert (pair.first, pair.second, pair.interval, pair.first_midi) == ("C4", "E4", "M3", 60)


def test_in_a_piece_notation_comes_after_the_answer_with_the_two_notes_marked(maple_leaf_rag):
    made = exercise(30, {"rag": maple_leaf_rag}, excerpt="rag")
    for item in items(made, [1]):
        assert [(request.kind, request.moment) for request in item.media] == [
            ("sound", "asked"), ("sound", "asked"), ("notation", "answered")]  # fmt: skip
        measures, two, score = item.media
        assert 0 <= measures.span[1] - measures.span[0] <= 1
        assert score.span == measures.span
        marked = [maple_leaf_rag.notes[index] for index in score.marked]
        assert all(measures.span[0] <= note.measure <= measures.span[1] for note in marked)
        written = [name for note in marked for name in note.pitches]
        assert written == list(item.key["notes"])
        assert [name for note in two.excerpt.notes for name in note.pitches] == list(item.key["notes"])


def test_in_a_piece_no_pair_comes_again_before_the_others(maple_leaf_rag):
    made = exercise(60, {"rag": maple_leaf_rag}, excerpt="rag")
    for seed in range(5):
        asked: dict[str, list[tuple[int, ...]]] = {}
        for index in range(60):
            item = made.item(seed, index)
            asked.setdefault(item.key["interval"], []).append(item.media[2].marked)
        for name, pairs in asked.items():
            there = {pair.marked for pair in note_pairs(maple_leaf_rag) if pair.interval == name}
            assert set(pairs) <= there
            assert len(set(pairs[: len(there)])) == min(len(pairs), len(there))
        sizes = [abs(m[0] - m[1]) for m in (made.item(seed, index).key["midi"] for index in range(60))]
        assert all(one != other for one, other in pairwise(sizes))


def test_a_piece_without_the_intervals_is_refused(little_song):
    made = exercise(3, {"song": little_song}, excerpt="song", intervals=["m14", "M14"])
    with pytest.raises(ExerciseError, match="the excerpt has none of the intervals m14, M14 up, down or together"):
        made.item(1, 0)


def test_the_docstring_holds_every_row_of_credit():
    doc = IntervalByEar.__doc__ or ""
    for row in (
        "another interval of the same size",
        "the right number with another quality",
        "the right size in the other",
    ):
        assert row in doc


def test_no_other_key_after_the_first_note_gets_the_full_score():
    made = exercise(13)
    for item in items(made):
        for entry in item.response.steps[0].inputs:
            if isinstance(entry, KeysInput):
                assert entry.low <= min((*entry.given, *item.key["midi"]))
                assert entry.high >= max((*entry.given, *item.key["midi"]))
                for key in range(entry.low, entry.high + 1) if entry.count == 1 else ():
                    if [key] != item.solution["interval"]["keys"]:
                        assert made.mark(item, {"interval": {"keys": [key]}}).score < 1.0


@pytest.mark.parametrize(("transposition", "semitones"), [("Bb3", -2), ("alto saxophone", -9), ("double bass", -12)])
def test_the_part_of_a_transposing_instrument_sounds_as_it_sounds(transposition, semitones):
    """Written C4 sounds B flat 3 on a clarinet in B flat, E flat 3 on an alto saxophone, C3 on a double bass (handbooks)."""
    made = exercise(20, transposition=transposition)
    for item in items(made, [1]):
        written = [in_music21(name).midi for name in item.key["notes"]]
        assert [sound - note for sound, note in zip(item.key["midi"], written, strict=True)] == [semitones] * 2
        for request in (*item.media, *item.twin):
            assert {part.chromatic for part in request.excerpt.parts} == {semitones}


def test_degrees_in_syllables():
    """Ti up to fa, the tritone of the major key: common practice, no source."""
    made = exercise(30, intervals=["A4", "d5"], present="both", degrees="do", names="fixed-do")
    told = {item.explain for item in items(made, range(20))}
    assert "Si up to Fa is a diminished fifth, six semitones, a tritone; it is ti up to fa in Do major." in told
