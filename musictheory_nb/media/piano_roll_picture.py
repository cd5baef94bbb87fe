"""Every note of a piece as a stroke: when from left to right, how high from below, one strip for each part."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from musictheory_nb.errors import MediaError
from musictheory_nb.media.measure_line import (
    LEFT_IN,
    SMALL,
    MeasureLines,
    draw_bands,
    draw_numbers,
    draw_starts,
    short_name,
    write,
)
from musictheory_nb.media.picture import INK, OKABE_ITO, Picture, finished_picture, settings
from musictheory_nb.media.section_band import Band, written_bands
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.part import Part
from musictheory_nb.score.part_summary import part_summaries
from musictheory_nb.score.piece import Piece

_BANDS_IN, _NUMBERS_IN, _GAP_IN, _BETWEEN_IN = 0.42, 0.28, 0.16, 0.07
#: Least and greatest height of a strip, height of a semitone in it where there is room, and of one without pitches.
_LOW_IN, _HIGH_IN, _SEMITONE_IN, _UNPITCHED_IN = 0.3, 1.0, 0.032, 0.16
_MANY: Final = 8
#: Least width and height of a stroke.
_THIN_IN: Final = 0.026
_MOST_IN_WORDS: Final = 24
#: Letters of a part's name that the margin holds.
_LETTERS: Final = 12


def piano_roll_picture(piece: Piece, first: int = 0, last: int | None = None) -> Picture:
    r"""Return the notes of a piece as written, part by part.

    Parameters
    ----------
    piece : Piece
        The piece, as written.
    first, last : int
        Indices of the measures to show, both included; by default all.

    Raises
    ------
    MediaError
        The piece does not have these measures.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nT:Rise\nM:2/4\nL:1/4\nK:C\nCE|Gc|\n", cache=False)
    >>> piano_roll_picture(piece).alt
    'Notes of "Rise" part by part, bars 1-2. Part 1: 4 notes from C4 to C5, in 2 of 2 bars.'
    >>> piano_roll_picture(piece, 1, 5)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: measures 1 to 5: this piece has the measure indices 0 to 1
    """
    end = len(piece.measures) - 1 if last is None else last
    if not 0 <= first <= end < len(piece.measures):
        raise MediaError(
            f"measures {first} to {end}: this piece has the measure indices 0 to {len(piece.measures) - 1}"
        )
    table = piece.joined_notes
    table = table.where(table.column("grace") == 0)
    own = [piece.notes_of(first, end, [part.index], table) for part in piece.parts]
    rows = [(part, notes) for part, notes in zip(piece.parts, own, strict=True) if len(notes)]
    heights = [_height(notes, len(rows)) for _, notes in rows]
    line_in = _BANDS_IN + sum(heights) + len(rows) * _BETWEEN_IN + _NUMBERS_IN + _GAP_IN
    lines = MeasureLines.of(end - first + 1, line_in)
    bands = [_moved(band, first, end) for band in written_bands(piece) if band.first <= end and band.last >= first]
    alt = _words(piece, first, end)
    with settings(alt):
        figure, axes = lines.figure()
        draw_bands(axes, lines, bands, 0.0)
        y = _BANDS_IN + 0.04
        for (part, notes), height in zip(rows, heights, strict=True):
            _draw_strip(axes, lines, part, _strokes(piece, notes, first), y, height)
            y += height + _BETWEEN_IN
        draw_starts(axes, lines, bands, _BANDS_IN, y)
        draw_numbers(axes, lines, [measure.number for measure in piece.measures[first : end + 1]], y, bands)
        return finished_picture(figure, alt)


def _moved(band: Band, first: int, last: int) -> Band:
    return Band(band.section, band.label, max(band.first, first) - first, min(band.last, last) - first, band.place)


def _pitches(notes: NoteTable) -> Any:
    return notes.chromatic[notes.column("step") >= 0]


def _height(notes: NoteTable, parts: int) -> float:
    pitches = _pitches(notes)
    if not len(pitches):
        return _UNPITCHED_IN
    wanted = float(_SEMITONE_IN * (pitches.max() - pitches.min() + 4))
    return min(max(wanted, _LOW_IN), _HIGH_IN if parts <= _MANY else 2 * _LOW_IN)


def _strokes(piece: Piece, notes: NoteTable, first: int) -> list[tuple[float, float, int]]:
    """Start and end of each note, counted in measures from `first`, and its pitch (-1 for none)."""
    starts = np.array([float(measure.start) for measure in piece.measures] + [float(piece.length)])
    places = np.arange(len(starts), dtype=float) - first
    # measures without length share a place
    from_start = notes.column("start") / notes.ticks_per_quarter
    until = from_start + notes.column("duration") / notes.ticks_per_quarter
    pitches = np.where(notes.column("step") >= 0, notes.chromatic, -1)
    rows = zip(np.interp(from_start, starts, places), np.interp(until, starts, places), pitches, strict=True)
    return [(float(left), float(right), int(pitch)) for left, right, pitch in rows]


def _draw_strip(
    axes: Any, lines: MeasureLines, part: Part, strokes: Sequence[tuple[float, float, int]], y_in: float, height: float
) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    pitched = [pitch for _, _, pitch in strokes if pitch >= 0]
    low, high = (min(pitched) - 1, max(pitched) + 2) if pitched else (-1, 0)
    unit = height / max(high - low, 1)
    for at, line in enumerate(lines.lines):
        y = lines.y(at) + y_in
        left_edge, right_edge = lines.x(line, line.start), lines.x(line, line.stop)
        write(axes, LEFT_IN - 0.34, y + height / 2, short_name(part.name, _LETTERS), ha="right", fontsize=SMALL - 0.5)
        axes.plot([left_edge, right_edge], [y + height, y + height], color=INK, linewidth=0.4, alpha=0.5)
        for octave_start in range(-(-low // 12) * 12, high, 12) if pitched else ():
            line_y = y + (high - octave_start - 0.5) * unit
            axes.plot([left_edge, right_edge], [line_y, line_y], color=INK, linewidth=0.4, alpha=0.3)
            write(axes, LEFT_IN - 0.06, line_y, f"C{octave_start // 12 - 1}", ha="right", fontsize=7.0)
        corners: list[tuple[float, float]] = []
        for start, end, pitch in strokes:
            if start >= line.stop or end <= line.start:
                continue
            left = lines.x(line, max(start, line.start))
            right = max(lines.x(line, min(end, line.stop)) - min(0.012, 0.2 * lines.measure_in), left + _THIN_IN)
            upper = y + (high - pitch - 1) * unit
            upper, lower = upper + 0.08 * unit, upper + 0.92 * unit
            middle, half = (upper + lower) / 2, max(lower - upper, _THIN_IN) / 2
            corners += [(left, middle - half), (right, middle - half), (right, middle + half), (left, middle + half)]
            corners.append((left, middle - half))
        if corners:
            codes = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY] * (len(corners) // 5)
            axes.add_patch(PathPatch(Path(corners, codes), facecolor=OKABE_ITO["blue"], linewidth=0))


def _words(piece: Piece, first: int, last: int) -> str:
    title = f' of "{piece.title}"' if piece.title else ""
    one, other = piece.measures[first].number, piece.measures[last].number
    bars = last - first + 1
    told = [f"Notes{title} part by part, bar{'s' * (bars > 1)} {one if bars == 1 else f'{one}-{other}'}."]
    rows = part_summaries(piece, first, last)
    for row in rows[:_MOST_IN_WORDS]:
        span = f" from {row.range_words}" if row.lowest else f", {row.range_words}"
        told.append(
            f"{row.part.name}: {row.notes} note{'s' * (row.notes != 1)}{span}, in {row.measures} of {bars} bars."
        )
    if len(rows) > _MOST_IN_WORDS:
        told.append(f"{len(rows) - _MOST_IN_WORDS} more parts.")
    return " ".join(told)
