"""Transpositions against orchestration handbooks, keys of parts against the trade, music21, and laws."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import instrument as reference

from musictheory_nb.errors import AmbiguousError, InstrumentError, MusicTheoryError
from musictheory_nb.instrument.instrument import RANGES, Instrument, instrument_names
from musictheory_nb.instrument.transposition import Transposition, read_transposition
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.practice.excerpt import CLEFS
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch, PitchName

PUBLISHED = Path(__file__).parents[1] / "published" / "transpositions.tsv"
names = st.sampled_from(instrument_names())
pitches = st.builds(Pitch.of, st.sampled_from("CDEFGAB"), st.integers(-1, 1), st.integers(1, 6))
WORDS = {
    "concert": "P1", "up P8": "P8", "up 15ma": "P15", "down P4": "-P4", "down P5": "-P5", "down M2": "-M2",
    "down m3": "-m3", "up m3": "m3", "up M2": "M2", "down M6": "-M6", "down M9": "-M9", "down M13 (P8+M6)": "-M13",
    "down P8": "-P8",
}  # fmt: skip


def published():
    with open(PUBLISHED, encoding="utf-8") as file:
        for row in csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"):
            for name in row["asked for"].split("; "):
                yield pytest.param(name, row["written C4 sounds"], WORDS[row["interval"]], id=name)


@pytest.mark.parametrize(("name", "sounds", "interval"), tuple(published()))
def test_written_c_sounds_as_in_the_handbooks(name, sounds, interval):
    instrument = Instrument(name)
    assert instrument.sounding("C4") == Pitch(sounds)
    assert instrument.written(sounds) == Pitch("C4")
    assert str(instrument.transposition) == interval


# The same instruments as a library for musicology holds them.
@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("piccolo", reference.Piccolo),
        ("clarinet in Bb", reference.Clarinet),
        ("bass clarinet", reference.BassClarinet),
        ("English horn", reference.EnglishHorn),
        ("horn in F", reference.Horn),
        ("trumpet in Bb", reference.Trumpet),
        ("soprano saxophone", reference.SopranoSaxophone),
        ("alto saxophone", reference.AltoSaxophone),
        ("tenor saxophone", reference.TenorSaxophone),
        ("baritone saxophone", reference.BaritoneSaxophone),
        ("double bass", reference.Contrabass),
        ("tenor banjo", reference.Banjo),
        ("oboe", reference.Oboe),
        ("cello", reference.Violoncello),
    ],
)
def test_transposition_agrees_with_music21(name, theirs):
    moved = theirs().transposition
    ours = Instrument(name).transposition.interval
    assert (ours.semitones, ours.steps) == ((moved.semitones, moved.generic.staffDistance) if moved else (0, 0))


# MusicXML 4.0, transpose: clarinet in B flat -1, -2; double bass octave-change -1; tenor saxophone -1, -2 and -1 octave.
@pytest.mark.parametrize(
    ("name", "numbers"),
    [
        ("clarinet in Bb", (-1, -2, 0)),
        ("double bass", (0, 0, -1)),
        ("tenor saxophone", (-1, -2, -1)),
        ("glockenspiel", (0, 0, 2)),
        ("violin", (0, 0, 0)),
    ],
)
def test_numbers_of_musicxml(name, numbers):
    assert tuple(Instrument(name).transposition.musicxml) == numbers


# Keys of parts as they are printed (common practice, no source): the enharmonic key where the signature would be large.
@pytest.mark.parametrize(
    ("name", "concert", "part"),
    [
        ("clarinet in Bb", "Bb major", "C major"),
        ("clarinet in Bb", "E major", "F# major"),
        ("clarinet in Bb", "B major", "Db major"),
        ("clarinet in Bb", "F# major", "Ab major"),
        ("clarinet in A", "Ab major", "B major"),
        ("clarinet in A", "Db major", "E major"),
        ("alto saxophone", "F major", "D major"),
        ("alto saxophone", "E major", "Db major"),
        ("alto saxophone", "G# minor", "F minor"),
        ("horn in F", "B major", "F# major"),
        ("horn in F", "F# major", "Db major"),
        ("trumpet in D", "Db major", "B major"),
        ("double bass", "C# major", "C# major"),
        ("violin", "Cb major", "Cb major"),
        ("clarinet in Bb", "D dorian", "E dorian"),
    ],
)
def test_key_of_a_part(name, concert, part):
    assert Instrument(name).transposition.written_key(concert) == Key(part)


@given(names, st.integers(-7, 7), st.sampled_from(["major", "minor"]))
def test_a_part_has_a_small_signature_and_sounds_in_the_key(name, fifths, mode):
    sounding = Key.of(PitchName.from_fifths(fifths + (3 if mode == "minor" else 0)), mode)
    moved = Instrument(name).transposition
    part = moved.written_key(sounding)
    assert abs(part.fifths) <= 6 or part == sounding
    below = moved.interval.semitones
    assert (part.tonic.pitch_class + below - sounding.tonic.pitch_class) % 12 == 0
    line = [Pitch.from_name(note, 4) for note in sounding.pitch_names]
    written = moved.written_line(line, sounding)
    assert [note.pitch_name for note in written] == list(part.pitch_names)
    assert [note.chromatic + below for note in written] == [note.chromatic for note in line]


@given(names, pitches)
def test_there_and_back_with_spelling_kept_is_the_same_pitch(name, pitch):
    instrument = Instrument(name)
    assert instrument.sounding(instrument.written(pitch, exact=True), exact=True) == pitch
    assert instrument.written(instrument.sounding(pitch, exact=True), exact=True) == pitch


@given(names, pitches)
def test_no_double_accidental_comes_in_and_the_sound_is_right(name, pitch):
    instrument = Instrument(name)
    by = instrument.transposition.interval.semitones
    for moved, semitones in ((instrument.sounding(pitch), by), (instrument.written(pitch), -by)):
        assert moved.chromatic == pitch.chromatic + semitones
        assert abs(moved.alter) <= 1


def test_a_double_accidental_of_the_composer_stays_where_it_can():
    # F double sharp in G sharp minor is the seventh degree: a whole step up it is the seventh degree of A sharp minor.
    assert Transposition("-M2").written("F##4", exact=True) == Pitch("G##4")
    assert Transposition("-M2").written("F##4") == Pitch("G##4")
    assert Transposition("-M2").written_line("G#4 F##4 G#4", "G# minor") == (Pitch("Bb4"), Pitch("A4"), Pitch("Bb4"))


def test_interval_or_transposition_alike():
    assert Transposition(Interval("-M2")) == Transposition("-M2") == Transposition(Transposition("-M2"))
    assert read_transposition("Bb3") == Transposition("-M2")
    assert repr(Transposition("-M2")) == "Transposition('-M2')"
    with pytest.raises(InstrumentError, match="written C4 sounds 'Ebb4'"):
        read_transposition("Ebb4")


@pytest.mark.parametrize("name", instrument_names())
def test_row_of_the_table_is_whole(name):
    instrument = Instrument(name)
    assert set(instrument.clefs) <= set(CLEFS)
    full, easy = instrument.range(), instrument.range("easy")
    assert full.low < full.high
    assert full.holds(easy.low)
    assert full.holds(easy.high)
    assert repr(instrument) == f"Instrument({name!r})"
    assert Instrument(instrument) == instrument
    assert instrument.has_strings == (instrument.family in ("strings", "plucked") and name != "harp")


@pytest.mark.parametrize("name", [name for name in instrument_names() if Instrument(name).has_strings])
def test_lowest_note_is_the_lowest_open_string_and_the_highest_lies_on_the_fingerboard(name):
    instrument = Instrument(name)
    sounding = instrument.range(sounding=True)
    assert sounding.low.chromatic == instrument.tuning.lowest.chromatic
    assert instrument.tuning.places(sounding.high)
    if instrument.tuning.fretted:
        assert sounding.high.chromatic == instrument.tuning.highest_chromatic


# Lowest written notes as music21 holds them, where the instruments are alike.
@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("flute", reference.Flute),
        ("piccolo", reference.Piccolo),
        ("clarinet in Bb", reference.Clarinet),
        ("oboe", reference.Oboe),
        ("English horn", reference.EnglishHorn),
        ("bassoon", reference.Bassoon),
        ("soprano saxophone", reference.SopranoSaxophone),
        ("alto saxophone", reference.AltoSaxophone),
        ("tenor saxophone", reference.TenorSaxophone),
        ("trumpet in Bb", reference.Trumpet),
        ("trombone", reference.Trombone),
        ("tuba", reference.Tuba),
        ("violin", reference.Violin),
        ("viola", reference.Viola),
        ("cello", reference.Violoncello),
        ("double bass", reference.Contrabass),
    ],
)
def test_lowest_written_note_agrees_with_music21(name, theirs):
    assert Instrument(name).range().low.midi == theirs().lowestNote.midi


# The same as an orchestra library's table of ranges has them ("Ranges of Orchestral Instruments", orchestralibrary.com).
@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("alto flute", "C4", "C7"),
        ("clarinet in Bb", "E3", "C7"),
        ("clarinet in A", "E3", "C7"),
        ("bass clarinet", "Eb3", "G6"),
    ],
)
def test_range_of_a_published_table(name, low, high):
    assert tuple(Instrument(name).range()) == (Pitch(low), Pitch(high))


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("B♭ clarinet", "clarinet in Bb"),
        ("Clarinet in B flat", "clarinet in Bb"),
        ("clarinet in B-flat", "clarinet in Bb"),
        ("cor anglais", "English horn"),
        ("French Horn", "horn in F"),
        ("  upright   bass ", "double bass"),
        ("alto sax", "alto saxophone"),
        ("Eb alto sax", "alto saxophone"),
        ("B♭ trumpet", "trumpet in Bb"),
        ("Tenor Saxophone in B♭", "tenor saxophone"),
        ("five-string bass guitar", "5-string bass guitar"),
    ],
)
def test_name_is_read_as_musicians_write_it(written, name):
    assert Instrument(written).name == name


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("saxophone", {"soprano saxophone", "alto saxophone", "tenor saxophone", "baritone saxophone"}),
        ("bass", {"bass guitar", "double bass", "bass voice", "bass clarinet"}),
        ("banjo", {"tenor banjo", "5-string banjo"}),
    ],
)
def test_word_that_several_bear_is_refused_with_its_readings(text, readings):
    with pytest.raises(AmbiguousError) as caught:
        Instrument(text)
    assert readings <= set(caught.value.readings)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "known are"),
        ("kazzoo", "known are"),
        ("fluet", "did you mean 'flute'"),
        (4, "write a name"),
        (None, "write a name"),
    ],
)
def test_what_is_no_instrument_is_refused(text, says):
    with pytest.raises(InstrumentError, match=f"instrument {text!r}: .*{says}"):
        Instrument(text)


def test_ranges_are_those_of_the_table():
    for which in RANGES:
        Instrument("oboe").range(which)
    with pytest.raises(InstrumentError, match="which 'wide': must be one of 'full', 'easy'"):
        Instrument("oboe").range("wide")


def test_notes_out_of_range_are_named_with_the_reason():
    found = Instrument("double bass").out_of_range(["D2", "E2", "A5"])
    assert [(note.index, str(note.pitch)) for note in found] == [(0, "D2"), (2, "A5")]
    assert "below E2, the lowest written note" in found[0].why
    assert "above G5, the highest written note" in found[1].why
    assert [note.index for note in Instrument("double bass").out_of_range("E2 G4", "easy")] == [1]
    with pytest.raises(MusicTheoryError):
        Instrument("double bass").out_of_range("E2 H2")


def test_instrument_without_strings_has_no_tuning():
    with pytest.raises(InstrumentError, match="instrument 'piano': has no strings"):
        _ = Instrument("piano").tuning
    assert Instrument("5-string bass guitar").tuning == Tuning("5-string bass guitar")
