"""From written to sounding pitch and back, for whole columns of notes at once."""

from collections.abc import Mapping

import numpy as np

from musictheory_nb.score.note_table import COLUMNS, NoteTable, Ticks

_STEP_SEMITONES = np.array([0, 2, 4, 5, 7, 9, 11], dtype=np.int64)


def move_pitches(
    step: Ticks, alter: Ticks, octave: Ticks, chromatic: Ticks, diatonic: Ticks
) -> tuple[Ticks, Ticks, Ticks]:
    """Return step, alteration and octave moved by so many semitones and steps; steps of -1 (no pitch) stay as they are.

    A spelling that would need more than three accidentals is written with the next letter instead.

    Examples
    --------
    >>> one = lambda value: np.array([value], dtype=np.int64)
    >>> [int(column[0]) for column in move_pitches(one(0), one(1), one(5), one(-2), one(-1))]  # C#5 on a Bb clarinet: B4
    [6, 0, 4]
    """
    place = octave * 7 + step + diatonic
    sounding = octave * 12 + _STEP_SEMITONES[step] + alter + chromatic
    for _ in range(4):
        new_step, new_octave = place % 7, place // 7
        new_alter = sounding - 12 * new_octave - _STEP_SEMITONES[new_step]
        if not (wide := np.abs(new_alter) > 3).any():
            break
        place = place + np.where(wide, np.sign(new_alter), 0)
    pitched = step >= 0
    return (
        np.where(pitched, new_step, step),
        np.where(pitched, new_alter, alter),
        np.where(pitched, new_octave, octave),
    )


def move_pitch(step: int, alter: int, octave: int, chromatic: int, diatonic: int) -> tuple[int, int, int]:
    """Return one pitch moved as `move_pitches` moves many.

    Examples
    --------
    >>> move_pitch(0, 0, 5, 2, 1)
    (1, 0, 5)
    """
    columns = (np.array([value], dtype=np.int64) for value in (step, alter, octave, chromatic, diatonic))
    moved = move_pitches(*columns)
    return int(moved[0][0]), int(moved[1][0]), int(moved[2][0])


def written_for(table: NoteTable, moves: Mapping[int, tuple[int, int]]) -> NoteTable:
    """Return the table with pitches written for players who all along transpose as `moves` says.

    Parameters
    ----------
    table : NoteTable
        Notes whose sounding pitch counts.
    moves : mapping
        Semitones and steps from written to sounding pitch for each part index.
    """
    columns = table.columns.copy()
    at = {name: place for place, name in enumerate(COLUMNS)}
    part = columns[at["part"]]
    chromatic, diatonic = np.zeros_like(part), np.zeros_like(part)
    for index, (semitones, steps) in moves.items():
        chromatic[part == index], diatonic[part == index] = -semitones, -steps
    step, alter, octave = (columns[at[f"sounding_{name}"]] for name in ("step", "alter", "octave"))
    columns[[at["step"], at["alter"], at["octave"]]] = move_pitches(step, alter, octave, chromatic, diatonic)
    return NoteTable(columns, table.ticks_per_quarter)
