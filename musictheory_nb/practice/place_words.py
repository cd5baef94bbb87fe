"""Where in a piece something stands, in the words of players: measure, part, beat."""

from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote

_PARTS: Final = MappingProxyType(
    {
        Fraction(text): shown
        for text, shown in zip(["0", "1/2", "1/4", "3/4", "1/3", "2/3"], ("", *"½¼¾⅓⅔"), strict=True)
    }
)


def beat_words(excerpt: Excerpt, note: ExcerptNote) -> str:
    """Return at which beat of its measure a note begins; in eighths where the metre counts them.

    Examples
    --------
    >>> tune = Excerpt.melody(["B3", "F4"], [Fraction(3, 2), Fraction(1, 2)])
    >>> [beat_words(tune, note) for note in tune.notes]
    ['beat 1', 'beat 2½']
    """
    measure = excerpt.measures[note.measure]
    missing = max(Fraction(0), Fraction(*map(int, measure.metre.split("/"))) * 4 - measure.length)
    late = missing if measure.number == "0" else Fraction(0)  # a pickup counts from the end of its measure
    return beat_at(note.onset + late, measure.metre)


def beat_at(onset: Fraction, metre: str) -> str:
    """Return which beat it is so many quarters after the beginning of a measure; in eighths where the metre counts them.

    Examples
    --------
    >>> beat_at(Fraction(3, 2), "4/4"), beat_at(Fraction(3, 2), "6/8"), beat_at(Fraction(1, 3), "2/4")
    ('beat 2½', 'eighth note 4', 'beat 1⅓')
    """
    unit = int(metre.partition("/")[2])
    whole, rest = divmod(onset * unit / 4 + 1, 1)
    shown = _PARTS.get(rest, f" + {rest}")
    return f"{'eighth note' if unit == 8 else 'beat'} {whole}{shown}"


def place_words(excerpt: Excerpt, note: ExcerptNote) -> str:
    """Return measure, part and beat of a note; the part only where there are several.

    Examples
    --------
    >>> place_words(two := Excerpt.melody(["B3", "F4"]), two.notes[1])
    'measure 1, beat 2'
    """
    told = [f"measure {excerpt.measures[note.measure].number}"]
    if len(excerpt.parts) > 1:
        names = [part.name for part in excerpt.parts]
        name = names[note.part]
        if names.count(name) > 1:  # a part of several staves
            place = [at for at, other in enumerate(names) if other == name].index(note.part)
            staff = ("upper staff", "lower staff")[place] if names.count(name) == 2 else f"staff {place + 1}"
            name = f"{name}, {staff}" if name else staff
        told.append(name or f"part {note.part + 1}")
    return ", ".join([*told, beat_words(excerpt, note)])
