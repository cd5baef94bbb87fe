"""Scores written as MIDI: the played order, tempo, metre, key, tracks and channels, and notes that read back the same.

Source: Standard MIDI Files 1.0, music21's reading of the files, and for the played orders `known_forms.tsv` as
`test_known_forms` states it.
"""

import random
import warnings
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import converter, corpus

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score, load_tunes
from musictheory_nb.score.midi_file import read_midi_file
from musictheory_nb.score.midi_track import quantity
from musictheory_nb.score.write_midi import write_midi

BUNDLED = sorted(
    Path(path)
    for path in corpus.corpora.CoreCorpus().getPaths()
    if Path(path).suffix in (".mxl", ".xml", ".krn", ".abc") and Path(path).stat().st_size < 100_000
)
SAMPLE = random.Random(31).sample(BUNDLED, 20)


def tune(body, head="X:1\nM:4/4\nL:1/4\nK:C\n"):
    return load_score((head + body + "\n").encode(), cache=False)


def _sounds(table):
    """Number, start and duration of each note; two of one part on one pitch at once are one sound of a channel."""
    return {(n.sounding.chromatic if n.sounding else 0, n.start, n.duration) for n in table}


def _check(path):
    piece = load_tunes(path)[0] if path.suffix == ".abc" else load_score(path, cache=False)
    played = piece.played()
    again = load_score(write_midi(piece), cache=False)
    notes = played.joined_notes
    if any(note.grace for note in notes) or _overlaps(notes):
        onsets = {(n.sounding.chromatic if n.sounding else 0, n.start) for n in notes if not n.grace}
        assert len(onsets & {sound[:2] for sound in _sounds(again.joined_notes)}) >= 0.8 * len(onsets)
    else:
        assert _sounds(again.joined_notes) == _sounds(notes)
    assert [part.name for part in again.parts] == [part.name for part in played.parts if not part.is_empty]


def _overlaps(notes):
    """Whether one part has the same pitch twice at once, which one channel of MIDI cannot sound."""
    ends = {}
    for note in notes:
        place = (note.part, note.sounding)
        if ends.get(place, Fraction(-1)) > note.start:
            return True
        ends[place] = note.end
    return False


@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_bundled_piece_sounds_the_same(path):
    _check(path)


@pytest.mark.full
@pytest.mark.parametrize(
    "path", random.Random(32).sample(BUNDLED, 600), ids=lambda path: f"{path.parent.name}/{path.name}"
)
def test_many_bundled_pieces_sound_the_same(path):
    _check(path)


@pytest.mark.parametrize("name", ["bach/bwv269.mxl", "joplin/maple_leaf_rag.mxl", "mozart/k80/movement3.mxl"])
def test_music21_hears_the_played_order(name):
    """Onset and number of each note, as music21 reads the file."""
    piece = load_score(Path(corpus.getWork(name)), cache=False)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stream = converter.parseData(write_midi(piece), format="midi", quantizePost=False)
    heard = Counter()
    for note in stream.flatten().notes:
        for pitch in note.pitches:
            if note.tie is None or note.tie.type == "start":
                heard[Fraction(note.offset).limit_denominator(480), pitch.midi] += 1
    notes = [note for note in piece.played().joined_notes if not note.grace]
    assert set(heard) >= {(note.start, note.sounding.midi) for note in notes if not piece.notes.column("grace").any()}
    assert abs(stream.highestTime - piece.played().length) <= 4


def test_repeats_and_ties():
    again = load_score(write_midi(tune("|:C2-C2|1D4:|2E4|]")))
    assert [(n.sounding.name, n.start, n.duration) for n in again.joined_notes] == [
        ("C4", 0, 4), ("D4", 4, 4), ("C4", 8, 4), ("E4", 12, 4),
    ]  # fmt: skip


def test_tempo_metre_and_key_stand_in_the_first_track():
    piece = tune("C6|[M:3/4]D3|[Q:1/4=90][K:Eb]E3|", "X:1\nM:6/4\nL:1/4\nQ:1/4=120\nK:Am\n")
    file = read_midi_file(write_midi(piece))
    assert file.metres == [(0, 6, 4), (6 * 480, 3, 4)]
    assert file.tempos == [(0, 500_000), (9 * 480, 666_667)]  # 60 000 000 / 120 and / 90
    assert file.keys == [(0, 0, "minor"), (9 * 480, -3, "major")]
    assert not file.tracks[0].notes


def test_each_part_has_a_track_channel_and_program_and_drums_alone_have_channel_ten():
    parts = "".join(
        f'<score-part id="P{n}"><part-name>Player {n}</part-name><score-instrument id="P{n}-I1"><instrument-name>x'
        f'</instrument-name></score-instrument><midi-instrument id="P{n}-I1"><midi-program>{n}</midi-program>'
        "</midi-instrument></score-part>"
        for n in range(1, 12)
    )
    bar = "<measure number='1'><attributes><divisions>1</divisions></attributes><note>{}<duration>4</duration></note></measure>"
    pitch = "<pitch><step>C</step><octave>4</octave></pitch>"
    music = "".join(f'<part id="P{n}">{bar.format("<unpitched/>" if n == 3 else pitch)}</part>' for n in range(1, 12))
    piece = load_score(f"<score-partwise><part-list>{parts}</part-list>{music}</score-partwise>".encode())
    file = read_midi_file(write_midi(piece))
    channels = [track.notes[0].channel for track in file.tracks[1:]]
    assert channels == [0, 1, 9, 2, 3, 4, 5, 6, 7, 8, 10]
    assert [list(track.programs.values()) for track in file.tracks[1:4]] == [[0], [1], []]
    assert [track.name for track in file.tracks[1:3]] == ["Player 1", "Player 2"]


def test_grace_note_is_short_and_takes_its_time_from_the_note_after_it():
    notes = read_midi_file(write_midi(tune("{d}c2 e2|"))).tracks[1].notes
    (grace, main, other) = notes
    assert (grace.number, grace.start, main.number) == (74, 0, 72)
    assert 0 < grace.end == main.start <= 120
    assert (main.end, other.start) == (960, 960)


def test_transposing_part_sounds():
    piece = tune("c4|", "X:1\nM:4/4\nL:1/4\nV:1 transpose=-2\nK:C\n")
    assert [note.number for note in read_midi_file(write_midi(piece)).tracks[1].notes] == [70]


def test_same_pitch_struck_again_by_another_voice_ends_the_first():
    notes = read_midi_file(write_midi(tune("c4&z c3|"))).tracks[1].notes
    assert [(note.number, note.start, note.end) for note in notes] == [(72, 0, 480), (72, 480, 1920)]


@pytest.mark.parametrize(  # Standard MIDI Files 1.0, "some examples of numbers represented as variable-length quantities"
    ("number", "written"),
    [(0, "00"), (0x40, "40"), (0x7F, "7f"), (0x80, "8100"), (0x2000, "c000"), (0x3FFF, "ff7f"), (0x1FFFFF, "ffff7f")],
)
def test_variable_length_quantity(number, written):
    assert quantity(number).hex() == written


def test_nothing_that_sounds_and_notes_out_of_range_are_refused():
    with pytest.raises(ScoreError, match="has no notes that sound"):
        write_midi(tune("z4|"))
    with pytest.raises(ScoreError, match="note 'B9' is outside the 128 notes of MIDI"):
        write_midi(tune("b''''4|"))


@given(
    st.lists(
        st.lists(st.sampled_from(["C", "^F2", "G,", "z", "[CE]", "(3abc", "F-F", "_e3/2"]), min_size=1, max_size=5),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from([":|", "|", "||"]),
)
@settings(max_examples=60, deadline=None)
def test_any_tune_sounds_the_same(bars, end):
    piece = tune("C" + "|".join(" ".join(bar) for bar in bars) + end)
    again = load_score(write_midi(piece), cache=False)
    assert _sounds(again.joined_notes) == _sounds(piece.played().joined_notes)
