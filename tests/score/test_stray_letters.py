"""Letters that stand as chord symbols but are none.

Sources: the madrigals bundled with music21, whose files have bar numbers and syllables as ``harmony`` elements (a chord
symbol is some three hundred years younger than the music); the rest is common practice, no source.
"""

from pathlib import Path

import pytest
from music21 import corpus
from written_musicxml import attributes, harmony, measure, note, score

from musictheory_nb.score.load import load_score

MADRIGALS = sorted(Path(corpus.getWork("monteverdi/madrigal.3.1.mxl")).parent.glob("*.mxl"))


def lead_sheet(symbols, bars, measures=16):
    """One part: `symbols` by measure, and the four notes of each bar in turn."""
    return load_score(
        score(
            [
                measure(
                    (attributes() if at == 0 else "")
                    + "".join(harmony(one, kind) for one, kind in symbols.get(at, ()))
                    + "".join(note(name) for name in bars[at % len(bars)].split()),
                    at + 1,
                )
                for at in range(measures)
            ]
        ),
        cache=False,
    )


def texts(piece):
    return [(mark.text, mark.measure) for mark in piece.chord_symbols]


IN_C = ["C5 D5 E5 G5", "F5 E5 D5 C5", "D5 F5 A5 G5", "E5 D5 C5 C5"]


@pytest.mark.parametrize("name", ["madrigal.3.10", "madrigal.3.17", "madrigal.4.2", "madrigal.5.3", "madrigal.5.8"])
def test_madrigal_has_no_chord_symbols(name):
    """Numbers read as letters (40 as D, 28 as B), a syllable in several voices at once, and one in the first bar."""
    piece = load_score(MADRIGALS[0].parent / f"{name}.mxl")
    assert piece.chord_symbols == ()
    assert any("stands as a chord symbol" in notice for notice in piece.notices)
    assert {word.text for word in piece.words} & {"B", "D", "E"}
    assert {span.origin for span in piece.harmony()} == {"implied"}


@pytest.mark.full
def test_no_madrigal_has_chord_symbols():
    assert len(MADRIGALS) > 45
    assert [path.name for path in MADRIGALS if load_score(path).chord_symbols] == []


def test_bar_numbers_that_were_read_as_letters():
    piece = lead_sheet({7: [("B", "major")], 9: [("D", "major")]}, IN_C)
    assert texts(piece) == []
    assert [(word.text, word.measure) for word in piece.words] == [("B", 7), ("D", 9)]
    assert piece.notices == (
        "stands as a chord symbol, but the notes are not the chord's; taken as words: 'B' in measure 8, 'D' in measure 10",
    )


def test_rehearsal_letters_entered_as_chord_symbols():
    piece = lead_sheet({0: [("A", "major")], 8: [("B", "major")], 16: [("C", "major")]}, ["Db5 Eb5 F5 Ab5"], 24)
    assert texts(piece) == []
    assert [(mark.text, mark.measure) for mark in piece.rehearsal_marks] == [("A", 0), ("B", 8), ("C", 16)]


@pytest.mark.parametrize(
    ("symbols", "bars"),
    [
        pytest.param({0: [("C", "major")]}, ["C5 E5 G5 C5"], id="one chord all the way"),
        pytest.param({0: [("D", "major")]}, ["D5 E5 F#5 A5", "G5 F#5 E5 D5"], id="a tune over a drone chord"),
        pytest.param({0: [("C", "major")], 8: [("F", "major")]}, ["C5 E5 G5 A5"], id="two long chords"),
        pytest.param(
            {0: [("A", "major")], 8: [("B", "major")]}, 8 * ["A4 C#5 E5 B4"] + 8 * ["B4 D#5 F#5 E5"], id="A, then B"
        ),
        pytest.param({4: [("D", "minor-seventh")]}, IN_C, id="a seventh chord is no letter"),
        pytest.param({at: [("B", "major")] for at in range(0, 16, 4)}, IN_C, id="many chords against the notes"),
        pytest.param({4: [("E", "major")]}, ["E4 G#4 B4 E5"], id="a chord that fits, amid the piece"),
    ],
)
def test_real_chord_symbols_stay(symbols, bars):
    piece = lead_sheet(symbols, bars)
    assert [at for _, at in texts(piece)] == sorted(symbols)
    assert piece.notices == ()


def test_quoted_letters_of_an_abc_tune_are_judged_alike():
    """Strains labelled "A" and "B" in a tune of sixteen bars in F."""
    tune = b'X:1\nM:2/4\nL:1/8\nK:F\n"A"FGAB|c2d2|cBAG|F2C2|FGAB|c2d2|cBAG|F4|\n"B"f2dB|c2AF|B2GB|A2F2|f2dB|c2AF|GcBG|F4|]\n'
    piece = load_score(tune, cache=False)
    assert texts(piece) == []
    assert [(mark.text, mark.measure) for mark in piece.rehearsal_marks] == [("A", 0), ("B", 8)]


def test_name_of_a_key_over_a_tune_is_no_chord():
    """A jig of the bundled collection says which key its strain is in: B MINOR, over a D."""
    tune = b'X:1\nM:2/4\nL:1/8\nK:D\nDEFG|A2A2|"B MINOR"GECA,|G2E2|DEFG|A2A2|GECA,|D4|]\n'
    piece = load_score(tune, cache=False)
    assert (texts(piece), [word.text for word in piece.words]) == ([], ["B MINOR"])
