"""Degrees of keys to hear: one or several notes, each degree once before any comes again."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.practice.degree_vocabulary import degree_class, degree_label, degree_note
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.family import CompleteSettings, Question
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.tonal_frame import lowest_of_frame
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: From one note to the next are at most so many semitones, where the register has such a note.
_WIDEST: Final = 12


@dataclass(frozen=True, slots=True)
class DegreeCase:
    """Notes as they are asked: their key, their degrees, their written pitches."""

    key: str
    degrees: tuple[str, ...]
    pitches: tuple[str, ...]


@lru_cache(maxsize=256)
def keys_of(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the names of the keys of an exercise."""
    return tuple(key_named(one).name for one in settings["keys"])


@lru_cache(maxsize=4096)
def degree_places(key: str, degree: str, register: Register) -> tuple[str, ...]:
    """Return the pitches of a degree within a register, from low to high."""
    name = PitchName(degree_note(key, degree))
    octaves = range(register.low_midi // 12 - 2, register.high_midi // 12 + 1)
    pitches = [Pitch.from_name(name, octave) for octave in octaves]
    return tuple(one.name for one in pitches if register.low_midi <= one.chromatic <= register.high_midi)


@lru_cache(maxsize=512)
def check_degrees(settings: CompleteSettings, register: Register) -> None:
    """Raise unless every degree can be asked for in every key, and told from the others.

    Raises
    ------
    ExerciseError
        A degree cannot be written or named, sounds like another one, or does not fit into the register.
    """
    display = Display.of(settings)
    for key in keys_of(settings):
        heard: dict[int, str] = {}
        for degree in settings["asked"]:
            try:
                degree_label(key, degree, display)
            except PitchError as error:
                raise ExerciseError(f"asked {degree!r} in {key}: {error}") from None
            if abs(PitchName(degree_note(key, degree)).alter) > 2:
                raise ExerciseError(
                    f"asked {degree!r} in {key}: it would need three accidentals; leave one of them out"
                )
            if other := heard.get(degree_class(key, degree)):
                raise ExerciseError(
                    f"asked {degree!r} in {key}: it sounds like {other!r}; leave one of them out, or ask major and minor "
                    "keys apart"
                )
            heard[degree_class(key, degree)] = degree
            if not degree_places(key, degree, register):
                raise ExerciseError(
                    f"low and high in the {register.clef} clef: {degree!r} of {key} does not fit between them; widen the "
                    "register"
                )
        if lowest_of_frame(key, settings["frame"]) + display.part_shift[0] < 0:
            raise ExerciseError(f"transposition {display.transposition!r}: the chords in {key} sound too low for it")


@lru_cache(maxsize=1024)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, settings: CompleteSettings, register: Register
) -> tuple[tuple[str, str, str], ...]:
    """Return (degree, key, pitch) of the first note of every item."""
    asked = settings["asked"]
    pools = [
        [(degree, key, pitch) for key in keys_of(settings) for pitch in degree_places(key, degree, register)]
        for degree in asked
    ]
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    order = order_without_repeats(draw, asked, [len(pool) for pool in pools], count)
    return tuple(pools[kind][at] for kind, at in order)


def degree_case(question: Question, register: Register) -> DegreeCase:
    """Return the notes of an item; after the first each is another one, drawn by chance within an octave."""
    settings = question.settings
    degree, key, pitch = _order(
        question.lesson, question.exercise, question.version, question.seed, question.count, settings, register
    )[question.index]
    degrees, pitches, draw = [degree], [pitch], question.draw()
    while len(pitches) < settings["notes"]:
        other = draw.choice([one for one in settings["asked"] if one != degrees[-1]])
        before = Pitch(pitches[-1]).chromatic
        places = degree_places(key, other, register)
        near = [one for one in places if abs(Pitch(one).chromatic - before) <= _WIDEST] or places
        degrees.append(other)
        pitches.append(draw.choice(near))
    return DegreeCase(key, tuple(degrees), tuple(pitches))
