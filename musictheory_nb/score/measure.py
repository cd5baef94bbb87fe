"""One measure of a score: its number as players count it, length, metre, key, barlines and repeat signs."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

#: What closes a measure, as printed: MusicXML's bar-style values that change what players see.
BARLINES: Final = ("regular", "double", "final", "heavy", "dashed", "none")


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure, as written.

    Parameters
    ----------
    index : int
        Place among the score's measures, from 0.
    number : str
        As players count it: ``'0'`` for a pickup, the first full bar ``'1'``; both halves of a bar that a repeat
        sign or double bar splits have the same number.
    printed : str
        As the file numbers it.
    start : Fraction
        Quarters from the start of the score.
    length : Fraction
        Quarters, as it really is: a pickup is short.
    metre : str
        ``'3/4'``; ``''`` where the music has none.
    full_length : Fraction
        Quarters that the metre asks for; `length` where there is no metre.
    offset : Fraction
        Quarters of the full bar that come before it: 2 for a pickup of one quarter in 3/4.
    fifths : int
        Sounding key signature at its start: sharps above 0, flats below.
    is_pickup, continues : bool
        A short bar at the start of the piece; the second half of a split bar.
    repeat_start, repeat_end : bool
        Repeat signs at its left and right.
    times : int
        How often the repeated passage that ends here is played; 2 unless the score says otherwise.
    ending : tuple of int
        Passes for which the bracket above it stands: ``(1,)``; none without a bracket.
    barline : str
        At its right: one of `BARLINES`.
    segno, coda, to_coda, fine : str
        Name of the sign that stands at it (``'1'`` where it has none), or ``''``. A segno or coda is at its start; to
        coda and fine are at its end.
    jump : str
        ``'D.C.'`` or ``'D.S.'`` at its end, or ``''``.
    jump_sign : str
        Name of the segno that the D.S. goes to.
    jump_until : str
        ``'fine'``, ``'coda'`` or ``''``: where that second time through leaves the music.
    jump_repeats : bool
        Whether repeats are taken again after the jump ("con repetizione"); as a rule they are not.
    repeat_after_jump : bool
        Whether the repeat that ends here is taken after a D.C. or D.S. too; as a rule it is not.
    written : int
        Index of the written measure that it plays; differs from `index` only in what `Score.played` returns.
    time : int
        The how-manieth time that written measure is played, from 1.
    """

    index: int
    number: str
    printed: str
    start: Fraction
    length: Fraction
    metre: str
    full_length: Fraction
    offset: Fraction
    fifths: int
    is_pickup: bool = False
    continues: bool = False
    repeat_start: bool = False
    repeat_end: bool = False
    times: int = 2
    ending: tuple[int, ...] = ()
    barline: str = "regular"
    segno: str = ""
    coda: str = ""
    to_coda: str = ""
    fine: str = ""
    jump: str = ""
    jump_sign: str = ""
    jump_until: str = ""
    jump_repeats: bool = False
    repeat_after_jump: bool = False
    written: int = -1
    time: int = 1

    @property
    def end(self) -> Fraction:
        """Quarters from the start of the score to its end."""
        return self.start + self.length

    @property
    def is_full(self) -> bool:
        """Whether it is as long as its metre asks for."""
        return self.length == self.full_length
