"""Pitch classes by section: shares as music21's notes give them, names as the piece spells them."""

import re
from collections import Counter

import music21
import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.pitch_class_picture import pitch_class_picture
from musictheory_nb.score.load import load_score


def shares(alt: str, section: str) -> dict[str, int]:
    told = re.search(rf"{section}: ([^.]*)\.", alt)
    assert told, alt
    return {name: int(value) for name, value in re.findall(r"(\S+) (\d+)%", told[1])}


def test_shares_are_those_of_music21():
    path = music21.corpus.getWork("mozart/k156/movement3.mxl")
    own = shares(pitch_class_picture(load_score(path, cache=False)).alt, r"A, bars 1-14")
    lengths: Counter = Counter()
    for part in music21.converter.parse(path).parts:
        for note in part.measures(1, 14).recurse().notes:
            for pitch in note.pitches:
                lengths[pitch.name.replace("#", "♯").replace("-", "♭")] += note.duration.quarterLength
    whole = sum(lengths.values())
    assert own == {name: round(100 * length / whole) for name, length in lengths.items() if length / whole >= 0.005}


def test_columns_go_up_from_the_tonic_and_are_spelled_as_in_the_piece():
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:Eb\nEGBe|A2d2|BAGF|E4|]\n", cache=False)
    svg = pitch_class_picture(piece).svg
    names = re.findall(r">\s*([A-G][♯♭]?)\s*</text>", svg)
    assert names[:12] == ["E♭", "E", "F", "G♭", "G", "A♭", "A", "B♭", "B", "C", "D♭", "D"]


def test_no_pitches_no_picture():
    drums = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nz4|z4|]\n", cache=False)
    with pytest.raises(MediaError, match="no pitched notes"):
        pitch_class_picture(drums)
