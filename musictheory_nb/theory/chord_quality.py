"""The chord qualities that have a name of their own, with the degrees of each: one table.

Each row holds the suffix that stands behind the root on a chart in our spelling, the degrees, the name in words, and
the other spellings of the suffix that are read without further ado. Everything else (alterations, added and omitted
tones, other ways of writing) is composed by the grammar in `chord_suffix`, to which the spellings here are only a
short cut: a test reads each of them both ways.

Degrees of triads, sevenths, ninths, elevenths and thirteenths as in the W3C MusicXML 4.0 schema (`kind-value`); of
suspensions, sixths and added tones as in Harte et al. 2005; the others common practice.
"""

from types import MappingProxyType
from typing import Final, NamedTuple


class Quality(NamedTuple):
    """One chord quality: suffix on a chart, degrees, name in words, other spellings of the suffix."""

    suffix: str
    degrees: tuple[str, ...]
    words: str
    spellings: tuple[str, ...] = ()


def _row(suffix: str, degrees: str, words: str, spellings: str = "") -> Quality:
    return Quality(suffix, tuple(degrees.split()), words, tuple(spellings.split()))


#: Qualities that others are built on: alterations, additions and omissions are written behind their suffix.
BASE_QUALITIES: Final = (
    _row("", "1 3 5", "major triad", "maj M ma major"),
    _row("m", "1 b3 5", "minor triad", "min mi - − minor"),
    _row("dim", "1 b3 b5", "diminished triad", "° º o"),
    _row("aug", "1 3 #5", "augmented triad", "+"),
    _row("sus4", "1 4 5", "suspended fourth", "sus"),
    _row("sus2", "1 2 5", "suspended second"),
    _row("sus2sus4", "1 2 4 5", "suspended second and fourth", "sus24 sus4sus2"),
    _row("5", "1 5", "power chord"),
    _row("6", "1 3 5 6", "major sixth", "maj6 M6"),
    _row("m6", "1 b3 5 6", "minor sixth", "min6 mi6 -6 −6"),
    _row("6/9", "1 3 5 6 9", "six-nine", "69 6add9 6(9)"),
    _row("m6/9", "1 b3 5 6 9", "minor six-nine", "m69 -69 -6/9 min6/9"),
    _row("7", "1 3 5 b7", "dominant seventh", "dom7"),
    _row("maj7", "1 3 5 7", "major seventh", "M7 ma7 Maj7 MA7 MAJ7 Ma7 j7 Δ Δ7 △ △7 ∆ ∆7"),
    _row("m7", "1 b3 5 b7", "minor seventh", "min7 mi7 -7 −7 Min7 MI7"),
    _row("m(maj7)", "1 b3 5 7", "minor with major seventh", "mM7 mMaj7 mmaj7 -Δ -Δ7 -maj7 -(maj7) minMaj7 m(M7) mΔ7"),
    _row("m7b5", "1 b3 b5 b7", "half-diminished seventh", "ø ø7 Ø Ø7 m7(b5) mi7(b5) min7(b5) min7b5 mi7b5 -7b5 −7b5"),
    _row("dim7", "1 b3 b5 bb7", "diminished seventh", "°7 º7 o7"),
    _row("dim(maj7)", "1 b3 b5 7", "diminished with major seventh", "°(maj7) °maj7 dimmaj7 oM7 °M7"),
    _row("7sus4", "1 4 5 b7", "dominant seventh with suspended fourth", "7sus sus7 7(sus4)"),
    _row("maj7sus4", "1 4 5 7", "major seventh with suspended fourth", "M7sus4"),
    _row("7sus2", "1 2 5 b7", "dominant seventh with suspended second"),
    _row("maj7sus2", "1 2 5 7", "major seventh with suspended second", "M7sus2 sus2maj7"),
    _row("6sus4", "1 4 5 6", "sixth with suspended fourth", "6sus sus6"),
    _row("6/9sus4", "1 4 5 6 9", "six-nine with suspended fourth", "69sus4 69sus"),
    _row("6sus2", "1 2 5 6", "sixth with suspended second"),
    _row("9", "1 3 5 b7 9", "dominant ninth", "dom9"),
    _row("maj9", "1 3 5 7 9", "major ninth", "M9 ma9 Maj9 Δ9 △9 ∆9"),
    _row("m9", "1 b3 5 b7 9", "minor ninth", "min9 mi9 -9 −9"),
    _row("m(maj9)", "1 b3 5 7 9", "minor ninth with major seventh", "mM9 mmaj9 mMaj9 -Δ9"),
    _row("dim9", "1 b3 b5 bb7 9", "diminished ninth", "°9 o9"),
    _row("9sus4", "1 4 5 b7 9", "dominant ninth with suspended fourth", "9sus sus9"),
    _row("maj9sus4", "1 4 5 7 9", "major ninth with suspended fourth"),
    _row("11", "1 3 5 b7 9 11", "dominant eleventh", "dom11"),
    _row("maj11", "1 3 5 7 9 11", "major eleventh", "M11 ma11"),
    _row("m11", "1 b3 5 b7 9 11", "minor eleventh", "min11 mi11 -11 −11"),
    _row("m(maj11)", "1 b3 5 7 9 11", "minor eleventh with major seventh", "mM11"),
    _row("13", "1 3 5 b7 9 11 13", "dominant thirteenth", "dom13"),
    _row("maj13", "1 3 5 7 9 11 13", "major thirteenth", "M13 ma13 Δ13 △13 ∆13"),
    _row("m13", "1 b3 5 b7 9 11 13", "minor thirteenth", "min13 mi13 -13 −13"),
    _row("m(maj13)", "1 b3 5 7 9 11 13", "minor thirteenth with major seventh", "mM13"),
    _row("13sus4", "1 4 5 b7 9 13", "dominant thirteenth with suspended fourth", "13sus sus13"),
)

#: Qualities that are written as an altered or added-tone form of another, and have names or are very common.
ALTERED_QUALITIES: Final = (
    _row("(b5)", "1 3 b5", "major triad with flat fifth"),
    _row("m(#5)", "1 b3 #5", "minor triad with sharp fifth", "m#5"),
    _row("add9", "1 3 5 9", "major triad with added ninth", "(add9)"),
    _row("add2", "1 2 3 5", "major triad with added second", "(add2)"),
    _row("add11", "1 3 5 11", "major triad with added eleventh"),
    _row("m(add9)", "1 b3 5 9", "minor triad with added ninth", "madd9"),
    _row("m(add2)", "1 2 b3 5", "minor triad with added second", "madd2"),
    _row("7#5", "1 3 #5 b7", "augmented seventh", "+7 aug7 7+ 7(#5) 7♯5"),
    _row("7b5", "1 3 b5 b7", "dominant seventh with flat fifth", "7(b5) 7♭5"),
    _row("maj7#5", "1 3 #5 7", "augmented with major seventh", "maj7(#5) M7#5 +M7 +maj7"),
    _row("maj7b5", "1 3 b5 7", "major seventh with flat fifth", "maj7(b5) M7b5"),
    _row("m7#5", "1 b3 #5 b7", "minor seventh with sharp fifth", "m7(#5)"),
    _row("m7(add11)", "1 b3 5 b7 11", "minor seventh with added eleventh", "m7(11) m7add11"),
    _row("7b9", "1 3 5 b7 b9", "dominant seventh with flat ninth", "7(b9) 7-9 7♭9"),
    _row("7#9", "1 3 5 b7 #9", "dominant seventh with sharp ninth", "7(#9) 7+9 7♯9"),
    _row("7#11", "1 3 5 b7 #11", "dominant seventh with sharp eleventh", "7(#11) 7♯11"),
    _row("7b13", "1 3 5 b7 b13", "dominant seventh with flat thirteenth", "7(b13)"),
    _row("maj7#11", "1 3 5 7 #11", "major seventh with sharp eleventh", "maj7(#11) M7#11 M7(#11) Δ#11 Δ7#11"),
    _row("m7b9", "1 b3 5 b7 b9", "minor seventh with flat ninth"),
    _row("m7b13", "1 b3 5 b7 b13", "minor seventh with flat thirteenth"),
    _row("7(#5,b9)", "1 3 #5 b7 b9", "augmented seventh with flat ninth", "7#5b9 7b9#5"),
    _row("7(#5,#9)", "1 3 #5 b7 #9", "augmented seventh with sharp ninth", "7#5#9 7#9#5"),
    _row("7(b5,b9)", "1 3 b5 b7 b9", "dominant seventh with flat fifth and ninth", "7b5b9 7b9b5"),
    _row("7(b5,#9)", "1 3 b5 b7 #9", "dominant seventh with flat fifth and sharp ninth", "7b5#9 7#9b5"),
    _row("7(b9,#9)", "1 3 5 b7 b9 #9", "dominant seventh with both altered ninths"),
    _row("7(b9,#11)", "1 3 5 b7 b9 #11", "dominant seventh with flat ninth and sharp eleventh", "7b9#11"),
    _row("7(#9,#11)", "1 3 5 b7 #9 #11", "dominant seventh with sharp ninth and eleventh", "7#9#11"),
    _row("7(b9,b13)", "1 3 5 b7 b9 b13", "dominant seventh with flat ninth and thirteenth", "7b9b13"),
    _row("7(#9,b13)", "1 3 5 b7 #9 b13", "dominant seventh with sharp ninth and flat thirteenth", "7#9b13"),
    _row("7sus4(b9)", "1 4 5 b7 b9", "suspended dominant with flat ninth", "7sus4b9 7susb9 susb9 sus(b9)"),
    _row("7alt", "1 3 b7 b9 #9 #11 b13", "altered dominant", "alt 7(alt) (alt)"),
    _row("9#5", "1 3 #5 b7 9", "augmented ninth", "+9 aug9 9(#5)"),
    _row("9b5", "1 3 b5 b7 9", "dominant ninth with flat fifth", "9(b5)"),
    _row("9#11", "1 3 5 b7 9 #11", "dominant ninth with sharp eleventh", "9(#11)"),
    _row("9b13", "1 3 5 b7 9 b13", "dominant ninth with flat thirteenth", "9(b13)"),
    _row("maj9#5", "1 3 #5 7 9", "augmented ninth with major seventh"),
    _row("maj9#11", "1 3 5 7 9 #11", "major ninth with sharp eleventh", "maj9(#11) M9#11 Δ9#11"),
    _row("m9b5", "1 b3 b5 b7 9", "half-diminished ninth", "ø9 m9(b5)"),
    _row("m11b5", "1 b3 b5 b7 9 11", "half-diminished eleventh", "ø11 m11(b5)"),
    _row("13b9", "1 3 5 b7 b9 11 13", "thirteenth with flat ninth", "13(b9)"),
    _row("13#9", "1 3 5 b7 #9 11 13", "thirteenth with sharp ninth", "13(#9)"),
    _row("13#11", "1 3 5 b7 9 #11 13", "thirteenth with sharp eleventh", "13(#11)"),
    _row("13(no11)", "1 3 5 b7 9 13", "thirteenth without eleventh"),
    _row("maj13#11", "1 3 5 7 9 #11 13", "major thirteenth with sharp eleventh", "maj13(#11) M13#11"),
    _row("maj13(no11)", "1 3 5 7 9 13", "major thirteenth without eleventh"),
    _row("It+6", "1 3 #6", "Italian augmented sixth", "It6 It+6"),
    _row("Fr+6", "1 3 #4 #6", "French augmented sixth", "Fr6 Fr+6"),
    _row("Ger+6", "1 3 5 #6", "German augmented sixth", "Ger6 Ger+6 Gr6 Gr+6"),
    _row("Tristan", "1 #4 #6 #9", "Tristan chord", "tristan"),
)

#: All named qualities.
QUALITIES: Final = BASE_QUALITIES + ALTERED_QUALITIES
#: Degrees by suffix, for our spelling and the others of each row.
DEGREES_BY_SUFFIX: Final = MappingProxyType(
    {suffix: row.degrees for row in QUALITIES for suffix in (row.suffix, *row.spellings)}
)
#: Named quality by degrees.
QUALITY_BY_DEGREES: Final = MappingProxyType({row.degrees: row for row in QUALITIES})
