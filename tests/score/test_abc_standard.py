"""The ABC 2.1 standard's own short examples, by section (abcnotation.com, "The abc music standard 2.1", December 2011).

Facts are the standard's; what it only implies is marked. Examples of lengths are in unit notes.
"""

import unicodedata
from fractions import Fraction

import pytest

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score


def read(body, *fields, key="C"):
    head = "\n".join(("X:1", "T:Example", "L:1", *fields, f"K:{key}"))
    return load_score(f"{head}\n{body}\n".encode(), cache=False)


def lengths(piece):
    """Length of each note or chord, grace notes left out, in unit notes."""
    seen = {}
    for note in piece.notes:
        if not note.grace:
            seen.setdefault(note.event, note.duration / 4)
    return [str(seen[event]) for event in sorted(seen)]


def names(piece):
    return " ".join(note.written.name for note in piece.notes if not note.grace)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        pytest.param("A/2{g}A3/2", ["1/2", "3/2"], id="4.12 grace note between"),
        pytest.param("A<{g}A", ["1/2", "3/2"], id="4.12 grace note behind a broken rhythm sign"),
        pytest.param("A{g}<A", ["1/2", "3/2"], id="4.12 grace note before a broken rhythm sign"),
        pytest.param("a>b a<b", ["3/2", "1/2", "1/2", "3/2"], id="4.4 broken rhythm"),
        pytest.param("a>>b a>>>b", ["7/4", "1/4", "15/8", "1/8"], id="4.4 double and triple dots"),
        pytest.param("a>b c<d e2>f2", ["3/2", "1/2", "1/2", "3/2", "3", "1"], id="4.4 longer notes"),
        pytest.param("a/ a/2 a// a3/2 a/4", ["1/2", "1/2", "1/4", "3/2", "1/4"], id="4.3 fractions"),
        pytest.param("(3:: abc d", ["2/3", "2/3", "2/3", "1"], id="4.13 (3:: is (3:2:3"),
        pytest.param("(3:2 abc d", ["2/3", "2/3", "2/3", "1"], id="4.13 (3:2 is (3:2:3"),
        pytest.param("(3::2 abc", ["2/3", "2/3", "1"], id="4.13 (3::2 is (3:2:2"),
        pytest.param("(3:2:2 G4c2 d", ["8/3", "4/3", "1"], id="4.13 notes of different lengths"),
        pytest.param("(3:2:4 G2A2Bc d", ["4/3", "4/3", "2/3", "2/3", "1"], id="4.13 four notes in a triplet"),
        pytest.param("(3 D2E2F2 G", ["4/3", "4/3", "4/3", "1"], id="4.13 longer notes"),
        pytest.param("(3 D3EF2 G", ["2", "2/3", "4/3", "1"], id="4.13 uneven notes"),
        pytest.param("(2ab(4abcd", ["3/2"] * 2 + ["3/4"] * 4, id="4.13 two and four in the time of three"),
        pytest.param("(6abcdef(8abcdefga", ["1/3"] * 6 + ["3/8"] * 8, id="4.13 six in two, eight in three"),
        pytest.param("[M:C](5abcde(7abcdefg(9abcdefgab", ["2/5"] * 5 + ["2/7"] * 7 + ["2/9"] * 9, id="4.13 n is two"),
        pytest.param(
            "[M:6/8](5abcde(7abcdefg(9abcdefgab", ["3/5"] * 5 + ["3/7"] * 7 + ["1/3"] * 9, id="4.13 n is three in 6/8"
        ),
        pytest.param("[C2E2G2]3 [CEG]6", ["6", "6"], id="4.17 lengths inside and outside are multiplied"),
        pytest.param("[d2ag/] c", ["2", "1"], id="4.17 a chord lasts as long as its first note"),
        pytest.param(
            '( "^I" !f! [CEG]- > [CEG] "^IV" [F=AC]3/2"^V"[GBD]/  H[CEG]2 )',
            ["3/2", "1/2", "3/2", "1/2", "2"],
            id="4.17 chords with signs before and behind",
        ),
        pytest.param("A2``B``C", ["2", "1", "1"], id="4.7 backquotes between beamed notes"),
        pytest.param("(c (d e f) g a) .(cde.) C.-C", ["1"] * 11, id="4.11 slurs and dotted ties"),
        pytest.param("{g}A3 A{g}AA {gAGAG}A {/g}C {a3/2b/}A {a>b}A", ["3", *["1"] * 7], id="4.12 grace notes"),
        pytest.param("(3.a.b.c vAuBvA", ["2/3"] * 3 + ["1"] * 3, id="4.14 decorations"),
        pytest.param(
            "[!1!C!3!E!5!G]  !coda! y  !p! !trill! C   !fermata!|", ["1", "1"], id="4.14 on chords and spacers"
        ),
        pytest.param("A [r: and this is a remark] B", ["1", "1"], id="3.2 remark amid the music"),
        pytest.param("A2 B2 % remark C2", ["2", "2"], id="2.2.5 remark"),
    ],
)
def test_lengths(body, expected):
    assert lengths(read(body)) == expected


@pytest.mark.parametrize(
    ("body", "key", "expected"),
    [
        pytest.param("C, D, c d c' d'", "C", "C3 D3 C5 D5 C6 D6", id="4.1 octaves"),
        pytest.param("^a ^^a _a __a =a", "C", "A#5 A##5 Ab5 Abb5 A5", id="4.2 accidentals"),
        pytest.param("FGABc", "D Phr ^f", "F#4 G4 A4 Bb4 C5", id="3.1.14 D Phrygian with an F sharp"),
        pytest.param("dabe", "D exp _b _e ^f", "D5 A5 Bb5 Eb5", id="3.1.14 a key signature spelled out"),
        pytest.param("cf", "D maj =c", "C5 F#5", id="3.1.14 D major with a natural"),
        pytest.param("cfg", "Hp", "C#5 F#5 G5", id="3.1.14 Highland pipes with their signature"),
        pytest.param("cfg", "HP", "C5 F5 G5", id="3.1.14 Highland pipes without one"),
        pytest.param("c^c c'", "C", "C5 C#5 C#6", id="11.3 accidentals hold for all octaves unless told otherwise"),
        pytest.param("[I:propagate-accidentals octave]^c c c'", "C", "C#5 C#5 C6", id="11.3 for one octave"),
        pytest.param("[I:propagate-accidentals not]^c c c'", "C", "C#5 C5 C6", id="11.3 for one note"),
    ],
)
def test_pitches(body, key, expected):
    assert names(read(body, key=key)) == expected


@pytest.mark.parametrize(
    ("body", "order"),
    [
        pytest.param("|:C:|D", "CCD", id="4.8 repeat"),
        pytest.param("C:|D", "CCD", id="4.8 a repeat may begin without a sign"),
        pytest.param("|:C::D:|", "CCDD", id="4.8 :: ends one and starts another"),
        pytest.param("|:C:|:D:|", "CCDD", id="4.8 as :|:"),
        pytest.param("|:C:||:D:|", "CCDD", id="4.8 as :||:"),
        pytest.param("|::C::|D", "CCCD", id="4.8 three times"),
        pytest.param("|:::C:::|D", "CCCCD", id="4.8 four times"),
        pytest.param("[|]C|D.|E|]", "CDE", id="4.8 invisible and dotted barlines"),
        pytest.param("|:C|1D:|2E|]", "CDCE", id="4.9 first and second ending"),
        pytest.param("|:C|[1D:|[2E|]", "CDCE", id="4.9 with brackets"),
        pytest.param("|:C| [1 D :| [2 E |]", "CDCE", id="4.9 with spaces"),
        pytest.param("|:C|[1,3D:|[2,4E:|F", "CDCECDCEF", id="4.10 variant endings"),
        pytest.param("|:C|[1-3D:|[4E|]", "CDCDCDCE", id="4.10 ranges"),
        pytest.param("|:C|[1,3,5-7D:|[2,4,8E:|", "CDCECDCECDCDCDCE", id="4.10 numbers and ranges"),
    ],
)
def test_order(body, order):
    assert "".join(note.written.step for note in read(body).played().notes) == order


@pytest.mark.parametrize(
    ("parts", "body", "order"),
    [
        pytest.param("AB", "P:A\nC|\nP:B\nD|", "CD", id="as written"),
        pytest.param("ABA", "P:A\nC|\nP:B\nD|", "CDC", id="3.1.9 three parts of two"),
        pytest.param("A2B3", "P:A\nC|\nP:B\nD|", "CCDDD", id="3.1.9 numbers"),
        pytest.param(
            "((AB)3.(CD)3)2", "P:A\nC|\nP:B\nD|\nP:C\nE|\nP:D\nF|", ("CD" * 3 + "EF" * 3) * 2, id="3.1.9 nested"
        ),
        pytest.param("A.B.(AB)3", "P:A\nC|\nP:B\nD|", "CD" * 4, id="3.1.9 dots and brackets"),
        pytest.param(
            "A4.B4", "P:A\nC|[1D:|[2E:|[3F:|[4G|]\nP:B\nA|", "CDCECFCGAAAA", id="4.10 an ending for each time"
        ),
        pytest.param(
            "AABB", "P:A\n|:C|D:|\nP:B\n|:E|F:|", "CDCDEFEF", id="implied: repeat signs and AABB say the same"
        ),
        pytest.param("ABA", "P:A\n|:C|D:|\nP:B\n|:E|F:|", "CDCDEFEFCDCD", id="implied: repeats are taken in each part"),
        pytest.param(
            "AB", "G|\nP:A\nC|\nP:B\nD|", "GCD", id="implied: what stands before the first part is played first"
        ),
    ],
)
def test_order_of_parts(parts, body, order):
    piece = read(body, f"P:{parts}")
    assert "".join(note.written.step for note in piece.played().notes) == order
    assert [mark.text for mark in piece.rehearsal_marks] == sorted(set(parts) & set("ABCDEFG"))


@pytest.mark.parametrize("parts", ["AC", "A(B", "A)B", "A-B", "A9999999", "(A99)99", "(A0)", "how it goes"])
def test_order_of_parts_that_cannot_be_played_is_told(parts):
    piece = read("P:A\nC|\nP:B\nD|", f"P:{parts}")
    assert "".join(note.written.step for note in piece.played().notes) == "CD"
    assert any("they stand as written" in notice for notice in piece.notices)


@pytest.mark.parametrize(
    ("text", "expected"),
    [  # 8.2 text strings, by name of the letter in Unicode
        (r"\'e \`a \^o \"u", ["E WITH ACUTE", "A WITH GRAVE", "O WITH CIRCUMFLEX", "U WITH DIAERESIS"]),
        (r"\~n \cc \aa \/o", ["N WITH TILDE", "C WITH CEDILLA", "A WITH RING ABOVE", "O WITH STROKE"]),
        (r"\ua \vs \Ho", ["A WITH BREVE", "S WITH CARON", "O WITH DOUBLE ACUTE"]),
        (r"\ae \oe \ss", ["AE", "LIGATURE OE", "SHARP S"]),
        ("&eacute; &agrave; &ntilde;", ["E WITH ACUTE", "A WITH GRAVE", "N WITH TILDE"]),
        (r"\u00e9 \u0151", ["E WITH ACUTE", "O WITH DOUBLE ACUTE"]),
    ],
)
def test_letters_with_accents(text, expected):
    found = load_score(f"X:1\nT:{text}\nK:C\nC|\n".encode(), cache=False).title.split()
    assert [
        unicodedata.name(one).removeprefix("LATIN SMALL LETTER ").removeprefix("LATIN SMALL ") for one in found
    ] == expected


def test_other_scripts_and_percent_and_ampersand():
    text = r"X:1" + "\nT:Чижик\nT:茉莉花\nC:Πλάτων\n" + 'K:C\n"^медленно"C|"_50\\% слабее"D|"@A \\& B"E|\n'
    piece = load_score(text.encode(), cache=False)
    assert (piece.title, piece.composer) == ("Чижик", "Πλάτων")
    assert [word.text for word in piece.words] == ["медленно", "50% слабее", "A & B"]


def test_charset():
    """4.1 of appendix and 2.1: a file may name its encoding with abc-charset; ISO 8859-2 has o with double acute at F5."""
    text = b"%%abc-charset iso-8859-2\n\nX:1\nT:N\xf5ta\nK:C\nC|\n"
    assert load_score(text, cache=False).title == "Nőta"


@pytest.mark.parametrize(
    ("symbol", "expected"),
    [
        pytest.param('"G(Em)"', "G", id="4.18 alternate chord in brackets"),
        pytest.param('"C/E"', "C/E", id="4.18 bass"),
        pytest.param('"C/e"', "C/E", id="4.18 bass in a small letter"),
        pytest.param('"B♭m7"', "Bbm7", id="4.18 flat sign of Unicode"),
        pytest.param('"F♯dim"', "F#dim", id="4.18 sharp sign of Unicode"),
    ],
)
def test_chord_symbols(symbol, expected):
    assert [one.text for one in read(symbol + "C").chord_symbols] == [expected]


def test_annotations_are_no_chord_symbols():
    piece = read('"<(" ">)" C "^A7 here" "_below"D "@free"E')
    assert (len(piece.chord_symbols), [word.text for word in piece.words]) == (
        0,
        ["(", ")", "A7 here", "below", "free"],
    )


def test_symbol_lines():
    """4.15: the two ways of writing the same chords and decorations; rests and spacers take no symbol."""
    one = read('C2  C2 Ez   A2|\ns: "C" *  "Am" * |\ns: *   *  !>!  * |')
    other = read('"C" C2 C2 "Am" !>! Ez A2|')
    assert [(symbol.text, symbol.onset) for symbol in one.chord_symbols] == [("C", 0), ("Am", 16)]
    assert one.chord_symbols == other.chord_symbols
    piece = read('CDEF    | G```AB`c\ns: "^slow" | !f! ** !fermata!')
    assert [(word.text, word.measure, word.onset) for word in piece.words] == [("slow", 0, 0)]
    assert [note.fermata for note in piece.notes] == [False] * 7 + [True]


def test_symbol_line_goes_on_where_the_one_before_ended():
    piece = read('C D|E F|\ns: "C" "D" | "E"\nG A|\ns: * "A"')
    assert [(symbol.text, symbol.measure) for symbol in piece.chord_symbols] == [("C", 0), ("D", 0), ("E", 1), ("A", 2)]


def test_redefined_symbols():
    """4.16: letters and ~ may be given another meaning, or none."""
    piece = read("[U:n=!fermata!]nC HD|[U:H=!nil!]HE pF|", 'U: p = "^plus"')
    assert [note.fermata for note in piece.notes] == [True, True, False, False]
    assert [word.text for word in piece.words] == ["plus"]


def test_fields_that_go_on_and_lines_that_go_on():
    """3.3: +: continues the field before; 6.1.1: a backslash joins lines of music."""
    piece = read("C D \\\nE F|\nw: la la\n+: la la\nG4|", "C:One\n+:and two")
    assert (names(piece), piece.composer, len(piece.measures)) == ("C4 D4 E4 F4 G4", "One and two", 2)


def test_typeset_text_is_no_music():
    """2.2.3: text between %%begintext and %%endtext."""
    assert names(read("C D|\n%%begintext\nABC|DEF\n%%endtext\nE|")) == "C4 D4 E4"


def test_line_breaks_with_exclamation_marks():
    """9.1 (I:linebreak): an exclamation mark may end a line of the score, and is no decoration then."""
    assert names(read("C D|!E F|!G|", "I:linebreak !")) == "C4 D4 E4 F4 G4"


def test_voices_and_overlay():
    """7: three voices by V: lines and inline, with clefs and names; 7.4: & goes back to the start of the bar."""
    piece = read(
        "[V:T1] c2 d2|[V:T2] A2 B2|[V:B1] F4|\n[V:T1] e4|[V:T2] c4|[V:B1] C4&E2F2|",
        'V:T1 clef=treble-8 name="Tenore I" snm="T.I"',
        'V:T2 clef=treble-8 name="Tenore II"',
        "V:B1 clef=bass name=Basso",
    )
    assert [part.name for part in piece.parts] == ["Tenore I", "Tenore II", "Basso"]
    assert [clef.name for clef in piece.clefs] == ["treble-8", "treble-8", "bass"]
    assert [(n.written.name, n.voice) for n in piece.notes_of(1, 1, [2])] == [("C4", 1), ("E4", 2), ("F4", 2)]


@pytest.mark.parametrize(
    ("body", "said"),
    [
        pytest.param("^/c", "quarter tone", id="quarter tones are in no standard before 2.2"),
        pytest.param("_3/2c", "quarter tone", id="three quarter tones"),
        pytest.param("(&CD|EF&AB|cd&)", "overlay over several bars", id="the overlay of ABC 2.0 over several bars"),
        pytest.param("(3::0abc", "tuplet", id="a tuplet of no notes"),
        pytest.param("(3:0abc", "tuplet", id="a tuplet in no time"),
    ],
)
def test_what_is_not_read_is_an_error(body, said):
    with pytest.raises(ScoreError, match=f"tune X:1: .*{said}"):
        read(body)


def test_chord_that_a_mailer_broke_and_bracket_with_no_end():
    """Both stand in tune books that are about; 4.17 has no line break in a chord, so the second is taken as no chord."""
    broken = read("[f3a\n3] [df]|")
    assert [(note.written.name, note.onset / 4) for note in broken.notes] == [
        ("F5", 0),
        ("A5", 0),
        ("D5", 3),
        ("F5", 3),
    ]
    left_open = read('["Coda"C2E|G|')
    assert (names(left_open), lengths(left_open)) == ("C4 E4 G4", ["2", "1", "1"])
    assert any("bracket" in notice for notice in left_open.notices)


def test_file_saved_from_a_mail():
    """RFC 2045, quoted-printable: an equals sign is sent as =3D, and one at the end of a line joins it to the next."""
    text = "X:1\nL:1\nK:G\nf=3Df B=\n c|\n"
    assert names(load_score(text.encode(), cache=False)) == "F#5 F5 B4 C5"


def test_what_is_passed_over_is_told():
    piece = read("~G3|", "m: ~G3 = G{A}G{F}G", "I:abc-include ornaments.abh")
    assert any("macro" in notice for notice in piece.notices)
    assert any("abc-include" in notice for notice in piece.notices)
    assert [note.duration for note in piece.notes] == [Fraction(12)]
