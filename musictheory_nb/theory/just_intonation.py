"""Just (small whole-number) frequency ratios of the simple intervals, as handbooks of tuning list them.

Each row: quality and number, ratio, which tuning it belongs to. The first row of an interval is its usual ratio in
5-limit just intonation; the others are also in use. Intervals that no list agrees on have no row.
Sources: the 5-limit ratios follow from the just major scale 1, 9/8, 5/4, 4/3, 3/2, 5/3, 15/8, 2 and its inversions
(Zarlino; from memory); the others are named by their tuning.
"""

from fractions import Fraction
from typing import Final

#: Interval, ratio, tuning.
JUST_RATIOS: Final[tuple[tuple[str, Fraction, str], ...]] = (
    ("P1", Fraction(1, 1), "every tuning"),
    ("A1", Fraction(25, 24), "5-limit: M3 less m3"),
    ("m2", Fraction(16, 15), "5-limit"),
    ("m2", Fraction(256, 243), "Pythagorean"),
    ("M2", Fraction(9, 8), "5-limit (major tone) and Pythagorean"),
    ("M2", Fraction(10, 9), "5-limit (minor tone)"),
    ("A2", Fraction(75, 64), "5-limit"),
    ("m3", Fraction(6, 5), "5-limit"),
    ("m3", Fraction(32, 27), "Pythagorean"),
    ("M3", Fraction(5, 4), "5-limit"),
    ("M3", Fraction(81, 64), "Pythagorean"),
    ("d4", Fraction(32, 25), "5-limit"),
    ("P4", Fraction(4, 3), "every just tuning"),
    ("A4", Fraction(45, 32), "5-limit"),
    ("A4", Fraction(729, 512), "Pythagorean"),
    ("A4", Fraction(7, 5), "septimal"),
    ("d5", Fraction(64, 45), "5-limit"),
    ("d5", Fraction(1024, 729), "Pythagorean"),
    ("d5", Fraction(10, 7), "septimal"),
    ("P5", Fraction(3, 2), "every just tuning"),
    ("A5", Fraction(25, 16), "5-limit"),
    ("m6", Fraction(8, 5), "5-limit"),
    ("m6", Fraction(128, 81), "Pythagorean"),
    ("M6", Fraction(5, 3), "5-limit"),
    ("M6", Fraction(27, 16), "Pythagorean"),
    ("d7", Fraction(128, 75), "5-limit"),
    ("m7", Fraction(9, 5), "5-limit"),
    ("m7", Fraction(16, 9), "Pythagorean"),
    ("m7", Fraction(7, 4), "septimal"),
    ("M7", Fraction(15, 8), "5-limit"),
    ("M7", Fraction(243, 128), "Pythagorean"),
    ("d8", Fraction(48, 25), "5-limit"),
    ("P8", Fraction(2, 1), "every just tuning"),
)


def just_ratios(simple_name: str) -> tuple[tuple[Fraction, str], ...]:
    """Ratios of a simple ascending interval, its usual one first, each with its tuning; empty where none is standard.

    Examples
    --------
    >>> just_ratios("M2")
    ((Fraction(9, 8), '5-limit (major tone) and Pythagorean'), (Fraction(10, 9), '5-limit (minor tone)'))
    >>> just_ratios("AA4")
    ()
    """
    return tuple((ratio, tuning) for name, ratio, tuning in JUST_RATIOS if name == simple_name)
