"""What every function on several notes accepts and refuses: one rule, tried on all of them."""

import pytest

from musictheory_nb.errors import MusicTheoryError
from musictheory_nb.theory.chord_naming import name_chord
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.note_role import note_roles
from musictheory_nb.theory.note_stack import note_stacks
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import read_pitch_name, write_pitch
from musictheory_nb.theory.scale import Scale, by_brightness
from musictheory_nb.theory.scale_identification import identify_scale
from musictheory_nb.theory.set_class import SetClass, pitch_class_set
from musictheory_nb.theory.solfege import read_syllable, syllable

ON_NOTES = (name_chord, identify_scale, note_stacks, pitch_class_set, SetClass.of, lambda notes: note_roles(notes, "C"))


@pytest.mark.parametrize("function", ON_NOTES)
@pytest.mark.parametrize("bad", [None, 3, b"C E G", [b"C4"], ["C4", {}], [3.5], [""], ["Q4"]], ids=repr)
def test_what_is_no_list_of_notes_is_refused_by_an_error_of_the_package(function, bad):
    with pytest.raises(MusicTheoryError, match=r"note|pitch"):
        function(bad)


@pytest.mark.parametrize("function", ON_NOTES)
def test_one_text_is_read_as_its_notes(function):
    assert function("C4 E4, G4") == function(["C4", "E4", "G4"])


def test_a_list_is_not_copied():
    notes = ["C", "E"]
    assert note_list(notes) is notes


@pytest.mark.parametrize("bad", [None, 3, b"C", [], {}, "zz"], ids=repr)
@pytest.mark.parametrize(
    "call",
    [
        Pitch("C4").is_enharmonic_to,
        PitchName("C").is_enharmonic_to,
        Interval("M3").is_enharmonic_to,
        Scale("C major").is_enharmonic_to,
        Scale("C major").holds,
        lambda bad: by_brightness([bad]),
        Key("C").note_of_syllable,
        read_syllable,
        write_pitch,
        lambda bad: Key.from_fifths([bad]),
        lambda bad: PitchName.from_fifths([bad]),
        lambda bad: PitchName.of(bad, 0),
        lambda bad: Interval.from_steps([bad], 4),
        lambda bad: Key.of("C", bad),
        lambda bad: Key("C").degree("C", bad),
        lambda bad: read_pitch_name("C", bad),
        lambda bad: Interval("M3").inverted(compound=bad),
    ],
)
def test_other_bad_values_are_refused_by_an_error_of_the_package(call, bad):
    with pytest.raises(MusicTheoryError):
        call(bad)


def test_texts_are_compared_as_what_they_name():
    assert Pitch("B#3").is_enharmonic_to("C4")
    assert PitchName("F#").is_enharmonic_to("Gb")
    assert Interval("A4").is_enharmonic_to("d5")
    assert Scale("C# major").is_enharmonic_to("Db major")
    assert syllable(5, 0) == "sol"
