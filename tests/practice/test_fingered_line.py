"""A line of an excerpt with its fingering: what sounds is fingered, ties and rests counted, marks on the right notes.

The fingering itself is checked in ``tests/instrument``; here open strings are, which the tunings of handbooks give (Adler, "The
Study of Orchestration", from memory): double bass E1 A1 D2 G2, sounding an octave below its part; violin G3 D4 A4 E5.
"""

from fractions import Fraction as F

import pytest

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.fingered_line import fingered_line


def line(*notes, part=None, measures=1):
    """Notes as (pitch, duration, tie); no pitch is a rest."""
    found, at = [], F(0)
    for pitch, duration, *tie in notes:
        measure, onset = divmod(at, 4)
        found.append(
            ExcerptNote(0, int(measure), onset, F(duration), (pitch,) if pitch else (), tie=tie[0] if tie else "")
        )
        at += F(duration)
    return Excerpt(
        (part or ExcerptPart("", "bass"),),
        tuple(ExcerptMeasure(str(n + 1), F(4)) for n in range(measures)),
        tuple(found),
    )


def test_a_part_that_sounds_an_octave_lower_is_fingered_as_it_sounds():
    written = line(("E2", 1), ("A2", 1), ("D3", 1), ("G3", 1))
    bass = fingered_line(written, "double bass", written=True)
    assert [note.pitch.name for note in bass.fingering.notes] == ["E1", "A1", "D2", "G2"]
    assert (bass.fingers[0], bass.strings[0]) == ("0", "IV")
    part = ExcerptPart("Double bass", "bass", chromatic=-12, diatonic=-7)
    own = fingered_line(line(("E2", 1), ("A2", 1), part=part), "double bass")
    assert [note.pitch.name for note in own.fingering.notes] == ["E1", "A1"]
    # an instrument that sounds as written
    assert fingered_line(line(("G3", 1)), "violin").fingers == {0: "0"}


def test_fretted_players_read_circled_numbers_of_strings():
    assert dict(fingered_line(line(("E1", 1), ("G1", 1), ("A1", 1)), "bass guitar").strings)[0] == "④"


def test_ties_are_one_note_and_rests_are_time():
    tied = line(("F1", 1, "start"), ("F1", 1, "stop"), ("", 1), ("Eb4", 1), measures=1)
    made = fingered_line(tied, "bass guitar", tempo=120)
    alone = finger_line(["F1", None, "Eb4"], [2, 1, 1], "bass guitar", tempo=120)
    assert made.fingering.fingers == alone.fingers
    assert set(made.fingers) == {0, 3}
    assert made.line == (0, -1, 3)
    assert [note.seconds for note in made.fingering.notes] == [0.0, 1.5]


def test_hard_spots_are_marked_on_their_notes():
    made = fingered_line(line(("G1", 1), ("", 1), ("F1", F(1, 4)), ("Eb4", F(1, 4))), "bass guitar", tempo=120)
    assert made.hard_notes == (2, 3)
    assert any(said.startswith("Hard spot, notes 2 to 3: ") for said in made.words)
    assert "Spot 1" in made.plan.describe()
    assert "stop at pain" in made.caution.casefold()


def test_the_part_that_is_asked_for_is_fingered():
    two = Excerpt(
        (ExcerptPart("Violin"), ExcerptPart("Cello", "bass")), (ExcerptMeasure("1", F(2), "2/4"),),
        (ExcerptNote(0, 0, F(0), F(2), ("E5",)), ExcerptNote(1, 0, F(0), F(1), ("C2",)), ExcerptNote(1, 0, F(1), F(1), ("G2",))),
    )  # fmt: skip
    low = fingered_line(two, "cello", part=1)
    assert ([note.pitch.name for note in low.fingering.notes], set(low.fingers)) == (["C2", "G2"], {1, 2})
    with pytest.raises(InstrumentError, match="part 2: this music has the part indices 0 to 1"):
        fingered_line(two, "cello", part=2)


@pytest.mark.parametrize(
    ("music", "on", "problem"),
    [
        (Excerpt.melody(["G3", "D4"], together=True), "violin", "measure 1: notes sound together"),
        (line(("C1", 1)), "bass guitar", "note 1 'C1': is below E1"),
        (line(("E1", 1)), "kazoo", "kazoo"),
        (line(("", 1)), "violin", "no note to finger"),
    ],
)
def test_what_cannot_be_fingered_is_refused(music, on, problem):
    with pytest.raises(InstrumentError, match=problem):
        fingered_line(music, on)


def test_a_voice_that_goes_on_under_another_is_no_line():
    two = Excerpt(
        (ExcerptPart(""),), (ExcerptMeasure("1", F(4)),),
        (ExcerptNote(0, 0, F(0), F(4), ("G3",)), ExcerptNote(0, 0, F(1), F(1), ("E5",), voice=2)),
    )  # fmt: skip
    with pytest.raises(InstrumentError, match="one part, one voice"):
        fingered_line(two, "violin")
