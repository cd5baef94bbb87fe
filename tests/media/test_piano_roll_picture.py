"""The piano roll: numbers of notes and ranges as music21 counts them, and one stroke for each note."""

import re

import music21
import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.piano_roll_picture import piano_roll_picture
from musictheory_nb.score.load import load_score


def test_counts_and_ranges_are_those_of_music21():
    path = music21.corpus.getWork("mozart/k156/movement3.mxl")
    told = piano_roll_picture(load_score(path, cache=False)).alt
    for part in music21.converter.parse(path).stripTies().parts:
        pitches = [pitch for note in part.recurse().notes if not note.duration.isGrace for pitch in note.pitches]
        low, high = min(pitches, key=lambda p: p.ps), max(pitches, key=lambda p: p.ps)
        names = [pitch.nameWithOctave.replace("-", "b") for pitch in (low, high)]
        assert f"{part.partName}: {len(pitches)} notes from {names[0]} to {names[1]}" in told


def test_one_stroke_for_each_note():
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|[CEG]4|z4|]\n", cache=False)
    svg = piano_roll_picture(piece).svg
    strokes = max(len(re.findall("z", path)) for path in re.findall(r' d="([^"]*)"', svg))
    assert strokes == 4 + 4 + 3


def test_higher_notes_stand_higher_and_later_ones_further_right():
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCEGc|]\n", cache=False)
    paths = re.findall(r' d="([^"]*)"', piano_roll_picture(piece).svg)
    path = max(paths, key=lambda text: text.count("z"))
    corners = [tuple(map(float, pair)) for pair in re.findall(r"M ([\d.]+) ([\d.]+)", path)]
    assert [x for x, _ in corners] == sorted(x for x, _ in corners)
    assert [y for _, y in corners] == sorted((y for _, y in corners), reverse=True)  # SVG counts down


def test_a_stretch_of_measures():
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|c4|]\n", cache=False)
    assert (
        piano_roll_picture(piece, 1, 1).alt
        == "Notes part by part, bar 2. Part 1: 4 notes from G4 to C5, in 1 of 1 bars."
    )


@pytest.mark.parametrize(("first", "last"), [(0, 3), (-1, 0), (2, 1)])
def test_measures_that_are_not_there(first, last):
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GABc|c4|]\n", cache=False)
    with pytest.raises(MediaError, match=f"measures {first} to {last}"):
        piano_roll_picture(piece, first, last)
