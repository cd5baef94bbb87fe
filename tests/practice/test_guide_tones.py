"""Guide tones: thirds and sevenths by music21, shortest ways by trying all, the line that every course teaches, marking."""

from functools import cache
from itertools import product

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.guide_tone_rule import DEGREE_WORDS, guide_names
from musictheory_nb.practice.guide_tones import PROGRESSIONS


def exercise(count=12, **settings):
    return Exercise("one", "guide-tones", settings, count=count, lesson="demo")


def find(made, start):
    """The item whose line begins with a note."""
    for item in (made.item(seed, at) for seed in range(20) for at in range(made.count)):
        if item.key["lines"][0][0][:-1] == start:
            return item
    raise AssertionError("not drawn")


@cache
def music21_symbol(symbol):
    from music21 import harmony

    return harmony.ChordSymbol(symbol[0] + "-" + symbol[2:] if symbol[1:2] == "b" else symbol)


@pytest.mark.parametrize("lines", ["one", "two"])
def test_guide_tones_are_thirds_and_sevenths_by_music21(lines):
    made = exercise(40, lines=lines, progressions=[PROGRESSIONS[0], PROGRESSIONS[2]])
    for item in (made.item(1, at) for at in range(40)):
        for line in item.key["lines"]:
            for name, symbol in zip(line, item.key["chords"], strict=True):
                chord = music21_symbol(symbol)
                assert name[:-1] in {tone.name.replace("-", "b") for tone in (chord.third, chord.seventh)}


def test_two_lines_take_the_shortest_way_of_all():
    """All placings of third and seventh near by are tried with music21's intervals."""
    from music21 import interval, pitch

    made = exercise(20, lines="two", progressions=[PROGRESSIONS[0], PROGRESSIONS[2]])
    for item in (made.item(1, at) for at in range(20)):
        upper, lower = ([pitch.Pitch(name.replace("b", "-")) for name in line] for line in item.key["lines"])
        for at, symbol in enumerate(item.key["chords"][1:], 1):
            chord = music21_symbol(symbol)
            names = chord.third.name, chord.seventh.name
            lengths = [
                sum(
                    abs(interval.Interval(before, pitch.Pitch(f"{name}{octave}")).semitones)
                    for before, name, octave in zip((upper[at - 1], lower[at - 1]), order, octaves, strict=True)
                )
                for order in (names, names[::-1])
                for octaves in product(range(1, 8), repeat=2)
            ]
            moved = sum(abs(interval.Interval(line[at - 1], line[at]).semitones) for line in (upper, lower))
            assert moved == min(lengths)
            assert {upper[at].name, lower[at].name} == set(names)


#: In a ii V I the seventh of each chord falls to the third of the next, the third stays: jazz courses, common practice.
@pytest.mark.parametrize(
    ("key", "sevenths", "thirds"),
    [("C", "C B B", "F F E"), ("F", "F E E", "Bb Bb A"), ("Eb", "Eb D D", "Ab Ab G"), ("A", "A G# G#", "D D C#")],
)
def test_the_lines_of_a_ii_v_i(key, sevenths, thirds):
    made = exercise(progressions=[PROGRESSIONS[0]], keys=[key])
    for line in (sevenths, thirds):
        item = find(made, line.split()[0])
        assert [name[:-1] for name in item.key["lines"][0]] == line.split()
        answer = {"line": {"symbol": " ".join(line.split()[1:])}}
        assert made.mark(item, answer).score == 1.0


#: From C (seventh of Dm7): over G7 B is nearest; F is the other guide tone, G none. Counted by hand from the table.
@pytest.mark.parametrize(
    ("text", "score", "why"),
    [
        ("B B", 1.0, "Every note"),
        ("B4 B4", 1.0, "Every note"),
        ("C B B", 1.0, "Every note"),  # the first note written again
        ("F E", 0.75, "F is a guide tone of G7, but another lies nearer"),
        ("B E", 0.75, "E is a guide tone of Cmaj7, but another lies nearer"),
        ("Cb B", 0.75, "sounds right, but is spelled otherwise"),
        ("B3 B3", 0.75, "lies an octave away"),
        ("G B", 0.5, "G is no guide tone of G7"),
        ("B", 0.5, "Over Cmaj7 a note is missing"),
        ("B B B B", 0.0, "more notes than chords"),
    ],
)
def test_marking_of_one_line(text, score, why):
    made = exercise(progressions=[PROGRESSIONS[0]], keys=["C"])
    item = find(made, "C")
    assert item.key["lines"][0][0] == "C5"
    answer = {"line": {"symbol": text}}
    mark = made.mark(item, answer)
    assert mark.score == score
    assert why in mark.why
    assert (made.confusion(item, answer) is None) == (score == 1.0)


def test_where_two_guide_tones_are_as_near_each_is_right():
    """From E, the third of C major seven, C sharp and G of A7 are both three semitones away."""
    made = exercise(progressions=["C major: Cmaj7 | A7 | Dm7"], keys=["C"])
    item = find(made, "E")
    for text in ("C# C", "G F"):
        assert made.mark(item, {"line": {"symbol": text}}).score == 1.0
    assert made.mark(item, {"line": {"symbol": "G C"}}).score == 0.75  # from G, F of Dm7 is nearer than C
    assert "would be as near" in item.explain


@pytest.mark.parametrize(
    ("upper", "lower", "score"),
    [
        ("B B", "F E", 1.0),
        ("F E", "B B", 0.75),  # guide tones all, but over G7 not by the shortest way
        ("B B", "B B", (1 + 1 + 0.5 + 0.5) / 4),
        ("B B", "G G", 0.5),
    ],
)
def test_marking_of_two_lines(upper, lower, score):
    made = exercise(progressions=[PROGRESSIONS[0]], keys=["C"], lines="two")
    item = find(made, "C")
    mark = made.mark(item, {"upper": {"symbol": upper}, "lower": {"symbol": lower}})
    assert mark.score == score


def test_piano_keys_of_a_transposing_instrument():
    """A written C5 of a B flat clarinet sounds B flat 4 (70)."""
    made = exercise(progressions=[PROGRESSIONS[0]], keys=["C"], transposition="clarinet", inputs=["keys"], low="C4")
    item = find(made, "C")
    assert item.key["lines"][0][0] == "C5"
    assert item.response.steps[0].inputs[0].given == (70,)
    assert made.mark(item, {"line": {"keys": [69, 69]}}).score == 1.0


def test_an_answer_is_heard_and_seen_beside_the_smooth_line():
    made = exercise(progressions=[PROGRESSIONS[0]], keys=["C"])
    item = find(made, "C")
    shown = made.compare(item, {"line": {"symbol": "F E"}})
    assert [(one.kind, one.label) for one in shown] == [
        ("sound", "Smooth"), ("sound", "Your answer"), ("notation", "Smooth"), ("notation", "Your answer"),
    ]  # fmt: skip
    assert [note.pitches for note in shown[3].excerpt.notes] == [("C5",), ("F5",), ("E5",)]


def test_each_degree_has_its_words():
    suffixes = [
        "",
        "m",
        "dim",
        "aug",
        "7",
        "m7",
        "maj7",
        "m7b5",
        "dim7",
        "6",
        "m6",
        "7sus4",
        "sus2",
        "mM7",
        "9",
        "13b9",
    ]
    assert {one.degree for suffix in suffixes for one in guide_names(f"C{suffix}")} == set(DEGREE_WORDS)


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"progressions": ["C major: C5 | G7"]}, "no third or suspended tone"),
        ({"progressions": ["C major: Dm7"]}, "at least two chords"),
        ({"progressions": ["C major: Dm7 | N.C."]}, "'key: chords'"),
        ({"keys": ["H"]}, "different notes from"),
        ({"lines": "three"}, "'one', 'two'"),
        ({"low": "C5", "high": "C4"}, "below the highest"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
