"""What the key and the next chord say about the name of a chord.

Roots fall by fifths, dominants also by a half step (tritone substitutes), leading-note chords rise by one, augmented
sixths open onto the note a half step below (common practice, no source).
"""

from typing import Final, NamedTuple, Self

from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS
from musictheory_nb.theory.key import Key

#: How much each thing says for a reading.
CONTEXT_GAINS: Final = {
    "in key": 3,
    "augmented sixth of the key": 6,
    "falls by a fifth": 8,
    "dominant falls by a fifth": 12,
    "dominant falls by a half step": 8,
    "leading note rises": 10,
    "augmented sixth opens": 14,
}
_AUGMENTED_SIXTH: Final = "#6"


class NamingContext(NamedTuple):
    """Key and next chord as places on the line of fifths, and what can be said about a reading in them."""

    key: Key | None
    key_places: frozenset[int]
    next_chord: Chord | None
    bass_player: str

    @classmethod
    def read(cls, key: Key | str | None, next_chord: Chord | str | None, bass_player: str | None) -> Self:
        """Read what was given; raises as `Key` and `Chord` do.

        Examples
        --------
        >>> NamingContext.read("C major", "G7", None).next_chord
        Chord('G7')
        """
        if key is None and next_chord is None and bass_player is None:
            return cls(None, frozenset(), None, "")
        places: frozenset[int] = frozenset()
        if key is not None:
            key = Key(key)
            places = frozenset(name.fifths for name in key.pitch_names)
            if key.is_minor:  # the raised sixth and seventh belong to it
                places |= {key.tonic.fifths + 3, key.tonic.fifths + 5}
        following = None if next_chord is None else Chord(next_chord)
        return cls(key, places, None if following and following.is_no_chord else following, bass_player or "")

    def spell(self, pitch_class: int, usual: int) -> int:
        """Place on the line of fifths of an unspelled note: that of the key, else the usual one."""
        return next((place for place in self.key_places if place * 7 % 12 == pitch_class), usual)

    def leads_as_augmented_sixth(self, root: int) -> bool:
        """Whether a chord on this root, spelled as no augmented sixth, opens as one."""
        return self.next_chord is not None and self._opens(root)

    def _opens(self, root: int) -> bool:
        following = self.next_chord
        assert following is not None
        assert following.root is not None
        assert following.bass is not None
        return any((root - below.fifths) * 7 % 12 == 1 for below in (following.root, following.bass))

    def weigh(self, root: int, degrees: tuple[str, ...]) -> tuple[int, tuple[str, ...]]:
        """Change of the cost of a reading, and what there is to say for it.

        Parameters
        ----------
        root : int
            Place of the root on the line of fifths.
        degrees : tuple of str
            Degrees of the chord.
        """
        if self.key is None and self.next_chord is None:
            return 0, (f"with the bass player's {self.bass_player}",) if self.bass_player else ()
        gain, said = 0, []
        if self.bass_player:
            said.append(f"with the bass player's {self.bass_player}")
        if self.key is not None:
            in_key = CONTEXT_GAINS["in key"], f"in {self.key.name}"
            if _AUGMENTED_SIXTH in degrees and root == self.key.tonic.fifths - 4:
                in_key = CONTEXT_GAINS["augmented sixth of the key"], f"on the flat sixth degree of {self.key.name}"
            elif not all(root + DEGREE_FIFTHS[degree] in self.key_places for degree in degrees):
                in_key = 0, ""
            gain += in_key[0]
            said += [in_key[1]] if in_key[1] else []
        if self.next_chord is not None:
            more, why = self._lead(root, degrees)
            gain += more
            said += [why] if why else []
        return -gain, tuple(said)

    def _lead(self, root: int, degrees: tuple[str, ...]) -> tuple[int, str]:
        following = self.next_chord
        assert following is not None
        assert following.root is not None
        distance = (following.root.fifths - root) * 7 % 12  # semitones up to the next root
        if _AUGMENTED_SIXTH in degrees:
            return (CONTEXT_GAINS["augmented sixth opens"], f"opens to {following}") if self._opens(root) else (0, "")
        dominant = "3" in degrees and "b7" in degrees
        if distance == 5:
            gain = CONTEXT_GAINS["dominant falls by a fifth" if dominant else "falls by a fifth"]
            return gain, f"its root falls by a fifth to {following}"
        if dominant and distance == 11:
            return CONTEXT_GAINS["dominant falls by a half step"], f"its root falls by a half step to {following}"
        if distance == 1 and "b3" in degrees and "b5" in degrees:
            return CONTEXT_GAINS["leading note rises"], f"its root leads up to {following}"
        return 0, ""
