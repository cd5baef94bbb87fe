"""A chord as it is heard from one note: its tones by degree above its root, or above a foreign bass (`Frame`)."""

from dataclasses import dataclass
from typing import Self

from musictheory_nb.errors import ChordError, TheoryError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import (
    DEGREE_CLASS,
    DEGREE_PARTS,
    check_spellable,
    degree_between,
    degree_name,
    in_order,
)
from musictheory_nb.theory.chord_optional import usually_omitted
from musictheory_nb.theory.chord_scale_reason import ScaleTone
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_catalogue import ScaleType

#: Highest degree that belongs to the chord itself; 9, 11 and 13 are tensions.
_LAST_OWN_NUMBER = 7


@dataclass(frozen=True, slots=True)
class Frame:
    """A chord heard from one note.

    Parameters
    ----------
    root : PitchName
        The note that degrees are counted from.
    degrees : tuple of str
        The chord's tones.
    is_heard_from_bass : bool
        Whether that note is a foreign bass and not the root.
    own, written : frozenset of int
        Semitones above the root of the chord's own tones, and of the tensions in its symbol.
    needed : tuple of str
        Degrees that a scale must hold: all but those that players leave out as a rule.
    """

    root: PitchName
    degrees: tuple[str, ...]
    is_heard_from_bass: bool
    own: frozenset[int]
    written: frozenset[int]
    needed: tuple[str, ...]

    @classmethod
    def of(cls, root: PitchName, degrees: tuple[str, ...], *, is_heard_from_bass: bool = False) -> Self:
        """Build from root and degrees."""
        own = frozenset(DEGREE_CLASS[d] for d in degrees if DEGREE_PARTS[d][0] <= _LAST_OWN_NUMBER)
        omitted = usually_omitted(degrees)
        needed = tuple(d for d in degrees if d not in omitted)
        written = frozenset(DEGREE_CLASS[d] for d in needed) - own
        return cls(root, degrees, is_heard_from_bass, own, written, needed)

    @property
    def tones(self) -> tuple[ScaleTone, ...]:
        """The chord's tones, but for those that players leave out as a rule."""
        return tuple(ScaleTone(degree, degree_name(self.root, degree).name) for degree in self.needed)

    @property
    def has_fifth(self) -> bool:
        """Whether the chord has a fifth of any kind."""
        return any(degree in self.degrees for degree in ("5", "b5", "#5"))

    def contradicts(self, kind: ScaleType) -> bool:
        """Whether a kind of scale on the root has a second kind of third, fifth or seventh beside the chord's."""
        own = {DEGREE_PARTS[degree][0]: DEGREE_CLASS[degree] for degree in self.degrees}
        for degree, sound in zip(kind.as_chord_tones(), kind.semitones, strict=True):
            number = DEGREE_PARTS[degree][0]
            other = number in (3, 5, 7) and degree != "bb7" and own.get(number, sound) != sound
            if other and sound not in self.own and sound not in self.written:
                return True
        return False

    def missing_from(self, kind: ScaleType) -> list[str]:
        """Degrees that a kind of scale on the root does not hold, of those that it should."""
        return [degree for degree in self.needed if not kind.mask >> DEGREE_CLASS[degree] & 1]

    def tone_of(self, degree: str) -> ScaleTone:
        """Note of a scale degree: as the chord spells it, if it is a tone of the chord."""
        if degree == "bb7" and degree not in self.degrees:
            degree = "13"
        for own in self.degrees:
            if DEGREE_CLASS[own] == DEGREE_CLASS[degree]:
                return ScaleTone(own, degree_name(self.root, own).name)
        try:
            return ScaleTone(degree, degree_name(self.root, degree).name)
        except ChordError:  # four accidentals: the plain name of the sound
            sound = (self.root.pitch_class + DEGREE_CLASS[degree]) % 12
            return ScaleTone(degree, PitchName.from_fifths((sound * 7 + 3) % 12 - 3).name)


def frames_of(chord: Chord) -> tuple[Frame, ...]:
    """Notes from which a chord may be heard, the likeliest first.

    Raises
    ------
    ChordError
        There is no chord.

    Examples
    --------
    >>> [(frame.root.name, frame.degrees) for frame in frames_of(Chord("Am7/D"))]
    [('D', ('1', '4', '5', 'b7', '9')), ('A', ('1', 'b3', '5', 'b7', '11'))]
    >>> [frame.root.name for frame in frames_of(Chord("C/E"))]
    ['C']
    """
    if chord.root is None or chord.bass is None:
        raise ChordError("chord 'N.C.': no chord to hear")
    degrees = in_order(tone.degree for tone in chord.tones)
    from_root = Frame.of(chord.root, degrees)
    if any(degree_name(chord.root, degree).is_enharmonic_to(chord.bass) for degree in chord.degrees):
        return (from_root,)
    from_bass = _from_bass(chord, chord.bass)
    if len(degrees) > len(chord.degrees):  # the bass is the seventh: D/C is D7 first
        return (from_root, *from_bass)
    try:
        bass = _as_tension(degree_between(chord.root, chord.bass), degrees)
    except ChordError:
        return from_bass or (from_root,)
    return (*from_bass, Frame.of(chord.root, in_order((*degrees, bass))))


def _from_bass(chord: Chord, bass: PitchName) -> tuple[Frame, ...]:
    """The chord counted from its bass; empty where a tone is too far away to be a degree of it."""
    try:
        simple = [degree_between(bass, name) for name in chord.pitch_names]
    except TheoryError:
        return ()
    if not any(degree in ("3", "b3") for degree in simple):
        simple = [{"#2": "b3", "b4": "3"}.get(degree, degree) for degree in simple]
    if "b3" in simple and not any(degree in ("5", "b5", "#5") for degree in simple):
        simple = ["b5" if degree == "#4" else degree for degree in simple]
    degrees = in_order(_as_tension(degree, simple) for degree in simple)
    try:
        check_spellable(bass, degrees, chord.symbol)
    except ChordError:
        return ()
    return (Frame.of(bass, degrees, is_heard_from_bass=True),)


def _as_tension(degree: str, among: list[str] | tuple[str, ...]) -> str:
    """2, 4 and 6 as 9, 11 and 13, but for a suspended fourth and a sixth that stands for a seventh."""
    number, _ = DEGREE_PARTS[degree]
    has_third = any(other in ("3", "b3") for other in among)
    has_seventh = any(other in ("7", "b7", "bb7") for other in among)
    if (
        number == 2
        or (number == 4 and (has_third or degree != "4"))
        or (number == 6 and (has_seventh or degree != "6"))
    ):
        tension = f"{degree[:-1]}{number + 7}"
        return tension if tension in DEGREE_PARTS else degree
    return degree
