"""What each note of a line is over its chord: chord tone, tension, passing note … (`note_roles`).

Conventions: a step is a half or a whole step, by sound; a rest breaks the line. The chord's own tones are root, third or
suspended tone, fifth, and sixth or seventh. How a note is reached and left decides first, its place in the chord's
scale after that: the 9 that passes between root and third is a passing note, the 9 that is held is a tension.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ChordError, ScaleError, TheoryError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_CLASS, degree_between
from musictheory_nb.theory.chord_scale import ChordScale, scales_for
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale_degree import display_degree

#: Every role, and what it means. Source: common practice.
ROLES: Final = MappingProxyType(
    {
        "chord tone": "root, third or suspended tone, fifth, sixth or seventh of the chord",
        "tension": "a note that colours the chord and is not merely passed through",
        "passing": "on the way by steps, in one direction, between two chord tones",
        "neighbour": "a step away from a chord tone and back, or both steps around it",
        "approach": "reached by leap or after a rest, and left by step for a chord tone",
        "enclosure": "one of two notes, a step above and a step below, that lead to the chord tone between them",
        "suspension": "a tone of the chord before, held over, that goes on by step to a chord tone",
        "anticipation": "a tone of the chord to come, sounded before it",
        "avoid": "a note of the scale that clashes with the chord and is rested on or left by leap",
        "outside": "a note outside the scale that does not go on by step to a chord tone",
        "no chord": "there is no chord at that place (N.C.)",
    }
)
#: From this length on a note is rested on, whatever goes before and after it.
_RESTED_ON_QUARTERS: Final = Fraction(2)
_ABOVE_THE_SEVENTH: Final = ("9", "11", "13")
_USUAL_DEGREES: Final = ("1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7")


@dataclass(frozen=True, slots=True)
class NoteRole:
    """What one note of a line is over its chord.

    Parameters
    ----------
    note : Pitch
        The note.
    chord : Chord
        Its chord.
    role : str
        A key of `ROLES`.
    degree : str
        Degree above the chord's root, or above its bass where the chord is heard from there; empty without a chord.
    reason : str
        One sentence.
    """

    note: Pitch
    chord: Chord
    role: str
    degree: str
    reason: str


@dataclass(frozen=True, slots=True)
class _Place:
    """A note with its chord, the scale taken for it, and its degree and kind in that scale."""

    note: Pitch
    chord: Chord
    scale: ChordScale | None
    degree: str
    kind: str

    @property
    def is_chord_tone(self) -> bool:
        return self.kind == "chord tone"

    @property
    def shown(self) -> str:
        """Name and degree as printed."""
        return f"{self.note.pitch_name.display} ({display_degree(self.degree)})"


def note_roles(
    line: Sequence[Pitch | str | None] | str,
    chords: Chord | str | Sequence[Chord | str],
    *,
    key: Key | str | None = None,
    durations_quarters: Sequence[Fraction | int] | None = None,
) -> list[NoteRole]:
    """Say what each note of a line is over its chord.

    Parameters
    ----------
    line : sequence of Pitch, str or None
        The notes in order, or one text, ``"C4 D4"``; None is a rest.
    chords : Chord, str or sequence of them
        One chord for the whole line, or one for each note and rest.
    key : Key or str, optional
        The key, from which the scale of each chord is taken; see `scales_for`. Without it a note outside the chord's
        first scale is a tension where it is one in another scale that is taught with the chord: F# over Cmaj7.
    durations_quarters : sequence of Fraction or int, optional
        Length of each note and rest in quarters. A half note or longer is rested on: it is then a tension or an avoid
        note, however it is reached and left.

    Returns
    -------
    list of NoteRole
        One for each note; none for a rest.

    Raises
    ------
    ChordError
        A chord cannot be read, or their number is not that of the notes.
    PitchError
        A note cannot be read.
    ScaleError
        The number of durations is not that of the notes.

    Notes
    -----
    Source: common practice; the roles of counterpoint as taught, for instance, in Tonal Harmony (McGraw-Hill, 3rd ed.
    1995), chapters on non-chord tones, beside the tensions and avoid notes of chord-scale teaching. From memory.

    Examples
    --------
    >>> [(r.note.name, r.role) for r in note_roles(["C4", "D4", "E4", "F#4", "G4", "A4"], "Cmaj7")]
    [('C4', 'chord tone'), ('D4', 'passing'), ('E4', 'chord tone'), ('F#4', 'passing'), ('G4', 'chord tone'), ('A4', 'tension')]
    >>> [r.role for r in note_roles(["F4", "F4", "E4"], ["G7", "C", "C"])]
    ['chord tone', 'suspension', 'chord tone']
    >>> note_roles(["C4", "D4"], ["C"])
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chords: 1 for 2 notes and rests; write one for each, or one for all
    """
    given = [None if note is None else Pitch(note) for note in note_list(line)]
    read = _read_chords(chords, len(given))
    if durations_quarters is not None and len(durations_quarters) != len(given):
        raise ScaleError(f"durations: {len(durations_quarters)} for {len(given)} notes and rests; write one for each")
    scales = {chord: _scales_of(chord, key) for chord in dict.fromkeys(read)}
    places = [
        None if note is None else _place(note, chord, scales[chord]) for note, chord in zip(given, read, strict=True)
    ]
    once, group_of = _repeats_as_one(places)
    rested = [False] * len(once)
    for i, length in enumerate(durations_quarters or ()):
        rested[group_of[i]] |= length >= _RESTED_ON_QUARTERS
    roles = [_role(once, i, rested=rested[i]) if place else ("", "") for i, place in enumerate(once)]
    return [
        NoteRole(place.note, place.chord, roles[group_of[i]][0], place.degree, roles[group_of[i]][1])
        for i, place in enumerate(places)
        if place is not None
    ]


def _repeats_as_one(places: Sequence["_Place | None"]) -> tuple[list["_Place | None"], list[int]]:
    """The line with a note that is struck again over the same chord counted once, and where each note has gone."""
    once: list[_Place | None] = []
    group_of = []
    for place in places:
        last = once[-1] if once else None
        if not (place and last and place.note.is_enharmonic_to(last.note) and place.chord == last.chord):
            once.append(place)
        group_of.append(len(once) - 1)
    return once, group_of


def _read_chords(chords: Chord | str | Sequence[Chord | str], count: int) -> list[Chord]:
    if isinstance(chords, Chord | str):
        return [Chord(chords)] * count
    if not isinstance(chords, Sequence) or isinstance(chords, bytes):
        raise ChordError(f"chords {chords!r}: write one chord, such as 'Cm7', or one for each note")
    for chord in chords:
        if not isinstance(chord, Chord | str):
            raise ChordError(f"chord {chord!r}: write it as text, such as 'Cm7' or 'G7/B'")
    read = {text: Chord(text) for text in dict.fromkeys(chords)}
    if len(chords) != count:
        raise ChordError(f"chords: {len(chords)} for {count} notes and rests; write one for each, or one for all")
    return [read[text] for text in chords]


@lru_cache(maxsize=1024)
def _scales_of(chord: Chord, key: Key | str | None) -> tuple[ChordScale, ...]:
    """Scale of the chord in its key; without a key the first one and the others that are taught with the chord."""
    if chord.is_no_chord:
        return ()
    if key is not None:
        return tuple(scales_for(chord, key=key, limit=1))
    first, *others = scales_for(chord)
    return (first, *(one for one in others if one.is_taught))


def _place(note: Pitch, chord: Chord, scales: Sequence[ChordScale]) -> _Place:
    """What a note is by its sound alone: in the first scale, or as a tension of another one."""
    if not scales:
        return _Place(note, chord, None, "", "no chord")
    first = _place_in(note, chord, scales[0])
    if first.kind != "outside":
        return first
    for scale in scales[1:]:
        other = _place_in(note, chord, scale)
        if other.kind == "tension" and other.degree.lstrip("#b") in _ABOVE_THE_SEVENTH:
            return other
    return first


def _place_in(note: Pitch, chord: Chord, scale: ChordScale) -> _Place:
    """What a note is in one scale over the chord."""
    written = {tone.pitch_name.pitch_class for tone in chord.tones}
    for kind, tones in (
        ("chord tone", (*scale.chord_tones, *(tone for tone in scale.left_out if tone.degree == "5"))),
        ("tension", scale.tensions),
        ("avoid", scale.avoid),
        ("passing", scale.passing),
    ):
        for tone in tones:
            if tone.pitch_name.pitch_class == note.pitch_class:
                is_written = kind == "tension" and note.pitch_class in written
                return _Place(note, chord, scale, tone.degree, "written tension" if is_written else kind)
    return _Place(note, chord, scale, _outside_degree(note, scale), "outside")


def _outside_degree(note: Pitch, scale: ChordScale) -> str:
    """Degree of a note outside the scale: as spelled, 2, 4 and 6 as tensions; else the usual one of its sound."""
    try:
        simple = degree_between(scale.scale.tonic, note.pitch_name)
    except TheoryError:
        return _USUAL_DEGREES[(note.pitch_class - scale.scale.tonic.pitch_class) % 12]
    higher = {"2": "9", "4": "11", "6": "13"}.get(simple[-1])
    return simple[:-1] + higher if higher and simple[:-1] + higher in DEGREE_CLASS else simple


def _role(places: Sequence[_Place | None], i: int, *, rested: bool) -> tuple[str, str]:
    """Role and reason of the note at place `i`."""
    place = places[i]
    assert place is not None
    before = places[i - 1] if i else None
    after = places[i + 1] if i + 1 < len(places) else None
    if place.scale is None:
        return "no chord", "There is no chord here."
    chord = place.chord.display
    if place.is_chord_tone:
        return "chord tone", f"{place.note.pitch_name.display} is the {display_degree(place.degree)} of {chord}."
    if found := _held_over(before, place, after):
        return found
    if place.kind == "written tension":
        return "tension", f"{place.shown} is a tension that {chord} asks for."
    if not rested and (found := _moving(places, i)):
        return found
    if place.kind == "outside":
        return "outside", f"{place.shown} is outside {place.scale.scale.display} and is not led on to a chord tone."
    if place.kind == "avoid":
        return "avoid", f"{place.shown} clashes with {chord} and is {'rested on' if rested else 'not led on by step'}."
    return "tension", f"{place.shown} is a tension of {chord} in {place.scale.scale.display}."


def _held_over(before: _Place | None, place: _Place, after: _Place | None) -> tuple[str, str] | None:
    """Suspension or anticipation: the same pitch across a change of chord."""
    shown = place.note.pitch_name.display
    was_prepared = before and before.is_chord_tone and before.note.is_enharmonic_to(place.note)
    if before and was_prepared and before.chord != place.chord and after and _leads_on(place, after):
        way = "down" if _step(place, after) < 0 else "up"
        to = after.note.pitch_name.display
        return "suspension", f"{shown}, a tone of {before.chord.display}, is held over and goes {way} by step to {to}."
    if after and after.note.is_enharmonic_to(place.note) and after.chord != place.chord and after.is_chord_tone:
        return "anticipation", f"{shown} is a tone of {after.chord.display}, sounded before the chord comes."
    return None


def _step(place: _Place, other: _Place) -> int:
    """Semitones from one note to the other if it is a step, else 0."""
    semitones = other.note.chromatic - place.note.chromatic
    return semitones if 1 <= abs(semitones) <= 2 else 0


def _leads_on(place: _Place, after: _Place | None) -> bool:
    """Whether the next note is a chord tone, a step away."""
    return after is not None and after.is_chord_tone and _step(place, after) != 0


def _moving(places: Sequence[_Place | None], i: int) -> tuple[str, str] | None:
    """Passing note, neighbour, enclosure or approach, by the notes around it."""
    place = places[i]
    assert place is not None
    shown = place.shown
    if ends := _run(places, i):
        low, high = (end.note.pitch_name.display for end in ends)
        return "passing", f"{shown} passes by step from {low} to {high}."
    before = places[i - 1] if i else None
    after = places[i + 1] if i + 1 < len(places) else None
    leads_on = _leads_on(place, after)
    if leads_on and before and after and before.is_chord_tone and before.note.is_enharmonic_to(after.note):
        return "neighbour", f"{shown} is a step away from {before.note.pitch_name.display} and back."
    if target := _around(places, i):
        start = places[target - 3] if target >= 3 else None
        goal = places[target]
        assert goal is not None
        name = goal.note.pitch_name.display
        if start and start.is_chord_tone and start.note.is_enharmonic_to(goal.note):
            return "neighbour", f"{shown} is one of the two neighbours around {name}."
        return "enclosure", f"{shown} is one of the two notes around {name}, the chord tone to which they lead."
    if after and leads_on:
        how = "a half step" if abs(_step(place, after)) == 1 else "a whole step"
        side = "below" if _step(place, after) > 0 else "above"
        return "approach", f"{shown} leads to {after.note.pitch_name.display} from {how} {side}."
    return None


def _run(places: Sequence[_Place | None], i: int) -> tuple[_Place, _Place] | None:
    """The two chord tones between which the note lies on a way of steps in one direction."""
    ends: list[_Place] = []
    signs = set()
    for way in (-1, 1):
        here = i
        while True:
            place, there = places[here], here + way
            other = places[there] if 0 <= there < len(places) else None
            if place is None or other is None or not (step := _step(place, other)):
                return None
            signs.add(step * way > 0)
            if len(signs) > 1:
                return None
            here = there
            if other.is_chord_tone:
                ends.append(other)
                break
    return ends[0], ends[1]


def _around(places: Sequence[_Place | None], i: int) -> int:
    """Place of the chord tone that this note and a neighbour of it surround by steps; 0 if there is none."""
    for first in (i - 1, i):
        if first < 0 or first + 2 >= len(places):
            continue
        one, two, goal = places[first : first + 3]
        if one is None or two is None or goal is None or one.is_chord_tone or two.is_chord_tone:
            continue
        if goal.is_chord_tone and _step(one, goal) * _step(two, goal) < 0:  # one from above, one from below
            return first + 2
    return 0
