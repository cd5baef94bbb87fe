"""Reading a chord symbol as musicians write it on charts: root, suffix, bass or second chord.

The longest run of accidentals behind the first letter belongs to the root: ``Bb5`` is a power chord on B flat, and
``B(b5)`` has a flat fifth. A doubled accidental before a bare 5 is refused with its readings. Behind a slash a bare
note is a bass, a chord with a quality is the lower half of a polychord, a number is part of the chord (``6/9``);
behind ``|`` a bare note is a triad. A small letter is read as a root where the text itself says what the third is
(``am``, ``dsus4``); ``a`` and ``a7`` are refused, because they are written for the major and for the minor chord.
In German texts a small letter is a minor chord.
"""

from typing import NoReturn

from musictheory_nb.errors import AmbiguousError, ChordError
from musictheory_nb.theory.chord_degree import NO_CHORD, ChordParts, check_spellable, in_order, lowest_tone
from musictheory_nb.theory.chord_polychord import merge_chords
from musictheory_nb.theory.chord_quality import DEGREES_BY_SUFFIX
from musictheory_nb.theory.chord_root import NOTES_BY_TEXT, read_bass, split_lower, split_root, whole_text_advice
from musictheory_nb.theory.chord_suffix import TWO_SETTINGS, read_suffix
from musictheory_nb.theory.chord_text import (
    is_no_chord,
    plain_chord_text,
    without_foreign_words,
    without_outer_brackets,
)
from musictheory_nb.theory.pitch_text import check_pitch_names


def read_chord_symbol(text: str, *, names: str = "english", two: str = "add") -> ChordParts:
    """Read a chord symbol.

    Parameters
    ----------
    text : str
        Such as ``"Bb13"``, ``"F♯ø7"``, ``"D/C7"``, ``"N.C."``.
    names : {'english', 'german', 'fixed do'}
        System of root and bass names. In German H is B, and B is B flat.
    two : {'add', 'sus'}
        Whether ``C2`` is a triad with an added 2, or Csus2.

    Raises
    ------
    ChordError
        The text is no chord symbol.
    AmbiguousError
        It has several readings; they are listed.
    PitchError
        `names` is no system of names.

    Examples
    --------
    >>> read_chord_symbol("Abmaj7/C")
    ChordParts(root=PitchName('Ab'), degrees=('1', '3', '5', '7'), bass=PitchName('C'))
    >>> read_chord_symbol("H7", names="german").root
    PitchName('B')
    >>> read_chord_symbol("Ebb5")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: chord 'Ebb5': may be Eb(b5) or Ebb(no3); write one of these
    """
    if names == "english" and two == "add" and type(text) is str:
        parts = _read_usual(text)
        if parts is not None:
            return parts
    return _read_any(text, names, two)


def _read_usual(text: str) -> ChordParts | None:
    """Read a root, a suffix of the table and a bass; None for whatever else there may be in the text."""
    end = 1
    while text[end : end + 1] in ("#", "b", "♯", "♭"):
        end += 1
    root = NOTES_BY_TEXT.get(text[:end])
    if root is None or end > 2:
        return None
    degrees = DEGREES_BY_SUFFIX.get(text[end:])
    if degrees is not None:
        return ChordParts(root, degrees, root)
    suffix, slash, bass_text = text[end:].rpartition("/")
    if not slash:
        return None
    bass, degrees = NOTES_BY_TEXT.get(bass_text), DEGREES_BY_SUFFIX.get(suffix)
    if bass is None or degrees is None:
        return None
    return ChordParts(root, degrees, bass)


def _read_any(text: object, names: str, two: str) -> ChordParts:
    """Read by the whole grammar."""
    if not isinstance(text, str):
        raise ChordError(f"chord {text!r}: write it as text, such as 'Cm7' or 'G7/B'")
    check_pitch_names(names)
    if not isinstance(two, str) or two not in TWO_SETTINGS:
        raise ChordError(f"two {two!r}: must be one of {', '.join(map(repr, TWO_SETTINGS))}")
    try:
        plain = plain_chord_text(text if names == "english" else without_foreign_words(text))
    except AmbiguousError as error:
        _refuse(text, error.readings, names, two)
    if is_no_chord(plain):
        return NO_CHORD
    plain = without_outer_brackets(plain)
    if not plain:
        raise ChordError(f"chord {text!r}: is empty; write a chord such as 'Cm7', or 'N.C.' for no chord")
    return _read_plain(plain, text, names, two)


def _read_plain(plain: str, text: str, names: str, two: str) -> ChordParts:
    """Read one chord, a chord over a bass, or one chord over another."""
    upper, sign, lower = split_lower(plain, names)
    over = _read_within(upper, ("", sign + lower), text, names, two)
    if not sign:
        return over
    bass = read_bass(lower, names)
    if bass is not None and sign == "/":
        return ChordParts(over.root, over.degrees, bass)
    under_text, under_sign, under_bass = split_lower(lower, names)
    under = _read_within(under_text, (upper + sign, under_sign + under_bass), text, names, two)
    if under_sign:
        note = read_bass(under_bass, names)
        if note is None or under_sign == "|" or (sign == "/" and read_bass(under_text, names) is not None):
            raise ChordError(f"chord {text!r}: write at most one chord over another and one bass")
        under = ChordParts(under.root, under.degrees, note)
    merged = merge_chords(over, under)
    assert merged.root is not None
    check_spellable(merged.root, merged.degrees, text)
    return merged


def _read_within(plain: str, around: tuple[str, str], text: str, names: str, two: str) -> ChordParts:
    """Read a chord with text before and behind it, which belongs to the readings of an ambiguous one."""
    try:
        return _read_one(plain, text, names, two)
    except AmbiguousError as error:
        readings = tuple(f"{around[0]}{reading}{around[1]}" for reading in error.readings)
        _refuse(text, readings, names, two)


def _refuse(text: str, readings: tuple[str, ...], names: str, two: str) -> NoReturn:
    """Refuse an ambiguous text with those of its readings that can be read, or say why none can."""
    readable, refusal = _readable(readings, names, two)
    if refusal is not None and not readable:
        raise ChordError(f"chord {text!r}: {str(refusal).partition(': ')[2]}")
    raise AmbiguousError(f"chord {text!r}: may be {' or '.join(readable)}; write one of these", readable)


def _readable(readings: tuple[str, ...], names: str, two: str) -> tuple[tuple[str, ...], ChordError | None]:
    """Readings that can be read, those of ambiguous readings included, and what is wrong with another one."""
    readable: list[str] = []
    wrong: ChordError | None = None
    for reading in readings:
        try:
            _read_any(reading, names, two)
        except AmbiguousError as error:
            readable += error.readings
        except ChordError as error:
            wrong = error
        else:
            readable.append(reading)
    return tuple(dict.fromkeys(readable)), wrong


def _read_one(plain: str, text: str, names: str, two: str) -> ChordParts:
    """Read a chord without bass."""
    root, written, suffix = split_root(plain, text, names)
    small = plain[0].islower()
    degrees = DEGREES_BY_SUFFIX.get(suffix)
    if degrees is None or small:
        try:
            reading = read_suffix(suffix, text, written, two)
        except ChordError:
            if advice := whole_text_advice(plain, names):
                raise ChordError(f"chord {text!r}: {advice}") from None
            raise
        degrees = reading.degrees
        if small and not reading.tells_third:
            if names != "german":
                readings = (f"{written}{suffix}", f"{written}m{suffix}")
                raise AmbiguousError(f"chord {text!r}: a small letter may be major or minor", readings)
            degrees = in_order("b3" if degree == "3" else degree for degree in degrees)
    check_spellable(root, degrees, text)
    return ChordParts(root, degrees, lowest_tone(root, degrees))
