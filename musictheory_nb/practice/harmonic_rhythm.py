"""How long the chords of a progression last: one or two in a measure, drawn by rule."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.four_part_excerpt import Column
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.metric_cut import metric_pieces
from musictheory_nb.practice.rhythm_figure import beats_of


@dataclass(frozen=True, slots=True)
class TimedChord:
    """Where a chord begins, in quarters from the beginning, and how long it lasts."""

    onset: Fraction
    quarters: Fraction


@lru_cache(maxsize=64)
def shared_beats(metre: str, count: int) -> tuple[Fraction, ...]:
    """Return how long each of `count` chords of a measure lasts: as many beats each, the first ones one more.

    Examples
    --------
    >>> [[str(one) for one in shared_beats(metre, 2)] for metre in ("4/4", "3/4", "6/8")]
    [['2', '2'], ['2', '1'], ['3/2', '3/2']]
    """
    beats = [beat.quarters for beat in beats_of(metre)]
    if count > len(beats):
        return (measure_quarters(metre) / count,) * count
    each, more = divmod(len(beats), count)
    sizes = [each + (at < more) for at in range(count)]
    starts = [sum(sizes[:at]) for at in range(count)]
    return tuple(sum(beats[at : at + size], Fraction(0)) for at, size in zip(starts, sizes, strict=True))


def drawn_harmonic_rhythm(draw: Draw, metre: str, figures: Sequence[str]) -> tuple[TimedChord, ...]:
    """Return the times of chords: the last has a measure of its own, a cadential six-four begins one.

    Examples
    --------
    >>> times = drawn_harmonic_rhythm(Draw("demo", "first", 1, 7, 0), "4/4", ["I", "IV", "V", "I"])
    >>> times[0].onset, times[-1].quarters
    (Fraction(0, 1), Fraction(4, 1))
    """
    full, at = measure_quarters(metre), 0
    found: list[TimedChord] = []
    while at < len(figures):
        left = len(figures) - 1 - at
        two = left >= 2 and figures[at + 1] != "Cad64" and (figures[at] == "Cad64" or draw.integer(2) == 0)
        start = Fraction(0) if not found else found[-1].onset + found[-1].quarters
        for quarters in shared_beats(metre, 2 if two else 1):
            found.append(TimedChord(start, quarters))
            start += quarters
        at += 2 if two else 1
    assert found[-1].quarters == full
    return tuple(found)


def timed_four_parts(
    columns: Sequence[Column],
    times: Sequence[TimedChord],
    metre: str,
    fifths: int,
    timbre: str,
    tempo: Fraction,
    texts: Sequence[str] = (),
) -> Excerpt:
    """Return chords for four voices on a braced pair of staves, each as long as it lasts.

    Examples
    --------
    >>> one = timed_four_parts([("C5", "G4", "E4", "C3")], [TimedChord(Fraction(0), Fraction(9, 2))], "9/8", 0, "struck",
    ...     Fraction(90))
    >>> [(note.pitches[0], str(note.duration), note.tie) for note in one.notes][:2]
    [('C5', '3', 'start'), ('C5', '3/2', 'stop')]
    """
    full = measure_quarters(metre)
    parts = (ExcerptPart("", "treble", group=1, timbre=timbre), ExcerptPart("", "bass", group=1, timbre=timbre))
    count = int((times[-1].onset + times[-1].quarters) / full)
    notes = []
    for chord, time in zip(columns, times, strict=True):
        pieces = metric_pieces(time.onset, time.quarters, metre)
        for voice, pitch in enumerate(chord):
            at = time.onset
            for number, piece in enumerate(pieces):
                ends = number == len(pieces) - 1
                tie = "" if len(pieces) == 1 else "start" if not number else "stop" if ends else "continue"
                notes.append(ExcerptNote(voice // 2, int(at // full), at % full, piece, (pitch,), voice % 2 + 1, tie))
                at += piece
    names = tuple(
        ExcerptChord(int(time.onset // full), time.onset % full, text)
        for time, text in zip(times, texts, strict=False)
        if text
    )
    measures = tuple(ExcerptMeasure(str(at + 1), full, metre, fifths) for at in range(count))
    return Excerpt(parts, measures, tuple(notes), names, tempo=tempo)
