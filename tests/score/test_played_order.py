"""Repeats, endings, D.C., D.S., Fine and coda, in the order in which players play them. Common practice, no source.

Each piece is a row of whole-note bars whose notes are C4, D4, E4 ... in turn, so that the letters tell the order.
"""

import pytest
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
]


@pytest.mark.parametrize(("bars", "expected"), CASES)
def test_order(bars, expected):
    assert "".join(note.written.step for note in load_score(tune(*bars)).played().notes) == expected


def test_menuetto_da_capo_ends_before_the_trio():
    piece = load_score(tune("", N + CLOSE, words("Trio") + OPEN + N, words("Menuetto da capo") + N, N + CLOSE))
    assert "".join(note.written.step for note in piece.played().notes) == "CDCDEFGEFGCD"
    assert any("names no Fine" in notice for notice in piece.notices)


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
