"""The cadences of a piece (`cadences`): where phrases come to rest, and by which chords.

A phrase ends under a fermata, before a double or final barline or a repeat sign, where the upper voice falls silent
after a note of a beat or more, and at the end of the piece. Its last two chords make the cadence
(`musictheory_nb.theory.cadence`). Deceptive cadences inside a phrase are not looked for.
"""

import bisect
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.harmony_building import place_of
from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.score import Score
from musictheory_nb.theory.cadence import Cadence, cadence_of
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class FoundCadence:
    """A cadence of a piece.

    Attributes
    ----------
    measure : int
        Index of the measure in which its last chord begins.
    beat : Fraction
        Beat of its last chord, as `Note.beat`.
    start : Fraction
        Quarters from the start of the score to its last chord.
    begins : Fraction
        The same to the chord before, which leads there.
    key : Key
        Local key.
    cadence : Cadence
        Which one, with its numerals and the reason.
    rests_by : str
        What shows the end of the phrase: ``'fermata'``, ``'barline'``, ``'rest'`` or ``'end of the piece'``.
    """

    measure: int
    beat: Fraction
    start: Fraction
    begins: Fraction
    key: Key
    cadence: Cadence
    rests_by: str

    @property
    def name(self) -> str:
        """Name of the cadence: one of `theory.cadence.CADENCES`."""
        return self.cadence.name


def cadences(score: Score, spans: Sequence[HarmonySpan] | None = None) -> tuple[FoundCadence, ...]:
    r"""Return the cadences at the ends of phrases, in order.

    Parameters
    ----------
    score : Score
        The piece, as written.
    spans : sequence of HarmonySpan, optional
        Its harmony, where it is known already.

    Raises
    ------
    ScoreError
        There are neither chord symbols nor pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> text = b"X:1\nM:4/4\nL:1/2\nK:C\n[C,EGc][F,FAc]|[G,DGB][C,EGc]|]\n"
    >>> [(found.measure, found.name) for found in cadences(load_score(text, cache=False))]
    [(1, 'perfect authentic')]
    """
    spans = harmony(score) if spans is None else spans
    found = []
    starts = [span.start for span in spans]
    seen: set[int] = set()
    for place, rests_by in _phrase_ends(score):
        at = bisect.bisect_right(starts, place) - 1
        if at < 1 or (arrival := _arrival(spans, at)) in seen:
            continue  # a chord that goes on, in another position too, closes once
        landing = at
        while landing > arrival and spans[landing - 1].chord == spans[at].chord:
            landing -= 1
        start = spans[landing].start
        measure, _, beat = place_of(score, start)
        if rests_by == "rest" and place - start > score.measures[measure].full_length:
            continue  # the phrase goes on over the chord that closed the one before
        seen.add(arrival)
        if (cadence := _cadence(spans, at)) is not None and cadence.name != "no cadence":
            begins = spans[arrival - 1].start
            found.append(FoundCadence(measure, beat, start, begins, spans[at].key, cadence, rests_by))
    return tuple(sorted(found, key=lambda one: one.start))


def _cadence(spans: Sequence[HarmonySpan], at: int) -> Cadence | None:
    """Cadence of chord `at` and the one before it that differs from it in more than the seventh."""
    last = spans[at]
    before = _arrival(spans, at) - 1
    if before < 0 or last.chord.is_no_chord or spans[before].chord.is_no_chord:
        return None
    first = spans[before + 1] if before + 1 < at else last
    try:
        return cadence_of(
            _plain(spans[before].chord), _plain(first.chord, last.chord), last.key, _tops(spans[before], first)
        )
    except TheoryError:
        return None


def _arrival(spans: Sequence[HarmonySpan], at: int) -> int:
    """Return the first chord of those up to `at` that have its root."""
    while at > 0 and spans[at - 1].chord.root == spans[at].chord.root:
        at -= 1
    return at


def _plain(chord: Chord, last: Chord | None = None) -> Chord:
    """Return the chord; of an arrival on one root, its last form."""
    return chord if last is None or last.root != chord.root else last


def _tops(first: HarmonySpan, second: HarmonySpan) -> tuple[Pitch, Pitch] | None:
    """Highest notes over two chords: the last chord tone over the first, and over the second the one struck with it."""
    tops = []
    for span, is_last in ((first, False), (second, True)):
        pitched = [note for note in span.carried_by if note.sounding is not None]
        if not pitched:
            return None
        if is_last:
            pitched = [note for note in pitched if note.start <= span.start] or pitched
        highest = max(pitched, key=lambda note: note.sounding.midi if note.sounding else 0)
        assert highest.sounding is not None
        tops.append(highest.sounding)
    return tops[0], tops[1]


def _phrase_ends(score: Score) -> list[tuple[Fraction, str]]:
    """Places at which the last note of a phrase sounds, and what shows it."""
    notes = score.joined_notes.of_kind("note")
    notes = notes.where(notes.column("grace") == 0)
    if not len(notes):
        return []
    unit = notes.ticks_per_quarter
    starts, part = notes.column("start"), notes.column("part")
    found = dict.fromkeys(starts[notes.column("fermata") > 0].tolist(), "fermata")
    line = notes.where(part == part.min())
    begins, durations = line.column("start"), line.column("duration")
    struck = np.unique(begins).tolist()
    for measure in score.measures:
        if measure.repeat_end or measure.barline in ("double", "final", "heavy"):
            at = bisect.bisect_left(struck, measure.end * unit) - 1
            if at >= 0:
                found.setdefault(struck[at], "barline")
    reach = np.maximum.accumulate(begins + durations)
    for tick in begins[:-1][(begins[1:] > reach[:-1]) & (durations[:-1] >= unit)].tolist():
        found.setdefault(tick, "rest")
    found.setdefault(int(starts.max()), "end of the piece")
    return [(Fraction(tick, unit), shown_by) for tick, shown_by in sorted(found.items())]
