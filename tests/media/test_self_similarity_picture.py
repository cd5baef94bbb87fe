"""Likeness of bars: where the music is the same by construction or by a published identity, the square is dark."""

import base64
import io
import re

import numpy as np
import pytest
from matplotlib.image import imread
from music21 import converter, corpus

from musictheory_nb.media.self_similarity_picture import self_similarity_picture
from musictheory_nb.score.load import load_score


def darkness(svg: str, bars: int) -> np.ndarray:
    """Darkness from 0 to 1 of the middle of each bar's cell."""
    data = max(re.findall(r"data:image/png;base64,\s*([A-Za-z0-9+/=\s]+)", svg), key=len)
    image = imread(io.BytesIO(base64.b64decode(data)), format="png")[:, :, 0]
    at = ((np.arange(bars) + 0.5) * len(image) / bars).astype(int)
    cells = image[np.ix_(at, at)]
    return 1 - (cells - cells.min()) / (cells.max() - cells.min())


def test_a_strain_that_is_repeated_is_a_dark_line():
    strain, other = "CEGE|FAcA|GBdB|c2c2|", "dFdF|eDfD|gAgA|b2d2|"
    piece = load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    dark = darkness(self_similarity_picture(piece).svg, 16)
    assert np.allclose(np.diagonal(dark), 1)
    assert np.allclose(np.diagonal(dark, offset=4)[:4], 1)
    assert np.allclose(np.diagonal(dark, offset=4)[8:], 1)
    assert dark[:4, 8:12].max() < 0.7
    assert np.allclose(dark, dark.T)


def content(parts, number: int) -> set[tuple]:
    """What music21 reads in a measure: place, length and name of each note, in whatever part or octave."""
    return {
        (note.offset, note.quarterLength, pitch.name)
        for part in parts
        for note in part.measure(number).recurse().notes
        for pitch in note.pitches
    }


def test_the_return_of_a_minuet_is_as_dark_as_itself():
    """known_forms.tsv: bars 21-28 of the minuet of K. 80 are its bars 1-8 in 7 of 8 bars of the first violin.

    Which of them are the same in all that sounds, octaves aside, music21 says.
    """
    path = corpus.getWork("mozart/k80/movement3.mxl")
    parts = converter.parse(path).parts
    same = [at for at in range(8) if content(parts, 1 + at) == content(parts, 21 + at)]
    assert len(same) >= 4
    piece = load_score(path, cache=False)
    played = [measure.number for measure in piece.played().measures]
    dark = darkness(self_similarity_picture(piece).svg, len(played))
    assert [at for at in range(8) if dark[at, played.index("21") + at] > 0.99] == same


@pytest.mark.parametrize("bars", [1, 2, 300])
def test_short_and_long_pieces(bars):
    piece = load_score(f"X:1\nM:4/4\nL:1/4\nK:C\n{'CDEF|' * bars}\n".encode(), cache=False)
    picture = self_similarity_picture(piece)
    assert f"{bars} by {bars}" in picture.alt
    assert picture == self_similarity_picture(piece)
