"""Where in a piece something stands, in the words of players: measure, part, beat."""

from fractions import Fraction

from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote


def beat_words(excerpt: Excerpt, note: ExcerptNote) -> str:
    """Return at which beat of its measure a note begins; in eighths where the metre counts them.

    Examples
    --------
    >>> tune = Excerpt.melody(["B3", "F4"], [Fraction(3, 2), Fraction(1, 2)])
    >>> [beat_words(tune, note) for note in tune.notes]
    ['beat 1', 'beat 2½']
    """
    measure = excerpt.measures[note.measure]
    unit = int(measure.metre.partition("/")[2])
    missing = max(Fraction(0), Fraction(*map(int, measure.metre.split("/"))) * 4 - measure.length)
    late = missing if measure.number == "0" else Fraction(0)  # a pickup counts from the end of its measure
    at = (note.onset + late) * unit / 4 + 1
    whole, rest = divmod(at, 1)
    shown = {Fraction(0): "", Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾"}.get(rest, f" + {rest}")
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
