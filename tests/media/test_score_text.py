"""Notation in words: sentences that a musician would say, written out by hand (common practice, no source)."""

from fractions import Fraction as F

import pytest

from musictheory_nb.errors import MediaError, TheoryError
from musictheory_nb.media.score_text import describe, spoken_duration, spoken_key, spoken_pitch
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.theory.pitch import Pitch


def test_the_example_of_the_design():
    assert describe(Excerpt.melody(["B3", "F4"])) == (
        "Treble clef. Measure 1, 2/4, no sharps or flats: quarter B3, quarter F4."
    )


def test_a_chord_with_its_symbol(music):
    assert describe(music["chord"]) == (
        "Treble clef. Measure 1, 4/4, no sharps or flats; G 7 altered on beat 1: "
        "whole chord G3 F4 B4 E-flat 5 A-flat 5."
    )


def test_repeats_endings_marks_and_changes(music):
    assert describe(music["endings"]) == (
        "Violin, treble clef. "
        "Pickup measure, 3/4, one sharp: quarter D4. "
        "Measure 1, rehearsal mark A, repeat begins: quarter G4, quarter F5, quarter F-sharp 5. "
        "Measure 2, first ending: half E5, quarter D4; repeat ends. "
        "Measure 3, second ending: dotted half G4; double barline. "
        "Measure 4, key signature three flats, rehearsal mark Trio: eighth E-flat 5, eighth D5, eighth C5, "
        "eighth B-flat 4, eighth A4, eighth A-flat 4. "
        "Measure 5, time signature 2/4, key signature no sharps or flats: half C5."
    )


def test_two_staves_ties_and_rests(music):
    assert describe(music["rag"], first=1, last=2) == (
        "Piano, upper staff, treble clef; Piano, lower staff, bass clef. "
        "Measure 2, 2/4, four flats: "
        "Piano, upper staff: sixteenth A-flat 5, tied over, sixteenth B-flat 5, sixteenth C6, sixteenth A-flat 4, "
        "sixteenth A4, eighth B-flat 4, sixteenth E-flat 5, tied on. "
        "Piano, lower staff: eighth A-flat 2, eighth chord C4 E-flat 4, eighth G2, eighth chord D-flat 4 E-flat 4. "
        "Measure 3: "
        "Piano, upper staff: eighth E-flat 5, tied over, eighth D-flat 5, quarter C5. "
        "Piano, lower staff: quarter chord A-flat 1 A-flat 2, quarter rest."
    )


def test_players_of_one_name_are_numbered():
    parts = (ExcerptPart("Violin"), ExcerptPart("Violin"), ExcerptPart("Viola", "alto"))
    told = describe(Excerpt(parts, (ExcerptMeasure("1", F(4)),), ()))
    assert told.startswith("Violin 1, treble clef; Violin 2, treble clef; Viola, alto clef. ")


def test_voices_and_silent_parts(music):
    told = describe(music["voices"])
    assert (
        "voice 1: quarter A5, quarter G5, quarter F5, quarter E5; voice 2: half C5, quarter B-flat 4, quarter B4."
        in told
    )
    assert "Double bass: measure rest." in describe(music["band"])
    assert "Double bass: bar rest." in describe(music["band"], words="british")


def test_grace_notes_transposing_parts_and_their_keys(music):
    told = describe(music["band"])
    assert "grace note C-sharp 4, quarter D4" in told
    assert "grace note G4, grace note A4, eighth B-flat 4" in told
    assert "Double bass, bass clef, sounding a perfect octave lower; " in told
    assert "Clarinet in B♭, treble clef, sounding a major second lower. " in told
    # the words tell what the staves show: the clarinet reads in no sharps or flats where the music sounds in two flats
    assert "Measure 1, 4/4, two flats (Clarinet in B♭: no sharps or flats), rehearsal mark Intro" in told
    assert "Measure 1, 4/4, no sharps or flats, rehearsal mark Intro" in describe(music["band"], parts=[2])


def test_tuplets_and_long_notes(music):
    told = describe(music["triplets"])
    assert "triplet eighth C5, triplet eighth D5, triplet eighth E5, triplet quarter F5, triplet eighth G5" in told
    assert "quintuplet sixteenth D5" in told
    assert "half tied to eighth C5" in told


@pytest.mark.parametrize(
    ("pitch", "spoken"),
    [
        ("C4", "C4"),
        ("Bb3", "B-flat 3"),
        ("F##5", "F-double-sharp 5"),
        ("Ebb4", "E-double-flat 4"),
        ("Cb-1", "C-flat -1"),
    ],
)
def test_pitches(pitch, spoken):
    assert spoken_pitch(Pitch(pitch)) == spoken


@pytest.mark.parametrize(
    ("fifths", "spoken"),
    [(0, "no sharps or flats"), (1, "one sharp"), (-1, "one flat"), (4, "four sharps"), (-7, "seven flats")],
)
def test_keys(fifths, spoken):
    assert spoken_key(fifths) == spoken


@pytest.mark.parametrize(
    ("quarters", "american", "british"),
    [
        (4, "whole", "semibreve"),
        (F(3, 2), "dotted quarter", "dotted crotchet"),
        (F(7, 4), "double-dotted quarter", "double-dotted crotchet"),
        (F(1, 8), "thirty-second", "demisemiquaver"),
        (F(2, 3), "triplet quarter", "triplet crotchet"),
        (F(5, 2), "half tied to eighth", "minim tied to quaver"),
        (F(9, 4), "half tied to sixteenth", "minim tied to semiquaver"),
    ],
)
def test_values_in_both_vocabularies(quarters, american, british):
    assert spoken_duration(F(quarters)) == american
    assert spoken_duration(F(quarters), "british") == british


def test_marked_notes_are_named():
    two = Excerpt.melody(["B3", "F4"])
    assert describe(two, marked=[1]).endswith("quarter B3, quarter F4 (marked).")


def test_beats_of_chord_symbols():
    part, measure = ExcerptPart(""), ExcerptMeasure("1", F(3), "6/8")
    chords = (ExcerptChord(0, F(0), "F"), ExcerptChord(0, F(3, 2), "C7"), ExcerptChord(0, F(7, 4), "N.C."))
    note = ExcerptNote(0, 0, F(0), F(3), ("F4",))
    assert describe(Excerpt((part,), (measure,), (note,), chords)) == (
        "Treble clef. Measure 1, 6/8, no sharps or flats; F on beat 1, C 7 on beat 4, no chord on beat 4 and 1/2: "
        "dotted half F4."
    )


def test_everything_is_told(written):
    """The words hold every pitch as often as the notation shows it."""
    told = describe(written)
    for note in written.notes:
        for pitch in note.pitches:
            assert spoken_pitch(Pitch(pitch)) in told
    spoken = sum(told.count(f"{step}{octave}") for step in "ABCDEFG" for octave in range(10))
    plain = sum(Pitch(pitch).alter == 0 for note in written.notes for pitch in note.pitches)
    assert spoken == plain


def test_words_and_measures_that_do_not_exist():
    with pytest.raises(TheoryError, match="'welsh'"):
        describe(Excerpt.melody(["B3"]), words="welsh")
    with pytest.raises(MediaError, match="measures 3 to 0"):
        describe(Excerpt.melody(["B3"]), first=3)
