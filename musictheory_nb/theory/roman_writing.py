"""Writing a chord in a key as a Roman numeral, so that it reads back to the same chord.

Triads and seventh chords are written with figured bass. Everything else takes the suffix of its chord symbol, and where
a bass has no figure it stands in brackets, as a degree counted from the chord's root: ``V9[bass 3]``. A text of that
second kind is read back before it is used.
"""

from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import RomanNumeralError, TheoryError
from musictheory_nb.theory.augmented_sixth import AUGMENTED_SIXTHS, SIXTH_BY_DEGREES
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, DEGREE_PARTS, NAMES_BY_FIFTHS, ChordParts, degree_between
from musictheory_nb.theory.chord_writing import chord_suffix
from musictheory_nb.theory.pitch_grammar import MOST_ACCIDENTALS
from musictheory_nb.theory.roman_chord import bare_seventh, is_leading, roman_chord
from musictheory_nb.theory.roman_key import RomanKey
from musictheory_nb.theory.roman_setting import RomanSettings
from musictheory_nb.theory.roman_text import NUMERALS, SLASHED_FIGURES, read_roman_text


class _Form(NamedTuple):
    """A triad or seventh chord: whether its third is minor, its sign, its triad, its seventh."""

    low: bool
    sign: str
    triad: tuple[str, ...]
    seventh: str


def _form(degrees: str, low: bool, sign: str) -> tuple[tuple[str, ...], _Form]:
    tones = tuple(degrees.split())
    return tones, _Form(low, sign, tones[:3], tones[3] if len(tones) > 3 else "")


#: The chords that are written with figured bass alone.
_FORMS: Final = MappingProxyType(
    dict(
        (
            _form("1 3 5", False, ""),
            _form("1 b3 5", True, ""),
            _form("1 b3 b5", True, "°"),
            _form("1 3 #5", False, "+"),
            _form("1 3 5 b7", False, ""),
            _form("1 3 5 7", False, ""),
            _form("1 b3 5 b7", True, ""),
            _form("1 b3 5 7", True, ""),
            _form("1 b3 b5 b7", True, "ø"),
            _form("1 b3 b5 bb7", True, "°"),
            _form("1 3 #5 b7", False, "+"),
            _form("1 3 #5 7", False, "+"),
        )
    )
)
_TRIAD_FIGURES: Final = ("", "6", "64")
_SEVENTH_FIGURES: Final = ("7", "65", "43", "42")
_ASCII_SIGNS: Final = MappingProxyType({"°": "o", "ø": "/o"})
#: Words for the seventh of a major or augmented triad.
_QUALITIES: Final = MappingProxyType({"7": "maj", "b7": "dom"})
#: Figures to try for chords with ninths and more.
_UPPER_FIGURES: Final = MappingProxyType(
    {
        **{f"{quality}{number}": str(number) for quality in ("", "m", "maj") for number in (9, 11, 13)},
        "7b9": "9",
        "m9b5": "ø9",
    }
)
#: Suffixes that would be taken for figured bass, and how they are written instead.
_ESCAPED: Final = MappingProxyType({"7": "dom7", "9": "dom9", "11": "dom11", "13": "dom13", "6": "add6", "5": "(no3)"})
_LOW_ESCAPED: Final = MappingProxyType({"6": "add6", "dim9": "°7(add9)"})


def write_numeral(parts: ChordParts, key: RomanKey, kind: str, settings: RomanSettings) -> str:
    """Roman numeral of a chord in a key, without anything that it is applied to.

    Parameters
    ----------
    parts : ChordParts
        The chord.
    key : RomanKey
        The key in which it stands.
    kind : str
        A kind of `roman_numeral.ROMAN_KINDS`.
    settings : RomanSettings
        The conventions under which it is written.

    Raises
    ------
    RomanNumeralError
        No numeral reads back to that chord.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> from musictheory_nb.theory.roman_setting import DEFAULT_SETTINGS
    >>> c_major = RomanKey(0, "major")
    >>> [write_numeral(read_chord_symbol(c), c_major, "plain", DEFAULT_SETTINGS) for c in ("Dm7/F", "Db/F", "G7alt")]
    ['ii65', 'N6', 'V7alt']
    """
    root, degrees, bass = parts
    if root is None or bass is None:
        raise RomanNumeralError("chord 'N.C.': has no Roman numeral")
    if kind == "augmented sixth":
        return _augmented_sixth(parts, settings)
    if kind == "cadential":
        return _cadential(key, settings)
    number, alter = key.place(root.fifths)
    if kind == "substitute":
        return _substitute(parts, settings)
    form = _FORMS.get(degrees)
    if form is not None and settings.numerals == "case":
        text = _figured(parts, form, key, number, alter, settings)
        if text:
            return text
    return _checked(parts, key, number, alter, settings)


def _figured(parts: ChordParts, form: _Form, key: RomanKey, number: int, alter: int, settings: RomanSettings) -> str:
    """Figured bass in capitals and small letters; an empty text where it has no figure or would mean another chord."""
    root, degrees, bass = parts
    assert root is not None
    assert bass is not None
    low, sign, triad, seventh = form
    place = 0
    if bass is not root:
        distance = bass.fifths - root.fifths
        for degree in degrees:
            if DEGREE_FIFTHS[degree] == distance:
                break
            place += 1
        else:
            return ""
    figure = _SEVENTH_FIGURES[place] if seventh else _TRIAD_FIGURES[place]
    if low and not sign and number == 7 and settings.ring == "implied" and is_leading(key, alter):
        return ""
    if not sign and not seventh and number == 2 and alter == -1 and not low and place == 1 and key.alters[1] == 0:
        return "N6" if settings.neapolitan == "N6" else _numeral(key, 2, -1, False, settings) + "6"
    quality = ""
    if seventh and seventh != bare_seventh(key, number, alter, triad, sign):
        quality = "maj" if seventh == "7" else "dom"
    if figure in SLASHED_FIGURES and settings.figures == "6/5":
        figure = SLASHED_FIGURES[figure]
    if sign and settings.signs == "ascii":
        sign = _ASCII_SIGNS.get(sign, sign)
    return _numeral(key, number, alter, low, settings) + sign + quality + figure


def _numeral(key: RomanKey, number: int, alter: int, low: bool, settings: RomanSettings) -> str:
    written = key.written_alter(number, alter, settings.degree_convention, low)
    if abs(written) > MOST_ACCIDENTALS:
        raise RomanNumeralError(
            f"chord on {NAMES_BY_FIFTHS[key.fifths_of(number, alter)].name}: is too far from {key.name} for a numeral; "
            "spell it nearer to the key"
        )
    numeral = NUMERALS[number]
    if low and settings.numerals == "case":
        numeral = numeral.lower()
    return ("#" * written if written > 0 else "b" * -written) + numeral


def _augmented_sixth(parts: ChordParts, settings: RomanSettings) -> str:
    root, degrees, bass = parts
    assert root is not None
    assert bass is not None
    name = SIXTH_BY_DEGREES.get(degrees, "")
    if not name:
        raise RomanNumeralError(f"chord on {root.name} with degrees {' '.join(degrees)}: is no augmented sixth chord")
    distance = bass.fifths - root.fifths
    for figure, degree in AUGMENTED_SIXTHS[name].bass:
        if DEGREE_FIFTHS[degree] == distance:
            return name + (SLASHED_FIGURES.get(figure, figure) if settings.figures == "6/5" else figure)
    raise RomanNumeralError(
        f"chord on {root.name} over {bass.name!r}: an augmented sixth chord has one of its own notes in the bass"
    )


def _substitute(parts: ChordParts, settings: RomanSettings) -> str:
    root, degrees, bass = parts
    assert root is not None
    assert bass is not None
    if degrees == ("1", "3", "5", "b7"):
        for figure, degree in zip(_SEVENTH_FIGURES, degrees, strict=True):
            if DEGREE_FIFTHS[degree] == bass.fifths - root.fifths:
                return "subV" + (SLASHED_FIGURES.get(figure, figure) if settings.figures == "6/5" else figure)
    return _signed(f"subV{chord_suffix(degrees)}", settings) + _bass_text(parts, degrees[0])


def _cadential(key: RomanKey, settings: RomanSettings) -> str:
    slashed = settings.figures == "6/5"
    if settings.cadential == "I64":
        tonic = "i" if key.is_minor and settings.numerals == "case" else "I"
        return tonic + ("6/4" if slashed else "64")
    if settings.cadential == "V64-53":
        return "V6/4-5/3" if slashed else "V64-53"
    return "Cad6/4" if slashed else "Cad64"


def _signed(text: str, settings: RomanSettings) -> str:
    return text.replace("ø", "/o").replace("°", "o") if settings.signs == "ascii" else text


def _bass_text(parts: ChordParts, lowest: str) -> str:
    """Bass in brackets, counted from the root, where it is not the lowest tone."""
    root, degrees, bass = parts
    assert root is not None
    assert bass is not None
    distance = bass.fifths - root.fifths
    if DEGREE_FIFTHS[lowest] == distance:
        return ""
    own = next((degree for degree in degrees if DEGREE_FIFTHS[degree] == distance), None)
    return f"[bass {own or degree_between(root, bass)}]"


def _checked(parts: ChordParts, key: RomanKey, number: int, alter: int, settings: RomanSettings) -> str:
    """First of the texts that come into question which reads back to the chord."""
    for text in _candidates(parts, key, number, alter, settings):
        try:
            read = roman_chord(read_roman_text(text, settings.numerals), key, settings, text)
        except TheoryError:
            continue
        if read == parts:
            return _signed(text, settings)
    assert parts.root is not None
    raise RomanNumeralError(
        f"chord on {parts.root.name} with degrees {' '.join(parts.degrees)}: has no Roman numeral in {key.name}"
    )


def _candidates(parts: ChordParts, key: RomanKey, number: int, alter: int, settings: RomanSettings) -> list[str]:
    """Texts that may stand for a chord, from the plainest on."""
    degrees = parts.degrees
    low = "b3" in degrees
    suffix = chord_suffix(degrees)
    bass = _bass_text(parts, degrees[0])
    head = _numeral(key, number, alter, low, settings)
    if settings.numerals == "jazz":
        return [head + suffix + bass]
    texts = _omitting(parts, key, number, alter, settings)
    if settings.numerals == "capitals":
        texts += _in_capitals(parts, head)
    if upper := _UPPER_FIGURES.get(suffix):
        texts.append(head + upper + bass)
    bare = suffix[1:] if low and suffix.startswith("m") and not suffix.startswith("maj") else suffix
    heads = (head, head[: len(head) - len(NUMERALS[number])] + NUMERALS[number])
    endings = (bare, _LOW_ESCAPED.get(bare, suffix), suffix) if low else (_ESCAPED.get(suffix, suffix),)
    return texts + [start + ending + bass for start in heads for ending in endings]


def _in_capitals(parts: ChordParts, head: str) -> list[str]:
    """All-capital texts of a triad or seventh chord: the key's own, and with the quality written out."""
    form = _FORMS.get(parts.degrees)
    if form is None or parts.root is None or parts.bass is None:
        return [head + figure for figure in ("9", "11", "13")]
    distance = parts.bass.fifths - parts.root.fifths
    place = next((p for p, degree in enumerate(parts.degrees) if DEGREE_FIFTHS[degree] == distance), 0)
    figure = (_SEVENTH_FIGURES if form.seventh else _TRIAD_FIGURES)[place]
    quality = "m" if form.low else _QUALITIES.get(form.seventh, "maj")
    return [
        head + figure,
        head + (form.sign or quality) + figure,
        head + form.sign + _QUALITIES.get(form.seventh, "") + figure,
    ]


def _omitting(parts: ChordParts, key: RomanKey, number: int, alter: int, settings: RomanSettings) -> list[str]:
    """Texts of a triad or seventh chord with tones left out: ``V7[no5]``, ``i[no3]``; the key's own triad first."""
    root, degrees, _ = parts
    given = set(degrees)
    if root is None or settings.numerals != "case" or any(DEGREE_PARTS[degree][0] > 7 for degree in given):
        return []
    has_low_third = key.scale_fifths(number + 2) - root.fifths == DEGREE_FIFTHS["b3"]
    texts = []
    for full, form in sorted(_FORMS.items(), key=lambda item: (len(item[0]), item[1].low != has_low_third)):
        if given < set(full):
            omitted = "".join(f"[no{DEGREE_PARTS[degree][0]}]" for degree in full if degree not in given)
            for shape in (parts._replace(degrees=full), ChordParts(root, full, root)):
                if text := _figured(shape, form, key, number, alter, settings):
                    texts.append(text + omitted)
    return texts
