"""Notes given as an answer against the names asked for: which are right, which sound right, which are foreign or missing."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.written_note import GivenNote
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: What a note is worth that sounds right and is spelled otherwise.
MISSPELLED_SHARE: Final = 0.5


@lru_cache(maxsize=256)
def _pitch_class(name: str) -> int:
    return PitchName(name).pitch_class


@dataclass(frozen=True, slots=True)
class NoteComparison:
    """What becomes of each note.

    Parameters
    ----------
    names : tuple of str
        All that are asked for; the first is told by the question.
    right : tuple of str
        Names that were given, by name or as a piano key.
    misspelled : tuple of (GivenNote, str)
        A note that sounds right, and the name it should have.
    foreign : tuple of GivenNote
        Notes that are not asked for.
    missing : tuple of str
        Names that were not given and may not be left out.
    """

    names: tuple[str, ...]
    right: tuple[str, ...]
    misspelled: tuple[tuple[GivenNote, str], ...]
    foreign: tuple[GivenNote, ...]
    missing: tuple[str, ...]

    def score(self, enharmonic: bool) -> float:
        """Return the share of the names after the first that were given, less a share for each foreign note.

        Parameters
        ----------
        enharmonic : bool
            Another spelling of the same sound counts in full; else it counts `MISSPELLED_SHARE`.
        """
        worth = 1.0 if enharmonic else MISSPELLED_SHARE
        first = self.names[0]
        got = float(sum(name != first for name in self.right)) - len(self.foreign)
        got += worth * sum(name != first for _, name in self.misspelled)
        got -= (first in self.missing) + (1.0 - worth) * sum(name == first for _, name in self.misspelled)
        asked = {*self.right, *self.missing, *(name for _, name in self.misspelled)} - {first}
        return max(0.0, got / len(asked)) if asked else 0.0

    def share(self, enharmonic: bool) -> float:
        """Return the share of all names that were given, less a share for each foreign note; see `score`."""
        worth = 1.0 if enharmonic else MISSPELLED_SHARE
        got = len(self.right) + worth * len(self.misspelled) - len(self.foreign)
        return max(0.0, got / len(self.names))

    def is_right(self, enharmonic: bool) -> bool:
        """Return whether nothing is wrong."""
        return not self.foreign and not self.missing and (enharmonic or not self.misspelled)

    def told(self, display: Display, whole: str) -> list[str]:
        """Return a sentence for each kind of fault; `whole` is what the notes should make."""
        said = []
        if self.foreign:
            shown = list(dict.fromkeys(note.shown(display) for note in self.foreign))
            said.append(f"{listed(shown)} {'does' if len(shown) == 1 else 'do'} not belong to {whole}.")
        for note, name in self.misspelled:
            said.append(f"{note.shown(display)} sounds right, but here it is spelled {display.note(name)}.")
        if self.missing:
            shown = [display.note(name) for name in self.missing]
            said.append(f"{listed(shown)} {'is' if len(shown) == 1 else 'are'} missing.")
        return said


def compare_notes(names: Sequence[str], given: Sequence[GivenNote], optional: Collection[str] = ()) -> NoteComparison:
    """Compare notes, in whatever octave and however often, with the names asked for.

    Parameters
    ----------
    names : sequence of str
        Names without octaves, each sound once.
    given : sequence of GivenNote
        The answer; a piano key is right by its sound.
    optional : collection of str
        Names that may be left out.

    Examples
    --------
    >>> found = compare_notes(("C", "Eb", "G"), (GivenNote(0, "C", False), GivenNote(3, "D#", False)))
    >>> found.right, [name for _, name in found.misspelled], found.missing, found.score(False), found.score(True)
    (('C',), ['Eb'], ('G',), 0.25, 0.5)
    """
    by_sound = {_pitch_class(name): name for name in names}
    right = [name for name in names if any(_is(note, name) for note in given)]
    misspelled: dict[str, GivenNote] = {}
    foreign = []
    for note in given:
        name = by_sound.get(note.pitch_class)
        if name is not None and _is(note, name):
            continue
        if name is None or name in right or misspelled.get(name, note).name != note.name:
            foreign.append(note)
        else:
            misspelled.setdefault(name, note)
    have = {*right, *misspelled}
    missing = tuple(name for name in names if name not in have and name not in optional)
    told = tuple((note, name) for name, note in misspelled.items())
    return NoteComparison(tuple(names), tuple(right), told, tuple(_each_once(foreign)), missing)


def _is(note: GivenNote, name: str) -> bool:
    return note.pitch_class == _pitch_class(name) and note.name in ("", name)


def lowest_given(given: Sequence[GivenNote]) -> GivenNote:
    """Return the lowest note of an answer; where one has no octave, the first.

    Examples
    --------
    >>> lowest_given((GivenNote(64, "E", True), GivenNote(60, "C", True))).name
    'C'
    """
    return min(given, key=lambda note: note.chromatic) if all(note.has_octave for note in given) else given[0]


def _each_once(notes: Sequence[GivenNote]) -> list[GivenNote]:
    return list({(note.pitch_class, note.name): note for note in reversed(notes)}.values())[::-1]


def written_pitches(given: Sequence[GivenNote], near: str, *, rising: bool = True) -> tuple[str, ...]:
    """Return notes as pitches in the order given; a name without octave lies next to the note before it.

    Parameters
    ----------
    given : sequence of GivenNote
        The answer.
    near : str
        Pitch near which the first one lies.
    rising : bool
        Whether each note without an octave lies above the note before it, or below.

    Returns
    -------
    tuple of str
        None of them where a pitch leaves the range of MIDI numbers.

    Examples
    --------
    >>> written_pitches((GivenNote(9, "A", False), GivenNote(0, "C", False)), "A3")
    ('A3', 'C4')
    """
    found: list[Pitch] = []
    for note in given:
        pitch = note.pitch
        if pitch is None:
            pitch = _next(PitchName(note.name), found[-1] if found else None, Pitch(near), rising)
        found.append(pitch)
    return tuple(pitch.name for pitch in found) if all(0 <= pitch.chromatic <= 127 for pitch in found) else ()


def moved_near(pitches: Sequence[str], near: str) -> tuple[str, ...]:
    """Return pitches moved by octaves so that the first lies next to `near`, if they stay within MIDI numbers.

    Examples
    --------
    >>> moved_near(("C5", "E5", "G5"), "D3")
    ('C3', 'E3', 'G3')
    """
    octaves = round((Pitch(near).chromatic - Pitch(pitches[0]).chromatic) / 12)
    moved = [Pitch.from_name(pitch.pitch_name, pitch.octave + octaves) for pitch in map(Pitch, pitches)]
    return tuple(one.name for one in moved) if all(0 <= one.chromatic <= 127 for one in moved) else tuple(pitches)


def _next(name: PitchName, before: Pitch | None, near: Pitch, rising: bool) -> Pitch:
    if before is None:
        octaves = range(near.octave - 1, near.octave + 2)
        return min(
            (Pitch.from_name(name, octave) for octave in octaves), key=lambda one: abs(one.chromatic - near.chromatic)
        )
    octaves = range(before.octave - 2, before.octave + 3)
    placed = [Pitch.from_name(name, octave) for octave in octaves]
    if rising:
        return min((one for one in placed if one.chromatic > before.chromatic), key=lambda one: one.chromatic)
    return max((one for one in placed if one.chromatic < before.chromatic), key=lambda one: one.chromatic)
