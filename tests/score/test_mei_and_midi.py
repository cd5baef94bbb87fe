"""MEI and MIDI.

Outside truth: verovio (RISM Digital), which reads the bundled MusicXML by its own code and writes both; for the rest the
MEI guidelines and Standard MIDI Files 1.0.
"""

import base64
import struct
from collections import Counter
from fractions import Fraction
from functools import cache

import pytest
import verovio
from music21 import corpus

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

PIECES = [
    "bach/bwv269.mxl",
    "mozart/k156/movement3.mxl",
    "joplin/maple_leaf_rag.mxl",
    "leadSheet/fosterBrownHair.mxl",
    "schumann_clara/polonaise_op1n1.mxl",
]


@cache
def engraver(name):
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"expandNever": True})
    assert toolkit.loadFile(str(corpus.getWork(name)))
    return toolkit


@pytest.mark.parametrize("name", PIECES)
def test_mei_that_verovio_writes_is_the_score_that_it_was_made_from(name):
    ours, mei = load_score(corpus.getWork(name)), load_score(engraver(name).getMEI().encode())
    rows = [
        Counter(
            (n.part, n.staff, n.measure, n.onset, n.duration, n.written, n.sounding, "" if n.grace else n.tie, n.grace)
            for n in piece.notes
        )
        for piece in (ours, mei)
    ]
    assert rows[0] == rows[1]
    for name_of in (
        "number",
        "length",
        "metre",
        "fifths",
        "repeat_start",
        "repeat_end",
        "ending",
        "barline",
        "jump",
        "fine",
    ):
        assert [getattr(m, name_of) for m in mei.measures] == [getattr(m, name_of) for m in ours.measures], name_of
    assert [part.name for part in mei.parts] == [part.name for part in ours.parts]
    assert [(c.start, c.text) for c in mei.chord_symbols] == [(c.start, c.text) for c in ours.chord_symbols]
    assert mei.play_order == ours.play_order


@pytest.mark.parametrize("name", ["bach/bwv269.mxl", "joplin/maple_leaf_rag.mxl", "leadSheet/fosterBrownHair.mxl"])
def test_midi_that_verovio_writes_sounds_as_the_score(name):
    ours, midi = load_score(corpus.getWork(name)), load_score(base64.b64decode(engraver(name).renderToMIDI()))
    rows = [
        Counter((n.start, n.duration, n.sounding.midi) for n in piece.joined_notes if not n.grace)
        for piece in (ours, midi)
    ]
    assert rows[0] == rows[1]
    assert midi.measures[0].fifths == ours.measures[0].fifths


MEI = """<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>
<scoreDef meter.count="4" meter.unit="4" key.sig="1s"><staffGrp><staffDef n="1" lines="5" clef.shape="G" clef.line="2"
 label="Oboe"{definition}/></staffGrp></scoreDef><section>{section}</section></score></mdiv></body></music></mei>"""


def mei(section, definition=""):
    return load_score(MEI.format(section=section, definition=definition).encode())


def bar(content, number=1, more=""):
    return f'<measure n="{number}" {more}><staff n="1"><layer n="1">{content}</layer></staff></measure>'


def test_mei_without_gestural_accidentals_is_read_as_players_read():
    """Key signature, and accidentals to the end of the bar (common practice); MEI: accid is what is printed."""
    first = (
        '<note dur="4" pname="f" oct="4"/><note dur="4" pname="f" oct="4" accid="n"/><note dur="2" pname="f" oct="4"/>'
    )
    piece = mei(bar(first) + bar('<note dur="1" pname="f" oct="4"/>', 2))
    assert [n.written.name for n in piece.notes] == ["F#4", "F4", "F4", "F#4"]


def test_mei_tuplets_dots_chords_grace_notes_and_measure_repeats():
    content = (
        '<tuplet num="3" numbase="2"><beam><note dur="8" pname="c" oct="5"/><note dur="8" pname="d" oct="5"/>'
        '<rest dur="8"/></beam></tuplet><note grace="acc" dur="16" pname="e" oct="5"/>'
        '<chord dur="4" dots="1"><note pname="c" oct="4"/><note pname="e" oct="4"/></chord><space dur="8"/>'
        '<note dur="4" pname="b" oct="4" tie="i"/>'
    )
    piece = mei(bar(content) + bar("<mRpt/>", 2) + bar("<mRest/>", 3))
    assert [(n.onset, n.duration) for n in piece.notes_of(0, 0)] == [
        (0, Fraction(1, 3)),
        (Fraction(1, 3), Fraction(1, 3)),
        (1, 0),
        (1, Fraction(3, 2)),
        (1, Fraction(3, 2)),
        (3, 1),
    ]
    assert [n.written for n in piece.notes_of(1, 1)] == [n.written for n in piece.notes_of(0, 0)]
    assert [(e.kind, e.duration) for e in piece.events if e.measure == 2] == [("rest", 4)]


def test_mei_endings_signs_transposition_and_harmony():
    note = '<note dur="1" pname="{}" oct="4"/>'
    section = (
        bar(note.format("c"), 1, 'left="rptstart"')
        + '<ending n="1">'
        + bar(note.format("d"), 2, 'right="rptend"')
        + '</ending><ending n="2">'
        + bar(note.format("e"), 3)
        + "</ending>"
        + bar(note.format("g"), 4).replace("</measure>", '<harm staff="1" tstamp="3">A7</harm></measure>')
    )
    piece = mei(section, ' trans.semi="-2" trans.diat="-1"')
    assert [n.written.step for n in piece.played().notes] == list("CDCEG")
    assert piece.notes[0].sounding.name == "Bb3"
    assert [(c.text, c.written, c.beat) for c in piece.chord_symbols] == [("G7", "A7", 3)]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ('<note pname="c" oct="4"/>', "a note without a duration"),
        ('<note dur="5" pname="c" oct="4"/>', "dur='5'"),
        ('<note dur="4" pname="h" oct="4"/>', "name is 'H'"),
        ('<note dur="4" pname="c" oct="400"/>', "oct='400'"),
        ('<tuplet num="0"><note dur="4" pname="c" oct="4"/></tuplet>', "num='0'"),
    ],
)
def test_mei_errors_name_the_measure(content, said):
    with pytest.raises(ScoreError, match=f"measure 7: .*{said}"):
        mei(bar(content, 7))


# MIDI


def quantity(value):
    out = bytes([value & 0x7F])
    while value := value >> 7:
        out = bytes([value & 0x7F | 0x80]) + out
    return out


def track(*events):
    """Events as (ticks to wait, bytes)."""
    body = b"".join(quantity(wait) + data for wait, data in events) + b"\x00\xff\x2f\x00"
    return b"MTrk" + struct.pack(">I", len(body)) + body


def midi(*tracks, division=480, kind=1):
    return b"MThd" + struct.pack(">IHHH", 6, kind, len(tracks), division) + b"".join(tracks)


def on(number, channel=0):
    return bytes([0x90 | channel, number, 64])


def off(number, channel=0):
    return bytes([0x80 | channel, number, 0])


def meta(kind, data):
    return b"\xff" + bytes([kind]) + quantity(len(data)) + data


def test_midi_metre_key_tempo_name_and_tie_over_the_barline():
    piece = load_score(
        midi(
            track((0, meta(0x03, b"Waltz")), (0, meta(0x58, b"\x03\x02\x18\x08")), (0, meta(0x59, b"\xfe\x00"))) + b"",
            track(
                (0, meta(0x51, (500_000).to_bytes(3, "big"))),
                (0, meta(0x03, b"Flute")),
                (0, on(70)),
                (960, off(70)),
                (0, on(75)),
                (960, off(75)),
            ),
        )
    )
    assert piece.title == "Waltz"
    assert piece.parts[0].name == "Flute"
    assert [(m.metre, m.fifths) for m in piece.measures] == [("3/4", -2), ("3/4", -2)]
    assert [(n.written.name, n.measure, n.duration, n.tie) for n in piece.notes] == [
        ("Bb4", 0, 2, ""),
        ("Eb5", 0, 1, "start"),
        ("Eb5", 1, 1, "stop"),
    ]
    assert [tempo.quarters_per_minute for tempo in piece.tempos] == [120]
    assert [(rest.measure, rest.onset, rest.duration) for rest in piece.rests] == [(1, 1, 2)]


@pytest.mark.parametrize(
    ("fifths", "numbers", "names"),  # common practice: leading notes of the key's minor sharp, others near the key
    [
        (0, [61, 63, 66, 68, 70], ["C#4", "Eb4", "F#4", "G#4", "Bb4"]),
        (-4, [61, 63, 66, 68, 70], ["Db4", "Eb4", "Gb4", "Ab4", "Bb4"]),
        (4, [61, 63, 66, 68, 70], ["C#4", "D#4", "F#4", "G#4", "A#4"]),
    ],
)
def test_midi_is_spelled_by_its_key(fifths, numbers, names):
    events = [(0, meta(0x59, struct.pack("bb", fifths, 0)))]
    for number in numbers:
        events += [(0, on(number)), (480, off(number))]
    assert [n.written.name for n in load_score(midi(track(*events))).notes] == names


def test_midi_performance_is_moved_to_the_grid():
    """Attacks 8 ticks of 480 early or late, notes let go early: what was meant is quarters and two eighths."""
    events = [
        (5, on(60)),
        (440, off(60)),
        (30, on(62)),
        (210, off(62)),
        (40, on(64)),
        (200, off(64)),
        (40, on(65)),
        (480, off(65)),
    ]
    piece = load_score(midi(track(*events)))
    assert [(n.start, n.duration) for n in piece.notes] == [
        (0, 1),
        (1, Fraction(1, 2)),
        (Fraction(3, 2), Fraction(1, 2)),
        (2, 1),
    ]


def test_midi_chords_voices_and_percussion():
    piece = load_score(
        midi(
            track((0, on(60)), (0, on(64)), (0, on(36, 9)), (480, off(60)), (0, off(64)), (0, off(36, 9))),
            track((0, on(72)), (240, on(48)), (240, off(72)), (240, off(48))),
        )
    )
    assert [(part.name, part.is_unpitched) for part in piece.parts] == [
        ("Part 1", False),
        ("Percussion", True),
        ("Part 3", False),
    ]
    assert [(n.part, n.voice, n.start, n.duration) for n in piece.notes] == [
        (0, 1, 0, 1),
        (0, 1, 0, 1),
        (1, 1, 0, 1),
        (2, 1, 0, 1),
        (2, 2, Fraction(1, 2), 1),
    ]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (midi(track((0, on(60)), (480, off(60))))[:-9], "breaks off in track 1 of 1"),
        (midi(track((0, meta(1, b"no notes")))), "has no notes"),
        (midi(track((0, on(60)), (480, off(60))), kind=2), "type 2 are not read"),
        (midi(track((0, on(60)), (480, off(60))), division=0xE728), "counts in seconds"),
        (midi(track((0, b"\xf4"))), "an event that does not exist"),
        (midi(track((0, b"\x90\x3c\xff"))), "an event that does not exist"),
        (midi(track((0, on(60)), (0x0FFFFFFF, off(60)))), "longer than 50000 quarters"),
        (
            midi(track((0, on(60)), (9, off(60))), track((0, on(1)))).replace(b"\x00\x01\x00\x02", b"\x00\x01\x00\x03"),
            "after 2 of 3",
        ),
    ],
)
def test_midi_errors(data, said):
    with pytest.raises(ScoreError, match=said):
        load_score(data)


def test_expansion_names_the_order_of_sections():
    """MEI guidelines, expansion: "@plist contains a list of pointers to the sections in the order of performance"."""
    bars = {
        name: f'<section xml:id="{name}"><measure n="{n}"><staff n="1"><layer n="1"><note dur="1" pname="{name}" oct="4"/>'
        "</layer></staff></measure></section>"
        for n, name in enumerate("cde", 1)
    }
    mei = (
        '<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score><scoreDef meter.count="4"'
        ' meter.unit="4"><staffGrp><staffDef n="1" lines="5" clef.shape="G" clef.line="2"/></staffGrp></scoreDef>'
        '<section><expansion plist="#c #c #d #e #c"/>'
        f"{''.join(bars.values())}</section></score></mdiv></body></music></mei>"
    )
    piece = load_score(mei.encode("utf-8"), cache=False)
    assert "".join(note.written.step for note in piece.notes) == "CDE"
    assert "".join(note.written.step for note in piece.played().notes) == "CCDEC"
    lost = load_score(mei.replace("#e #c", "#x").encode("utf-8"), cache=False)
    assert "".join(note.written.step for note in lost.played().notes) == "CDE"
    assert any("they stand as written" in notice for notice in lost.notices)
