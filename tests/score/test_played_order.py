"""Repeats, endings, D.C., D.S., Fine and coda, in the order in which players play them. Common practice, no source.

Each piece is a row of whole-note bars whose notes are C4, D4, E4 ... in turn, so that the letters tell the order.
"""

import random

import pytest
from music21 import converter
from written_musicxml import (
    CLOSE,
    OPEN,
    attributes,
    barline,
    begin,
    measure,
    note,
    score,
    sign,
    stop,
    tune,
    words,
)

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

N = "{}"
FINE = 'fine="yes"'
FINE_HERE = words("Fine")
CASES = [
    pytest.param(["", CLOSE, ""], "CDCDE", id="a closing sign alone goes back to the beginning"),
    pytest.param(["", OPEN, N + CLOSE, ""], "CDEDEF", id="a repeat between two signs"),
    pytest.param([N + CLOSE, "", N + CLOSE], "CCDEDE", id="a closing sign goes back to the last closing sign"),
    pytest.param([OPEN + N + CLOSE], "CC", id="one bar repeated"),
    pytest.param(
        [OPEN, N + barline("right", '<repeat direction="backward" times="3"/>'), ""], "CDCDCDE", id="three times"
    ),
    pytest.param(
        [OPEN, begin(1) + N + stop(1, True), begin(2) + N + stop(2), ""], "CDCEF", id="first and second ending"
    ),
    pytest.param(
        [OPEN, begin("1, 2") + N + stop("1, 2", True), begin(3) + N + stop(3)], "CDCDCE", id="ending for two passes"
    ),
    pytest.param(
        [OPEN, begin(1) + N + stop(1, True), begin(2) + N + stop(2, True), begin(3) + N + stop(3)],
        "CDCECF",
        id="three endings",
    ),
    pytest.param([OPEN, begin(1), N + stop(1, True), begin(2), N + stop(2), ""], "CDECFGA", id="endings of two bars"),
    pytest.param([OPEN, begin(1) + N + stop(1, True), "", ""], "CDCEF", id="a lone first ending"),
    pytest.param([OPEN, begin(1) + N + stop(1, True), begin(2) + N, ""], "CDCEF", id="second ending left open"),
    pytest.param(
        [OPEN, begin(1) + N + stop(1), begin(2) + N + stop(2), ""], "CDCEF", id="first ending without its repeat sign"
    ),
    pytest.param([OPEN, begin(1) + N + stop(1, True), begin(2) + N + stop(2, True), ""], "CDCEF", id="both closed"),
    pytest.param(
        ["", N + words("Fine", FINE), "", N + words("D.C. al Fine", 'dacapo="yes"')], "CDEFCD", id="D.C. al Fine"
    ),
    pytest.param(["", N + words("Fine"), "", N + words("D.C. al Fine")], "CDEFCD", id="D.C. al Fine in words alone"),
    pytest.param(["", "", N + words("D.C.")], "CDECDE", id="D.C. without a Fine"),
    pytest.param(
        [N + CLOSE, OPEN, N + words("Fine") + CLOSE, "", N + words("D.C. al Fine")],
        "CCDEDEFGCDE",
        id="repeats are not taken after a D.C.",
    ),
    pytest.param(
        [N + CLOSE, N + words("Fine"), N + words("D.C. al Fine con repetizione")],
        "CCDECCD",
        id="unless the words ask for them",
    ),
    pytest.param(
        ["", sign("segno", 'segno="1"') + N, "", N + words("Fine"), N + words("D.S. al Fine", 'dalsegno="1"')],
        "CDEFGDEF",
        id="D.S. al Fine",
    ),
    pytest.param(
        ["", sign("segno") + N, N + words("To Coda"), N + words("D.S. al Coda"), sign("coda") + N],
        "CDEFDEG",
        id="D.S. al Coda in signs and words",
    ),
    pytest.param(
        ["", N + sign("coda"), N + words("D.C. al Coda"), sign("coda") + N, ""],
        "CDECDFG",
        id="of two coda signs the first means To Coda",
    ),
    pytest.param(
        [
            *("", N + words("To Coda", 'tocoda="c"'), N + words("D.C. al Coda", 'dacapo="yes"')),
            *(sign("coda", 'coda="c"') + N + CLOSE, ""),
        ],
        "CDECDFFG",
        id="repeats are taken again in the coda",
    ),
    pytest.param(
        [
            *(OPEN, N + words("To Coda"), begin(1) + N + stop(1, True)),
            *(begin(2) + N + words("D.C. al Coda") + stop(2), sign("coda") + N),
        ],
        "CDECDFCDG",
        id="To Coda is passed by until the jump",
    ),
    pytest.param(
        ["", sign("segno") + N, begin(1) + N + words("D.S.") + stop(1), begin(2) + N + stop(2)],
        "CDEDF",
        id="a first ending that closes with D.S.",
    ),
    pytest.param([OPEN, N + words("D.C. al Fine") + CLOSE], "CDCDCD", id="repeats come before the jump"),
    pytest.param(
        [
            OPEN + N + CLOSE,
            OPEN + N + words("Fine") + CLOSE,
            OPEN + N + CLOSE,
            OPEN + N + words("D.C. al Fine") + CLOSE,
        ],
        "CCDDEEFFCD",
        id="minuet and trio: every repeat the first time, none after the D.C.",
    ),
    pytest.param(
        ["", sign("segno") + OPEN + N, N + CLOSE, N + words("Fine"), N + words("D.S. al Fine")],
        "CDEDEFGDEF",
        id="D.S. al Fine over a repeat that is not taken again",
    ),
    pytest.param(
        [OPEN, begin(1) + N + stop(1, True), begin(2) + N + words("Fine") + stop(2), N + words("D.C. al Fine")],
        "CDCEFCE",
        id="Fine in the second ending",
    ),
    pytest.param(
        [OPEN, begin(1) + N + words("Fine") + stop(1, True), begin(2) + N + stop(2), N + words("D.C. al Fine")],
        "CDCEFCD",
        id="Fine in the first ending: it is played after the D.C.",
    ),
    pytest.param(
        [
            *(OPEN, begin(1) + N + words("To Coda") + stop(1, True), begin(2) + N + stop(2)),
            *(N + words("D.C. al Coda"), sign("coda") + N),
        ],
        "CDCEFCDG",
        id="To Coda in the first ending",
    ),
    pytest.param(
        [
            *(sign("segno") + N + words("To Coda", 'tocoda="one"'), N + words("To Coda", 'tocoda="two"')),
            *(N + words("D.S. al Coda", 'dalsegno="1"'),),
            *(
                sign("coda", 'coda="one"') + N + words("D.S. al Coda II", 'dalsegno="1"'),
                sign("coda", 'coda="two"') + N,
            ),
        ],
        "CDECFCDG",
        id="two codas, one after the other",
    ),
    pytest.param(
        [
            *(N + words("To Coda"), "", N + words("D.C. al Coda"), sign("coda") + N, N + words("D.C.", 'dacapo="yes"')),
            *("",),
        ],
        "CDECFGCDEFGA",
        id="a coda is played once: the second D.C. goes past it",
    ),
    pytest.param(["", "", sign("segno") + N, N + words("D.C. al Segno")], "CDEFCD", id="D.C. al Segno"),
    pytest.param(
        ["", "", sign("segno") + N, N + words("Da Capo al Segno e poi la Coda"), sign("coda") + N],
        "CDEFCDG",
        id="D.C. al Segno e poi la Coda",
    ),
    pytest.param(
        ["", N + barline("right", "<bar-style>light-heavy</bar-style>"), "", N + words("D.C. al Fine")],
        "CDEFCD",
        id="D.C. al Fine with a final barline in place of the word",
    ),
    pytest.param(["", N + words("fine."), "", N + words("da capo al fine")], "CDEFCD", id="in small letters"),
    pytest.param(["", N + words("Fin"), "", N + words("D. C.")], "CDEFCD", id="in French"),
    pytest.param(["", N + words("Ende"), "", N + words("Vom Anfang bis zum Ende")], "CDEFCD", id="in German"),
    pytest.param(
        ["", sign("segno") + N, N + words("Fine"), "", N + words("Dal Segno al Fine")],
        "CDEFGDE",
        id="dal segno al fine",
    ),
    pytest.param(
        [
            "",
            N + barline("right", '<repeat direction="backward" after-jump="yes"/>'),
            N + FINE_HERE,
            N + words("D.C. al Fine"),
        ],
        "CDCDEFCDCDE",
        id="a repeat that says that it is taken after a jump (MusicXML 4.0, repeat: after-jump)",
    ),
    pytest.param(
        ["", '<sound forward-repeat="yes"/>' + N, N + CLOSE],
        "CDEDE",
        id="a repeat sign that is meant but not printed (MusicXML 4.0, sound: forward-repeat)",
    ),
]


@pytest.mark.parametrize(("bars", "expected"), CASES)
def test_order(bars, expected):
    assert "".join(note.written.step for note in load_score(tune(*bars)).played().notes) == expected


def test_menuetto_da_capo_ends_before_the_trio():
    piece = load_score(tune("", N + CLOSE, words("Trio") + OPEN + N, words("Menuetto da capo") + N, N + CLOSE))
    assert "".join(note.written.step for note in piece.played().notes) == "CDCDEFGEFGCD"
    assert any("names no Fine" in notice for notice in piece.notices)


def test_fermata_over_a_double_bar_stands_for_the_fine():
    """As older prints have it: "D.C." and a fermata over the barline at which the piece ends."""
    held = "<notations><fermata/></notations>"
    double = barline("right", "<bar-style>light-light</bar-style>")
    piece = load_score(
        score(
            [
                measure(attributes("4") + note("C4", 4), 1),
                measure(note("D4", 4, held) + double, 2),
                measure(note("E4", 4) + words("D.C. al Fine"), 3),
            ]
        )
    )
    assert "".join(note.written.step for note in piece.played().notes) == "CDECD"
    assert any("names no Fine" in notice for notice in piece.notices)


@pytest.mark.parametrize(
    ("last", "bars"),
    [
        pytest.param(3, [1, 4, 4, 3, 1, 4], id="the bar of the D.C. is short of the pickup"),
        pytest.param(4, [1, 4, 4, 4, 1, 4], id="it is full: from the beginning is from the pickup on"),
    ],
)
def test_da_capo_with_a_pickup(last, bars):
    """Common practice: da capo means from the very beginning, pickup and all; the Fine is short of the pickup or not."""
    piece = load_score(
        score(
            [
                measure(attributes("4") + note("G4", 1), 0, implicit=True),
                measure(note("C5", 4) + words("Fine"), 1),
                measure(note("D5", 4), 2),
                measure(note("B4", last) + words("D.C. al Fine"), 3, implicit=last < 4),
            ]
        )
    ).played()
    assert [note.duration for note in piece.notes] == bars
    assert [note.start for note in piece.notes] == [sum(bars[:at]) for at in range(len(bars))]


def _random_bars(draw):
    """Bars with repeats and perhaps endings; with or without a jump, a Fine, a coda (endings only without)."""
    jump = draw.choice(["", "D.C.", "D.C. al Fine", "D.S. al Fine", "D.C. al Coda", "D.S. al Coda"])
    bars = []
    for number in range(draw.randint(2, 4)):
        kind = draw.choice(["plain", "repeat"] if jump else ["plain", "repeat", "endings"])
        new = [[N] for _ in range(draw.randint(1, 3))]
        if kind != "plain" and (number or draw.random() < 0.5):
            new[0].insert(0, OPEN)
        if kind == "repeat":
            new[-1].append(CLOSE)
        if kind == "endings":
            new += [[begin(1), N, stop(1, True)], [begin(2), N, stop(2)]]
        bars += new
    leave = draw.randrange(len(bars) - 1)
    if jump:
        bars[-1].append(words(jump))
    if "al" in jump:
        bars[leave].append(words("Fine" if "Fine" in jump else "To Coda"))
    if "D.S." in jump:
        bars[draw.randint(0, leave)].insert(0, sign("segno"))
    if "Coda" in jump:
        bars += [[words("Coda"), N], [N]]
    return ["".join(bar) for bar in bars]


@pytest.mark.parametrize(
    "seed", [pytest.param(seed, marks=[] if seed < 25 else pytest.mark.full) for seed in range(300)]
)
def test_order_is_that_of_music21(seed):
    """music21 10.5 unfolds repeats, endings and jumps too; where both endings and jumps stand it plays both endings."""
    data = tune(*_random_bars(random.Random(seed)))
    unfolded = converter.parse(data.decode("utf-8"), format="musicxml").expandRepeats()
    expected = [note.nameWithOctave for note in unfolded.flatten().notes]
    assert [note.written.name for note in load_score(data).played().notes] == expected


def test_played_score_is_played_as_it_stands():
    piece = load_score(tune(OPEN, begin(1) + N + stop(1, True), begin(2) + N + stop(2), "")).played()
    assert piece.played().play_order == tuple(range(len(piece.measures)))
    assert [measure.written for measure in piece.measures] == [0, 1, 0, 2, 3]
    assert [note.start for note in piece.notes] == [0, 4, 8, 12, 16]
    assert [note.measure for note in piece.notes] == [0, 1, 2, 3, 4]


def test_tie_leads_into_both_endings():
    tied = {"start": "<tie type='start'/>", "stop": "<tie type='stop'/>"}
    piece = load_score(
        score(
            [
                measure(attributes("4") + OPEN + note("G4", 4, tied["start"]), 1),
                measure(begin(1) + note("G4", 4, tied["stop"]) + stop(1, True), 2),
                measure(begin(2) + note("G4", 4, tied["stop"]) + stop(2), 3),
            ]
        )
    )
    assert [(note.start, note.duration) for note in piece.played().joined_notes] == [(0, 8), (8, 8)]


def test_key_after_a_jump_is_said_again():
    change = "<attributes><key><fifths>-2</fifths></key></attributes>"
    piece = load_score(
        score(
            [
                measure(attributes("4", fifths=1) + note("G4", 4) + words("Fine"), 1),
                measure(change + note("F4", 4) + words("D.C. al Fine"), 2),
            ]
        )
    ).played()
    assert [(key.start, key.fifths) for key in piece.key_signatures] == [(0, 1), (4, -2), (8, 1)]
    assert [measure.fifths for measure in piece.measures] == [1, -2, 1]


def test_endless_repeats_are_refused():
    many = [OPEN + N + barline("right", '<repeat direction="backward" times="999"/>')] * 14
    assert len(load_score(tune(*many)).played().measures) == 14 * 999
    bar = OPEN + note("C4", 4) + barline("right", '<repeat direction="backward" times="999"/>')
    long = score([measure((attributes() if not n else "") + bar, n + 1) for n in range(150)])
    with pytest.raises(ScoreError, match="longer than 100000 measures"):
        load_score(long).played()
