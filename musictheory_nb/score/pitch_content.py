"""Which pitch classes sound in each measure, and which note is the lowest (`pitch_content`)."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.score import Score


@dataclass(frozen=True, eq=False)
class PitchContent:
    """What sounds, measure by measure; notes tied on from before count too, grace notes do not.

    Parameters
    ----------
    amounts : array, measures by pitch classes
        Quarters for which each pitch class sounds, all parts together.
    masks : array
        Pitch classes of each measure as bits: 1 for C, 2 for C#.
    first_bass, last_bass : array
        Pitch class of the lowest note of the first and of the last attack of each measure; -1 for none.
    struck : array
        Notes struck in each measure.
    """

    amounts: npt.NDArray[np.float64]
    masks: npt.NDArray[np.int64]
    first_bass: npt.NDArray[np.int64]
    last_bass: npt.NDArray[np.int64]
    struck: npt.NDArray[np.int64]


def pitch_content(score: Score) -> PitchContent:
    r"""Return what sounds in each measure of a score.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> content = pitch_content(load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nC[DG]|z2|\n", cache=False))
    >>> content.masks.tolist(), content.last_bass.tolist(), content.amounts.sum(), content.struck.tolist()
    ([133, 0], [2, -1], np.float64(3.0), [3, 0])
    """
    table = score.notes
    table = table.where((table.column("step") >= 0) & (table.column("grace") == 0) & (table.column("duration") > 0))
    count = len(score.measures)
    measure, pitch = table.column("measure"), table.chromatic
    amounts = np.zeros((count, 12))
    np.add.at(amounts, (measure, pitch % 12), table.column("duration") / table.ticks_per_quarter)
    struck = np.bincount(measure[(table.column("tie") & 2) == 0], minlength=count)
    bass = []
    for order in (table.column("start"), -table.column("start")):
        lowest = np.full(count, -1, dtype=np.int64)
        # Written in reverse, so that what comes first in the order stays: by measure, time, pitch.
        at = np.lexsort((pitch, order, measure))[::-1]
        lowest[measure[at]] = pitch[at] % 12
        bass.append(lowest)
    masks: npt.NDArray[np.int64] = ((amounts > 0) * (1 << np.arange(12))).sum(axis=1)
    return PitchContent(amounts, masks, bass[0], bass[1], struck)


def rotated(mask: int, tonic: int) -> int:
    """Return a set of semitones above a tonic, as bits, as a set of pitch classes.

    Examples
    --------
    >>> bin(rotated(0b10010001, 7))
    '0b100010000100'
    """
    return (mask << tonic | mask >> (12 - tonic)) & 0xFFF
