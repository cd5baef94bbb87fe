"""A chord symbol as printed above the staff, and as read aloud.

The symbol is printed as it is written, in one line, with real flats and sharps: B♭7, Gø7, Cmaj7, F♯m7♭5, G7alt, D/C7,
N.C. The accidentals are drawn here, and the letters take the widths of Helvetica (which Arial and Liberation Sans
share): so the symbol looks alike in every browser, and no font is embedded or fetched. Roman numerals and figured bass
stand below the staff, figures one above the other.
"""

import re
from collections.abc import Iterator
from math import ceil
from types import MappingProxyType
from typing import Final
from xml.sax.saxutils import escape

from musictheory_nb.theory.roman_analysis import is_numeral
from musictheory_nb.theory.roman_speech import is_figures, spoken_numeral

#: Widths in thousandths of the type size. Source: Adobe Font Metrics of Helvetica (core 14 fonts), by width.
_WIDTHS: Final = MappingProxyType(
    {
        character: width
        for width, characters in (
            (191, "'"),
            (222, "`ijl"),
            (260, "|"),
            (278, " !,./:;I[]\\ft"),
            (333, "()-r"),
            (355, '"'),
            (389, "*"),
            (400, "°"),
            (469, "^"),
            (500, "ckJsvxyz"),
            (556, "#$0123456789?L_abdeghnopqu"),
            (584, "+<=>~"),
            (611, "FTZø"),
            (667, "&ABEKPSVXY"),
            (722, "CDHNRUw"),
            (778, "GOQØ"),
            (833, "Mm"),
            (944, "W"),
        )
        for character in characters
    }
)
_OTHER_WIDTH: Final = 667
_FAMILY: Final = "Helvetica, Arial, 'Liberation Sans', sans-serif"

#: Shapes in a square of 1000, the baseline at 0, y upwards: advance, path, width of the pen (0: filled).
_SHAPES: Final = MappingProxyType(
    {
        "♭": (330, "M70 760V20C180 90 285 190 285 285C285 390 150 400 70 290", 62),
        "♯": (400, "M140 -60V690M260 -20V730M50 190L350 275M50 410L350 495", 62),
        "♮": (330, "M80 730V150L250 205M250 -60V520L80 465", 62),
        "△": (700, "M350 660L60 30H640Z", 62),
    }
)
_ACCIDENTAL: Final = r"bb|b|##|#|♭♭|♭|♯♯|♯|𝄫|𝄪"
_TOKEN: Final = re.compile(
    rf"(?:(?<=^)|(?<=[/|\\]))(?P<root>[A-G])(?P<sign>{_ACCIDENTAL})?"
    rf"|(?P<alter>{_ACCIDENTAL}|♮)(?=[0-9IViv])"
    r"|(?P<rest>.)",
    re.DOTALL,
)
_SIGNS: Final = MappingProxyType({"b": "♭", "#": "♯", "𝄫": "♭♭", "𝄪": "♯♯", "Δ": "△"})

#: What a symbol says after each root, tried in turn; an empty word is read as it stands.
_WORDS: Final = tuple(
    (re.compile(pattern), word)
    for pattern, word in (
        (r"N\.?C\.?$", "no chord"),
        (r"(?<![^/|\\])[A-G](?:♭♭|♯♯|♭|♯)?", ""),
        (r"[/|\\](?=[A-G])", "over"),
        (r"6/9", "6 9"),
        (r"maj|Maj|MAJ|Ma|ma|M|△|\^", "major"),
        (r"min|Min|MIN|mi|m|-(?!\d)|-(?=7|9|6|11|13)", "minor"),
        (r"ø|Ø", "half-diminished"),
        (r"dim|°|o(?=7|$|/)", "diminished"),
        (r"aug|\+(?!\d)|\+(?=7$|9$)", "augmented"),
        (r"sus", "suspended"),
        (r"alt", "altered"),
        (r"add|no|omit", ""),
        (r"♭♭", "double flat"),
        (r"♯♯", "double sharp"),
        (r"♭|-", "flat"),
        (r"♯|\+", "sharp"),
        (r"♮", "natural"),
        (r"[0-9]+|[IViv]+", ""),
        (r"[(),\s/|\\]", " "),
    )
)
_ROOT_SIGNS: Final = MappingProxyType({"♭": "-flat", "♯": "-sharp", "♭♭": "-double-flat", "♯♯": "-double-sharp"})


def printed_chord(text: str) -> str:
    """Return a chord symbol with printed accidentals.

    Examples
    --------
    >>> printed_chord("Bb7"), printed_chord("F#m7b5"), printed_chord("G7alt"), printed_chord("Ab/C")
    ('B♭7', 'F♯m7♭5', 'G7alt', 'A♭/C')
    """
    out = []
    for token in _TOKEN.finditer(text):
        if token["root"]:
            out.append(token["root"] + _signs(token["sign"] or ""))
        elif token["alter"]:
            out.append(_signs(token["alter"]))
        else:
            out.append(_SIGNS.get(token["rest"], token["rest"]) if token["rest"] == "Δ" else token["rest"])
    return "".join(out)


def _signs(text: str) -> str:
    return "".join(_SIGNS.get(character, character) for character in text)


def is_below(text: str) -> bool:
    """Whether a text belongs below the lowest staff: a Roman numeral, or figured bass.

    Examples
    --------
    >>> [is_below(text) for text in ("V7", "6/5", "bVI", "Bb7", "N.C.", "C/G")]
    [True, True, True, False, False, False]
    """
    return is_figures(text) or is_numeral(text)


def text_lines(text: str) -> tuple[str, ...]:
    """Return the lines in which a text is printed: figures one above the other, anything else in one.

    Examples
    --------
    >>> text_lines("#6/4"), text_lines("V6/5"), text_lines("7 n")
    (('♯6', '4'), ('V6/5',), ('7', '♮'))
    """
    if not is_figures(text):
        return (text,)
    signs = {"#": "♯", "b": "♭", "n": "♮"}
    return tuple("".join(signs.get(one, one) for one in line) for line in re.split(r"[/\s]+", text.strip()))


def spoken_chord(text: str) -> str:
    """Return a chord symbol, a numeral or figures in words.

    Examples
    --------
    >>> spoken_chord("V65/V"), spoken_chord("6/5")
    ('numeral capital five 6 5 of capital five', 'figures 6 5')
    >>> spoken_chord("Bb7"), spoken_chord("Gm7b5"), spoken_chord("Cmaj7#11/E")
    ('B-flat 7', 'G minor 7 flat 5', 'C major 7 sharp 11 over E')
    >>> spoken_chord("N.C.")
    'no chord'
    """
    if is_below(text):
        return f"{'figures' if is_figures(text) else 'numeral'} {spoken_numeral(text)}"
    printed, words, at = printed_chord(text), [], 0
    while at < len(printed):
        word, match = next(
            ((word, match) for pattern, word in _WORDS if (match := pattern.match(printed, at))), ("", None)
        )
        found = match[0] if match else printed[at]
        if found[0] in "ABCDEFG" and found[1:] in _ROOT_SIGNS:
            word = found[0] + _ROOT_SIGNS[found[1:]]
        words.append(word or found)
        at += len(found)
    return " ".join(" ".join(words).split())


def _runs(text: str) -> Iterator[tuple[str, float]]:
    """Drawn signs singly and stretches of letters together, each with its width in ems."""
    for run in re.findall(r"[♭♯♮△]|[^♭♯♮△]+", printed_chord(text)):
        if run in _SHAPES:
            yield run, _SHAPES[run][0] / 1000
        else:
            yield run, sum(_WIDTHS.get(character, _OTHER_WIDTH) for character in run) / 1000


def placeholder(text: str) -> str:
    """Return a text that keeps at least as much room in verovio as the drawn symbol needs.

    Verovio measures it in Times, whose zero is half an em wide.
    """
    return "0" * ceil(sum(width for _, width in _runs(text)) / 0.5)


def drawn_chord(text: str, x: float, y: float, size: float) -> str:
    """Return SVG that draws a chord symbol with its left end and baseline at `x`, `y`, in type of `size`."""
    out = []
    for run, width in _runs(text):
        if run in _SHAPES:
            _, path, pen = _SHAPES[run]
            scale = size / 1000
            out.append(
                f'<path d="{path}" transform="translate({x:.0f} {y:.0f}) scale({scale:.4f} {-scale:.4f})" '
                f'fill="none" stroke-width="{pen}" stroke-linejoin="round"/>'
            )
        else:
            out.append(
                f'<text x="{x:.0f}" y="{y:.0f}" font-size="{size:.0f}px" textLength="{width * size:.0f}" '
                f'font-family="{_FAMILY}">{escape(run)}</text>'
            )
        x += width * size
    return "".join(out)
