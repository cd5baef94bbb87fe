"""One part of a score: who plays it, and from what kind of paper."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Part:
    """One part, for one player or one line.

    Parameters
    ----------
    index : int
        Place among the score's parts, from 0; the upper one first.
    name, short : str
        ``'Violin I'`` and its short form. Where the file gives no name, ``'Part 1'``.
    staves : int
        2 for a piano.
    chromatic, diatonic : int
        From written to sounding pitch at the start of the part, in semitones and in steps, as MusicXML's
        ``transpose``: -2 and -1 for a clarinet in B♭.
    sound : str
        Instrument sound by the names of MusicXML (``'wind.reed.clarinet.bflat'``), or ``''``.
    program : int
        General MIDI program from 1 to 128; 0 where the file names none.
    is_unpitched : bool
        It has notes, and all are unpitched (percussion).
    is_empty : bool
        It has not one note.
    """

    index: int
    name: str
    short: str = ""
    staves: int = 1
    chromatic: int = 0
    diatonic: int = 0
    sound: str = ""
    program: int = 0
    is_unpitched: bool = False
    is_empty: bool = False
