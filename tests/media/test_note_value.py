"""Note values, splits and tuplets: arithmetic, and what handbooks of notation ask for (common practice, no source)."""

from fractions import Fraction as F
from itertools import accumulate

import music21
import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import MediaError
from musictheory_nb.media.metre import Metre
from musictheory_nb.media.note_value import NoteValue, is_single, note_spans, rest_spans, single_value
from musictheory_nb.media.tuplet import TupletRatio, stretches

METRES = ("2/4", "3/4", "4/4", "2/2", "6/8", "9/8", "12/8", "5/8", "7/8", "5/4", "3/2")


@pytest.mark.parametrize("sixty_fourths", range(1, 8 * 16 + 1))
def test_single_values_are_those_of_music21(sixty_fourths):
    quarters = F(sixty_fourths, 16)
    theirs = music21.duration.Duration(quarters)
    ours = single_value(quarters)
    # music21 also writes three and four dots; we write at most two
    if len(theirs.components) == 1 and theirs.dots <= 2 and not theirs.tuplets:
        assert ours is not None
        assert (ours.head, ours.dots) == (F(music21.duration.typeToDuration[theirs.type]), theirs.dots)
    else:
        assert ours is None


@given(st.sampled_from(METRES), st.integers(0, 47), st.integers(1, 96))
def test_spans_fill_exactly_what_they_are_asked_to(text, start, length):
    metre = Metre(text)
    position, quarters = F(start, 8) % metre.length, F(length, 16)
    for spans in (note_spans(position, quarters, metre), rest_spans(position, quarters, metre)):
        assert sum(spans) == quarters
        assert all(is_single(span) for span in spans)


@pytest.mark.parametrize(
    ("position", "quarters", "metre", "expected"),
    [
        (0, F(5, 2), "4/4", ["2", "1/2"]),  # cut at the half measure
        (F(3, 2), F(5, 2), "4/4", ["1/2", "2"]),
        (0, F(5, 4), "2/4", ["1", "1/4"]),
        (F(1, 2), F(5, 2), "6/8", ["1", "3/2"]),  # cut at the dotted beat
        (0, 3, "4/4", ["3"]),  # a dotted half is one value
        (F(1, 4), F(3, 2), "4/4", ["3/2"]),
    ],
)
def test_long_notes_are_cut_at_strong_places(position, quarters, metre, expected):
    assert [str(span) for span in note_spans(F(position), F(quarters), Metre(metre))] == expected


@pytest.mark.parametrize(
    ("position", "quarters", "metre", "expected"),
    [
        (1, 2, "3/4", ["1", "1"]),
        (0, 2, "4/4", ["2"]),
        (1, 3, "4/4", ["1", "2"]),
        (F(1, 4), F(3, 4), "2/4", ["1/4", "1/2"]),
        (F(3, 2), F(3, 2), "6/8", ["3/2"]),
        (F(1, 2), F(5, 2), "6/8", ["1/2", "1/2", "3/2"]),
    ],
)
def test_rests_show_the_beats(position, quarters, metre, expected):
    assert [str(span) for span in rest_spans(F(position), F(quarters), Metre(metre))] == expected


def tuplets(durations: list[F], beat: F = F(1)) -> list[tuple[int, int, tuple[int, int] | None]]:
    places = [F(0), *accumulate(durations)]
    return [
        (one.first, one.after, (one.ratio.num, one.ratio.base) if one.ratio else None)
        for one in stretches(places, beat)
    ]


@pytest.mark.parametrize(
    ("durations", "expected"),
    [
        (["1/3", "1/3", "1/3"], [(0, 3, (3, 2))]),
        (["2/3", "1/3"], [(0, 2, (3, 2))]),
        (["2/3", "2/3", "2/3"], [(0, 3, (3, 2))]),  # three quarters in the time of two
        (["1/6", "1/6", "1/6", "1/2"], [(0, 3, (3, 2)), (3, 4, None)]),
        (["1/2", "1/6", "1/3"], [(0, 3, (3, 2))]),  # dotted eighth, sixteenth, eighth of one triplet
        (["1/5"] * 5, [(0, 5, (5, 4))]),
        (["2/5"] * 5, [(0, 5, (5, 4))]),
        (["1/7"] * 7, [(0, 7, (7, 4))]),
        (["1", "1/2", "1/4", "1/4"], [(0, 1, None), (1, 2, None), (2, 3, None), (3, 4, None)]),
    ],
)
def test_tuplets_begin_and_end_where_players_expect(durations, expected):
    assert tuplets([F(duration) for duration in durations]) == expected


def test_five_sixteenths_in_the_time_of_six_in_compound_metre():
    assert tuplets([F(3, 10)] * 5, F(3, 2)) == [(0, 5, (5, 6))]


@given(st.lists(st.sampled_from([3, 5, 7]), min_size=1, max_size=4), st.data())
def test_written_values_times_ratio_are_the_durations(kinds, data):
    durations: list[F] = []
    for kind in kinds:
        plain = data.draw(st.booleans())
        durations += [F(1, 2), F(1, 2)] if plain else [F(1, kind)] * kind
    places = [F(0), *accumulate(durations)]
    for stretch in stretches(places, F(1)):
        for at in range(stretch.first, stretch.after):
            ratio = stretch.ratio or TupletRatio(1, 1)
            value = single_value(durations[at] * ratio.num / ratio.base)
            assert isinstance(value, NoteValue)
            assert value.head * (2 - F(1, 2**value.dots)) * ratio.base / ratio.num == durations[at]


def test_durations_that_nobody_writes_are_refused():
    with pytest.raises(MediaError, match="'1/97'"):
        tuplets([F(1, 97), F(96, 97) - F(1, 1000), F(1, 1000)])
