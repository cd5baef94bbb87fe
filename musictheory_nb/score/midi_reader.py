"""A Standard MIDI File to a `Draft`: barred by its metre, notes tied over barlines, pitches spelled by its key.

Conventions: each track and channel with notes is a part; channel 10 is percussion (General MIDI). Times that fall on a
grid of 32nds or triplets of them are kept as they are; those of a performance are moved to the nearest
16th or eighth triplet, ends of notes too. Without a metre the music is in 4/4, without a key in C.
"""

import math
from bisect import bisect_right
from fractions import Fraction
from itertools import pairwise
from typing import Final

from musictheory_nb.score.draft import (
    Draft,
    DraftClef,
    DraftKey,
    DraftMeasure,
    DraftNote,
    DraftPart,
    DraftTempo,
    DraftText,
)
from musictheory_nb.score.midi_file import MidiFile, MidiNote, MidiTrack, read_midi_file
from musictheory_nb.score.note_table import KINDS

_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))
#: Parts of a quarter that notes of a written piece fall on: 32nds, 16th triplets, quintuplets.
_WRITTEN_GRIDS: Final = (8, 12, 10)
#: Parts of a quarter that the notes of a performance are moved to.
_PLAYED_GRIDS: Final = (4, 3)
_TICKS: Final = 120  # of the draft to a quarter: all grids divide it
_STEP_OF_FIFTHS: Final = (3, 0, 4, 1, 5, 2, 6)  # F C G D A E B as steps above C
_STEP_SEMITONES: Final = (0, 2, 4, 5, 7, 9, 11)
_PERCUSSION_CHANNEL: Final = 9


def read_midi(data: bytes) -> Draft:
    """Read a Standard MIDI File.

    Raises
    ------
    ScoreError
        It is damaged or has no notes.
    """
    file = read_midi_file(data)
    draft = Draft(ticks_per_quarter=_TICKS)
    unit = file.ticks_per_quarter
    players = _players(file)
    starts = [Fraction(note.start, unit) for _, _, notes in players for note in notes]
    written = sum(_on_grid(start) for start in starts) >= 0.9 * len(starts)
    length = max(Fraction(note.end, unit) for _, _, notes in players for note in notes)
    bars = _bars(file, length, draft)
    first_name = file.tracks[0].name
    draft.title = first_name if first_name and not file.tracks[0].notes else ""
    for ticks, fifths, mode in file.keys:
        at, onset = _place(bars, _snapped(Fraction(ticks, unit), _WRITTEN_GRIDS))
        draft.keys += [DraftKey(at, onset, part, fifths, mode, 0, 0) for part in range(len(players))]
    for ticks, microseconds in file.tempos:
        speed = Fraction(60_000_000, microseconds).limit_denominator(100)
        if 4 <= speed <= 1000:
            at, onset = _place(bars, _snapped(Fraction(ticks, unit), _WRITTEN_GRIDS))
            draft.tempos.append(DraftTempo(at, onset, speed.numerator, speed.denominator, ""))
    for ticks, text in file.markers:
        draft.rehearsals.append(DraftText(*_place(bars, _snapped(Fraction(ticks, unit), _WRITTEN_GRIDS)), 0, text[:80]))
    for part, (track, channel, notes) in enumerate(players):
        name = track.name or ("Percussion" if channel == _PERCUSSION_CHANNEL else f"Part {part + 1}")
        program = track.programs.get(channel, -1) + 1
        draft.parts.append(DraftPart(name=name, program=program))
        times = [_times(note, unit, written) for note in notes]
        _enter(
            draft, part, channel, [(*time, note.number) for time, note in zip(times, notes, strict=True)], bars, file
        )
    return draft


def _players(file: MidiFile) -> list[tuple[MidiTrack, int, list[MidiNote]]]:
    found = []
    for track in file.tracks:
        for channel in sorted({note.channel for note in track.notes}):
            found.append((track, channel, [note for note in track.notes if note.channel == channel]))
    return found


def _on_grid(value: Fraction) -> bool:
    return any((value * grid).denominator == 1 for grid in _WRITTEN_GRIDS)


def _snapped(value: Fraction, grids: tuple[int, ...]) -> Fraction:
    """Return the nearest place on any of the grids; the coarser one where two are as near."""
    return min((Fraction(round(value * grid), grid) for grid in grids), key=lambda place: abs(place - value))


def _times(note: MidiNote, unit: int, written: bool) -> tuple[Fraction, Fraction]:
    """Return start and end of a note, in quarters, on the grid."""
    start, end = Fraction(note.start, unit), Fraction(note.end, unit)
    grids = _WRITTEN_GRIDS if written else _PLAYED_GRIDS
    if not (written and _on_grid(start)):
        start = _snapped(start, grids)
    if not (written and _on_grid(end)):
        end = _snapped(end, _PLAYED_GRIDS)
    least = Fraction(1, max(grids[:2]))
    return start, max(end, start + least)


def _bars(file: MidiFile, length: Fraction, draft: Draft) -> list[Fraction]:
    """Enter the measures into the draft; return where each begins, and the end of the last."""
    unit = file.ticks_per_quarter
    changes = {Fraction(ticks, unit): (upper, lower) for ticks, upper, lower in sorted(file.metres)}
    starts = [Fraction(0)]
    metre = (4, 4)
    coming = sorted(changes)
    while starts[-1] < length or len(starts) == 1:
        while coming and coming[0] <= starts[-1]:
            metre = changes[coming.pop(0)]
        full = Fraction(4 * metre[0], metre[1])
        end = starts[-1] + full
        if coming and coming[0] < end:
            end = coming[0]  # a metre that begins within a bar begins a new one
        draft.measures.append(
            DraftMeasure(
                printed=str(len(starts)),
                content=int((end - starts[-1]) * _TICKS),
                sounding=int((end - starts[-1]) * _TICKS),
                metre=f"{metre[0]}/{metre[1]}",
                full=int(full * _TICKS),
            )
        )
        starts.append(end)
    return starts


def _place(bars: list[Fraction], at: Fraction) -> tuple[int, int]:
    """Return measure and ticks within it."""
    measure = min(max(bisect_right(bars, at) - 1, 0), len(bars) - 2)
    return measure, int((at - bars[measure]) * _TICKS)


def _enter(
    draft: Draft,
    part: int,
    channel: int,
    notes: list[tuple[Fraction, Fraction, int]],
    bars: list[Fraction],
    file: MidiFile,
) -> None:
    """Enter the notes of a part: chords in voices that do not overlap, cut and tied at barlines, rests between."""
    chords: dict[tuple[Fraction, Fraction], list[int]] = {}
    for start, end, number in sorted(notes):
        numbers = chords.setdefault((start, end), [])
        if number not in numbers:
            numbers.append(number)
    ends: list[Fraction] = []
    spans: list[list[tuple[Fraction, Fraction]]] = []
    unpitched = channel == _PERCUSSION_CHANNEL
    for (start, end), numbers in sorted(chords.items(), key=lambda item: (item[0][0], -max(item[1]))):
        voice = next((voice for voice, busy in enumerate(ends) if busy <= start), len(ends))
        if voice == len(ends):
            ends.append(Fraction(0))
            spans.append([])
        ends[voice] = end
        spans[voice].append((start, end))
        pieces = _pieces(start, end, bars)
        for place, (at, onset, duration) in enumerate(pieces):
            tie = (place + 1 < len(pieces)) * 1 + (place > 0) * 2
            event = len(draft.notes)
            for number in sorted(numbers):
                step, alter, octave = (-1, 0, 0) if unpitched else _spelled(number, _fifths(file, start))
                kind = _UNPITCHED if unpitched else _NOTE
                values = (kind, part, 1, voice + 1, at, onset, duration, step, alter, octave)
                draft.notes.append(DraftNote(*values, 0, 0 if unpitched else tie, 0, 0, event, 0, 0, 0))
    middle = sorted(number for _, _, number in notes)[len(notes) // 2]
    draft.clefs.append(DraftClef(0, 0, part, 1, "percussion" if unpitched else "treble" if middle >= 60 else "bass"))
    covered = [Fraction(0), *(edge for span in spans[0] for edge in span), bars[-1]]
    for begin, end in list(pairwise(covered))[::2]:
        for at, onset, duration in _pieces(begin, end, bars) if end > begin else ():
            draft.notes.append(
                DraftNote(_REST, part, 1, 1, at, onset, duration, -1, 0, 0, 0, 0, 0, 0, len(draft.notes), 0, 0, 0)
            )


def _pieces(start: Fraction, end: Fraction, bars: list[Fraction]) -> list[tuple[int, int, int]]:
    """Return measure, onset and duration in ticks of each bar's share of a span."""
    found = []
    at = min(bisect_right(bars, start) - 1, len(bars) - 2)
    while start < end:
        stop = end if at == len(bars) - 2 else min(end, bars[at + 1])
        found.append((at, int((start - bars[at]) * _TICKS), int((stop - start) * _TICKS)))
        start, at = stop, at + 1
    return found


def _fifths(file: MidiFile, at: Fraction) -> int:
    found = 0
    for ticks, fifths, _ in file.keys:
        if Fraction(ticks, file.ticks_per_quarter) <= at:
            found = fifths
    return found


def _spelled(number: int, fifths: int) -> tuple[int, int, int]:
    """Return step, alteration and octave of a MIDI number as a key usually spells it.

    Three steps flatwards and eight sharpwards of the major tonic on the circle of fifths: in C, E flat to G sharp.

    Examples
    --------
    >>> _spelled(63, 0), _spelled(68, 0), _spelled(61, -4)  # E flat 4, G sharp 4, D flat 4
    ((2, -1, 4), (4, 1, 4), (1, -1, 4))
    """
    place = (number * 7) % 12  # fifths above C, in one turn of the circle
    place += 12 * math.ceil(Fraction(fifths - 3 - place, 12))
    step = _STEP_OF_FIFTHS[(place + 1) % 7]
    alter = (place + 1) // 7
    octave = (number - alter - _STEP_SEMITONES[step]) // 12 - 1
    return step, alter, octave
