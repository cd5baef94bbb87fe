"""What the dictations of melodies share: keys, register, the sound of the key, the line seen in another key, words."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.degree_pattern import in_other_key, other_key
from musictheory_nb.practice.degree_vocabulary import degree_label
from musictheory_nb.practice.dictated_voice import DictatedVoice
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.drawn_melody import LEAST_ROOM, LEVELS
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.setting_check import is_switch, whole_number
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.tonal_frame import framed, lowest_of_frame
from musictheory_nb.theory.pitch import Pitch

FIRST_NOTE: Final = Setting(
    "first_note", True, "Whether the first note is given on the staff.", "True or False", is_switch
)


def melody_level_setting(most: int) -> Setting:
    """Return the setting of the melodic level, from 1 to `most`."""
    words = "; ".join(f"{level}: {words}" for level, words in LEVELS.items() if level <= most)
    return Setting(
        "melody_level",
        1,
        f"Which melodies there are, each level with what those before it have. {words}.",
        f"a whole number from 1 to {most}",
        whole_number(1, most),
    )


#: What sets the key.
_FRAME: Final = "cadence"


def check_room(keys: Sequence[str], place: Register, display: Display) -> None:
    """Raise unless melodies fit into the register, and sound within what can be heard.

    Raises
    ------
    ExerciseError
        The register is too narrow, or a transposition takes the notes too low or too high.
    """
    if place.high_midi - place.low_midi < LEAST_ROOM:
        raise ExerciseError(
            f"low and high in the {place.clef} clef: a melody needs {LEAST_ROOM} semitones (a ninth) at least; widen the "
            "register"
        )
    shift = display.part_shift[0]
    lowest = min(place.low_midi, *(lowest_of_frame(key_named(key).name, _FRAME) for key in keys))
    if lowest + shift < 0 or place.high_midi + shift + 2 > 127:
        raise ExerciseError(f"transposition {display.transposition!r}: the notes sound too low or too high for it")


def key_sound(key: str, clef: str, timbre: str, shift: tuple[int, int]) -> Excerpt:
    """Return the cadence that sets a key.

    Examples
    --------
    >>> len(key_sound("C major", "treble", "struck", (0, 0)).measures)
    1
    """
    return framed(key, (), _FRAME, clef, timbre, shift)


def voice_in_other_key(voice: DictatedVoice, key: str) -> tuple[DictatedVoice, str]:
    """Return a voice in another key, all of it given, and the name of that key.

    Examples
    --------
    >>> from fractions import Fraction
    >>> voice = DictatedVoice((LineNote("E4", Fraction(4)),), "4/4", 1)
    >>> other, name = voice_in_other_key(voice, "C major")
    >>> other.notes[0].pitch, other.fifths, name
    ('F#4', 2, 'D major')
    """
    name = other_key(key)
    moved = iter(in_other_key(tuple(note.pitch for note in voice.notes if note.pitch), key))
    notes = tuple(replace(note, pitch=next(moved)) if note.pitch else note for note in voice.notes)
    return replace(voice, notes=notes, fifths=key_named(name).fifths, shown=0), name


def degree_of(key: str, pitch: str, display: Display) -> str:
    """Return the degree of a pitch as shown, or its name where the key has no word for it.

    Examples
    --------
    >>> degree_of("A minor", "G#4", Display()), degree_of("C major", "E4", Display(degrees="do"))
    ('♯7', 'mi')
    """
    name = Pitch(pitch).pitch_name
    try:
        return degree_label(key, key_named(key).degree(name), display)
    except ValueError:
        return display.note(name.name)


def voice_words(voice: DictatedVoice, key: str, display: Display) -> str:
    """Return the notes of each measure, and their degrees, in a sentence a measure.

    Examples
    --------
    >>> from fractions import Fraction
    >>> voice_words(DictatedVoice((LineNote("E4", Fraction(4)),), "4/4", 1), "C major", Display())
    'Measure 1: E4 (3).'
    """
    inside: dict[int, list[LineNote]] = {at: [] for at in range(voice.measures)}
    for note in voice.notes:
        inside[voice.barring.place(note.onset)[0]].append(note)
    told = []
    for at, notes in inside.items():
        said = [f"{display.pitch(n.pitch)} ({degree_of(key, n.pitch, display)})" if n.pitch else "rest" for n in notes]
        told.append(f"Measure {at + 1}: {listed(said) if said else 'the note before is held'}.")
    return " ".join(told)
