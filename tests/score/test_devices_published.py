"""Devices in public-domain passages that are described in print, bundled with music21 or short enough to type.

Where the description is from memory, and where the notes are, is said beside each.
"""

import pytest
from device_passage import found, piece_of
from music21 import corpus

from musictheory_nb.score.load import load_score


def bundled(name):
    return load_score(corpus.getWork(name), cache=False)


def test_three_whole_tones_open_the_chorale_it_is_enough():
    """Bach, BWV 60.5, "Es ist genug", opens with three rising whole tones, a tritone in all: A4 B4 C#5 D#5 in the file.

    A. Berg took it into his violin concerto for that; description from memory.
    """
    (first, *_) = found(bundled("bach/bwv60.5.mxl"), "outlined tritone")
    assert (first.parts, first.details["interval"], first.first_number) == (("Soprano",), "A4", "1")


def test_invention_descends_by_thirds():
    """Bach, Invention in C, BWV 772, bars 3-4, right hand: the subject, inverted, in a sequence that falls by thirds.

    Described so in most textbooks of counterpoint; description and notes from memory.
    """
    bars = "agfe gfag fedc edfe|dcBA cBdc BAG^F AGBA|G4 z4 z8|"
    (one,) = found(piece_of(bars, unit="1/16"), "sequence")
    assert (one.details["times"], one.details["steps"], one.details["figure"]) == (4, -2, 8)


def test_promenade_changes_between_five_and_six():
    """Musorgsky, Pictures at an Exhibition, Promenade, bars 1-2: 5/4 and 6/4 in turn; description and notes from memory."""
    piece = piece_of(
        "G F B c/f/ d|[M:6/4]c/f/ d B c G F|[M:5/4]G F B c/f/ d|[M:6/4]c/f/ d B c G F|", metre="5/4", key="Bb"
    )
    assert [one.details["metre"] for one in found(piece, "odd metre")] == ["5/4", "5/4"]
    (change,) = found(piece, "change of metre")
    assert change.details["metres"] == ["5/4", "6/4", "5/4", "6/4"]


def test_canon_over_a_ground_of_two_bars():
    """Pachelbel, Canon in D: a ground of eight notes in two bars, D A B F# G D G A; the upper voice enters with F# E D C# ...

    Described so in any textbook; description and notes from memory.
    """
    ground = "D,A,B,,^F,,|G,,D,G,,A,,|"
    upper = "z4|z4|f e d c|B A B c|d c B A|G F G E|D F A G|F D F E|"
    (one,) = found(piece_of(upper, ground * 4, key="D"), "ground bass", "ostinato")
    assert (one.name, one.parts, one.details["bars"]) == ("ground bass", ("Voice 2",), 2)
    assert piece_of(upper, ground * 4, key="D").form().name == "ground bass"


def test_lament_falls_by_half_steps_through_a_fourth():
    """Purcell, Dido and Aeneas, "When I am laid in earth": the bass falls by half steps from G to D.

    Described so in any history of music; the pitches from memory, the rhythm evened out.
    """
    (one,) = found(piece_of("G2^F|=F2=E|_E2D|_B,CD|G,3|", metre="3/4", unit="1/4", key="Gm"), "chromatic line")
    assert (one.details["direction"], one.details["notes"]) == ("down", 6)


def test_leader_and_choir_answer_each_other():
    """Spiritual "Swing low, sweet chariot": a leader calls, all answer "coming for to carry me home", line by line.

    A textbook example of call and response; description and tune from memory, the answer set for three voices here.
    """
    leader = "A2 F2|F F/D/ C2|z4|z4|c2 c2|c A/F/ D C|z4|z4|"
    answer = "z4|z4|F/F/F/F/ A c|c4|z4|z4|F/F/F/F/ A G|F4|"
    alto = "z4|z4|C/C/C/C/ F A|A4|z4|z4|C/C/C/C/ F E|C4|"
    bass = "z4|z4|F,/F,/F,/F,/ F, F,|F,4|z4|z4|F,/F,/F,/F,/ C, C,|F,,4|"
    (one,) = found(piece_of(leader, answer, alto, bass, key="F"), "call and response", "trading")
    assert (one.name, one.details["turns"]) == ("call and response", [2, 2, 2, 2])
    assert one.details["parties"] == [["Voice 1"], ["Voice 2", "Voice 3", "Voice 4"]]


def test_scarborough_fair_is_dorian():
    """English song "Scarborough Fair", in D Dorian with its B natural; a textbook example; description and tune from memory."""
    bars = "D2D|A2A|EFE|D3|zAc|dcA|BGA-|A3|zzd|d2d|c2A|AGF|EC2|D2A|G2F|EDC|D3|"
    piece = piece_of(bars, metre="3/4", key="C")
    assert [one.details["scale"] for one in found(piece, "scale in use")] == ["D Dorian"]


def test_song_of_thanksgiving_is_lydian():
    # Its heading in the score: "Heiliger Dankgesang eines Genesenen an die Gottheit, in der lydischen Tonart"; the slow
    # parts, without signature, are three, between them the quicker ones in D major (bars as in the bundled file).
    found = [
        (one.measures, one.details["scale"]) for one in bundled("beethoven/opus132.mxl").devices()
        if one.name == "scale in use" and "Lydian" in str(one.details["scale"])
    ]  # fmt: skip
    assert found == [(("511", "540"), "F Lydian"), (("595", "624"), "F Lydian"), (("678", "721"), "F Lydian")]


@pytest.mark.parametrize("name", ["schoenberg/opus19/movement2.mxl", "schoenberg/opus19/movement6.mxl"])
def test_music_in_no_key_has_no_cadences(name):
    """The piano pieces op. 19 are in no key (every account of them): no cadence, dominant or change of key is told."""
    found = {one.name for one in bundled(name).devices() if one.group == "harmony"}
    assert not [one for one in found if "cadence" in one or one in ("secondary dominant", "ii-V", "change of key")]


def test_an_exposition_that_stops_on_its_dominant_is_in_no_mode():
    # K. 545, bars 1 to 12 as bundled: C major, resting on G (its title: sonata in C).
    assert [
        one for one in bundled("mozart/k545/movement1_exposition.mxl").devices() if one.name == "scale in use"
    ] == []


def test_rag_is_syncopated_in_every_strain():
    """Joplin, Maple Leaf Rag: a syncopated right hand over an even bass, as any dictionary says of ragtime (from memory).

    The strains are those of `known_forms.tsv`: bars 1-16, 18-33, 51-66 and 68-83.
    """
    spans = [(one.first, one.last) for one in found(bundled("joplin/maple_leaf_rag.mxl"), "syncopation")]
    for first, last in ((1, 16), (18, 33), (51, 66), (68, 83)):
        covered = {bar for one, other in spans for bar in range(one, other + 1)}
        assert len(covered & set(range(first, last + 1))) >= (last - first) // 3


def test_prelude_ends_on_two_pedals():
    """Bach, BWV 846: `known_forms.tsv` gives a pedal on G in bars 24-30 and one on C in bars 31-34 of the bundled file."""
    piece = bundled("bach/bwv846.mxl")
    pedals = [(one.details["pitch"], one.measures) for one in found(piece, "pedal point")]
    assert ("G", ("24", "30")) in pedals
    assert any(pitch == "C" and measures[1] == "34" for pitch, measures in pedals)


def test_waltz_of_even_notes_against_triplets():
    """Debussy, Arabesque no. 1: triplets in the right hand over plain quavers in the left from bar 6: three against two.

    Described so in piano methods; description from memory, the notes ours in that rhythm.
    """
    piece = piece_of("(3e/f/g/ (3b/g/f/ (3e/f/g/ (3b/g/f/|", "E,/B,/ E/B,/ E,/B,/ E/B,/|", key="E")
    (one,) = found(piece, "cross-rhythm")
    assert (one.details["against"], one.details["times"]) == ([3, 2], 4)


# What must hold of every finding, in pieces unlike one another.
PIECES = [
    "bach/bwv66.6.mxl",
    "bach/bwv846.mxl",
    "haydn/opus74no1/movement3.mxl",
    "beethoven/opus18no1/movement3.mxl",
    "joplin/maple_leaf_rag.mxl",
    "monteverdi/madrigal.3.1.mxl",
    "palestrina/Agnus_01.krn",
    "leadSheet/fosterBrownHair.mxl",
    "leadSheet/berlinAlexandersRagtime.mxl",
    "schoenberg/opus19/movement2.mxl",
    "schumann_robert/opus48no2.mxl",
    "chopin/mazurka06-2.krn",
    "verdi/laDonnaEMobile.mxl",
    "webern/webern_dormi_jesu_op_16_no_2.mxl",
]


@pytest.mark.parametrize("name", PIECES)
def test_every_finding_can_be_checked_in_the_score(name):
    piece = bundled(name)
    findings = piece.devices()
    assert findings
    assert len(findings) <= 1.2 * len(piece.measures) + 10  # more than one a bar is no help to anyone
    assert [one.first for one in findings] == sorted(one.first for one in findings)
    names = {part.name for part in piece.parts}
    for one in findings:
        assert 0 <= one.first <= one.last < len(piece.measures)
        assert one.measures == (piece.measures[one.first].number, piece.measures[one.last].number)
        assert set(one.parts) <= names
        assert 0 < one.confidence <= 1
        assert one.sentence.startswith("Bar")
        assert one.sentence.endswith(".")
        for row in one.notes:
            assert one.first <= piece.notes[row].measure <= one.last
            assert not one.parts or piece.parts[piece.notes[row].part].name in one.parts
        if one.group in ("intervals", "scales"):
            assert one.notes


@pytest.mark.parametrize("name", ["bach/bwv66.6.mxl", "bach/bwv269.mxl", "palestrina/Agnus_01.krn"])
def test_plain_vocal_music_has_no_exotic_devices(name):
    """A chorale and a motet in four even parts: nobody trades, no ostinato, no symmetric scale, no cross-rhythm."""
    exotic = (
        "trading",
        "call and response",
        "ostinato",
        "ground bass",
        "scale in use",
        "cross-rhythm",
        "odd metre",
        "solo",
    )
    assert found(bundled(name), *exotic) == []
