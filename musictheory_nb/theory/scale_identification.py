"""Which scales a set of notes belongs to, ranked (`identify_scale`).

A reading costs, in the units below, what speaks against it; the cheapest comes first, and between equals the order of
the catalogue decides. Notes outside the scale weigh most, then a tonic that is not among the notes, then notes of the
scale that are missing, then a rare scale (unless its notes are exactly those given), then notes spelled otherwise.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ScaleError
from musictheory_nb.theory.enumeration import listed
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.note_name import spelling_of
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import HIGHEST_FIFTHS, LOWEST_FIFTHS, STEP_FIFTHS, STEP_SEMITONES
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import TONIC_BIT, ScaleType, scale_types
from musictheory_nb.theory.scale_name import read_scale_name

#: What each thing costs that speaks against a reading.
COSTS: Final = {
    "extra note": 12,
    "missing note": 4,
    "tonic not given": 9,
    "tonic not first": 3,
    "level": 5,
    "other spelling": 1,
}
_EXTRA: Final = COSTS["extra note"]
_MISSING: Final = COSTS["missing note"]
_OTHER_SPELLING: Final = COSTS["other spelling"]
_OCTAVE: Final = 0b1111_1111_1111
#: Keeps places on the line of fifths above zero in a bit mask.
_PLACE_SHIFT: Final = 24

Note = Pitch | PitchName | str


@dataclass(frozen=True, slots=True)
class ScaleReading:
    """One scale that a set of notes may belong to.

    Parameters
    ----------
    scale : Scale
        The scale.
    notes : tuple of PitchName
        The notes that were given, each sound once, in their order.
    """

    scale: Scale
    notes: tuple[PitchName, ...]

    @property
    def missing(self) -> list[str]:
        """Names of the scale's notes that were not given."""
        return [name.name for name in self._missing()]

    @property
    def extra(self) -> list[str]:
        """Names of the given notes that the scale does not hold."""
        return [name.name for name in self._extra()]

    def _missing(self) -> list[PitchName]:
        sounds = {name.pitch_class for name in self.notes}
        return [name for name in self.scale.pitch_names if name.pitch_class not in sounds]

    def _extra(self) -> list[PitchName]:
        sounds = self.scale.pitch_classes
        return [name for name in self.notes if name.pitch_class not in sounds]

    @property
    def reason(self) -> str:
        """One sentence on what fits and what does not.

        Examples
        --------
        >>> identify_scale(["C", "Db", "E"])[0].reason
        'C Phrygian dominant holds every note given; F, G, A♭ and B♭ of the scale do not appear; its tonic, C, is the \
first note.'
        """
        name, missing, extra = self.scale.display, self._missing(), self._extra()
        if not extra and not missing:
            held = f"The notes are exactly those of {name}"
        elif not extra:
            held = f"{name} holds every note given; {_shown(missing)} of the scale {_did_not(missing)} appear"
        else:
            held = f"{name} holds all but {_shown(extra)}"
            if missing:
                held += f", and its {_shown(missing)} {_did_not(missing)} appear"
        tonic = self.scale.tonic
        if tonic.is_enharmonic_to(self.notes[0]):
            place = "the first note"
        else:
            place = f"{'' if any(map(tonic.is_enharmonic_to, self.notes)) else 'not '}among the notes"
        return f"{held}; its tonic, {tonic.display}, is {place}."


#: One scale: the tonic's pitch class, the kind's cost, its place in the catalogue, the kind.
_Candidate = tuple[int, int, int, ScaleType]
#: Every pitch-class set that some scale has, each with a number that sorts and finds it; and its scales in that order.
_Groups = tuple[tuple[tuple[int, int], ...], tuple[tuple[_Candidate, ...], ...]]
#: Room for the place of a set below its cost, in bits.
_PLACE_BITS: Final = 12


def _grouped(kinds: Sequence[ScaleType]) -> _Groups:
    """Every scale on every tonic, by pitch-class set."""
    groups: dict[int, list[_Candidate]] = {}
    seen: set[int] = set()
    for place, kind in enumerate(kinds):
        if kind.mask in seen:  # the same notes under another name, such as jazz minor
            continue
        seen.add(kind.mask)
        for tonic in range(12):
            mask = (kind.mask << tonic | kind.mask << tonic >> 12) & _OCTAVE
            groups.setdefault(mask, []).append((tonic, COSTS["level"] * (kind.level - 1), place, kind))
    sets = tuple((mask, _MISSING * mask.bit_count() << _PLACE_BITS | i) for i, mask in enumerate(groups))
    return sets, tuple(tuple(scales) for scales in groups.values())


@lru_cache(maxsize=1)
def _catalogue_groups() -> _Groups:
    return _grouped(scale_types())


def identify_scale(
    notes: Iterable[Note] | str,
    *,
    tonic: PitchName | str | None = None,
    kinds: Iterable[ScaleType | str] | None = None,
    limit: int = 12,
) -> list[ScaleReading]:
    """Rank the scales that some notes may belong to, the likeliest first.

    Parameters
    ----------
    notes : iterable of Pitch, PitchName or str
        In the order heard or written, or one text, ``"C D E"``: the first is taken for the likeliest tonic. Octaves
        are ignored.
    tonic : PitchName or str, optional
        Only scales on this tonic.
    kinds : iterable of ScaleType or str, optional
        Only these kinds, such as ``("major", "natural minor")``; the whole catalogue if not given.
    limit : int
        How many readings to return at most.

    Returns
    -------
    list of ScaleReading
        Each with ``.scale``, ``.missing`` (the scale's notes not given), ``.extra`` (given notes outside it) and
        ``.reason``.

    Raises
    ------
    ScaleError
        No notes, no kinds, or a limit below 1.
    PitchError
        A note cannot be read.

    Notes
    -----
    What speaks against a reading is weighed by `COSTS`: a convention of this package, not of a handbook.

    Examples
    --------
    >>> r = identify_scale(["D4", "E4", "F4", "G4", "A4", "B4", "C5"])
    >>> r[0].scale.name, r[0].missing, r[0].extra
    ('D Dorian', [], [])
    >>> r = identify_scale(["C4", "Db4", "E4"])
    >>> r[0].scale.name, r[0].missing
    ('C Phrygian dominant', ['F', 'G', 'Ab', 'Bb'])
    >>> identify_scale([])
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: notes []: give at least one note, such as ['C4', 'Eb4', 'G4']
    """
    names = [spelling_of(note) for note in note_list(notes)]
    if not names:
        raise ScaleError("notes []: give at least one note, such as ['C4', 'Eb4', 'G4']")
    if not isinstance(limit, int) or limit < 1:
        raise ScaleError(f"limit {limit!r}: must be a whole number, 1 or more")
    sounds = [(STEP_SEMITONES[step] + alter) % 12 for step, alter in names]
    fixed = None if tonic is None else tonic if isinstance(tonic, PitchName) else PitchName(tonic)
    groups = _catalogue_groups() if kinds is None else _grouped(_kinds(kinds))
    by_sound: dict[int, int] = {}  # place on the line of fifths by sound, in the order given
    for (step, alter), sound in zip(names, sounds, strict=True):
        by_sound.setdefault(sound, STEP_FIFTHS[step] + 7 * alter)
    ranked = _rank(groups, by_sound, fixed, limit)
    given = tuple(PitchName.from_fifths(place) for place in by_sound.values())
    return [ScaleReading(Scale.of(PitchName.from_fifths(place), kind), given) for kind, place in ranked]


def _kinds(kinds: Iterable[ScaleType | str]) -> list[ScaleType]:
    found = [read_scale_name(kind)[0] if isinstance(kind, str) else kind for kind in kinds]
    if not found:
        raise ScaleError("kinds (): name at least one, such as 'major'")
    return found


def _rank(
    groups: _Groups, by_sound: dict[int, int], fixed: PitchName | None, limit: int
) -> list[tuple[ScaleType, int]]:
    """Cheapest readings as kind and place of the tonic on the line of fifths."""
    sets, scales = groups
    given = sum(1 << sound for sound in by_sound)
    # A note that both have saves what it would cost as extra and as missing: so one count per set is enough.
    shared = _EXTRA + _MISSING << _PLACE_BITS
    costed = sorted([number - shared * (given & mask).bit_count() for mask, number in sets])
    all_extra = _EXTRA * len(by_sound)
    tonic_costs = [COSTS["tonic not first" if given >> sound & 1 else "tonic not given"] for sound in range(12)]
    tonic_costs[next(iter(by_sound))] = 0
    middle = sum(by_sound.values()) / len(by_sound)
    spellings = sum(1 << place + TONIC_BIT + _PLACE_SHIFT for place in by_sound.values())
    best: list[tuple[int, int, int, ScaleType]] = []
    worst = 1 << 30
    for number in costed:
        cost = all_extra + (number >> _PLACE_BITS)
        if cost > worst:
            break
        index = number & (1 << _PLACE_BITS) - 1
        held = (given & sets[index][0]).bit_count()
        for tonic, kind_cost, order, kind in scales[index]:
            if fixed is not None and tonic != fixed.pitch_class:
                continue
            rare = kind_cost if cost else 0  # where the notes are exactly the scale's, it may be as rare as it likes
            total = cost + rare + (0 if fixed else tonic_costs[tonic])
            if total > worst:
                continue
            place = fixed.fifths if fixed else by_sound[tonic] if given >> tonic & 1 else _nearest(tonic, middle)
            place = _spellable(place, kind)
            spelled_so = (kind.spelling_mask << place + _PLACE_SHIFT & spellings).bit_count()
            total += _OTHER_SPELLING * (held - spelled_so)
            best.append((total, order, place, kind))
        if len(best) >= limit:
            best.sort(key=_cost_and_order)
            del best[limit:]
            worst = best[-1][0]
    best.sort(key=_cost_and_order)
    return [(kind, place) for _, _, place, kind in best]


def _cost_and_order(item: tuple[int, int, int, ScaleType]) -> tuple[int, int, int]:
    return item[:3]


def _nearest(sound: int, middle: float) -> int:
    """Place of a pitch class on the line of fifths nearest to the middle of the given notes."""
    place = sound * 7 % 12
    return place + 12 * round((middle - place) / 12)


def _spellable(place: int, kind: ScaleType) -> int:
    """Place of the tonic, moved by an enharmonic step if the scale could not be spelled there."""
    if place + kind.reach[0] < LOWEST_FIFTHS:
        return place + 12
    return place - 12 if place + kind.reach[1] > HIGHEST_FIFTHS else place


def _shown(names: Sequence[PitchName]) -> str:
    return listed([name.display for name in names])


def _did_not(names: Sequence[PitchName]) -> str:
    return "does not" if len(names) == 1 else "do not"
