"""What sets a key before notes are asked for: a cadence, the tonic chord, or a drone that goes on under them."""

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.setting_check import one_of
from musictheory_nb.theory.four_part import write_four_parts
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voice_leading import nearest_pitch

#: What sets the key.
FRAMES: Final = ("cadence", "tonic chord", "drone")
FRAME_WORDS: Final = {"cadence": "the cadence", "tonic chord": "the chord of the tonic", "drone": "the drone"}
FRAME: Final = Setting(
    "frame",
    "cadence",
    "What sets the key: a cadence (I IV V7 I) or the chord of the tonic before the notes, or the tonic with its fifth, held "
    "under them.",
    ", ".join(map(repr, FRAMES)),
    one_of(FRAMES),
)
#: Each note that is asked for lasts so many quarters, in a measure of its own.
NOTE_QUARTERS: Final = Fraction(2)
_TEMPO: Final = Fraction(96)
#: Lengths that no one note has, as those of tied ones.
_HELD: Final = MappingProxyType(
    {whole: tuple(map(Fraction, pieces)) for whole, pieces in ((5, (3, 2)), (7, (4, 3)), (8, (4, 4)))}
)
#: The drone lies on the tonic nearest to this.
_DRONE: Final = "E3"


@lru_cache(maxsize=256)
def _chords(key: str, frame: str) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    """Return the chords of a frame, each as the notes for the right hand and for the left, from low to high."""
    home = key_named(key)
    if frame == "drone":
        low = nearest_pitch(home.tonic, _DRONE)
        return (((), (low.name, low.up("P5").name)),)
    figures = ("i", "iv", "V7", "i") if home.is_minor else ("I", "IV", "V7", "I")
    four = write_four_parts(figures, home)
    found = [
        (
            tuple(dict.fromkeys((one.alto.name, one.soprano.name))),
            tuple(dict.fromkeys((one.bass.name, one.tenor.name))),
        )
        for one in four
    ]
    return tuple(found if frame == "cadence" else found[-1:])


@lru_cache(maxsize=4096)
def framed(
    key: str,
    pitches: tuple[str, ...],
    frame: str,
    clef: str,
    timbre: str,
    shift: tuple[int, int] = (0, 0),
    as_line: bool = False,
) -> Excerpt:
    """Return notes in half notes after what sets their key, with its signature.

    Parameters
    ----------
    key : str
        Name of the key.
    pitches : tuple of str
        Written pitches of the notes that are asked for.
    frame : str
        One of `FRAMES`.
    clef, timbre : str
        Of the notes; the frame is written on two staves of its own.
    shift : (int, int)
        From written to sounding pitch, of the frame, too.
    as_line : bool
        The notes stand in one measure, in quarter notes.

    Examples
    --------
    >>> one = framed("C major", ("G4",), "cadence", "treble", "struck")
    >>> [measure.metre for measure in one.measures], len(one.parts), one.notes[-1].pitches
    (['4/4', '2/4'], 3, ('G4',))
    """
    fifths, chords = key_named(key).fifths, _chords(key, frame)
    held = "held" if frame == "drone" else timbre
    parts: tuple[ExcerptPart, ...] = (
        ExcerptPart("", clef, timbre=timbre),
        ExcerptPart("", "treble", group=1, timbre=held),
        ExcerptPart("", "bass", group=1, timbre=held),
    )
    each = Fraction(4, len(chords))
    measures = [ExcerptMeasure("1", Fraction(4), "4/4", fifths, double_bar=True)]
    notes = [ExcerptNote(0, 0, Fraction(0), Fraction(4))]
    for part in (1, 2):
        for at, chord in enumerate(chords):
            tie = "start" if frame == "drone" and chord[part - 1] and pitches else ""
            notes.append(ExcerptNote(part, 0, at * each, each, chord[part - 1], tie=tie))
    lines = [pitches] if as_line and pitches else [(pitch,) for pitch in pitches]
    value = Fraction(1) if as_line else NOTE_QUARTERS
    for at, line in enumerate(lines, start=1):
        length = value * len(line)
        measures.append(ExcerptMeasure(str(at + 1), length, f"{length}/4", fifths))
        for part in (1, 2):
            under = chords[0][part - 1] if frame == "drone" else ()
            pieces = _HELD.get(int(length), (length,)) if under else (length,)
            for place, piece in enumerate(pieces):
                is_last = at == len(lines) and place == len(pieces) - 1
                tie = ("stop" if is_last else "continue") if under else ""
                notes.append(ExcerptNote(part, at, sum(pieces[:place], Fraction(0)), piece, under, tie=tie))
        notes += [ExcerptNote(0, at, place * value, value, (pitch,)) for place, pitch in enumerate(line)]
    if frame == "drone":  # the staff for the right hand has nothing to say
        parts = (parts[0], replace(parts[2], group=0))
        notes = [replace(note, part=min(note.part, 1)) for note in notes if note.part != 1]
    return in_part(Excerpt(parts, tuple(measures), tuple(notes), tempo=_TEMPO), shift)


@lru_cache(maxsize=256)
def lowest_of_frame(key: str, frame: str) -> int:
    """Return the MIDI number of the lowest written note of a frame.

    Examples
    --------
    >>> lowest_of_frame("C major", "drone")
    48
    """
    return min(Pitch(name).chromatic for chord in _chords(key, frame) for hand in chord for name in hand)


def asked_notes(excerpt: Excerpt) -> tuple[int, ...]:
    """Return the indices of the notes that come after the frame, in their order.

    Examples
    --------
    >>> one = framed("C major", ("G4", "C4"), "drone", "treble", "struck")
    >>> [one.notes[at].pitches for at in asked_notes(one)]
    [('G4',), ('C4',)]
    """
    return tuple(at for at, note in enumerate(excerpt.notes) if note.part == 0 and note.pitches)
