"""What a student writes as text (a chord symbol, a numeral, a scale …), read by theory and said back in words."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ChordError, ExerciseError, PitchError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.figured_bass import figured_notes
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import read_pitch, read_pitch_name, split_pitch_name, write_pitch
from musictheory_nb.theory.roman_numeral import Roman
from musictheory_nb.theory.scale import Scale

_POSITIONS: Final = ("root position", "first inversion", "second inversion", "third inversion")
_SIGN_WORDS: Final = MappingProxyType({"♯": " sharp", "♭": " flat", "𝄪": " double sharp", "𝄫": " double flat"})
#: Stands for the chord before, for another beat.
SAME_CHORD: Final = "/"
#: Most pitches that one text may list.
MOST_PITCHES: Final = 16


def spoken_name(display: str) -> str:
    """Return a printed name as it is said.

    Examples
    --------
    >>> spoken_name("F♯4"), spoken_name("B♭")
    ('F sharp 4', 'B flat')
    """
    for sign, words in _SIGN_WORDS.items():
        display = display.replace(sign, words)
    return re.sub(r"(?<=[A-Za-z])(-?[0-9]+)", r" \1", display)


@dataclass(frozen=True, slots=True)
class SymbolReading:
    """A text that has been read: as it is printed, and in words."""

    display: str
    words: str


@dataclass(frozen=True, slots=True)
class SymbolKind:
    """A kind of text: what it is called, an example, whether it is read in a key, and who reads it."""

    noun: str
    example: str
    needs_key: bool
    read: Callable[[str, str, str], SymbolReading]


def _read_chord(text: str, _key: str, names: str) -> SymbolReading:
    chord = Chord(text, names=names)
    if chord.root is None or chord.bass is None:
        return SymbolReading(chord.display, "no chord")
    root = spoken_name(write_pitch(chord.root, names, printed=True))
    under = f" over {spoken_name(write_pitch(chord.bass, names, printed=True))}" if chord.bass != chord.root else ""
    return SymbolReading(chord.spelled(names, printed=True), f"{root} {chord.words}{under}")


def _read_numeral(text: str, key: str, _names: str) -> SymbolReading:
    numeral = Roman(text, key=key)
    position = "" if numeral.inversion is None else f", {_POSITIONS[numeral.inversion]}"
    return SymbolReading(numeral.display, f"{numeral.chord.words}{position}, in {key}")


def _read_figures(text: str, key: str, _names: str) -> SymbolReading:
    home = key or "C major"
    bass = PitchName(home.split()[0].capitalize())
    upper = figured_notes(bass, text, home)[1:]
    above = [Interval.between(bass, name) for name in upper]
    numbers = [str(one.number) for one in above]
    altered = ", altered as written" if any(sign in text for sign in "#b♯♭n♮+\\") else ""
    return SymbolReading(text.strip(), f"above the bass: {listed([_ORDINALS.get(n, n) for n in numbers])}{altered}")


_ORDINALS: Final = MappingProxyType(
    {"2": "a second", "3": "a third", "4": "a fourth", "5": "a fifth", "6": "a sixth", "7": "a seventh"}
)


def read_scale(text: str, names: str = "english") -> Scale:
    """Read a scale whose tonic is written in a system of pitch names.

    Raises
    ------
    TheoryError
        The text cannot be read.

    Examples
    --------
    >>> read_scale("H Phrygian", "german")
    Scale('B Phrygian')
    """
    if names == "english":
        return Scale(text)
    tonic, rest = split_pitch_name(text.strip(), names)
    return Scale(f"{tonic.name} {rest.strip()}")


def _read_scale(text: str, _key: str, names: str) -> SymbolReading:
    scale = read_scale(text, names)
    shown = scale.display.replace(scale.tonic.display, write_pitch(scale.tonic, names, printed=True), 1)
    return SymbolReading(shown, spoken_name(shown))


def _read_pitches(text: str, _key: str, names: str) -> SymbolReading:
    notes = note_list(text)
    if not 1 <= len(notes) <= MOST_PITCHES:
        raise PitchError(f"pitches {text!r}: write 1 to {MOST_PITCHES}, with blanks between them, such as 'C Eb G'")
    read: list[Pitch | PitchName] = []
    for note in notes:
        has_octave = str(note).strip(")")[-1:].isdecimal()
        read.append(read_pitch(str(note), names) if has_octave else read_pitch_name(str(note), names))
    printed = [write_pitch(one, names, printed=True) for one in read]
    return SymbolReading(" ".join(printed), ", ".join(spoken_name(one) for one in printed))


def _read_interval(text: str, _key: str, _names: str) -> SymbolReading:
    interval = Interval.read(text)
    return SymbolReading(str(interval), interval.name)


def _each_chord(text: str, read: Callable[[str, str, str], SymbolReading], key: str, names: str) -> SymbolReading:
    """Read the chords of a measure, with blanks between them; one that stays is a slash."""
    tokens = text.split()
    if tokens[0] == SAME_CHORD:
        raise ChordError(f"chords {text!r}: begin with a chord; {SAME_CHORD} holds the one before for another beat")
    found = [read(token, key, names) for token in tokens if token != SAME_CHORD]
    displays = iter(found)
    shown = " ".join(token if token == SAME_CHORD else next(displays).display for token in tokens)
    return SymbolReading(shown, "; ".join(one.words for one in found))


def _read_chords(text: str, key: str, names: str) -> SymbolReading:
    return _each_chord(text, _read_chord, key, names)


def _read_numerals(text: str, key: str, names: str) -> SymbolReading:
    return _each_chord(text, _read_numeral, key, names)


#: What a text field can read.
SYMBOL_KINDS: Final = MappingProxyType(
    {
        "chord": SymbolKind("a chord symbol", "F#m7b5", False, _read_chord),
        "numeral": SymbolKind("a Roman numeral", "V65/V", True, _read_numeral),
        "figures": SymbolKind("figures", "6/5", False, _read_figures),
        "scale": SymbolKind("a scale", "Bb Lydian dominant", False, _read_scale),
        "pitches": SymbolKind("pitches", "C Eb G", False, _read_pitches),
        "chords": SymbolKind("the chord symbols of a measure", "Dm7 G7/B", False, _read_chords),
        "numerals": SymbolKind("the Roman numerals of a measure", "ii7 V65", True, _read_numerals),
        "interval": SymbolKind("an interval", "m7 or minor seventh", False, _read_interval),
    }
)


def symbol_kind(reads: str) -> SymbolKind:
    """Return the kind of that name.

    Raises
    ------
    ExerciseError
        There is none.

    Examples
    --------
    >>> symbol_kind("chord").noun
    'a chord symbol'
    >>> symbol_kind("mood")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: reads 'mood': allowed are chord, numeral, figures, scale, pitches, chords, numerals, interval
    """
    if reads not in SYMBOL_KINDS:
        raise ExerciseError(f"reads {reads!r}: allowed are {', '.join(SYMBOL_KINDS)}")
    return SYMBOL_KINDS[reads]


def read_symbol(reads: str, text: str, key: str = "", names: str = "english") -> SymbolReading:
    """Read a text and say it back.

    The words say what was written and not which notes it means, so that they do not answer the question.

    Parameters
    ----------
    reads : str
        A name of `SYMBOL_KINDS`.
    text : str
        What was written.
    key : str
        The key that numerals and figures are read in.
    names : {'english', 'german', 'fixed do'}
        System of pitch names.

    Raises
    ------
    TheoryError
        The text cannot be read; the message says what to write.
    ExerciseError
        No such kind.

    Examples
    --------
    >>> read_symbol("chord", "F#m7b5/C").words
    'F sharp half-diminished seventh over C'
    >>> read_symbol("numeral", "V65/V", "C major").words
    'dominant seventh, first inversion, in C major'
    >>> read_symbol("pitches", "H Dis Fis", names="german").display
    'H Dis Fis'
    >>> read_symbol("numerals", "ii7 / V65", "C major").display
    'ii7 / V65'
    >>> read_symbol("scale", "C foo")
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: scale 'C foo': no scale of that name; write a tonic and a name, such as 'C Lydian dominant'
    """
    return symbol_kind(reads).read(text, key, names)
