"""Key signatures: what they alter, what a transposing player reads, what a change of signature takes back.

An excerpt's signatures are at sounding pitch; the staff of a transposing part has its own, moved by the part's interval.
"""

from typing import Final

from musictheory_nb.practice.excerpt import ExcerptPart

_SHARP_ORDER: Final = "FCGDAEB"
#: Signatures beyond this many sharps or flats are written from the other side.
_MOST_FIFTHS: Final = 7


def key_alterations(fifths: int) -> dict[str, int]:
    """Return the alteration of each letter under a key signature, in semitones.

    Examples
    --------
    >>> {letter: alter for letter, alter in key_alterations(-2).items() if alter}
    {'B': -1, 'E': -1}
    """
    order = _SHARP_ORDER if fifths > 0 else _SHARP_ORDER[::-1]
    sign = 1 if fifths > 0 else -1
    # beyond seven a signature has double accidentals
    return {
        letter: sign * (abs(fifths) // 7 + (order.index(letter) < abs(fifths) % 7)) for letter in sorted(_SHARP_ORDER)
    }


def written_fifths(fifths: int, part: ExcerptPart) -> int:
    """Return the key signature that the player of `part` reads where the music sounds with `fifths`.

    Examples
    --------
    >>> written_fifths(-2, ExcerptPart("Clarinet in B flat", chromatic=-2, diatonic=-1))
    0
    >>> written_fifths(0, ExcerptPart("Double bass", chromatic=-12, diatonic=-7))
    0
    """
    # One semitone is seven fifths, one step is twelve semitones of the circle less: C to D flat is -5, C to C sharp +7.
    moved = fifths - (7 * part.chromatic - 12 * part.diatonic)
    if abs(moved) > _MOST_FIFTHS:
        moved -= 12 if moved > 0 else -12
    return moved


def cancels(old: int, new: int) -> bool:
    """Whether accidentals of the old signature end with the new one, so that naturals are printed.

    Examples
    --------
    >>> cancels(2, 0), cancels(2, 1), cancels(1, 2), cancels(2, -2)
    (True, True, False, True)
    """
    before, after = key_alterations(old), key_alterations(new)
    return any(before[letter] and before[letter] != after[letter] and not after[letter] for letter in before)
