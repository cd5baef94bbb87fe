"""Any note, with or without an octave, as its spelling alone."""

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import read_pitch_text
from musictheory_nb.theory.pitch_name import PitchName


def spelling_of(note: PitchName | Pitch | str) -> tuple[str, int]:
    """Letter and alteration in semitones of a note.

    Raises
    ------
    PitchError
        The text is no note, or it is no text.

    Examples
    --------
    >>> spelling_of("F#4"), spelling_of(PitchName("Bb"))
    (('F', 1), ('B', -1))
    >>> spelling_of(60)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: note 60: a number has no spelling; write spell_midi(60, key=...)
    """
    if isinstance(note, str):
        step, alter, _ = read_pitch_text(note, "note")
        return step, alter
    if isinstance(note, PitchName | Pitch):
        return note.step, note.alter
    if isinstance(note, int):
        raise PitchError(f"note {note!r}: a number has no spelling; write spell_midi({note!r}, key=...)")
    raise PitchError(f"note {note!r}: write it as text, PitchName or Pitch")


def name_of(note: PitchName | Pitch | str) -> PitchName:
    """Name of a note without its octave; raises as `spelling_of` does.

    Examples
    --------
    >>> name_of("F#4"), name_of("F#")
    (PitchName('F#'), PitchName('F#'))
    """
    if isinstance(note, PitchName):
        return note
    return PitchName.of(*spelling_of(note))
