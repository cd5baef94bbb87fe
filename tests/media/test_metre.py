"""Beats and beam groups: common practice, no source beyond the handbooks of notation."""

from fractions import Fraction as F

import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.metre import Metre


@pytest.mark.parametrize(
    ("text", "beat"),
    [("2/4", 1), ("3/4", 1), ("4/4", 1), ("2/2", 2), ("6/8", F(3, 2)), ("9/8", F(3, 2)), ("12/8", F(3, 2)), ("3/8", F(3, 2)),
     ("6/16", F(3, 4)), ("6/4", 1), ("5/8", 1), ("7/8", 1)],
)  # fmt: skip
def test_beat(text, beat):
    assert Metre(text).beat == beat


@pytest.mark.parametrize(
    ("text", "groups"),
    [
        ("2/4", "00001111"), ("3/4", "000011112222"), ("4/4", "0000111122223333"), ("2/2", "0000111122223333"),
        ("6/8", "000000111111"), ("9/8", "000000111111222222"), ("5/8", "0000001111"), ("7/8", "00001111222222"),
        ("3/8", "000000"), ("8/8", "0000001111112222"), ("4/8", "00001111"),
    ],
)  # fmt: skip
def test_sixteenths_are_beamed_by_the_beat(text, groups):
    metre = Metre(text)
    assert "".join(str(metre.beam_group(F(at, 4))) for at in range(int(metre.length * 4))) == groups


@pytest.mark.parametrize(
    ("text", "groups"),
    [("2/4", "0000"), ("3/4", "000000"), ("4/4", "00001111"), ("2/2", "00001111"), ("6/8", "000111"), ("7/8", "0011222"), ("5/4", "0011223344")],
)  # fmt: skip
def test_plain_eighths_share_longer_beams(text, groups):
    metre = Metre(text)
    assert "".join(str(metre.beam_group(F(at, 2), eighths=True)) for at in range(int(metre.length * 2))) == groups


@pytest.mark.parametrize("count", range(1, 25))
@pytest.mark.parametrize("unit", [1, 2, 4, 8, 16, 32])
def test_every_metre_has_groups_that_fill_it(count, unit):
    metre = Metre(f"{count}/{unit}")
    assert metre.length == F(4 * count, unit)
    last = metre.beam_group(metre.length - F(1, 64))
    assert metre.beam_group(F(0)) == 0
    assert [metre.beam_group(metre.length * at / 16) for at in range(16)] == sorted(
        metre.beam_group(metre.length * at / 16) for at in range(16)
    )
    assert last < count * 4
    assert all(metre.length % step == 0 or step <= metre.beat for step in metre.strong_steps)


@pytest.mark.parametrize("bad", ["", "4", "4/", "/4", "0/4", "4/0", "-3/4", "C", "3/4/4", "three/4"])
def test_what_is_no_time_signature_is_refused(bad):
    with pytest.raises(MediaError, match=f"metre '{bad}'"):
        Metre(bad)
