"""Other spellings of the same sound in twelve-tone equal temperament."""

from typing import overload

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.pitch_grammar import MOST_ACCIDENTALS, STEP_SEMITONES


@overload
def enharmonics(note: Pitch, most_accidentals: int = 2) -> tuple[Pitch, ...]: ...
@overload
def enharmonics(note: PitchName, most_accidentals: int = 2) -> tuple[PitchName, ...]: ...
def enharmonics(note: Pitch | PitchName, most_accidentals: int = 2) -> tuple[Pitch, ...] | tuple[PitchName, ...]:
    """Other spellings that sound as a note does, those with the fewest accidentals first.

    Parameters
    ----------
    note : Pitch or PitchName
        Of a pitch, the spellings sound in the same octave; their octave numbers follow their letters.
    most_accidentals : int
        Most accidentals of a spelling, from 0 to 3.

    Raises
    ------
    PitchError
        `note` is neither, or `most_accidentals` is not from 0 to 3.

    Examples
    --------
    >>> enharmonics(PitchName("F#")), enharmonics(Pitch("B#3")), enharmonics(PitchName("G#"), 1)
    ((PitchName('Gb'), PitchName('E##')), (Pitch('C4'), Pitch('Dbb4')), (PitchName('Ab'),))
    >>> enharmonics(PitchName("F#"), 4)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: most_accidentals 4: must be a whole number from 0 to 3
    """
    if most_accidentals not in range(MOST_ACCIDENTALS + 1):
        raise PitchError(f"most_accidentals {most_accidentals!r}: must be a whole number from 0 to {MOST_ACCIDENTALS}")
    if isinstance(note, Pitch):
        lowest = [Pitch.from_name(name, 0) for name in enharmonics(note.pitch_name, most_accidentals)]
        return tuple(Pitch.from_name(low.pitch_name, (note.chromatic - low.chromatic) // 12) for low in lowest)
    if not isinstance(note, PitchName):
        raise PitchError(f"note {note!r}: write a Pitch or a PitchName")
    names = (
        PitchName.of(step, alter)
        for alter in sorted(range(-most_accidentals, most_accidentals + 1), key=abs)
        for step in STEP_SEMITONES
        if (STEP_SEMITONES[step] + alter) % 12 == note.pitch_class
    )
    return tuple(name for name in names if name != note)
