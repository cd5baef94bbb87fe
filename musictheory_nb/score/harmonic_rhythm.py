"""Harmonic rhythm: how often chords change, measure by measure."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.score import Score


@dataclass(frozen=True, slots=True)
class MeasureRhythm:
    """The chords of one measure.

    Attributes
    ----------
    measure : int
        Index of the measure.
    changes : int
        Chords that begin in it.
    durations : tuple of Fraction
        For how long each chord sounds within it, in quarters; one carried over from before included.
    """

    measure: int
    changes: int
    durations: tuple[Fraction, ...]


def harmonic_rhythm(score: Score, spans: Sequence[HarmonySpan] | None = None) -> tuple[MeasureRhythm, ...]:
    r"""Return the harmonic rhythm of each measure; a chord that only changes its bass is no change.

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
    >>> text = b"X:1\nM:4/4\nL:1/2\nK:C\n[C,EGc]2|[F,FAc][G,DGB]|[C,EGc]2|]\n"
    >>> [(one.changes, [str(length) for length in one.durations]) for one in harmonic_rhythm(load_score(text, cache=False))]
    [(1, ['4']), (2, ['2', '2']), (1, ['4'])]
    """
    joined = _joined(harmony(score) if spans is None else spans)
    found = []
    at = 0
    for measure in score.measures:
        while at < len(joined) and joined[at][1] <= measure.start:
            at += 1
        changes, durations, here = 0, [], at
        while here < len(joined) and joined[here][0] < measure.end:
            start, end = joined[here]
            changes += start >= measure.start
            durations.append(min(end, measure.end) - max(start, measure.start))
            here += 1
        found.append(MeasureRhythm(measure.index, changes, tuple(durations)))
    return tuple(found)


def _joined(spans: Sequence[HarmonySpan]) -> list[tuple[Fraction, Fraction]]:
    """Starts and ends of stretches with one root and the same degrees."""
    found: list[tuple[Fraction, Fraction]] = []
    before: HarmonySpan | None = None
    for span in spans:
        same = before is not None and before.end == span.start
        if (
            same
            and before is not None
            and (before.chord.root, before.chord.degrees) == (span.chord.root, span.chord.degrees)
        ):
            found[-1] = (found[-1][0], span.end)
        else:
            found.append((span.start, span.end))
        before = span
    return found
