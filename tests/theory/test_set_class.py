"""Set classes of chords and scales against Forte's table and music21; laws of transposition, inversion, complement."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import chord as m21chord
from music21.chord import tables

from musictheory_nb.errors import PitchError, TheoryError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import scale_types
from musictheory_nb.theory.set_class import SetClass, interval_vector, normal_order, prime_form

PUBLISHED = Path(__file__).parents[1] / "published"
sets = st.sets(st.integers(0, 11), min_size=1)

#: Notes on C of each sonority of the published table. Spelled by hand; common practice.
NOTES = {
    "maj triad": "C E G",
    "min triad": "C Eb G",
    "dim triad": "C Eb Gb",
    "aug triad": "C E G#",
    "sus4 / sus2 / quartal trichord": "C F G",
    "maj7": "C E G B",
    "7": "C E G Bb",
    "min7 = maj6": "C Eb G Bb",
    "m7b5 = m6": "C Eb Gb Bb",
    "dim7": "C Eb Gb Bbb",
    "mMaj7": "C Eb G B",
    "maj7#5": "C E G# B",
    "7#5": "C E G# Bb",
    "7b5 = Fr+6": "C E Gb Bb",
    "maj7b5": "C E Gb B",
    "7sus4": "C F G Bb",
    "add9": "C E G D",
    "m(add9)": "C Eb G D",
    "6/9 = maj pentatonic": "C E G A D",
    "9": "C E G Bb D",
    "maj9": "C E G B D",
    "m9": "C Eb G Bb D",
    "7b9": "C E G Bb Db",
    "7#9": "C E G Bb D#",
    "7#9 no5 (all-interval)": "C E Bb D#",
    "13 no11": "C E G Bb D A",
    "m11": "C Eb G Bb D F",
    "mystic = 13#11 no5": "C E Bb D F# A",
}
SCALES = {
    "whole tone": "whole tone",
    "augmented hexatonic": "augmented",
    "blues": "minor blues",
    "diatonic": "major",
    "melodic minor": "melodic minor",
    "harmonic minor": "harmonic minor",
    "harmonic major": "harmonic major",
    "octatonic": "half-whole diminished",
}


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a published table, comment lines left out."""
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


@pytest.mark.parametrize("row", rows("set_classes.tsv"), ids=lambda row: row["sonority"])
def test_chord_or_scale_has_its_published_class(row):
    name = row["sonority"]
    notes = NOTES[name].split() if name in NOTES else Scale(f"C {SCALES[name]}").names
    found = SetClass.of(notes)
    assert found.text == row["prime_form"]
    assert f"<{''.join(map(str, found.interval_vector))}>" == row["interval_vector"]
    assert found.name.replace("Z", "") == row["forte"].rstrip("AB")  # A and B are music21's, Z is left out there


@pytest.mark.parametrize("size", range(1, 13))
def test_prime_form_and_vector_are_those_of_fortes_table(size):
    # The table as music21 10.5 holds it (Forte 1973, appendix 1); our own code computes the forms.
    table = [row for row in tables.FORTE[size] if row]
    for place, (form, vector, _, z) in enumerate(table, start=1):
        assert prime_form(form) == form
        assert interval_vector(form) == vector
        found = SetClass.of(form)
        assert found.name == f"{size}-{'Z' if z else ''}{place}"
        if 1 < size < 12 and z:
            assert [other.prime_form for other in found.same_intervals] == [table[z - 1][0]]
        elif 3 <= size <= 9:
            assert found.same_intervals == []


@pytest.mark.parametrize("kind", scale_types(), ids=lambda kind: kind.name)
def test_every_scale_of_the_catalogue_has_the_class_that_music21_gives(kind):
    theirs = m21chord.Chord(list(kind.semitones))
    found = SetClass.of(kind.semitones)
    assert list(found.prime_form) == theirs.primeForm
    assert found.name.replace("Z", "") == theirs.forteClass.replace("Z", "").rstrip("AB")


@settings(deadline=None)
@given(sets)
def test_any_set_agrees_with_music21(members):
    theirs = m21chord.Chord(sorted(members))
    assert list(prime_form(members)) == theirs.primeForm
    assert list(interval_vector(members)) == theirs.intervalVector
    assert int(SetClass.of(members).name.replace("Z", "").split("-")[1]) == theirs.forteClassNumber


def test_rahn_differs_from_forte_in_six_classes():
    # J. Rahn, Basic Atonal Theory (1980): the forms on which the two disagree (from memory).
    rahn = {
        "5-20": "01568",
        "6-Z29": "023679",
        "6-31": "014579",
        "7-Z18": "0145679",
        "7-20": "0125679",
        "8-26": "0134578A",
    }
    found = {}
    for size in range(1, 13):
        for row in tables.FORTE[size]:
            if row and (other := prime_form(row[0], convention="rahn")) != row[0]:
                found[SetClass.of(row[0]).name] = "".join("0123456789AB"[sound] for sound in other)
    assert found == rahn


@settings(deadline=None)
@given(sets, st.integers(0, 11))
def test_transposition_and_inversion_stay_in_the_class(members, distance):
    moved = {(sound + distance) % 12 for sound in members}
    turned = {(distance - sound) % 12 for sound in members}
    for convention in ("forte", "rahn"):
        form = prime_form(members, convention=convention)
        assert prime_form(moved, convention=convention) == form
        assert prime_form(turned, convention=convention) == form
        assert prime_form(form, convention=convention) == form
    assert SetClass.of(moved) == SetClass.of(turned) == SetClass.of(members)
    order, order_moved = normal_order(members), normal_order(moved)
    assert [(sound - order[0]) % 12 for sound in order] == [(sound - order_moved[0]) % 12 for sound in order_moved]


@settings(deadline=None)
@given(st.sets(st.integers(0, 11), min_size=1, max_size=11))
def test_complement_of_complement_and_its_vector(members):
    # Hexachord theorem and its generalisation: vectors differ by the difference of sizes, halved for the tritone.
    own = SetClass.of(members)
    assert own.complement.complement == own
    surplus = 12 - 2 * len(members)
    expected = [count + surplus for count in own.interval_vector]
    expected[5] = own.interval_vector[5] + surplus // 2
    assert list(own.complement.interval_vector) == expected


@settings(deadline=None)
@given(st.sampled_from(scale_types()), st.integers(1, 12))
def test_modes_and_tonics_of_a_scale_share_its_class(kind, tonic):
    sounds = [(tonic + semitone) % 12 for semitone in kind.semitones]
    assert SetClass.of(sounds) == SetClass.of(Scale.of("C", kind).parent.pitch_classes)


def test_members_may_be_texts_pitches_or_names():
    assert SetClass.of(["C4", "Eb", "G♯2"]) == SetClass.of([Pitch("C4"), Pitch("D#4").pitch_name, 8])


@pytest.mark.parametrize(
    ("members", "advice"), [([], "at least one note"), ([12], "from 0 to 11"), ([-1], "from 0 to 11")]
)
def test_impossible_set_is_refused(members, advice):
    with pytest.raises(TheoryError, match=advice):
        SetClass.of(members)


def test_unreadable_note_is_refused():
    with pytest.raises(PitchError, match="note 'X'"):
        SetClass.of(["X"])


@pytest.mark.parametrize("bad", ["3-13", "0-1", "4", "", "4-0", "x", None, 427])
def test_unknown_class_is_refused_with_what_there_is(bad):
    with pytest.raises(TheoryError, match="set class"):
        SetClass(bad)


def test_unknown_convention_is_refused():
    with pytest.raises(TheoryError, match="must be one of forte, rahn"):
        prime_form([0], convention="perle")
