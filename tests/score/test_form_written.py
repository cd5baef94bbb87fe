"""Form of short pieces written for the tests from the definitions of standard forms, and laws of the form finder.

Definitions (common practice, no source): binary is two strains; rounded binary brings the opening back within the
second one; ternary is ABA; a rondo brings its first section back between others; a twelve-bar blues goes I, IV in bar 5,
V in bar 9; sections that share a letter take primes; an introduction has no letter.
"""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import corpus

from musictheory_nb.score.bar_unit import bar_units
from musictheory_nb.score.form_boundary import section_name
from musictheory_nb.score.form_section import find_form
from musictheory_nb.score.load import load_score
from musictheory_nb.score.measure_likeness import measure_likeness
from musictheory_nb.score.strain_search import find_strains

# Three strains of eight bars in 2/4, no two of their bars alike in melody and rhythm.
A = "C2E2|G2c2|BAGF|E2D2|CDEF|G2E2|F2D2|C4"
B = "g2f2|e3d|cdef|g2a2|b2ag|f2e2|d3e|G4"
C = "A,2C2|E3A|G2^F2|E2B,2|CB,A,C|E2A2|^G2B2|A4"


def tune(music, metre="2/4", more=""):
    return load_score(f"X:1\nM:{metre}\nL:1/8\n{more}K:C\n{music}\n".encode(), cache=False)


def told(form):
    return [(section.label, section.first_measure, section.last_measure) for section in form.sections]


def test_binary_with_repeats():
    form = find_form(tune(f"|:{A}:|:{B}:|"))
    assert (form.plan, form.name) == ("AABB", "binary")
    assert told(form) == [("A", "1", "8"), ("A", "1", "8"), ("B", "9", "16"), ("B", "9", "16")]


def test_rounded_binary():
    second = B + "|" + A
    form = find_form(tune(f"|:{A}:|:{second}:|"))
    assert form.name == "rounded binary"
    assert form.plan == "AABABA"
    assert [section.role for section in form.sections if section.first_measure == "17"] == ["return", "return"]


@pytest.mark.parametrize("signs", [True, False])
def test_ternary_without_repeat_signs(signs):
    form = find_form(tune(f"{A}||{B}||{A}|]"), use_signs=signs)
    assert (form.plan, form.name) == ("ABA", "ternary")


def test_rondo():
    form = find_form(tune(f"{A}||{B}||{A}||{C}||{A}|]"))
    assert (form.plan, form.name) == ("ABACA", "rondo")


def test_da_capo_is_played_out():
    form = find_form(tune(f"{A} !fine!||{B} !D.C.alfine!|]"))
    if form.plan == "AB":  # the reader took the words for something else: say so rather than pass
        pytest.fail("D.C. al Fine was not read")
    assert form.plan == "ABA"
    assert form.name == "da capo (ABA)"


def test_twelve_bar_blues_by_its_chords():
    chords = ["C7"] * 4 + ["F7"] * 2 + ["C7"] * 2 + ["G7", "F7", "C7", "G7"]
    lines = A.split("|") + B.split("|")[:4]
    music = "|".join(f'"{chord}"{line}' for chord, line in zip(chords, lines, strict=True))
    assert find_form(tune(music + "|]")).name == "twelve-bar blues"
    plain = "|".join(f'"C7"{line}' for line in lines)
    assert find_form(tune(plain + "|]")).name != "twelve-bar blues"


def test_aaba_of_eight_bar_phrases_without_any_sign():
    form = find_form(tune(f"{A}|{A}|{B}|{A}|]"))
    assert (form.plan, form.name) == ("AABA", "32-bar AABA")
    assert next(section for section in form.sections if section.letter == "B").role == "bridge"


def test_varied_return_takes_a_prime_and_says_what_changed():
    bars = A.split("|")
    varied = "|".join([*bars[:3], "e2d2", *bars[4:]])
    form = find_form(tune(f"{A}||{B}||{varied}|]"))
    assert form.labels == ("A", "B", "A'")
    assert form.sections[2].changes == ("bar 20 (as against bar 4): Part 1 plays the same 1 octave higher",)


def test_longer_return_and_other_rhythm_are_told():
    bars = A.split("|")
    varied = "|".join([*bars[:5], "GFED", *bars[6:], "C4", "C4"])
    form = find_form(tune(f"{A}||{B}||{varied}|]"))
    assert form.sections[2].label == "A'"
    length, change = form.sections[2].changes
    assert length == "2 bars longer: bars 25-26 are added"
    assert change.startswith("bar 22 (as against bar 6): Part 1 has more notes")


def test_pickups_belong_to_the_section_that_they_lead_to():
    pairs = (A.removesuffix("C4") + "C3", B.removesuffix("G4") + "G3")
    form = find_form(tune(f"G|:{pairs[0]}G:|:{pairs[1]}G:|".replace("C3G", "C3:|G").replace("::", ":")))
    starts = [section.first_measure for section in form.sections]
    assert starts[0] == "1"
    assert form.sections[0].has_pickup


def test_introduction_has_no_letter():
    form = find_form(tune(f"c2G2|E2C2|G,4|C4|:{A}:|:{B}:|"))
    assert form.sections[0].role == "introduction"
    assert form.labels[0] == "Intro"
    assert form.plan == "AABB"


@pytest.mark.parametrize("name", ["3.1", "3.11", "4.4"])
def test_no_section_of_one_bar_at_the_head_of_a_madrigal(name):
    """Syllables "fine" and "DC" of the text lead nowhere, and a double bar behind the first bar begins no section."""
    form = find_form(load_score(corpus.getWork(f"monteverdi/madrigal.{name}.mxl"), cache=False))
    assert form.sections[0].bars > 2
    assert form.plan == "A" or name == "4.4"


@pytest.mark.parametrize("music", ["C4|]", "z4|]", "z4|z4|]", "C4|D4|]"])
def test_tiny_pieces_have_one_section(music):
    form = find_form(tune(music))
    assert len(form.sections) == 1
    assert form.plan == "A"
    assert form.name == ""


@pytest.mark.parametrize(
    ("text", "name"),
    [("Tempo di Menuetto", "minuet"), ("TRIO", "trio"), ("Trio.", "trio"), ("Menuetto da capo", ""), ("dolce", "")],
)
def test_words_that_name_a_section(text, name):
    """Words as they stand in the files of known_forms.tsv."""
    assert section_name(text) == name


@pytest.mark.parametrize(
    ("strains", "plan", "lengths"),
    [
        # Conventions of tunes with repeats and a da capo (common practice, no source).
        pytest.param((A, A, B, A, B, A), "AABB", (8, 8, 16, 16), id="the second strain brings the first one back"),
        pytest.param((A, A, B, A, B), "AABAB", (8, 8, 8, 8, 8), id="da capo without repeats"),
        pytest.param((A, B, B, A, B), "ABBAB", (8, 8, 8, 8, 8), id="da capo of a strain played once"),
        pytest.param((A, A, B, B), "AABB", (8, 8, 8, 8), id="two strains"),
    ],
)
def test_strains_are_counted_as_players_do(strains, plan, lengths):
    form = find_form(tune("|".join(strains) + "|]"), use_signs=False)
    assert (form.plan, tuple(section.bars for section in form.sections)) == (plan, lengths)


def test_two_like_phrases_that_a_da_capo_keeps_are_one_strain():
    """Both times four bars and the same again with another close, while the other strain leaves out its repeat."""
    first = "C2E2|G2c2|BAGF|E2D2|C2E2|G2c2|BAGB|c4"
    form = find_form(tune(f"{first}|{B}|{B}|{first}|{B}|]"), use_signs=False)
    assert (form.plan, [section.bars for section in form.sections]) == ("ABBAB", [8] * 5)


def as_matrix(bars):
    return np.array([[float(one == other) for one in bars] for other in bars], dtype=np.float32)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.sampled_from("ABC"), min_size=1, max_size=3), st.sampled_from([8, 16]))
def test_strains_played_twice_are_found_whatever_their_order(order, size):
    """Law: strains of 8 or 16 different bars, each played twice, are found where they are."""
    order = [one for at, one in enumerate(order) if at == 0 or order[at - 1] != one]
    bars = [(name, at) for name in order for _ in range(2) for at in range(size)]
    found = find_strains(as_matrix(bars))
    assert [strain.start for strain in found] == [size * at for at in range(2 * len(order))]
    names = [name for name in order for _ in range(2)]
    assert [strain.like for strain in found] == [names.index(name) for name in names]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 5), min_size=1, max_size=40))
def test_strains_cover_every_bar_once(bars):
    found = find_strains(as_matrix(bars))
    assert [found[0].start, found[-1].end] == [0, len(bars)]
    assert all(one.end == other.start for one, other in pairwise(found))
    assert all(strain.like <= at for at, strain in enumerate(found))


def test_likeness_is_a_likeness():
    """Law: symmetric, from 0 to 1, and 1 with itself."""
    piece = tune(f"{A}|{B}|{C}|]")
    likeness = measure_likeness(piece, bar_units(piece.measures))
    for matrix in (likeness.melody, likeness.harmony, likeness.bass, likeness.rhythm, likeness.overall):
        assert matrix.shape == (24, 24)
        assert np.allclose(matrix, matrix.T)
        assert np.allclose(np.diag(matrix), 1)
        assert matrix.min() >= 0
        assert matrix.max() <= 1 + 1e-6


def test_likeness_counts_places_that_agree():
    """Half of the bar the same is one half; an octave higher is the same (by the definition in `measure_likeness`)."""
    piece = tune("C2E2|C2F2|c2e2|z4|]")
    melody = measure_likeness(piece, bar_units(piece.measures)).melody
    assert melody[0].tolist() == [1.0, 0.5, 1.0, 0.0]
