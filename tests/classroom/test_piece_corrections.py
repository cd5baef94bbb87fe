"""A teacher's corrections: read, refused with the line, and used in place of the analysis.

The tunes are written for the tests; what is right in them is what the lines of corrections say.
"""

import pytest

from musictheory_nb.classroom.analysis_doubt import doubts
from musictheory_nb.classroom.corrected_piece import correct_piece
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.piece_corrections import (
    MAX_BYTES,
    corrections_template,
    parse_corrections,
    read_corrections,
)
from musictheory_nb.errors import LessonError
from musictheory_nb.score.load import load_score

TUNE = "CEGE|DFAF|GBdB|c4|" * 2 + "G2A2|B2c2|d2B2|G4|" + "CEGE|DFAF|GBdB|c4|]"


@pytest.fixture
def tune():
    return load_score(f"X:1\nT:Four Steps\nM:4/4\nL:1/4\nK:C\n{TUNE}\n".encode(), cache=False)


def test_every_form_is_read():
    found = parse_corrections(
        "# a remark\n\nkey: Bb minor   # here too\nsection 1: A\nSection 9: B'\nchord 12: F#m7b5\nchord 0 beat 3: N.C.\n"
        "chord 3 beat 2.5: C\nsure 1-4: trading\nwrong 7: Pedal Point\n"
    )
    assert found.key.name == "Bb minor"
    assert [(one.bar, one.label) for one in found.sections] == [("1", "A"), ("9", "B'")]
    assert [(one.bar, str(one.beat), one.chord.symbol) for one in found.chords] == [
        ("12", "1", "F#m7b5"),
        ("0", "3", "N.C."),
        ("3", "5/2", "C"),
    ]
    assert [(one.name, one.first, one.last, one.is_right) for one in found.verdicts] == [
        ("trading", "1", "4", True),
        ("pedal point", "7", "7", False),
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("nonsense", "is no correction; write one of"),
        ("key 3: F major", "is no correction"),
        ("section: A", "is no correction"),
        ("key: H sharp", "H"),
        ("chord 3: Xyz", "Xyz"),
        ("chord 3 at noon: C", "name bar and beat"),
        ("section 3: " + "A" * 20, "at most 8 characters"),
        ("sure 3: trade", "did you mean"),
        ("wrong 1 to 3: trading", "41-56"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(line, told):
    with pytest.raises(LessonError, match=r"line 2: ") as refused:
        parse_corrections(f"# first\n{line}\n", "tune.corrections.txt")
    assert told in str(refused.value)
    assert "tune.corrections.txt" in str(refused.value)


def test_files_that_are_none(tmp_path):
    with pytest.raises(LessonError, match="cannot be read"):
        read_corrections(tmp_path / "none.txt")
    (tmp_path / "latin.txt").write_bytes(b"key: \xff\xfe\xff")
    with pytest.raises(LessonError, match="UTF-8"):
        read_corrections(tmp_path / "latin.txt")
    (tmp_path / "long.txt").write_bytes(b"#" * (MAX_BYTES + 1))
    with pytest.raises(LessonError, match="at most"):
        read_corrections(tmp_path / "long.txt")


def test_a_chord_holds_from_its_beat_to_the_next_chord(tune):
    right = correct_piece(tune, parse_corrections("chord 2 beat 3: Bdim\n"))
    spans = [span for span in right.harmony() if span.measure == 1]
    assert [(str(span.beat), span.chord.symbol, span.origin) for span in spans][-1] == ("3", "Bdim", "written")
    before, after = spans[-2:]
    assert before.end == after.start
    assert after.end == next(span.start for span in right.harmony() if span.start > after.start)
    assert after.confidence == 1.0
    assert [note.sounding.name for note in after.carried_by] == ["F4"]
    total = sum(span.duration for span in right.harmony())
    assert total == sum(span.duration for span in tune.harmony())


def test_sections_key_and_verdicts_are_used(tune):
    asked = parse_corrections("key: A minor\nsection 1: A\nsection 5: A\nsection 9: B\nsection 13: A'\n")
    right = correct_piece(tune, asked)
    assert right.key().key.name == "A minor"
    assert right.form().plan == "AABA"
    assert right.form().labels == ("A", "A", "B", "A'")
    some = tune.devices()[0]
    line = f"{some.first_number}-{some.last_number}: {some.name}"
    confirmed = correct_piece(tune, parse_corrections(f"sure {line}\n")).devices()
    assert next(one for one in confirmed if one.sentence == some.sentence).confidence == 1.0
    assert some.sentence not in [
        one.sentence for one in correct_piece(tune, parse_corrections(f"wrong {line}\n")).devices()
    ]


@pytest.mark.parametrize(
    ("line", "asks"),
    [
        ("chord 99: C", "harmony"),
        ("chord 2 beat 9: C", "harmony"),
        ("section 99: A", "form"),
        ("sure 1-2: trading", "devices"),
    ],
)
def test_what_does_not_fit_the_piece_is_refused(tune, line, asks):
    with pytest.raises(LessonError, match="line 1: "):
        getattr(correct_piece(tune, parse_corrections(line + "\n")), asks)()


def test_every_doubt_is_a_line_that_confirms_it(tune):
    found = doubts(analyse(tune))
    assert found
    lines = [line for line, _ in found]
    right = correct_piece(tune, parse_corrections("\n".join(lines) + "\n"))
    assert doubts(analyse(right)) == ()
    assert parse_corrections(corrections_template("Four Steps", found)).chords == ()
