"""Chords named from notes: cases with the right names beside them, taught voicings, and laws."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import ChordError, PitchError, PitchRangeError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_naming import name_chord
from musictheory_nb.theory.chord_template import QUALITY_COSTS
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

PUBLISHED = Path(__file__).parents[1] / "published"


def cases():
    with open(PUBLISHED / "chord_cases.tsv", encoding="utf-8") as file:
        read = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        return {row["id"]: row for row in read if row["kind"] == "C"}


CASES = cases()


def symbols(notes, **context):
    return [reading.chord.symbol for reading in name_chord(notes, **context)]


#: Case, notes, best name; the right value stands in chord_cases.tsv beside the id.
BEST = [
    ("C01", "A C E G", "Am7"),
    ("C01", "C E G A", "C6"),
    ("C03", "C D G", "Csus2"),
    ("C03", "G C D", "Gsus4"),
    ("C03", "C F G", "Csus4"),
    ("C05", "C E Gb", "C(b5)"),
    ("C07", "C Eb Gb A", "Cdim7"),
    ("C09", "C D E G", "Cadd9"),
    ("C11", "Ab C Eb Gb", "Ab7"),
    ("C11", "C E Gb Bb", "C7b5"),
]


@pytest.mark.parametrize(("case", "notes", "symbol"), BEST)
def test_case_is_named_right(case, notes, symbol):
    assert notes in CASES[case]["input"] or notes in CASES[case]["right_value"]
    assert symbols(notes.split())[0] == symbol


def test_other_names_of_the_cases_are_listed():
    assert "Am7/C" in CASES["C01"]["right_value"]
    assert "Am7/C" in symbols(["C", "E", "G", "A"])[:2]
    assert "Adim7/C" in CASES["C07"]["right_value"]
    assert symbols(["C", "Eb", "Gb", "A"])[1] == "Adim7/C"
    roots = {reading.chord.root.pitch_class for reading in name_chord(["C", "Eb", "Gb", "A"])}
    assert {0, 3, 6, 9} <= roots  # all four roots possible


@pytest.mark.parametrize("context", [{}, {"key": "C"}, {"key": "C minor"}, {"next_chord": "G"}])
def test_german_sixth_is_told_by_spelling(context):
    assert "German sixth" in CASES["C11"]["right_value"]
    first = name_chord(["Ab", "C", "Eb", "F#"], **context)[0]
    assert {tone.name for tone in first.chord.tones} == {"Ab", "C", "Eb", "F#"}
    assert "German augmented sixth" in first.reason
    assert first.chord.musicxml_kind == "German"


#: Voicings as they are taught, bass first: notes, best name (common practice, no source).
TAUGHT = [
    ("C E G", "C"),
    ("E G C", "C/E"),
    ("G C E", "C/G"),
    ("C Eb G", "Cm"),
    ("C Eb Gb", "Cdim"),
    ("C E G#", "Caug"),
    ("C G", "C5"),
    ("C E Bb", "C7"),
    ("C E B", "Cmaj7"),
    ("C Eb Bb", "Cm7"),
    ("C E Bb A", "C13"),
    ("C E Bb D A", "C13"),
    ("C E G Bb D", "C9"),
    ("C Bb E Ab Db", "C7(#5,b9)"),
    ("G B F Ab Bb C# Eb", "G7alt"),
    ("C E G B F#", "Cmaj7#11"),
    ("C E G A D", "C6/9"),
    ("C Eb G B", "Cm(maj7)"),
    ("C Eb G A", "Cm6"),
    ("B D F A", "Bm7b5"),
    ("B D F Ab", "Bdim7"),
    ("B D F G", "G7/B"),
    ("F G B D", "G7/F"),
    ("D A C E G", "D9sus4"),
    ("C F G Bb Db", "C7sus4(b9)"),
    ("C F Bb D", "C9sus4"),
    ("D F A C E G B", "Dm13"),
    ("D# G Bb", "Eb"),
    ("C D# G", "Cm"),
    ("C E G Bb Eb", "C7#9"),
    ("F B D# G#", "FTristan"),
    ("Ab C F#", "AbIt+6"),
    ("Ab C D F#", "AbFr+6"),
    ("D F# Ab C", "D7b5"),
    ("F# Ab C Eb", "AbGer+6/F#"),
    ("Db F Ab B", "DbGer+6"),
]


@pytest.mark.parametrize(("notes", "symbol"), TAUGHT)
def test_taught_voicing_is_named_as_taught(notes, symbol):
    assert symbols(notes.split())[0] == symbol


#: Notes, context, best name (common practice, no source).
IN_CONTEXT = [
    ("B D F A", {"bass": "G"}, "G9"),
    ("E Bb D A", {"bass": "C"}, "C13"),
    ("E3 G3 Bb3 D4", {"bass": "C2"}, "C9"),
    ("C E G A", {"next_chord": "D7"}, "Am7/C"),
    ("C Eb Gb A", {"next_chord": "Bb"}, "Adim7/C"),
    ("C Eb Gb A", {"next_chord": "Db"}, "Cdim7"),
    ("Ab C Eb Gb", {"next_chord": "Db"}, "Ab7"),
    ("E3 Bb3 D4 A4", {"key": "F", "next_chord": "F"}, "C13"),
]


@pytest.mark.parametrize(("notes", "context", "symbol"), IN_CONTEXT)
def test_context_decides(notes, context, symbol):
    assert symbols(notes.split(), **context)[0] == symbol


def test_unspelled_german_sixth_is_named_where_it_opens():
    ab7 = [56, 60, 63, 66]  # MIDI numbers carry no spelling
    assert symbols(ab7)[0] == "Ab7"
    assert symbols(ab7, next_chord="C/G")[0] == "AbGer+6"
    assert not any("+6" in symbol for symbol in symbols(ab7))


def test_rootless_voicing_says_that_its_root_is_missing():
    readings = {reading.chord.symbol: reading for reading in name_chord(["E3", "Bb3", "D4", "A4"])}
    assert "C" in readings["C13"].missing
    assert readings["C13"].is_rootless
    assert "bass player" in readings["C13"].reason
    assert "G9" in symbols(["B", "D", "F", "A"])


def test_what_is_respelled_is_said():
    reading = name_chord(["C", "Eb", "Gb", "A"])[0]
    assert reading.respelled == [("A", "Bbb")]
    assert "A read as Bbb" in reading.reason


NOTES = st.lists(
    st.builds(
        Pitch.of,
        st.sampled_from("CDEFGAB"),
        st.integers(-1, 1),
        st.integers(3, 5),
    ),
    min_size=1,
    max_size=7,
)


@given(NOTES)
def test_every_name_reads_back_to_the_notes_or_says_what_differs(notes):
    sounding = {pitch.pitch_class for pitch in notes}
    readings = name_chord(notes)
    assert readings
    for reading in readings:
        chord = Chord(reading.chord.symbol)
        missing = {PitchName(name).pitch_class for name in reading.missing}
        extra = {PitchName(name).pitch_class for name in reading.extra}
        assert chord.pitch_classes == (sounding - extra) | missing
        assert not missing & sounding
        lowest = min(notes).pitch_class
        assert chord.bass.pitch_class == lowest or reading.is_rootless
        assert reading.reason
        assert 0 <= reading.score <= 1
    assert [r.score for r in readings] == sorted((r.score for r in readings), reverse=True)


@given(NOTES, st.randoms(use_true_random=False))
def test_order_and_doubling_above_the_bass_do_not_matter(notes, random):
    lowest = min(notes)
    doubled = notes + [Pitch.of(pitch.step, pitch.alter, pitch.octave + 1) for pitch in notes]
    random.shuffle(doubled)
    doubled = [lowest, *doubled]  # of two spellings of one lowest sound, the first given counts
    assert name_chord([lowest, *notes]) == name_chord(doubled)
    names = [lowest.pitch_name, *(pitch.pitch_name for pitch in doubled)]
    assert name_chord(names) == name_chord([lowest, *notes])


@given(st.sampled_from(sorted(QUALITY_COSTS)), st.sampled_from(["C", "D", "Eb", "F#", "G", "Ab", "A", "B"]))
def test_complete_chord_in_root_position_finds_its_own_name_among_the_first(suffix, root):
    chord = Chord(root + suffix)
    assert chord in [reading.chord for reading in name_chord(chord.pitches(3, complete=True))[:3]]


@given(
    st.sampled_from(["Am7", "G7/B", "Csus4", "Fmaj7", "Bm7b5", "D9", "Em", "C6", "E7#9"]),
    st.sampled_from(["m2", "M2", "m3", "M3", "P4", "-m2"]),
)
def test_names_move_with_the_notes(symbol, interval):
    chord = Chord(symbol)
    notes = chord.pitches(3)
    first = name_chord(notes)[0].chord
    assert name_chord([pitch.up(interval) for pitch in notes])[0].chord == first.up(interval)


@pytest.mark.parametrize(
    ("notes", "error", "message"),
    [
        ([], ChordError, "at least one note"),
        (["C4", "E"], ChordError, "an octave number, or none"),
        (["C4", "H4"], PitchError, "note 'H4'"),
        ([60, 200], PitchRangeError, "note 200"),
        ([60.5], ChordError, "note 60.5"),
        ([True], ChordError, "note True"),
    ],
)
def test_what_are_no_notes_is_refused(notes, error, message):
    with pytest.raises(error, match=message):
        name_chord(notes)
