"""Parts written for an instrument by its name: ``tenor saxophone``, ``B♭ clarinet``, ``horn in F`` (`part_for`).

How an instrument is written, and in which clef, the table of `instrument.instrument` says; the score itself knows keys and
intervals only (`score.transposed_part`).
"""

from dataclasses import dataclass

from musictheory_nb.errors import AmbiguousError, InstrumentError, MusicTheoryError, ScoreError
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.score.score import Score
from musictheory_nb.score.transposed_part import KEYS, transposed
from musictheory_nb.theory.interval import Interval


@dataclass(frozen=True, slots=True)
class PartKind:
    """How a part is written: by a key or interval, for a named instrument in its usual clef, or only by the former."""

    written_by: str
    name: str = ""
    clef: str = ""


def part_kind(text: str) -> PartKind:
    """Return how a part is written for an instrument, given as players name it.

    Parameters
    ----------
    text : str
        Name of the instrument; its key (``'Bb'``); or the interval from written to sounding pitch (``'-M9'``).

    Raises
    ------
    ScoreError
        It is none of these, or several instruments have that name.

    Examples
    --------
    >>> part_kind("tenor sax"), part_kind("B♭")
    (PartKind(written_by='-M9', name='tenor saxophone', clef='treble'), PartKind(written_by='Bb', name='', clef=''))
    >>> part_kind("tenor saxofone")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: instrument 'tenor saxofone': is not in the table; did you mean 'tenor ...
    """
    plain = text.strip().replace("♭", "b").replace("♯", "#")
    if plain in KEYS:
        return PartKind(plain)
    try:
        return PartKind(str(Interval(plain)))
    except MusicTheoryError:
        pass
    try:
        instrument = Instrument(text)
    except AmbiguousError as error:
        raise ScoreError(str(error)) from None
    except InstrumentError as error:
        keys = ", ".join(KEYS)
        raise ScoreError(
            f"{error}; or write its key, one of {keys}, or the interval from written to sounding pitch: '-M9'"
        ) from None
    clef = instrument.clef if instrument.family != "keyboard" else ""
    return PartKind(str(instrument.transposition), instrument.name, clef)


def part_for(score: Score, part: str | int | None, instrument: str) -> Score:
    r"""Return one part of a score, or all of it, written for an instrument.

    Parameters
    ----------
    part : str, int or None
        Name or index of the part, which then stands alone; None for all parts.
    instrument : str
        As `part_kind` reads it.

    Raises
    ------
    ScoreError
        No such part or instrument.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCD|E2|\n", cache=False)
    >>> bass = part_for(tune, 0, "double bass")
    >>> bass.parts[0].name, bass.clefs[0].name, [note.written.name for note in bass.notes]
    ('double bass', 'bass', ['C5', 'D5', 'E5'])
    """
    kind = part_kind(instrument)
    if part is not None:
        return transposed(score, part, kind.written_by, name=kind.name, clef=kind.clef)
    for one in score.parts:
        name = f"{one.name}, {kind.name}" if kind.name and len(score.parts) > 1 else kind.name
        score = transposed(score, one.index, kind.written_by, only=False, name=name, clef=kind.clef)
    return score
