"""The chord that a Roman numeral names in its key.

Rules (common practice; the settings that change them are in `roman_setting`)
-----------------------------------------------------------------------------
- A capital is a major triad, a small letter a minor one; ° diminished, + augmented. In all-capital style the triad is
  the key's own, in minor with the leading tone in V and VII.
- A bare 7 over a major or augmented triad is the key's own seventh (I7 in C: C E G B); over a root that the key's scale
  does not have, it is minor (bII7 in C: Db F Ab Cb). Over a minor triad it is minor, over ° diminished, over ø minor.
  ``maj`` and ``dom`` say which where another is meant.
- 9, 11 and 13 are the key's own notes above that, or the plain degrees over a root that the scale does not have.
- What is no figured bass is read as a chord symbol on that root; after a small letter its third is minor.
"""

from types import MappingProxyType
from typing import Final, NoReturn

from musictheory_nb.errors import AmbiguousError, ChordError, RomanNumeralError
from musictheory_nb.theory.augmented_sixth import AUGMENTED_SIXTHS, LOWERED_SIXTH_FIFTHS, sixth_bass
from musictheory_nb.theory.chord_degree import (
    DEGREE_FIFTHS,
    DEGREE_PARTS,
    DEGREE_TEXT,
    NAMES_BY_FIFTHS,
    ChordParts,
    in_order,
)
from musictheory_nb.theory.chord_quality import DEGREES_BY_SUFFIX
from musictheory_nb.theory.chord_suffix import read_suffix
from musictheory_nb.theory.roman_key import RomanKey
from musictheory_nb.theory.roman_setting import RomanSettings
from musictheory_nb.theory.roman_text import NUMERALS, SEVENTH_FIGURES, RomanText

#: Place in a stack of thirds of the degree that each figure puts in the bass.
_BASS_PLACE: Final = MappingProxyType({"6": 1, "64": 2, "65": 1, "43": 2, "42": 3})
#: Sevenths by distance from the root on the line of fifths.
_SEVENTHS: Final = MappingProxyType({5: "7", -2: "b7", -9: "bb7"})
#: Degrees above the seventh: number, and the degree by distance from the root on the line of fifths.
_UPPER: Final = MappingProxyType(
    {
        9: MappingProxyType({2: "9", -5: "b9", 9: "#9"}),
        11: MappingProxyType({-1: "11", 6: "#11"}),
        13: MappingProxyType({3: "13", -4: "b13"}),
    }
)
_TRIADS: Final = MappingProxyType({"°": ("1", "b3", "b5"), "ø": ("1", "b3", "b5"), "+": ("1", "3", "#5")})
_MAJOR: Final = ("1", "3", "5")
_MINOR: Final = ("1", "b3", "5")
_DIMINISHED: Final = _TRIADS["°"]


def roman_chord(part: RomanText, key: RomanKey, settings: RomanSettings, text: str) -> ChordParts:
    """Root, degrees and bass of the chord that one numeral names.

    Parameters
    ----------
    part : RomanText
        The numeral; what it is applied to plays no part here.
    key : RomanKey
        The key in which it stands: of an applied chord, that of its target.
    settings : RomanSettings
        The conventions under which it is read.
    text : str
        The whole text, for messages.

    Raises
    ------
    RomanNumeralError, AmbiguousError
        The parts do not make a chord, or it could not be spelled.

    Examples
    --------
    >>> from musictheory_nb.theory.roman_setting import DEFAULT_SETTINGS
    >>> from musictheory_nb.theory.roman_text import read_roman_text
    >>> roman_chord(read_roman_text("V65"), RomanKey(0, "major"), DEFAULT_SETTINGS, "V65")
    ChordParts(root=PitchName('G'), degrees=('1', '3', '5', 'b7'), bass=PitchName('B'))
    """
    if part.name in AUGMENTED_SIXTHS:
        degrees = AUGMENTED_SIXTHS[part.name].degrees
        root = key.tonic + LOWERED_SIXTH_FIFTHS
        return _spelled(root, degrees, sixth_bass(part.name, part.figure, text), text)
    if part.name == "Cad":
        return _spelled(key.tonic, _MINOR if key.is_minor else _MAJOR, "5", text)
    if part.name == "N":
        return _spelled(key.fifths_of(2, -1), _MAJOR, _bass_degree(_MAJOR, part, text), text)
    if part.name == "sub":
        degrees = _suffix_degrees(part.suffix or "7", "V", False, text)
        if "3" not in degrees or "b7" not in degrees:
            raise RomanNumeralError(
                f"Roman numeral {text!r}: a tritone substitute is a dominant seventh; write 'subV7'"
            )
        bass = part.bass or _bass_degree(degrees, part, text)
        return _spelled(key.fifths_of(2, -1), _changed(degrees, part, text), bass, text)
    if part.suffix:
        degrees = _suffix_degrees(part.suffix, _head(part), part.is_small, text)
        alter = key.read_alter(part.number, part.written, settings.degree_convention, "b3" in degrees)
        degrees = _changed(degrees, part, text)
        bass = part.bass or degrees[0]
        return _spelled(key.fifths_of(part.number, alter), degrees, bass, text)
    return _figured(part, key, settings, text)


def _figured(part: RomanText, key: RomanKey, settings: RomanSettings, text: str) -> ChordParts:
    """Read figured bass."""
    convention = settings.degree_convention
    sign = part.sign
    if sign == "+" and part.is_small:
        raise RomanNumeralError(
            f"Roman numeral {text!r}: an augmented triad is major with a raised fifth; write a capital"
        )
    if settings.numerals == "capitals" and part.is_small:
        raise RomanNumeralError(f"Roman numeral {text!r}: in all-capital style write '{_head(part).upper()}'")
    if settings.numerals == "capitals" and not (sign or part.quality):
        alter = key.read_alter(part.number, part.written, convention, False)
        degrees = _own_chord(part, key, alter)
    else:
        low = part.is_small or sign in ("°", "ø") or (part.quality == "m")
        alter = key.read_alter(part.number, part.written, convention, low)
        degrees = _stack(part, key, alter, settings, low, text)
    bass = part.bass or _bass_degree(degrees, part, text)
    if part.changes:
        degrees = _changed(degrees, part, text)
    if part.figure in ("", "7", "9", "11", "13", "54") and not part.bass:
        bass = degrees[0]
    return _spelled(key.fifths_of(part.number, alter), degrees, bass, text)


def _stack(
    part: RomanText, key: RomanKey, alter: int, settings: RomanSettings, low: bool, text: str
) -> tuple[str, ...]:
    """Thirds on a root, as case, sign and figure say."""
    sign, figure = part.sign, part.figure
    if sign:
        triad = _TRIADS[sign]
    elif not low:
        triad = _MAJOR
    elif part.number == 7 and not part.quality and settings.ring == "implied" and is_leading(key, alter):
        triad, sign = _DIMINISHED, "°" if key.is_minor else "ø"
    else:
        triad = _MINOR
    if figure == "54":
        if triad is not _MAJOR:
            raise RomanNumeralError(f"Roman numeral {text!r}: a suspended chord has no third; write it with a capital")
        return ("1", "4", "5")
    if figure not in SEVENTH_FIGURES:
        if part.sign == "ø" and figure:
            figured = {"6": "65", "64": "43"}[figure]
            _refuse_half(part, text, (f"°{figure}", f"ø{figured}"))
        return (*triad, "b7") if part.sign == "ø" else triad
    if part.quality:
        seventh = "7" if part.quality == "maj" else "b7"
    else:
        seventh = bare_seventh(key, part.number, alter, triad, sign)
    return _extended(triad, seventh, key, part, alter)


def is_leading(key: RomanKey, alter: int) -> bool:
    """Whether a seventh degree so altered is a leading tone that carries the key's diminished triad: not in church modes.

    Examples
    --------
    >>> is_leading(RomanKey(0, "major"), 0), is_leading(RomanKey(0, "minor"), -1), is_leading(RomanKey(0, "dorian"), 0)
    (True, False, False)
    """
    return alter == 0 and (key.is_variable or key.mode in ("major", "ionian"))


def bare_seventh(key: RomanKey, number: int, alter: int, triad: tuple[str, ...], sign: str = "") -> str:
    """Degree that a bare 7 adds to a triad on a degree of a key.

    Examples
    --------
    >>> c_major = RomanKey(0, "major")
    >>> [bare_seventh(c_major, number, alter, ("1", "3", "5")) for number, alter in ((1, 0), (5, 0), (2, -1))]
    ['7', 'b7', 'b7']
    """
    if triad[1] == "b3":
        return "bb7" if triad[2] == "b5" and sign != "ø" else "b7"
    if alter != key.alters[number - 1]:
        return "b7"
    distance = key.scale_fifths(number + 6) - key.fifths_of(number, alter)
    return _SEVENTHS.get(distance, "b7") if distance != -9 else "b7"


def _extended(triad: tuple[str, ...], seventh: str, key: RomanKey, part: RomanText, alter: int) -> tuple[str, ...]:
    """Put a seventh on a triad, and the key's 9, 11 and 13 where the figure has them."""
    figure = part.figure
    degrees = [*triad, seventh]
    if figure not in ("9", "11", "13"):
        return tuple(degrees)
    root = key.fifths_of(part.number, alter)
    is_own = alter == key.alters[part.number - 1]
    for number in (9, 11, 13):
        if number <= int(figure):
            plain = str(number)
            distance = key.scale_fifths(part.number + number - 1) - root
            degrees.append(_UPPER[number].get(distance, plain) if is_own else plain)
    return tuple(degrees)


def _own_chord(part: RomanText, key: RomanKey, alter: int) -> tuple[str, ...]:
    """Chord of the key on a degree, in all-capital style; on a root that is not in the scale, a major one."""
    number = part.number
    root = key.fifths_of(number, alter)
    leading = key.fifths_of(7, 0) if key.is_variable and number in (5, 7) else None
    if alter != key.alters[number - 1] and not (number == 7 and alter == 0 and key.is_variable):
        return _extended(_MAJOR, "b7", key, part, alter) if part.figure in SEVENTH_FIGURES else _MAJOR

    def degree(steps: int, name: int) -> str:
        above = (number + steps - 1) % 7 + 1
        fifths = leading if leading is not None and above == 7 else key.scale_fifths(above)
        return _degree_at(fifths - root, name)

    size = {"9": 5, "11": 6, "13": 7}.get(part.figure, 4 if part.figure in SEVENTH_FIGURES else 3)
    return ("1", *(degree(2 * place, 2 * place + 1) for place in range(1, size)))


def _degree_at(distance: int, number: int) -> str:
    """Degree of a number at a distance from the root on the line of fifths."""
    natural = DEGREE_FIFTHS[str(number)]
    return DEGREE_TEXT[number, (distance - natural) // 7]


def _suffix_degrees(suffix: str, head: str, is_small: bool, text: str) -> tuple[str, ...]:
    """Degrees of a chord symbol behind a numeral; after a small letter the third is minor."""
    degrees = DEGREES_BY_SUFFIX.get(suffix)
    if degrees is None:
        try:
            degrees = read_suffix(suffix, text, head).degrees
        except AmbiguousError as error:
            raise AmbiguousError(
                f"Roman numeral {text!r}: may be {' or '.join(error.readings)}; write one of these", error.readings
            ) from None
        except ChordError as error:
            reason = str(error).partition(": ")[2]
            raise RomanNumeralError(
                f"Roman numeral {text!r}: {suffix!r} is neither figured bass nor a chord symbol; {reason}"
            ) from None
    if is_small and "3" in degrees:
        if "#9" in degrees or "#5" in degrees:
            raise RomanNumeralError(
                f"Roman numeral {text!r}: {suffix!r} belongs to a major chord; write the numeral in capitals"
            )
        degrees = in_order("b3" if degree == "3" else degree for degree in degrees)
    return degrees


def _head(part: RomanText) -> str:
    numeral = NUMERALS[part.number]
    return ("#" * part.written or "b" * -part.written) + (numeral.lower() if part.is_small else numeral)


def _bass_degree(degrees: tuple[str, ...], part: RomanText, text: str) -> str:
    place = _BASS_PLACE.get(part.figure, 0)
    return degrees[place]


def _changed(degrees: tuple[str, ...], part: RomanText, text: str) -> tuple[str, ...]:
    """Degrees after what stands in square brackets."""
    tones = list(degrees)
    for change in part.changes:
        if change == "maj7":
            tones = [tone for tone in tones if DEGREE_PARTS[tone][0] != 7] + ["7"]
            continue
        how = "no" if change.startswith("no") else "add" if change.startswith("add") else ""
        degree = change[len(how) :]
        number = int(degree.lstrip("#b"))
        same = [tone for tone in tones if DEGREE_PARTS[tone][0] == number]
        if how == "no":
            if not same:
                raise RomanNumeralError(f"Roman numeral {text!r}: has no {degree} to leave out")
            tones = [tone for tone in tones if tone not in same]
        elif not how and number in (1, 3):
            raise RomanNumeralError(
                f"Roman numeral {text!r}: [{degree}] contradicts the numeral, which tells root and third by itself"
            )
        else:
            if not how:
                tones = [tone for tone in tones if tone not in same]
            tones.append(degree)
    if not tones:
        raise RomanNumeralError(f"Roman numeral {text!r}: leaves no tone")
    return in_order(tones)


def _spelled(root: int, degrees: tuple[str, ...], bass: str, text: str) -> ChordParts:
    """Turn places on the line of fifths into names."""
    try:
        for degree in degrees:
            NAMES_BY_FIFTHS[root + DEGREE_FIFTHS[degree]]
        name = NAMES_BY_FIFTHS[root]
        if bass == "1":
            return ChordParts(name, degrees, name)
        return ChordParts(name, degrees, NAMES_BY_FIFTHS[root + DEGREE_FIFTHS[bass]])
    except KeyError:
        raise RomanNumeralError(
            f"Roman numeral {text!r}: a note of it would carry more than three accidentals here"
        ) from None


def _refuse_half(part: RomanText, text: str, endings: tuple[str, str]) -> NoReturn:
    readings = tuple(_head(part) + ending for ending in endings)
    raise AmbiguousError(
        f"Roman numeral {text!r}: ø is a seventh chord; may be {' or '.join(readings)}; write one of these", readings
    )
