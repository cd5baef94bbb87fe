"""Harmony as findings: pairs of chords, cadences, changes of key, each with its notes (`harmony_devices`).

What counts as each is stated by `chord_pair` and `cadence_finding`. Implied chords count only where they are sure enough,
and more so for what is rare in them: a substitute or a half-step pair that nobody wrote down must be clear.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.cadence_finding import cadences
from musictheory_nb.score.chord_pair import ChordPair, chord_pairs
from musictheory_nb.score.finding import FINDING_KINDS, JSON, Finding, finding
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.key_finding import find_key
from musictheory_nb.score.note_row import rows_sounding
from musictheory_nb.score.occurrence import Occurrence, all_rows, gathered
from musictheory_nb.score.score import Score

#: Least confidence of implied chords, by what they make; of all else `_SURE`.
_LEAST: Final = MappingProxyType(
    {"half-step pair": 0.85, "tritone substitute": 0.85, "backdoor dominant": 0.85, "augmented sixth": 0.75}
)
_SURE: Final = 0.7
#: Least fit of the notes to the key of the piece: below, functions of implied chords are a coincidence.
_FIT: Final = 0.55
#: Least length of a key that is told, in quarters, and least number of its chords.
_KEY_QUARTERS: Final = 16
_KEY_CHORDS: Final = 5


def harmony_devices(score: Score, spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return what the chords do: pairs, cadences, and changes of key."""
    if not _is_in_a_key(score, spans):
        spans = [span for span in spans if span.origin == "written"]
    found = [*_pairs(score, chord_pairs(spans)), *_cadences(score, spans), *_keys(score, spans)]
    return sorted(found, key=lambda one: (one.first, one.last))


def _is_in_a_key(score: Score, spans: Sequence[HarmonySpan]) -> bool:
    """Whether chords that nobody wrote down can mean something: the notes fit some key."""
    if all(span.origin == "written" for span in spans):
        return True
    try:
        return find_key(score).fit >= _FIT
    except ScoreError:
        return True


def _rows(score: Score, spans: Iterable[HarmonySpan]) -> tuple[int, ...]:
    return tuple(row for span in spans for row in rows_sounding(score, span.start, span.end))


def _pairs(score: Score, pairs: Sequence[ChordPair]) -> list[Finding]:
    by_name: dict[str, dict[Occurrence, ChordPair]] = {}
    for pair in pairs:
        implied = any(span.origin == "implied" for span in pair.spans)
        if pair.name == "pedal point" and implied:
            continue  # the notes tell it better
        if implied and pair.confidence < _LEAST.get(pair.name, _SURE):
            continue
        one = Occurrence(*pair.measures, _rows(score, pair.spans), pair.sentence)
        by_name.setdefault(pair.name, {})[one] = pair
    found = []
    for name, its in by_name.items():
        near = 1 if name == "secondary dominant" else 0
        for group in gathered(its, near):
            texts = list(dict.fromkeys(one.told for one in group))
            chords: list[JSON] = [[span.chord.symbol for span in its[one].spans] for one in group]
            at = (group[0].first, max(one.last for one in group))
            sure = sum(its[one].confidence for one in group) / len(group)
            found.append(
                finding(
                    score, name, at, "; ".join(texts), sure * 0.95, notes=all_rows(group), details={"chords": chords}
                )
            )
    return found


def _cadences(score: Score, spans: Sequence[HarmonySpan]) -> list[Finding]:
    found = []
    at_start = {span.start: at for at, span in enumerate(spans)}
    for one in cadences(score, spans):
        at = at_start[one.start]
        name = f"{one.name} cadence"
        figures = [numeral.figure for numeral in one.cadence.numerals]
        if name not in FINDING_KINDS or figures[1].endswith("64"):
            continue  # a six-four chord is no rest
        two = [spans[at_start[one.begins]], spans[at]]
        sure = min(span.confidence for span in two) * (0.7 if one.rests_by == "rest" else 1.0)
        rests = {"fermata": " under a fermata", "barline": " at a barline", "rest": " before a rest"}
        told = f"{name} in {one.key.name}, {'-'.join(figures)}{rests.get(one.rests_by, '')}"
        details: dict[str, JSON] = {"cadence": one.name, "key": one.key.name, "numerals": list(figures)}
        measures = (two[0].measure, one.measure)
        found.append(finding(score, name, measures, told, 0.95 * sure**0.5, notes=_rows(score, two), details=details))
    return found


def _keys(score: Score, spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return where the key changes, passing keys left out."""
    runs: list[list[HarmonySpan]] = []
    for span in spans:
        if runs and runs[-1][-1].key == span.key:
            runs[-1].append(span)
        else:
            runs.append([span])
    lasting = [
        run
        for run in runs
        if run[-1].end - run[0].start >= _KEY_QUARTERS and len(run) >= _KEY_CHORDS and _mean(run) >= _SURE
    ]
    found = []
    for before, now in pairwise(lasting):
        if before[0].key == now[0].key:
            continue
        at = now[0].measure
        told = f"the music moves from {before[0].key.name} to {now[0].key.name}"
        details: dict[str, JSON] = {"from": before[0].key.name, "to": now[0].key.name}
        notes = _rows(score, now[:3])
        last = now[min(2, len(now) - 1)].measure
        found.append(finding(score, "change of key", (at, last), told, 0.85 * _mean(now), notes=notes, details=details))
    return found


def _mean(spans: Sequence[HarmonySpan]) -> float:
    return sum(span.confidence for span in spans) / len(spans)
