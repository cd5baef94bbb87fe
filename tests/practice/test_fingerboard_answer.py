"""A fingerboard beside the piano keys of any family.

Open strings: bass guitar E1 A1 D2 G2, violin G3 D4 A4 E5, ukulele G4 C4 E4 A4 (orchestration handbooks, from memory); a fret
is a half step (common practice). MIDI numbers: middle C = C4 = 60.
"""

import random

import pytest
from family_sample import frozen_excerpts, random_exercise

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES
from musictheory_nb.practice.fingerboard_input import FingerboardInput
from musictheory_nb.practice.response import KeysInput


def exercise(kind="interval-writing", **settings):
    return Exercise("one", kind, settings, count=10, lesson="demo")


def entries(item):
    return {entry.id: entry for step in item.response.steps for entry in step.inputs}


def test_a_bass_player_finds_the_note_on_the_strings():
    """C2, a perfect fifth above F1, is the third fret of the A string, the eighth of the E string, and is no other key."""
    asked = exercise(items=["F2 C3"], transposition="bass guitar", fingerboard="instrument", clef="bass")
    item = asked.item(1, 0)
    board = entries(item)["fingerboard"]
    assert (board.tuning, board.fretted, board.count, board.given) == (("E1", "A1", "D2", "G2"), True, 1, ((0, 1),))
    assert item.solution["note"]["fingerboard"] == [[1, 3]]
    for place in ([1, 3], [0, 8]):
        answer = {"note": {"fingerboard": [place]}}
        assert asked.mark(item, answer).score == 1.0
        assert asked.confusion(item, answer) is None
        assert asked.compare(item, answer) == ()
    wrong = {"note": {"fingerboard": [[1, 4]]}}
    assert asked.mark(item, wrong).score < 1.0
    assert asked.mark(item, wrong) == asked.mark(item, {"note": {"keys": [37]}})
    assert asked.compare(item, wrong) == asked.compare(item, {"note": {"keys": [37]}}) != ()
    assert asked.confusion(item, wrong) == asked.confusion(item, {"note": {"keys": [37]}}) is not None
    assert answer_words(item.response, item.response.check(wrong)) == "C♯2/D♭2 (string 3, fret 4)"


def test_an_unfretted_board_and_a_re_entrant_one():
    violin = exercise(items=["G4 D5"], fingerboard="violin").item(1, 0)
    assert not entries(violin)["fingerboard"].fretted
    assert violin.solution["note"]["fingerboard"] == [[2, 5]]  # D5 on the A string, a fourth above it
    ukulele = exercise(items=["C4 G4"], fingerboard="ukulele").item(1, 0)
    assert ukulele.solution["note"]["fingerboard"] == [[0, 0]]  # the open fourth string, higher than the third


def test_the_short_string_of_a_banjo_begins_at_its_own_nut():
    board = entries(exercise(items=["G4 A4"], fingerboard="5-string banjo").item(1, 0))["fingerboard"]
    assert board.nuts == (5, 0, 0, 0, 0)
    assert board.midi([0, 0]) == 67  # G4, open
    assert board.place_words([0, 2]) == "string 5, fret 7"
    with pytest.raises(AnswerError):
        board.check("note", [[0, board.frets - 4]])
    assert board.check("note", [[0, board.frets - 5]])


@pytest.mark.parametrize(
    ("settings", "offered"),
    [
        ({"items": ["F2 C3"], "clef": "bass"}, False),
        ({"items": ["F2 C3"], "clef": "bass", "fingerboard": "bass guitar"}, True),
        ({"items": ["F2 C3"], "clef": "bass", "fingerboard": "violin"}, False),  # below its lowest string
        ({"items": ["F2 C3"], "clef": "bass", "fingerboard": "bass guitar", "inputs": ["staff"]}, False),
    ],
    ids=["not set", "set", "notes off the strings", "no keys"],
)
def test_where_a_fingerboard_is_offered(settings, offered):
    assert ("fingerboard" in entries(exercise(**settings).item(1, 0))) == offered


@pytest.mark.parametrize("text", ["tuba", "E A D G", 4, "bass"])
def test_what_names_no_strings_is_refused_and_quoted(text):
    with pytest.raises(ExerciseError, match=f"fingerboard {text!r}; allowed: '' for none"):
        exercise(fingerboard=text)


@pytest.mark.parametrize("transposition", ["", "clarinet", "Bb3"])
def test_own_strings_of_an_instrument_without_strings_are_refused(transposition):
    with pytest.raises(ExerciseError, match="names no instrument with strings"):
        exercise(fingerboard="instrument", transposition=transposition)


def test_without_the_setting_an_item_is_as_it_was():
    plain, board = exercise(), exercise(fingerboard="guitar")
    assert plain.item(5, 3).key == board.item(5, 3).key
    assert plain.item(5, 3).media == board.item(5, 3).media
    assert list(entries(plain.item(5, 3))) == [name for name in entries(board.item(5, 3)) if name != "fingerboard"]


def test_a_place_is_worth_what_the_key_of_its_sound_is_in_every_family():
    draw, excerpts, seen = random.Random("places and keys"), frozen_excerpts(), set()
    for kind, version in FAMILIES:
        for _ in range(20):
            one, _ = random_exercise(kind, version, draw, excerpts)
            one = Exercise("one", kind, {**one.settings, "fingerboard": "guitar"}, one.count, version=version,
                           lesson="demo", excerpts=one.excerpts)  # fmt: skip
            item = one.item(0, one.count - 1)
            for step in item.response.steps:
                board = next((entry for entry in step.inputs if isinstance(entry, FingerboardInput)), None)
                if board is None or len(item.response.steps) > 1:
                    continue
                keys = next(entry for entry in step.inputs if isinstance(entry, KeysInput))
                places = [[draw.randrange(6), draw.randint(0, board.frets)] for _ in range(board.count)]
                # sounding: E2 A2 D3 G3 B3 E4 as MIDI numbers
                midi = [(40, 45, 50, 55, 59, 64)[string] + fret for string, fret in places]
                if all(keys.low <= number <= keys.high for number in midi):
                    seen.add(kind)
                    assert one.mark(item, {step.id: {"fingerboard": places}}) == one.mark(
                        item, {step.id: {"keys": midi}}
                    )
    assert {"interval-writing", "interval-by-ear", "chord-spelling"} <= seen
