"""Bundled MusicXML scores, read by us and by music21: parts, measures, notes, keys, repeats and chord places.

Source of truth: music21's own reading, through its own objects (`music21.converter`). Where the two differ for a reason
in the file or in music21, the piece is named below with the reason, which was looked up in the file.
"""

import random
import warnings
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
from music21 import converter, corpus

from musictheory_nb.score.load import load_score

ALL = sorted(
    {
        Path(path)
        for kind in ("mxl", "xml", "musicxml")
        for path in corpus.corpora.CoreCorpus().getPaths(fileExtensions=[f".{kind}"])
    }
)
#: Files in which the durations of tuplets are rounded to the divisions; we read them from the note values, and compare
#: measure and pitch alone.
ROUNDED = {
    "Lindenbaum.xml",
    "h186.mxl",
    "movement2.mxl",  # Beethoven, op. 59 no. 2; other second movements agree either way
    "PMFC_04-Cara mi donna.xml",
    "PMFC_06-Jacopo-02-Con-Gran-Furor.xml",
    "PMFC_06-Jacopo-03a-Di_Novo.xml",
    "PMFC_06_8-In Verde Prato.xml",
    "concertino_clarinet.mxl",
}
#: Pieces whose notes differ, and why.
OTHER_NOTES = {
    "dichterliebe_no2.xml": "cue notes, which are not played",
    "opus48no2.mxl": "cue notes, which are not played",
    "PMFC_13_04-Credo Cursor.xml": "a quarter-tone accidental",
}
#: Repeat signs that open at the right of a measure, which music21 takes for closing ones.
OTHER_REPEATS = {"opus18no3.mxl", "opus18no4.mxl"}
SAMPLE = random.Random(20).sample(ALL, 30)


def test_corpus_was_found():
    assert len(ALL) > 500


def theirs(path):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return converter.parseFile(path, forceSource=True)


def exact(value):
    return Fraction(value).limit_denominator(1000)


def _places(rows):
    """The rows by measure and pitch alone."""
    places = Counter()
    for (at, _, _, name, octave), count in rows.items():
        places[at, name, octave] += count
    return places


def compare(path):
    ours, stream = load_score(path), theirs(path)
    parts = [list(part.getElementsByClass("Measure")) for part in stream.parts]
    assert max(map(len, parts)) == len(ours.measures)
    found = Counter()
    for measures in parts:
        for at, measure in enumerate(measures):
            for element in measure.recurse().notes:
                if "Harmony" in element.classes:
                    continue
                onset = exact(element.getOffsetInHierarchy(measure))
                length = Fraction(0) if element.duration.isGrace else exact(element.duration.quarterLength)
                for pitch in element.pitches:
                    found[at, onset, length, pitch.name.replace("-", "b"), pitch.octave] += 1
    own = Counter(
        (note.measure, note.onset, note.duration, note.written.pitch_name.name, note.written.octave)
        for note in ours.notes
        if note.written
    )
    guessed = any(part.getInstrument().transposition for part in stream.parts) and not ours.transpositions
    if path.name in ROUNDED:
        own, found = _places(own), _places(found)
    if path.name not in OTHER_NOTES and not guessed:  # music21 takes some voices' names for transposing instruments
        assert own - found == Counter()
        assert found - own == Counter()
    for at in range(len(ours.measures) if path.name not in OTHER_REPEATS else 0):
        repeats = [measures[at].rightBarline for measures in parts if at < len(measures)]
        if any(bar is not None and "Repeat" in bar.classes and bar.direction == "end" for bar in repeats):
            assert ours.measures[at].repeat_end


@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_score_is_as_music21_reads_it(path):
    compare(path)


@pytest.mark.full
@pytest.mark.parametrize("path", ALL, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_bundled_score_is_as_music21_reads_it(path):
    compare(path)


@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_part_fills_no_measure_over_its_length(path):
    piece = load_score(path)
    for note in piece.events:
        assert note.onset >= 0
        assert note.start == piece.measures[note.measure].start + note.onset
    starts = [measure.start for measure in piece.measures]
    assert starts == sorted(starts)
    assert sum(measure.length for measure in piece.measures) == piece.length


@pytest.mark.parametrize("path", SAMPLE[:8], ids=lambda path: f"{path.parent.name}/{path.name}")
def test_music21_stream_gives_the_same_score_as_its_file(path):
    if path.name in ROUNDED | OTHER_REPEATS | set(OTHER_NOTES):
        return
    ours, through = load_score(path), load_score(theirs(path))
    assert [m.number for m in through.measures] == [m.number for m in ours.measures]
    assert [m.length for m in through.measures] == [m.length for m in ours.measures]
    assert through.play_order == ours.play_order
    places = [Counter((n.measure, n.onset, n.duration, n.sounding) for n in piece.notes) for piece in (ours, through)]
    assert places[0] == places[1]
