"""Keys against music21 (notes, signatures, relations, degrees, syllables), handbook rows, and laws."""

import copy
import itertools
import pickle

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.key import Key as ReferenceKey
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.errors import KeyNameError, PitchError
from musictheory_nb.theory.circle_of_fifths import circle_of_fifths
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.key_degree import DEGREE_CONVENTIONS
from musictheory_nb.theory.key_mode import KEY_MODES
from musictheory_nb.theory.pitch import Pitch, PitchName

MODES_OF_SIGNATURES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "locrian")
TONICS = [f"{step}{accidental}" for step in "CDEFGAB" for accidental in ("", "#", "b")]


def reference(tonic: str, mode: str) -> ReferenceKey:
    """Key of music21, which writes flats with a minus sign."""
    return ReferenceKey(tonic.replace("b", "-"), mode)


@pytest.mark.parametrize("mode", MODES_OF_SIGNATURES)
@pytest.mark.parametrize("tonic", TONICS)
def test_signature_and_notes_agree_with_music21(tonic, mode):
    ours, theirs = Key(f"{tonic} {mode}"), reference(tonic, mode)
    assert ours.fifths == theirs.sharps
    assert ours.names == [pitch.name.replace("-", "b") for pitch in theirs.pitches[:7]]
    if abs(ours.fifths) <= 7:
        assert ours.signature == [pitch.name.replace("-", "b") for pitch in theirs.alteredPitches]


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("tonic", ["C", "D", "Eb", "F#", "A", "Bb"])
def test_relations_agree_with_music21(tonic, mode):
    ours, theirs = Key(f"{tonic} {mode}"), reference(tonic, mode)
    for relation in ("relative", "parallel"):
        other = getattr(theirs, relation)
        assert getattr(ours, relation) == Key(f"{other.tonic.name.replace('-', 'b')} {other.mode}")


@pytest.mark.parametrize("mode", ["major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "locrian"])
@pytest.mark.parametrize("tonic", ["C", "A", "Eb", "F#"])
def test_degree_agrees_with_music21(tonic, mode):
    ours, theirs = Key(f"{tonic} {mode}"), reference(tonic, mode)
    for step in "CDEFGAB":
        for accidental in ("", "#", "b"):
            number, altered = theirs.getScaleDegreeAndAccidentalFromPitch(
                ReferencePitch(step + accidental.replace("b", "-"))
            )
            change = int(altered.alter) if altered is not None else 0
            assert ours.degree(step + accidental) == ("#" * change if change > 0 else "b" * -change) + str(number)


@pytest.mark.parametrize("tonic", ["C", "Ab", "E"])
def test_syllable_agrees_with_music21(tonic):
    # Chromatic syllables of movable do in major, where music21 has one (it gives none for #3, #7, b1, b4).
    ours, scale = Key(f"{tonic} major"), reference(tonic, "major")
    for degree in ("1", "#1", "b2", "2", "#2", "b3", "3", "4", "#4", "b5", "5", "#5", "b6", "6", "#6", "b7", "7"):
        note = ours.note(degree)
        assert ours.solfege(note) == scale.solfeg(
            ReferencePitch(note.name.replace("b", "-") if note.alter < 0 else note.name)
        )


# Part 7 of the issue and design, section 3: G sharp in A minor.
@pytest.mark.parametrize(
    ("key", "note", "degrees"),
    [
        ("A minor", "G#", {"key": "#7", "harmonic": "7", "melodic": "7", "major": "7"}),
        ("A minor", "G", {"key": "7", "harmonic": "b7", "melodic": "b7", "major": "b7"}),
        ("A minor", "F#", {"key": "#6", "harmonic": "#6", "melodic": "6", "major": "6"}),
        ("A minor", "F", {"key": "6", "harmonic": "6", "melodic": "b6", "major": "b6"}),
        ("A minor", "C", {"key": "3", "harmonic": "3", "melodic": "3", "major": "b3"}),
        ("A harmonic minor", "G#", {"key": "7", "harmonic": "7", "melodic": "7", "major": "7"}),
        ("A melodic minor", "F", {"key": "b6", "harmonic": "6", "melodic": "b6", "major": "b6"}),
        ("C major", "Ab", {"key": "b6", "harmonic": "b6", "melodic": "b6", "major": "b6"}),
        ("D dorian", "F", {"key": "3", "harmonic": "3", "melodic": "3", "major": "b3"}),
        ("D dorian", "C#", {"key": "#7", "harmonic": "#7", "melodic": "#7", "major": "7"}),
        ("Db major", "Ebb", {"key": "b2", "harmonic": "b2", "melodic": "b2", "major": "b2"}),
        ("C minor", "Bbb", {"key": "b7", "harmonic": "bb7", "melodic": "bb7", "major": "bb7"}),
    ],
)
def test_degree_in_every_convention(key, note, degrees):
    # The scale that each convention counts on is written out in DEGREE_CONVENTIONS; numbers counted by hand on it.
    assert set(degrees) == set(DEGREE_CONVENTIONS)
    for convention, degree in degrees.items():
        for spelled in (note, f"{note}4", PitchName(note), Pitch(f"{note}5")):
            assert Key(key).degree(spelled, convention) == degree
        assert Key(key).note(degree, convention) == PitchName(note)


# The two ways of singing a minor key, and fixed do (ear-training practice, no source).
@pytest.mark.parametrize(
    ("key", "notes", "system", "syllables"),
    [
        ("A minor", "A B C D E F G", "do", "do re me fa sol le te"),
        ("A minor", "A B C D E F G", "la", "la ti do re mi fa sol"),
        ("A minor", "F# G#", "do", "la ti"),
        ("A minor", "F# G#", "la", "fi si"),
        ("D dorian", "D E F G A B C", "do", "do re me fa sol la te"),
        ("D dorian", "D E F G A B C", "la", "re mi fa sol la ti do"),
        ("E phrygian", "E F G A B C D", "la", "mi fa sol la ti do re"),
        ("Eb major", "Eb F G Ab Bb C D", "do", "do re mi fa sol la ti"),
        ("Eb major", "Eb F G Ab Bb C D", "la", "do re mi fa sol la ti"),
        ("Eb major", "Eb F G Ab Bb C D", "fixed", "mi fa sol la ti do re"),
        ("Eb major", "Eb F G Ab Bb C D", "fixed chromatic", "me fa sol le te do re"),
        ("E major", "F# G# C# D#", "fixed chromatic", "fi si di ri"),
        ("C harmonic minor", "Ab B", "do", "le ti"),
    ],
)
def test_solfege(key, notes, system, syllables):
    assert [Key(key).solfege(note, system) for note in notes.split()] == syllables.split()


@pytest.mark.parametrize("note", ["E#", "B#", "Cb", "Fb", "Bbb", "F##"])
def test_note_without_a_syllable_is_refused(note):
    for system in ("do", "fixed chromatic"):
        with pytest.raises(PitchError, match="has no"):
            Key("C major").solfege(note, system)


# How teachers write keys (common practice, no source): a small letter alone is minor.
@pytest.mark.parametrize(
    ("texts", "name"),
    [
        (["A minor", "a minor", "Am", "a", "A min", "Amin", "A Minor", "a-minor", "A natural minor", "am"], "A minor"),
        (["C major", "C", "C maj", "CM", "Cmaj", "c major", "C Major", "C-major", "C  major "], "C major"),
        (["Bb", "B♭", "B-flat major", "B flat", "Bb major", "b-flat major"], "Bb major"),
        (["bb", "b♭ minor", "Bbm", "B flat minor", "b-flat minor", "bb minor"], "Bb minor"),
        (["b", "Bm", "b minor"], "B minor"),
        (["F# dorian", "F♯ Dorian", "f# dorian", "F sharp dorian"], "F# dorian"),
        (["eb", "E♭m", "E-flat minor"], "Eb minor"),
        (["G mixolydian", "G mixo"], "G mixolydian"),
        (["A harmonic minor", "a harmonic minor"], "A harmonic minor"),
        (["C# major", "C♯"], "C# major"),
        (["A Aeolian", "A eolian"], "A aeolian"),
    ],
)
def test_every_way_of_writing_a_key_is_read(texts, name):
    for text in texts:
        assert Key(text).name == name, text


@pytest.mark.parametrize(
    ("text", "names", "name"),
    [
        ("C-Dur", "german", "C major"), ("a-Moll", "german", "A minor"), ("H-Dur", "german", "B major"), ("h-Moll", "german", "B minor"),
        ("B-Dur", "german", "Bb major"), ("b-Moll", "german", "Bb minor"), ("Es-Dur", "german", "Eb major"),
        ("fis-Moll", "german", "F# minor"), ("As-Dur", "german", "Ab major"), ("as-Moll", "german", "Ab minor"), ("cis", "german", "C# minor"),
        ("es moll", "german", "Eb minor"), ("G Dur", "german", "G major"), ("d dorian", "german", "D dorian"), ("a", "german", "A minor"),
        ("Do majeur", "fixed do", "C major"), ("la mineur", "fixed do", "A minor"), ("Si bémol majeur", "fixed do", "Bb major"),
        ("fa# minore", "fixed do", "F# minor"), ("Re menor", "fixed do", "D minor"), ("Sol maggiore", "fixed do", "G major"),
    ],
)  # fmt: skip
def test_key_in_other_pitch_names(text, names, name):
    assert Key.read(text, names).name == name


@given(st.sampled_from(TONICS), st.sampled_from(sorted(KEY_MODES)), st.sampled_from(["english", "german", "fixed do"]))
@settings(deadline=None)
def test_every_text_form_of_a_key_reads_back(tonic, mode, names):
    key = Key.of(tonic, mode)
    assert Key(key.name) == Key(key.display) == Key(str(key)) == Key(key) == key
    assert Key.read(key.text(names), names) == key
    assert pickle.loads(pickle.dumps(key)) == copy.deepcopy(key) == key
    assert hash(Key(key.name)) == hash(key)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("H minor", "H is German for B; write 'B minor'"), ("Q major", "write tonic and mode"), ("", "write tonic and mode"),
        ("A Dur", "Dur is German; write 'A major'"), ("B-Moll", "Moll is German; write 'Bb minor'"),
        ("h-Moll", "Moll is German; write 'B minor'"), ("Fis dorian", "Fis is German for F#; write 'F# dorian'"),
        ("Bb-Dur", "Dur is German"), ("sol mineur", "sol is the fixed-do name of G"),
        ("C blues", "mode 'blues': must be one of major, minor"), ("C4 major", "mode '4 major'"), ("C#b", "not a mixture"),
        ("minor", "write tonic and mode"),
        ("E-", "'-' is not a flat; write 'Eb' if that is meant"),
        ("E- major", "'-' is not a flat; write 'Eb major' if that is meant"),
        ("b- minor", "'-' is not a flat; write 'Bb minor' if that is meant"),
        ("B--", "'-' is not a flat"),
        ("C major/A minor", "mode 'major/A minor'"), ("C####", "at most three"),
    ],
)  # fmt: skip
def test_what_is_no_key_is_refused_with_advice(text, advice):
    with pytest.raises(KeyNameError) as refusal:
        Key(text)
    assert repr(text) in str(refusal.value)
    assert advice in str(refusal.value)


@pytest.mark.parametrize("value", [None, 3, PitchName("C")])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(KeyNameError, match="as text"):
        Key(value)


def test_keys_past_three_accidentals_are_refused():
    for tonic, mode in (("B###", "major"), ("Fbbb", "minor"), ("E###", "lydian")):
        with pytest.raises(KeyNameError, match="more than three accidentals"):
            Key.of(tonic, mode)
    with pytest.raises(KeyNameError, match="no major key has that signature"):
        Key.from_fifths(60)


def test_order_of_the_circle_of_fifths():
    # common practice, no source
    assert [k.tonic.name for k in circle_of_fifths()] == [
        "C",
        "G",
        "D",
        "A",
        "E",
        "B",
        "F#",
        "Db",
        "Ab",
        "Eb",
        "Bb",
        "F",
    ]
    assert [k.tonic.name for k in circle_of_fifths("minor")] == [
        "A",
        "E",
        "B",
        "F#",
        "C#",
        "G#",
        "D#",
        "Bb",
        "F",
        "C",
        "G",
        "D",
    ]
    for mode in KEY_MODES:
        around = circle_of_fifths(mode)
        assert len({key.tonic.pitch_class for key in around}) == 12
        assert all(two.tonic.is_enharmonic_to(one.tonic.up("P5")) for one, two in itertools.pairwise(around))


# Closely related keys (handbook rule: signatures differ by at most one accidental; common practice).
@pytest.mark.parametrize(
    ("key", "related"),
    [
        ("C major", "A minor, G major, E minor, F major, D minor"),
        ("A minor", "C major, E minor, G major, D minor, F major"),
        ("Eb major", "C minor, Bb major, G minor, Ab major, F minor"),
        ("F# minor", "A major, C# minor, E major, B minor, D major"),
    ],
)
def test_closely_related_keys(key, related):
    found = Key(key).closely_related
    assert [k.name for k in found] == related.split(", ")
    assert all(abs(k.fifths - Key(key).fifths) <= 1 for k in found)


@pytest.mark.parametrize(
    ("key", "others"),
    [
        ("F# major", ["Gb major"]), ("C# major", ["Db major"]), ("B major", ["Cb major"]), ("Eb minor", ["D# minor"]),
        ("G# minor", ["Ab minor"]), ("G# major", ["Ab major"]), ("C major", []), ("A minor", []), ("Bb minor", ["A# minor"]),
    ],
)  # fmt: skip
def test_enharmonic_keys(key, others):
    # common practice, no source
    assert [k.name for k in Key(key).enharmonic_keys] == others


@given(st.integers(-7, 7), st.sampled_from(sorted(KEY_MODES)), st.sampled_from(sorted(DEGREE_CONVENTIONS)))
@settings(deadline=None)
def test_laws_of_keys(fifths, mode, convention):
    key = Key.from_fifths(fifths, mode)
    assert key.fifths == fifths
    assert len(key.signature) == abs(fifths)
    assert sorted(note.step for note in key.pitch_names) == sorted("CDEFGAB")
    assert key.degree(key.tonic, convention) == "1"
    for note in key.pitch_names:
        assert note in key
        assert key.note(key.degree(note, convention), convention) == note
        assert key.note_of_syllable(key.solfege(note)) == note
    assert key.dominant.subdominant == key
    assert key.parallel.tonic == key.tonic
    assert key.parallel.is_minor is not key.is_minor
    assert key.relative.fifths == key.fifths


def test_names_of_degrees():
    # common practice, no source
    assert [Key("C major").degree_name(note) for note in "CDEFGAB"] == [
        "tonic", "supertonic", "mediant", "subdominant", "dominant", "submediant", "leading tone",
    ]  # fmt: skip
    assert Key("A minor").degree_name("G") == "subtonic"
    assert Key("A minor").degree_name("G#4") == "leading tone"
    assert Key("D dorian").degree_name("C") == "subtonic"
    for outside in ("C#", "Gb"):
        with pytest.raises(PitchError, match="is not diatonic in A minor"):
            Key("A minor").degree_name(outside)


def test_theoretical_signature_has_double_accidentals():
    # G# major: F is sharpened twice (common practice, no source)
    assert Key("G# major").signature == ["C#", "G#", "D#", "A#", "E#", "B#", "F##"]
    assert Key("Fb major").signature == ["Eb", "Ab", "Db", "Gb", "Cb", "Fb", "Bbb"]


@pytest.mark.parametrize("degree", ["8", "0", "", "x4", "#b3", "3#", "b", 9, None, "IV"])
def test_what_is_no_degree_is_refused(degree):
    with pytest.raises(KeyNameError, match="write accidentals then a number from 1 to 7"):
        Key("C major").note(degree)


def test_unknown_settings_are_refused_with_the_list():
    key = Key("C major")
    for call in (lambda: key.degree("C", "jazz"), lambda: key.note("1", "jazz")):
        with pytest.raises(KeyNameError, match="'key', 'harmonic', 'melodic', 'major'"):
            call()
    with pytest.raises(PitchError, match="'do', 'la', 'fixed', 'fixed chromatic'"):
        key.solfege("C", "tonic sol-fa")
    with pytest.raises(PitchError, match="must be one of do, re, mi"):
        key.note_of_syllable("zo")
    with pytest.raises(PitchError, match="only movable-do"):
        key.note_of_syllable("do", "fixed")
    with pytest.raises(KeyNameError, match="closely related keys"):
        Key("D dorian").closely_related  # noqa: B018 - the property raises
    with pytest.raises(PitchError, match="a number has no spelling"):
        key.degree(7)


# German and Romance usage, and plain English ones (common practice, no source).
@pytest.mark.parametrize(
    ("text", "names", "same_as"),
    [
        ("B-Dur", "german", "Bb major"), ("H-Dur", "german", "B major"), ("b-Moll", "german", "Bb minor"), ("fis", "german", "F# minor"),
        ("d dorisch", "german", "D dorian"), ("sol mineur", "fixed do", "G minor"), ("Sib mayor", "fixed do", "Bb major"),
        ("key of G", "english", "G major"), ("the key of E minor", "english", "E minor"), ("D dorian mode", "english", "D dorian"),
        ("C–major", "english", "C major"),
    ],
)  # fmt: skip
def test_key_is_read_in_every_system_of_names(text, names, same_as):
    assert Key(text, names=names) == Key.read(text, names) == Key(same_as)
