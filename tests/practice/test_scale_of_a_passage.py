"""Scale of a passage: modes as the collectors of tunes gave them, marking and refusals by hand."""

import re

import pytest
from family_sample import frozen_excerpts
from settings_of.scale_of_a_passage import PASSAGES

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.passage_scale import kinds_that_fit, passage_amounts, scale_share

#: How the key field of ABC (standard 2.1, section 3.1.14) shortens the modes.
MODE_NAMES = {"dor": "Dorian", "mix": "Mixolydian", "lyd": "Lydian", "phr": "Phrygian"}
KINDS = ("major", "natural minor", *MODE_NAMES.values())


def exercise(excerpt="dorian-air", count=3, music=None, **settings):
    chosen = {"excerpt": excerpt, "passages": PASSAGES.get(excerpt), **settings}
    known = frozen_excerpts() if music is None else {excerpt: music}
    return Exercise("one", "scale-of-a-passage", chosen, count=count, lesson="demo", excerpts=known)


def modal_tunes():
    """Tunes of two books of Aird's Airs (1782, bundled with music21) whose key field names a mode: excerpt, tonic, mode."""
    from music21 import corpus

    from musictheory_nb.classroom.frozen_excerpt import freeze
    from musictheory_nb.score.load import load_score

    for book in (2, 3):
        path = next(
            one for one in corpus.getPaths() if str(one).replace("\\", "/").endswith(f"airdsAirs/book{book}.abc")
        )
        for tune in re.split(r"\n(?=X:)", path.read_text(encoding="latin-1")):
            if found := re.search(r"^K: *([A-G][#b]?) *(dor|mix|lyd|phr)\w* *$", tune, re.MULTILINE | re.IGNORECASE):
                score = load_score((tune.strip() + "\n").encode(), cache=False)
                yield freeze(score), found[1], MODE_NAMES[found[2].lower()]


def test_modes_of_tunes_are_those_of_their_collector():
    agreed = []
    for music, tonic, mode in modal_tunes():
        amounts = passage_amounts(music, 0, len(music.measures) - 1)
        best = max(scale_share(amounts, tonic, kind) for kind in KINDS)
        agreed.append(scale_share(amounts, tonic, mode) == best)
        made = exercise(
            "tune", 1, music, passages=[[music.measures[0].number, music.measures[-1].number, f"{tonic} {mode}"]]
        )
        item = made.item(1, 0)
        assert made.mark(item, {"scale": {"symbol": f"{tonic} {mode}"}}).score == 1.0
    assert len(agreed) >= 6
    assert sum(agreed) >= 0.9 * len(agreed)


#: Which note tells the modes from major and minor, and what a passage without it leaves open: common practice, no source.
@pytest.mark.parametrize(
    ("notes", "right"),
    [
        ("D F A C G E B", {"Dorian"}),
        ("D F A C G E Bb", {"natural minor"}),
        ("D F A C G E", {"Dorian", "natural minor"}),
        ("D F# A C G E B", {"Mixolydian"}),
        ("D F# A G E B", {"major", "Mixolydian"}),
        ("D A C G E B", {"Dorian", "Mixolydian"}),
        ("D F A C G Eb Bb", {"Phrygian"}),
        ("D F# A C# G# E B", {"Lydian"}),
    ],
)
def test_what_a_passage_leaves_open_is_right_too(notes, right):
    music = Excerpt.melody([f"{name}4" for name in notes.split()])
    amounts = passage_amounts(music, 0, 0)
    for kind in right:
        assert set(kinds_that_fit(amounts, "D", kind, KINDS)) == right
        made = exercise("tune", 1, music, passages=[["1", "1", f"D {kind}"]], scales=list(KINDS))
        item = made.item(1, 0)
        assert {one for one in KINDS if made.mark(item, {"scale": {"choice": one}}).score == 1.0} == right
        assert set(item.solution["scale"]["choice"]) == right


def test_a_pentatonic_tune_is_not_the_scale_that_it_is_a_part_of():
    """The major pentatonic scale is the major scale without 4 and 7 (common practice); what sounds is the smaller one."""
    amounts = passage_amounts(Excerpt.melody(["C4", "D4", "E4", "G4", "A4"]), 0, 0)
    kinds = ("major", "major pentatonic", "Lydian")
    assert kinds_that_fit(amounts, "C", "major pentatonic", kinds) == ("major pentatonic",)
    assert kinds_that_fit(amounts, "C", "major", kinds) == ("major", "major pentatonic", "Lydian")


@pytest.mark.parametrize(
    ("answer", "score", "why"),
    [
        ("A Dorian", 1.0, "Right: A Dorian."),
        ("A natural minor", 0.5, "differs in one note"),
        ("A Mixolydian", 0.5, "differs in one note"),
        ("A Phrygian", 0.25, "differs in two notes"),
        ("G major", 0.5, "the same notes, but the tonic is A"),
        ("C major", 0.0, "Not C major"),
    ],
)
def test_marking(answer, score, why):
    """Notes of A Dorian: A B C D E F# G (common practice)."""
    made = exercise(tonic="asked")
    mark = made.mark(made.item(1, 0), {"scale": {"symbol": answer}})
    assert mark.score == score
    assert why in mark.why


def test_a_wrong_mode_is_heard_as_the_passage_would_be_in_it():
    """A Dorian has F#, A natural minor F (common practice)."""
    made = exercise()
    item = made.item(1, 0)
    right, wrong = made.compare(item, {"scale": {"choice": "natural minor"}})
    assert (right.label, wrong.label) == ("Right: A Dorian", "As it would be in A natural minor")
    changed = [
        (one.pitches[0], two.pitches[0])
        for one, two in zip(right.excerpt.notes, wrong.excerpt.notes, strict=True)
        if one != two
    ]
    assert {(one[:-1], two[:-1]) for one, two in changed} == {("F#", "F")}
    assert made.confusion(item, {"scale": {"choice": "natural minor"}}) == ("Dorian", "natural minor")


def test_the_drone_is_the_tonic_below_the_tune_and_is_not_written():
    made = exercise(tonic="drone")
    sound, score = made.item(1, 0).shown("asked")
    held = [note for note in sound.excerpt.notes if note.part == 1]
    assert {note.pitches for note in held} == {("A3",)}
    assert sum(note.duration for note in held) == sum(measure.length for measure in sound.excerpt.measures)
    assert len(score.excerpt.parts) == 1


def test_a_transposing_part_is_named_by_its_sound():
    """A B flat clarinet sounds a major second below what is written: written E Dorian sounds D Dorian."""
    from musictheory_nb.practice.display_settings import Display, in_part

    written = Excerpt.melody(["E4", "G4", "B4", "D5", "A4", "F#4", "C#5", "E4"])
    music = in_part(written, Display(transposition="clarinet").part_shift)
    made = exercise("tune", 1, music, passages=[["1", "1", "D Dorian"]])
    item = made.item(1, 0)
    assert item.solution["scale"]["symbol"] == ["D Dorian"]
    assert "ends on it" in item.explain


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"passages": [["1", "8", "D Phrygian"]]}, r"only \d+% of what sounds belongs to D Phrygian; D .* fits better"),
        ({"passages": [["8", "1", "A Dorian"]]}, "its last measure comes before its first"),
        ({"passages": [["1", "99", "A Dorian"]]}, "'99'"),
        ({"tonic": "asked", "length": 4}, "length 0"),
        ({"tonic": "drone", "given": ["notation"]}, "a drone is heard"),
        ({"scales": ["Dorian"]}, "at least two"),
        ({"passages": [[["1", "8", "A Dorian"]]]}, "one list of rows"),
        ({"passages": [["1", "8", "A Doric"]]}, "allowed: a list of rows"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen).item(1, 0)
