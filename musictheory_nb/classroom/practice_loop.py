"""The hardest line of a piece for one instrument: a few bars to loop, fingered where there are strings, with a plan."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from musictheory_nb.classroom.frozen_excerpt import freeze_measures
from musictheory_nb.classroom.lesson_proposal import melody_part
from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering import USUAL_TEMPO, Fingering, finger_line
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.instrument.practice_plan import STRAIN_CAUTION, practice_plan
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.piece import Piece
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch

#: Length of the loop, in measures.
BARS: Final = 4
_OCTAVES: Final = (0, -1, 1, -2, 2, -3, 3)


@dataclass(frozen=True)
class PracticeLoop:
    """A few bars to practise.

    Parameters
    ----------
    excerpt : Excerpt
        The bars, of one part.
    first, last : str
        Their numbers.
    part : str
        Name of the part.
    octaves : int
        By how many octaves the line is moved to lie on the instrument.
    fingering : Fingering or None
        None where the instrument has no strings.
    plan : str
        How to practise it, in lines, with the caution about strain.
    """

    excerpt: Excerpt
    first: str
    last: str
    part: str
    octaves: int
    fingering: Fingering | None
    plan: str


def practice_loop(piece: Piece, instrument: str) -> PracticeLoop | None:
    """Return the hardest bars of the piece for an instrument; None where no line of it can be played there.

    The line is that of the part with the instrument's name, else of the tune. Hardest is what the fingering costs most
    for an instrument with strings, and for others the most notes with the widest leaps.

    Raises
    ------
    InstrumentError
        There is no such instrument.
    """
    player = Instrument(instrument)
    part = _part_for(piece, player)
    lines = {
        first: line
        for first in range(0, len(piece.measures), BARS)
        if len(line := _line(piece, part, first, first + BARS - 1)) > BARS
    }
    best: tuple[float, int, int, Fingering | None] | None = None
    for first, line in lines.items():
        made = [(octaves, found) for octaves in _OCTAVES if (found := _tried(line, octaves, player, piece)) is not None]
        if made:
            octaves, (cost, fingering) = min(made, key=lambda one: (one[1][0], abs(one[0])))
            if best is None or cost > best[0]:
                best = (cost, first, octaves, fingering)
    if best is None:
        return None
    _, first, octaves, fingering = best
    last = min(first + BARS, len(piece.measures)) - 1
    return PracticeLoop(
        freeze_measures(piece, first, last, [part]),
        piece.measures[first].number,
        piece.measures[last].number,
        piece.parts[part].name,
        octaves,
        fingering,
        practice_plan(fingering, 2).describe() if fingering else _plain_plan(),
    )


def _part_for(piece: Piece, player: Instrument) -> int:
    named = [
        part.index
        for part in piece.parts
        if not part.is_unpitched and not part.is_empty and player.name.casefold() in part.name.casefold()
    ]
    return named[0] if named else melody_part(piece)


def _line(piece: Piece, part: int, first: int, last: int) -> list[Note]:
    """The notes of the highest voice of a part in some measures, one at a time."""
    notes = [
        note
        for note in piece.notes_of(first, last, [part], piece.joined_notes)
        if note.sounding is not None and not note.grace
    ]
    found: list[Note] = []
    for note in sorted(notes, key=lambda one: (one.start, -(one.sounding.chromatic if one.sounding else 0))):
        if not found or note.start >= found[-1].end:
            found.append(note)
    return found


def _moved(line: Sequence[Note], octaves: int) -> list[Pitch]:
    up = Interval("P8")
    moved = []
    for note in line:
        assert note.sounding is not None
        pitch = note.sounding
        for _ in range(abs(octaves)):
            pitch = pitch.up(up) if octaves > 0 else pitch.down(up)
        moved.append(pitch)
    return moved


def _tried(
    line: Sequence[Note], octaves: int, player: Instrument, piece: Piece
) -> tuple[float, Fingering | None] | None:
    """Cost and fingering of a line moved by octaves; None where it cannot be played so."""
    pitches = _moved(line, octaves)
    lengths = [note.duration for note in line]
    if player.has_strings:
        tempo = float(piece.tempos[0].quarters_per_minute) if piece.tempos else USUAL_TEMPO
        try:
            fingering = finger_line(pitches, lengths, player.tuning, tempo=tempo)
        except InstrumentError:
            return None
        return fingering.cost, fingering
    inside = player.range("easy", sounding=True)
    if not all(inside.holds(pitch) for pitch in pitches):
        return None
    leaps = sum(abs(one.chromatic - other.chromatic) for one, other in pairwise(pitches))
    return len(pitches) + leaps / 12 + float(sum(length < Fraction(1, 2) for length in lengths)), None


def _plain_plan() -> str:
    return "\n".join(
        [
            STRAIN_CAUTION,
            "- Play the bars out of time, one note after the other, and listen to each.",
            "- Play them at half the tempo until they come right three times running.",
            "- Raise the tempo in four steps; go back a step when a note slips.",
        ]
    )
