"""The cheapest fingering of a line, by dynamic programming over every way to sound each note.

A state is a string, fret, finger and position; an open string keeps the position that the hand has. The search looks at
every state of every note and is exact: no fingering costs less by the table of `fingering_cost`.
"""

from collections.abc import Sequence
from typing import NamedTuple

from musictheory_nb.instrument.fingering_cost import FingeringCost, Stop, move_cost, note_cost
from musictheory_nb.instrument.hand import Hand
from musictheory_nb.instrument.tuning import Tuning

_UNREACHED = float("inf")


class Sounded(NamedTuple):
    """A note of the line as the search sees it: its pitch as semitones above C-1, and the way to it.

    Parameters
    ----------
    number : int
        Semitones above C-1.
    seconds : float
        From the beginning of the note before.
    rested : bool
        Whether a rest lies between.
    """

    number: int
    seconds: float
    rested: bool


def stops_of(number: int, tuning: Tuning, hand: Hand, open_strings: str) -> tuple[Stop, ...]:
    """Every way to sound a note, in a fixed order; an open string once, at position 0.

    Examples
    --------
    >>> from musictheory_nb.instrument.hand import hand
    >>> [tuple(stop) for stop in stops_of(29, Tuning("bass guitar"), hand("one finger a fret"), "allow")]
    [(4, 1, 1, 1, 0), (4, 1, 1, 2, 1)]
    """
    found = []
    for place in tuning.places_of(number):
        if place.is_open:
            if open_strings != "never":
                found.append(Stop(place.string, place.fret, 0, 0, 0))
            continue
        for position in hand.places(tuning.frets):
            for reach in hand.reaches(position):
                if position + reach.offset == place.fret:
                    found.append(Stop(place.string, place.fret, reach.finger, position, reach.stretch))
    return tuple(found)


def layers_of(notes: Sequence[Sounded], tuning: Tuning, hand: Hand, open_strings: str) -> list[tuple[Stop, ...]]:
    """States of every note; an open string stands once for every position that the hand can be in.

    An empty layer is a note that cannot be sounded.
    """
    by_number = {number: stops_of(number, tuning, hand, open_strings) for number in {note.number for note in notes}}
    positions = sorted({stop.position for stops in by_number.values() for stop in stops if stop.finger})
    positions = positions or [hand.places(tuning.frets)[0]]
    states = {
        number: tuple(
            state
            for stop in stops
            for state in ((stop,) if stop.finger else tuple(stop._replace(position=place) for place in positions))
        )
        for number, stops in by_number.items()
    }
    return [states[note.number] for note in notes]


class Table(NamedTuple):
    """Least costs of every state of every note from one end of the line, and its neighbour on that way (-1 at the end)."""

    costs: list[list[float]]
    way: list[list[int]]


def forward(
    notes: Sequence[Sounded], layers: Sequence[tuple[Stop, ...]], costs: FingeringCost, open_strings: str, home: int
) -> Table:
    """Fill the table of least costs. States are compared in a fixed order, so that ties fall the same way everywhere."""
    own = {layer: [note_cost(stop, costs, open_strings, home) for stop in layer] for layer in set(layers)}
    least = _least_shifts(layers, costs)
    reached = [own[layers[0]]]
    before = [[-1] * len(layers[0])]
    for layer, last, note in zip(layers[1:], layers, notes[1:], strict=False):
        now, came = _reach(layer, last, reached[-1], note, costs, least, backwards=False)
        reached.append([cost + mine for cost, mine in zip(now, own[layer], strict=True)])
        before.append(came)
    return Table(reached, before)


def backward(
    notes: Sequence[Sounded], layers: Sequence[tuple[Stop, ...]], costs: FingeringCost, open_strings: str, home: int
) -> Table:
    """Fill the same table from the end: least costs from every state on, its own left out, and the state after it."""
    own = {layer: [note_cost(stop, costs, open_strings, home) for stop in layer] for layer in set(layers)}
    least = _least_shifts(layers, costs)
    ahead = [[0.0] * len(layers[-1])]
    after = [[-1] * len(layers[-1])]
    for layer, following, note in zip(layers[-2::-1], layers[:0:-1], notes[:0:-1], strict=True):
        onwards = [cost + mine for cost, mine in zip(ahead[-1], own[following], strict=True)]
        now, went = _reach(layer, following, onwards, note, costs, least, backwards=True)
        ahead.append(now)
        after.append(went)
    return Table(ahead[::-1], after[::-1])


def _least_shifts(layers: Sequence[tuple[Stop, ...]], costs: FingeringCost) -> list[float]:
    """No shift over so many half steps can cost less, before hurry."""
    positions = {stop.position for layer in layers for stop in layer}
    factor = min(1.0, costs.free_hand, costs.guide_finger)
    widest = max(positions) - min(positions)
    return [0.0, *(factor * (costs.shift + costs.shift_half_step * distance) for distance in range(1, widest + 1))]


def _reach(
    layer: Sequence[Stop],
    neighbours: Sequence[Stop],
    so_far: Sequence[float],
    note: Sounded,
    costs: FingeringCost,
    least: Sequence[float],
    *,
    backwards: bool,
) -> tuple[list[float], list[int]]:
    """Least cost of every state of a layer by way of its neighbours, and the neighbour that it is by.

    Neighbours are tried from the cheapest on and left out where no move from them can be the best one.
    """
    hurry = costs.hurry(note.seconds)
    ranked = sorted((cost, place) for place, cost in enumerate(so_far) if cost < _UNREACHED)
    tried = [(cost, place, neighbours[place], neighbours[place].position) for cost, place in ranked]
    there: dict[int, list[tuple[float, int, Stop, int]]] = {}
    for entry in tried:
        there.setdefault(entry[3], []).append(entry)
    least_now = [hurry * shift for shift in least]
    least_shift = min(least_now[1:], default=_UNREACHED)
    now, by = [], []
    for stop in layer:
        best, best_place = _UNREACHED, -1
        position = stop.position
        # Without a shift first: what that costs rules out most of the rest.
        for cost, place, other, _ in there.get(position, ()):
            if cost >= best:
                break
            way = (
                move_cost(stop, other, costs, note.rested) if backwards else move_cost(other, stop, costs, note.rested)
            )
            total = cost + hurry * sum(way)
            if total < best:
                best, best_place = total, place
        # While an open string sounds, the hand stays.
        for cost, place, other, other_position in tried if stop.finger or backwards else ():
            if cost + least_shift >= best:
                break
            if other_position == position or cost + least_now[abs(other_position - position)] >= best:
                continue
            if backwards and not other.finger:
                continue
            way = (
                move_cost(stop, other, costs, note.rested) if backwards else move_cost(other, stop, costs, note.rested)
            )
            total = cost + hurry * sum(way)
            if total < best:
                best, best_place = total, place
        now.append(best)
        by.append(best_place)
    return now, by


def cheapest(table: Table, layers: Sequence[tuple[Stop, ...]]) -> tuple[Stop, ...]:
    """Follow the table back from the cheapest state of the last note."""
    place = min(range(len(layers[-1])), key=table.costs[-1].__getitem__)
    path = []
    for index in range(len(layers) - 1, -1, -1):
        path.append(layers[index][place])
        place = table.way[index][place]
    return tuple(reversed(path))


def through(index: int, place: int, table: Table, ahead: Table, layers: Sequence[tuple[Stop, ...]]) -> tuple[Stop, ...]:
    """Return the cheapest path that goes through one state of one note."""
    path = []
    here, at = place, index
    while at >= 0:
        path.append(layers[at][here])
        here, at = table.way[at][here], at - 1
    path.reverse()
    here, at = ahead.way[index][place], index + 1
    while at < len(layers):
        path.append(layers[at][here])
        here, at = ahead.way[at][here], at + 1
    return tuple(path)
