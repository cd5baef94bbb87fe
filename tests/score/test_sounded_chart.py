"""A chart of chord symbols without notes is analysed by its chords.

The chart is written for the test: the first half stands in F major and closes, the second moves through IV, minor iv and
secondary dominants to V (common practice, no source).
"""

import musictheory_nb as mt
from musictheory_nb.classroom.lesson_options import LessonOptions
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.scale_proposal import degree_proposals
from musictheory_nb.score.sounded_chart import sounded_chart

HALVES = (
    '"F"x4|"Dm7"x4|"Gm7"x4|"C7"x4|"F"x4|"D7"x4|"Gm7"x2"C7"x2|"F"x4',
    '"Bbmaj7"x4|"Bbm6"x4|"F/A"x4|"D7"x4|"G7"x4|"G7"x4|"Gm7"x4|"C7"x4',
)


def chart(*halves: str, marks: bool = True) -> mt.Piece:
    body = "".join(
        (f"P:{letter}\n" if marks else "") + f"{half}|\n" for letter, half in zip("ABCD", halves, strict=False)
    )
    return mt.load_score(f"X:1\nT:Chart\nM:4/4\nL:1/4\nK:F\n{body}".encode(), cache=False)


def test_its_key_is_that_of_its_chords():
    piece = chart(*HALVES)
    assert piece.key().key.name == "F major"
    assert piece.key().confidence > 0.8
    found = analyse(piece)
    assert {span.key.name for span in found.keys} == {"F major"}
    assert [span.numeral.figure for span in found.harmony][:4] == ["I", "vi7", "ii7", "V7"]
    (degrees,) = degree_proposals(found, LessonOptions())
    assert degrees.exercise.settings["keys"] == ["F major"]


def test_other_chords_are_another_section_and_the_same_ones_come_back():
    assert chart(*HALVES).form().plan == "AB"
    assert chart(HALVES[0], HALVES[1], HALVES[0]).form().plan == "ABA"
    assert chart(HALVES[0], HALVES[0]).form().labels in (("A", "A"), ("A",))


def test_the_chart_itself_has_no_notes_and_a_score_with_notes_is_left_alone():
    piece = chart(*HALVES)
    assert len(piece.notes) == 0
    tune = mt.load_score(b'X:1\nM:2/4\nL:1/4\nK:C\n"C"CE|"G7"GB|', cache=False)
    assert sounded_chart(tune) is tune


def test_chords_last_over_barlines_and_no_chord_is_silence():
    piece = mt.load_score(b'X:1\nM:4/4\nL:1/4\nK:C\n"C"x4|x4|"N.C."x4|"G7"x4|', cache=False)
    sounding = sounded_chart(piece).notes
    assert sorted({note.measure for note in sounding}) == [0, 1, 3]
    assert {str(note.sounding)[:-1] for note in sounding if note.measure == 3} == {"G", "B", "D", "F"}


def test_an_empty_chart_of_one_chord_has_a_form():
    piece = mt.load_score(b'X:1\nM:4/4\nL:1/4\nK:C\n"C"x4|x4|x4|x4|', cache=False)
    assert piece.form().plan
    assert mt.load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nz4|z4|\n", cache=False).form().plan == "A"
