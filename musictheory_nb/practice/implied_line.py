"""Lines that suggest one chord: a walking bass, a broken chord, a melody. Each has all tones of the chord.

A walking bass begins on the root, goes through all tones in quarters, and comes back to the root from the step above it.
A broken chord goes up and down its tones from the root in eighths. A melody has the tones on its strong beats, other
notes passing between them or leading to them, and ends on the root. By this the chord is told where its notes alone
might be another (C6 and Am7), but in a melody, where both names are right.
"""

from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.chord_progression import BAR_QUARTERS, Progression
from musictheory_nb.practice.chord_vocabulary import MAJOR, degrees_of, tone_names
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.embellished_line import LineNote, line_through
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: The kinds of line, and what each is called.
TEXTURES: Final = MappingProxyType({"walking bass": "walking bass", "broken chord": "broken chord", "melody": "melody"})
#: Most tones of a chord that a line can show.
MOST_TONES: Final = 4
#: The ways through a broken chord of three or four tones and the root above: places in the pile from the root up.
_BROKEN: Final = MappingProxyType(
    {
        3: ((0, 1, 2, 3, 2, 1, 2, 1), (0, 2, 1, 2, 3, 2, 1, 2), (0, 1, 2, 1, 3, 2, 1, 2)),
        4: ((0, 1, 2, 3, 4, 3, 2, 1), (0, 2, 1, 3, 2, 4, 3, 1), (0, 3, 2, 1, 0, 1, 2, 3)),
    }
)


def symbol_of(root: str, quality: str) -> str:
    """Return the symbol of a chord on a chart.

    Examples
    --------
    >>> symbol_of("C", "maj"), symbol_of("F#", "m7b5")
    ('C', 'F#m7b5')
    """
    return root if quality == MAJOR else f"{root}{quality}"


@lru_cache(maxsize=4096)
def piled_tones(root: str, quality: str, low: int, high: int, part: int) -> tuple[Pitch, ...]:
    """Return the tones of a chord from its root up and the root above, within reach; none where there is no room.

    Parameters
    ----------
    root, quality : str
        The chord.
    low, high : int
        Lowest and highest note, as MIDI numbers.
    part : int
        Which place, where there are several, counted from the lowest and round again.

    Examples
    --------
    >>> [pitch.name for pitch in piled_tones("C", "m7", 36, 62, 0)], piled_tones("C", "m7", 37, 62, 0)[0].name
    (['C2', 'Eb2', 'G2', 'Bb2', 'C3'], 'C3')
    """
    roots = [Pitch.from_name(PitchName(root), octave) for octave in range(low // 12 - 2, high // 12 + 1)]
    roots = [one for one in roots if low <= one.chromatic and one.chromatic + 12 <= high]
    if not roots:
        return ()
    pile = [roots[part % len(roots)]]
    for name in tone_names(root, quality)[1:]:
        above = (Pitch.from_name(PitchName(name), octave) for octave in range(pile[0].octave - 1, pile[0].octave + 3))
        pile.append(next(one for one in above if one.chromatic > pile[-1].chromatic))
    return (*pile, pile[0].up("P8"))


@lru_cache(maxsize=16384)
def implied_line(
    root: str, quality: str, texture: str, low: int, high: int, number: int
) -> tuple[Progression, tuple[LineNote, ...]] | None:
    """Return line `number` of a kind that suggests a chord, with the chord in its bars; None where there is no room.

    Examples
    --------
    >>> made = implied_line("C", "m7", "walking bass", 36, 62, 0)
    >>> [note.pitch for note in made[1]][:1], made[0].chords
    (['C2'], ('Cm7', 'Cm7'))
    """
    pile = piled_tones(root, quality, low, high, number)
    if not pile:
        return None
    draw = Draw("implied line", f"{root} {quality} {texture} {low} {high}", 1, number, 0)
    key = f"{root} {'major' if '3' in degrees_of(quality) or 'b3' not in degrees_of(quality) else 'minor'}"
    symbol = symbol_of(root, quality)
    if texture == "broken chord":
        pitches, lengths = _broken(draw, pile), [Fraction(1, 2)] * 8
    elif texture == "walking bass":
        pitches, lengths = _walking(draw, pile), [Fraction(1)] * 6 + [Fraction(2)]
    else:
        pitches = line_through(draw, symbol, key, _through_all(draw, pile))
        last = BAR_QUARTERS - (len(pitches) - 1) % BAR_QUARTERS
        lengths = [Fraction(1)] * (len(pitches) - 1) + [Fraction(last)]
    if not all(low - 2 <= pitch.chromatic <= high + 2 for pitch in pitches):
        return None
    notes, at = [], Fraction(0)
    for pitch, length in zip(pitches, lengths, strict=True):
        bar, onset = divmod(at, BAR_QUARTERS)
        notes.append(LineNote(pitch.name, length, int(bar), onset, symbol))
        at += length
    return Progression(key, ((symbol,),) * int(at / BAR_QUARTERS)), tuple(notes)


def _broken(draw: Draw, pile: tuple[Pitch, ...]) -> tuple[Pitch, ...]:
    return tuple(pile[place] for place in draw.choice(_BROKEN[len(pile) - 1]))


def _walking(draw: Draw, pile: tuple[Pitch, ...]) -> tuple[Pitch, ...]:
    """Return root and all tones, two tones more, and the root again from the step above."""
    inner = draw.shuffled(pile[1:-1])
    first = (pile[0], *inner, *([pile[-1]] if len(inner) == 2 else []))
    left = [one for one in pile[1:-1] if one != first[-1]]
    return (*first, draw.choice(left), pile[0].up("M2"), pile[0])


def _through_all(draw: Draw, pile: tuple[Pitch, ...]) -> tuple[Pitch, ...]:
    """Return all tones in a drawn order and the root at the end, below or above, whichever is nearer."""
    tones = draw.shuffled(pile[:-1])
    root = min((pile[0], pile[-1]), key=lambda one: (abs(one.chromatic - tones[-1].chromatic) or 99, one.chromatic))
    return (*tones, root)
