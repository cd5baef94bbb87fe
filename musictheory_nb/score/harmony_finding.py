"""The harmony of a piece: its chord symbols where it has them, else the chords that its notes imply (`harmony`)."""

from collections.abc import Sequence
from fractions import Fraction

from musictheory_nb.score.harmony_building import cut_span, has_notes
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.implied_harmony import implied_harmony
from musictheory_nb.score.score import Score
from musictheory_nb.score.written_harmony import in_local_keys, written_harmony


def harmony(score: Score, written: bool = True) -> tuple[HarmonySpan, ...]:
    r"""Return the chords of a piece, each with its local key, Roman numeral, and the notes for and against it.

    Parameters
    ----------
    score : Score
        The piece, as written; of `Score.played()` as it is played.
    written : bool
        Take the score's chord symbols where it has them; the rest is implied. With False all is implied by the notes.

    Raises
    ------
    ScoreError
        There are neither chord symbols that can be read nor pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b'X:1\nM:4/4\nL:1/4\nK:C\n[CEGc]4|[B,DFG]4|"Am"[A,EAc]4|]\n', cache=False)
    >>> [(span.measure, span.chord.symbol, span.numeral.figure, span.origin) for span in harmony(tune)]
    [(0, 'C', 'I', 'implied'), (1, 'G7/B', 'V65', 'implied'), (2, 'Am', 'vi', 'written')]
    """
    from_symbols = written_harmony(score) if written else ()
    if not from_symbols:
        return implied_harmony(score)
    gaps = _gaps(from_symbols, score)
    if not gaps or not has_notes(score):
        return from_symbols
    implied = implied_harmony(score)
    found = [*from_symbols]
    for start, end in gaps:
        found += [cut_span(score, span, start, end) for span in implied if span.start < end and span.end > start]
    return in_local_keys(sorted(found, key=lambda span: span.start))


def _gaps(spans: Sequence[HarmonySpan], score: Score) -> list[tuple[Fraction, Fraction]]:
    """Stretches of the piece, as starts and ends, that no span covers."""
    found = []
    at = Fraction(0)
    for span in spans:
        if span.start > at:
            found.append((at, span.start))
        at = max(at, span.end)
    if score.length > at:
        found.append((at, score.length))
    return found
