"""The grammar of a Roman numeral, without its key.

Written as musicians and teachers write it::

    numeral     accidentals, then I to VII or i to vii, then either
                  [°|ø|+] [maj|dom] [figures] [changes]      figured bass: ii65, V7, vii°43, III+6, IVmaj7
                or what stands behind the root of a chord symbol: ii-7, IΔ, V7alt, bII7(#11), Vsus4
    figures     6 64 (triads)   7 65 43 42 2 (sevenths)   9 11 13; with or without slashes: 6/5; 54 is sus4
    changes     in square brackets: [no3] [add9] [#5] [maj7]; [bass 2] puts that degree of the chord in the bass
    applied     a numeral, a slash, the numeral of the chord to which it is applied: V7/V, vii°7/ii, V/V/V, V of V
    names       N6 N53 N64 · It6 Fr43 Ger65 Sw43 (also +6; other positions by figures: Ger7) · Cad64 · subV7

The grammar of figures is that of the RomanText format in essentials; names and rings common practice.
"""

import re
import unicodedata
from types import MappingProxyType
from typing import Final, NamedTuple, NoReturn

from musictheory_nb.errors import AmbiguousError, RomanNumeralError

#: Figures by the texts that are read for each; the first of each row is written.
_FIGURE_ROWS: Final = (
    ("", "53"),
    ("6", "63"),
    ("64",),
    ("7", "753", "75", "73"),
    ("65", "653"),
    ("43", "643"),
    ("42", "642", "2"),
    ("9", "97", "975", "9753"),
    ("11", "119", "1197"),
    ("13", "1311", "13119"),
    ("54",),
)
FIGURES: Final = MappingProxyType({text: row[0] for row in _FIGURE_ROWS for text in row})
#: Figures of chords with a seventh.
SEVENTH_FIGURES: Final = frozenset({"7", "65", "43", "42", "9", "11", "13"})
#: Figures of triads, and those before which maj or dom may tell the seventh.
TRIAD_FIGURES: Final = frozenset({"", "6", "64"})
QUALIFIED_FIGURES: Final = frozenset({"7", "65", "43", "42"})
#: Figures with the slash that some write.
SLASHED_FIGURES: Final = MappingProxyType({"64": "6/4", "65": "6/5", "43": "4/3", "42": "4/2", "54": "5/4"})
#: Figures that no chord symbol has; jazz numerals take their inversions from these.
INVERSION_FIGURES: Final = frozenset({"63", "64", "65", "43", "42"})

_NUMBERS: Final = MappingProxyType({"I": 1, "II": 2, "III": 3, "IV": 4, "V": 5, "VI": 6, "VII": 7})
#: Capitals by degree number.
NUMERALS: Final = ("", "I", "II", "III", "IV", "V", "VI", "VII")
_SIGNS: Final = str.maketrans(
    dict.fromkeys("º˚∘○◦⁰", "°")
    | dict.fromkeys("Ø∅⌀ϕφΦ", "ø")
    | dict.fromkeys("△∆▵▲⃤ᐃ", "Δ")
    | dict.fromkeys("−–—‐‑‒﹣－", "-")
    | {"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb", "⁄": "/", "∕": "/", "／": "/"}
)
_HEAD: Final = re.compile(r"(#{1,3}|b{1,3}|)([IV]+|[iv]+)(.*)", re.DOTALL)
_FIGURED: Final = re.compile(
    r"(°|o(?!m)|dim(?=\d|$|\[)|0(?!\d{2})|ø|/o|\+|)(maj|dom|M(?=\d)|m(?=\d|$)|)([0-9]*(?:/[0-9]+)*)"
)
_RINGS: Final = MappingProxyType({"o": "°", "dim": "°", "0": "°", "/o": "ø"})
_CHANGES: Final = re.compile(r"((?:\[[^\[\]]*\])*)\Z")
_CHANGE: Final = re.compile(r"(no|add|omit)?([#b]{0,2})(1[0-3]|[1-9])|(maj)7")
_BASS: Final = re.compile(r"bass([#b]{0,2}(?:1[0-3]|[1-9]))")
_APPLIED: Final = re.compile(r"/(?=(?:#{1,3}|b{1,3}|)(?:[IViv]|N(?:6|53)?$))|(?<=[IVivo0-9°ø\]])of(?=[#b]*[IViv])")
_SIX_FIRST: Final = re.compile(r"6([+°ø-])")
_SIXTH: Final = re.compile(
    r"(It|Fr|Ger|Gr|Sw)(?:alian|ench|man|iss)?\.?\+?(?:(?:augmented)?(?:sixth|6th|chord)+|([0-9/]*))", re.IGNORECASE
)
_NEAPOLITAN: Final = re.compile(r"N(?:eap(?:olitan|\.)?)?(6th|sixth|6/?3?|5/?3|6/?4|)")
_COMMON_TONE: Final = re.compile(r"ct[°o0ø]?7?", re.IGNORECASE)
_DELAYS: Final = re.compile(r"(?:[0-9]+/?[0-9]*-+)+[0-9]+/?[0-9]*")
_CADENTIAL: Final = re.compile(r"Cad(?:\(?6/?4\)?)|V(?:6/?4-5/?3|6-5/4-3|8-7/6-5/4-3|\(6/?4\))", re.IGNORECASE)
_SUBSTITUTE: Final = re.compile(r"[sS]ub\.?V(.*)")


class RomanText(NamedTuple):
    """The parts of one numeral.

    Attributes
    ----------
    written : int
        Accidentals before the numeral in semitones.
    number : int
        1 to 7; 5 for Cad64 and subV7, 2 for N6, 6 for augmented sixths.
    is_small : bool
        Whether it is in small letters.
    name : str
        ``''``, or ``'N'``, ``'It'``, ``'Fr'``, ``'Ger'``, ``'Sw'``, ``'Cad'``, ``'sub'``.
    sign : str
        ``''``, ``'°'``, ``'ø'`` or ``'+'``.
    quality : str
        ``'maj'`` or ``'dom'`` before figures of a seventh, ``'m'`` in all-capital style.
    figure : str
        A value of `FIGURES`.
    suffix : str
        What stands behind the numeral, where it is not figured bass.
    changes : tuple of str
        ``'no3'``, ``'add9'``, ``'#5'``, ``'maj7'``.
    bass : str
        Degree of the chord in the bass, where it is written so.
    target : RomanText or None
        Chord to which it is applied.
    """

    written: int
    number: int
    is_small: bool
    name: str
    sign: str
    quality: str
    figure: str
    suffix: str
    changes: tuple[str, ...]
    bass: str
    target: "RomanText | None"


def read_roman_text(text: object, numerals: str = "case") -> RomanText:
    """Read a numeral into its parts.

    Parameters
    ----------
    text : str
        Such as ``"V65/V"``, ``"bVII"``, ``"Ger65"``, ``"ii-7"``.
    numerals : {'case', 'capitals', 'jazz'}
        `roman_setting.ROMAN_SETTINGS` says what each means.

    Raises
    ------
    RomanNumeralError
        The text is no numeral.
    AmbiguousError
        It has several readings.

    Examples
    --------
    >>> part = read_roman_text("V6/5/V")
    >>> part.number, part.figure, part.target.number
    (5, '65', 5)
    >>> read_roman_text("ii-7").suffix, read_roman_text("ii/o7").sign
    ('-7', 'ø')
    >>> read_roman_text("VIII")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: Roman numeral 'VIII': 'VIII' is no degree; they go from I to VII
    """
    if not isinstance(text, str):
        raise RomanNumeralError(f"Roman numeral {text!r}: write it as text, such as 'V7' or 'ii65'")
    plain = text if text.isascii() else _plain(text)
    if " " in plain or "\t" in plain:
        plain = "".join(plain.split())
    segments = _APPLIED.split(plain)
    if len(segments) > 1 and segments[-1].endswith("]"):  # V/V[no3]: what is left out of the chord, not of its target
        segments[-1], bracket, changes = segments[-1].partition("[")
        segments[0] += bracket + changes
    part: RomanText | None = None
    for segment in reversed(segments):
        if part is not None:
            _check_target(part, text)
        part = _read_one(segment, text, numerals, part)
    assert part is not None
    return part


def _plain(text: str) -> str:
    return unicodedata.normalize("NFKC", text.translate(_SIGNS)).translate(_SIGNS)


def _read_one(segment: str, text: str, numerals: str, target: RomanText | None) -> RomanText:
    """Read one numeral, given the one to which it is applied."""
    match = _HEAD.fullmatch(segment)
    if match is None or segment[1:2] == "t":
        return _read_named(segment, text, target)
    signs, letters, rest = match.groups()
    number = _NUMBERS.get(letters) or _NUMBERS.get(letters.upper())
    if number is None or len(letters) > 3 or rest[:1] in ("i", "v", "I", "V"):
        _refuse_letters(segment, text)
    if "-" in rest and _CADENTIAL.fullmatch(segment):
        return _named("Cad", 5, "64", target)
    written = len(signs) if signs[:1] == "#" else -len(signs)
    changes: tuple[str, ...] = ()
    bass = ""
    if rest.endswith("]"):
        rest, changes, bass = _read_changes(rest, text)
    if not rest:
        return RomanText(written, number, letters[0] in "iv", "", "", "", "", "", changes, bass, target)
    figured = _FIGURED.fullmatch(rest)
    figure = FIGURES.get(figured[3].replace("/", "")) if figured else None
    is_small = letters[0] in "iv"
    if figured is not None and figure is not None and numerals != "jazz":
        sign, quality = _RINGS.get(figured[1], figured[1]), figured[2]
        quality = "maj" if quality == "M" else quality
        if not quality or figure in QUALIFIED_FIGURES or (numerals == "capitals" and figure in TRIAD_FIGURES):
            return RomanText(written, number, is_small, "", sign, quality, figure, "", changes, bass, target)
    if numerals == "jazz" and figured and figured[3].replace("/", "") in INVERSION_FIGURES and not figured[2]:
        sign = _RINGS.get(figured[1], figured[1])
        return RomanText(written, number, is_small, "", sign, "", figure or "", "", changes, bass, target)
    if numerals != "jazz":
        _refuse_bare_number(rest, signs + letters, text)
    if rest.endswith("/"):
        raise RomanNumeralError(f"Roman numeral {text!r}: ends with a slash; write the chord to which it is applied")
    return RomanText(written, number, is_small, "", "", "", "", _suffix_of(rest), changes, bass, target)


def _suffix_of(rest: str) -> str:
    """Suffix of a chord symbol in the signs that its grammar reads."""
    if rest.startswith("/o"):
        rest = "ø" + rest[2:]
    return "°" + rest[1:] if rest[:1] in ("o", "0") and not rest.startswith("om") else rest


def _read_changes(rest: str, text: str) -> tuple[str, tuple[str, ...], str]:
    """Cut brackets off: what is before, the changes, the bass."""
    match = _CHANGES.search(rest)
    brackets = match[1] if match else ""
    changes: list[str] = []
    bass = ""
    for content in brackets[1:-1].split("]["):
        if found := _BASS.fullmatch(content):
            bass = found[1]
            continue
        end = 0
        for change in _CHANGE.finditer(content.replace(",", "")):
            if change.start() != end:
                break
            changes.append(change[0].replace("omit", "no"))
            end = change.end()
        if not content or end != len(content.replace(",", "")):
            raise RomanNumeralError(
                f"Roman numeral {text!r}: in brackets write [no3], [add9], [#5], [maj7] or [bass 3], not '[{content}]'"
            )
    return rest[: len(rest) - len(brackets)], tuple(changes), bass


def _named(name: str, number: int, figure: str, target: RomanText | None) -> RomanText:
    return RomanText(0, number, False, name, "", "", figure, "", (), "", target)


def _read_named(segment: str, text: str, target: RomanText | None) -> RomanText:
    """Read a chord with a name of its own."""
    if match := _SIXTH.fullmatch(segment):
        name = match[1].capitalize()
        return _named("Ger" if name == "Gr" else name, 6, (match[2] or "").replace("/", ""), target)
    if match := _NEAPOLITAN.fullmatch(segment):
        if not match[1]:
            raise AmbiguousError(
                f"Roman numeral {text!r}: N may be N6 or N53 (root position); write one of these", ("N6", "N53")
            )
        return _named("N", 2, FIGURES[re.sub("/|th", "", match[1].replace("sixth", "6"))], target)
    if _CADENTIAL.fullmatch(segment):
        return _named("Cad", 5, "64", target)
    if match := _SUBSTITUTE.fullmatch(segment):
        rest, changes, bass = _read_changes(match[1], text) if match[1].endswith("]") else (match[1], (), "")
        if not rest:
            raise RomanNumeralError(f"Roman numeral {text!r}: a tritone substitute has a seventh; write 'subV7'")
        figure = FIGURES.get(rest.replace("/", ""), "")
        if figure in QUALIFIED_FIGURES:
            return RomanText(0, 5, False, "sub", "", "", figure, "", changes, bass, target)
        return RomanText(0, 5, False, "sub", "", "", "", _suffix_of(rest), changes, bass, target)
    _refuse(segment, text)


def _check_target(part: RomanText, text: str) -> None:
    """A chord to which another is applied is written as a triad without figures."""
    if part.name == "N":
        return
    if part.figure or part.changes or part.bass or part.name:
        numeral = NUMERALS[part.number]
        bare = ("#" * part.written or "b" * -part.written) + (numeral.lower() if part.is_small else numeral)
        advice = f"; write '/{bare}'" if not part.name else ""
        raise RomanNumeralError(
            f"Roman numeral {text!r}: the chord behind the slash is written as a triad without figures{advice}"
        )


def _refuse_letters(segment: str, text: str) -> NoReturn:
    run = re.search(r"[IViv]+", segment)
    assert run is not None
    if run[0].isupper() or run[0].islower():
        raise RomanNumeralError(f"Roman numeral {text!r}: {run[0]!r} is no degree; they go from I to VII")
    raise RomanNumeralError(
        f"Roman numeral {text!r}: write {run[0]!r} in capitals or in small letters throughout, such as 'IV' or 'iv'"
    )


def _refuse_bare_number(rest: str, head: str, text: str) -> None:
    """Refuse figures with two readings and figures that name no chord."""
    if rest == "4":
        raise AmbiguousError(
            f"Roman numeral {text!r}: may be {head}sus4, {head}43 or {head}64; write one of these",
            (f"{head}sus4", f"{head}43", f"{head}64"),
        )
    if rest == "5":
        raise AmbiguousError(
            f"Roman numeral {text!r}: may be {head} or {head}[no3]; write one of these", (head, f"{head}[no3]")
        )
    if re.fullmatch(r"/[#b]*[0-9]+", rest):
        raise AmbiguousError(
            f"Roman numeral {text!r}: the number may count from the chord's root or from the tonic; write the figures "
            f"of an inversion, such as '{head}6', or {head}[bass {rest[1:]}], counted from the root",
            (f"{head}6", f"{head}[bass {rest[1:]}]"),
        )
    if _DELAYS.fullmatch(rest):
        raise RomanNumeralError(
            f"Roman numeral {text!r}: {rest!r} tells of two chords; write each by itself, such as '{head}sus4' and '{head}', or "
            "'Cad64' for the six-four before a dominant"
        )
    if match := _SIX_FIRST.fullmatch(rest):
        raise RomanNumeralError(
            f"Roman numeral {text!r}: 6 is the first inversion; write '{head}{match[1]}6' or, for an added sixth, "
            f"'{head}add6'"
        )
    if rest.replace("/", "").isdigit() and rest.replace("/", "") != "69" and not rest.endswith("/"):
        allowed = "6, 64, 7, 65, 43, 42, 9, 11, 13"
        raise RomanNumeralError(
            f"Roman numeral {text!r}: {rest!r} is no figure of a chord in thirds; allowed: {allowed}"
        )


def _refuse(segment: str, text: str) -> NoReturn:
    if _COMMON_TONE.fullmatch(segment):
        raise RomanNumeralError(
            f"Roman numeral {text!r}: write a common-tone diminished seventh by its root, such as '#ii°7' before I, with the "
            "figures of its position"
        )
    if segment.startswith("-") and len(segment) > 1:
        raise RomanNumeralError(f"Roman numeral {text!r}: '-' is not a flat; write 'b{segment[1:]}'")
    if match := re.match(r"([#b]{0,3})([1-7])", segment):
        numeral = match[1] + NUMERALS[int(match[2])] + segment[match.end() :]
        raise RomanNumeralError(f"Roman numeral {text!r}: write the degree in Roman figures, such as '{numeral}'")
    if re.match(r"[A-G](?![a-z]{3})", segment):
        raise RomanNumeralError(
            f"Roman numeral {text!r}: is a chord symbol; roman_of({text!r}, key) tells its numeral in a key"
        )
    raise RomanNumeralError(
        f"Roman numeral {text!r}: write a numeral I to VII or i to vii with its figures, such as 'V7' or 'ii65'"
    )
