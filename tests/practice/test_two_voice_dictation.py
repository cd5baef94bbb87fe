"""Two-voice dictation: the voices go together by music21; slips of both voices add up."""

import random
from fractions import Fraction
from itertools import pairwise

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise

KEYS = ["C major", "E major", "Db major", "A minor", "F# minor", "Eb minor"]
TEXTURES = ("note against note", "lower in beats")


def exercise(count=20, **settings):
    return Exercise("one", "two-voice-dictation", settings, count=count, lesson="demo")


def answer(item, **changed):
    return {step.id: {"staff": changed.get(step.id, item.solution[step.id]["staff"])} for step in item.response.steps}


def m21_note(name):
    from music21 import note

    return note.Note(name.replace("b", "-"))


def timed(item, voice):
    """Onset -> music21 note, and the moment at which it ends."""
    at, found = Fraction(0), {}
    for name, length in item.key["voices"][voice]["notes"]:
        found[at] = (m21_note(name), at + Fraction(length))
        at += Fraction(length)
    return found


@pytest.mark.parametrize("texture", TEXTURES)
def test_both_begin_consonant_and_without_parallels_by_music21(texture):
    from music21 import interval, voiceLeading

    made = exercise(40, keys=KEYS, texture=texture, melody_level=3, level=2)
    for index in range(40):
        item = made.item(2, index)
        upper, lower = timed(item, "upper"), timed(item, "lower")
        both = sorted(set(upper) & set(lower))
        for at in both:
            assert interval.Interval(lower[at][0], upper[at][0]).isConsonant()
        for at, following in pairwise(both):
            four = voiceLeading.VoiceLeadingQuartet(
                upper[at][0], upper[following][0], lower[at][0], lower[following][0]
            )
            assert not four.parallelFifth()
            assert not four.parallelOctave()
            assert not four.parallelUnison()
            assert not four.voiceCrossing()
        assert upper[max(upper)][0].name == lower[max(lower)][0].name == m21_note(item.key["key"].split()[0]).name


def test_notes_between_are_consonant_or_move_by_step_by_music21():
    from music21 import interval

    made = exercise(40, keys=KEYS, texture="lower in beats", melody_level=3, level=2)
    between = 0
    for index in range(40):
        item = made.item(3, index)
        upper, lower = timed(item, "upper"), timed(item, "lower")
        for own, other in ((upper, lower), (lower, upper)):
            onsets = sorted(own)
            for before, at, after in zip(onsets, onsets[1:], onsets[2:], strict=False):
                held = next((note for begun, (note, end) in other.items() if begun < at < end), None)
                if held is None:
                    continue
                between += 1
                semitones = abs(interval.Interval(own[at][0], held).semitones) % 12
                if semitones not in (0, 3, 4, 7, 8, 9):  # semitones of unison, thirds, fifth, sixths
                    for one, two in ((before, at), (at, after)):
                        assert interval.Interval(own[one][0], own[two][0]).generic.undirected == 2
    assert between > 100


def test_the_lower_voice_goes_in_beats():
    made = exercise(20, texture="lower in beats", metres=["3/4", "4/4"], level=3)
    for index in range(20):
        assert all(
            Fraction(length).denominator == 1 for _, length in made.item(1, index).key["voices"]["lower"]["notes"]
        )


def test_slips_of_both_voices_add_up():
    made = exercise(20, measures=4)
    draw = random.Random(1)
    for index in range(20):
        item = made.item(4, index)
        upper, lower = (list(item.solution[voice]["staff"]) for voice in ("upper", "lower"))
        asked = len(upper) + len(lower)
        assert asked == sum(len(item.key["voices"][voice]["notes"]) for voice in ("upper", "lower")) - 2
        del upper[draw.randrange(len(upper) - 1)]
        at = draw.randrange(len(lower))
        lower[at] = [["F#2" if lower[at][0][0] != "F#2" else "G#2"], *lower[at][1:]]
        one = made.mark(item, answer(item, upper=upper))
        assert one.score == pytest.approx(1 - 1 / asked)
        assert "The lower voice is right." in one.why
        two = made.mark(item, answer(item, upper=upper, lower=lower))
        assert two.score == pytest.approx(1 - 2 / asked)


def test_a_voice_that_is_not_asked_for_is_shown():
    item = exercise(1, voices=["lower"]).item(1, 0)
    assert [step.id for step in item.response.steps] == ["lower"]
    shown = next(request for request in item.shown("asked") if request.kind == "notation")
    assert [note.pitches[0] for note in shown.excerpt.notes] == [
        name for name, _ in item.key["voices"]["upper"]["notes"]
    ]


def test_one_measure_is_refused():
    with pytest.raises(ExerciseError, match="two voices need two measures"):
        exercise(1, measures=1)
