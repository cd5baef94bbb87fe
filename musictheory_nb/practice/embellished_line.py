"""A line over a progression, drawn by rule: chord tones on the strong beats, and notes of chosen roles between them.

The line goes from one chord tone to the next, two quarters apart (one where four chords share a bar). Between them it
passes, turns to a neighbour and back, leaps to a note beside the next chord tone, goes around it, comes there too early, or
holds a tone of the chord before. Which figure comes is drawn, those that have not come yet first. What each note is in the
end says `theory.note_role`; a line with other roles than those wanted is drawn again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.chord_progression import BAR_QUARTERS, Progression
from musictheory_nb.practice.draw import Draw
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_scale import scales_for
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_role import note_roles
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: Length of the notes, in quarters.
VALUES: Final = MappingProxyType({"quarters": Fraction(1), "eighths": Fraction(1, 2)})
#: What lies between strong beats may be drawn by rule so.
DRAWN_ROLES: Final = (
    "chord tone",
    "passing",
    "neighbour",
    "approach",
    "enclosure",
    "suspension",
    "anticipation",
    "tension",
)
_SLOT_QUARTERS: Final = 2
#: From strong beat to strong beat a line leaps at most so many semitones.
_WIDEST: Final = 9
_WIDEST_INSIDE: Final = 7
#: So many lines are tried; after the first few, one with two roles beside chord tones will do.
_TRIES, _CHOOSY_TRIES = 24, 6
#: Where none would do, so many lines of chord tones alone are tried.
_LAST_TRIES: Final = 24
#: So many chord tones are looked at as the next one.
_GOALS: Final = 3
_RARE: Final = frozenset({"E#", "B#", "Cb", "Fb"})


@dataclass(frozen=True, slots=True)
class _Frame:
    """A chord: its pitches in reach from low to high, and those of its scale."""

    symbol: str
    tones: tuple[Pitch, ...]
    ladder: tuple[Pitch, ...]
    classes: frozenset[int]


@dataclass(frozen=True, slots=True)
class LineNote:
    """One note of a line: pitch, length in quarters, bar, onset in the bar, the chord under it."""

    pitch: str
    quarters: Fraction
    bar: int
    onset: Fraction
    chord: str


@lru_cache(maxsize=8192)
def _frame(symbol: str, key: str, low: int, high: int) -> _Frame:
    chord_scale = scales_for(Chord(symbol), key=Key(key), limit=1)[0]
    names = [tone.pitch_name for tone in chord_scale.chord_tones]
    tones = _placed(names, low, high)
    return _Frame(
        symbol, tones, _placed(chord_scale.scale.pitch_names, low, high), frozenset(n.pitch_class for n in names)
    )


def _placed(names: Sequence[PitchName], low: int, high: int) -> tuple[Pitch, ...]:
    octaves = range(low // 12 - 2, high // 12 + 1)
    pitches = [Pitch.from_name(name, octave) for name in names for octave in octaves]
    return tuple(sorted((p for p in pitches if low <= p.chromatic <= high), key=lambda p: p.chromatic))


@dataclass(frozen=True, slots=True)
class _Slot:
    """A stretch between two strong beats: bar, onset, how many notes, its chord and whether that is new."""

    bar: int
    onset: Fraction
    count: int
    frame: _Frame
    is_new: bool


def _slots(progression: Progression, unit: Fraction, low: int, high: int) -> list[_Slot]:
    found: list[_Slot] = []
    for bar, chords in enumerate(progression.bars):
        length = Fraction(BAR_QUARTERS, len(chords))
        step = min(length, Fraction(_SLOT_QUARTERS))
        for place, symbol in enumerate(chords):
            frame = _frame(symbol, progression.key, low, high)
            for part in range(int(length / step)):
                is_new = bool(found) and found[-1].frame.symbol != symbol
                found.append(_Slot(bar, place * length + part * step, int(step / unit), frame, is_new))
    return found


@lru_cache(maxsize=8192)
def _beside(target: Pitch, frame: _Frame) -> tuple[Pitch, ...]:
    """Return a half step below and the step of the scale above a pitch, spelled plainly."""
    found = [target.down("m2")]
    above = [one for one in frame.ladder if 1 <= one.chromatic - target.chromatic <= 2]
    found += above[:1] or [target.up("m2")]
    scale = {one.pitch_name for one in frame.ladder}
    return tuple(p for p in found if p.pitch_name in scale or (abs(p.alter) <= 1 and p.pitch_name.name not in _RARE))


def _between(frame: _Frame, one: Pitch, other: Pitch) -> list[Pitch]:
    """Return what of the scale lies between two pitches, from low to high."""
    low, high = sorted((one.chromatic, other.chromatic))
    return [pitch for pitch in frame.ladder if low < pitch.chromatic < high]


def _last(start: Pitch, goal: Pitch, here: _Frame, there: _Frame) -> Iterator[tuple[str, Pitch]]:
    """Return what may come between a chord tone and the next one: (role, pitch)."""
    for tone in here.tones:
        if tone not in (start, goal) and all(abs(tone.chromatic - one.chromatic) <= _WIDEST for one in (start, goal)):
            yield "chord tone", tone
    between = _between(here, start, goal)
    if len(between) == 1 and abs(goal.chromatic - start.chromatic) <= 4 and between[0] not in here.tones:
        yield "passing", between[0]
    for beside in _beside(goal, there):
        if goal == start:
            yield "neighbour", beside
        elif abs(beside.chromatic - start.chromatic) > 2:
            yield "approach", beside
    if goal.pitch_class not in here.classes and start != goal:
        yield "anticipation", goal
    for one in here.ladder:
        is_leap = 3 <= abs(one.chromatic - start.chromatic) <= _WIDEST
        if is_leap and one.pitch_class not in here.classes and 2 < abs(one.chromatic - goal.chromatic) <= _WIDEST:
            yield "tension", one


def _inner(
    start: Pitch, goal: Pitch, here: _Frame, there: _Frame
) -> Iterator[tuple[tuple[str, ...], tuple[Pitch, ...]]]:
    """Return what may come between two chord tones in three notes: (roles, that which is new in it first, pitches)."""
    way = _between(here, start, goal)
    if len(way) == 3:
        yield ("passing",), tuple(way if start.chromatic < goal.chromatic else way[::-1])
    around = _beside(goal, there)
    for tone in here.tones:
        if not 0 < abs(tone.chromatic - start.chromatic) <= _WIDEST:
            continue
        inside = _between(here, start, tone)
        if len(around) == 2:
            for pair in (around, around[::-1]):
                if abs(pair[0].chromatic - tone.chromatic) > 2:
                    yield ("enclosure",), (tone, *pair)
        for role, last in _last(tone, goal, here, there):
            if len(inside) == 1 and inside[0] not in here.tones:
                yield ("passing",) if role == "chord tone" else (role, "passing"), (inside[0], tone, last)
            elif role != "passing":
                for other in here.tones:
                    if other not in (start, tone) and all(
                        abs(other.chromatic - one.chromatic) <= _WIDEST_INSIDE for one in (start, tone)
                    ):
                        yield (role,), (other, tone, last)
    for beside in _beside(start, here):
        for role, last in _last(start, goal, here, there):
            roles = ("neighbour",) if role in ("chord tone", "neighbour") else (role, "neighbour")
            yield roles, (beside, start, last)


def _figures(
    count: int, start: Pitch, goal: Pitch, here: _Frame, there: _Frame, wanted: frozenset[str]
) -> Iterator[tuple[str, tuple[Pitch, ...]]]:
    """Return what may fill a slot of `count` notes after its first: (role that is new in it, pitches)."""
    if count == 1:
        yield "chord tone", ()
    elif count == 2:
        yield from ((role, (pitch,)) for role, pitch in _last(start, goal, here, there))
    elif count == 3:  # a suspension has taken the first
        for tone in here.tones:
            if 0 < abs(tone.chromatic - start.chromatic) <= _WIDEST:
                yield from ((role, (tone, last)) for role, last in _last(tone, goal, here, there))
    else:
        yield from (
            (roles[0], pitches) for roles, pitches in _inner(start, goal, here, there) if wanted.issuperset(roles)
        )


def _held(slot: _Slot, before: _Slot, prepared: Pitch) -> Pitch | None:
    """Return the chord tone to which a tone of the chord before, held over, goes down by step; None if there is none."""
    if prepared.pitch_class in slot.frame.classes or prepared.pitch_class not in before.frame.classes:
        return None
    below = [one for one in slot.frame.tones if 1 <= prepared.chromatic - one.chromatic <= 2]
    return below[-1] if below else None


def _try(draw: Draw, slots: Sequence[_Slot], roles: frozenset[str]) -> list[tuple[_Slot, tuple[Pitch, ...]]] | None:
    """Return the notes of each slot, or None where the line has nowhere to go."""
    middle = slots[0].frame.tones
    start = middle[len(middle) // 4 + draw.integer(max(1, len(middle) // 2))]
    found: list[tuple[_Slot, tuple[Pitch, ...]]] = []
    used: set[str] = set()
    held: Pitch | None = None
    for slot, following in zip(slots, [*slots[1:], None], strict=True):
        if following is None:
            found.append((slot, (start,)))
            break
        head = (start,) if held is None else (held, start)
        here = slot.frame
        if following.is_new and "suspension" in roles and "suspension" not in used and held is None and slot.count > 1:
            ways = [
                (tone, goal)
                for tone in here.tones
                if tone != start
                and abs(tone.chromatic - start.chromatic) <= 7
                and following.count > 1
                and (goal := _held(following, slot, tone)) is not None
            ]
            if ways and draw.integer(2):
                tone, goal = draw.choice(ways)
                fill = [
                    one for one in here.tones if one not in (start, tone) and abs(one.chromatic - tone.chromatic) <= 7
                ]
                if slot.count == 2 or len(fill) >= 2:
                    middle = () if slot.count == 2 else tuple(draw.shuffled(fill)[: slot.count - 2])
                    found.append((slot, (start, *middle, tone)))
                    used.add("suspension")
                    held, start = tone, goal
                    continue
        room = slot.count - len(head) + 1
        near = [one for one in following.frame.tones if abs(one.chromatic - start.chromatic) <= _WIDEST]
        goals = draw.shuffled(near)[:_GOALS]
        by_role: dict[str, list[tuple[Pitch, tuple[Pitch, ...]]]] = {}
        for goal in goals:
            for role, notes in _figures(room, start, goal, here, following.frame, roles | {"chord tone"}):
                by_role.setdefault(role, []).append((goal, notes))
        wanted = [role for role in draw.shuffled(sorted(by_role)) if role in roles]
        if not wanted:
            return None
        fresh = [role for role in wanted if role not in used and role != "chord tone"]
        role = (fresh or wanted)[0]
        goal, notes = draw.choice(by_role[role])
        used.add(role)
        found.append((slot, (*head, *notes)))
        held, start = None, goal
    return found


@lru_cache(maxsize=20000)
def embellished_line(
    progression: Progression, values: str, roles: tuple[str, ...], low: int, high: int, number: int
) -> tuple[LineNote, ...]:
    """Return line `number` over a progression, written from `low` to `high` (MIDI numbers).

    It ends on a chord tone that lasts. Without chance to do better it is the last one that was tried, with roles among
    `roles` as far as can be had; none at all (an empty tuple) where no try led to the end.

    Examples
    --------
    >>> two = Progression("C major", (("Dm7",), ("G7",), ("C",)))
    >>> line = embellished_line(two, "quarters", DRAWN_ROLES, 59, 83, 0)
    >>> [note.onset + note.quarters for note in line][-1]
    Fraction(4, 1)
    """
    unit, wanted = VALUES[values], frozenset(roles)
    slots = _slots(progression, unit, low, high)
    draw = Draw("embellished line", f"{progression.key} {progression.bars} {values} {roles} {low} {high}", 1, number, 0)
    best: tuple[int, tuple[LineNote, ...]] = (-1, ())
    colours = len(wanted - {"chord tone"})
    for at in range(_TRIES + _LAST_TRIES):
        if at >= _TRIES and best[1]:
            break
        tried = _try(draw, _merged_end(slots), wanted if at < _TRIES else frozenset({"chord tone"}))
        if tried is None:
            continue
        line = _timed(tried, unit)
        told = note_roles(
            [note.pitch for note in line],
            [note.chord for note in line],
            key=progression.key,
            durations_quarters=[note.quarters for note in line],
        )
        have = {one.role for one in told}
        if not have <= wanted | {"chord tone"}:
            continue
        if len(have) > best[0]:
            best = len(have), line
        if best[0] > min(3 if at < _CHOOSY_TRIES else 2, colours):
            break
    return best[1]


def _merged_end(slots: Sequence[_Slot]) -> list[_Slot]:
    """Return the slots with those of the last chord's last bar as one: the line comes to rest there."""
    last = slots[-1]
    inside = [slot for slot in slots if slot.bar == last.bar and slot.frame.symbol == last.frame.symbol]
    whole = [slot for slot in slots if slot not in inside]
    return [*whole, inside[0]] if len(slots) - len(inside) >= 2 else [*slots[:-1], last]


def _timed(tried: Sequence[tuple[_Slot, tuple[Pitch, ...]]], unit: Fraction) -> tuple[LineNote, ...]:
    found = []
    for at, (slot, pitches) in enumerate(tried):
        is_last = at + 1 == len(tried)
        for place, pitch in enumerate(pitches):
            quarters = BAR_QUARTERS - slot.onset if is_last else unit
            found.append(LineNote(pitch.name, quarters, slot.bar, slot.onset + place * unit, slot.frame.symbol))
    return tuple(found)


#: What may stand between the tones of `line_through`, the first that there is.
_BETWEEN_TONES: Final = ("passing", "approach", "neighbour", "chord tone")


def line_through(draw: Draw, symbol: str, key: str, tones: Sequence[Pitch]) -> tuple[Pitch, ...]:
    """Return tones of a chord with one note between each and the next: a passing note where there is one, else one beside it.

    Parameters
    ----------
    draw : Draw
        Where several notes would do.
    symbol, key : str
        The chord, and the key from which its scale is taken.
    tones : sequence of Pitch
        The tones in order.

    Examples
    --------
    >>> draw = Draw("demo", "first", 1, 7, 0)
    >>> [pitch.name for pitch in line_through(draw, "C", "C major", [Pitch("E4"), Pitch("G4"), Pitch("E4")])]
    ['E4', 'F4', 'G4', 'F4', 'E4']
    """
    low, high = (end(one.chromatic for one in tones) for end in (min, max))
    frame = _frame(symbol, key, low - _WIDEST, high + _WIDEST)
    line = [tones[0]]
    for start, goal in pairwise(tones):
        ways: dict[str, list[Pitch]] = {}
        for role, pitch in _last(start, goal, frame, frame):
            if pitch.pitch_class not in frame.classes or role == "chord tone":
                ways.setdefault(role, []).append(pitch)
        chosen = next((one for one in _BETWEEN_TONES if one in ways), "")
        line += [draw.choice(ways[chosen]) if chosen else start, goal]
    return tuple(line)
