"""Pickups, split bars, endings and numbers, as players count. Common practice of engraving, no source."""

import pytest
from music21 import corpus
from written_musicxml import CLOSE, OPEN, attributes, begin, measure, note, rest, score, stop

from musictheory_nb.score.load import load_score


def numbers(piece):
    return [measure.number for measure in piece.measures]


def bars(*specs, beats="3"):
    """Load bars given as (printed number, implicit, quarters, more)."""
    made = []
    for place, (printed, implicit, quarters, more) in enumerate(specs):
        content = (attributes(beats) if place == 0 else "") + more.replace("|", note("C4", quarters))
        made.append(measure(content if "|" in more else content + note("C4", quarters), printed, implicit))
    return load_score(score(made))


@pytest.mark.parametrize(
    ("printed", "implicit"), [("0", True), ("0", False), ("1", False), ("", True), ("X1", True), ("pickup", True)]
)
def test_pickup_however_it_is_numbered(printed, implicit):
    following = 2 if printed == "1" else 1
    piece = bars((printed, implicit, 1, ""), (following, False, 3, ""), (following + 1, False, 3, ""))
    assert numbers(piece) == ["0", "1", "2"]
    assert piece.measures[0].is_pickup
    assert piece.notes[0].beat == 3


@pytest.mark.parametrize("second", [("X1", True), ("8", True), ("9", False), ("", True)])
def test_bar_split_by_a_repeat_sign_is_one_bar(second):
    printed, implicit = second
    following = 10 if printed == "9" else 9
    piece = bars(
        ("7", False, 3, ""),
        ("8", False, 2, "|" + CLOSE),
        (printed, implicit, 1, OPEN + "|"),
        (following, False, 3, ""),
        (following + 1, False, 3, ""),
    )
    assert numbers(piece) == ["7", "8", "8", "9", "10"]
    half = piece.measures[2]
    assert half.continues
    assert half.offset == 2
    assert piece.notes_of(2, 2)[0].beat == 3


def test_half_bar_is_not_counted_though_the_file_numbers_it():
    """So counts the published analysis of Haydn, op. 74 no. 1, fourth movement, whose file numbers the half bar 107.

    There the development begins at 107 and the recapitulation at 155 (tests/published/known_forms.tsv).
    """
    piece = load_score(corpus.getWork("haydn/opus74no1/movement4.mxl"))
    half, after = piece.measures[107], piece.measures[108]
    assert (half.printed, half.number, half.continues) == ("107", "106", True)
    assert (after.printed, after.number, after.is_full) == ("108", "107", True)


def test_two_short_bars_with_nothing_between_them_are_two_bars():
    piece = bars(("1", False, 4, ""), ("2", False, 2, ""), ("3", False, 2, ""), ("4", False, 4, ""), beats="4")
    assert numbers(piece) == ["1", "2", "3", "4"]


def test_full_first_bar_numbered_zero_is_bar_one():
    assert numbers(bars(("0", False, 3, ""), ("1", False, 3, ""), ("2", False, 3, ""))) == ["1", "2", "3"]


def test_excerpt_keeps_its_numbers():
    assert numbers(bars(("35", False, 3, ""), ("36", False, 3, ""))) == ["35", "36"]


def test_unnumbered_bars_are_counted():
    assert numbers(bars(("", False, 1, ""), ("", False, 3, ""), ("", False, 3, ""))) == ["0", "1", "2"]
    assert numbers(bars(("1", False, 3, ""), ("1", False, 3, ""), ("1", False, 3, ""))) == ["1", "2", "3"]


def test_short_endings_are_two_bars_not_one_split_bar():
    piece = bars(
        ("1", False, 4, ""),
        ("2", False, 2, begin(1) + "|" + stop(1, again=True)),
        ("3", False, 2, begin(2) + "|" + stop(2)),
        beats="4",
    )
    assert numbers(piece) == ["1", "2", "3"]
    assert not any(measure.continues for measure in piece.measures)


def test_upbeat_of_a_new_section_stands_at_the_end_of_its_bar():
    piece = bars(
        ("1", False, 3, "|" + CLOSE), ("X1", True, 1, OPEN + "|"), ("2", False, 3, ""), ("3", False, 2, "|" + CLOSE)
    )
    assert numbers(piece) == ["1", "1", "2", "3"]
    assert piece.measures[1].is_pickup
    assert piece.notes_of(1, 1)[0].beat == 3
    assert [piece.measures[at].number for at in piece.play_order] == ["1", "1", "1", "2", "3", "1", "2", "3"]


def test_whole_measure_rest_beside_a_pickup_is_as_long_as_the_pickup():
    upper = [measure(attributes("3") + note("C4", 1), 0, True), measure(note("C4", 3), 1)]
    for lower in (rest(3, whole=True), rest(3)):
        piece = load_score(score(upper, [measure(attributes("3") + lower, 0, True), measure(rest(3), 1)]))
        assert piece.measures[0].length == 1
        assert [event.duration for event in piece.rests] == [1, 3]


def test_rests_that_overfill_a_bar_are_cut_to_it():
    upper = [measure(attributes("3") + note("C4", 3) + rest(1), 1), measure(note("C4", 3), 2)]
    piece = load_score(score(upper, [measure(attributes("3") + note("E3", 3), 1), measure(note("E3", 3), 2)]))
    assert [one.length for one in piece.measures] == [3, 3]
    assert len(piece.rests) == 0


def test_bar_without_notes_is_as_long_as_its_metre():
    piece = load_score(score([measure(attributes("6", 8), 1), measure(note("C4", 3), 2)]))
    assert [one.length for one in piece.measures] == [3, 3]


def test_senza_misura_is_as_long_as_its_notes():
    free = "<attributes><divisions>4</divisions><time><senza-misura/></time></attributes>"
    piece = load_score(score([measure(free + note("C4", 5), 1), measure(note("C4", 7), 2)]))
    assert [(one.length, one.metre) for one in piece.measures] == [(5, ""), (7, "")]


@pytest.mark.parametrize(
    ("beats", "kind", "quarters"), [("3+2", 8, "5/2"), ("6", 8, "3"), ("2", 2, "4"), ("3", 16, "3/4")]
)
def test_metres(beats, kind, quarters):
    """MusicXML 4.0, beats: ``3+2`` over 8 is five eighths."""
    piece = load_score(score([measure(attributes(beats, kind), 1), measure("", 2), measure(note("C4", 1), 3)]))
    assert str(piece.measures[0].length) == quarters
    assert piece.measures[0].metre == f"{beats}/{kind}"


def test_half_bar_in_which_a_repeat_sign_stands_amid_the_notes():
    """MusicXML 4.0, barline location middle."""
    middle = '<barline location="middle"><repeat direction="{}"/></barline>'
    piece = load_score(
        score(
            [
                measure(attributes("4") + note("C4", 4), 1),
                measure(note("D4", 2) + middle.format("backward") + middle.format("forward") + note("E4", 2), 2),
                measure(note("F4", 4), 3),
                measure(note("G4", 2) + CLOSE, 4),
            ]
        )
    )
    assert numbers(piece) == ["1", "2", "2", "3", "4"]
    assert "".join(n.written.step for n in piece.played().notes) == "CDCDEFGEFG"
