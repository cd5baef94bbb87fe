"""Which measures and parts of which music are to be heard or seen, and at what tempo.

Sound, notation and text twin all read their request through `passage`, so that the three never show different music.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from musictheory_nb.errors import MediaError
from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote
from musictheory_nb.practice.media_request import MediaRequest

#: Quarters a minute that anybody can follow; outside them a slip is likelier than a wish.
SLOWEST, FASTEST = Fraction(10), Fraction(600)


@dataclass(frozen=True)
class Passage:
    """Music cut to what was asked for.

    Parameters
    ----------
    excerpt : Excerpt
        Holds only the measures and parts asked for.
    tempo : Fraction
        Quarters a minute.
    marked : frozenset of int
        Indices of marked notes, into ``excerpt.notes`` of the cut.
    order : tuple of int
        For each note of the cut, its index in the whole excerpt.
    """

    excerpt: Excerpt
    tempo: Fraction
    marked: frozenset[int]
    order: tuple[int, ...] = ()

    @property
    def places(self) -> dict[int, int]:
        """Index in the cut of each note, by its index in the whole excerpt."""
        return {index: place for place, index in enumerate(self.order)}


def passage(
    music: MediaRequest | Excerpt,
    *,
    first: int | None = None,
    last: int | None = None,
    parts: Sequence[int] = (),
    tempo: Fraction | int | None = None,
    marked: Sequence[int] = (),
) -> Passage:
    """Return the part of `music` that is asked for.

    Parameters
    ----------
    music : MediaRequest or Excerpt
        A request brings its own span, parts, marked notes and tempo; what is given here replaces them.
    first, last : int, optional
        Measure indices, both included; -1 for `last` is the end.
    parts : sequence of int
        Part indices; none means those of the request, or all.
    tempo : Fraction or int, optional
        Quarters a minute.
    marked : sequence of int
        Indices into the notes of the whole excerpt.

    Raises
    ------
    MediaError
        A measure, part or note that the music does not have, or an impossible tempo.

    Examples
    --------
    >>> two = Excerpt.melody(["B3", "F4"])
    >>> passage(two, tempo=60, marked=[1]).marked
    frozenset({1})
    >>> passage(two, first=3)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: measures 3 to 0: this music has the measure indices 0 to 0
    """
    if isinstance(music, MediaRequest):
        excerpt = music.excerpt
        asked_first, asked_last = music.span
        parts = parts or music.parts
        marked = marked or music.marked
        tempo = tempo if tempo is not None else music.tempo
    elif isinstance(music, Excerpt):
        excerpt = music
        asked_first, asked_last = 0, len(excerpt.measures) - 1
    else:
        raise MediaError(f"music {music!r}: give a MediaRequest or an Excerpt")
    begin = asked_first if first is None else first
    end = asked_last if last is None else last
    end = len(excerpt.measures) - 1 if end == -1 else end
    if not 0 <= begin <= end < len(excerpt.measures):
        raise MediaError(
            f"measures {begin} to {end}: this music has the measure indices 0 to {len(excerpt.measures) - 1}"
        )
    kept = tuple(dict.fromkeys(parts)) or tuple(range(len(excerpt.parts)))
    for part in kept:
        if not 0 <= part < len(excerpt.parts):
            raise MediaError(f"part {part}: this music has the part indices 0 to {len(excerpt.parts) - 1}")
    for note in marked:
        if not 0 <= note < len(excerpt.notes):
            raise MediaError(f"marked note {note}: this music has the note indices 0 to {len(excerpt.notes) - 1}")
    quarters = excerpt.tempo if tempo is None else Fraction(tempo)
    if not SLOWEST <= quarters <= FASTEST:
        raise MediaError(
            f"tempo {str(quarters)!r}: quarters a minute go from {SLOWEST} to {FASTEST}; write 96 for a moderate walk"
        )
    order = [
        at for at, note in enumerate(excerpt.notes) if begin <= note.measure <= end and note.part in kept
    ]  # as Excerpt.cut keeps them
    wanted = frozenset(marked)
    return Passage(
        excerpt=excerpt.cut(begin, end, kept),
        tempo=quarters,
        marked=frozenset(place for place, at in enumerate(order) if at in wanted),
        order=tuple(order),
    )


#: Notes with their indices in the excerpt.
IndexedNotes = list[tuple[int, ExcerptNote]]


def notes_by_measure(excerpt: Excerpt) -> dict[tuple[int, int], IndexedNotes]:
    """Return the notes of each part and measure that has any, with their indices, in the order given.

    Examples
    --------
    >>> [index for index, note in notes_by_measure(Excerpt.melody(["B3", "F4"]))[0, 0]]
    [0, 1]
    """
    places: dict[tuple[int, int], IndexedNotes] = {}
    for index, note in enumerate(excerpt.notes):
        places.setdefault((note.part, note.measure), []).append((index, note))
    return places
