"""Reading the name of a scale as musicians write it: ``C Lydian dominant``, ``F# half-whole diminished``.

The grammar, letter case and hyphens aside::

    scale     tonic name | ordinal "mode of" scale | tonic ordinal "mode of" name | scale ("mode" | "from") number | scale "from" note
    tonic     a letter with accidentals, no octave: C, F#, Bb, "E flat"
    name      a name of the catalogue, maybe with "scale" or "mode" behind it
            | a name of the catalogue and alterations of its degrees: "Dorian b2", "Mixolydian b9 b13", "Locrian ♮2"
            | a parent and a number, as jazz courses abbreviate them: MM4, HM5 (melodic minor 4, harmonic minor 5)

In an alteration, a flat lowers the degree to that flat, a sharp raises the mode's own degree by a half step, and
natural (``♮``, ``nat.``) takes the degree of the major scale. 9, 11 and 13 stand for 2, 4 and 6.
"""

import re
import unicodedata
from collections.abc import Mapping
from difflib import get_close_matches
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NoReturn

from musictheory_nb.errors import AmbiguousError, PitchError, ScaleError
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_catalogue import (
    ScaleType,
    mode_of,
    scale_type,
    scale_types,
    type_with_notes,
    with_parent,
)
from musictheory_nb.theory.scale_degree import degree_semitones, degree_text, read_degree

#: Names that mean more than one scale, with the readings.
AMBIGUOUS: Final = MappingProxyType(
    {
        "minor": ("natural minor", "harmonic minor", "melodic minor"),
        "diminished": ("half-whole diminished", "whole-half diminished"),
        "symmetric diminished": ("half-whole diminished", "whole-half diminished"),
        "symmetrical diminished": ("half-whole diminished", "whole-half diminished"),
        "double diminished": ("half-whole diminished", "whole-half diminished"),
        "octatonic": ("half-whole diminished", "whole-half diminished"),
        "diminished seventh": ("whole-half diminished", "altered diminished"),
        "bebop": ("bebop dominant", "bebop major", "bebop Dorian", "bebop melodic minor"),
        "bebop minor": ("bebop Dorian", "bebop Dorian natural 7", "bebop melodic minor", "bebop harmonic minor"),
        "minor bebop": ("bebop Dorian", "bebop Dorian natural 7", "bebop melodic minor", "bebop harmonic minor"),
        "pentatonic": ("major pentatonic", "minor pentatonic"),
        "hexatonic": ("major hexatonic", "minor hexatonic", "whole tone", "augmented", "minor blues"),
        "heptatonic": ("major", "melodic minor", "harmonic minor", "harmonic major"),
        "diatonic": ("major", "natural minor"),
        "harmonic": ("harmonic minor", "harmonic major"),
        "melodic": ("melodic minor", "jazz minor", "melodic major"),
        "dominant": ("Mixolydian", "Lydian dominant", "Phrygian dominant", "half-whole diminished", "altered"),
        "symmetric": ("whole tone", "half-whole diminished", "whole-half diminished", "augmented"),
        "symmetrical": ("whole tone", "half-whole diminished", "whole-half diminished", "augmented"),
        "Hungarian": ("Hungarian minor", "Hungarian major"),
        "Neapolitan": ("Neapolitan minor", "Neapolitan major"),
        "gypsy": ("Hungarian minor", "double harmonic", "Phrygian dominant"),
        "gypsy minor": ("Hungarian minor", "Aeolian #4"),
        "Hungarian gypsy": ("Hungarian minor", "Aeolian #4"),
        "Spanish gypsy": ("Phrygian dominant", "Spanish eight-note"),
        "Spanish Phrygian": ("Phrygian dominant", "Spanish eight-note"),
        "flamenco": ("Phrygian", "Phrygian dominant", "Spanish eight-note"),
        "Jewish": ("Phrygian dominant", "Ukrainian Dorian"),
        "Arabic": ("double harmonic", "major Locrian"),
        "Arabian": ("double harmonic", "major Locrian"),
        "Japanese": ("Hirajoshi", "In", "Insen", "Iwato", "Kumoi"),
        "Messiaen": tuple(f"Messiaen mode {number}" for number in range(1, 8)),
        "limited transposition": tuple(f"Messiaen mode {number}" for number in range(1, 8)),
    }
)

_SIGNS: Final = str.maketrans({"♯": "#", "♭": "b", "♮": " natural ", "𝄪": "##", "𝄫": "bb", "’": "'"})
_NUMBER_WORDS: Final = MappingProxyType(
    {"two": 2, "second": 2, "three": 3, "third": 3, "four": 4, "fourth": 4, "five": 5, "fifth": 5, "six": 6}
    | {
        "sixth": 6,
        "seven": 7,
        "seventh": 7,
        "nine": 9,
        "ninth": 9,
        "eleven": 11,
        "eleventh": 11,
        "thirteen": 13,
        "thirteenth": 13,
    }
    | {"first": 1}
)
_ABBREVIATIONS: Final = MappingProxyType(
    {"maj": "major", "min": "minor", "harm": "harmonic", "mel": "melodic", "nat": "natural", "dim": "diminished"}
    | {"aug": "augmented", "dom": "dominant", "pent": "pentatonic", "penta": "pentatonic", "mixo": "mixolydian"}
    | {"phryg": "phrygian", "aeol": "aeolian", "dor": "dorian", "lyd": "lydian", "mixolyd": "mixolydian"}
    | {"locr": "locrian", "loc": "locrian", "ion": "ionian", "eolian": "aeolian"}
)
_ALTERATION_WORDS: Final = re.compile(
    r"\b(?P<times>double |triple )?(?P<sign>sharp|flat|flattened|flatted|raised|lowered|natural|nat) ?"
    r"(?P<number>\d+|" + "|".join(_NUMBER_WORDS) + r")(?:st|nd|rd|th)?\b"
)
_WORD_SIGNS: Final = {"sharp": "#", "raised": "#", "natural": "n", "nat": "n"}
_ALTERATION: Final = re.compile(r"(?P<sign>#{1,3}|b{1,3}|n)(?P<number>\d+)")
_SMALL_NUMBERS: Final = {"9": "2", "11": "4", "13": "6"}
_TONIC: Final = re.compile(
    r"\s*(?P<letter>[A-Za-z])(?P<signs>[\s-]*(?:double[\s-]*|triple[\s-]*)?(?:flat|sharp)\b|[#b♯♭x𝄪𝄫♮]*)"
    r"(?P<octave>-?\d+)?(?:[\s_,:–-]+(?P<name>.*))?",
    re.IGNORECASE | re.DOTALL,
)
_MODE_OF: Final = re.compile(
    r"\s*(?:the\s+)?(?:mode\s+(?P<after>\w+)|(?P<before>\w{2,}|[1-9IViv])\s+mode)\s+(?:of|from)\s+(?:the\s+)?(?P<scale>.+)",
    re.I,
)
_MODE_NUMBER: Final = re.compile(r"(?P<scale>.+?)[\s,]+mode\s+(?P<number>\w+)\s*", re.I)
_FROM_NOTE: Final = re.compile(r"(?P<scale>.+?)[\s,]+(?:from|starting on|begun on)\s+(?P<note>[A-G][#b♯♭]*)\s*")
_UNPARTED: Final = re.compile(r"(?P<tonic>[A-G](?:#{1,2}|b{1,2}|♯|♭)?)(?P<name>\S.*)")
_ORDINAL: Final = re.compile(r"(?P<digits>\d{1,2})(?:st|nd|rd|th)?|(?P<word>[a-z]+)", re.I)
_ROMAN: Final = MappingProxyType({"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7})
_COURSE_NUMBER: Final = re.compile(r"(?P<parent>mm|hm|hmaj)(?P<number>[1-7])")
_MESSIAEN: Final = re.compile(
    r"(?:messiaens?(?:mode)?|(?:modeof)?limitedtransposition(?:mode)?)(?P<number>\d+)|mode(?P<before>\d+)oflimitedtransposition"
)
_MESSIAEN_MODES: Final = 7
_COURSE_PARENTS: Final = {"mm": "melodic minor", "hm": "harmonic minor", "hmaj": "harmonic major"}


def name_words(name: str) -> str:
    """Write a scale's name in small letters, one blank between words, alterations as ``b2``, ``#4`` or ``n6``.

    Examples
    --------
    >>> name_words("Lydian ♭7 scale"), name_words("Locrian nat. 2"), name_words("Mixolydian (b9, b13)")
    ('lydian b7', 'locrian n2', 'mixolydian b2 b6')
    """
    text = unicodedata.normalize("NFKC", name.translate(_SIGNS)).translate(_SIGNS).casefold()
    text = " ".join(re.sub(r"[-_/(),.–:]+", " ", text.replace("'", "")).split())
    text = _ALTERATION_WORDS.sub(_alteration_of_words, text)
    text = _ALTERATION.sub(
        lambda m: f" {m['sign']}{_SMALL_NUMBERS.get(m['number'], m['number'])} " if _stands_alone(m) else m[0], text
    )
    words = [_ABBREVIATIONS.get(word, word) for word in text.split()]
    while len(words) > 1 and words[-1] in ("scale", "mode", "scales", "modes"):
        words.pop()
    return " ".join(words[1:] if len(words) > 1 and words[0] == "the" else words)


def _stands_alone(match: re.Match[str]) -> bool:
    """Whether an ``n`` is a natural sign and not the end of a word."""
    return match["sign"] != "n" or match.start() == 0 or not match.string[match.start() - 1].isalpha()


def _alteration_of_words(match: re.Match[str]) -> str:
    sign = _WORD_SIGNS.get(match["sign"], "b")
    times = {"double ": 2, "triple ": 3}.get(match["times"] or "", 1)
    return sign * times + str(_NUMBER_WORDS.get(match["number"], match["number"]))


def _key(name: str) -> str:
    """Name without blanks, by which it is looked up."""
    return name_words(name).replace(" ", "")


def _letters(name: str) -> str:
    """Name as it is written, without blanks and letter case."""
    return "".join(name.translate(_SIGNS).casefold().split())


@lru_cache(maxsize=1)
def _shown_names() -> Mapping[str, tuple[ScaleType, str]]:
    """Kind and written name by the name as it is shown; a row's own name beats another row's other name."""
    others = {_letters(name): (kind, name) for kind in reversed(scale_types()) for name in kind.other_names}
    return MappingProxyType(others | {_letters(kind.name): (kind, kind.name) for kind in scale_types()})


@lru_cache(maxsize=1)
def _names() -> Mapping[str, tuple[ScaleType, str]]:
    """Kind and written name by key. A name that is shown beats a spelling that is only read."""
    found: dict[str, tuple[ScaleType, str]] = {}
    for kind in scale_types():
        found.setdefault(_key(kind.name), (kind, kind.name))
    for kind in scale_types():
        for name in kind.other_names:
            found.setdefault(_key(name), (kind, name))
    for kind in scale_types():
        for name in kind.also_read:
            found.setdefault(_key(name), (kind, kind.name))
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def _ambiguous() -> Mapping[str, tuple[str, ...]]:
    return MappingProxyType({_key(name): readings for name, readings in AMBIGUOUS.items()})


def read_scale_name(name: str, tonic: str = "") -> tuple[ScaleType, str]:
    """Kind of scale, and how its name is written, of a name without a tonic.

    Parameters
    ----------
    name : str
        Such as ``"Lydian dominant"``, ``"super locrian"``, ``"Phrygian natural 6"``, ``"HM5"``.
    tonic : str
        Put before the name in an error text.

    Raises
    ------
    AmbiguousError
        The name means more than one scale (`AMBIGUOUS`).
    ScaleError
        No such scale. The message names the nearest ones.

    Examples
    --------
    >>> kind, called = read_scale_name("SUPER LOCRIAN")
    >>> kind.name, called
    ('altered', 'super-Locrian')
    >>> read_scale_name("Dorian nat. 7")[0].degrees
    ('1', '2', 'b3', '4', '5', '6', '7')
    >>> read_scale_name("bebop")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: scale 'bebop': can be bebop dominant, bebop major, bebop Dorian or bebop \
melodic minor; write which
    """
    if not isinstance(name, str):
        raise ScaleError(f"scale name {name!r}: write it as text, such as 'Lydian'")
    if (exact := _shown_names().get(_letters(name))) is not None:
        return exact
    key = _key(name)
    shown = f"{tonic} {name}".strip()
    if key in (names := _names()):
        return names[key]
    if readings := _ambiguous().get(key):
        written = tuple(f"{tonic} {reading}".strip() for reading in readings)
        listed = f"{', '.join(written[:-1])} or {written[-1]}"
        raise AmbiguousError(f"scale {shown!r}: can be {listed}; write which", written)
    if match := _COURSE_NUMBER.fullmatch(key):
        kind = mode_of(scale_type(_COURSE_PARENTS[match["parent"]]), int(match["number"]))
        return kind, kind.name
    if match := _MESSIAEN.fullmatch(key):
        return _messiaen(int(match["number"] or match["before"]), shown)
    if match := _MODE_OF.fullmatch(name):
        parent, _ = read_scale_name(match["scale"], tonic)
        return _mode_by_number(parent, _read_number(match["before"] or match["after"], shown), shown)
    if match := _MODE_NUMBER.fullmatch(name):
        parent, _ = read_scale_name(match["scale"], tonic)
        return _mode_by_number(parent, _read_number(match["number"], shown), shown)
    if (altered := _read_alterations(name, shown)) is not None:
        return altered
    _refuse_name(key, tonic, shown)


def _messiaen(number: int, shown: str) -> tuple[ScaleType, str]:
    if not 1 <= number <= _MESSIAEN_MODES:
        raise ScaleError(f"scale {shown!r}: Messiaen's modes of limited transposition are 1 to {_MESSIAEN_MODES}")
    return read_scale_name(f"Messiaen mode {number}")


def _mode_by_number(parent: ScaleType, number: int, shown: str) -> tuple[ScaleType, str]:
    try:
        kind = mode_of(parent, number)
    except ScaleError as error:
        raise ScaleError(f"scale {shown!r}: {error}") from None
    return kind, kind.name


def _refuse_name(key: str, tonic: str, shown: str) -> NoReturn:
    near = get_close_matches(key, [*_names(), *_ambiguous()], n=3, cutoff=0.7)
    written: list[str] = []
    for match in near:
        written += [_names()[match][1]] if match in _names() else _ambiguous()[match]
    offers = [repr(f"{tonic} {name}".strip()) for name in dict.fromkeys(written)]
    advice = f"write {' or '.join(offers[:3])}" if offers else "write a tonic and a name, such as 'C Lydian dominant'"
    raise ScaleError(f"scale {shown!r}: no scale of that name; {advice}")


def _read_alterations(name: str, shown: str) -> tuple[ScaleType, str] | None:
    """Kind named as another one with altered degrees, or None if the name is not built so."""
    words = name_words(name).split()
    count = 0
    while count < len(words) and _ALTERATION.fullmatch(words[-1 - count]):
        count += 1
    base_key, alterations = "".join(words[: len(words) - count]), words[len(words) - count :]
    if not count or base_key not in _names():
        return None
    base, called = _names()[base_key]
    degrees = list(base.degrees)
    for alteration in alterations:
        match = _ALTERATION.fullmatch(alteration)
        assert match is not None
        _alter(degrees, match["sign"], int(match["number"]), shown)
    written = " ".join([called, *("natural " + word[1:] if word[0] == "n" else word for word in alterations)])
    semitones = [degree_semitones(degree) for degree in degrees]
    named = type_with_notes(semitones, base.family)
    if named is not None and set(named.degrees) == set(degrees):
        return named, written
    in_order = [degree for _, degree in sorted(zip(semitones, degrees, strict=True))]
    try:
        return with_parent(ScaleType(written, tuple(in_order), family="altered mode")), written
    except ScaleError:
        raise ScaleError(f"scale {shown!r}: two of its notes would sound alike, or lie outside the octave") from None


def _alter(degrees: list[str], sign: str, number: int, shown: str) -> None:
    """Change the one degree of that number in place."""
    places = [i for i, degree in enumerate(degrees) if read_degree(degree)[0] == number]
    if number == 1 or len(places) != 1:
        raise ScaleError(f"scale {shown!r}: the scale that it starts from has no single degree {number} to alter")
    had = read_degree(degrees[places[0]])[1]
    alter = 0 if sign == "n" else had + len(sign) if sign[0] == "#" else -len(sign)
    if alter == had or (sign[0] == "b" and had > 0):
        instead = degree_text(number, had)
        raise ScaleError(
            f"scale {shown!r}: its degree {number} is {instead} already; leave the alteration out or change it"
        )
    degrees[places[0]] = degree_text(number, alter)


def _read_number(text: str, shown: str) -> int:
    """Number of a mode, from ``5``, ``5th``, ``fifth`` or ``V``."""
    match = _ORDINAL.fullmatch(text)
    if match and match["digits"]:
        return int(match["digits"])
    number = _NUMBER_WORDS.get(text.casefold()) or _ROMAN.get(text.casefold())
    if number is None:
        raise ScaleError(f"scale {shown!r}: {text!r} is no number of a mode; write '5th' or 'fifth'")
    return number


def read_scale_text(text: str) -> tuple[PitchName, ScaleType, str]:
    """Tonic, kind, and how the name is written, of a scale.

    Raises
    ------
    AmbiguousError
        The name means more than one scale.
    ScaleError
        The text is no scale: no tonic, an octave number, or no such name.

    Examples
    --------
    >>> tonic, kind, called = read_scale_text("F# half-whole diminished")
    >>> tonic.name, kind.name
    ('F#', 'half-whole diminished')
    >>> tonic, kind, called = read_scale_text("fifth mode of F harmonic minor")
    >>> tonic.name, kind.name
    ('C', 'Phrygian dominant')
    >>> read_scale_text("altered")
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: scale 'altered': has no tonic; write 'C altered' for the one on C
    """
    if not isinstance(text, str):
        raise ScaleError(f"scale {text!r}: write it as text, such as 'C Lydian', or Scale.of(tonic, name)")
    if match := _MODE_OF.fullmatch(text):
        number = _read_number(match["before"] or match["after"], text)
        return _mode_on_its_note(match["scale"], number, text)
    if (match := _FROM_NOTE.fullmatch(text)) and _TONIC.fullmatch(match["scale"]):
        return _from_note(match["scale"], PitchName(match["note"]), text)
    match = _TONIC.fullmatch(text)
    if match is None or (match["name"] is None and len(text.strip()) > 3):
        _refuse_without_tonic(text)
    if match["octave"]:
        bare = f"{match['letter'].upper()}{match['signs']} {match['name'] or 'major'}"
        raise ScaleError(f"scale {text!r}: a scale has no octave; write {bare!r}, then .pitches({match['octave']})")
    if not (match["name"] or "").strip():
        raise ScaleError(f"scale {text!r}: has no name; write it behind the tonic, such as '{text.strip()} major'")
    signs = re.sub(r"[\s-]+", " ", match["signs"])
    try:
        tonic = PitchName(match["letter"].upper() + signs)
    except PitchError as error:
        _refuse_tonic(text, error)
    if match_number := re.fullmatch(r"(?P<name>.+?)[\s,]+from(?: the)? (?P<number>\d\w*)\s*", match["name"], re.I):
        whole = f"{tonic.name} {match_number['name']}"
        return _mode_on_its_note(whole, _read_number(match_number["number"], text), text)
    kind, called = read_scale_name(match["name"], tonic.name)
    return tonic, kind, called


def _refuse_without_tonic(text: str) -> NoReturn:
    if (key := _key(text)) in _names() or key in _ambiguous():
        raise ScaleError(f"scale {text!r}: has no tonic; write 'C {text.strip()}' for the one on C")
    if (match := _UNPARTED.fullmatch(text.strip())) and _key(match["name"]) in _names():
        raise ScaleError(f"scale {text!r}: part tonic and name; write '{match['tonic']} {match['name'].lstrip('-')}'")
    raise ScaleError(f"scale {text!r}: write a tonic and a name, such as 'C Lydian dominant'")


def _refuse_tonic(text: str, error: PitchError) -> NoReturn:
    first = text.split()[0] if text.split() else text
    raise ScaleError(f"scale {text!r}: the tonic {first!r} cannot be read: {error}") from None


def _mode_on_its_note(scale: str, number: int, text: str) -> tuple[PitchName, ScaleType, str]:
    tonic, parent, _ = read_scale_text(scale)
    kind, _ = _mode_by_number(parent, number, text)
    return PitchName.from_fifths(tonic.fifths + parent.fifths[number - 1]), kind, kind.name


def _from_note(scale: str, note: PitchName, text: str) -> tuple[PitchName, ScaleType, str]:
    tonic, parent, _ = read_scale_text(scale)
    names = [PitchName.from_fifths(tonic.fifths + fifths) for fifths in parent.fifths]
    if note not in names:
        raise ScaleError(f"scale {text!r}: {scale} has no {note.name}; it has {' '.join(name.name for name in names)}")
    return _mode_on_its_note(scale, names.index(note) + 1, text)
