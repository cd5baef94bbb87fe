"""From written to sounding pitch and back (`Transposition`), with spelling kept.

A transposing instrument's part is written an interval away from what it sounds. Spelling follows the interval: letter
by letter, so that a written scale sounds as a scale. In a key whose transposed signature would have more than six
sharps or flats, parts are written in the enharmonic key with the smaller signature, and every note follows it: concert
B major is D flat major, not C sharp major, for a clarinet in B flat. A single note that would need a double accidental
which it did not have before is respelled with its simplest name, unless its spelling is to be kept exactly.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, NamedTuple

from musictheory_nb.errors import InstrumentError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.pitch_grammar import STEP_SEMITONES, STEPS

#: Largest signature of a part; beyond it the enharmonic key has the smaller one.
LARGEST_SIGNATURE: Final = 6
#: Places on the line of fifths between two spellings of a sound.
_ENHARMONIC_FIFTHS: Final = 12


class MusicXMLTranspose(NamedTuple):
    """The numbers of a MusicXML ``transpose`` element: from written to sounding pitch."""

    diatonic: int
    chromatic: int
    octave_change: int


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Transposition:
    """How a part is written against how it sounds.

    Parameters
    ----------
    interval : Interval or str
        From written to sounding pitch: ``"-M2"`` for a clarinet in B flat, ``"-P8"`` for a double bass, ``"P1"`` for an
        instrument that sounds as written.

    Raises
    ------
    IntervalError
        No interval.

    Examples
    --------
    >>> t = Transposition("-M2")
    >>> t.sounding("C4"), t.written("Bb3"), t.written_key("B major")
    (Pitch('Bb3'), Pitch('C4'), Key('Db major'))
    >>> Transposition("up a bit")
    Traceback (most recent call last):
    musictheory_nb.errors.IntervalError: interval 'up a bit': ...
    """

    interval: Interval

    def __init__(self, interval: "Interval | str | Transposition") -> None:
        value = interval.interval if isinstance(interval, Transposition) else Interval(interval)
        object.__setattr__(self, "interval", value)

    @property
    def musicxml(self) -> MusicXMLTranspose:
        """Numbers of MusicXML's ``transpose``; whole octaves beyond the first interval are in ``octave_change``.

        Notes
        -----
        MusicXML 4.0, elements ``diatonic``, ``chromatic``, ``octave-change`` (from memory).

        Examples
        --------
        >>> tuple(Transposition("-M2").musicxml), tuple(Transposition("-M9").musicxml), tuple(Transposition("-P8").musicxml)
        ((-1, -2, 0), (-1, -2, -1), (0, 0, -1))
        """
        octaves = int(self.interval.steps / 7)
        return MusicXMLTranspose(self.interval.steps - 7 * octaves, self.interval.semitones - 12 * octaves, octaves)

    def sounding(self, written: Pitch | str, *, exact: bool = False) -> Pitch:
        """Sounding pitch of a written one.

        Parameters
        ----------
        exact : bool
            Whether to keep the spelling even where it gains a double accidental.

        Raises
        ------
        PitchError
            `written` cannot be read, or its exact spelling would have more than three accidentals.

        Examples
        --------
        >>> Transposition("-M6").sounding("C4"), Transposition("-M2").sounding("Fb4")
        (Pitch('Eb3'), Pitch('D4'))
        >>> Transposition("-M2").sounding("Fb4", exact=True)
        Pitch('Ebb4')
        """
        return _moved(Pitch(written), self.interval, exact)

    def written(self, sounding: Pitch | str, *, exact: bool = False) -> Pitch:
        """Written pitch of a sounding one; the other way of `sounding`.

        Raises
        ------
        PitchError
            As `sounding`.

        Examples
        --------
        >>> Transposition("-M6").written("Eb3"), Transposition("-M6").written("D#4"), Transposition("-P8").written("E1")
        (Pitch('C4'), Pitch('B#4'), Pitch('E2'))
        """
        return _moved(Pitch(sounding), _reverse(self.interval), exact)

    def written_key(self, sounding: Key | str) -> Key:
        """Key of the part when the music sounds in a key.

        Raises
        ------
        KeyNameError
            `sounding` is no key.

        Examples
        --------
        >>> Transposition("-M6").written_key("Bb major"), Transposition("-M2").written_key("G# minor")
        (Key('G major'), Key('Bb minor'))
        """
        return _moved_key(Key(sounding), _reverse(self.interval))[0]

    def sounding_key(self, written: Key | str) -> Key:
        """Key that sounds when the part is in a key.

        Raises
        ------
        KeyNameError
            `written` is no key.

        Examples
        --------
        >>> Transposition("-M2").sounding_key("Db major")
        Key('B major')
        """
        return _moved_key(Key(written), self.interval)[0]

    def written_line(self, sounding: Iterable[Pitch | str] | str, key: Key | str) -> tuple[Pitch, ...]:
        """Part of a line that sounds in a key, spelled in the part's key.

        Parameters
        ----------
        key : Key or str
            Sounding key.

        Raises
        ------
        PitchError
            A note cannot be read.
        KeyNameError
            `key` is no key.

        Examples
        --------
        >>> [pitch.name for pitch in Transposition("-M2").written_line("B3 D#4 F#4 A#4", "B major")]
        ['Db4', 'F4', 'Ab4', 'C5']
        """
        return _moved_line(sounding, _moved_key(Key(key), _reverse(self.interval))[1])

    def sounding_line(self, written: Iterable[Pitch | str] | str, key: Key | str) -> tuple[Pitch, ...]:
        """Sound of a written line whose part is in a key; the other way of `written_line`.

        Sounding F sharp and G flat major can have one and the same part, which then reads back as one of them.

        Raises
        ------
        PitchError
            A note cannot be read.
        KeyNameError
            `key` is no key.

        Examples
        --------
        >>> [pitch.name for pitch in Transposition("-M2").sounding_line("Db4 F4 Ab4 C5", "Db major")]
        ['B3', 'D#4', 'F#4', 'A#4']
        """
        return _moved_line(written, _moved_key(Key(key), self.interval)[1])

    def __str__(self) -> str:
        return str(self.interval)

    def __repr__(self) -> str:
        return f"Transposition({str(self.interval)!r})"


def read_transposition(written_c4_sounds: Pitch | str) -> Transposition:
    """Transposition of an instrument, from what its written C4 sounds as.

    Raises
    ------
    InstrumentError
        The sound is no interval that instruments transpose by.
    PitchError
        The pitch cannot be read.

    Examples
    --------
    >>> read_transposition("Bb3"), read_transposition("C4"), read_transposition("C3")
    (Transposition('-M2'), Transposition('P1'), Transposition('-P8'))
    """
    sound = Pitch(written_c4_sounds)
    if abs(sound.alter) > 1:
        raise InstrumentError(f"written C4 sounds {sound.name!r}: write it with one accidental at most")
    return Transposition(Interval.between("C4", sound))


def _reverse(interval: Interval) -> Interval:
    text = str(interval)
    return (
        interval if interval.semitones == 0 == interval.steps else Interval(text[1:] if text[0] == "-" else f"-{text}")
    )


def _moved(pitch: Pitch, by: Interval, exact: bool) -> Pitch:
    """Pitch an interval away; unless exact, a double accidental that it gains is spelled away."""
    if exact:
        return pitch.up(by)
    octave, place = divmod(pitch.diatonic + by.steps, 7)
    step = STEPS[place]
    alter = pitch.chromatic + by.semitones - (12 * octave + 12 + STEP_SEMITONES[step])
    if abs(alter) <= max(1, abs(pitch.alter)):
        return Pitch.of(step, alter, octave)
    return _simplest(pitch.chromatic + by.semitones, prefer_flats=alter < 0)


def _simplest(number: int, prefer_flats: bool) -> Pitch:
    """Spelling with the fewest accidentals, of the kind that the note had."""
    octave, pitch_class = number // 12 - 1, number % 12
    natural = {semitones: step for step, semitones in STEP_SEMITONES.items()}
    if pitch_class in natural:
        return Pitch.of(natural[pitch_class], 0, octave)
    return (
        Pitch.of(natural[pitch_class + 1], -1, octave)
        if prefer_flats
        else Pitch.of(natural[pitch_class - 1], 1, octave)
    )


def _moved_key(key: Key, by: Interval) -> tuple[Key, Interval]:
    """Key an interval away with the signature that a part would have, and the interval that its notes move by."""
    shift = Pitch("C4").up(by).pitch_name.fifths
    if not shift:  # by octaves or not at all: the key stays as it is
        return key, by
    turns = 0
    while key.fifths + shift + turns * _ENHARMONIC_FIFTHS > LARGEST_SIGNATURE:
        turns -= 1
    while key.fifths + shift + turns * _ENHARMONIC_FIFTHS < -LARGEST_SIGNATURE:
        turns += 1
    tonic = PitchName.from_fifths(key.tonic.fifths + shift + turns * _ENHARMONIC_FIFTHS)
    return Key.of(tonic, key.mode), _other_letter(by, -turns)


def _other_letter(by: Interval, letters: int) -> Interval:
    """Interval of the same sound, some letters wider."""
    if not letters:
        return by
    start = Pitch("C4")
    octave, place = divmod(start.diatonic + by.steps + letters, 7)
    alter = start.chromatic + by.semitones - (12 * octave + 12 + STEP_SEMITONES[STEPS[place]])
    return Interval.between(start, Pitch.of(STEPS[place], alter, octave))


def _moved_line(notes: Iterable[Pitch | str] | str, by: Interval) -> tuple[Pitch, ...]:
    return tuple(_moved(Pitch(note), by, exact=False) for note in note_list(notes))
