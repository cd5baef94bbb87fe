"""Hashed draws: SHA-256 over ids, version, seed, index and a counter, and nothing else."""

import hashlib
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.practice.draw import Draw


def test_a_draw_is_sha256_over_what_the_design_names():
    """Worked from the definition with hashlib (FIPS 180-4): the first eight bytes, big-endian, modulo the choices."""
    prefix = b'["demo","first",1,7,0]'
    expected = [
        int.from_bytes(hashlib.sha256(prefix + b"#%d" % counter).digest()[:8], "big") % 12 for counter in range(50)
    ]
    draw = Draw("demo", "first", 1, 7, 0)
    assert [draw.integer(12) for _ in range(50)] == expected


def test_a_value_in_the_incomplete_last_stretch_is_drawn_again():
    """2^64 = 3·k + 1, so of the 64-bit values only the very last is drawn again; with 2^63 + 1 choices about half are."""
    below = 2**63 + 1
    draw, seen = Draw("demo", "first", 1, 7, 0), []
    raw = [
        int.from_bytes(hashlib.sha256(b'["demo","first",1,7,0]#%d' % counter).digest()[:8], "big")
        for counter in range(40)
    ]
    kept = [value for value in raw if value < below]
    for _ in kept:
        seen.append(draw.integer(below))
    assert 10 < len(kept) < 30
    assert seen == kept


@pytest.mark.parametrize(
    "change",
    [
        ("demo2", "first", 1, 7, 0),
        ("demo", "x", 1, 7, 0),
        ("demo", "first", 2, 7, 0),
        ("demo", "first", 1, 8, 0),
        ("demo", "first", 1, 7, 1),
        ("demo", "first", 1, 7, -1),
    ],
)
def test_each_ingredient_changes_the_stream(change):
    one, other = Draw("demo", "first", 1, 7, 0), Draw(*change)
    assert [one.integer(10**6) for _ in range(4)] != [other.integer(10**6) for _ in range(4)]


def test_ids_cannot_run_into_each_other():
    assert Draw("ab", "c", 1, 7, 0).integer(10**9) != Draw("a", "bc", 1, 7, 0).integer(10**9)


def test_choices_are_evenly_spread():
    """Chi-square of 12,000 draws over 12 choices: below 31.3, the 99.9th percentile for 11 degrees of freedom (tables)."""
    counts = Counter(Draw("demo", "first", 1, 7, index).integer(12) for index in range(12_000))
    assert sum((count - 1000) ** 2 / 1000 for count in counts.values()) < 31.3
    assert set(counts) == set(range(12))


@given(st.lists(st.integers(), max_size=40), st.integers(0, 2**53))
def test_shuffling_loses_and_adds_nothing(options, seed):
    assert sorted(Draw("demo", "first", 1, seed, 0).shuffled(options)) == sorted(options)


def test_all_orders_of_three_are_about_as_frequent():
    """6,000 shuffles over 6 orders, chi-square below 20.5, the 99.9th percentile for 5 degrees of freedom (tables)."""
    counts = Counter("".join(Draw("demo", "first", 1, seed, 0).shuffled("abc")) for seed in range(6000))
    assert len(counts) == 6
    assert sum((count - 1000) ** 2 / 1000 for count in counts.values()) < 20.5


@pytest.mark.parametrize("below", [0, -1])
def test_nothing_to_choose_from_is_refused(below):
    with pytest.raises(ValueError, match=f"below {below}"):
        Draw("demo", "first", 1, 7, 0).integer(below)
