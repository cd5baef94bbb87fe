"""The mode of a whole piece or section where it is neither plain major nor plain minor (`modes_of_passages`).

Conventions: a passage is in a mode if at least `_SHARE` of what sounds belongs to its scale, every note of the scale but
one at most appears, what tells the mode from major and minor appears, and its tonic is home: it is the lowest note at
the end, and it is the lowest note at the beginning or sounds longest among the lowest notes. A whole piece must
pass this, and its local key have the same tonic unless all three signs agree; and of sections those of eight bars or more, where all three signs must agree and the local key has the same
tonic: else a dominant that stays would look like a mode. Where the title or words of the score name a mode, its notes
alone have to agree, in the section that begins there and in those behind it, up to a final barline, that have the same key
signature. Source: common practice, no source; the shares are ours.
"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.form_section import Form
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.note_row import rows_in
from musictheory_nb.score.pitch_content import PitchContent, rotated
from musictheory_nb.score.score import Score
from musictheory_nb.score.spelled_tonic import spelled_scale
from musictheory_nb.theory.scale_catalogue import scale_type

#: Mode -> semitones above the tonic that must appear.
MODES: Final = MappingProxyType(
    {
        "Dorian": (3, 9, 10),
        "Phrygian": (1, 3),
        "Lydian": (4, 6),
        "Mixolydian": (4, 10),
        "Phrygian dominant": (1, 4, 8),
        "Lydian dominant": (4, 6, 10),
        "Mixolydian b6": (4, 8, 10),
        "Dorian #4": (3, 6, 9),
        "double harmonic": (1, 4, 8, 11),
    }
)
#: A mode as titles and headings name it in English, German, French and Italian.
_NAMED: Final = MappingProxyType(
    {
        "Dorian": r"\bdori(an|sche?|schen|en|co|ca|o)\b",
        "Phrygian": r"\b(phry|fri)g(ian|ische?|ischen|ien|io|ia)\b",
        "Lydian": r"\bl[yi]d(ian|ische?|ischen|ien|io|ico|ia)\b",
        "Mixolydian": r"\bmi[xs]ol[yi]d(ian|ische?|ischen|ien|io|ia)\b",
    }
)
_SHARE: Final = 0.97
_LEAST_BARS: Final = 8
_LEAST_STRUCK: Final = 12


@dataclass(frozen=True, slots=True)
class _Home:
    """How a passage begins and ends: pitch classes of its first and last lowest notes, and of the longest one."""

    first: int
    last: int
    longest: int


def modes_of_passages(score: Score, form: Form, content: PitchContent, spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return the mode of the piece, or else of its sections."""
    whole = (0, len(score.measures) - 1)
    found = _mode(content, whole, needed=3)
    if found is None:
        found = _mode(content, whole, needed=2)
        if found is not None and not _key_agrees(score, spans, whole, found[0]):
            found = None  # it rests on its dominant at the end
    if found is not None:
        return [_told(score, whole, found, "the piece")]
    findings = _named_modes(score, form, content)
    seen = {(one.first, one.last) for one in findings}
    for section in form.sections:
        at = _written(score, section.first, section.last)
        if at in seen or at[1] - at[0] + 1 < _LEAST_BARS:
            continue
        seen.add(at)
        if (found := _mode(content, at, needed=3)) is not None and _key_agrees(score, spans, at, found[0]):
            findings.append(_told(score, at, found, f"section {section.label}" if section.label else "the passage"))
    return findings


def _named_modes(score: Score, form: Form, content: PitchContent) -> list[Finding]:
    """Return the sections whose mode the score names, from the one at the words on."""
    texts = [(word.measure, word.text) for word in score.words]
    texts += [(0, score.title), *((mark.measure, mark.text) for mark in score.tempos)]
    named = {at: kind for at, text in texts for kind, words in _NAMED.items() if re.search(words, text.casefold())}
    places = {(_written(score, section.first, section.last), section.last - section.first) for section in form.sections}
    spans = sorted(at for at, more in places if at[1] - at[0] == more)
    findings: list[Finding] = []
    for at, kind in sorted(named.items()):
        tonic = None
        for first, last in spans:
            if last < at:
                continue
            found = _kept(content, (first, last), kind, tonic)
            if tonic is None and found is None:
                break
            if found is not None and (tonic is None or _signature(score, first) == _signature(score, at)):
                tonic = found[0]
                what = f"the passage, which the score calls {kind}," if not findings else "the passage, as before,"
                findings.append(_told(score, (first, last), found, what))
            if score.measures[last].barline == "final":
                break
    return findings


def _written(score: Score, first: int, last: int) -> tuple[int, int]:
    order = score.play_order[first : last + 1]
    return min(order), max(order)


def _signature(score: Score, at: int) -> int:
    found = score.key_signature_at(score.measures[at].start)
    return found.fifths if found is not None else 0


def _kept(content: PitchContent, at: tuple[int, int], kind: str, tonic: int | None) -> tuple[int, str, float] | None:
    """Return tonic, mode and share of a passage that keeps to a mode, on this tonic or on the one that fits best."""
    amounts = content.amounts[at[0] : at[1] + 1].sum(axis=0)
    total = float(amounts.sum())
    if not total or int(content.struck[at[0] : at[1] + 1].sum()) < _LEAST_STRUCK:
        return None
    shares = {
        one: sum(float(amounts[(one + step) % 12]) for step in scale_type(kind).semitones) / total
        for one in (range(12) if tonic is None else (tonic,))
    }
    best = max(shares, key=lambda one: shares[one])
    heard = all(amounts[(best + mark) % 12] > 0 for mark in MODES[kind])
    return (best, kind, shares[best]) if shares[best] >= _SHARE and heard else None


def _key_agrees(score: Score, spans: Sequence[HarmonySpan], at: tuple[int, int], tonic: int) -> bool:
    """Whether the local key has this tonic for half of the passage or more."""
    start, end = score.measures[at[0]].start, score.measures[at[1]].end
    first = bisect_right(spans, start, key=lambda span: span.end)
    total = Fraction(0)
    for span in spans[first:]:
        if span.start >= end:
            break
        if span.key.tonic.pitch_class == tonic:
            total += min(span.end, end) - max(span.start, start)
    return 2 * total >= end - start


def _home(content: PitchContent, at: tuple[int, int]) -> _Home | None:
    here = slice(at[0], at[1] + 1)
    first, last = content.first_bass[here], content.last_bass[here]
    if not (first >= 0).any():
        return None
    lows = np.concatenate([first[first >= 0], last[last >= 0]])
    return _Home(int(first[first >= 0][0]), int(last[last >= 0][-1]), int(np.bincount(lows, minlength=12).argmax()))


def _mode(content: PitchContent, at: tuple[int, int], needed: int) -> tuple[int, str, float] | None:
    """Return tonic, mode and share of a passage, None where it has none that is worth telling."""
    here = slice(at[0], at[1] + 1)
    home = _home(content, at)
    if home is None or int(content.struck[here].sum()) < _LEAST_STRUCK:
        return None
    tonic = home.last
    if 1 + (home.first == tonic) + (home.longest == tonic) < needed:
        return None
    amounts = content.amounts[here].sum(axis=0)
    total = float(amounts.sum())
    used = {int(one) for one in np.nonzero(amounts > 0)[0]}
    best: tuple[int, str, float] | None = None
    for kind, marks in MODES.items():
        scale = {(tonic + semitone) % 12 for semitone in scale_type(kind).semitones}
        share = float(amounts[sorted(scale)].sum()) / total
        if share < _SHARE or len(scale - used) > 1 or any((tonic + mark) % 12 not in used for mark in marks):
            continue
        if best is None or share > best[2]:
            best = (tonic, kind, share)
    return None if best is None or _is_plain(amounts, best) else best


def _is_plain(amounts: np.ndarray[tuple[int], np.dtype[np.float64]], found: tuple[int, str, float]) -> bool:
    """Whether plain major or minor on the tonic explains as much."""
    total = float(amounts.sum())
    for kind in ("Ionian", "Aeolian", "harmonic minor", "melodic minor"):
        mask = rotated(scale_type(kind).mask, found[0])
        share = float(sum(amounts[one] for one in range(12) if mask >> one & 1)) / total
        if share >= found[2]:
            return True
    return False


def _told(score: Score, at: tuple[int, int], found: tuple[int, str, float], what: str) -> Finding:
    tonic, kind, share = found
    rows = rows_in(score, *at)
    scale = spelled_scale(score, rows, tonic, kind)
    parts: Sequence[int] = tuple(sorted({score.notes[row].part for row in rows}))
    details: dict[str, JSON] = {"scale": scale.name, "kind": kind, "share": round(share, 3)}
    told = f"{what} is in {scale.name}"
    sure = 0.9 if share == 1 else 0.8
    return finding(score, "scale in use", at, told, sure, parts=parts, notes=rows, details=details)
