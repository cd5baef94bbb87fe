"""Families of MusicXML that readers get wrong: transposition, percussion, chord symbols, keys, voices, order of parts.

Source: MusicXML 4.0 (W3C) for the meaning of the elements; what a B flat or E flat instrument sounds is common practice.
"""

from fractions import Fraction

import pytest
from written_musicxml import CLOSE, attributes, harmony, measure, note, rest, score, sign, words

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score
from musictheory_nb.theory.pitch import Pitch


def transpose(chromatic, diatonic=None, octave=None):
    steps = f"<diatonic>{diatonic}</diatonic>" if diatonic is not None else ""
    octaves = f"<octave-change>{octave}</octave-change>" if octave is not None else ""
    return f"<transpose>{steps}<chromatic>{chromatic}</chromatic>{octaves}</transpose>"


INSTRUMENTS = [  # written note, transposition as MusicXML writes it, what sounds, written and sounding fifths
    ("trumpet in B flat", "D5", transpose(-2, -1), "C5", 2, 0),
    ("trumpet in B flat, semitones alone", "D5", transpose(-2), "C5", 2, 0),
    ("alto saxophone in E flat", "A4", transpose(-9, -5), "C4", 3, 0),
    ("horn in F", "G4", transpose(-7, -4), "C4", 1, 0),
    ("clarinet in A", "C5", transpose(-3, -2), "A4", -3, 0),
    ("clarinet in E flat", "C5", transpose(3, 2), "Eb5", 3, 0),
    ("double bass", "C3", transpose(0, 0, -1), "C2", 0, 0),
    ("piccolo", "C5", transpose(0, 0, 1), "C6", 0, 0),
    ("tenor saxophone", "D5", transpose(-2, -1, -1), "C4", 2, 0),
    ("bass clarinet, accidentals", "F#4", transpose(-2, -1, -1), "E3", 5, 3),
]


@pytest.mark.parametrize(("name", "written", "how", "sounds", "fifths", "concert"), INSTRUMENTS)
def test_transposing_instrument_has_both_views(name, written, how, sounds, fifths, concert):
    bar = attributes("4", fifths=fifths, more=how) + harmony(Pitch(written).pitch_name.name) + note(written, 4)
    piece = load_score(score([measure(bar, 1)], names=[name]))
    assert (piece.notes[0].written, piece.notes[0].sounding) == (Pitch(written), Pitch(sounds))
    assert piece.measures[0].fifths == concert
    assert piece.key_signatures[0].written == fifths
    chord = piece.chord_symbols[0]
    assert (chord.written, chord.text) == (Pitch(written).pitch_name.name, Pitch(sounds).pitch_name.name)


def test_player_changes_instruments():
    bars = [
        measure(attributes("4", more=transpose(-2, -1)) + note("D5", 4), 1),
        measure(f"<attributes>{transpose(-3, -2)}</attributes>" + note("D5", 4), 2),
    ]
    piece = load_score(score(bars))
    assert [note.sounding.name for note in piece.notes] == ["C5", "B4"]
    assert [(move.measure, move.chromatic) for move in piece.transpositions] == [(0, -2), (1, -3)]


def test_key_of_the_score_is_that_of_most_parts():
    parts = [
        [measure(attributes("4", fifths=0, more=transpose(-7, -4)) + note("C5", 4), 1)],
        [measure(attributes("4", fifths=-3) + note("C5", 4), 1)],
        [measure(attributes("4", fifths=-3) + note("C4", 4), 1)],
    ]
    assert load_score(score(*parts, names=["Horn", "Violin", "Cello"])).measures[0].fifths == -3


def test_percussion_has_no_pitch():
    drum = (
        "<note><unpitched><display-step>C</display-step><display-octave>5</display-octave></unpitched>"
        "<duration>16</duration><voice>1</voice></note>"
    )
    piece = load_score(
        score([measure(attributes() + drum, 1)], [measure(attributes() + note("C4", 4), 1)], names=["Drums", "Bass"])
    )
    assert next((n.kind, n.written, n.sounding) for n in piece.notes) == ("unpitched", None, None)
    assert [(part.name, part.is_unpitched, part.is_empty) for part in piece.parts] == [
        ("Drums", True, False),
        ("Bass", False, False),
    ]


def test_bar_with_chord_symbols_alone():
    bars = [
        measure(
            attributes() + harmony("C") + "<forward><duration>8</duration></forward>" + harmony("G", "dominant"), 1
        ),
        measure(harmony("A", "minor") + rest(4, whole=True), 2),
        measure(harmony("F"), 3),
        measure(harmony("D", "minor") + harmony("G", "dominant"), 4),
        measure(note("C4", 4), 5),
    ]
    piece = load_score(score(bars))
    assert [(chord.text, chord.measure, chord.beat) for chord in piece.chord_symbols] == [
        ("C", 0, 1),
        ("G7", 0, 3),
        ("Am", 1, 1),
        ("F", 2, 1),
        ("Dm", 3, 1),
        ("G7", 3, 3),
    ]
    assert [one.length for one in piece.measures] == [4] * 5
    assert [notice for notice in piece.notices if "share the bar evenly" in notice]


def test_lead_sheet_without_a_single_note():
    piece = load_score(score([measure(attributes() + harmony("C"), 1), measure(harmony("F"), 2)]))
    assert [chord.start for chord in piece.chord_symbols] == [0, 4]


@pytest.mark.parametrize("text", ["N.C.", "NC", "N.C", "(N.C.)", "n.c."])
def test_no_chord_in_words_is_a_no_chord(text):
    piece = load_score(score([measure(attributes() + words(text) + note("C4", 4), 1)]))
    assert [(chord.text, chord.is_no_chord) for chord in piece.chord_symbols] == [("N.C.", True)]


def test_no_chord_as_a_kind():
    piece = load_score(score([measure(attributes() + harmony("C", "none") + note("C4", 4), 1)]))
    assert [chord.text for chord in piece.chord_symbols] == ["N.C."]


def test_chord_symbol_behind_the_last_note_belongs_to_the_next_bar():
    piece = load_score(score([measure(attributes() + note("C4", 4) + harmony("G"), 1), measure(note("D4", 4), 2)]))
    assert [(chord.measure, chord.beat) for chord in piece.chord_symbols] == [(1, 1)]


def test_tie_goes_on_in_another_voice():
    upper = note("G4", 4, "<tie type='start'/>", voice=1)
    lower = note("G4", 4, "<tie type='stop'/>", voice=2)
    back = "<backup><duration>16</duration></backup>"
    bars = [
        measure(attributes() + upper + back + note("E4", 4, voice=2), 1),
        measure(note("B4", 4, voice=1) + back + lower, 2),
    ]
    spans = [(n.sounding.name, n.start, n.duration, n.voice) for n in load_score(score(bars)).joined_notes]
    assert ("G4", 0, 8, 1) in spans
    assert len(spans) == 3


def test_tie_to_the_other_spelling_of_the_same_pitch():
    bars = [
        measure(attributes() + note("F#4", 4, "<tie type='start'/>"), 1),
        measure(note("Gb4", 4, "<tie type='stop'/>"), 2),
    ]
    assert [n.duration for n in load_score(score(bars)).joined_notes] == [8]


def test_tie_that_leads_nowhere_is_none():
    bars = [measure(attributes() + note("F4", 4, "<tie type='start'/>"), 1), measure(note("G4", 4), 2)]
    assert [n.duration for n in load_score(score(bars)).joined_notes] == [4, 4]


def test_grace_notes_before_after_and_in_chords():
    grace = "<note><grace/>{}<pitch><step>{}</step><octave>5</octave></pitch><voice>1</voice></note>"
    bar = (
        attributes("2") + grace.format("", "C") + grace.format("<chord/>", "E") + note("D5", 2) + grace.format("", "F")
    )
    piece = load_score(score([measure(bar, 1), measure(note("E5", 2), 2)]))
    assert [(n.written.step, n.onset, n.duration, n.grace) for n in piece.notes_of(0, 0)] == [
        ("C", 0, 0, True),
        ("E", 0, 0, True),
        ("D", 0, 2, False),
        ("F", 2, 0, True),
    ]
    assert piece.measures[0].length == 2
    assert [n.event for n in piece.notes_of(0, 0)][:2] == [0, 0]


def test_cue_notes_are_no_music():
    cue = "<note><cue/><pitch><step>G</step><octave>5</octave></pitch><duration>16</duration><voice>1</voice></note>"
    piece = load_score(score([measure(attributes() + cue, 1), measure(note("C4", 4), 2)]))
    assert [n.written.step for n in piece.notes] == ["C"]
    assert [e.kind for e in piece.events] == ["cue", "note"]


def test_rounded_tuplets_are_read_from_their_note_values():
    """Three eighths in the time of two at 4 divisions cannot be written exactly: 1 + 1 + 2 stand for a third each."""
    modified = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    triplet = "".join(
        f"<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>{length}</duration><voice>1</voice>"
        f"{modified}</note>"
        for step, length in zip("CDE", (1, 1, 2), strict=True)
    )
    piece = load_score(score([measure(attributes("1") + triplet, 1)]))
    assert [n.onset for n in piece.notes] == [0, Fraction(1, 3), Fraction(2, 3)]
    assert [n.duration for n in piece.notes] == [Fraction(1, 3)] * 3


def test_two_staves_voices_and_divisions_that_change():
    bar = (
        attributes(
            "2", more="<staves>2</staves><clef number='1'><sign>G</sign></clef><clef number='2'><sign>F</sign></clef>"
        )
        + note("C5", 2).replace("</voice>", "</voice><staff>1</staff>")
        + "<backup><duration>8</duration></backup>"
        + note("C3", 2, voice=5).replace("</voice>", "</voice><staff>2</staff>")
    )
    second = "<attributes><divisions>1</divisions></attributes>" + note("D5", 2).replace("8<", "2<")
    piece = load_score(score([measure(bar, 1), measure(second, 2)]))
    assert [(n.staff, n.voice, n.start, n.duration) for n in piece.notes] == [(1, 1, 0, 2), (2, 5, 0, 2), (1, 1, 2, 2)]
    assert piece.parts[0].staves == 2
    assert [(clef.staff, clef.name) for clef in piece.clefs] == [(1, "treble"), (2, "bass")]


def test_measure_repeat_sign_plays_the_measure_before():
    begin = "<attributes><measure-style><measure-repeat type='start'>1</measure-repeat></measure-style></attributes>"
    end = "<attributes><measure-style><measure-repeat type='stop'/></measure-style></attributes>"
    bars = [
        measure(attributes() + note("C4", 1) + note("E4", 3), 1),
        measure(begin, 2),
        measure(end + note("G4", 4), 3),
    ]
    piece = load_score(score(bars))
    assert [(n.written.step, n.measure, n.onset) for n in piece.notes] == [
        ("C", 0, 0),
        ("E", 0, 1),
        ("C", 1, 0),
        ("E", 1, 1),
        ("G", 2, 0),
    ]


def test_rehearsal_marks_tempo_and_words():
    mark = "<direction><direction-type><rehearsal>A</rehearsal></direction-type></direction>"
    metronome = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute>"
        "</metronome></direction-type></direction>"
    )
    bars = [
        measure(attributes() + metronome + mark + words("dolce") + note("C4", 4), 1),
        measure(words("rit.", 'tempo="50"') + note("C4", 4), 2),
    ]
    piece = load_score(score(bars))
    assert [(m.text, m.start) for m in piece.rehearsal_marks] == [("A", 0)]
    assert [(t.quarters_per_minute, t.start, t.text) for t in piece.tempos] == [(90, 0, ""), (50, 4, "rit.")]
    assert [w.text for w in piece.words] == ["dolce", "rit."]


def test_marks_that_every_part_repeats_stand_once():
    bar = attributes() + sign("segno") + words("Tempo I") + note("C4", 4)
    piece = load_score(score([measure(bar, 1)], [measure(bar, 1)]))
    assert len({word.text for word in piece.words}) == 1
    assert piece.measures[0].segno


def test_time_wise_score():
    """MusicXML 4.0, score-timewise: measures of parts instead of parts of measures."""
    text = (
        "<score-timewise><part-list><score-part id='P1'><part-name>A</part-name></score-part>"
        "<score-part id='P2'><part-name>B</part-name></score-part></part-list>"
        f"<measure number='1'><part id='P1'>{attributes()}{note('C4', 4)}</part><part id='P2'>{note('E4', 4)}</part>"
        f"</measure><measure number='2'><part id='P1'>{note('D4', 4)}</part><part id='P2'>{note('F4', 4)}</part></measure>"
        "</score-timewise>"
    )
    piece = load_score(text.encode())
    assert [(n.part, n.measure, n.written.step) for n in piece.notes] == [
        (0, 0, "C"),
        (1, 0, "E"),
        (0, 1, "D"),
        (1, 1, "F"),
    ]


def test_measure_and_part_by_their_names():
    piece = load_score(score([measure(attributes() + note("C4", 4), 1), measure(note("D4", 4), 2)], names=["Flute"]))
    assert piece.measure_index("2") == piece.measure_index(2) == 1
    assert piece.part_index("flute") == 0
    with pytest.raises(ScoreError, match="measure '7': this score has the measures 1 to 2"):
        piece.measure_index(7)
    with pytest.raises(ScoreError, match="part 'Oboe': this score has the parts 0 'Flute'"):
        piece.part_index("Oboe")


@pytest.mark.parametrize(
    ("bar", "said"),
    [
        (note("C4", 4).replace("<step>C</step>", "<step>H</step>"), "step 'H'"),
        (note("C4", 4).replace("<duration>16</duration>", ""), "a note without a duration"),
        (note("C4", 4).replace("16<", "1e9<"), "duration '1e9'"),
        (note("C4", 4).replace("16<", "-16<"), "must not be below 0"),
        (note("C4", 4).replace("<alter>0<", "<alter>9<"), "alter '9'"),
        ("<note><duration>4</duration></note>", "neither a pitch nor a rest"),
        (note("C4", 4).replace("16<", "999999999<"), "longer than 10000 quarters"),
        (harmony("C", more="<degree><degree-value>x</degree-value></degree>"), "degree-value 'x'"),
    ],
)
def test_what_is_wrong_is_named_with_part_and_measure(bar, said):
    with pytest.raises(ScoreError, match=rf"part 'Oboe', measure 2: .*{said}"):
        load_score(score([measure(attributes() + note("C4", 4), 1), measure(bar + CLOSE, 2)], names=["Oboe"]))
