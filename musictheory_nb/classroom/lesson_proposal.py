"""An exercise that a piece offers (`Proposal`), and the passages of the piece on which exercises stand."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from musictheory_nb.classroom.frozen_excerpt import freeze_measures
from musictheory_nb.errors import MusicTheoryError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.score.piece import Piece

#: Seeds with which an exercise is tried before it is proposed.
_SEEDS: Final = (0, 1, 2**53)
#: With more notes a piece is asked about in passages only: a notebook has to hold it.
MOST_NOTES: Final = 9000
#: Length of a passage, in measures.
PASSAGE: Final = 16


@dataclass(frozen=True)
class Proposal:
    """An exercise that a piece offers.

    Parameters
    ----------
    group : str
        One of `lesson_options.FOCUS`.
    exercise : Exercise
        As it will stand in the lesson; its excerpts are those it needs.
    objective : str
        What a student can do who gets it right, as in "hear which interval …".
    heading, before : str
        Title and text of the cell before it; they give no answer away.
    listen : tuple of str
        Number of the first and last measure that are heard before it, or nothing.
    """

    group: str
    exercise: Exercise
    objective: str
    heading: str
    before: str
    listen: tuple[str, str] | tuple[()] = field(default=())


def exercise(
    id: str, kind: str, settings: Mapping[str, JSON], count: int, excerpts: Mapping[str, Excerpt] | None = None
) -> Iterator[Exercise]:
    """Yield the exercise if it can be made for every student, else nothing; an item is worth a point."""
    try:
        made = Exercise(id, kind, settings, count=count, points=float(count), excerpts=excerpts or {})
        for seed in _SEEDS:
            for index in range(count):
                made.item(seed, index)
    except MusicTheoryError:
        return
    yield made


def melody_part(piece: Piece) -> int:
    """Return the index of the part that most likely has the tune: the highest of those that play most of the time."""
    best, found = -1.0, 0
    for part in piece.parts:
        if part.is_unpitched or part.is_empty:
            continue
        notes = [note for note in piece.notes_of(parts=[part.index]) if note.sounding is not None]
        if not notes:
            continue
        busy = len({note.measure for note in notes}) / len(piece.measures)
        height = sum(note.sounding.chromatic for note in notes if note.sounding) / len(notes)
        if busy >= _BUSY and height > best:
            best, found = height, part.index
    return found


#: A part with the tune plays in this share of the measures.
_BUSY: Final = 0.5


def whole(piece: Piece) -> Excerpt | None:
    """Return the piece frozen whole, or None where it is too long for a notebook.

    Its rehearsal marks are left out: they would tell where sections begin before that is asked.
    """
    if len(piece.notes) > MOST_NOTES:
        return None
    return _without_marks(freeze_measures(piece, 0, len(piece.measures) - 1))


def passage(piece: Piece, part: int, first: int = 0) -> Excerpt:
    """Return some measures of one part, from where it begins to play at or after the index `first`."""
    plays = sorted({note.measure for note in piece.notes_of(parts=[part])})
    begin = next((at for at in plays if at >= first), plays[0])
    return _without_marks(freeze_measures(piece, begin, min(begin + PASSAGE, len(piece.measures)) - 1, [part]))


def _without_marks(frozen: Excerpt) -> Excerpt:
    return replace(frozen, measures=tuple(replace(measure, mark="") for measure in frozen.measures))
