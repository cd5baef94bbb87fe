"""Our own pieces: playable ranges, sensible voice leading between the lines, and what they are meant to hold.

Ranges are those of a school band, as written: trumpet F#3 to C6, tenor saxophone Bb3 to F6, double bass E2 to G4 (common
practice, no source).
"""

from pathlib import Path

import pytest

import musictheory_nb as mt

PIECES = Path(__file__).parents[2] / "lessons" / "pieces"


@pytest.fixture(scope="module")
def quintet():
    return mt.load_score(PIECES / "timetable-for-the-last-ferry.musicxml", cache=False)


def measures_of(piece, name):
    return [found.measures for found in piece.devices() if found.name == name]


@pytest.mark.parametrize(
    ("part", "low", "high"),
    [("Trumpet in Bb", "F#3", "C6"), ("Tenor Saxophone", "Bb3", "F6"), ("Double Bass", "E2", "G4")],
)
def test_every_part_lies_well(quintet, part, low, high):
    index = quintet.part_index(part)
    written = [note for note in quintet.notes if note.part == index]
    assert written
    assert all(mt.Pitch(low).midi <= mt.Pitch(note.written).midi <= mt.Pitch(high).midi for note in written)


def test_what_the_chart_was_written_to_hold(quintet):
    """The values are what its composers wrote, bar by bar (lessons/pieces/README.md)."""
    assert len(quintet.measures) == 80
    assert quintet.key().key.name == "C minor"
    assert {("1", "8"), ("73", "76")} <= set(measures_of(quintet, "pedal point"))
    assert ("41", "56") in measures_of(quintet, "trading")
    assert ("57", "64") in measures_of(quintet, "odd metre")
    assert ("57", "64") in measures_of(quintet, "ostinato")
    assert {("33", "40"), ("61", "64")} <= set(measures_of(quintet, "doubling"))
    assert ("1", "8") in measures_of(quintet, "introduction")
    assert ("73", "80") in measures_of(quintet, "coda")
    scales = {
        (found.measures, found.details["scale"]) for found in quintet.devices() if found.name == "scale in use"
    }
    assert {(("12", "12"), "G altered"), (("57", "64"), "G Phrygian dominant")} <= scales


def test_the_horns_move_well_together(quintet):
    """In bars 25 to 32 the tenor follows the trumpet below: no parallel fifths, no crossing (common practice)."""
    horns = [
        [note for note in quintet.notes_of(24, 31) if note.part == quintet.part_index(name)]
        for name in ("Trumpet in Bb", "Tenor Saxophone")
    ]
    lines = [{note.start: mt.Pitch(note.sounding).midi for note in horn} for horn in horns]
    together = [(lines[0][at], lines[1][at]) for at in sorted(lines[0].keys() & lines[1].keys())]
    assert len(together) > 20
    assert all(high > low for high, low in together)
    for (high, low), (next_high, next_low) in zip(together, together[1:], strict=False):
        moved = high != next_high and low != next_low
        assert not (moved and (high - low) % 12 == 7 and (next_high - next_low) % 12 == 7)


def test_the_study_is_the_same_in_both_files():
    by_hand, written = (mt.load_score(PIECES / f"low-water-slack-rope.{end}", cache=False) for end in ("abc", "musicxml"))
    assert [note.sounding for note in by_hand.notes] == [note.sounding for note in written.notes]
    assert [mark.text for mark in by_hand.chord_symbols] == [mark.text for mark in written.chord_symbols]
    assert written.form().plan == "ABA"
    assert written.key().key.name == "F major"


def test_the_blues_is_one():
    """Twelve bars, I in bar 1, IV in bar 5, V in bar 9 (common practice, no source), and the bass stays in its range."""
    blues = mt.load_score(PIECES / "ticket-window-blues.abc", cache=False)
    assert blues.form().name == "twelve-bar blues"
    assert blues.key().key.name == "Bb major"
    assert [chord.text for chord in blues.chord_symbols if chord.measure in (0, 4, 8)] == ["Bb7", "Eb7", "F7"]
    bass = blues.part_index("Bass")
    assert all(
        mt.Pitch("E2").midi <= mt.Pitch(note.written).midi <= mt.Pitch("G4").midi
        for note in blues.notes
        if note.part == bass
    )
