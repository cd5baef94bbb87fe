"""Implied chord: roots and qualities by music21, marking and refusals by hand."""

from pathlib import Path

import pytest
from family_sample import frozen_excerpts
from settings_of.implied_chord import OWN, PRELUDE

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS, plain_roots
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.implied_line import TEXTURES, implied_line


def exercise(count=12, **settings):
    excerpts = frozen_excerpts() if settings.get("excerpt") else {}
    return Exercise("one", "implied-chord", settings, count=count, lesson="demo", excerpts=excerpts)


PUBLISHED = Path(__file__).parents[1] / "published" / "prelude_chords.tsv"


def test_chords_of_the_prelude_are_those_of_its_published_analysis():
    """Roots and pitch classes by music21, from the numerals of the When-in-Rome corpus (source in the file)."""
    from music21 import harmony, roman

    rows = [row.split("\t") for row in PUBLISHED.read_text(encoding="utf-8").splitlines() if row[:1].isdigit()]
    numerals = {row[1]: roman.RomanNumeral(row[3], row[2]) for row in rows}
    for first, _, symbol in PRELUDE:
        chord = harmony.ChordSymbol(symbol)
        assert chord.root().name == numerals[first].root().name
        assert {one.pitchClass for one in chord.pitches} == set(numerals[first].pitchClasses)


def test_passages_of_the_prelude():
    made = exercise(13, excerpt="prelude", passages=PRELUDE)
    symbols = set()
    for item in (made.item(1, at) for at in range(13)):
        symbols |= set(item.solution["symbol"]["symbol"])
        # every note but the passing ones of two measures belongs to the chord (Bach breaks one chord a measure)
        music = item.media[-1].excerpt
        sounding = [at for at, note in enumerate(music.notes) if note.pitches and note.tie in ("", "start")]
        assert len(item.media[-1].marked) >= 0.9 * len(sounding)
        assert not item.media[0].excerpt.chords
    assert symbols == {row[2] for row in PRELUDE}


#: What music21 calls the chords that are asked for (`Chord.commonName`).
NAMES = {
    "maj": "major triad",
    "m": "minor triad",
    "dim": "diminished triad",
    "aug": "augmented triad",
    "maj7": "major seventh chord",
    "7": "dominant seventh chord",
    "m7": "minor seventh chord",
    "m7b5": "half-diminished seventh chord",
    "dim7": "diminished seventh chord",
}


def music21_chord(names):
    from music21 import chord

    return chord.Chord(sorted({name.replace("b", "-") for name in names}))


@pytest.mark.parametrize("quality", [*TRIADS, *SEVENTHS])
def test_notes_on_the_beats_make_the_chord_by_music21(quality):
    """In a walking bass the first measure, in a broken chord all notes, in a melody every other note."""
    for texture in TEXTURES:
        low, high = (40, 64) if texture == "walking bass" else (59, 83)
        for root in plain_roots(quality):
            for number in range(3):
                made = implied_line(root, quality, texture, low, high, number)
                if made is None:
                    continue
                notes = [note.pitch for note in made[1]]
                heard = {"walking bass": notes[:4], "broken chord": notes, "melody": notes[::2]}[texture]
                found = music21_chord([name[:-1] for name in heard])
                assert found.commonName == NAMES[quality], (root, quality, texture, notes)
                if quality != "aug":  # each of its tones may be the root
                    assert found.root().name == root.replace("b", "-")
                assert notes[0 if texture == "broken chord" else -1][:-1] == root


def test_lines_stay_near_their_register():
    made = exercise(40)
    from musictheory_nb.theory.pitch import Pitch

    for item in (made.item(seed, at) for seed in range(3) for at in range(40)):
        music = item.media[1].excerpt
        low, high = {"treble": (57, 85), "bass": (38, 64)}[music.parts[0].clef]
        assert all(low <= Pitch(name).midi <= high for note in music.notes for name in note.pitches)


#: Dm7 is D F A C; counted by hand from the table of the family (root 3/8, quality 5/8).
@pytest.mark.parametrize(
    ("text", "score", "why"),
    [
        ("Dm7", 1.0, "Right: Dm7."),
        ("D-7", 1.0, "Right: Dm7."),
        ("Dm7/A", 1.0, "Right: Dm7."),
        ("F6", 1.0, "Right: F6."),  # a line of the teacher's: the same tones, no bass to tell them apart
        ("Dm", 3 / 8 + 5 / 16, "The root, third and fifth are right."),
        ("Dm7b5", 3 / 8 + 5 / 32, "The root and third are right."),
        ("D7", 3 / 8, "The root is right."),
        ("Em7", 5 / 8, "The quality is right."),
        ("Bsus4", 0.0, "Not Bsus4, but Dm7."),
        ("N.C.", 0.0, "There is a chord: Dm7."),
    ],
)
def test_marking_of_symbols(text, score, why):
    for partial in (True, False):
        made = exercise(1, items=[OWN[0]], qualities=["m7", "6", "maj"], partial=partial)
        item = made.item(1, 0)
        mark = made.mark(item, {"symbol": {"symbol": text}})
        assert mark.score == pytest.approx(score if partial or score == 1.0 else 0.0)
        assert why in mark.why


def test_the_bass_tells_a_minor_seventh_from_a_sixth_chord():
    """Am7 and C6 have the same notes (common practice): a bass that begins and ends on A makes it Am7."""
    made = exercise(12, qualities=["m7", "6"], textures=["walking bass"])
    for item in (made.item(1, at) for at in range(12)):
        (symbol,) = item.solution["symbol"]["symbol"]
        notes = [note.pitches[0] for note in item.media[1].excerpt.notes]
        assert symbol.startswith(notes[0][:-1])
        other = {"m7": "6", "6": "m7"}[item.key["quality"]]
        answers = [{"symbol": {"symbol": f"{name[:-1]}{other}"}} for name in dict.fromkeys(notes)]
        marks = [made.mark(item, answer) for answer in answers]
        same = [mark for mark in marks if "has the same notes, but the line makes" in mark.why]
        assert [mark.score for mark in same] == [0.5]


def test_in_a_melody_both_names_are_right():
    made = exercise(8, qualities=["m7", "6"], textures=["melody"], answer="parts")
    item = made.item(1, 0)
    roots, qualities = item.solution["root"]["choice"], item.solution["quality"]["choice"]
    assert len(roots) == len(qualities) == 2
    scores = [
        made.mark(item, {"root": {"choice": root}, "quality": {"choice": quality}}).score
        for root in roots
        for quality in qualities
    ]
    assert scores.count(1.0) == 2
    assert all(score < 0.7 for score in scores if score < 1.0)


def test_what_is_only_heard_may_be_spelled_otherwise():
    """A flat and G sharp sound alike; seen, the spelling counts (common practice)."""
    row = ["Abm", "Ab3 Cb4 Eb4 Cb4"]
    for given, score in ((["sound"], 1.0), (["sound", "notation"], 0.5)):
        made = exercise(1, items=[row], given=given)
        mark = made.mark(made.item(1, 0), {"symbol": {"symbol": "G#m"}})
        assert mark.score >= score
        assert (mark.score == 1.0) == (given == ["sound"])


def test_the_line_is_heard_over_the_chord_that_was_answered():
    made = exercise(1, items=[OWN[0]])
    right, wrong = made.compare(made.item(1, 0), {"symbol": {"symbol": "Em7"}})
    assert (right.label, wrong.label) == ("Right: Dm7", "Your answer: Em7")
    held = [
        {name[:-1] for note in one.excerpt.notes if note.part == 1 for name in note.pitches} for one in (right, wrong)
    ]
    assert held == [set("DFAC"), set("EGBD")]


def test_only_heard_its_first_note_is_told():
    item = exercise(1, items=[OWN[0]], given=["sound"]).item(1, 0)
    assert "Its first note is D3." in item.prompt
    assert [request.kind for request in item.shown("asked")] == ["sound"]


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"qualities": ["9"]}, "at most 4 tones"),
        ({"qualities": ["m7"], "answer": "parts"}, "at least two"),
        ({"items": [["C/E", "C4 E4 G4 C5"]]}, "a list of rows"),
        ({"items": [["C", "C4 E4 G4"]]}, "1, 2, 4 or 8 notes"),
        ({"low": "C4", "high": "G4"}, "widen the register"),
        ({"textures": ["chorale"]}, "'walking bass'"),
        ({"passages": PRELUDE}, "write both, or neither"),
        ({"excerpt": "prelude", "passages": PRELUDE, "items": [OWN[0]]}, "leave one of them out"),
        ({"excerpt": "prelude", "passages": [["1", "1", "F#"]]}, "the root of F# does not sound"),
        ({"excerpt": "prelude", "passages": [["2", "2", "Fm"]]}, "does not belong to Fm"),
        ({"excerpt": "prelude", "passages": [["2", "1", "C"]]}, "before the first"),
        ({"excerpt": "prelude", "passages": [["1", "99", "C"]]}, "'99'"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(1, **chosen).item(1, 0)
