"""Chromatic approach and enclosure: how a line leads into the tones of the chord (`approach_notes`).

Conventions (common practice): a chromatic approach is a note foreign to the key, to the key signature and to the chord,
at most a beat long, that leads by a half step into a tone of the chord which is no shorter and stands on no weaker
place. An enclosure is a pair of notes, one from above and one from below, a step or less away each and one of them such
a chromatic note, before the tone of the chord on a stronger place. Implied chords count where they are sure enough.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from math import ceil
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.metric_weight import metric_weight
from musictheory_nb.score.occurrence import Occurrence, all_rows, gathered, told_together
from musictheory_nb.score.score import Score
from musictheory_nb.theory.key import Key

#: Least confidence of an implied chord.
_SURE: Final = 0.7
_NAMES: Final = ("chromatic approach", "enclosure")


def approach_notes(score: Score, lines: Sequence[MelodicLine], spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return the chromatic approaches and enclosures of each part, near ones together."""
    chords = _Chords(spans, lines[0].ticks_per_quarter if lines else 1)
    found: list[Finding] = []
    for part in score.parts:
        hits: dict[str, list[Occurrence]] = {name: [] for name in _NAMES}
        for line in lines:
            if line.part == part.index:
                _look(score, line, chords, hits)
        for name in _NAMES:
            for group in gathered(hits[name]):
                verb = "approaches chord tones by half step" if name == "chromatic approach" else "encloses chord tones"
                times = f" {len(group)} times" if len(group) > 1 else ""
                told = f"{part.name} {verb}{times}, {told_together(group)}"
                details: dict[str, JSON] = {"times": len(group), "notes": [one.told for one in group]}
                at = (group[0].first, max(one.last for one in group))
                rows = all_rows(group)
                found.append(finding(score, name, at, told, 0.75, parts=(part.index,), notes=rows, details=details))
    return found


class _Chords:
    """The chords of a score that are sure enough, found by the tick at which a note begins."""

    def __init__(self, spans: Sequence[HarmonySpan], unit: int) -> None:
        self._spans = spans
        self._starts = [ceil(span.start * unit) for span in spans]
        self._ends = [ceil(span.end * unit) for span in spans]
        self._tones: dict[int, frozenset[int]] = {}
        self._in_key: dict[Key, frozenset[int]] = {}

    def at(self, tick: int) -> tuple[HarmonySpan, frozenset[int]] | None:
        """Return the chord there with its pitch classes; None if there is none that is sure enough."""
        at = bisect_right(self._starts, tick) - 1
        if at < 0 or tick >= self._ends[at]:
            return None
        span = self._spans[at]
        if at not in self._tones:
            sure = span.origin == "written" or span.confidence >= _SURE
            self._tones[at] = span.chord.pitch_classes if sure else frozenset()
        return (span, self._tones[at]) if self._tones[at] else None

    def in_key(self, key: Key) -> frozenset[int]:
        """Return the pitch classes of a key, the raised sixth and seventh of minor among them."""
        if key not in self._in_key:
            self._in_key[key] = _in_key(key)
        return self._in_key[key]


def _look(score: Score, line: MelodicLine, chords: _Chords, hits: dict[str, list[Occurrence]]) -> None:
    for at in range(len(line) - 1):
        target = at + 1
        if abs(line.pitches[target] - line.pitches[at]) > 2 or not line.follows(at, 0):
            continue
        found = chords.at(line.starts[target])
        if found is None or line.pitches[target] % 12 not in found[1]:
            continue
        span = found[0]
        chromatic = abs(line.pitches[target] - line.pitches[at]) == 1 and _is_chromatic(score, line, at, chords)
        if at and _encloses(score, line, at, chromatic, chords):
            hits["enclosure"].append(_occurrence(score, line, at - 1, target, span))
        elif chromatic and _leads(score, line, at) and not _goes_back(line, at):
            hits["chromatic approach"].append(_occurrence(score, line, at, target, span))


def _in_key(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key, the raised sixth and seventh of minor among them."""
    tonic = key.tonic.pitch_class
    raised = {(tonic + 9) % 12, (tonic + 11) % 12} if key.is_minor else set()
    return frozenset({name.pitch_class for name in key.pitch_names} | raised)


def _is_chromatic(score: Score, line: MelodicLine, at: int, chords: _Chords) -> bool:
    found = chords.at(line.starts[at])
    pitch_class = line.pitches[at] % 12
    if found is None or pitch_class in found[1] or pitch_class in chords.in_key(found[0].key):
        return False
    signature = score.measures[line.measures[at]].fifths
    return (7 * pitch_class - signature + 1) % 12 > 6  # places on the line of fifths that the signature leaves out


def _weight(score: Score, line: MelodicLine, at: int) -> int:
    bar = score.measures[line.measures[at]]
    return metric_weight(bar.metre, Fraction(line.starts[at], line.ticks_per_quarter) - bar.start + bar.offset)


def _leads(score: Score, line: MelodicLine, at: int) -> bool:
    length, after = (line.ends[one] - line.starts[one] for one in (at, at + 1))
    return (
        length <= line.ticks_per_quarter
        and length <= after
        and _weight(score, line, at) <= _weight(score, line, at + 1)
    )


def _goes_back(line: MelodicLine, at: int) -> bool:
    """Whether the line comes from the note to which it goes: that makes a neighbour."""
    return at > 0 and line.pitches[at - 1] == line.pitches[at + 1]


def _encloses(score: Score, line: MelodicLine, at: int, chromatic: bool, chords: _Chords) -> bool:
    before, target = at - 1, at + 1
    apart = [line.pitches[one] - line.pitches[target] for one in (before, at)]
    if apart[0] * apart[1] >= 0 or max(map(abs, apart)) > 2 or not line.follows(before, 0):
        return False
    if not chromatic and not (abs(apart[0]) == 1 and _is_chromatic(score, line, before, chords)):
        return False
    lengths = [line.ends[one] - line.starts[one] for one in (before, at, target)]
    weights = [_weight(score, line, one) for one in (before, at, target)]
    return max(lengths[:2]) <= min(lengths[2], line.ticks_per_quarter) and max(weights[:2]) < weights[2]


def _occurrence(score: Score, line: MelodicLine, first: int, last: int, span: HarmonySpan) -> Occurrence:
    names = [score.notes[line.rows[at]].sounding for at in range(first, last + 1)]
    told = "-".join(name.name.rstrip("0123456789-") for name in names if name is not None)
    return Occurrence(
        line.measures[first], line.measures[last], line.rows[first : last + 1], f"{told} over {span.chord.symbol}"
    )
