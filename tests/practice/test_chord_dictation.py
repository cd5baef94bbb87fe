"""Chord dictation: numerals and symbols name what sounds, by music21; chords are aligned as rapidfuzz aligns letters."""

import random
from fractions import Fraction

import pytest
from rapidfuzz.distance import Levenshtein

from musictheory_nb.practice.exercise import Exercise

LEVELS = ["primary chords", "inversions", "sevenths"]


def exercise(count=12, **settings):
    return Exercise("one", "chord-dictation", {"keys": ["C major"]} | settings, count=count, lesson="demo")


def right(item, how="numerals"):
    return {
        step.id: {"staff": item.solution[step.id]["staff"]}
        if step.id == "bass"
        else {how: item.solution[step.id][how][0]}
        for step in item.response.steps
    }


def written(item, numerals):
    """An answer of chords, a text for each measure."""
    return {f"measure-{at}": {"numerals": text} for at, text in enumerate(numerals, start=1)}


def heard(item):
    """Onset -> pitches that begin there, as music21 has them."""
    from music21 import pitch

    excerpt = item.shown("answered")[0].excerpt
    found = {}
    for note in excerpt.notes:
        if note.tie in ("", "start"):
            at = excerpt.starts[note.measure] + note.onset
            found.setdefault(at, []).extend(pitch.Pitch(name.replace("b", "-")) for name in note.pitches)
    return found


@pytest.mark.parametrize("key", ["C major", "A minor"])
def test_numerals_and_symbols_are_what_sounds_by_music21(key):
    from music21 import harmony, roman

    made = exercise(10, keys=[key], levels=LEVELS, chords=5, metres=["4/4", "6/8"])
    tonic, _, mode = key.partition(" ")
    for index in range(10):
        item = made.item(1, index)
        sounds = heard(item)
        symbols = [one for step in item.response.steps[1:] for one in item.solution[step.id]["symbols"][0].split()]
        for (onset, _), figure, symbol in zip(item.key["times"], item.key["figures"], symbols, strict=True):
            pitches = sounds[Fraction(onset)]
            name = roman.RomanNumeral(
                figure.replace("ø", "/o").replace("°", "o"), tonic if mode == "major" else tonic.lower()
            )
            assert {one.pitchClass for one in pitches} <= {one.pitchClass for one in name.pitches}
            assert min(pitches).pitchClass == name.bass().pitchClass
            chord = harmony.ChordSymbol(symbol)
            assert {one.pitchClass for one in chord.pitches} == {one.pitchClass for one in name.pitches}
            assert chord.bass().pitchClass == name.bass().pitchClass


def test_the_last_chord_has_a_measure_and_a_cadential_six_four_begins_one():
    made = exercise(12, levels=["primary chords", "cadential six-four"], chords=6, metres=["4/4", "3/4"])
    six_fours = 0
    for index in range(12):
        item = made.item(1, index)
        full = {"4/4": 4, "3/4": 3}[item.key["metre"]]
        onsets = [Fraction(onset) for onset, _ in item.key["times"]]
        assert onsets[-1] % full == 0
        assert Fraction(item.key["times"][-1][1]) == full
        for onset, figure in zip(onsets, item.key["figures"], strict=True):
            if figure == "Cad64":
                six_fours += 1
                assert onset % full == 0
        ends = [Fraction(onset) + Fraction(quarters) for onset, quarters in item.key["times"]]
        assert ends[:-1] == onsets[1:]
    assert six_fours


@pytest.mark.parametrize("how", ["numerals", "symbols"])
def test_either_way_of_writing_is_right(how):
    made = exercise(6, levels=LEVELS, metres=["3/4", "4/4"])
    for index in range(6):
        item = made.item(2, index)
        assert made.mark(item, right(item, how)).score == 1.0


# I IV V I, each chord in two beats but the last; what each answer costs of four chords is counted by hand
@pytest.mark.parametrize(
    ("texts", "slips"),
    [
        (["I IV", "V", "I"], 0),
        (["I / IV /", "V", "I"], 0),
        (["I IV", "V7", "I"], 0.5),
        (["I ii", "V", "I"], 1),
        (["I IV6", "V", "I"], 0.5),
        (["I", "V", "I"], 1),
        (["I IV", "V I", "I"], 1),
        (["I / / IV", "V", "I"], 1),
    ],
)
def test_one_slip_costs_one_slip(texts, slips):
    made = exercise(80, ask=["chords"], levels=["primary chords"], metres=["4/4"], chords=4)
    times = [["0", "2"], ["2", "2"], ["4", "4"], ["8", "4"]]
    found = (made.item(3, at) for at in range(80))
    item = next(one for one in found if one.key["figures"] == ["I", "IV", "V", "I"] and one.key["times"] == times)
    assert made.mark(item, written(item, texts)).score == pytest.approx(1 - slips / 4)


def test_chords_of_one_length_are_aligned_as_rapidfuzz_aligns_letters():
    """Numerals that share neither root nor notes, one a measure, against what was written."""
    letters = {"I": "a", "IV": "b", "V": "c", "ii": "d", "vi": "e"}
    made = exercise(80, ask=["chords"], levels=["primary chords"], metres=["2/2"], chords=4)
    draw = random.Random(1)
    found = [item for item in (made.item(5, at) for at in range(80)) if item.key["measures"] == 4]
    found = [item for item in found if set(item.key["figures"]) <= set(letters)]
    assert len(found) > 3
    for item in found:
        for _ in range(5):
            given = [draw.choice(list(letters)) for _ in range(4)]
            expected = Levenshtein.distance(*("".join(map(letters.get, one)) for one in (item.key["figures"], given)))
            score = made.mark(item, written(item, given)).score
            assert score == pytest.approx(1 - expected / 4)


def test_bass_and_chords_have_their_shares():
    made = exercise(8, levels=["primary chords"], chords=4)
    for index in range(8):
        item = made.item(1, index)
        answer = right(item)
        rows = answer["bass"]["staff"]
        wrong = {**answer, "bass": {"staff": rows[:-1]}}
        asked = len(item.key["figures"]) - 1
        mark = made.mark(item, wrong)
        assert mark.score == pytest.approx(0.6 + 0.4 * (1 - 1 / asked))
        assert "Chords: right." in mark.why
        chords = {**answer, "measure-1": {"numerals": "vi"}}
        mark = made.mark(item, chords)
        assert mark.score < 1
        assert "Bass line: right." in mark.why
        assert "Measure 1: at beat 1 it is I, not vi" in mark.why


def test_a_measure_cannot_begin_with_a_held_chord():
    from musictheory_nb.errors import AnswerError

    item = exercise(1).item(1, 0)
    with pytest.raises(AnswerError, match="begin with a chord"):
        item.response.check({**right(item), "measure-1": {"numerals": "/ I"}})
