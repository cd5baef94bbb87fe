"""Lines over changes: chords and scales as music21 has them; marks of measures counted by hand."""

from fractions import Fraction

import pytest
from family_sample import frozen_excerpts

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.line_criteria import CRITERIA

TWO_FIVE_ONE = "Dm7 | G7 | Cmaj7 | %"


def exercise(count=20, excerpts=None, **settings):
    return Exercise("one", "line-over-changes", settings, count=count, lesson="demo", excerpts=excerpts or {})


def rows(text):
    """Rows from ``'D3:1 r:1 A3:2'``; a note without a length is a quarter."""
    parts = [part.partition(":") for part in text.split()]
    return [[[] if name == "r" else [name], length or "1", False] for name, _, length in parts]


def mark(text, item_of=None, **settings):
    made = item_of or exercise(1, changes=[TWO_FIVE_ONE], transposition="bass guitar", **settings)
    return made.mark(made.item(1, 0), {"line": {"staff": rows(text)}})


def m21_chord(symbol):
    from music21 import harmony

    root = symbol[:2].replace("b", "-") if symbol[1:2] == "b" else symbol[:1]
    return harmony.ChordSymbol(root + symbol[len(root) :])


def m21_pitch(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("strong", ["chord changes", "strong beats", "every beat"])
def test_model_lines_have_chord_tones_and_approaches_by_music21(strong):
    made = exercise(30, strong=strong, up=["P1", "P4", "-M2", "m3"], transposition="bass guitar")
    for index in range(30):
        item = made.item(2, index)
        pitches = [m21_pitch(name) for name in item.key["line"]]
        for place, (symbol, onset, _) in enumerate(item.key["changes"]):
            begins = int(Fraction(onset))
            tones = {pitch.pitchClass for pitch in m21_chord(symbol).pitches}
            assert pitches[begins].pitchClass in tones
            if begins:
                assert 1 <= abs(pitches[begins].midi - pitches[begins - 1].midi) <= 2
            end = int(Fraction(item.key["changes"][place + 1][1])) if place + 1 < len(item.key["changes"]) else 16
            asked = {"chord changes": [], "strong beats": [0, 2], "every beat": [0, 1, 2, 3]}[strong]
            for at in range(begins, end):
                if at % 4 in asked:
                    assert pitches[at].pitchClass in tones
        assert all(40 <= pitch.midi <= 62 for pitch in pitches)  # E2 to D4 as written


def test_what_a_stated_scale_holds_is_what_music21_has_in_it():
    """Single notes over one chord, left by leap, so that none is led on."""
    from music21 import scale

    held = {pitch.pitchClass for pitch in scale.MixolydianScale("G").getPitches("G2", "G3")}
    made = exercise(1, changes=["G7 | G7"], scales=["G Mixolydian"], criteria=["scale"], clef="bass")
    item = made.item(1, 0)
    for midi in range(45, 57):
        name = m21_pitch("C4")
        name.midi = midi
        written = name.nameWithOctave.replace("-", "b")
        # on to a note a seventh or more away, so by no step
        far = "G2" if midi > 50 else "G4"
        scored = made.mark(item, {"line": {"staff": rows(f"{written}:4 {far}:4")}}).score
        assert (scored == 1.0) == (midi % 12 in held), written


# the measures of Dm7 | G7 | Cmaj7 | Cmaj7, counted by hand
@pytest.mark.parametrize(
    ("line", "criteria", "shares"),
    [
        pytest.param("D3 F3 A3 Ab3 G3 B3 D4 F3 E3 G3 B3 G3 C3:4", ["chord tones", "approach"], [1, 1, 1, 1], id="all right"),
        pytest.param("E3 F3 A3 Ab3 G3 B3 D4 F3 E3 G3 B3 G3 C3:4", ["chord tones"], [Fraction(1, 2), 1, 1, 1], id="E on one"),
        pytest.param("D3 F3 A3 C3 G3 B3 D4 F3 E3 G3 B3 G3 C3:4", ["approach"], [1, 0, 1, 1], id="a leap to G"),
        pytest.param("D3 F3 A3 Ab3 G3 B3 D4 D3 E3 G3 B3 G3 C3:4", ["approach"], [1, 1, 1, 1], id="a whole step to E"),
        pytest.param("D3 F3 A3 Ab3 A3 B3 D4 F3 E3 G3 B3 G3 C3:4", ["approach"], [1, 0, 1, 1], id="a step to no chord tone"),
        pytest.param("D3 F#3 A3 Ab3 G3 B3 D4 F3 E3 G3 B3 G3 C3:4", ["scale"], [Fraction(3, 4), 1, 1, 1], id="F# by leap"),
        pytest.param("D3 F3 E3 D3 G3 B3 D4 F3 E3 F3:3 C3:4", ["avoid notes"], [1, 1, Fraction(1, 2), 1], id="F held over C"),
        pytest.param("D2 F3 A3 Ab3 G3 B3 D4 F3 E3 G3 E4 G3 C3:4", ["range"], [Fraction(3, 4), 1, Fraction(3, 4), 1], id="D2, E4"),
        pytest.param("D3 F3 A3 Ab3 G3 B3 D4 F3 E3 G3 B3", ["complete"], [1, 1, Fraction(3, 4), 0], id="not finished"),
        pytest.param("D3:4 r:4 E3:4 C3:4", ["complete", "chord tones"], [1, 0, 1, 1], id="a measure of rest"),
        pytest.param("r:2 A3:2 G3:4 E3:4 C3:4", ["chord tones"], [1, 1, 1, 1], id="a rest on one is let pass"),
    ],
)  # fmt: skip
def test_measures_are_marked_as_counted_by_hand(line, criteria, shares):
    found = mark(line, criteria=criteria)
    assert found.score == pytest.approx(float(sum(shares) / 4))
    for number, share in enumerate(shares, start=1):
        assert (f"Measure {number} meets every criterion." in found.why) == (share == 1)


def test_every_measure_gets_its_comment():
    found = mark("E3 F3 A3 C3 G3 B3 D4 F3 E3 G3 B3 G3 C3:2", criteria=["chord tones", "approach", "complete"])
    assert "Measure 1 (75 %): at beat 1 there is E3, no tone of Dm7." in found.why
    assert "Measure 2 (67 %): G7 at beat 1 is not reached by step." in found.why
    assert "Measure 3 meets every criterion." in found.why
    assert "Measure 4 (75 %): the measure is not full." in found.why


def test_by_half_step_is_stricter():
    line = "D3 F3 A3 F3 G3 B3 D4 D3 E3 G3 B3 G3 C3:4"  # whole steps F-G and D-E
    assert mark(line, criteria=["approach"]).score == 1.0
    assert mark(line, criteria=["approach"], approach_by="half step").score == 0.5


def test_what_cannot_be_played_is_told():
    """The lowest string of the bass guitar sounds E1, written E2; its twentieth fret is D#4, written D#5 (standard tuning)."""
    found = mark("D2:4 G3:4 E3:4 C3:4", criteria=["playable"])
    assert found.score == 0.75
    assert "D2 cannot be played on the bass guitar" in found.why
    assert mark("E2:4 G3:4 E3:4 C3:4", criteria=["playable"]).score == 1.0
    jump = mark("F2:1/4 Eb5:1/4 r:7/2 G3:4 E3:4 C3:4", criteria=["playable"])
    assert jump.score < 1.0
    assert "is hard to reach" in jump.why


@pytest.mark.parametrize(
    ("transposition", "symbols"),
    [  # written a major second, a major sixth, an octave above what sounds: clarinet, alto saxophone, double bass
        ("clarinet", ["Em7", "A7", "Dmaj7"]),
        ("alto saxophone", ["Bm7", "E7", "Amaj7"]),
        ("double bass", ["Dm7", "G7", "Cmaj7"]),
    ],
)
def test_changes_are_written_for_the_instrument(transposition, symbols):
    item = exercise(1, changes=[TWO_FIVE_ONE], transposition=transposition, key="C major").item(1, 0)
    assert [symbol for symbol, _, _ in item.key["changes"]] == symbols
    request = item.media[0]
    chord = next(note for note in request.excerpt.notes if note.part == 1)
    shift = request.excerpt.parts[1].chromatic
    sounding = {(m21_pitch(name).midi + shift) % 12 for name in chord.pitches}
    assert sounding == {pitch.pitchClass for pitch in m21_chord("Dm7").pitches}


def test_lines_may_be_played_one_note_a_beat():
    made = exercise(3, changes=[TWO_FIVE_ONE], transposition="double bass", inputs=["keys"], fingerboard="instrument")
    for index in range(3):
        item = made.item(1, index)
        keys = item.solution["line"]["keys"]
        assert keys == [m21_pitch(name).midi - 12 for name in item.key["line"]]
        opens = [28, 33, 38, 43]  # E1 A1 D2 G2 as MIDI numbers
        assert [opens[string] + fret for string, fret in item.solution["line"]["fingerboard"]] == keys
        wrong = [keys[0] + 1, *keys[1:]]
        assert made.mark(item, {"line": {"keys": wrong}}).score < 1.0


def test_the_changes_of_a_piece():
    """As they stand in the file: F7 with F7(b9) on its third beat in measure 4, Dm7 and Db7 in measure 5."""
    made = exercise(2, frozen_excerpts(), excerpt="changes", first="3", last="6")
    item = made.item(1, 0)
    assert [(symbol, onset) for symbol, onset, _ in item.key["changes"]] == [
        ("Cm7", "0"), ("F7", "4"), ("F7b9", "6"), ("Dm7", "8"), ("Db7", "10"), ("Cm7", "12"), ("F7", "14"),
    ]  # fmt: skip
    with pytest.raises(ExerciseError, match="no chord symbol stands at their beginning"):
        exercise(1, frozen_excerpts(), excerpt="waltz", first="1", last="4").item(1, 0)
    with pytest.raises(ExerciseError, match="measures 3 to 3: 1 measures; choose 2 to 8"):
        exercise(1, frozen_excerpts(), excerpt="changes", first="3", last="3").item(1, 0)


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ({"changes": ["Dm7"]}, "1 measures; write 2 to 8"),
        ({"changes": ["Dm7 | H7"]}, "H is German for B"),
        ({"changes": ["Dm7 G7 C | F"]}, "measure 1 has 3 chords for 4 beats"),
        ({"changes": ["/ Dm7 | F"]}, "begin with a chord"),
        ({"changes": ["Dm7 | N.C."]}, "is no chord"),
        ({"criteria": ["playable"], "transposition": "flute"}, "needs a string instrument"),
        ({"scales": ["C major", "G major"]}, "2 for 3 chords"),
        ({"excerpt": "changes"}, "give the printed numbers"),
    ],
)
def test_settings_that_do_not_go_together_are_refused(settings, told):
    with pytest.raises(ExerciseError, match=told):
        exercise(1, **settings)


def test_criteria_that_no_line_meets_are_refused_with_what_to_do():
    """Of C2 and Db2, to which the register is narrowed, neither is a tone of Gmaj7."""
    made = exercise(1, changes=["Cmaj7 | Gmaj7"], low="C2", high="Db2", criteria=list(set(CRITERIA) - {"playable"}))
    with pytest.raises(ExerciseError, match="leave out a criterion"):
        made.item(1, 0)


def test_marks_point_at_the_notes_in_the_picture():
    made = exercise(1, changes=[TWO_FIVE_ONE], criteria=["chord tones"], clef="bass")
    answer = {"line": {"staff": rows("r:1 D3:1 E3:2 G3:4 E3:4 C3:4")}}
    shown = made.compare(made.item(1, 0), answer)[-1]
    assert [shown.excerpt.notes[at].pitches for at in shown.marked] == [("E3",)]
