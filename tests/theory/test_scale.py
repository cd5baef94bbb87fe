"""Scales: notes, degrees, names, parents and modes against published tables and music21; laws; refusals."""

import csv
import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import scale as m21scale

from musictheory_nb.errors import AmbiguousError, PitchError, ScaleError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale, by_brightness
from musictheory_nb.theory.scale_catalogue import ScaleType, mode_of, scale_type, scale_types
from musictheory_nb.theory.scale_degree import degree_fifths, degree_semitones, read_degree, simple_degree
from musictheory_nb.theory.scale_name import AMBIGUOUS, read_scale_name

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a published table, comment lines left out."""
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


MODES = rows("scale_modes.tsv")
OTHERS = rows("scale_symmetric_and_others.tsv")
STEPS = rows("scale_steps.tsv")
#: Tonics in use, and the far ones that still can be spelled in every scale of the catalogue.
TONICS = [PitchName.from_fifths(place).name for place in range(-9, 14)]
PARENTS = {"Major": "major"}

catalogued = st.sampled_from(scale_types())
tonics = st.sampled_from(TONICS)


def simple_degrees(text: str) -> list[str]:
    """Degrees of a published cell, 9, 11 and 13 as 2, 4 and 6."""
    return [simple_degree(degree) for degree in text.split(" (")[0].split()]


def test_published_tables_are_there():
    assert (len(MODES), len(OTHERS)) == (28, 13)  # four parents of seven modes; thirteen other scales
    assert len(STEPS) > 40


@pytest.mark.parametrize("row", MODES, ids=lambda row: row["name"])
def test_mode_has_its_published_steps_degrees_parent_and_number(row):
    scale = Scale(f"C {row['name']}")
    assert scale.degrees == row["degrees"].split()
    assert scale.steps == [int(step) for step in row["steps"].split("-")]
    parent = PARENTS.get(row["parent"], row["parent"])
    assert scale.mode_number == int(row["mode"])
    assert scale.parent.type == Scale(f"C {parent}").type
    assert scale.parent.modes[int(row["mode"]) - 1] == scale


@pytest.mark.parametrize("row", [row for row in MODES if row["alternates"]], ids=lambda row: row["name"])
def test_published_other_names_read_as_the_same_scale(row):
    for name in row["alternates"].split("; "):
        assert Scale(f"C {name}").names == Scale(f"C {row['name']}").names, name


@pytest.mark.parametrize("row", OTHERS, ids=lambda row: row["name"])
def test_other_scale_has_its_published_steps_degrees_and_transpositions(row):
    for name in row["name"].split(" (")[0].split(" / "):
        scale = Scale(f"C {name}")
        steps = ["1"] * 12 if row["steps"] == "1 x 12" else row["steps"].split("-")
        assert scale.steps == [int(step) for step in steps]
        if row["degrees_on_C"]:  # the chromatic row has none
            published = simple_degrees(row["degrees_on_C"])
            assert [degree_semitones(d) for d in scale.degrees] == [degree_semitones(d) for d in published]
            letters = [read_degree(d)[0] for d in scale.degrees]
            assert letters == [read_degree(d)[0] for d in published]
        sets = {frozenset(Scale(f"{tonic} {name}").pitch_classes) for tonic in TONICS}
        assert len(sets) == int(row["transpositions"])


@pytest.mark.parametrize("row", STEPS, ids=lambda row: row["name"])
def test_further_scale_has_its_published_steps(row):
    assert Scale(f"C {row['name']}").steps == [int(step) for step in row["steps"].split()]


# D01 and D03 of tests/published/scale_cases.tsv
@pytest.mark.parametrize(
    ("text", "down"),
    [
        ("C melodic minor", "C Bb Ab G F Eb D C"),
        ("C classical melodic minor", "C Bb Ab G F Eb D C"),
        ("C melodic minor (classical)", "C Bb Ab G F Eb D C"),
        ("C jazz minor", "C B A G F Eb D C"),
        ("C melodic minor (jazz)", "C B A G F Eb D C"),
    ],
)
def test_classical_and_jazz_melodic_minor_differ_on_the_way_down(text, down):
    case = next(row for row in rows("scale_cases.tsv") if row["id"] == "D01")
    assert down in case["right_value"]
    scale = Scale(text)
    assert [*scale.descending_names, scale.tonic.name] == down.split()
    assert [pitch.pitch_name.name for pitch in scale.pitches(4, descending=True)] == down.split()
    assert scale.names == ["C", "D", "Eb", "F", "G", "A", "B"]


def test_altered_scale_in_both_spellings():
    case = next(row for row in rows("scale_cases.tsv") if row["id"] == "D03")
    letters, chord_tones = case["right_value"].split(" (")[0], case["right_value"].split("chord-tone spelling ")[1]
    assert Scale("C altered").names == letters.split()
    choices = [set(note.split("/")) for note in chord_tones.split(" accepted")[0].split()]
    spelled = Scale("C altered", spelled_as_chord_tones=True)
    assert all(note in allowed for note, allowed in zip(spelled.names, choices, strict=True))
    assert spelled.degrees == ["1", "b9", "#9", "3", "#11", "b13", "b7"]  # as section 4 of the collection respells it
    assert Scale("C altered").parent.name == "Db melodic minor"
    assert Scale("C altered").mode_number == 7


# Spelled notes: common practice, no source.
@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("C Lydian dominant", "C D E F# G A Bb"),
        ("F# half-whole diminished", "F# G G## A# B# C# D# E"),
        ("C half-whole diminished", "C Db D# E F# G A Bb"),
        ("Bb bebop dominant", "Bb C D Eb F G Ab A"),
        ("A melodic minor", "A B C D E F# G#"),
        ("Eb Dorian", "Eb F Gb Ab Bb C Db"),
        ("G altered", "G Ab Bb Cb Db Eb F"),
        ("D# Locrian", "D# E F# G# A B C#"),
        ("Db whole tone", "Db Eb F G A Cb"),
        ("E Phrygian dominant", "E F G# A B C D"),
        ("A minor blues", "A C D Eb E G"),
        ("A harmonic minor", "A B C D E F G#"),
        ("B whole-half diminished", "B C# D E F G G# A#"),
        ("G# altered diminished", "G# A B C D E F"),
    ],
)
def test_notes_are_spelled_as_musicians_spell_them(text, notes):
    assert Scale(text).names == notes.split()


# Other ways in which musicians write a name: common practice, no source.
@pytest.mark.parametrize(
    ("text", "same_as"),
    [
        ("c lydian DOMINANT", "C Lydian dominant"),
        ("C♯ Lydian ♭7", "C# Lydian dominant"),
        ("B flat major scale", "Bb major"),
        ("E-flat dorian mode", "Eb Dorian"),
        ("F sharp Super Locrian", "F# altered"),
        ("C superlocrian", "C altered"),
        ("C alt", "C altered"),
        ("D nat. minor", "D natural minor"),
        ("D natural minor", "D Aeolian"),
        ("D harm min", "D harmonic minor"),
        ("D mel. min.", "D melodic minor"),
        ("C Locrian ♮2", "C Locrian #2"),
        ("C Locrian natural 9", "C Locrian #2"),
        ("C half diminished", "C Locrian #2"),
        ("C Mixolydian b9 b13", "C Phrygian dominant"),
        ("C Mixolydian flat nine flat thirteen", "C Phrygian dominant"),
        ("C mixo b13", "C Mixolydian b6"),
        ("C Mixolydian (b6)", "C Mixolydian b6"),
        ("C Phrygian ♮6", "C Dorian b2"),
        ("C dorian sharp eleven", "C Dorian #4"),
        ("C H-W diminished", "C half-whole diminished"),
        ("C half/whole", "C half-whole diminished"),
        ("C dominant diminished", "C half-whole diminished"),
        ("C whole step half step diminished", "C whole-half diminished"),
        ("C dim. whole tone", "C altered"),
        ("C wholetone", "C whole tone"),
        ("C blues scale", "C minor blues"),
        ("C dominant bebop", "C bebop dominant"),
        ("C pent major", "C major pentatonic"),
        ("C Ionian augmented", "C Ionian #5"),
        ("C major b6", "C harmonic major"),
        ("C Aeolian #7", "C harmonic minor"),
        ("C Lydian #5", "C Lydian augmented"),
        ("C overtone scale", "C acoustic"),
        ("7th mode of Db melodic minor", "C altered"),
        ("the seventh mode of Db melodic minor", "C altered"),
        ("Db melodic minor from 7", "C altered"),
        ("Db melodic minor from C", "C altered"),
        ("mode 5 of F harmonic minor", "C Phrygian dominant"),
        ("V mode of F harmonic minor", "C Phrygian dominant"),
        ("C 5th mode of harmonic minor", "C Phrygian dominant"),
        ("C mode 7 of melodic minor", "C altered"),
        ("C mode of limited transposition 2", "C half-whole diminished"),
        ("C mode 3 of limited transposition", "C Messiaen mode 3"),
        ("C Messiaen 3", "C Messiaen mode 3"),
        ("C Bartók scale", "C Lydian dominant"),
        ("C natural major", "C Ionian"),
        ("C melodic minor mode 7", "C altered"),
        ("C MM4", "C Lydian dominant"),
        ("C HM5", "C Phrygian dominant"),
        ("  C   major ", "C major"),
    ],
)
def test_spelling_of_a_name_does_not_matter(text, same_as):
    assert Scale(text) == Scale(same_as)


# By rule: a mode and an alteration. Degrees by hand from the major scale.
@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("C Lydian b6", "1 2 3 #4 5 b6 7"),
        ("C Dorian b2 b5", "1 b2 b3 4 b5 6 b7"),
        ("C Phrygian #3 #7", "1 b2 3 4 5 b6 7"),
        ("C Aeolian b5 natural 7", "1 2 b3 4 b5 b6 7"),
        ("C harmonic minor b5", "1 2 b3 4 b5 b6 7"),
        ("C altered natural 6", "1 b2 b3 b4 b5 6 b7"),
        ("C Locrian bb7", "1 b2 b3 4 b5 b6 bb7"),
        ("C major pentatonic b6", "1 2 3 5 b6"),
    ],
)
def test_altered_mode_is_built_by_rule(text, degrees):
    assert Scale(text).degrees == degrees.split()
    assert Scale(Scale(text).name) == Scale(text)


@pytest.mark.parametrize("name", AMBIGUOUS)
def test_ambiguous_name_is_refused_with_readings_that_read(name):
    with pytest.raises(AmbiguousError, match="write which") as caught:
        Scale(f"C {name}")
    assert len(caught.value.readings) > 1
    assert len({tuple(Scale(reading).pitch_classes) for reading in caught.value.readings}) > 1


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("altered", "'C altered'"),
        ("C", "'C major'"),
        ("C4 major", r"a scale has no octave; write 'C major', then .pitches\(4\)"),
        ("C lidian", "'C Lydian'"),
        ("Cmajor", "part tonic and name; write 'C major'"),
        ("BbLydian dominant", "part tonic and name; write 'Bb Lydian dominant'"),
        ("C mixolidian", "'C Mixolydian'"),
        ("H altered", "write 'B'"),
        ("", "write a tonic and a name"),
        ("C maj7", "no scale of that name"),
        ("C Dorian b3", "is b3 already"),
        ("C Lydian b4", "is #4 already"),
        ("C Dorian b8", "no single degree 8"),
        ("C Dorian #1", "no single degree 1"),
        ("C Dorian bb4", "sound alike"),
        ("C bebop dominant b7", "no single degree 7"),
        ("9th mode of C major", "Ionian has modes 1 to 7"),
        ("C major mode 8", "Ionian has modes 1 to 7"),
        ("C Messiaen mode 8", "limited transposition are 1 to 7"),
        ("umpteenth mode of C major", "no number of a mode"),
        ("C major from C#", "has no C#"),
        ("Cbbb altered", "write 'A altered'"),
    ],
)
def test_what_is_no_scale_is_refused_with_advice(text, advice):
    with pytest.raises(ScaleError, match=advice):
        Scale(text)


@pytest.mark.parametrize("bad", [None, 7, ["C", "D"], PitchName("C")])
def test_what_is_no_text_is_refused(bad):
    with pytest.raises(ScaleError, match="write it as text"):
        Scale(bad)


def test_tonic_with_an_octave_is_refused():
    with pytest.raises(PitchError, match="octave"):
        Scale.of("C4", "major")


@settings(deadline=None)
@given(catalogued, tonics)
def test_every_shown_name_reads_back_to_the_same_notes(kind, tonic):
    scale = Scale.of(tonic, kind)
    for name in kind.names:
        assert Scale(f"{tonic} {name}").names == scale.names
        assert Scale(f"{tonic} {name}").name == f"{tonic} {name}"
    assert Scale(scale.display) == scale


@pytest.mark.parametrize("kind", scale_types(), ids=lambda kind: kind.name)
def test_every_spelling_that_is_read_reads(kind):
    for name in kind.also_read:
        assert Scale(f"C {name}").names == Scale.of("C", kind).names, name


def test_no_name_is_given_to_two_scales_of_different_notes():
    by_key: dict[str, set[tuple[str, ...]]] = {}
    for kind in scale_types():
        for name in (*kind.names, *kind.also_read):
            by_key.setdefault(name.casefold(), set()).add(kind.degrees)
    assert {name: found for name, found in by_key.items() if len(found) > 1} == {}
    assert not {name.casefold() for name in AMBIGUOUS} & set(by_key)


def test_no_two_kinds_have_the_same_notes_up_and_down():
    assert len({(kind.semitones, kind.descending) for kind in scale_types()}) == len(scale_types())


@settings(deadline=None)
@given(catalogued, tonics)
def test_scale_law_steps_fill_the_octave_and_seven_notes_take_seven_letters(kind, tonic):
    scale = Scale.of(tonic, kind)
    assert sum(scale.steps) == 12
    assert [name.pitch_class for name in scale.pitch_names] == scale.pitch_classes
    if len(scale) == 7:
        assert len({name.step for name in scale.pitch_names}) == 7


@settings(deadline=None)
@given(catalogued, tonics, tonics)
def test_transposing_keeps_degrees_steps_and_intervals(kind, tonic, other):
    here, there = Scale.of(tonic, kind), Scale.of(tonic, kind).on(other)
    assert here.degrees == there.degrees
    distance = there.tonic.fifths - here.tonic.fifths
    assert [name.fifths + distance for name in here.pitch_names] == [name.fifths for name in there.pitch_names]


@settings(deadline=None)
@given(catalogued, tonics)
def test_parent_and_mode_number_lead_back(kind, tonic):
    scale = Scale.of(tonic, kind)
    parent = scale.parent
    assert parent.parent == parent
    assert set(parent.pitch_classes) == set(scale.pitch_classes)
    back = parent.modes[scale.mode_number - 1]
    assert back.pitch_classes == scale.pitch_classes
    if len(scale) == 7:  # one letter a degree: the spelling comes back too
        assert back == scale
        assert parent.names[scale.mode_number - 1] == tonic


@settings(deadline=None)
@given(catalogued, st.data())
def test_modes_are_rotations_of_their_parent(kind, data):
    number = data.draw(st.integers(1, len(kind.degrees)))
    steps = list(kind.steps)
    assert list(mode_of(kind, number).steps) == steps[number - 1 :] + steps[: number - 1]


@settings(deadline=None)
@given(st.sampled_from([kind for kind in scale_types() if len(kind.degrees) == 7]), tonics, st.integers(1, 7))
def test_ordinal_text_reads_as_that_mode(kind, tonic, number):
    scale = Scale.of(tonic, kind)
    mode = Scale(f"mode {number} of {scale.name}")
    names = scale.names
    assert mode.names == names[number - 1 :] + names[: number - 1]


@settings(deadline=None)
@given(catalogued, tonics)
def test_plain_names_sound_the_same_and_have_no_double_accidentals(kind, tonic):
    scale = Scale.of(tonic, kind)
    plain = [PitchName(name) for name in scale.plain_names]
    assert [name.pitch_class for name in plain] == scale.pitch_classes
    assert all(abs(name.alter) <= 1 for name in plain)


# Facts of the trade: common practice, no source.
def test_facts_of_the_trade():
    assert "super-Locrian" in Scale("C altered").other_names
    assert (Scale("C altered").parent.called, Scale("C altered").mode_number) == ("melodic minor", 7)
    spanish = Scale("E Spanish")
    assert spanish == Scale("E Phrygian dominant")
    assert spanish.degrees == ["1", "b2", "3", "4", "5", "b6", "b7"]
    assert (spanish.parent.called, spanish.mode_number) == ("harmonic minor", 5)


@settings(deadline=None)
@given(catalogued, tonics)
def test_chord_tone_spelling_sounds_the_same(kind, tonic):
    spelled = Scale.of(tonic, kind, spelled_as_chord_tones=True)
    assert [name.pitch_class for name in spelled.pitch_names] == Scale.of(tonic, kind).pitch_classes
    assert [degree_semitones(d) % 12 for d in spelled.degrees] == list(kind.semitones)


@settings(deadline=None)
@given(catalogued, tonics, st.integers(-1, 8))
def test_pitches_rise_by_the_steps_and_fall_by_those_of_the_way_down(kind, tonic, octave):
    scale = Scale.of(tonic, kind)
    up = [pitch.chromatic for pitch in scale.pitches(octave)]
    assert [b - a for a, b in itertools.pairwise(up)] == scale.steps
    assert up[0] == Pitch.from_name(scale.tonic, octave).chromatic
    down = [pitch.chromatic for pitch in scale.pitches(octave, descending=True)]
    assert down == sorted(down, reverse=True)
    assert (down[0], down[-1]) == (up[-1], up[0])


@settings(deadline=None)
@given(catalogued, tonics)
def test_degree_of_finds_every_note_and_refuses_the_others(kind, tonic):
    scale = Scale.of(tonic, kind)
    assert [scale.degree_of(name) for name in scale.names] == scale.degrees
    for sound in range(12):
        name = PitchName.from_fifths(sound * 7 % 12)
        assert scale.holds(name) == (sound in scale.pitch_classes)
        if not scale.holds(name):
            with pytest.raises(ScaleError, match="not in"):
                scale.degree_of(name)


# Persichetti, Twentieth-Century Harmony (1961): Lydian is the brightest mode, Locrian the darkest (from memory).
def test_modes_of_major_from_bright_to_dark():
    order = [scale.called for scale in by_brightness(Scale("C Ionian").modes)]
    assert order == ["Lydian", "Ionian", "Mixolydian", "Dorian", "Aeolian", "Phrygian", "Locrian"]


@settings(deadline=None)
@given(tonics)
def test_each_step_from_lydian_to_locrian_lowers_one_note(tonic):
    names = ("Lydian", "Ionian", "Mixolydian", "Dorian", "Aeolian", "Phrygian", "Locrian")
    modes = [Scale(f"{tonic} {name}") for name in names]
    for brighter, darker in itertools.pairwise(modes):
        assert len(set(brighter.names) - set(darker.names)) == 1
        assert brighter.brightness - darker.brightness == 1


def test_equal_scales_are_equal_under_any_name_and_spelling_is_part_of_them():
    assert Scale("C super-Locrian") == Scale("C altered")
    assert hash(Scale("C super-Locrian")) == hash(Scale("C altered"))
    assert Scale("C super-Locrian").name == "C super-Locrian"
    assert Scale("C altered") != Scale("C altered", spelled_as_chord_tones=True)
    assert Scale("C# major") != Scale("Db major")
    assert Scale("C# major").is_enharmonic_to(Scale("Db major"))
    assert Scale("C melodic minor") != Scale("C jazz minor")  # they differ on the way down


MUSIC21 = {
    "major": m21scale.MajorScale,
    "natural minor": m21scale.MinorScale,
    "Dorian": m21scale.DorianScale,
    "Phrygian": m21scale.PhrygianScale,
    "Lydian": m21scale.LydianScale,
    "Mixolydian": m21scale.MixolydianScale,
    "Locrian": m21scale.LocrianScale,
    "harmonic minor": m21scale.HarmonicMinorScale,
    "melodic minor": m21scale.MelodicMinorScale,
    "whole tone": m21scale.WholeToneScale,
    "chromatic": m21scale.ChromaticScale,
    "half-whole diminished": lambda tonic: m21scale.OctatonicScale(tonic, "m2"),
    "whole-half diminished": lambda tonic: m21scale.OctatonicScale(tonic, "M2"),
}


@pytest.mark.parametrize("name", MUSIC21)
@pytest.mark.parametrize("tonic", ["C", "F#", "Bb", "E", "Ab"])
def test_scale_agrees_with_music21(name, tonic):
    theirs = MUSIC21[name](tonic.replace("b", "-") + "4")
    low = theirs.tonic.nameWithOctave
    up = theirs.getPitches(low, theirs.tonic.transpose("P8").nameWithOctave, direction=m21scale.Direction.ASCENDING)
    ours = Scale(f"{tonic} {name}")
    assert [pitch.chromatic for pitch in ours.pitches(4)] == [int(pitch.ps) for pitch in up]
    if len(ours) == 7:  # music21 spells the symmetric scales by a mechanical rule
        assert ours.names == [pitch.name.replace("-", "b") for pitch in up[:-1]]
        down = theirs.getPitches(
            low, theirs.tonic.transpose("P8").nameWithOctave, direction=m21scale.Direction.DESCENDING
        )
        names = [pitch.name.replace("-", "b") for pitch in sorted(down, key=lambda p: -p.ps)]
        assert [*ours.descending_names, tonic] == names


def test_catalogue_is_read_whole_and_its_parents_exist():
    path = Path(scale_types.__wrapped__.__code__.co_filename).with_name("scale_catalogue.tsv")
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    assert len(scale_types()) == len(lines) - 1
    keys = {line[4:6] for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#   ")}
    for kind in scale_types():
        assert scale_type(kind.parent).mode == 1
        assert set(kind.source.split()) <= keys, kind.name
        assert kind.level in (1, 2, 3)
        assert set(kind.passing) <= set(kind.degrees)


@pytest.mark.parametrize("bad", [("1", "5", "3"), ("2", "3"), (), ("1", "8"), ("1", "1")])
def test_degrees_that_do_not_ascend_from_1_within_an_octave_are_refused(bad):
    with pytest.raises(ScaleError, match="must start on 1 and ascend"):
        ScaleType("bad", bad)


@pytest.mark.parametrize("bad", ["3b", "", "b", "#b3", "16", "0", "x4"])
def test_impossible_degree_is_refused_and_quoted(bad):
    with pytest.raises(ScaleError, match=f"degree '{bad}'"):
        read_degree(bad)


@pytest.mark.parametrize(
    ("degree", "fifths", "semitones"), [("5", 1, 7), ("b3", -3, 3), ("#11", 6, 18), ("bb7", -9, 9)]
)
def test_degree_on_the_line_of_fifths(degree, fifths, semitones):
    # C G D A E B F# and C F Bb Eb: common practice
    assert (degree_fifths(degree), degree_semitones(degree)) == (fifths, semitones)


def test_scale_name_without_a_tonic_is_read():
    kind, called = read_scale_name("SUPER locrian")
    assert (kind.name, called) == ("altered", "super-Locrian")
    with pytest.raises(ScaleError, match="write it as text"):
        read_scale_name(3)
