"""Which scales notes belong to: textbook sets, music21's counts, laws, refusals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import pitch as m21pitch
from music21 import scale as m21scale

from musictheory_nb.errors import AmbiguousError, PitchError, ScaleError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import scale_types
from musictheory_nb.theory.scale_identification import identify_scale

SPELLED = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
sounds = st.lists(st.integers(0, 11), min_size=1, max_size=9, unique=True)


# Whole scales, written out: common practice.
@pytest.mark.parametrize(
    ("notes", "name"),
    [
        ("C D E F G A B", "C Ionian"),
        ("D4 E4 F4 G4 A4 B4 C5 D5", "D Dorian"),
        ("E F G A B C D", "E Phrygian"),
        ("F G A B C D E", "F Lydian"),
        ("G A B C D E F", "G Mixolydian"),
        ("A B C D E F G", "A Aeolian"),
        ("B C D E F G A", "B Locrian"),
        ("A B C D E F G#", "A harmonic minor"),
        ("A B C D E F# G#", "A melodic minor"),
        ("C Db Eb Fb Gb Ab Bb", "C altered"),
        ("C Db D# E F# Ab Bb", "C altered"),
        ("C D E F# G A Bb", "C Lydian dominant"),
        ("E F G# A B C D", "E Phrygian dominant"),
        ("C D E F# G# Bb", "C whole tone"),
        ("C Db D# E F# G A Bb", "C half-whole diminished"),
        ("C D Eb F Gb Ab A B", "C whole-half diminished"),
        ("A C D E G", "A minor pentatonic"),
        ("C D E G A", "C major pentatonic"),
        ("C Eb F Gb G Bb", "C minor blues"),
        ("C D E F G A Bb B", "C bebop dominant"),
        ("C Db E F G Ab B", "C double harmonic"),
        ("Bb C D Eb F G A", "Bb Ionian"),
        ("F# G# A# B C# D# E#", "F# Ionian"),
    ],
)
def test_scale_written_out_is_named_from_its_first_note(notes, name):
    first = identify_scale(notes.split())[0]
    assert (first.scale, first.missing, first.extra) == (Scale(name), [], [])
    assert first.scale.tonic.name == name.split()[0]


# What a teacher says first of a few notes of a scale (common practice, no source).
@pytest.mark.parametrize(
    ("notes", "names"),
    [
        ("C D E", {"C Ionian", "C major pentatonic"}),
        ("C E G", {"C Ionian", "C major pentatonic"}),
        ("F G A B", {"F Lydian"}),
        ("E F G", {"E Phrygian"}),
        ("A B C D E F", {"A Aeolian"}),
        ("A Bb C D", {"A Phrygian"}),
        ("G A B C D E F#", {"G Ionian"}),
        ("C D E F# G A", {"C Lydian"}),
    ],
)
def test_few_notes_are_first_heard_in_a_scale_of_the_first_course(notes, names):
    assert identify_scale(notes)[0].scale.name in names


def test_every_mode_of_the_same_notes_is_listed_behind_the_first():
    found = identify_scale(["D", "E", "F", "G", "A", "B", "C"])
    assert {one.scale.name for one in found[:7]} == {
        "D Dorian", "E Phrygian", "F Lydian", "G Mixolydian", "A Aeolian", "B Locrian", "C Ionian",
    }  # fmt: skip
    assert all(not one.missing and not one.extra for one in found[:7])


def test_missing_and_extra_notes_are_named():
    found = identify_scale(["C4", "Db4", "E4"])
    assert found[0].scale == Scale("C Phrygian dominant")
    assert (found[0].missing, found[0].extra) == (["F", "G", "Ab", "Bb"], [])
    (only,) = identify_scale(["C", "D", "E", "F", "F#", "G", "A", "B"], tonic="C", kinds=["major"])
    assert (only.missing, only.extra) == ([], ["F#"])
    assert only.reason == "C Ionian holds all but F♯; its tonic, C, is the first note."


def test_tonic_and_kinds_narrow_the_choice():
    notes = ["C", "D", "E", "F", "G", "A", "B"]
    assert [one.scale.name for one in identify_scale(notes, tonic="A", kinds=["natural minor", "Dorian"])] == [
        "A Aeolian",
        "A Dorian",
    ]
    assert all(one.scale.tonic == PitchName("Gb") for one in identify_scale(notes, tonic="Gb"))


def test_spelling_of_the_notes_chooses_the_spelling_of_the_tonic():
    assert identify_scale(["Db", "Eb", "F", "Gb", "Ab", "Bb", "C"])[0].scale.name == "Db Ionian"
    assert identify_scale(["C#", "D#", "E#", "F#", "G#", "A#", "B#"])[0].scale.name == "C# Ionian"


@settings(deadline=None)
@given(st.sampled_from(scale_types()), st.integers(-6, 6))
def test_every_scale_of_the_catalogue_finds_itself_first(kind, place):
    scale = Scale.of(PitchName.from_fifths(place), kind)
    first = identify_scale(scale.names)[0]
    assert (first.missing, first.extra) == ([], [])
    assert first.scale.tonic == scale.tonic
    assert first.scale.type.mask == kind.mask


@settings(deadline=None)
@given(sounds, st.integers(-5, 5))
def test_ranking_moves_with_the_notes(members, distance):
    names = [PitchName.from_fifths(sound * 7 % 12 - 5) for sound in members]
    moved = [PitchName.from_fifths(name.fifths + distance) for name in names]
    here, there = identify_scale(names, limit=1)[0], identify_scale(moved, limit=1)[0]
    assert here.scale.type == there.scale.type
    assert here.scale.tonic.fifths + distance == there.scale.tonic.fifths
    assert (len(here.missing), len(here.extra)) == (len(there.missing), len(there.extra))


@settings(deadline=None)
@given(sounds, st.integers(1, 30))
def test_missing_and_extra_follow_from_the_sets(members, limit):
    notes = [Pitch(f"{SPELLED[sound]}4") for sound in members]
    found = identify_scale(notes, limit=limit)
    assert len(found) == limit
    assert len({one.scale for one in found}) == limit
    for one in found:
        own = set(one.scale.pitch_classes)
        assert {PitchName(name).pitch_class for name in one.missing} == own - set(members)
        assert {PitchName(name).pitch_class for name in one.extra} == set(members) - own
        assert one.reason.endswith(".")


@settings(deadline=None)
@given(sounds)
def test_order_and_doubling_behind_the_first_note_do_not_matter(members):
    names = [SPELLED[sound] for sound in members]
    other = [names[0], *reversed(names[1:]), *names]
    assert [one.scale for one in identify_scale(names)] == [one.scale for one in identify_scale(other)]


@settings(deadline=None, max_examples=40)
@given(sounds)
def test_best_major_scale_holds_as_many_notes_as_music21_finds(members):
    theirs = m21scale.MajorScale("C").deriveRanked([m21pitch.Pitch(sound) for sound in members], resultsReturned=12)
    ours = identify_scale([SPELLED[sound] for sound in members], kinds=["major"], limit=12)
    counts = [len(members) - len(one.extra) for one in ours]
    assert counts[0] == theirs[0][0]
    by_tonic = {one.scale.tonic.pitch_class: count for one, count in zip(ours, counts, strict=True)}
    for count, scale in theirs:
        assert by_tonic[scale.tonic.pitchClass] == count


def test_pitches_names_and_texts_are_read_alike():
    texts = identify_scale(["C4", "E4", "G#4"])
    assert texts == identify_scale([Pitch("C2"), PitchName("E"), "G♯"])


def test_melodic_minor_is_listed_once():
    found = identify_scale(["A", "B", "C", "D", "E", "F#", "G#"], limit=40)
    assert (
        sum(one.scale.tonic == PitchName("A") and one.scale.type.semitones == (0, 2, 3, 5, 7, 9, 11) for one in found)
        == 1
    )


def test_what_cannot_be_ranked_is_refused():
    with pytest.raises(ScaleError, match="at least one note"):
        identify_scale([])
    with pytest.raises(ScaleError, match="name at least one"):
        identify_scale(["C"], kinds=[])
    with pytest.raises(ScaleError, match="limit 0"):
        identify_scale(["C"], limit=0)
    with pytest.raises(PitchError, match="note 'X'"):
        identify_scale(["X"])
    with pytest.raises(AmbiguousError):
        identify_scale(["C"], kinds=["diminished"])
