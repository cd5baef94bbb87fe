"""How a section differs from the one it is like, in words that name bars, parts and what changed (`changes`)."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.form_label import Span
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.score import Score

_Event: TypeAlias = tuple[int, int, int]  # ticks from the bar's first beat, ticks long, pitch


@dataclass(frozen=True, slots=True)
class _Pair:
    """Bars of one part in two sections: index of the bar, notes there and here."""

    at: int
    there: tuple[_Event, ...]
    here: tuple[_Event, ...]


def changes(played: Score, units: Sequence[BarUnit], before: Span, now: Span) -> tuple[str, ...]:
    """Return how the bars of `now` differ from those of `before`, a sentence for each part and kind of change."""
    size = min(before.bars, now.bars)
    found = []
    if now.bars != before.bars:
        by = abs(now.bars - before.bars)
        found.append(f"{by} bar{'s' * (by > 1)} {'longer' if now.bars > before.bars else 'shorter'}")
    table = played.joined_notes
    for part in played.parts:
        notes = table.where((table.column("part") == part.index) & (table.column("grace") == 0))
        pairs = [
            _Pair(at, _events(notes, units[before.start + at]), _events(notes, units[now.start + at]))
            for at in range(size)
        ]
        differing = [pair for pair in pairs if pair.there != pair.here]
        if not differing:
            continue
        bars = _bars(played, units, [now.start + pair.at for pair in differing])
        where = f"{bars} (as against {_bars(played, units, [before.start + pair.at for pair in differing])})"
        found.append(f"{where}: {part.name} {_what(differing)}")
    return tuple(found)


def _events(notes: NoteTable, unit: BarUnit) -> tuple[_Event, ...]:
    per_quarter = notes.ticks_per_quarter
    start, end = int(unit.start * per_quarter), int((unit.start + unit.length) * per_quarter)
    starts = notes.column("start")
    first, last = starts.searchsorted(start), starts.searchsorted(end)
    return tuple(
        sorted(
            zip(
                (starts[first:last] - start).tolist(),
                notes.column("duration")[first:last].tolist(),
                notes.chromatic[first:last].tolist(),
                strict=True,
            )
        )
    )


def _what(pairs: Sequence[_Pair]) -> str:
    """Return what changed in these bars of one part."""
    there = [event for pair in pairs for event in pair.there]
    here = [event for pair in pairs for event in pair.here]
    if not there:
        return "comes in, where it rested"
    if not here:
        return "rests, where it played"
    moved = _moved(pairs)
    if moved:
        octaves, rest = divmod(abs(moved), 12)
        way = "higher" if moved > 0 else "lower"
        if rest == 0:
            return f"plays the same {octaves} octave{'s' * (octaves > 1)} {way}"
        return f"plays the same {abs(moved)} semitone{'s' * (abs(moved) > 1)} {way}"
    told = []
    if len(here) >= 1.4 * len(there):
        told.append(f"has more notes ({len(here)} for {len(there)})")
    elif len(there) >= 1.4 * len(here):
        told.append(f"has fewer notes ({len(here)} for {len(there)})")
    shift = sum(event[2] for event in here) / len(here) - sum(event[2] for event in there) / len(there)
    if abs(shift) >= 7:
        told.append(f"lies {'higher' if shift > 0 else 'lower'} by about {abs(round(shift))} semitones")
    if not told:
        same_rhythm = all(_rhythm(pair.there) == _rhythm(pair.here) for pair in pairs)
        told.append("has other notes in the same rhythm" if same_rhythm else "has other notes")
    return " and ".join(told)


def _rhythm(events: Sequence[_Event]) -> tuple[tuple[int, int], ...]:
    return tuple(sorted({event[:2] for event in events}))


def _moved(pairs: Sequence[_Pair]) -> int:
    """Return the semitones by which every note of the bars has moved, 0 if they have not all moved alike."""
    steps: Counter[int] = Counter()
    for pair in pairs:
        if [event[:2] for event in pair.there] != [event[:2] for event in pair.here]:
            return 0
        steps.update(new[2] - old[2] for old, new in zip(pair.there, pair.here, strict=True))
    return next(iter(steps)) if len(steps) == 1 else 0


def _bars(played: Score, units: Sequence[BarUnit], indices: Sequence[int]) -> str:
    """Return bars as text, runs joined: ``'bars 9-11 and 14'``."""
    runs: list[list[int]] = []
    for at in indices:
        if runs and runs[-1][-1] == at - 1 and _number(played, units, at) != _number(played, units, at - 1):
            runs[-1].append(at)
        else:
            runs.append([at])
    texts = []
    for run in runs:
        first, last = _number(played, units, run[0]), _number(played, units, run[-1])
        texts.append(first if first == last else f"{first}-{last}")
    many = len(indices) > 1
    text = texts[0] if len(texts) == 1 else ", ".join(texts[:-1]) + " and " + texts[-1]
    return f"bar{'s' * many} {text}"


def _number(played: Score, units: Sequence[BarUnit], at: int) -> str:
    return played.measures[units[at].bar].number
