"""Chord symbols as musicians write them, against a table of right readings and against the other spellings in use."""

import csv
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import AmbiguousError, ChordError, PitchError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_quality import QUALITIES
from musictheory_nb.theory.chord_suffix import read_suffix
from musictheory_nb.theory.chord_text import plain_chord_text

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name):
    """Rows of a table, with the guard that there are some."""
    with open(PUBLISHED / name, encoding="utf-8") as file:
        read = list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))
    assert len(read) > 10
    return read


@pytest.mark.parametrize("row", rows("chord_spellings.tsv"), ids=lambda row: row["symbol"])
def test_spelled_tones_match_the_table(row):
    chord = Chord(row["symbol"])
    required, optional = set(row["required tones"].split()), set((row["optional tones"] or "").split())
    names = {tone.name for tone in chord.tones}
    assert required <= names <= required | optional
    assert chord.bass.name == row["bass"]
    flagged = {tone.name for tone in chord.tones if tone.optional}
    assert flagged == optional & names


@pytest.mark.parametrize(
    "row", [row for row in rows("chord_symbols.tsv") if row["root"]], ids=lambda row: row["symbol"]
)
def test_degrees_and_harte_label_match_the_table(row):
    chord = Chord(row["symbol"])
    required = set(row["required_degrees"].split())
    degrees = {tone.degree for tone in chord.tones}
    assert required <= degrees <= required | set(row["allowed_optional_degrees"].split())
    assert (chord.root.name, chord.bass_degree) == (row["root"], row["bass_degree"])
    assert Chord.from_harte(row["harte"]) == chord
    if "," not in row["harte"]:  # the order inside a longer list is free
        assert chord.harte == row["harte"]


CASES = {row["id"]: row for row in rows("chord_cases.tsv")}

#: Case -> symbol, spelled names; the right value stands in chord_cases.tsv beside the id.
READINGS = [
    ("A01", "Bb5", "Bb F"),
    ("A05", "C6/9", "C E G A D"),
    ("A07", "C7(b9,#11,13)", "C E G Bb Db F# A"),
    ("A09", "Cº7", "C Eb Gb Bbb"),
    ("A11", "C-7", "C Eb G Bb"),
    ("A15", "C2", "C E G D"),
    ("A17", "Co omit5", "C Eb"),
    ("A19", "Cma7", "C E G B"),
    ("A19", "CMA7", "C E G B"),
    ("A27", "C7#9b13", "C E G Bb D# Ab"),
    ("A29", "C7+9", "C E G Bb D#"),
    ("A29", "C+9", "C E G# Bb D"),
]


@pytest.mark.parametrize(("case", "symbol", "names"), READINGS)
def test_case_is_read_right(case, symbol, names):
    assert symbol in CASES[case]["input"] or symbol in CASES[case]["right_value"]
    chord = Chord(symbol)
    assert sorted(tone.name for tone in chord.tones) == sorted(names.split())
    assert chord.bass == chord.root


def test_alt_keeps_root_third_and_seventh_and_never_has_the_natural_fifth_or_ninth():
    assert CASES["A13"]["input"] == "G7alt"
    names = {tone.name: tone.optional for tone in Chord("G7alt").tones}
    assert {name for name, optional in names.items() if not optional} == {"G", "B", "F"}
    assert {name for name, optional in names.items() if optional} == {"Ab", "A#", "C#", "Eb"}


def test_two_is_sus2_by_setting():
    assert "Csus2 (C D G) by setting" in CASES["A15"]["right_value"]
    assert [tone.name for tone in Chord("C2", two="sus").tones] == ["C", "D", "G"]
    with pytest.raises(ChordError, match="two 'fourth': must be one of 'add', 'sus'"):
        Chord("C2", two="fourth")


@pytest.mark.parametrize("text", ["N.C.", "NC", "N.C", "n.c.", "no chord", "N", "tacet"])
def test_no_chord_is_a_chord_without_notes(text):
    assert CASES["A21"]["input"] == "N.C."
    chord = Chord(text)
    assert chord.is_no_chord
    assert (chord.tones, chord.root, chord.symbol, chord.harte) == ((), None, "N.C.", "N")


def test_h_is_german():
    assert CASES["A25"]["input"] == "H7"
    assert [tone.name for tone in Chord("H7", names="german").tones] == ["B", "D#", "F#", "A"]
    assert Chord("B7", names="german").root.name == "Bb"
    with pytest.raises(ChordError, match="H is German for B"):
        Chord("H7")


@pytest.mark.parametrize("text", ["Ebb5", "F##5", "E♭♭5", "Abb5/C", "ebb5", "C##5(add9)", "Ebbb5"])
def test_doubled_accidental_before_a_bare_five_is_refused_with_readings(text):
    assert CASES["A23"]["input"] == "Ebb5"
    with pytest.raises(AmbiguousError) as refusal:
        Chord(text)
    flat_five, power = (Chord(reading) for reading in refusal.value.readings)
    assert flat_five.degrees[:3] in (("1", "3", "b5"), ("1", "3", "#5"))
    assert power.degrees[:2] == ("1", "5")


#: Spellings in use on charts, with their degrees (common practice, no source).
IN_USE = """
C maj=1 3 5|CM=1 3 5|C minor=1 b3 5|CMAJ7=1 3 5 7|CMaj9=1 3 5 7 9|C^7=1 3 5 7|C△⁷=1 3 5 7|CΔ=1 3 5 7|C7M=1 3 5 7
C major seventh=1 3 5 7|C dominant seventh=1 3 5 b7|C half-diminished=1 b3 b5 b7|Cm seven flat five=1 b3 b5 b7
CΔ7(#11)=1 3 5 7 #11|CΔ#5=1 3 #5 7|C7(9)=1 3 5 b7 9|C7(13)=1 3 5 b7 13|C7/9=1 3 5 b7 9|C7/b9=1 3 5 b7 b9
C7/5+=1 3 #5 b7|Cm7/5-=1 b3 b5 b7|Cm7-5=1 b3 b5 b7|C-7-5=1 b3 b5 b7|C−7(♭5)=1 b3 b5 b7|Cm7dim5=1 b3 b5 b7
Chdim7=1 b3 b5 b7|Cø9=1 b3 b5 b7 9|Cø11=1 b3 b5 b7 9 11|C°=1 b3 b5|Co7=1 b3 b5 bb7|C°M7=1 b3 b5 7
Cdim(maj7)=1 b3 b5 7|C°9=1 b3 b5 bb7 9|C+7=1 3 #5 b7|C+M7=1 3 #5 7|C+(maj7)=1 3 #5 7|C7aug=1 3 #5 b7|C7+=1 3 #5 b7
C7+5=1 3 #5 b7|C9+11=1 3 5 b7 9 #11|C9-5=1 3 b5 b7 9|C7-9+11=1 3 5 b7 b9 #11|C7(+9,-5)=1 3 b5 b7 #9
C+7b9=1 3 #5 b7 b9|C+7+9=1 3 #5 b7 #9|C-9=1 b3 5 b7 9|C-11=1 b3 5 b7 9 11|C-69=1 b3 5 6 9|C-Δ=1 b3 5 7
C−△7=1 b3 5 7|CmMaj7=1 b3 5 7|Cm/maj7=1 b3 5 7|Cmi(ma7)=1 b3 5 7|Cm(maj9)=1 b3 5 7 9|Cm9(maj7)=1 b3 5 7 9
Cm6(maj7)=1 b3 5 6 7|Cm(#7)=1 b3 5 7|Cm(♮7)=1 b3 5 7|C5=1 5|C(no3)=1 5|C no 3rd=1 5|C5(add9)=1 5 9|Csus24=1 2 4 5
Csus2sus4=1 2 4 5|C7sus=1 4 5 b7|Csus7=1 4 5 b7|Csus4/7=1 4 5 b7|Csus9=1 4 5 b7 9|C13sus=1 4 5 b7 9 13
C13sus4(b9)=1 4 5 b7 b9 13|C7b9sus4=1 4 5 b7 b9|C7(b9)sus=1 4 5 b7 b9|Csus(b9)=1 4 5 b7 b9|Csus4(add9)=1 4 5 9
C7sus4(add3)=1 3 4 5 b7|Cmaj7sus4=1 4 5 7|C(b5)=1 3 b5|C-5=1 3 b5|C+5=1 3 #5|C(add9)=1 3 5 9|Cadd#11=1 3 5 #11
C(add9,add11)=1 3 5 9 11|C(add9,11)=1 3 5 9 11|C(9)=1 3 5 9|Cm add 9=1 b3 5 9|Cmaddb6=1 b3 5 b6|Cmb6=1 b3 5 b6
C7(add13)=1 3 5 b7 13|C7add6=1 3 5 6 b7|C6(9)=1 3 5 6 9|C(6/9)=1 3 5 6 9|C6,9=1 3 5 6 9|CM6=1 3 5 6|C6/9#11=1 3 5 6 9 #11
C7(no3)=1 5 b7|C7no5=1 3 b7|C9(omit3)=1 5 b7 9|C7(no3,5)=1 b7|C7 omit 5=1 3 b7|C7(alt)=1 3 b7 b9 #9 #11 b13
Calt7=1 3 b7 b9 #9 #11 b13|C7 altered=1 3 b7 b9 #9 #11 b13|C7b9b13=1 3 5 b7 b9 b13|C7(b9/#11)=1 3 5 b7 b9 #11
C7[b9]=1 3 5 b7 b9|C7 ♭9 ♯11=1 3 5 b7 b9 #11|C7(b9)(#11)=1 3 5 b7 b9 #11|C7b5#5=1 3 b5 #5 b7|C7b9#9=1 3 5 b7 b9 #9
C7#4=1 3 5 b7 #11|C13b9#11=1 3 5 b7 b9 #11 13|Cm7(9,11)=1 b3 5 b7 9 11|Cm7/11=1 b3 5 b7 11|Cm7 11=1 b3 5 b7 11
Cm7#5=1 b3 #5 b7|Cm+=1 b3 #5|Cmb5=1 b3 b5|Cᵐᵃʲ⁷=1 3 5 7|C​7=1 3 5 b7|C⁶⁄₉=1 3 5 6 9|C−⁷=1 b3 5 b7|C⁺⁷=1 3 #5 b7|Cdom9=1 3 5 b7 9|(C7)=1 3 5 b7|Cm⁷♭⁵=1 b3 b5 b7|C♮7=1 3 5 b7
CSUS4=1 4 5|CADD9=1 3 5 9|CDIM7=1 b3 b5 bb7|CMI7=1 b3 5 b7|CMi7=1 b3 5 b7|CM7SUS4=1 4 5 7|C7(5b)=1 3 b5 b7|Comit5=1 3
C4sus=1 4 5|C2sus=1 2 5|C7/4sus=1 4 5 b7|C9/4sus=1 4 5 b7 9|C six=1 3 5 6|C power chord=1 5|C altered dominant=1 3 b7 b9 #9 #11 b13
C minor-major 7=1 b3 5 7|Cm-maj7=1 b3 5 7|Cmin-maj7=1 b3 5 7|Cm-M7=1 b3 5 7|Cm-7=1 b3 5 b7|C fully diminished seventh=1 b3 b5 bb7
[C7]=1 3 5 b7|C7(b9.#11)=1 3 5 b7 b9 #11|Cmaj7sus2=1 2 5 7|C6sus4=1 4 5 6|C6sus2=1 2 5 6
"""


@pytest.mark.parametrize("entry", [entry for line in IN_USE.strip().splitlines() for entry in line.split("|")])
def test_spelling_in_use_is_read(entry):
    text, _, degrees = entry.partition("=")
    chord = Chord(text)
    assert " ".join(chord.degrees) == degrees
    assert (chord.root.name, chord.bass.name) == ("C", "C")


#: Roots and basses: text, root, degrees, bass (common practice, no source).
ROOTS = [
    ("B flat minor seventh", "Bb", "1 b3 5 b7", "Bb"),
    ("F sharp minor", "F#", "1 b3 5", "F#"),
    ("Csharp7", "C#", "1 3 5 b7", "C#"),
    ("Bflatm7", "Bb", "1 b3 5 b7", "Bb"),
    ("C/Eflat", "C", "1 3 5", "Eb"),
    ("Fx7", "F##", "1 3 5 b7", "F##"),
    ("G𝄫7", "Gbb", "1 3 5 b7", "Gbb"),
    ("C#b5", "C#", "1 3 b5", "C#"),
    ("B b m7", "Bb", "1 b3 5 b7", "Bb"),
    ("bbm7", "Bb", "1 b3 5 b7", "Bb"),
    ("dsus4", "D", "1 4 5", "D"),
    ("am/g", "A", "1 b3 5", "G"),
    ("C/bb", "C", "1 3 5", "Bb"),
    ("C/B", "C", "1 3 5", "B"),
    ("C over E", "C", "1 3 5", "E"),
    ("C \\ E", "C", "1 3 5", "E"),
    ("C6/9/E", "C", "1 3 5 6 9", "E"),
    ("C7/9/E", "C", "1 3 5 b7 9", "E"),
    ("C7(b9/#11)/Bb", "C", "1 3 5 b7 b9 #11", "Bb"),
    ("Cm/maj7/G", "C", "1 b3 5 7", "G"),
    ("D|C", "C", "1 3 5 9 #11 13", "C"),
    ("D/Cm7", "C", "1 b3 5 b7 9 #11 13", "C"),
    ("F#/C7", "C", "1 3 5 b7 #8 #11 #13", "C"),
    ("Eb/C7", "C", "1 3 5 b7 b10", "C"),
    ("D/C7/E", "C", "1 3 5 b7 9 #11 13", "E"),
    ("C9(no root)", "C", "3 5 b7 9", "E"),
]


@pytest.mark.parametrize(("text", "root", "degrees", "bass"), ROOTS)
def test_root_and_bass_are_read(text, root, degrees, bass):
    chord = Chord(text)
    assert (chord.root.name, " ".join(chord.degrees), chord.bass.name) == (root, degrees, bass)


#: German names (common practice, no source).
GERMAN = [
    ("Es7", "Eb", "1 3 5 b7", "Eb"),
    ("Esus4", "E", "1 4 5", "E"),
    ("Essus4", "Eb", "1 4 5", "Eb"),
    ("Asus4", "A", "1 4 5", "A"),
    ("Assus", "Ab", "1 4 5", "Ab"),
    ("Fism7", "F#", "1 b3 5 b7", "F#"),
    ("Hm7b5", "B", "1 b3 b5 b7", "B"),
    ("Bmaj7", "Bb", "1 3 5 7", "Bb"),
    ("h", "B", "1 b3 5", "B"),
    ("fis7", "F#", "1 b3 5 b7", "F#"),
    ("b", "Bb", "1 b3 5", "Bb"),
    ("C/H", "C", "1 3 5", "B"),
    ("C/B", "C", "1 3 5", "Bb"),
    ("Gm7/Es", "G", "1 b3 5 b7", "Eb"),
    ("Fis-Moll", "F#", "1 b3 5", "F#"),
    ("H-Dur", "B", "1 3 5", "B"),
    ("b-Moll", "Bb", "1 b3 5", "Bb"),
]


@pytest.mark.parametrize(("text", "root", "degrees", "bass"), GERMAN)
def test_german_names_are_read(text, root, degrees, bass):
    chord = Chord(text, names="german")
    assert (chord.root.name, " ".join(chord.degrees), chord.bass.name) == (root, degrees, bass)


@pytest.mark.parametrize(
    ("text", "root", "degrees", "bass"),
    [
        ("Sol7", "G", "1 3 5 b7", "G"),
        ("Sibm", "Bb", "1 b3 5", "Bb"),
        ("Do/Mi", "C", "1 3 5", "E"),
        ("Fa dièse mineur", "F#", "1 b3 5", "F#"),
        ("Sib maggiore", "Bb", "1 3 5", "Bb"),
        ("La menor", "A", "1 b3 5", "A"),
    ],
)
def test_fixed_do_names_are_read(text, root, degrees, bass):
    chord = Chord(text, names="fixed do")
    assert (chord.root.name, " ".join(chord.degrees), chord.bass.name) == (root, degrees, bass)


def test_unknown_system_of_names_is_refused():
    with pytest.raises(PitchError, match="names 'dutch'"):
        Chord("C7", names="dutch")


AMBIGUOUS = "C4 Cm4 C7(4) C(b9) C(#9) Cm(b9) Cm7sus4 C-7sus4 C+11 Cm+7 Cadd7 C9/6 C6-9 Cmaj#11 a a7 bb d7b9 C4/E C(b9,#11)/G D/C4 Cm4(b13)"


@pytest.mark.parametrize("text", [*AMBIGUOUS.split(), "E b5", "E b7", "C b13", "C #9"])
def test_ambiguous_text_is_refused_and_every_reading_is_readable(text):
    with pytest.raises(AmbiguousError) as refusal:
        Chord(text)
    readings = [Chord(reading) for reading in refusal.value.readings]
    assert len({(chord.root, chord.degrees) for chord in readings}) == len(readings) >= 2
    assert repr(text) in str(refusal.value)


NONSENSE = (
    "C( C) C7(b9 C7() C7(b9,) C/ C//E C/E/G C7b3 Cm3 C/3 C79 C713 C67 C15 C3 C8 Cxyz foo dim aug add9 Dom7 C7? C7* "
    "Cadd Cno C7no9 C7alt(b9) C9alt C7b11 C7#13 C7b7 Cmaj5 Cdimsus4 Cdim6 C+6 Cdim13 CmM7m Ebbbb7 B###7 X % V7 ii7 "
    "H7 Hm Es7 Fis7 Cquartal Cdom C5b5 D|C|E Cm7foo C7/x"
)


@pytest.mark.parametrize("text", [*NONSENSE.split(), "", "   ", "C maj min", 7, None])
def test_nonsense_is_refused_and_quoted(text):
    with pytest.raises(ChordError) as refusal:
        Chord(text)
    assert repr(text) in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("C3", "write Pitch('C3')"),
        ("V7", "Roman"),
        ("Es7", "names='german'"),
        ("Cb3", "write Pitch('Cb3')"),
        ("C(b3)", "write 'Cm'"),
        ("C/3", "a bass is written as a note"),
        ("Cquartal", "C7sus4"),
        ("%", "repetition"),
    ],
)
def test_advice_is_given_where_it_is_certain(text, advice):
    with pytest.raises(ChordError, match=advice.replace("(", r"\(").replace(")", r"\)")):
        Chord(text)


@pytest.mark.parametrize("row", QUALITIES, ids=lambda row: row.suffix or "major")
def test_short_cut_table_says_what_the_grammar_says(row):
    for suffix in (row.suffix, *row.spellings):
        if "+6" in suffix or suffix in ("It6", "Fr6", "Ger6", "Gr6", "Tristan", "tristan"):
            continue  # names of one chord each, which no grammar composes
        assert read_suffix(plain_chord_text("C" + suffix)[1:], "C" + suffix, "C").degrees == row.degrees


GERMAN_AMBIGUOUS = ["Bb7", "Bbm/Es", "C4", "C(b9)/H"]


@pytest.mark.parametrize("text", GERMAN_AMBIGUOUS)
def test_ambiguous_german_text_has_german_readings(text):
    with pytest.raises(AmbiguousError) as refusal:
        Chord(text, names="german")
    assert len({Chord(reading, names="german") for reading in refusal.value.readings}) >= 2


def test_readings_keep_the_rest_of_the_text():
    with pytest.raises(AmbiguousError) as refusal:
        Chord("C(b9,#11)/G")
    assert refusal.value.readings == ("C7(b9,#11)/G", "C(addb9,add#11)/G")


PIECES = (
    "C Bb F♯ a Eb m maj M 7 9 11 13 6 69 6/9 sus sus4 add no omit b5 #5 b9 #9 #11 b13 + - ° ø Δ alt ( ) , / | E 5 2 4"
)
PIECES += " dim aug ^ o b # ♮ dom mi 3 8 root flat (b9) no3 add9 N.C. 𝄪"


@given(
    st.lists(st.sampled_from([*PIECES.split(), " "]), max_size=6), st.sampled_from(["english", "german", "fixed do"])
)
@settings(max_examples=300)
def test_any_text_is_read_back_or_refused_with_readings_that_can_be_read(pieces, names):
    text = "".join(pieces)
    chord, refusal = None, None
    try:
        chord = Chord(text, names=names)
    except (AmbiguousError, ChordError) as error:
        refusal = error
    if chord is not None:
        assert Chord(chord.symbol) == chord
        assert Chord(chord.spelled(names), names=names) == chord
    elif isinstance(refusal, AmbiguousError):
        assert refusal.readings
        for reading in refusal.readings:
            Chord(reading, names=names)
    else:
        assert repr(text) in str(refusal)
