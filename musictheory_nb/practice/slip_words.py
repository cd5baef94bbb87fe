"""Slips of a dictation in words: measure by measure, what was asked for and what was written."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, Slip
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.metric_cut import metric_pieces
from musictheory_nb.practice.place_words import beat_at
from musictheory_nb.practice.written_duration import WrittenDuration, single_values, written_value


def length_words(quarters: Fraction, is_rest: bool = False, pieces: Sequence[Fraction] = ()) -> str:
    """Return a length as written: a note, or several tied; by its metre with the `pieces` of `metric_pieces`.

    Examples
    --------
    >>> length_words(Fraction(3, 2)), length_words(Fraction(5, 2)), length_words(Fraction(1), is_rest=True)
    ('dotted quarter note', 'half note tied to an eighth note', 'quarter rest')
    >>> length_words(Fraction(1, 3))
    'eighth note of a triplet'
    """
    values = [value for value in map(written_value, pieces or single_values(quarters)) if value is not None]
    if is_rest:
        return " and ".join(f"{_plain(value)} rest{_of(value)}" for value in values)
    first, *others = [f"{_plain(value)} note{_of(value)}" for value in values]
    return " tied to ".join([first, *(_with_article(other) for other in others)])


def _plain(value: WrittenDuration) -> str:
    return WrittenDuration(value.head, value.dots).words


def _of(value: WrittenDuration) -> str:
    return f" of a {value.words.split()[-1]}" if value.tuplet > 1 else ""


def _with_article(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


@dataclass(frozen=True, slots=True)
class Barring:
    """The measures of a dictated line.

    Parameters
    ----------
    metre : str
        Such as ``'6/8'``.
    measures : int
        How many full ones.
    pickup : Fraction
        Quarters before the first of them.
    first : int
        Number of the first full measure.
    grouping : tuple of int
        Of an odd metre.
    """

    metre: str
    measures: int
    pickup: Fraction = Fraction(0)
    first: int = 1
    grouping: tuple[int, ...] = ()

    def place(self, onset: Fraction) -> tuple[int, Fraction]:
        """Return measure (an index from 0 among full ones; -1 is the pickup) and quarters from where it begins.

        Examples
        --------
        >>> Barring("3/4", 4).place(Fraction(7, 2))
        (1, Fraction(1, 2))
        """
        full = measure_quarters(self.metre)
        measure, inside = divmod(onset - self.pickup, full)
        return min(int(measure), self.measures - 1), inside

    def beat(self, onset: Fraction) -> str:
        """Return the beat of its measure, in words."""
        return beat_at(self.place(onset)[1], self.metre)

    def length(self, note: LineNote) -> str:
        """Return the length of a note as its metre has it written, in words.

        Examples
        --------
        >>> Barring("6/8", 1).length(LineNote("C4", Fraction(5, 2)))
        'dotted quarter note tied to a quarter note'
        """
        is_rest = not note.pitch
        pieces = metric_pieces(note.onset, note.quarters, self.metre, self.grouping, self.pickup, is_rest)
        return length_words(note.quarters, is_rest, pieces)


def measure_of(slip: Slip, barring: Barring) -> int:
    """Return the index of the measure where a slip is."""
    note = slip.right or slip.given
    assert note is not None
    return barring.place(note.onset)[0]


def slip_words(slip: Slip, barring: Barring, shown: Callable[[str], str] | None) -> str:
    """Return one slip in words.

    Parameters
    ----------
    slip : Slip
        The slip.
    barring : Barring
        The measures.
    shown : callable or None
        How a pitch is shown; None where only the rhythm counts.

    Examples
    --------
    >>> quarter = LineNote("D4", Fraction(1), Fraction(2))
    >>> slip_words(Slip("missed", quarter, None, 1.0), Barring("4/4", 1), str)
    'D4 at beat 3 is missing'
    >>> slip_words(Slip("length", quarter, LineNote("D4", Fraction(1, 2)), 1.0), Barring("4/4", 1), None)
    'at beat 3 there is a quarter note, not an eighth note'
    """
    right, given = slip.right, slip.given
    if right is None:
        assert given is not None
        return f"{_called(given, shown)} at {barring.beat(given.onset)} is one too many"
    beat = barring.beat(right.onset)
    if given is None:
        return f"{_called(right, shown)} at {beat} is missing"
    if slip.kind == "moved":
        early = "late" if given.onset > right.onset else "early"
        return f"{_called(right, shown)} comes at {beat}; yours comes too {early}"
    if slip.kind == "length":
        answered = _with_article(length_words(given.quarters, not given.pitch))
        return f"at {beat} there is {_with_article(barring.length(right))}, not {answered}"
    if slip.kind == "spelling":
        return f"the sound at {beat} is right, but it is spelled {_called(right, shown)}, not {_called(given, shown)}"
    return f"at {beat} it is {_called(right, shown)}, not {_called(given, shown)}"


def _called(note: LineNote, shown: Callable[[str], str] | None) -> str:
    if not note.pitch:
        return "a rest"
    return "a note" if shown is None else shown(note.pitch)


def measure_comments(
    alignment: Alignment,
    barring: Barring,
    shown: Callable[[str], str] | None = None,
    words_of: Callable[[Slip, Barring, Callable[[str], str] | None], str] = slip_words,
) -> str:
    """Return a sentence for each measure: that it is right, or its slips, told by `words_of`.

    Examples
    --------
    >>> slip = Slip("missed", LineNote("D4", Fraction(1), Fraction(6)), None, 1.0)
    >>> measure_comments(Alignment((), (slip,), 1.0), Barring("4/4", 2), str)
    'Measure 1 is right. Measure 2: D4 at beat 3 is missing.'
    """
    found: dict[int, list[str]] = {at: [] for at in range(-1 if barring.pickup else 0, barring.measures)}
    for slip in alignment.slips:
        found[measure_of(slip, barring)].append(words_of(slip, barring, shown))
    told = []
    for at, slips in found.items():
        name = f"Measure {at + barring.first}" if at >= 0 else "The pickup"
        told.append(f"{name}: {'; '.join(slips)}." if slips else f"{name} is right.")
    return " ".join(told)


def slips_counted(cost: float, notes: int, one: str = "note and rest", many: str = "notes and rests") -> str:
    """Return how many slips there are among how many notes.

    Examples
    --------
    >>> slips_counted(1.0, 9), slips_counted(2.5, 30)
    ('One slip in nine notes and rests', '2.5 slips in 30 notes and rests')
    """
    slips = counted(int(cost), "slip") if cost == int(cost) else f"{cost:.3g} slips"
    told = f"{slips} in {counted(notes, one, many)}"
    return told[:1].upper() + told[1:]
