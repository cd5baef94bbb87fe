"""Devices on short passages of our own, written bar by bar from `tests/published/common_practice_devices.tsv`.

Each device has passages in which it is, and near misses in which it is not. Common practice, no source, except where that
table names one.
"""

import pytest
from device_passage import found, piece_of

# ---------------------------------------------------------------- intervals and lines


@pytest.mark.parametrize(
    ("bars", "interval", "where"),
    [
        pytest.param("C D E F|B c d e|", "A4", ("1", "2"), id="F up to B over the bar line"),
        pytest.param("C E B F|G4|", "A4", ("1", "1"), id="B down to F: the fourth below, augmented"),
        pytest.param("C B f e|c4|", "d5", ("1", "1"), id="B up to F"),
        pytest.param("C D ^F c|B4|", "d5", ("1", "1"), id="F sharp up to C"),
    ],
)
def test_tritone_leap(bars, interval, where):
    (one,) = found(piece_of(bars), "tritone leap")
    assert (one.details["interval"], one.measures, one.group) == (interval, where, "intervals")
    assert len(one.notes) == 2


@pytest.mark.parametrize(
    "bars",
    [
        pytest.param("C F C F|G4|", id="perfect fourth"),
        pytest.param("C G C G|G4|", id="perfect fifth"),
        pytest.param("C F z2|z2 B2|", id="a rest of three beats and more between"),
        pytest.param("F G A B|c4|", id="filled in by step"),
    ],
)
def test_no_tritone_leap(bars):
    assert found(piece_of(bars), "tritone leap") == []


def test_near_leaps_of_one_part_are_told_together_and_name_the_notes():
    piece = piece_of("F B F B|c4|c4|c4|F B c c|")
    first, second = found(piece, "tritone leap")
    assert (first.details["times"], second.details["times"]) == (3, 1)
    assert [str(piece.notes[row].sounding.name) for row in second.notes] == ["F4", "B4"]


def test_outlined_tritone_is_between_turning_points():
    (one,) = found(piece_of("A2 F G/A/|B3 A|G4|"), "outlined tritone")
    assert one.details["interval"] == "A4"
    assert found(piece_of("C2 E/F/ G/A/|B2 c2|G4|"), "outlined tritone") == []  # the run goes on from C to C


def test_chromatic_line_needs_five_half_steps_one_way():
    (one,) = found(piece_of("G ^F =F E|_E D2 z|"), "chromatic line")
    assert (one.details["direction"], one.details["notes"]) == ("down", 6)
    assert found(piece_of("G ^F =F E|G ^F =F E|"), "chromatic line") == []
    assert found(piece_of("G A B c|d e f g|"), "chromatic line") == []


# ---------------------------------------------------------------- approach notes


def test_chromatic_approach_and_enclosure_over_written_chords():
    (one,) = found(piece_of('"C"G3 ^D|"C"E4|'), "chromatic approach")
    assert "D#-E" in one.sentence
    (two,) = found(piece_of('"C"G2 z F/^D/|"C"E2 C2|'), "enclosure")
    assert "F-D#-E" in two.sentence


@pytest.mark.parametrize(
    "bars",
    [
        pytest.param('"C"G2 D E|C4|', id="a step of the key"),
        pytest.param('"C"G2 B c|C4|', id="the leading tone belongs to the key"),
        pytest.param('"D7"A2 ^F G|"G"G4|', id="the note is a tone of the chord"),
        pytest.param('"C"E ^D E2|C4|', id="a neighbour goes back where it came from"),
        pytest.param('"C"G2 ^D2|"C"A4|', id="it does not go on by half step"),
    ],
)
def test_no_chromatic_approach(bars):
    assert found(piece_of(bars), "chromatic approach", "enclosure") == []


# ---------------------------------------------------------------- scales


@pytest.mark.parametrize(
    ("bars", "key", "scale"),
    [
        pytest.param('"Dm7"D2F2A2c2|"G7alt"_A_B_c_d _e_d_B_A|"Cmaj7"G8|', "C", "G altered", id="altered"),
        pytest.param('"Am"A4c4|"E7b9"EF^GA Bcd2|"E7"f2e2d2^G2|"Am"A8|', "Am", "E Phrygian dominant", id="Phr. dom."),
        pytest.param('"Cmaj7#11"CDE^F GABc|"C6"c8|', "C", "C Lydian", id="Lydian"),
        pytest.param('"F7"FGAB cd_ed|"C"c8|', "C", "F Lydian dominant", id="Lydian dominant"),
        pytest.param('"C7"C_D_EE ^FGA_B|"F"A8|', "F", "C half-whole diminished", id="half-whole"),
        pytest.param('"G7#5"GAB^c ^dfga|"C"g8|', "C", "G whole tone", id="whole tone over augmented seventh"),
        pytest.param("D2EF G2A2|B2AG A4|c2BA G2E2|F2E2 D4|", "Ddor", "D Dorian", id="Dorian"),
        pytest.param("G2AB c2d2|e2dc d4|f2ed c2A2|B2A2 G4|", "Gmix", "G Mixolydian", id="Mixolydian"),
        pytest.param("F2GA B2c2|d2cB c4|e2dc B2A2|G2A2 F4|", "Flyd", "F Lydian", id="Lydian tune"),
        pytest.param("E2FG A2B2|c2BA G4|F2ED E2G2|A2F2 E4|", "Ephr", "E Phrygian", id="Phrygian"),
        pytest.param("C2DE ^F2^G2|^A2^G^F E4|D2E^F E2D2|C8|", "C", "C whole tone", id="whole tone alone"),
        pytest.param("CD_EF _G_A=AB|c8|", "C", "C whole-half diminished", id="octatonic alone"),
        pytest.param('"C7"C2_EF _GF_EC|"C7"G2_BG F_EC2|', "C", "C minor blues", id="blues"),
        pytest.param("G2AB d2ed|B2AG A4|d2ed B2AB|E2GA B2AB|d2ed B2A2|G8|", "G", "G major pentatonic", id="pentatonic"),
    ],
)
def test_scale_in_use(bars, key, scale):
    names = [one.details["scale"] for one in found(piece_of(bars, unit="1/8", key=key), "scale in use")]
    assert names == [scale] or set(names) == {scale}


@pytest.mark.parametrize(
    ("bars", "key"),
    [
        pytest.param('"C"CDEF GABc|"G7"GABc defg|"C"c8|', "C", id="plain major over its chords"),
        pytest.param("C2DE F2GA|B2cB A2GF|E2D2 C4|", "C", id="plain major"),
        pytest.param("A2Bc d2e2|f2ed ^g2a2|e2dc B2^G2|A8|", "Am", id="harmonic minor is minor"),
        pytest.param("A2Bc d2e2|f2ed e4|g2fe d2B2|c2B2 A4|", "Am", id="natural minor is minor"),
        pytest.param('"Cmaj7#11"C4 E4|"C6"G8|', "C", id="three notes are no scale"),
        pytest.param('"Cmaj7"C2E2 G2B2|"C6"A8|', "C", id="the note that tells it is missing"),
        pytest.param('"Cmaj7"CDEF GABc|"C6"c8|', "C", id="fourth not raised: no Lydian"),
        pytest.param('"G7"GABc defd|"C"c8|', "C", id="dominant of the key: no other scale"),
        pytest.param("C2E2 ^G2c2|C2E2 ^G2c2|", "C", id="an augmented triad is no whole-tone scale"),
        pytest.param("C2_E2 _G2A2|B,2D2 F2_A2|C8|", "C", id="two diminished chords are not octatonic"),
        pytest.param("G2AB d2ed|G8|", "G", id="two bars of five notes are not pentatonic yet"),
        pytest.param('"G7"G2AB z4|"C"c8|', "C", id="half a scale"),
    ],
)
def test_no_scale_worth_telling(bars, key):
    assert found(piece_of(bars, unit="1/8", key=key), "scale in use") == []


# ---------------------------------------------------------------- sequences


@pytest.mark.parametrize(
    ("bars", "times", "steps"),
    [
        pytest.param("C E D F|D F E G|E G F A|G4|", 3, 1, id="a bar, up by step, three times"),
        pytest.param("c/e/ d d/f/ e|e/g/ f f2|", 3, 1, id="two beats, three times"),
        pytest.param("g/f/ e/f/ d c|f/e/ d/e/ c B|e4|", 2, -1, id="a bar of six notes, twice"),
    ],
)
def test_sequence(bars, times, steps):
    (one,) = found(piece_of(bars), "sequence")
    assert (one.details["kind"], one.details["times"], one.details["steps"]) == ("melodic", times, steps)


@pytest.mark.parametrize(
    "bars",
    [
        pytest.param("C D E F|G A B c|d e f g|", id="a scale"),
        pytest.param("C E G c|e g c' e'|", id="an arpeggio"),
        pytest.param("C E D F|C E D F|C E D F|", id="repeated in place"),
        pytest.param("C E D F|D F E A|E G F G|", id="the intervals differ"),
        pytest.param("C E D F|D2 F E/G/|E G F2|", id="the rhythm differs"),
        pytest.param("C E D F|z4|D F E G|z4|", id="not at once"),
    ],
)
def test_no_sequence(bars):
    assert found(piece_of(bars), "sequence") == []


def test_two_parts_in_one_sequence_are_one_finding():
    (one,) = found(piece_of("c e d f|d f e g|e g f a|g4|", "A, C B, D|B, D C E|C E D F|G,4|"), "sequence")
    assert one.parts == ("Voice 1", "Voice 2")


def test_roots_that_fall_by_fifths():
    chords = '"Am"A4|"Dm"A4|"G"B4|"C"c4|"F"c4|"Bdim"d4|"E"^G4|"Am"A4|'
    (one,) = found(piece_of(chords), "sequence")
    assert (one.details["kind"], one.details["pattern"]) == ("harmonic", "fifths")
    assert found(piece_of('"C"c4|"F"c4|"G"B4|"C"c4|'), "sequence") == []


# ---------------------------------------------------------------- metre and rhythm


def test_odd_and_changing_metre():
    piece = piece_of("C D E F G|[M:4/4]C D E F|[M:7/8]C D E F/2|[M:4/4]C4|C4|", metre="5/4")
    odd = found(piece, "odd metre")
    assert [one.details["metre"] for one in odd] == ["5/4", "7/8"]
    (change,) = found(piece, "change of metre")
    assert (change.measures, change.details["metres"]) == (("2", "4"), ["5/4", "4/4", "7/8", "4/4"])


@pytest.mark.parametrize("metre", ["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "3/2"])
def test_plain_metres_are_neither_odd_nor_changing(metre):
    assert found(piece_of("C2|C2|C2|", metre=metre), "odd metre", "change of metre") == []


@pytest.mark.parametrize(
    ("bars", "metre"),
    [
        pytest.param("C/ E F G A/|C/ E F G A/|C4|", "4/4", id="off the beat"),
        pytest.param("C E2 G|C E2 G|C E2 G|C4|", "4/4", id="second beat held over the third"),
        pytest.param("C/4E/C/4 E/G/|C/4E/C/4 E/G/|C/4E/C/4 E/G/|C2|", "2/4", id="as in a rag"),
        pytest.param("C/ E3/2-|E/ G3/2-|G/ A3/2-|A/ G3/2|", "2/4", id="over bar lines"),
    ],
)
def test_syncopation(bars, metre):
    (one,) = found(piece_of(bars, metre=metre), "syncopation")
    assert one.details["notes"] >= 3


@pytest.mark.parametrize(
    ("bars", "metre"),
    [
        pytest.param("C D E F|G A B c|C4|", "4/4", id="on the beat"),
        pytest.param("C3/2 D/ E3/2 F/|C3/2 D/ E3/2 F/|C4|", "4/4", id="dotted notes"),
        pytest.param("C E2|C E2|C E2|C3|", "3/4", id="short and long in three: beats 2 and 3 are equals"),
        pytest.param("z/ C/ z/ C/ z/ C/ z/ C/|z/ C/ z/ C/ z/ C/ z/ C/|C4|", "4/4", id="afterbeats are not held"),
        pytest.param("C/ E F/ G2|A4|B4|c4|", "4/4", id="once only"),
        pytest.param("C/4E3/4 C/4E3/4|C/4E3/4 C/4E3/4|C2|", "2/4", id="snaps"),
    ],
)
def test_no_syncopation(bars, metre):
    assert found(piece_of(bars, metre=metre), "syncopation") == []


def test_hemiola_in_two_bars_of_three():
    (one,) = found(piece_of("G A B|c2 B-|B A2|G3|", "G,3|C2 G,-|G, D2|G,3|", metre="3/4"), "hemiola")
    assert one.measures == ("2", "3")
    assert one.parts == ("Voice 1", "Voice 2")


@pytest.mark.parametrize(
    ("upper", "lower"),
    [
        pytest.param("G A B|c2 B-|B A2|G3|", "G,3|C D E|G, A, B,|G,3|", id="the bass keeps to three"),
        pytest.param("G A B|c2 B|A2 B|G3|", "G,3|C2 G,|D2 G,|G,3|", id="long and short in each bar"),
        pytest.param("G3|c3-|c3|G3|", "G,3|C3|C3|G,3|", id="held notes"),
    ],
)
def test_no_hemiola(upper, lower):
    assert found(piece_of(upper, lower, metre="3/4"), "hemiola") == []


def test_six_eight_bar_in_three_beside_bars_in_two():
    (one,) = found(piece_of("C3 E3|C2 E2 G2|C3 E3|C2 E2 G2|C6|", metre="6/8", unit="1/8"), "hemiola")
    assert one.measures[0] == "2"
    assert found(piece_of("C3 E3|CDE FGA|C3 E3|", metre="6/8", unit="1/8"), "hemiola") == []


@pytest.mark.parametrize(
    ("upper", "lower", "metre", "against"),
    [
        pytest.param("(3C/D/E/ (3F/G/A/|(3C/D/E/ F|", "C,/D,/ E,/F,/|G,/A,/ G,|", "2/4", [3, 2], id="triplets"),
        pytest.param("c d e|c d e|c3|", "C,3/2 E,3/2|C,3/2 E,3/2|C,3|", "3/4", [3, 2], id="two in a bar of three"),
        pytest.param(
            "c/4d/4e/4f/4 c/4d/4e/4f/4|c2|", "(3C,/D,/E,/ (3C,/D,/E,/|C,2|", "2/4", [4, 3], id="four to three"
        ),
    ],
)
def test_cross_rhythm(upper, lower, metre, against):
    (one,) = found(piece_of(upper, lower, metre=metre), "cross-rhythm")
    assert one.details["against"] == against
    assert one.parts == ("Voice 1", "Voice 2")


@pytest.mark.parametrize(
    ("upper", "lower"),
    [
        pytest.param("(3C/D/E/ (3F/G/A/|c2|", "C, E,|C,2|", id="triplets over plain beats"),
        pytest.param("(3C/D/E/ (3F/G/A/|c2|", "z2|C,/D,/ E,/F,/|", id="one after the other"),
        pytest.param("C/D/ E/F/|c2|", "C,/4D,/4E,/4F,/4 C,/4D,/4E,/4F,/4|C,2|", id="four to two"),
    ],
)
def test_no_cross_rhythm(upper, lower):
    assert found(piece_of(upper, lower, metre="2/4"), "cross-rhythm") == []


def test_grouping_dissonance():
    (one,) = found(piece_of("CEG CEG CE|GCE GCE GC|E8|", unit="1/8"), "grouping dissonance")
    assert one.details["quarters"] == "3/2"
    assert found(piece_of("CEGE CEGE|CEGE CEGE|C8|", unit="1/8"), "grouping dissonance") == []
    assert found(piece_of("CCC CCC CC|CCC CCC CC|C8|", unit="1/8"), "grouping dissonance") == []


# ---------------------------------------------------------------- harmony


def test_chord_pairs_and_cadence():
    piece = piece_of('"Dm7"D4|"G7"F4|"Cmaj7"E4|"Bmaj7"^D4|"Dm7"D4|"Db7"F4|"Cmaj7"E4|]')
    (two_five,) = found(piece, "ii-V")
    assert two_five.measures == ("1", "2")
    (pair,) = found(piece, "half-step pair")
    assert pair.measures == ("3", "4")
    (substitute,) = found(piece, "tritone substitute")
    assert substitute.measures == ("6", "7")


def test_plain_chords_give_no_pairs():
    piece = piece_of('"C"C4|"F"F4|"G7"B4|"C"c4|]')
    assert found(piece, "ii-V", "half-step pair", "tritone substitute", "secondary dominant", "change of key") == []


def test_pedal_under_changing_chords_by_symbols():
    piece = piece_of('"C"c4|"F"c4|"G7"B4|"C"c4|', "C,4|C,4|C,4|C,4|")
    (one,) = found(piece, "pedal point")
    assert one.measures == ("1", "4")


# ---------------------------------------------------------------- texture

FOUR = "C E G E|D F A F|E G B G|c B A G|"
OTHER = "c A F A|B G E G|A F D F|G E C E|"
REST = "z4|" * 4


@pytest.mark.parametrize(
    ("one", "two", "turns"),
    [
        pytest.param((FOUR + REST) * 2, (REST + OTHER) * 2, [4, 4, 4, 4], id="fours"),
        pytest.param((FOUR + "z4|z4|") * 2, (REST + "c A F A|B G E G|") * 2, [4, 2, 4, 2], id="fours against twos"),
        pytest.param(
            "C E G E|D F A F|E G B G|c B A z|z4|z4|z4|z2 C D|" * 2,
            "z4|z4|z4|z2 G A|c A F A|B G E G|A F D F|G E C z|" * 2,
            [4, 4, 4, 4],
            id="pickups of two beats over the bar line",
        ),
        pytest.param(
            "C E G E|D F A c-|c z3|z4|" * 3, "z4|z4|z G E G|A F D F|" * 3, [2] * 6, id="the last note hangs over"
        ),
    ],
)
def test_trading_turns(one, two, turns):
    (it,) = found(piece_of(one, two), "trading", "call and response")
    assert it.details["turns"] == turns
    assert it.details["parties"] == [["Voice 1"], ["Voice 2"]]


def test_soloist_and_tutti_in_which_the_soloist_plays_too():
    piece = piece_of((FOUR + OTHER) * 2, (REST + FOUR) * 2, (REST + "C,4|F,4|G,4|C,4|") * 2)
    (one,) = found(piece, "trading")
    assert one.details["turns"] == [4, 4, 4, 4]


@pytest.mark.parametrize(
    ("voices"),
    [
        pytest.param((FOUR + REST, REST + OTHER), id="one hands over once"),
        pytest.param((FOUR * 2, OTHER * 2), id="both play on"),
        pytest.param(
            (
                "C4|z4|C4|C4|z4|C4|z4|z4|",
                "z4|C4|z4|z4|C4|C4|C4|z4|",
                "C4|C4|z4|C4|z4|z4|C4|C4|",
                "z4|z4|C4|z4|C4|z4|C4|C4|",
            ),
            id="four come and go as they please",
        ),
    ],
)
def test_no_trading(voices):
    assert found(piece_of(*voices), "trading", "call and response") == []


def test_tutti_is_told_by_contrast_only():
    assert found(piece_of(FOUR, OTHER), "tutti", "solo") == []
    piece = piece_of(FOUR + OTHER, REST + FOUR, REST + OTHER)
    assert [(one.name, one.measures) for one in found(piece, "tutti", "solo")] == [
        ("solo", ("1", "4")),
        ("tutti", ("5", "8")),
    ]


def test_parallel_thirds_are_no_unison():
    assert found(piece_of("C D E F|G F E D|", "E F G A|B A G F|"), "unison", "octaves", "doubling") == []


# ---------------------------------------------------------------- form


def test_return_is_told_and_a_repeat_sign_is_none():
    strain, other = "CEGE|FAcA|GBdB|c2c2|CEGE|FAcA|GBdB|c4|", "cAFA|BGEG|AFDF|EDC2|cAFA|BGEG|AFDF|E4|"
    piece = piece_of(f"|:{strain[:-1]}:|{other}{strain}", metre="2/4", unit="1/8")
    names = [one.name for one in found(piece, "section", "bridge", "return")]
    assert names == ["section", "bridge", "return"]


def test_section_twice_as_dense_and_an_octave_higher():
    low, high = "C2E2|G2E2|C2E2|G2E2|" * 2, "cege cege|" * 8
    piece = piece_of(f"|:{low[:-1]}:||:{high[:-1]}:|", unit="1/4")
    assert [one.name for one in found(piece, "change of density", "change of register")] == [
        "change of density",
        "change of register",
    ]
