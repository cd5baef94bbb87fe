"""Texture of whole bundled pieces: what must hold of every finding, and that single lines give none of ensembles."""

import pytest
from music21 import corpus

from musictheory_nb.score.load import load_score
from musictheory_nb.score.part_activity import part_activity
from musictheory_nb.score.texture import find_texture
from musictheory_nb.score.texture_span import KINDS

PIECES = ["haydn/opus74no1/movement1.mxl", "beethoven/opus18no1/movement3.mxl", "bach/bwv846.mxl", "bach/bwv66.6.mxl"]


@pytest.mark.parametrize("name", PIECES)
def test_every_finding_can_be_checked_in_the_score(name):
    piece = load_score(corpus.getWork(name), cache=False)
    plays = part_activity(piece).plays
    found = find_texture(piece)
    assert found
    for one in found:
        assert one.kind in KINDS
        assert 0 <= one.first <= one.last < len(piece.measures)
        assert one.first_measure == piece.measures[one.first].number
        assert 0 < one.confidence < 1
        assert one.sentence.startswith("Bar")
        here = plays[:, one.first : one.last + 1]
        assert all(here[part].any() for part in one.parts)
        if one.kind == "solo":
            assert here.sum(axis=0).max() == 1
        if one.kind == "tutti":
            assert here.all()


def test_trio_of_the_scherzo_opens_in_octaves_of_all_four():
    """Bars 86-89 open the trio with all four strings on one line; read in the file with music21 (no published source)."""
    path = corpus.getWork("beethoven/opus18no1/movement3.mxl")
    sounding = [
        {note.pitch.pitchClass for note in part.measure(87).recurse().notes if not note.duration.isGrace}
        for part in corpus.parse("beethoven/opus18no1/movement3.mxl").parts
    ]
    assert all(classes == sounding[0] for classes in sounding)
    spans = [
        (one.first_measure, one.last_measure, one.parts)
        for one in find_texture(load_score(path, cache=False))
        if one.kind == "octaves"
    ]
    assert ("86", "89", (0, 1, 2, 3)) in spans
