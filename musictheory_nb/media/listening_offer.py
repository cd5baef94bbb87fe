"""Which listening controls make sense for a sound, and what they let one pick."""

from typing import Final

from musictheory_nb.media.listening_options import MOST_OCTAVES
from musictheory_nb.media.passage import passage
from musictheory_nb.media.sounding_note import sounding_notes
from musictheory_nb.practice.counted_in import BEAT_PART
from musictheory_nb.practice.listening_control import CONTROLS
from musictheory_nb.practice.media_request import MediaRequest

#: Lowest and highest note of a piano, as MIDI numbers: music is moved no further.
_LOWEST, _HIGHEST = 21, 108
#: Controls that only make sense where there are several measures.
_OF_A_PIECE: Final = ("measures", "count-in", "metronome", "drone", "register")


def sounding_parts(request: MediaRequest) -> tuple[int, ...]:
    """Return the indices of the parts that sound in what is asked for.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> sounding_parts(MediaRequest("sound", Excerpt.melody(["B3", "F4"]), "Hear it"))
    (0,)
    """
    first, last = request.span
    wanted = request.parts or range(len(request.excerpt.parts))
    heard = {note.part for note in request.excerpt.notes if note.pitches and first <= note.measure <= last}
    return tuple(part for part in wanted if part in heard)


def part_labels(request: MediaRequest) -> tuple[str, ...]:
    """Return a name for each part that sounds; parts that share a name, or have none, are numbered."""
    indices = sounding_parts(request)
    names = [request.excerpt.parts[part].name for part in indices]
    labels = []
    for at, name in enumerate(names):
        if not name:
            labels.append(f"Part {indices[at] + 1}")
        elif names.count(name) > 1:
            labels.append(f"{name} ({names[:at].count(name) + 1})")
        else:
            labels.append(name)
    return tuple(labels)


def registers(request: MediaRequest) -> tuple[int, ...]:
    """Return by how many octaves the music may be moved, up above 0.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> registers(MediaRequest("sound", Excerpt.melody(["E1", "F4"]), "Hear it"))
    (0, 1, 2)
    """
    numbers = [note.midi for note in sounding_notes(passage(request))]
    low, high = min(numbers, default=60), max(numbers, default=60)
    return tuple(
        octaves
        for octaves in range(-MOST_OCTAVES, MOST_OCTAVES + 1)
        if not octaves or _LOWEST <= low + 12 * octaves <= high + 12 * octaves <= _HIGHEST
    )


def offered_controls(request: MediaRequest) -> tuple[str, ...]:
    """Return which of `CONTROLS` are offered: those that make sense, without what the request leaves out.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> offered_controls(MediaRequest("sound", Excerpt.melody(["B3", "F4"]), "Hear it"))
    ('tempo', 'repeat', 'timbre')
    >>> offered_controls(MediaRequest("sound", Excerpt.melody(["B3", "F4"]), "Hear it", controls=("drone",)))
    ()
    """
    first, last = request.span
    makes_sense = {"repeat", "timbre"}
    if len(sounding_parts(request)) > 1:
        makes_sense.add("parts")
    if last > first:
        makes_sense.update(_OF_A_PIECE)
    sounding = [note for note in request.excerpt.notes if note.pitches and first <= note.measure <= last]
    if len({(note.measure, note.onset) for note in sounding}) > 1:
        makes_sense.add("tempo")
    if request.hearings:
        makes_sense.discard("repeat")
    if any(
        part.name == BEAT_PART for part in request.excerpt.parts
    ):  # a dictation is counted in, and heard as it is set
        makes_sense -= {"parts", "count-in", "metronome", "drone", "register"}
    wanted = CONTROLS if request.controls is None else request.controls
    chosen = {"measures"} if request.choose_measures else set()
    return tuple(name for name in CONTROLS if name in chosen or (name in makes_sense and name in wanted))
