"""Notes as a student gives them on a staff, on piano keys or in letters, and how one compares with the note asked for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import read_pitch, read_pitch_name, write_pitch
from musictheory_nb.theory.spelling import spell_midi

#: How notes may be answered: on a staff, on piano keys, or in letters.
NOTE_INPUTS: Final = ("staff", "keys", "text")


def note_inputs_setting(letters: str = "in letters") -> Setting:
    """Return the setting of how notes are answered; `letters` says how they are written in letters."""
    meaning = f"How it is answered: on a staff, on piano keys (where no spelling is asked), or {letters}."
    allowed = f"a list of at least one of {', '.join(map(repr, NOTE_INPUTS))}"
    return Setting("inputs", list(NOTE_INPUTS), meaning, allowed, several_of(NOTE_INPUTS))


@dataclass(frozen=True, slots=True)
class GivenNote:
    """One note of an answer, as written.

    Parameters
    ----------
    chromatic : int
        Semitones as `Pitch.chromatic` counts them; without an octave, the pitch class.
    name : str
        Spelled name without octave; empty for a piano key.
    has_octave : bool
        Whether it was given in an octave.
    """

    chromatic: int
    name: str
    has_octave: bool

    @property
    def pitch_class(self) -> int:
        """Pitch class, 0 to 11."""
        return self.chromatic % 12

    @property
    def pitch(self) -> Pitch | None:
        """The pitch, a piano key by its commonest name; None without an octave."""
        if not self.has_octave:
            return None
        if not self.name:
            return spell_midi(self.chromatic)
        name = PitchName(self.name)
        return next(
            pitch
            for octave in (self.chromatic // 12 - 1, self.chromatic // 12 - 2, self.chromatic // 12)
            if (pitch := Pitch.from_name(name, octave)).chromatic == self.chromatic
        )

    def shown(self, display: Display) -> str:
        """Return the note as shown: a piano key by both its names."""
        if not self.name:
            flat = spell_midi(self.chromatic)
            return display.pitch(flat.name)
        pitch = self.pitch
        return display.note(self.name) if pitch is None else display.pitch(pitch.name)


def _of_pitch(pitch: Pitch) -> GivenNote:
    return GivenNote(pitch.chromatic, pitch.pitch_name.name, True)


@lru_cache(maxsize=4096)
def _of_text(text: str, names: str) -> tuple[GivenNote, ...]:
    found = []
    for one in note_list(text):
        if str(one).strip(")")[-1:].isdecimal():
            found.append(_of_pitch(read_pitch(str(one), names)))
        else:
            name = read_pitch_name(str(one), names)
            found.append(GivenNote(name.pitch_class, name.name, False))
    return tuple(found)


def given_notes(answer: Mapping[str, JSON], display: Display) -> tuple[GivenNote, ...]:
    """Return the notes of one step, which was answered on a staff, on keys or in letters.

    Piano keys, which are as they sound, are turned into the written notes of the student's instrument.

    Examples
    --------
    >>> [(note.chromatic, note.name) for note in given_notes({"symbol": "B Fb4"}, Display())]
    [(11, 'B'), (64, 'Fb')]
    >>> given_notes({"keys": [58]}, Display(transposition="Bb3"))[0].chromatic
    60
    """
    ((used, value),) = answer.items()
    if used == "keys":
        return tuple(GivenNote(midi - display.part_shift[0], "", True) for midi in value)
    if used == "symbol":
        return _of_text(value, display.theory_names)
    return tuple(_of_pitch(Pitch(name)) for row in value for name in row[0])


def letters(names: Sequence[str], display: Display) -> str:
    """Return note names as a student may type them in the system of names of the question.

    Examples
    --------
    >>> letters(["B", "F#"], Display("german")), letters(["B", "F#"], Display())
    ('H Fis', 'B F#')
    """
    return " ".join(write_pitch(PitchName(name), display.theory_names) for name in names)


def staff_row(pitches: Sequence[str]) -> list[JSON]:
    """Return a row of a staff answer without rhythm."""
    return [list(pitches), "1", False]
