"""Names of the chord that a set of notes makes, ranked, with a reason each (`name_chord`).

Every pitch class, sounding or not, is tried as a root; what speaks against a reading is added up as its cost
(`chord_template`): how rare the chord is, which tone lies in the bass, what is left out, how many notes would have to
be spelled otherwise. The key, a bass player's note and the next chord change the ranking where they are given.

The lowest note is the bass. Notes without octave numbers are taken as given from the bass up.
"""

from collections.abc import Iterable, Sequence
from operator import itemgetter
from typing import Final

from musictheory_nb.errors import ChordError, PitchRangeError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_context import NamingContext
from musictheory_nb.theory.chord_degree import (
    DEGREE_CLASS,
    DEGREE_FIFTHS,
    NAMES_BY_FIFTHS,
    SIMPLE_DEGREES,
    ChordParts,
    in_order,
)
from musictheory_nb.theory.chord_polychord import raised_degree
from musictheory_nb.theory.chord_reading import ROOT_FIFTHS, ChordReading, note_text, pitch_class_of
from musictheory_nb.theory.chord_template import FOREIGN_BASS_COST, MATCHES, Template
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import (
    HIGHEST_FIFTHS,
    LOWEST_FIFTHS,
    STEP_FIFTHS,
    STEP_SEMITONES,
    read_pitch_text,
)
from musictheory_nb.theory.pitch_name import PitchName

Note = Pitch | PitchName | str | int

#: Cost of each note that the chord spells otherwise than it was given.
SPELLING_COST: Final = 6
#: Readings that cost this much more than the first are not given.
_SPREAD: Final = 30
_MOST_READINGS: Final = 8
#: Score of a cost of nothing, in hundredths; context can raise it.
_FULL_SCORE: Final = 80
#: Costs above which the notes are also named one by one over their bass: with a whole triad there, and without.
_LITERAL_FROM: Final = 18
_LITERAL_ALONE_FROM: Final = 30
_LITERAL_COST: Final = 40
#: Cost of a whole triad with added notes, and more for each of them.
_ADDED_COST, _ADDED_NOTE_COST = 10, 6
_LEAST_UPPER: Final = 3
_OCTAVE: Final = 0b1111_1111_1111
#: Usual spelling of a root below a minor third whose name was not given, by pitch class, on the line of fifths.
_MINOR_ROOT_FIFTHS: Final = (0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5)
#: Bass notes outside G flat to D sharp keep the name they were given: Gbdim7/A, not Gbdim7/Bbb.
_LOWEST_BASS, _HIGHEST_BASS = -6, 9
#: Degrees of notes that have no spelling, or one too far from the bass, by semitones.
_CHROMATIC_DEGREES: Final = ("1", "b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")


def name_chord(
    notes: Iterable[Note] | str,
    key: Key | str | None = None,
    bass: Note | None = None,
    next_chord: Chord | str | None = None,
) -> list[ChordReading]:
    """Name the chord that notes make, the best reading first.

    Parameters
    ----------
    notes : iterable of Pitch, PitchName, str or int
        Notes with octaves (``"C3"``, or MIDI numbers), of which the lowest is the bass; or names without octaves
        (``"C"``), the bass first; or one text, ``"C E G"``. The order and doubling of the others do not matter.
    key : Key or str, optional
        Key of the passage.
    bass : note, optional
        A note that a bass player has below the others.
    next_chord : Chord or str, optional
        What follows.

    Returns
    -------
    list of ChordReading
        Each reads back to the notes, but for those that its `missing` and `extra` name.

    Raises
    ------
    ChordError
        No note is given, or some have octaves and others none.
    PitchError, PitchRangeError
        A note cannot be read.

    Notes
    -----
    The costs are taught practice put in numbers (common practice, no source); augmented sixths are told by their
    spelling, or by the next chord.

    Examples
    --------
    >>> first = name_chord(["C3", "Bb3", "E4", "A4"])[0]
    >>> first.chord.symbol, first.missing
    ('C13', ['G', 'D', 'F'])
    >>> first.reason
    'C dominant thirteenth: the root is in the bass; G, D and F left out, as players may'
    >>> [reading.chord.symbol for reading in name_chord("C E G A".split())[:2]]
    ['C6', 'Am7/C']
    >>> name_chord("C E G A".split(), next_chord="D7")[0].chord.symbol
    'Am7/C'
    >>> name_chord([])
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: notes: give at least one note
    """
    spelled, bass_class = _given(notes, bass)
    context = NamingContext.read(key, next_chord, None if bass is None else note_text(spelled[bass_class]))
    mask = sum(1 << pitch_class for pitch_class in spelled)
    fifths = [(pc, name.fifths) for pc, name in spelled.items() if isinstance(name, PitchName)]
    found = _search(mask, bass_class)
    if len(spelled) > _LEAST_UPPER and (not found or found[0][0] >= FOREIGN_BASS_COST):
        found += _search_over_foreign_bass(mask, bass_class)
        found.sort(key=itemgetter(0))
    names = tuple(spelled.values())
    ranked = []
    for cost, root_class, template, missing, foreign in found[: 2 * _MOST_READINGS]:
        root, unlike = _spell_root(root_class, template, fifths, spelled, context)
        if (
            template.by_spelling
            and (unlike or len(fifths) < len(spelled))
            and not context.leads_as_augmented_sixth(root)
        ):
            continue
        if foreign and isinstance(spelled[bass_class], PitchName):
            unlike -= 1
        change, said = context.weigh(root, template.degrees)
        ranked.append((cost + SPELLING_COST * max(unlike, 0) + change, root, template.degrees, missing, foreign, said))
    ranked.sort(key=itemgetter(0))
    if not ranked or ranked[0][0] >= _LITERAL_FROM:
        root = _bass_name(spelled[bass_class], context)
        degrees = _literal_degrees(root, names)
        literal = _literal_cost(degrees)
        new = all(degrees != other[2] or root != other[1] for other in ranked)
        if new and (literal < _LITERAL_COST or not ranked or ranked[0][0] > _LITERAL_ALONE_FROM):
            ranked.append((literal, root, degrees, (), False, ()))
            ranked.sort(key=itemgetter(0))
    limit = ranked[0][0] + _SPREAD
    readings = []
    for cost, root, degrees, missing, foreign, said in ranked[:_MOST_READINGS]:
        if cost > limit:
            break
        chord = _chord(root, degrees, missing, bass_class, spelled[bass_class], foreign)
        if chord is not None:
            readings.append(ChordReading(chord, names, missing, min(1.0, max(0.0, (_FULL_SCORE - cost) / 100)), said))
    return readings


_Found = tuple[int, int, Template, tuple[str, ...], bool]


def _search(mask: int, bass_class: int) -> list[_Found]:
    """Templates that the notes stand for over each root, cheapest first."""
    found: list[_Found] = []
    for root in range(12):
        matches = MATCHES.get(((mask >> root) | (mask << (12 - root))) & _OCTAVE)
        if matches is None:
            continue
        above = (bass_class - root) % 12
        for cost, template, missing in matches:
            in_bass = template.bass_costs[above]
            if missing and missing[0] == "1":
                in_bass //= 4
            found.append((cost + in_bass, root, template, missing, False))
    found.sort(key=itemgetter(0))
    return found


def _search_over_foreign_bass(mask: int, bass_class: int) -> list[_Found]:
    """Complete triads and sevenths among the notes above a bass that is none of their tones."""
    upper = mask & ~(1 << bass_class)
    found: list[_Found] = []
    for root in range(12):
        if not upper >> root & 1:
            continue
        for cost, template, missing in MATCHES.get(((upper >> root) | (upper << (12 - root))) & _OCTAVE, ()):
            if not missing and not template.by_spelling:
                found.append((cost + FOREIGN_BASS_COST, root, template, missing, True))
    return found


def _spell_root(
    root_class: int,
    template: Template,
    fifths: Sequence[tuple[int, int]],
    spelled: dict[int, PitchName | int],
    context: NamingContext,
) -> tuple[int, int]:
    """Place of the root on the line of fifths, and how many notes the chord then spells otherwise."""
    given = spelled.get(root_class)
    usual = (_MINOR_ROOT_FIFTHS if "b3" in template.degrees else ROOT_FIFTHS)[root_class]
    first = given.fifths if isinstance(given, PitchName) else context.spell(root_class, usual)
    unlike = _unlike(first, root_class, template, fifths)
    if unlike:
        for other in (first - 12, first + 12):
            if -7 <= other <= (8 if isinstance(given, PitchName) else 6):
                fewer = _unlike(other, root_class, template, fifths)
                if fewer < unlike:
                    first, unlike = other, fewer
    return first, unlike


def _unlike(root: int, root_class: int, template: Template, fifths: Sequence[tuple[int, int]]) -> int:
    offsets = template.fifths
    return sum(1 for pitch_class, place in fifths if root + offsets[(pitch_class - root_class) % 12] != place)


def _chord(
    root: int,
    degrees: tuple[str, ...],
    missing: tuple[str, ...],
    bass_class: int,
    bass_given: PitchName | int,
    foreign: bool,
) -> Chord | None:
    """The chord, with the lowest note as its bass; None where it cannot be spelled."""
    places = [root + DEGREE_FIFTHS[degree] for degree in degrees]
    if min(places) < LOWEST_FIFTHS or max(places) > HIGHEST_FIFTHS:
        return None
    name = NAMES_BY_FIFTHS[root]
    if foreign:
        bass = bass_given if isinstance(bass_given, PitchName) else NAMES_BY_FIFTHS[ROOT_FIFTHS[bass_class]]
    elif "1" in missing:
        bass = name
    else:
        above = (bass_class - name.pitch_class) % 12
        place = next(root + DEGREE_FIFTHS[degree] for degree in degrees if DEGREE_CLASS[degree] == above)
        awkward = not _LOWEST_BASS <= place <= _HIGHEST_BASS and isinstance(bass_given, PitchName)
        bass = bass_given if awkward else NAMES_BY_FIFTHS[place]  # type: ignore[assignment]
    return Chord.from_parts(ChordParts(name, degrees, bass))


def _bass_name(bass: PitchName | int, context: NamingContext) -> int:
    return bass.fifths if isinstance(bass, PitchName) else context.spell(bass, ROOT_FIFTHS[bass])


def _literal_degrees(root: int, names: Sequence[PitchName | int]) -> tuple[str, ...]:
    """The notes one by one, as degrees of the bass."""
    root_name = NAMES_BY_FIFTHS[root]
    simple = []
    for note in names:
        degree = None if isinstance(note, int) else SIMPLE_DEGREES.get(note.fifths - root)
        above = (pitch_class_of(note) - root_name.pitch_class) % 12
        simple.append(degree or _CHROMATIC_DEGREES[above])
    third = "3" if "3" in simple else "b3" if "b3" in simple else ""
    fifth = next((degree for degree in ("5", "b5", "#5") if degree in simple), "")
    seventh = next((degree for degree in ("b7", "7", "bb7") if degree in simple), "")
    core = {"1", third, fifth, seventh}
    return in_order(degree if degree in core else raised_degree(degree) for degree in simple)


def _literal_cost(degrees: tuple[str, ...]) -> int:
    if "5" in degrees and ("3" in degrees or "b3" in degrees):
        return _ADDED_COST + _ADDED_NOTE_COST * (len(degrees) - 3)
    return _LITERAL_COST


# reading the notes


def _given(notes: Iterable[Note] | str, bass: Note | None) -> tuple[dict[int, PitchName | int], int]:
    """Pitch classes with the name each was given, from the bass up, and the pitch class of the bass."""
    read = [_read(note) for note in note_list(notes)]
    if not read:
        raise ChordError("notes: give at least one note")
    heights = [height for _, height in read]
    if None in heights:
        if any(height is not None for height in heights):
            raise ChordError("notes: give every note an octave number, or none")
        lowest = read[0][0]
    else:
        lowest = min(read, key=lambda one: one[1])[0]  # type: ignore[arg-type, return-value]
    if bass is not None:
        lowest = _read(bass)[0]
    bass_class = pitch_class_of(lowest)
    spelled: dict[int, PitchName | int] = {bass_class: lowest}
    for name in sorted((name for name, _ in read), key=_by_place):
        spelled.setdefault(pitch_class_of(name), name)
    return spelled, bass_class


def _by_place(note: PitchName | int) -> tuple[int, int]:
    """Order that depends on the note alone: plainest spelling first."""
    if isinstance(note, int):
        return 100, note
    place = note.fifths - 2
    return abs(place), place


def _read(note: Note) -> tuple[PitchName | int, int | None]:
    """Name of a note (a pitch class for a MIDI number), and its height in semitones or None."""
    if isinstance(note, str):
        step, alter, octave = read_pitch_text(note, "note")
        name = NAMES_BY_FIFTHS[STEP_FIFTHS[step] + 7 * alter]
        return name, None if octave is None else 12 * octave + 12 + STEP_SEMITONES[step] + alter
    if isinstance(note, Pitch):
        return note.pitch_name, note.chromatic
    if isinstance(note, PitchName):
        return note, None
    if isinstance(note, int) and not isinstance(note, bool):
        if not 0 <= note <= 127:
            raise PitchRangeError(f"note {note!r}: a MIDI number is from 0 to 127")
        return note % 12, note
    raise ChordError(f"note {note!r}: must be a pitch such as 'C3', a name such as 'C', or a MIDI number")
