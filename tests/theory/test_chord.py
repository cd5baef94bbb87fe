"""Chords as values: tones and who may leave them out, writing and reading back, moving, sounding."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.harmony import ChordSymbol

from musictheory_nb.errors import ChordError, PitchError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_PARTS
from musictheory_nb.theory.chord_optional import OPTIONAL_TONES, usually_omitted
from musictheory_nb.theory.chord_quality import QUALITIES
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.set_class import prime_form

PUBLISHED = Path(__file__).parents[1] / "published"

ROOTS = [letter + accidental for letter in "CDEFGAB" for accidental in ("", "b", "#")]
#: Degrees that charts add to a chord or alter in it.
USUAL = [d for d, (n, a) in DEGREE_PARTS.items() if abs(a) < 2 and n not in (1, 8, 10, 12)]

named = st.builds(lambda root, row: Chord.of(root, row.degrees), st.sampled_from(ROOTS), st.sampled_from(QUALITIES))
composed = st.builds(
    lambda root, degrees, bass: Chord.of(root, {"1", *degrees}, bass),
    st.sampled_from(["C", "F#", "Bb", "Eb", "A", "Ebb"]),
    st.sets(st.sampled_from(USUAL), min_size=1, max_size=6),
    st.sampled_from([None, "C", "E", "Bb"]),
)
odd = st.builds(
    lambda degrees: Chord.of("C", degrees), st.sets(st.sampled_from(sorted(DEGREE_PARTS)), min_size=1, max_size=7)
)
chords = st.one_of(named, composed, odd)


@given(chords)
def test_every_text_form_reads_back(chord):
    assert Chord(chord.symbol) == chord
    assert Chord(chord.display) == chord
    assert Chord(chord.harte) == chord
    assert Chord.from_musicxml(chord.root, chord.musicxml_kind, chord.musicxml_degrees, chord.bass) == chord


@given(st.one_of(named, composed), st.sampled_from(["german", "fixed do"]))
def test_other_systems_of_names_read_back(chord, names):
    assert Chord(chord.spelled(names), names=names) == chord


@given(named, st.sampled_from(["m2", "M2", "m3", "P4", "P5", "-M2", "-m3"]))
def test_transposition_moves_every_tone(chord, interval):
    try:
        moved = chord.up(interval)
    except (ChordError, PitchError):
        return  # more than three accidentals
    by = Interval(interval)
    assert [name.up(by) for name in chord.pitch_names] == list(moved.pitch_names)
    assert [tone.degree for tone in moved.tones] == [tone.degree for tone in chord.tones]
    assert moved.down(by) == chord


@given(named)
def test_pitch_classes_are_those_of_the_names(chord):
    assert chord.pitch_classes == {name.pitch_class for name in chord.pitch_names}


#: Qualities that music21 reads rightly (as its own figures), by spelled tones.
SHARED = ["m", "dim", "+", "sus4", "7", "maj7", "m7", "m7b5", "dim7", "6", "m6", "9", "maj9", "m9", "11", "m11"]


@pytest.mark.parametrize("suffix", ["", *SHARED])
@pytest.mark.parametrize("root", ["C", "F#", "Bb", "E"])
def test_common_chords_agree_with_music21(root, suffix):
    figure = root.replace("b", "-") + {"m7b5": "ø7", "dim7": "o7", "maj9": "M9"}.get(suffix, suffix)
    reference = {pitch.name.replace("-", "b") for pitch in ChordSymbol(figure).pitches}
    assert {tone.name for tone in Chord(root + suffix).tones} == reference


#: Sonority of the published table of set classes -> our symbols.
SET_CLASSES = {
    "maj triad": "C Ebmaj",
    "min triad": "Cm",
    "dim triad": "C°",
    "aug triad": "C+",
    "sus4 / sus2 / quartal trichord": "Csus4 Csus2",
    "maj7": "CΔ7",
    "7": "C7",
    "min7 = maj6": "C-7 C6",
    "m7b5 = m6": "Cø7 Cm6",
    "dim7": "Cº7",
    "mMaj7": "CmM7",
    "maj7#5": "Cmaj7#5",
    "7#5": "C+7",
    "7b5 = Fr+6": "C7b5 AbFr+6",
    "maj7b5": "Cmaj7b5",
    "7sus4": "C7sus",
    "add9": "Cadd9 Cadd2",
    "m(add9)": "Cmadd9",
    "6/9 = maj pentatonic": "C6/9",
    "9": "C9",
    "maj9": "CM9",
    "m9": "C-9",
    "7b9": "C7-9",
    "7#9": "C7+9",
    "7#9 no5 (all-interval)": "C7#9(no5)",
    "13 no11": "C13(no11)",
    "m11": "Cmi11",
    "mystic = 13#11 no5": "C13#11(no5)",
}


@pytest.mark.parametrize(("sonority", "symbols"), SET_CLASSES.items())
def test_chord_has_its_published_set_class(sonority, symbols):
    with open(PUBLISHED / "set_classes.tsv", encoding="utf-8") as file:
        table = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        prime = {row["sonority"]: row["prime_form"] for row in table}[sonority]
    for symbol in symbols.split():
        digits = "".join("0123456789AB"[place] for place in prime_form(Chord(symbol).pitch_classes))
        assert f"<{digits}>" == prime, symbol


def test_equality_is_of_root_degrees_and_bass():
    assert Chord("C-7") == Chord("Cmin7") == Chord("C:min7")
    assert Chord("C/C") == Chord("C")
    assert Chord("C7(b9,#9,#11,b13,no5)") == Chord("C7alt")
    assert Chord("D/C7") == Chord("C13#11")
    assert Chord("Cadd9") != Chord("Cadd2")
    assert Chord("C#") != Chord("Db")
    assert Chord("D/C") != Chord("D7/C")
    assert len({Chord("Cm7"), Chord("C-7"), Chord("Cmi7")}) == 1


def test_seventh_in_the_bass_of_a_triad_is_a_tone_and_another_foreign_bass_is_not():
    # chord_spellings.tsv (D/C: D F# A C) and chord_symbols.tsv (Am7/D: 1 b3 5 b7, bass 4)
    assert [tone.degree for tone in Chord("D/C").tones] == ["1", "3", "5", "b7"]
    assert [tone.degree for tone in Chord("Am7/D").tones] == ["1", "b3", "5", "b7"]
    assert Chord("Am7/D").names == ("D", "A", "C", "E", "G")


@pytest.mark.parametrize(
    ("symbol", "optional"),
    [  # chord_spellings.tsv
        ("Ab13", "5 9 11"),
        ("Eb7b9", "5"),
        ("C6/9", "5"),
        ("C7", ""),
        ("C11", "3 5 9"),
        ("G13(b9)", "5 11"),
        ("Cm11b5", "9"),
        ("E7#5#9", ""),
        ("G7alt", "b9 #9 #11 b13"),
    ],
)
def test_optional_tones(symbol, optional):
    assert " ".join(tone.degree for tone in Chord(symbol).tones if tone.optional) == optional


def test_every_row_of_the_policy_is_in_force_for_some_named_chord():
    for row in OPTIONAL_TONES:
        assert any(
            row.degree in {tone.degree for tone in Chord("C" + quality.suffix).tones if tone.optional}
            for quality in QUALITIES
        ), row
    assert usually_omitted(Chord("C13").degrees) == ("11",)
    assert usually_omitted(Chord("C11").degrees) == ("3",)


@pytest.mark.parametrize(
    ("symbol", "lowest", "pitches"),
    [  # close position is piled up from the bass: common practice, no source
        ("C", 4, "C4 E4 G4"),
        ("C/E", 3, "E3 G3 C4"),
        ("G7/F", 3, "F3 G3 B3 D4"),
        ("C9", 3, "C3 E3 G3 Bb3 D4"),
        ("C13", 3, "C3 E3 G3 Bb3 D4 A4"),
        ("C11", 3, "C3 G3 Bb3 D4 F4"),
        ("Cb", 4, "Cb4 Eb4 Gb4"),
        ("Am7/D", "C2", "D2 A2 C3 E3 G3"),
        ("F/G", "E2", "G2 F3 A3 C4"),
        ("B#", 3, "B#3 D##4 F##4"),
        ("C6/9/E", 3, "E3 G3 A3 C4 D4"),
    ],
)
def test_close_position(symbol, lowest, pitches):
    assert " ".join(pitch.name for pitch in Chord(symbol).pitches(lowest)) == pitches


@given(chords.filter(lambda chord: not chord.is_no_chord))
def test_sounding_pitches_are_the_chord_over_its_bass(chord):
    pitches = chord.pitches("E2", complete=True)
    assert pitches[0].pitch_name == chord.bass
    assert pitches[0].chromatic >= 40  # E2
    assert {pitch.pitch_name for pitch in pitches} == set(chord.pitch_names)
    heights = [pitch.chromatic for pitch in pitches]
    assert heights == sorted(heights)


def test_inversions():
    assert [Chord(text).inversion for text in ("C7", "C7/E", "C7/G", "C7/Bb", "D/C", "Am7/D")] == [0, 1, 2, 3, 3, None]


def test_no_chord_has_no_tones_and_refuses_what_needs_some():
    none = Chord("N.C.")
    assert none.up("M2") == none
    assert (none.names, none.pitch_classes, none.words, none.inversion) == ((), frozenset(), "no chord", None)
    for attempt in (none.pitches, lambda: none.bass_degree, lambda: none.over("C"), lambda: none.degree_of("C")):
        with pytest.raises(ChordError, match=r"N\.C\."):
            attempt()


@pytest.mark.parametrize(
    ("root", "degrees", "message"),
    [
        ("C", ["1", "third"], "degree 'third'"),
        ("C", [], "at least one degree"),
        ("C", None, "as a list or text"),
        ("C", [["1"]], r"degree \['1'\]"),
        ("C", "135", "degree '135'"),
        ("B###", ["1", "#5"], "three accidentals"),
    ],
)
def test_impossible_parts_are_refused(root, degrees, message):
    with pytest.raises(ChordError, match=message):
        Chord.of(root, degrees)


def test_degrees_may_be_one_text():
    assert Chord.of("C", "1 3 5 b7") == Chord.of("C", ["1", "3", "5", "b7"])
