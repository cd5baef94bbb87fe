import csv
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import music21
import pytest
from romantext_truth import score_harmony

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.implied_harmony import implied_harmony
from musictheory_nb.score.load import load_score

PUBLISHED = Path(__file__).parents[1] / "published"
CORPUS = Path(music21.__file__).parent / "corpus"
#: Chorales held out when the weights were fitted, short ones.
SAMPLE = ("riemenschneider004", "riemenschneider010", "riemenschneider018")


def _abc(tune, metre="4/4", unit="1/4", key="C"):
    return load_score(f"X:1\nM:{metre}\nL:{unit}\nK:{key}\n{tune}|]\n".encode(), cache=False)


# --- published analyses ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLE)
def test_chorale_agrees_with_its_published_analysis(name):
    # The romantext analyses bundled with music21, by duration. 80 % is the aim for the roots.
    piece = next(piece for piece in score_harmony.pieces() if piece.name == name)
    score = load_score(CORPUS / piece.score)
    truth, lengths = score_harmony.published(piece)
    assert score_harmony.why_not(score, lengths) == ""
    result = score_harmony.agreement(score_harmony.within(truth, score), score_harmony.ours(score))
    assert result.root >= 0.8 * result.quarters
    assert result.numeral >= 0.4 * result.quarters


@pytest.mark.full
def test_all_analyses_beside_music21s_own_route():
    # Reached when this was written, root: chorales 94.3 % (music21's route 86.7 %), of these held out when the weights were fitted 95.0 % (89.8 %);
    # madrigals 85.7 % (78.1 %). The aim of ten points above that route is reached for quality and numerals, not for the
    # roots: what is left is told by kind in the benchmark's report and by its docstring.
    groups, left_out = score_harmony.compare(score_harmony.pieces())
    assert groups["chorales"]["pieces"] >= 17
    assert len(left_out) < 20
    for group, root, numeral in (("chorales", 0.93, 0.7), ("chorales, held out", 0.93, 0.7), ("madrigals", 0.84, 0.4)):
        ours, peer = groups[group]["ours"], groups[group]["music21"]
        assert ours.root >= root * ours.quarters, group
        assert ours.root > peer.root, group
        assert ours.numeral >= numeral * ours.quarters, group
        assert ours.numeral - peer.numeral >= 0.1 * ours.quarters, group
        if group != "madrigals":
            assert ours.quality - peer.quality >= 0.1 * ours.quarters, group
            assert sum(groups[group]["residuals"].values()) == pytest.approx(ours.quarters - ours.root)


def _prelude_rows():
    with open(PUBLISHED / "prelude_chords.tsv", encoding="utf-8") as file:
        rows = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        return [row for row in rows if row["bundled"]]


def _one_line(score):
    """The prelude as one line: at each onset its lowest note, until the next."""
    from music21 import meter, note, stream

    lowest = {}
    for one in score.joined_notes.of_kind("note"):
        if one.duration and (one.start not in lowest or one.sounding < lowest[one.start]):
            lowest[one.start] = one.sounding
    part = stream.Part([meter.TimeSignature("4/4")])
    edges = [*sorted(lowest), score.length]
    for start, end in pairwise(edges):
        pitch = lowest[start]
        part.append(note.Note(pitch.name.replace("b", "-"), quarterLength=end - start))
    part.makeMeasures(inPlace=True)
    return load_score(stream.Score([part]))


@pytest.mark.parametrize("texture", ["as written", "one line"])
def test_prelude_has_a_chord_a_bar_as_published(texture):
    # tests/published/prelude_chords.tsv; roots and notes of the numerals by music21. Bar 33 (ii42 over a pedal, of which
    # others say IV) is the one known difference as written; bar 8 loses its seventh in the single line.
    from music21 import roman

    score = load_score(CORPUS / "bach/bwv846.mxl")
    score = score if texture == "as written" else _one_line(score)
    spans = implied_harmony(score)
    roots, notes = [], []
    for row in _prelude_rows():
        measure = score.measures[int(row["bundled"]) - 1]
        here = [span for span in spans if span.start < measure.end and span.end > measure.start]
        span = max(here, key=lambda one: min(one.end, measure.end) - max(one.start, measure.start))
        numeral = roman.RomanNumeral(row["numeral"], row["key"])
        if span.chord.root.pitch_class != numeral.root().pitchClass:
            roots.append(row["bar"])
        if set(span.chord.pitch_classes) != {pitch.pitchClass for pitch in numeral.pitches}:
            notes.append(row["bar"])
    assert roots == ["33"]
    assert set(notes) <= {"8", "33"}


# --- passages written from definitions (harmony courses; common practice, no source) -----------------------------------


def test_passing_and_neighbour_notes_are_explained_away():
    # Over a C major triad D between C and E passes, and F between E and E is a neighbour.
    spans = implied_harmony(_abc("[C,2E,2G,2C2]D2 [C,2E,2G,2E2]F2|[C,4E,4G,4E4]E4", unit="1/8"))
    assert [span.chord.symbol for span in spans] == ["C"]
    roles = {(str(foreign.note.sounding), foreign.role) for foreign in spans[0].foreign}
    assert roles == {("D4", "passing note"), ("F4", "neighbour note")}
    assert all(foreign.is_explained for foreign in spans[0].foreign)


def test_four_three_suspension_is_explained_away():
    # The fourth above the root, held over from the chord before, resolves down to the third.
    tune = "V:1\nc4|c2B2|c4\nV:2\nA4|G4|G4\nV:3\nF4|D4|E4\nV:4 bass\nF,4|G,4|C,4"
    score = load_score(f"X:1\nM:4/4\nL:1/4\nK:C\n{tune}\n".encode(), cache=False)
    spans = implied_harmony(score)
    assert [(span.measure, span.chord.root.name) for span in spans] == [(0, "F"), (1, "G"), (2, "C")]
    assert [(str(f.note.sounding), f.role) for f in spans[1].foreign] == [("C5", "suspension")]


def test_pedal_point_stays_while_chords_change():
    # G stays in the bass under G, C, D7 and G; D7 does not have it.
    spans = implied_harmony(_abc("[G,,4G4B4d4]|[G,,4G4c4e4]|[G,,4F4A4c4d4]|[G,,4G4B4d4]", key="G"))
    assert [span.chord.root.name for span in spans] == ["G", "C", "D", "G"]
    assert [f.role for f in spans[2].foreign] == ["pedal point"]


@pytest.mark.parametrize(
    ("tune", "symbols", "figures"),
    [
        pytest.param("CEGc|BGFD|[CEGc]4", ["C", "G7", "C"], ["I", "V7", "I"], id="broken chords of I, V7, I"),
        pytest.param("DFAd|GBdf|cGEC", ["Dm", "G7", "C"], ["ii", "V7", "I"], id="ii, V7, I"),
    ],
)
def test_one_line_implies_its_chords(tune, symbols, figures):
    spans = implied_harmony(_abc(tune, unit="1/8", metre="2/4"))
    assert [span.chord.over(span.chord.root).symbol for span in spans] == symbols


def test_augmented_sixth_is_told_by_its_spelling():
    # Ab C Eb F# in C minor is the German sixth; Ab C Eb Gb would be a dominant seventh (definition).
    german = implied_harmony(_abc("[C,2C2_E2G2][_A,,2C2_E2^F2]|[G,,4D4G4=B4]|[C,4C4_E4G4]"))
    seventh = implied_harmony(_abc("[C,2C2_E2G2][_A,,2C2_E2_G2]|[_D,4_A4_d4f4]"))
    assert german[1].numeral.figure == "Ger65"
    assert seventh[1].chord.symbol == "Ab7"


def test_diminished_seventh_takes_its_root_from_the_spelling():
    # B D F Ab and G# B D F sound alike; the first leads to C, the second to A (definition).
    to_c = implied_harmony(_abc("[C,4E4G4c4]|[B,,4D4F4_A4]|[C,4E4G4c4]"))
    to_a = implied_harmony(_abc("[A,,4E4A4c4]|[^G,,4D4F4B4]|[A,,4E4A4c4]"))
    assert (to_c[1].chord.root.name, to_a[1].chord.root.name) == ("B", "G#")


# --- evidence ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["bach/bwv269.mxl", "bach/bwv846.mxl", "monteverdi/madrigal.3.9.mxl"])
def test_every_span_accounts_for_its_notes(path):
    # Laws: spans follow one another without overlap; carried notes are chord tones, foreign ones are not; every note
    # that sounds in the span is one or the other; a numeral reads back to the chord.
    score = load_score(CORPUS / path)
    spans = implied_harmony(score)
    sounding = [note for note in score.joined_notes.of_kind("note") if note.duration]
    for one, other in pairwise(spans):
        assert one.end <= other.start
    for span in spans:
        tones = span.chord.pitch_classes
        assert all(note.sounding.pitch_class in tones for note in span.carried_by)
        assert all(foreign.note.sounding.pitch_class not in tones for foreign in span.foreign)
        here = [note for note in sounding if note.start < span.end and note.end > span.start]
        assert len(here) == len(span.carried_by) + len(span.foreign)
        rows = [score.notes[row] for row in span.evidence.notes]
        assert {note.sounding.chromatic for note in rows} == {note.sounding.chromatic for note in span.carried_by}
        assert all(note.start < span.end and note.end > span.start for note in rows)
        assert 0.5 <= span.confidence <= 1
        assert score.measures[span.measure].start + span.onset == span.start
        assert span.numeral is not None
        assert span.numeral.chord.pitch_classes == tones
        assert span.numeral.key == span.key.name


def test_evidence_says_what_sounds_and_what_does_not():
    # By construction: C and E over a bass C, F passing to G in the upper line, no fifth until then.
    (span,) = implied_harmony(_abc("V:1\nE2F2|E4|\nV:2\nC,4|C,4"))
    assert span.evidence.words.startswith("C and E sound, C in the bass; its 5 does not sound; F is no tone of it")
    assert span.evidence.notes == (0, 1, 3, 4)


def test_evidence_of_a_written_symbol_says_that_it_is_written():
    first, silent = harmony(_abc('"Dm7"D2A2|"N.C."c4'))
    assert first.evidence.words == "written as Dm7; D and A sound, D in the bass; its b3 and b7 do not sound"
    assert silent.evidence.words == "written as N.C."
    assert (first.evidence.notes, silent.evidence.notes) == ((0, 1), ())


def test_tied_notes_are_evidence_row_by_row():
    # Two rows of the table make one note of two bars (by construction).
    (span,) = implied_harmony(_abc("[CEG]4-|[CEG]4"))
    assert span.evidence.notes == (0, 1, 2, 3, 4, 5)


def test_confidence_grows_with_agreement():
    # Roots of the sample are right more often where the confidence is high.
    right = {True: [0.0, 0.0], False: [0.0, 0.0]}
    for piece in score_harmony.pieces():
        if piece.name not in SAMPLE:
            continue
        score = load_score(CORPUS / piece.score)
        truth, _ = score_harmony.published(piece)
        spans = implied_harmony(score)
        for row in truth:
            measure = next(m for m in score.measures if m.number == str(row.measure) and not m.continues)
            at = measure.start + row.start - measure.offset
            span = next((span for span in spans if span.start <= at < span.end), None)
            if span is not None:
                held = right[span.confidence >= 0.9]
                held[0] += span.chord.root.pitch_class == row.label.root
                held[1] += 1
    sure, unsure = (right[key][0] / right[key][1] for key in (True, False))
    assert sure > unsure


# --- written chord symbols ---------------------------------------------------------------------------------------------


def test_written_symbols_are_kept_and_last_to_the_next():
    spans = harmony(_abc('"Dm7"D2F2|"G7"G2B2|"Cmaj7"c4|z4'))
    assert [(span.chord.symbol, span.origin, span.duration) for span in spans] == [
        ("Dm7", "written", Fraction(4)),
        ("G7", "written", Fraction(4)),
        ("Cmaj7", "written", Fraction(8)),
    ]
    assert [span.numeral.figure for span in spans] == ["ii7", "V7", "I7"]


def test_symbols_can_be_left_aside():
    spans = harmony(_abc('"F"CEGc|"F"GEC2|"C"[CEG]4'), written=False)
    assert {span.origin for span in spans} == {"implied"}
    assert spans[0].chord.root.name == "C"


def test_chords_before_the_first_symbol_are_implied():
    spans = harmony(_abc('[G,4B,4D4F4]|"C"c4'))
    assert [(span.chord.root.name, span.origin) for span in spans] == [("G", "implied"), ("C", "written")]


def test_no_chord_is_no_chord():
    # common_practice.md of the published tables: N.C. on a chart means no chord.
    score = load_score(CORPUS / "leadSheet/fosterBrownHair.mxl")
    spans = harmony(score)
    silent = [span for span in spans if span.origin == "written" and span.chord.is_no_chord]
    assert len(silent) >= 1
    assert all(span.numeral is None and span.carried_by == () and span.foreign == () for span in silent)


def test_score_without_notes_and_symbols_has_no_harmony():
    with pytest.raises(ScoreError, match="has no pitched notes"):
        harmony(_abc("z4|z4"))


def test_symbol_that_cannot_be_read_is_left_to_the_notes():
    # The grammar of chord symbols has no "Xyz"; the symbol before it does not last over it.
    score = replace_symbols(_abc('"C"[CEG]4|[B,DFG]4|"C"[CEG]4'))
    assert [(span.chord.root.name, span.origin) for span in harmony(score)] == [
        ("C", "written"),
        ("G", "implied"),
        ("C", "written"),
    ]


def replace_symbols(score):
    """Put a symbol that is none into the second measure."""
    strange = replace(score.chord_symbols[0], measure=1, start=Fraction(4), text="Xyz", written="Xyz")
    return replace(score, chord_symbols=(score.chord_symbols[0], strange, *score.chord_symbols[1:]))
