"""Note roles: textbook figures, music21's chords and its tests of three notes, marking and refusals by hand."""

from functools import cache

import pytest
from family_sample import frozen_excerpts
from settings_of.note_roles import OWN

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.line_over_chords import line_roles
from musictheory_nb.practice.note_role_words import NEAR_ROLES, ROLE_NAMES, model_figure
from musictheory_nb.theory.note_role import ROLES


def exercise(count=12, **settings):
    excerpts = frozen_excerpts() if settings.get("excerpt") else {}
    return Exercise("one", "note-roles", settings, count=count, lesson="demo", excerpts=excerpts)


def of(excerpt, indices):
    return [excerpt.notes[at].pitches[0] for at in indices]


#: The figures as harmony textbooks draw them (common practice, no source).
@pytest.mark.parametrize(
    ("chords", "line", "roles"),
    [
        ("C major: C", "C4 D4 E4 G4", "chord tone, passing, chord tone, chord tone"),
        ("C major: C", "E4 F4 E4 G4", "chord tone, neighbour, chord tone, chord tone"),
        ("C major: C", "C4 F#4 G4 E4", "chord tone, approach, chord tone, chord tone"),
        ("C major: C", "C4 F4 D#4 E4", "chord tone, enclosure, enclosure, chord tone"),
        ("C major: G7 | C", "G4 B4 D5 F5 | F5 E5 C5 G4", "chord tone, chord tone, chord tone, chord tone, suspension, chord tone, chord tone, chord tone"),
        ("C major: G7 | C", "D5 B4 D5 C5 | C5 G4 E4 C4", "chord tone, chord tone, chord tone, anticipation, chord tone, chord tone, chord tone, chord tone"),
        ("C major: Dm7 | G7", "F4 E4 D4 F4 | G4 A4 B4 D5", "chord tone, passing, chord tone, chord tone, chord tone, passing, chord tone, chord tone"),
    ],
)  # fmt: skip
def test_lines_of_textbooks(chords, line, roles):
    item = exercise(1, items=[[chords, line]]).item(1, 0)
    assert item.key["roles"] == roles.split(", ")


def test_a_suspension_is_tied_and_both_its_notes_are_asked_about():
    item = exercise(1, items=[["C major: G7 | C", "G4 B4 D5 F5 | F5 E5 C5 G4"]]).item(1, 0)
    ties = [note.tie for note in item.media[1].excerpt.notes]
    assert ties == ["", "", "", "start", "stop", "", "", ""]
    assert len(item.key["roles"]) == 8


@cache
def chord_classes(symbol):
    """The pitch classes of a chord by music21, whose minus sign is a flat."""
    from music21 import harmony

    return {
        pitch.pitchClass
        for pitch in harmony.ChordSymbol(symbol.replace("b", "-", 1) if symbol[1:2] == "b" else symbol).pitches
    }


@pytest.mark.parametrize("values", ["quarters", "eighths"])
def test_chord_tones_are_those_of_music21(values):
    from music21 import pitch

    made = exercise(
        40, values=values, keys=["C", "F", "G"], progressions=["C major: Dm7 | G7 | Cmaj7", "C major: C | F | G7 | C"]
    )
    for item in (made.item(3, at) for at in range(40)):
        names = of(item.media[1].excerpt, item.key["notes"])
        for name, symbol, role in zip(names, item.key["chords"], item.key["roles"], strict=True):
            sounds = pitch.Pitch(name.replace("b", "-")).pitchClass in chord_classes(symbol)
            assert sounds == (role == "chord tone"), (name, symbol, role)


def test_passing_and_neighboring_tones_are_such_by_music21():
    from music21 import pitch, voiceLeading

    made, seen = exercise(60), {"passing": 0, "neighbour": 0}
    for item in (made.item(5, at) for at in range(60)):
        names, roles = of(item.media[1].excerpt, item.key["notes"]), item.key["roles"]
        for at in range(1, len(roles) - 1):
            if roles[at] not in seen or roles[at - 1] != "chord tone" or roles[at + 1] != "chord tone":
                continue
            three = voiceLeading.ThreeNoteLinearSegment(
                *(pitch.Pitch(name.replace("b", "-")) for name in names[at - 1 : at + 2])
            )
            found = three.couldBePassingTone() if roles[at] == "passing" else three.couldBeNeighborTone()
            assert found, names[at - 1 : at + 2]
            seen[roles[at]] += 1
    assert min(seen.values()) >= 10, seen


def test_lines_have_the_roles_that_are_wanted_and_no_others():
    made = exercise(40, roles=["chord tone", "passing", "approach"])
    found = {role for at in range(40) for role in made.item(2, at).key["roles"]}
    assert found == {"chord tone", "passing", "approach"}


def test_each_role_has_a_name_and_a_model():
    assert set(ROLE_NAMES) == set(ROLES) - {"no chord"}
    assert {role for pair in NEAR_ROLES for role in pair} < set(ROLE_NAMES)
    for role in ROLE_NAMES:
        progression, model = model_figure(role, "treble", "struck")
        shown = [one.found.role for one in line_roles(model, 0, len(model.measures) - 1, progression.key)]
        assert role in shown
        assert set(shown) <= {role, "chord tone"}


@pytest.mark.parametrize(
    ("given", "score"),
    [
        (["chord tone", "passing", "chord tone", "chord tone"], 1.0),
        (["chord tone", "approach", "chord tone", "chord tone"], 1 / 3 + 1 / 3),  # near: half of the two thirds
        (["chord tone", "chord tone", "chord tone", "chord tone"], 1 / 3),
        (["chord tone", "passing", "chord tone", "passing"], 2 / 3 + 2 / 9),
        (["passing", "suspension", "passing", "passing"], 0.0),
    ],
)
def test_marking(given, score):
    """Counted by hand from the table of the family."""
    for partial in (True, False):
        made = exercise(1, items=[["C major: C", "C4 D4 E4 G4"]], partial=partial)
        mark = made.mark(made.item(1, 0), {"roles": {"roles": given}})
        assert mark.score == pytest.approx(score if partial or score == 1.0 else 0.0)
        assert ("D (9) passes by step from C to E" in mark.why) == (given[1] != "passing")


def test_only_other_notes_are_asked_about():
    made = exercise(1, items=[OWN[0]], ask="others")
    item = made.item(1, 0)
    assert "chord tone" not in item.key["roles"]
    assert item.response.steps[0].inputs[0].notes == ("E4", "C4")
    assert made.mark(item, {"roles": {"roles": ["passing"] * 2}}).score == 1.0


def test_notes_of_a_piece():
    """Foster's song, measures 19 to 20: G4 A4 G4 over C, then F4 E4 F4 over F: neighboring notes (read off the score)."""
    made = exercise(40, excerpt="jeanie", key="F major", length=4)
    rows = {}
    for item in (made.item(1, at) for at in range(40)):
        music = item.media[1].excerpt
        rows |= {
            (music.measures[music.notes[at].measure].number, str(music.notes[at].onset)): role
            for at, role in zip(item.key["notes"], item.key["roles"], strict=True)
        }
        first = item.key["measures"][0]
        assert any(chord.measure == first for chord in music.chords), "the first chord is printed"
    assert (rows["19", "2"], rows["20", "1"]) == ("neighbour", "neighbour")


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"roles": ["chord tone", "avoid"]}, "no line can be drawn"),
        ({"roles": ["passing"]}, "at least two"),
        ({"roles": ["chord tone", "enclosure"]}, "write 'eighths'"),
        ({"items": [["C major: C", "C4 D4 E4"]]}, "1, 2, 4 or 8 notes a bar"),
        ({"items": [OWN[0]], "excerpt": "jeanie"}, "leave one of them out"),
        ({"progressions": ["Dm7 | G7"]}, "'key: chords'"),
        ({"progressions": ["C major: Dm7 G7 C"]}, "1, 2 or 4 chords a bar"),
        ({"excerpt": "jeanie", "part": 3}, "the excerpt has 1"),
        ({"excerpt": "song"}, "chord symbols to all of them"),
        ({"key": "H dur"}, "a key, as 'C major'"),
        ({"low": "C4", "high": "C#4"}, "widen the register"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen).item(1, 0)
