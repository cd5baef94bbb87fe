"""What one chord does towards the next: secondary dominants, tritone substitutes, related ii chords, and others.

Each relation is found from the roots and qualities of the two chords and is told in a sentence. Source: common-practice
and jazz harmony courses (common practice, no source).
"""

from collections.abc import Iterable, Iterator
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, NAMES_BY_FIFTHS, ChordParts
from musictheory_nb.theory.note_stack import Note
from musictheory_nb.theory.roman_analysis import chord_parts
from musictheory_nb.theory.roman_key import KeyGiven, RomanKey, read_roman_key

#: The relations by name, with what each means.
RELATIONS: Final = MappingProxyType(
    {
        "dominant": "dominant of the tonic, which follows",
        "leading-tone chord": "diminished chord on the leading tone of the tonic, which follows",
        "secondary dominant": "dominant of the chord that follows, which is not the tonic",
        "secondary leading-tone chord": "diminished chord a half step below the chord that follows, which is not the tonic",
        "tritone substitute": "dominant seventh a half step above the chord that follows, in place of its dominant",
        "augmented sixth": "augmented sixth that opens to the root of the chord that follows",
        "backdoor dominant": "dominant seventh a whole step below the tonic, which follows",
        "related ii": "minor or half-diminished seventh a fifth above the dominant that follows, both of one key",
        "common-tone diminished seventh": "diminished seventh that shares the root of the chord that follows",
        "subdominant": "chord a fifth below the tonic, which follows",
    }
)
_TRIADS: Final = (("1", "3", "5"), ("1", "b3", "5"))


class ChordRelation(NamedTuple):
    """A relation between two chords.

    Attributes
    ----------
    name : str
        One of `RELATIONS`.
    reason : str
        One sentence about these two chords.
    """

    name: str
    reason: str


def chord_relations(
    first: Chord | str | Iterable[Note], second: Chord | str | Iterable[Note], key: KeyGiven
) -> tuple[ChordRelation, ...]:
    """Relations of a chord to the chord that follows it; empty where there is none of `RELATIONS`.

    Parameters
    ----------
    first, second : Chord, str or iterable of notes
        Chords, symbols, or notes with the bass first.
    key : Key or str
        The key in which they stand.

    Raises
    ------
    ChordError, PitchError, KeyNameError, RomanNumeralError
        A chord or the key cannot be read, or there is no chord (N.C.).

    Examples
    --------
    >>> for pair in (("D7", "G7"), ("Db7", "C"), ("F#dim7", "G"), ("Dm7", "G7"), ("Bb7", "C")):
    ...     print(chord_relations(*pair, "C major")[0])
    ChordRelation(name='secondary dominant', reason='D7 is the dominant of G')
    ChordRelation(name='tritone substitute', reason='Db7 stands for G7, with which it shares a tritone, and leads to C')
    ChordRelation(name='secondary leading-tone chord', reason='F# is the leading tone of G')
    ChordRelation(name='related ii', reason='Dm7 and G7 are ii and V of C')
    ChordRelation(name='backdoor dominant', reason='Bb7 comes from C minor and leads to C from a whole step below')
    >>> chord_relations("C", "F", "C major")
    ()
    """
    home = read_roman_key(key)
    return tuple(_relations(chord_parts(first, home), chord_parts(second, home), home))


def _relations(first: ChordParts, second: ChordParts, key: RomanKey) -> Iterator[ChordRelation]:
    assert first.root is not None
    assert second.root is not None
    degrees = first.degrees
    goal, goal_name = second.root.fifths, second.root.name
    root, name = first.root.fifths, Chord.from_parts(first._replace(bass=first.root)).symbol
    is_home = goal == key.tonic
    major_third, minor_third = "3" in degrees, "b3" in degrees
    rests = "b5" not in second.degrees  # a diminished chord is no goal
    if "#6" in degrees:
        if root == goal - 5 and rests:
            yield ChordRelation(
                "augmented sixth", f"{first.root.name} and the augmented sixth above it open to {goal_name}"
            )
        return
    is_dominant = major_third and "7" not in degrees and ("b7" in degrees or degrees == _TRIADS[0])
    if is_dominant and root == goal + 1 and rests:
        if is_home:
            yield ChordRelation("dominant", f"{name} is the dominant of {goal_name}, the tonic")
        elif "b7" in degrees or root + DEGREE_FIFTHS["3"] not in _scale(key):
            yield ChordRelation("secondary dominant", f"{name} is the dominant of {goal_name}")
    if minor_third and "b5" in degrees and root == goal + 5 and rests:
        kind = "leading-tone chord" if is_home else "secondary leading-tone chord"
        yield ChordRelation(kind, f"{first.root.name} is the leading tone of {goal_name}")
    if major_third and "b7" in degrees and root == goal - 5 and rests:
        stands_for = NAMES_BY_FIFTHS[goal + 1].name
        yield ChordRelation(
            "tritone substitute",
            f"{name} stands for {stands_for}7, with which it shares a tritone, and leads to {goal_name}",
        )
    if major_third and "b7" in degrees and root == goal - 2 and is_home and rests:
        yield ChordRelation(
            "backdoor dominant", f"{name} comes from {goal_name} minor and leads to {goal_name} from a whole step below"
        )
    if minor_third and "b7" in degrees and root == goal + 1 and "3" in second.degrees and "b7" in second.degrees:
        tonic = NAMES_BY_FIFTHS[goal - 1].name
        second_name = Chord.from_parts(second._replace(bass=second.root)).symbol
        yield ChordRelation("related ii", f"{name} and {second_name} are ii and V of {tonic}")
    if "bb7" in degrees and _holds(first, second.root.pitch_class):
        yield ChordRelation("common-tone diminished seventh", f"{name} holds {goal_name}, the root of what follows")
    if is_home and root == goal - 1 and degrees[:3] in _TRIADS and "b7" not in degrees:
        yield ChordRelation("subdominant", f"{name} is the subdominant of {goal_name}, the tonic")


def _scale(key: RomanKey) -> set[int]:
    return {key.scale_fifths(number) for number in range(1, 8)}


def _holds(parts: ChordParts, pitch_class: int) -> bool:
    return any(name.pitch_class == pitch_class for name in Chord.from_parts(parts).pitch_names)
