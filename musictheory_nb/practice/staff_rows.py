"""Rows of a staff answer as they are written: cut at barlines and into note values, and as an excerpt."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.staff_input import Row, StaffInput
from musictheory_nb.practice.written_duration import single_values, written_value

#: A whole note writes each pitch where no rhythm is asked.
_WHOLE: Final = Fraction(4)


def _left_in_measure(asked: StaffInput, at: Fraction) -> Fraction:
    """How much is left of the measure at `at` quarters from the beginning of the staff."""
    bar, pickup = measure_quarters(asked.metre), Fraction(asked.pickup or 0)
    return pickup - at if at < pickup else bar - (at - pickup) % bar


def _pieces(asked: StaffInput, row: Row, at: Fraction) -> Iterator[Fraction]:
    left = Fraction(row[1])
    while left > 0:
        part = min(left, _left_in_measure(asked, at))
        yield from [part] if written_value(part) is not None else single_values(part)
        left -= part
        at += part


def written_rows(asked: StaffInput, rows: Sequence[Row]) -> list[JSON]:
    """Return `rows` with every one that crosses a barline or takes several note values cut into tied ones.

    Examples
    --------
    >>> written_rows(StaffInput(measures=2), [[["C4"], "3", False], [["D4"], "2", False]])
    [[['C4'], '3', False], [['D4'], '1', True], [['D4'], '1', False]]
    """
    if asked.pitches_only:
        return [[list(row[0]), "1", bool(row[2])] for row in rows]
    out: list[JSON] = []
    at = Fraction(0)
    for row in rows:
        pieces = list(_pieces(asked, row, at))
        for number, piece in enumerate(pieces):
            goes_on = number + 1 < len(pieces)
            out.append([list(row[0]), str(piece), bool(row[0]) if goes_on else bool(row[2])])
        at += Fraction(row[1])
    return out


def staff_excerpt(asked: StaffInput, rows: Sequence[Row], *, timbre: str = "struck") -> Excerpt:
    """Return the notes given with the input and `rows` after them as an excerpt; note and written row have one index.

    Where no rhythm is asked each pitch is a whole note, in one measure.

    Parameters
    ----------
    asked : StaffInput
        The staff.
    rows : sequence of rows
        What was entered, or the right answer.
    timbre : str
        How it sounds.

    Raises
    ------
    ExerciseError
        A row of the wrong shape.

    Examples
    --------
    >>> [note.tie for note in staff_excerpt(StaffInput(measures=2), [[["D4"], "5", False]]).notes]
    ['start', 'stop']
    """
    part = ExcerptPart("", asked.clef, timbre=timbre)
    all_rows = written_rows(asked, [*asked.given, *rows])
    if asked.pitches_only:
        count = max(len(all_rows) + 1, 4)
        measures: tuple[ExcerptMeasure, ...] = (ExcerptMeasure("1", count * _WHOLE, f"{count}/1", asked.fifths),)
        free = tuple(ExcerptNote(0, 0, at * _WHOLE, _WHOLE, tuple(row[0])) for at, row in enumerate(all_rows))
        return Excerpt((part,), measures, free)
    bar, pickup = measure_quarters(asked.metre), Fraction(asked.pickup or 0)
    measures = tuple(ExcerptMeasure(str(n + 1), bar, asked.metre, asked.fifths) for n in range(asked.measures))
    if pickup:
        measures = (ExcerptMeasure("0", pickup, asked.metre, asked.fifths), *measures)
    notes = []
    at, tied_in = Fraction(0), False
    for pitches, duration, tied in all_rows:
        full = (at - pickup) // bar if at >= pickup else -1
        measure = int(full) + bool(pickup)
        onset = at if at < pickup else (at - pickup) % bar
        tie = {(False, True): "start", (True, False): "stop", (True, True): "continue"}.get((tied_in, tied), "")
        notes.append(ExcerptNote(0, measure, onset, Fraction(duration), tuple(pitches), tie=tie))
        at += Fraction(duration)
        tied_in = tied
    return Excerpt((part,), measures, tuple(notes))
