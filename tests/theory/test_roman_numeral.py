"""Roman numerals read in a key: cases, taught chords, conventions, refusals."""

import csv
import itertools
from pathlib import Path

import pytest

from musictheory_nb.errors import AmbiguousError, KeyNameError, RomanNumeralError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.roman_analysis import roman_of
from musictheory_nb.theory.roman_numeral import ROMAN_KINDS, Roman
from musictheory_nb.theory.roman_setting import ROMAN_SETTINGS, RomanSettings

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a published table, comment lines left out."""
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


CASES = {row["id"]: row for row in rows("roman_cases.tsv")}
TAUGHT = rows("roman_chords.tsv")
#: Every combination of the settings that change how a numeral is read or written.
CONVENTIONS = [
    {"numerals": numerals, "degrees": degrees, "ring": ring}
    for numerals in ROMAN_SETTINGS["numerals"]
    for degrees in ROMAN_SETTINGS["degrees"]
    for ring in ROMAN_SETTINGS["ring"]
]


def test_the_tables_are_there():
    assert set(CASES) == {"D05", "D07", "D09", "D11"}
    assert len(TAUGHT) > 90


# roman_cases.tsv, D05: "VII, VI (or bVII/bVI by choice) - and the same notes on reading back"
@pytest.mark.parametrize(("notes", "key", "figure", "other"), [
    ("G B D", "A minor", "VII", "bVII"),
    ("Ab C Eb", "C minor", "VI", "bVI"),
])  # fmt: skip
def test_d05_major_chords_on_the_lowered_degrees_of_minor(notes, key, figure, other):
    found = roman_of(notes.split(), key)
    assert (found.figure, found.written(degrees="major")) == (figure, other)
    assert Roman(figure, key).names == Roman(other, key).names == notes.split()
    assert Roman(other, key, degrees="major").names == notes.split()


# roman_cases.tsv, D07: "V7/V; vii°7/ii"
@pytest.mark.parametrize(("notes", "figure"), [("D F# A C", "V7/V"), ("C# E G Bb", "vii°7/ii")])
def test_d07_applied_chords_are_labelled_and_read(notes, figure):
    assert roman_of(notes.split(), "C major").figure == figure
    assert Roman(figure, "C major").names == notes.split()


# roman_cases.tsv, D09: "Ab C F#; Ab C D F#; Ab C Eb F#; Db F Ab B; F# in the bass"
@pytest.mark.parametrize(
    ("figure", "notes"), [
        ("It6", "Ab C F#"), ("Fr43", "Ab C D F#"), ("Ger65", "Ab C Eb F#"), ("Ger65/IV", "Db F Ab B"),
    ],
)  # fmt: skip
def test_d09_augmented_sixths(figure, notes):
    assert Roman(figure, "C major").names == notes.split()
    assert roman_of(notes.split(), "C major").figure == figure


def test_d09_german_sixth_in_root_position_has_the_raised_fourth_in_the_bass():
    chord = Roman("Ger7", "C major")
    assert chord.bass.name == chord.names[0] == "F#"
    assert set(chord.names) == {"F#", "Ab", "C", "Eb"}
    assert chord.inversion == 0


# roman_cases.tsv, D11: "Bb D F; G B D F; B D F A; ii-7 = D F A C (jazz -7); V7alt = altered dominant or refuse"
@pytest.mark.parametrize(
    ("figure", "notes"), [("bVII", "Bb D F"), ("V7", "G B D F"), ("vii7", "B D F A"), ("ii-7", "D F A C")]
)
def test_d11_numerals_in_c(figure, notes):
    assert Roman(figure, "C").names == notes.split()


def test_d11_altered_dominant():
    # chord_cases.tsv, A13: G, B and F are kept, never the natural 5 (D) or 9 (A).
    names = set(Roman("V7alt", "C major").names)
    assert {"G", "B", "F"} < names
    assert not {"D", "A"} & names


@pytest.mark.parametrize("row", TAUGHT, ids=lambda row: f"{row['numeral']} in {row['key']} {row['convention'] or ''}")
def test_taught_numeral_names_its_notes_and_reads_back(row):
    settings = {"numerals": row["convention"]} if row["convention"] else {}
    numeral = Roman(row["numeral"], row["key"], **settings)
    assert numeral.names == row["notes"].split()
    assert Roman(numeral.figure, row["key"]) == numeral
    assert Roman(numeral.display, row["key"]) == numeral
    assert Roman(numeral.written(**settings), row["key"], **settings) == numeral


# The same chord written in other hands (common practice, no source).
@pytest.mark.parametrize(("texts", "key"), [
    (("V65", "V6/5", "V⁶₅", "V 6/5", "V653"), "C major"),
    (("vii°7", "viio7", "viiº7", "vii07", "viidim7", "#vii°7", "vii7"), "A minor"),
    (("iiø65", "ii/o65", "iiØ6/5", "ii/o6/5"), "C major"),
    (("bVII", "♭VII", "♭Ⅶ"), "C major"),
    (("V42", "V2", "V4/2", "V642"), "F major"),
    (("V7/V", "V⁷/V", "V7 / V", "V7 of V"), "G major"),
    (("IΔ", "I△7", "Imaj7", "IM7", "Imaj 7", "I7"), "C major"),
    (("ii-7", "ii−7", "iim7", "IIm7", "IImi7", "II-7", "ii7"), "C major"),
    (("Ger65", "Ger6", "Ger", "Gr+6", "Ger+6", "Ger6/5"), "C major"),
    (("Fr43", "Fr6", "Fr+6", "Fr4/3"), "C minor"),
    (("It6", "It+6", "It"), "C minor"),
    (("N6", "bII6", "♭II6", "Neapolitan sixth"), "D minor"),
    (("Ger65", "German sixth", "Ger. 6/5", "German augmented sixth"), "A minor"),
    (("iiø7", "iim7b5", "II-7b5", "ii half-dim 7"), "A minor"),
    (("N53", "bII"), "D minor"),
    (("Cad64", "cad6/4", "V64-53", "V6/4-5/3", "V6-5/4-3"), "C major"),
    (("III+6", "III+63"), "A minor"),
    (("V7[no5]", "V7[omit5]"), "C major"),
    (("V/V/V", "V/II"), "C major"),
])  # fmt: skip
def test_other_hands_write_the_same_chord(texts, key):
    first, *others = (Roman(text, key) for text in texts)
    for other in others:
        assert other.chord == first.chord


@pytest.mark.parametrize(("convention", "numerals"), [
    # notes of A minor: G major, F major, G# diminished, F# half-diminished, C major, F# minor
    ("quality", ("VII", "VI", "vii°", "viø7", "III", "vi")),
    ("key", ("VII", "VI", "#vii°", "#viø7", "III", "#vi")),
    ("harmonic", ("bVII", "VI", "vii°", "#viø7", "III", "#vi")),
    ("melodic", ("bVII", "bVI", "vii°", "viø7", "III", "vi")),
    ("major", ("bVII", "bVI", "vii°", "viø7", "bIII", "vi")),
])  # fmt: skip
def test_degree_conventions_of_minor(convention, numerals):
    # What each convention says is told in ROMAN_SETTINGS; common practice, no source.
    chords = ("G", "F", "G#dim", "F#m7b5", "C", "F#m")
    for symbol, numeral in zip(chords, numerals, strict=True):
        assert Roman.of(symbol, "A minor").written(degrees=convention) == numeral
        assert Roman(numeral, "A minor", degrees=convention).chord == Chord(symbol)


@pytest.mark.parametrize(
    ("text", "notes"), [("bIII", "C E G"), ("bVI", "F A C"), ("#vii°", "G# B D"), ("#vi", "F# A C#")]
)
def test_an_accidental_that_only_repeats_is_a_caution(text, notes):
    assert Roman(text, "A minor").names == notes.split()


@pytest.mark.parametrize(
    ("text", "notes"), [("bbVII", "Gb Bb Db"), ("#VI", "F# A# C#"), ("bvi", "F Ab C"), ("##vi", "F## A# C##")]
)
def test_an_accidental_against_the_quality_counts(text, notes):
    assert Roman(text, "A minor").names == notes.split()


def test_ring_as_a_setting():
    assert Roman("vii", "C major").names == ["B", "D", "F"]
    assert Roman("vii", "C major", ring="written").names == ["B", "D", "F#"]
    assert Roman("vii7", "A minor", ring="implied").names == ["G#", "B", "D", "F"]
    # minor triads on the leading tone are still written so that they read back
    assert Roman.of("Bm", "C major").figure == "viim"
    assert Roman.of("Bm", "C major").written(ring="written") == "vii"


def test_church_modes_count_on_their_own_scale():
    # common practice: the chords of D dorian and G mixolydian have the notes of C major
    assert Roman("IV", "D dorian").names == ["G", "B", "D"]
    assert Roman("VII", "G mixolydian").names == Roman("bVII", "G mixolydian").names == ["F", "A", "C"]
    assert Roman("vi°", "D dorian").names == ["B", "D", "F"]


def test_degree_counts_as_the_key_counts():
    for text, key in itertools.product(("V", "VII", "vii°", "N6", "V7/iv", "iv"), ("A minor", "F# minor")):
        numeral = Roman(text, key)
        assert numeral.degree == Key(key).degree(numeral.root)


def test_equal_when_they_say_the_same():
    assert Roman("N6", "C major") == Roman("bII6", "C major")
    assert Roman("V7/V", "C major") != Roman("II7", "C major")
    assert Roman("Cad64", "C major") != Roman("I64", "C major")
    assert Roman("V", "C major") != Roman("V", "C minor")
    assert len({Roman("V65", "C"), Roman("V6/5", "C major")}) == 1


def test_key_may_be_given_as_a_key():
    assert Roman("V7", Key("Eb minor")) == Roman("V7", "Eb minor")
    assert Roman("V7", Key("Eb minor")).key == Key("Eb minor").name


@pytest.mark.parametrize("settings", CONVENTIONS, ids=lambda settings: "-".join(settings.values()))
def test_every_taught_chord_reads_back_under_every_convention(settings):
    for row in TAUGHT:
        numeral = Roman(row["numeral"], row["key"], **({"numerals": row["convention"]} if row["convention"] else {}))
        assert Roman(numeral.written(**settings), row["key"], **settings) == numeral


@pytest.mark.parametrize("settings", [
    {"signs": "ascii"}, {"figures": "6/5"}, {"neapolitan": "bII6"}, {"cadential": "V64-53"},
    {"signs": "ascii", "figures": "6/5", "numerals": "jazz"}, {"signs": "ascii", "numerals": "capitals"},
], ids=str)  # fmt: skip
def test_every_way_of_writing_reads_back(settings):
    for row in TAUGHT:
        numeral = Roman(row["numeral"], row["key"], **({"numerals": row["convention"]} if row["convention"] else {}))
        text = numeral.written(**settings)
        reading = {"numerals": settings["numerals"]} if "numerals" in settings else {}
        assert Roman(text, row["key"], **reading) == numeral
        if settings.get("signs") == "ascii":
            assert text.isascii()


@pytest.mark.parametrize(("text", "message"), [
    ("", "write a numeral I to VII"),
    ("VIII", "'VIII' is no degree; they go from I to VII"),
    ("viiio43", "'viii' is no degree"),
    ("Vi", "write 'Vi' in capitals or in small letters throughout"),
    ("5", "write the degree in Roman figures, such as 'V'"),
    ("-VI", "'-' is not a flat; write 'bVI'"),
    ("V/", "ends with a slash"),
    ("V7/V7", "written as a triad without figures; write '/V'"),
    ("V/ii65", "write '/ii'"),
    ("V7/iim7", "written as a triad without figures; write '/ii'"),
    ("V7/Vsus4", "the chord behind the slash is a triad; write the numeral alone"),
    ("V10", "no figure of a chord in thirds"),
    ("b7", "write the degree in Roman figures, such as 'bVII'"),
    ("G7", "is a chord symbol; roman_of"),
    ("ct°7", "write a common-tone diminished seventh by its root, such as '#ii°7'"),
    ("V4-3", "tells of two chords; write each by itself"),
    ("V3", "no figure of a chord in thirds"),
    ("i+", "an augmented triad is major with a raised fifth; write a capital"),
    ("III6+", r"6 is the first inversion; write 'III\+6'"),
    ("vi7alt", "belongs to a major chord; write the numeral in capitals"),
    ("V[x]", r"in brackets write \[no3\]"),
    ("V[no9]", "has no 9 to leave out"),
    ("I[#3]", "contradicts the numeral"),
    ("It43", "the figures of It are 6, 53, 64"),
    ("subV", "write 'subV7'"),
    ("Vhello", "neither figured bass nor a chord symbol"),
    (7, "write it as text"),
])  # fmt: skip
def test_what_is_no_numeral_is_refused_and_quoted(text, message):
    with pytest.raises(RomanNumeralError, match=message) as caught:
        Roman(text, "C major")
    assert repr(text) in str(caught.value)
    assert not isinstance(caught.value, AmbiguousError)


@pytest.mark.parametrize(("text", "readings"), [
    ("N", ("N6", "N53")),
    ("V4", ("Vsus4", "V43", "V64")),
    ("V5", ("V", "V[no3]")),
    ("I/3", ("I6", "I[bass 3]")),
    ("viiø6", ("vii°6", "viiø65")),
])  # fmt: skip
def test_ambiguous_numerals_are_refused_with_their_readings(text, readings):
    with pytest.raises(AmbiguousError) as caught:
        Roman(text, "C major")
    assert caught.value.readings == readings
    for reading in readings:
        assert Roman(reading, "C major").names


def test_other_refusals():
    with pytest.raises(RomanNumeralError, match="give its key too"):
        Roman("V7")
    with pytest.raises(KeyNameError, match="key 'H major'"):
        Roman("V7", "H major")
    with pytest.raises(RomanNumeralError, match="setting 'minor': must be one of 'numerals'"):
        Roman("V7", "C major", minor="key")
    with pytest.raises(RomanNumeralError, match="is in C major"):
        Roman(Roman("V7", "C major"), "D major")
    with pytest.raises(RomanNumeralError, match="more than three accidentals"):
        Roman("bbbVI", "Cb major")
    with pytest.raises(RomanNumeralError, match="has no Roman numeral"):
        Roman.of("N.C.", "C major")


def test_tables_of_choices_are_those_of_the_settings():
    assert {field: getattr(RomanSettings(), field) for field in ROMAN_SETTINGS} == {
        field: next(iter(choices)) for field, choices in ROMAN_SETTINGS.items()
    }
    for field, choices in ROMAN_SETTINGS.items():
        for choice in choices:
            assert getattr(RomanSettings(**{field: choice}), field) == choice
    assert {Roman(text, "C").kind for text in ("V", "It6", "Cad64", "subV7")} == set(ROMAN_KINDS)


def test_building_from_a_chord_checks_what_it_is_given():
    assert Roman.of("Db7/F", "C major", kind="substitute").figure == "subV65"
    assert Roman("subV65", "C major").chord == Chord("Db7/F")
    assert Roman.of("C/G", "C major", kind="cadential") == Roman("Cad64", "C major")
    with pytest.raises(RomanNumeralError, match="is no augmented sixth chord"):
        Roman.of("C", "C major", kind="augmented sixth")
    with pytest.raises(RomanNumeralError, match="cannot be of the kind 'cadential' in C major"):
        Roman.of("C", "C major", kind="cadential")
    for target in (Roman("V7", "C major"), Roman("V", "D major"), Roman("V6", "C major")):
        with pytest.raises(RomanNumeralError, match="must be a triad in root position in C major"):
            Roman.of("D7", "C major", applied_to=target)
    with pytest.raises(RomanNumeralError, match="a tritone substitute is a dominant seventh; write 'subV7'"):
        Roman("subVmaj7", "C major")


def test_mixture_and_diatonic():
    # common practice: the borrowed chords of major are those of the parallel minor
    borrowed = ("i", "ii°", "bIII", "iv", "v", "bVI", "bVII", "iiø7", "vii°7")
    assert all(Roman(text, "Eb major").is_mixture for text in borrowed)
    assert all(Roman(text, "Eb major").is_diatonic for text in ("I", "ii", "iii", "IV", "V7", "vi", "viiø7"))
    assert not any(Roman(text, "Eb major").is_mixture for text in ("V/V", "N6", "Ger65", "#IV"))
    assert Roman("IV", "C minor").is_diatonic
    assert Roman("I", "C minor").is_mixture


def test_pitches_begin_with_the_bass():
    assert [pitch.name for pitch in Roman("V65/V", "C major").pitches("C3")] == ["F#3", "A3", "C4", "D4"]
    assert Roman("Ger7", "C major").pitches("C2")[0].name == "F#2"
    assert Roman("V43", "C major").inversion == 2
