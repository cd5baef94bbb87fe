"""Freezing scores into lessons; outside truth: music21's own flattening of the same bundled files, and MusicXML 4.0."""

import ast
import json
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from music21 import converter, corpus, stream

from musictheory_nb.classroom.frozen_excerpt import excerpt_cell, freeze, timbre_of
from musictheory_nb.errors import LessonError, ScoreError
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord
from musictheory_nb.score.load import load_score
from musictheory_nb.score.part import Part
from musictheory_nb.theory.pitch import Pitch

NAMES = [
    "joplin/maple_leaf_rag.mxl",
    "mozart/k156/movement3.mxl",
    "leadSheet/fosterBrownHair.mxl",
    "haydn/opus74no1/movement3.mxl",
    "bach/bwv269.mxl",
    "bach/bwv347.mxl",
    "bach/bwv153.1.mxl",
    "bach/bwv846.mxl",
]


def bundled(name: str) -> Path:
    return Path(corpus.getWork(name))


@cache
def frozen(name: str) -> Excerpt:
    return freeze(load_score(bundled(name)))


@cache
def in_music21(name: str) -> stream.Score:
    return converter.parseFile(bundled(name), forceSource=True)


@pytest.mark.parametrize("name", NAMES)
def test_excerpt_has_as_many_measures_as_music21_reads(name):
    for part in in_music21(name).parts:
        assert len(frozen(name).measures) == len(part.getElementsByClass(stream.Measure))


@pytest.mark.parametrize(
    ("name", "number"),  # last measure numbers: tests/published/known_forms.tsv
    [("joplin/maple_leaf_rag.mxl", "84"), ("mozart/k156/movement3.mxl", "62"), ("bach/bwv846.mxl", "34")],
)
def test_last_measure_has_its_printed_number(name, number):
    assert frozen(name).measures[-1].number == number


@pytest.mark.parametrize("name", NAMES)
def test_notes_and_rests_fill_each_measure_of_each_part_exactly(name):
    excerpt = frozen(name)
    for part in range(len(excerpt.parts)):
        for at, measure in enumerate(excerpt.measures):
            spans = sorted(
                (note.onset, note.onset + note.duration)
                for note in excerpt.notes
                if (note.part, note.measure) == (part, at) and note.duration
            )
            reached = Fraction(0)
            for onset, end in spans:
                assert onset <= reached, (part, measure.number)
                reached = max(reached, end)
            assert reached == measure.length, (part, measure.number)


@pytest.mark.parametrize("name", NAMES)
def test_sounding_pitches_equal_music21s_own_flattening(name):
    def sounds(note) -> list[tuple[int, int]]:
        return [(pitch.midi, int(bool(note.duration.isGrace))) for pitch in note.pitches]

    theirs = Counter(
        sound for note in in_music21(name).flatten().notes if "Harmony" not in note.classes for sound in sounds(note)
    )
    excerpt = frozen(name)
    ours = Counter(
        (Pitch(pitch).midi + excerpt.parts[note.part].chromatic, int(note.duration == 0))
        for note in excerpt.notes
        for pitch in note.pitches
    )
    assert ours == theirs


@pytest.mark.parametrize("name", NAMES)
def test_onsets_and_durations_equal_music21s(name):
    """By measure index and pitch; a file's measures that music21 pads or shifts are compared by place in the measure."""
    theirs: Counter[tuple[int, Fraction, Fraction, int]] = Counter()
    for part in in_music21(name).parts:
        for at, measure in enumerate(part.getElementsByClass(stream.Measure)):
            for note in measure.flatten().notes:
                if "Harmony" not in note.classes:
                    for pitch in note.pitches:
                        length = Fraction(note.duration.quarterLength).limit_denominator(1000)
                        theirs[at, Fraction(note.offset).limit_denominator(1000), length, pitch.midi] += 1
    excerpt = frozen(name)
    ours = Counter(
        (note.measure, note.onset, note.duration, Pitch(pitch).midi + excerpt.parts[note.part].chromatic)
        for note in excerpt.notes
        for pitch in note.pitches
    )
    assert ours == theirs


@pytest.mark.parametrize("name", NAMES)
def test_excerpt_survives_its_notebook_cell(name):
    excerpt = frozen(name)
    call = ast.parse(excerpt_cell("the piece", excerpt)).body[0].value
    values = [ast.literal_eval(argument) for argument in call.args]
    assert values[0] == "the piece"
    again = Excerpt.from_data(json.loads(values[1]))
    assert again == excerpt
    assert again.digest == ast.literal_eval(call.keywords[0].value) == excerpt.digest


def test_cell_holds_quotes_and_backslashes():
    odd = Excerpt.melody(["B3", "F4"])
    odd = Excerpt(odd.parts, odd.measures, odd.notes, title="L'Après-midi \"d'un\" '''faune''' \\ x\n")
    call = ast.parse(excerpt_cell("x", odd)).body[0].value
    assert Excerpt.from_data(json.loads(ast.literal_eval(call.args[1]))) == odd


def test_piano_is_two_braced_parts():
    excerpt = frozen("joplin/maple_leaf_rag.mxl")
    assert [(part.clef, part.group) for part in excerpt.parts] == [("treble", 1), ("bass", 1)]
    assert [part.group for part in frozen("mozart/k156/movement3.mxl").parts] == [0, 0, 0, 0]


def test_lead_sheet_keeps_its_chords_and_its_no_chord():
    """40 chord symbols: tests/published/known_forms.tsv; N.C. on the pickup beats: the printed lead sheet."""
    chords = frozen("leadSheet/fosterBrownHair.mxl").chords
    assert len([chord for chord in chords if chord.text != "N.C."]) == 40
    assert chords[:3] == (
        ExcerptChord(0, Fraction(2), "N.C."),
        ExcerptChord(1, Fraction(0), "F"),
        ExcerptChord(2, Fraction(0), "Bb"),
    )


CLARINET = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Clarinet in Bb</part-name></score-part>
<score-part id="P2"><part-name>Drums</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes>
<divisions>1</divisions><key><fifths>2</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>
<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>
<harmony><root><root-step>D</root-step></root><kind>major-seventh</kind></harmony>
<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>4</duration><tie type="start"/></note>
</measure><measure number="2"><note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>4</duration>
<tie type="stop"/></note></measure></part><part id="P2"><measure number="1"><note><unpitched/><duration>4</duration></note>
</measure><measure number="2"><note><rest/><duration>4</duration></note></measure></part></score-partwise>"""


def test_transposing_part_is_written_for_its_player_and_sounds_in_concert():
    """A B flat clarinet sounds a whole step lower than written (MusicXML 4.0, transpose; any orchestration book)."""
    excerpt = freeze(load_score(CLARINET.encode()))
    assert [(part.name, part.chromatic, part.diatonic) for part in excerpt.parts] == [("Clarinet in Bb", -2, -1)]
    assert excerpt.notes[0].pitches == ("F#5",)
    assert excerpt.measures[0].fifths == 0
    assert excerpt.chords == (ExcerptChord(0, Fraction(0), "Cmaj7"),)


def test_tie_is_cut_where_it_leaves_the_excerpt():
    score = load_score(CLARINET.encode())
    assert [note.tie for note in freeze(score).notes] == ["start", "stop"]
    assert [note.tie for note in freeze(score, 1, 1).notes] == [""]
    assert [note.tie for note in freeze(score, "2").notes] == [""]


def test_percussion_and_unknown_measures_are_refused_by_name():
    score = load_score(CLARINET.encode())
    with pytest.raises(ScoreError, match="part 'Drums' has only unpitched notes"):
        freeze(score, parts=["Drums"])
    with pytest.raises(ScoreError, match="measure '9': this score has the measures 1 to 2"):
        freeze(score, 9)
    with pytest.raises(ScoreError, match="the last one comes before the first"):
        freeze(score, 2, 1)
    with pytest.raises(LessonError, match="excerpt name 'a\"b'"):
        excerpt_cell('a"b', freeze(score))


def test_one_part_and_a_span_by_players_numbers():
    """Bars 25-30 of the minuet repeat 1-6: tests/published/known_forms.tsv."""
    score = load_score(bundled("mozart/k156/movement3.mxl"))
    first, again = freeze(score, 1, 6, ["Violin I"]), freeze(score, 25, 30, ["Violin I"])
    assert [note.pitches for note in first.notes] == [note.pitches for note in again.notes]
    assert [measure.number for measure in again.measures] == ["25", "26", "27", "28", "29", "30"]


@pytest.mark.parametrize(
    ("name", "timbre"),  # common practice, no source
    [
        ("Violin I", "held"),
        ("Acoustic Guitar", "plucked"),
        ("Piano", "struck"),
        ("Harpsichord", "plucked"),
        ("Flöte", "held"),
    ],
)
def test_instrument_sounds_as_it_is_played(name, timbre):
    assert timbre_of(Part(0, name)) == timbre
