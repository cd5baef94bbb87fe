"""Section marking: the score is what `mir_eval.segment` gives; the form of the piece is the published one."""

import csv
from dataclasses import replace
from pathlib import Path

import mir_eval
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.piece_sections import bare_letter
from musictheory_nb.practice.section_evidence import measures_alike

PUBLISHED = Path(__file__).parents[1] / "published" / "known_forms.tsv"
#: The row of the rag in tests/published/known_forms.tsv, read off: A 1-16 (2nd ending 17), B 18-33/34, A' 35-50,
#: C (trio) 51-66/67, D 68-83/84.
RAG = [["1", "A"], ["18", "B"], ["35", "A′"], ["51", "C"], ["68", "D"]]
SONG = [["1", "A"], ["5", "A"], ["9", "B"], ["13", "A"]]


@pytest.fixture(scope="module")
def rag(maple_leaf_rag):
    def make(**chosen):
        chosen = {"excerpt": "rag", "sections": RAG} | chosen
        return Exercise("form", "section-marking", chosen, count=1, lesson="demo", excerpts={"rag": maple_leaf_rag})

    return make


@pytest.fixture(scope="module")
def song(little_song):
    def make(**chosen):
        chosen = {"excerpt": "song", "sections": SONG} | chosen
        return Exercise("form", "section-marking", chosen, count=1, lesson="demo", excerpts={"song": little_song})

    return make


def answer(*rows):
    return {"sections": {"sections": [list(row) for row in rows]}}


def test_the_sections_are_those_of_the_published_form():
    lines = PUBLISHED.read_text(encoding="utf-8").splitlines()
    (row,) = [one for one in csv.DictReader(lines, delimiter="\t") if one["corpus_path"] == "joplin/maple_leaf_rag.mxl"]
    assert row["form"] == "ragtime AABBACCDD"
    for number, letter in RAG[1:]:
        assert f"{letter.rstrip('′')}{chr(39) if '′' in letter else ''} {number}-" in row["bar plan (measure numbers as music21 reads them)"].replace("(trio, 5 flats) ", "")  # fmt: skip


def test_the_evidence_is_what_was_measured_on_the_bundled_file(rag, maple_leaf_rag):
    """Published beside the form: 15 of the measures 35-50 equal 1-16; key signatures -5 at 51, -4 at 68; repeats."""
    at = {measure.number: index for index, measure in enumerate(maple_leaf_rag.measures)}
    assert measures_alike(maple_leaf_rag, at["35"], at["1"], 16) == 15
    explain = rag().item(1, 0).explain
    assert "The plan is A B A′ C D." in explain
    assert "Measures 35 to 50: A′ – 15 of 16 measures are those of measures 1 to 16." in explain
    assert "Measures 51 to 67: C – a repeat sign opens it; the key signature changes to five flats" in explain
    assert "Measures 68 to 84: D – a repeat sign opens it; the key signature changes to four flats" in explain
    assert "Measures 1 to 17: A – a pickup leads into it; a repeat sign opens it" in explain


def by_mir_eval(truth, given, measures, tolerance, weight):
    """The score from the documented table, with both measures taken from mir_eval (a measure lasts a second)."""

    def intervals(rows):
        starts = [row[0] for row in rows]
        return np.array(list(zip(starts, [*starts[1:], measures], strict=True)), dtype=float)

    if len(given) == 1:
        return 0.0
    one, other = intervals(truth), intervals(given)
    boundaries = mir_eval.segment.detection(one, other, window=tolerance, trim=True)[2]
    labels = [[bare_letter(label) for _, label in rows] for rows in (truth, given)]
    if len(set(labels[0])) > 1 and len(set(labels[1])) == 1:
        letters = 0.0
    else:
        letters = mir_eval.segment.pairwise(one, labels[0], other, labels[1], frame_size=1.0)[2]
        letters = 0.0 if np.isnan(letters) else letters
    return (1 - weight) * boundaries + weight * letters


@pytest.mark.filterwarnings("ignore:invalid value", "ignore:.*intervals are empty")
@settings(max_examples=300)
@given(
    st.lists(st.tuples(st.integers(1, 84), st.sampled_from(["A", "B", "A′", "C", "d", "D2"])), max_size=12),
    st.integers(0, 4),
    st.sampled_from([0, 0.25, 0.5, 1]),
)
def test_the_score_is_that_of_mir_eval(rag, inner, tolerance, weight):
    rows = [(0, "A"), *sorted(dict(inner).items())]
    made = rag(tolerance=tolerance, label_weight=weight)
    item = made.item(1, 0)
    expected = by_mir_eval(item.key["sections"], rows, 85, tolerance, weight)
    assert made.mark(item, answer(*rows)).score == pytest.approx(expected, abs=1e-12)


def test_letters_count_by_agreement_alone(song):
    made = song(tolerance=0)
    item = made.item(1, 0)
    for plan in ("AABA", "XXYX", "bbab", "zzaz"):
        assert made.mark(item, answer(*zip((0, 5, 9, 13), plan, strict=True))).score == 1.0
    assert made.mark(item, answer(*zip((0, 5, 9, 13), "ABCA", strict=True))).score < 1.0


def test_a_boundary_within_the_tolerance_counts_and_one_outside_does_not(song):
    near, far = answer((0, "A"), (6, "A"), (9, "B"), (13, "A")), answer((0, "A"), (7, "A"), (9, "B"), (13, "A"))
    for tolerance, rows, boundaries in ((0, near, 2 / 3), (1, near, 1.0), (1, far, 2 / 3), (2, far, 1.0)):
        made = song(tolerance=tolerance, label_weight=0)
        assert made.mark(made.item(1, 0), rows).score == pytest.approx(boundaries)


def test_an_empty_answer_and_one_letter_throughout_earn_nothing_for_it(song):
    made = song()
    item = made.item(1, 0)
    empty = made.mark(item, answer((0, "A")))
    assert (empty.score, empty.why) == (0.0, "Nothing is marked; there are three boundaries to find.")
    one_letter = made.mark(item, answer((0, "A"), (5, "A"), (9, "A"), (13, "A")))
    assert one_letter.score == 0.5


def test_what_was_missed_and_what_is_no_boundary_is_named_and_can_be_heard(rag):
    made = rag()
    item = made.item(1, 0)
    given = answer((0, "a"), (18, "b"), (40, "a"), (52, "c"))
    mark = made.mark(item, given)
    assert mark.why.startswith(
        "2 of 4 boundaries found. Missed: measure 35 (A′) and measure 68 (D). No section begins at measure 40."
    )
    assert [request.label for request in made.compare(item, given)] == [
        "Measures 33 to 36: A′ begins at 35",
        "Measures 66 to 69: D begins at 68",
        "Measures 38 to 41: no section begins at 40",
    ]
    assert [request.span for request in made.compare(item, given)] == [(33, 36), (66, 69), (38, 41)]
    assert made.confusion(item, given) == ("A B A′ C D", "abac")


def test_variants_of_a_letter_are_one_letter_unless_the_teacher_tells_them_apart(rag):
    plan = answer((0, "A"), (18, "B"), (35, "A2"), (51, "C"), (68, "D"))
    loose, strict = rag(), rag(variants=True, sections=[["1", "A"], ["18", "B"], ["35", "A"], ["51", "C"], ["68", "D"]])
    assert loose.mark(loose.item(1, 0), plan).score == 1.0
    assert strict.mark(strict.item(1, 0), plan).score < 1.0


@pytest.mark.parametrize(
    ("label", "letter"),
    [
        ("A", "a"),
        ("A'", "a"),
        ("A′", "a"),
        ("A″", "a"),
        ("B2", "b"),
        ("b 2", "b"),
        ("Trio", "trio"),
        ("12", "12"),
        ("Ａ", "a"),
    ],
)
def test_bare_letters(label, letter):
    """Sections that share music share a letter and take a number or a prime (common practice)."""
    assert bare_letter(label) == letter


def test_any_measures_can_be_heard_and_seen_and_marks_are_hidden_until_the_answer(little_song, song):
    assert any(measure.mark for measure in little_song.measures)
    item = song().item(1, 0)
    sound, notation = item.shown("asked")
    assert (sound.kind, notation.kind) == ("sound", "notation")
    assert sound.choose_measures
    assert notation.choose_measures
    assert not any(measure.mark for measure in sound.excerpt.measures)
    assert not any(measure.mark for measure in notation.excerpt.measures)
    shown = song(show_marks=True).item(1, 0)
    assert shown.media[0].excerpt == little_song
    score, *sections = item.shown("answered")
    assert [m.mark for m in score.excerpt.measures if m.mark] == ["A", "A", "B", "A"]
    assert [request.span for request in sections] == [(0, 4), (5, 8), (9, 12), (13, 16)]
    assert item.response.steps[0].inputs[0].measures == tuple(m.number for m in little_song.measures)


def test_hints_tell_no_more_than_they_should(song):
    prompts = {hint: song(hints=hint).item(1, 0).prompt for hint in ("none", "number", "letters")}
    assert "section" not in prompts["none"].split("where the same music comes back.")[1]
    assert prompts["number"].endswith("It has four sections.")
    assert prompts["letters"].endswith("It has four sections with two different letters.")


def test_the_teachers_own_sentence_stands_in_the_explanation(song):
    rows = [["1", "A"], ["5", "A"], ["9", "B", "the bridge, in another key"], ["13", "A"]]
    assert "The bridge, in another key." in song(sections=rows).item(1, 0).explain


def test_several_pieces_are_met_in_an_order_of_ones_own(little_song):
    pieces = {name: replace(little_song, title=name) for name in ("one", "two", "three", "four")}
    made = Exercise(
        "form",
        "section-marking",
        {"excerpt": list(pieces), "sections": [SONG] * 4},
        count=3,
        lesson="demo",
        excerpts=pieces,
    )
    orders = {tuple(made.item(seed, index).media[0].excerpt.title for index in range(3)) for seed in range(40)}
    assert all(len(set(order)) == 3 for order in orders)
    assert len(orders) > 10


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"sections": [["1", "A"]]}, "sections"),
        ({"sections": [["1", "A"], ["1", "B"]]}, "sections"),
        ({"sections": [["1", "A"], ["5", ""]]}, "sections"),
        ({"sections": [["1", "A"], ["5", "B" * 9]]}, "sections"),
        ({"sections": [["1", "A"], ["5", 2]]}, "sections"),
        ({"sections": [["1", "A"], [5.5, "B"]]}, "sections"),
        ({"sections": [["1", "A"], ["5", "B", 3]]}, "sections"),
        ({"sections": "AABA"}, "sections"),
        ({"sections": [SONG, SONG]}, "there is one excerpt"),
        ({"excerpt": ["song", "waltz"], "sections": SONG}, "2 excerpts and 1 lists"),
        ({"excerpt": ["song", "song"], "sections": [SONG, SONG]}, "excerpt"),
        ({"tolerance": 5}, "tolerance 5; allowed: a whole number from 0 to 4"),
        ({"tolerance": True}, "tolerance"),
        ({"label_weight": 1.1}, "label_weight"),
        ({"label_weight": float("nan")}, "label_weight"),
        ({"hints": "all"}, "hints"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(song, chosen, why):
    with pytest.raises(ExerciseError, match=why):
        song(**chosen)


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ([["1", "A"], ["17", "B"]], "measure '17': this excerpt has the measures 0 to 16"),
        ([["9", "A"], ["5", "B"]], "must ascend"),
        ([["3", "A"], ["9", "B"]], r"name what comes before, as \['0', 'intro'\]"),
    ],
)
def test_sections_that_the_piece_does_not_have_are_refused_in_words(song, rows, why):
    with pytest.raises(ExerciseError, match=why):
        song(sections=rows).item(1, 0)


def test_an_introduction_is_a_section_and_numbers_may_be_written_as_numbers(song):
    item = song(sections=[[0, "intro"], [5, "A"], [9, "B"]]).item(1, 0)
    assert item.key["sections"] == [[0, "intro"], [5, "A"], [9, "B"]]


def test_more_items_than_pieces_are_refused(little_song):
    made = Exercise(
        "form",
        "section-marking",
        {"excerpt": "song", "sections": SONG},
        count=2,
        lesson="demo",
        excerpts={"song": little_song},
    )
    with pytest.raises(ExerciseError, match="count 2, and one excerpt; each excerpt makes one item"):
        made.item(1, 0)
