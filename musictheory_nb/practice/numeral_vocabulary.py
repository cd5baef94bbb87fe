"""Roman numerals as exercises ask for them: which ones by level, how they are shown and said, what a numeral means."""

from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import PitchError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.theory.roman_numeral import Roman
from musictheory_nb.theory.scale_degree import display_degree


class Level(NamedTuple):
    """What a level asks for, and its numerals in major and in minor keys."""

    words: str
    major: tuple[str, ...]
    minor: tuple[str, ...]


def _texts(text: str) -> tuple[str, ...]:
    return tuple(text.split())


#: The levels, from the plainest on. Source: the order of the usual harmony courses (common practice, no source).
LEVELS: Final = MappingProxyType(
    {
        "triads": Level(
            "triads of the key in root position",
            _texts("I ii iii IV V vi vii°"),
            _texts("i ii° III iv V VI VII vii°"),
        ),
        "inverted triads": Level(
            "triads of the key in first and second inversion",
            _texts("I6 I64 ii6 iii6 IV6 IV64 V6 V64 vi6 vii°6"),
            _texts("i6 i64 ii°6 III6 iv6 iv64 V6 V64 VI6 VII6 vii°6"),
        ),
        "sevenths": Level(
            "seventh chords of the key in root position",
            _texts("I7 ii7 iii7 IV7 V7 vi7 viiø7"),
            _texts("i7 iiø7 III7 iv7 V7 VI7 VII7 vii°7"),
        ),
        "inverted sevenths": Level(
            "seventh chords of the key in inversion",
            _texts("V65 V43 V42 ii65 ii43 ii42 IV65 vi65 viiø65 viiø43 viiø42"),
            _texts("V65 V43 V42 iiø65 iiø43 iiø42 iv65 VI65 vii°65 vii°43 vii°42"),
        ),
        "secondary dominants": Level(
            "dominants and leading-tone chords of other chords of the key",
            _texts(
                "V/ii V/iii V/V V/vi V6/ii V6/V V6/vi V7/ii V7/iii V7/IV V7/V V7/vi V65/ii V65/IV V65/V V65/vi V43/V V42/IV "
                "V42/V vii°6/V vii°7/ii vii°7/iii vii°7/V vii°7/vi vii°65/V"
            ),
            _texts(
                "V/V V6/V V7/iv V7/V V7/VI V65/iv V65/V V65/VI V43/V V42/iv V42/V vii°6/V vii°7/iv vii°7/V vii°65/V"
            ),
        ),
        "mixture": Level(
            "chords borrowed from the parallel key",
            _texts("i i6 ii° ii°6 iiø7 iiø65 bIII iv iv6 bVI bVI6 bVII vii°7 vii°65"),
            _texts("I I6 I64"),
        ),
        "chromatic predominants": Level(
            "the Neapolitan and augmented sixths",
            _texts("N6 It6 Fr43 Ger65"),
            _texts("N6 It6 Fr43 Ger65"),
        ),
    }
)
#: How figures stand in a numeral: side by side, or with a slash.
FIGURES: Final = Setting(
    "figures",
    "65",
    "How the figures of a numeral are shown: side by side as in V65, or with a slash as in V6/5. Both are read.",
    "'65', '6/5'",
    one_of(("65", "6/5")),
)
_POSITIONS: Final = ("root position", "first inversion", "second inversion", "third inversion")
_TONES: Final = MappingProxyType({"1": "root", "3": "third", "5": "fifth", "7": "seventh"})


def levels_setting(default: Sequence[str], meaning: str) -> Setting:
    """Return the setting of the levels that an exercise goes through."""
    told = "; ".join(f"{name}: {level.words}" for name, level in LEVELS.items())
    allowed = f"a list of different ones of {', '.join(map(repr, LEVELS))}"
    return Setting(
        "levels", list(default), f"{meaning} {told[0].upper()}{told[1:]}.", allowed, several_of(tuple(LEVELS))
    )


@lru_cache(maxsize=16384)
def numeral(figure: str, key: str) -> Roman:
    """Return a numeral in a key.

    Raises
    ------
    TheoryError
        It cannot be read or spelled.
    """
    return Roman(figure, key)


@lru_cache(maxsize=256)
def numerals_of(levels: tuple[str, ...], is_minor: bool) -> tuple[str, ...]:
    """Return the numerals of levels, each once, in the order of `LEVELS`.

    Examples
    --------
    >>> numerals_of(("chromatic predominants", "triads"), True)
    ('i', 'ii°', 'III', 'iv', 'V', 'VI', 'VII', 'vii°', 'N6', 'It6', 'Fr43', 'Ger65')
    """
    rows = [level.minor if is_minor else level.major for name, level in LEVELS.items() if name in levels]
    return tuple(dict.fromkeys(figure for row in rows for figure in row))


@lru_cache(maxsize=16384)
def numeral_shown(figure: str, key: str, figures: str = "65") -> str:
    """Return a numeral as printed.

    Examples
    --------
    >>> numeral_shown("bVI6", "C major"), numeral_shown("V65/V", "C major", "6/5")
    ('♭VI6', 'V6/5/V')
    """
    return numeral(figure, key).written(printed=True, figures=figures)


def chord_words(roman: Roman, display: Display) -> str:
    """Return the chord of a numeral in words, with an article.

    Examples
    --------
    >>> chord_words(numeral("V65", "C major"), Display()), chord_words(numeral("Ger65", "C major"), Display())
    ('a dominant seventh chord on G', 'a German augmented sixth chord')
    """
    words = roman.chord.words
    article = "an" if words[0] in "aeiouAEIOU" else "a"
    if roman.kind == "augmented sixth":
        return f"{article} {words} chord"
    return f"{article} {words}{'' if words.endswith('triad') else ' chord'} on {display.note(roman.root.name)}"


@lru_cache(maxsize=8192)
def numeral_sentence(figure: str, key: str, display: Display, figures: str = "65") -> str:
    """Return what a numeral means in its key, from its notes.

    Examples
    --------
    >>> print(numeral_sentence("V65", "C major", Display()))
    G, B, D and F make a dominant seventh chord on G, which is 5 of C major, the dominant. The third, B, is in the bass: first inversion. So it is V65.
    >>> print(numeral_sentence("V7/V", "C major", Display()))
    D, F♯, A and C make a dominant seventh chord on D, the dominant of G, which is V of C major. The root is in the bass. So it is V7/V.
    >>> print(numeral_sentence("bVI", "C major", Display()))
    A♭, C and E♭ make a major triad on A♭, which is ♭6 of C major; it is borrowed from C minor. The root is in the bass. So it is ♭VI.
    >>> print(numeral_sentence("Fr43", "A minor", Display()))
    F, A, B and D♯ make a French augmented sixth chord: the augmented sixth from F up to D♯ opens to E, the dominant of A minor. So it is Fr43.
    """
    roman, home = numeral(figure, key), key_named(key)
    tones = roman.pitch_names if roman.kind == "augmented sixth" else roman.chord.tones
    told = f"{listed([display.note(tone.name) for tone in tones])} make {chord_words(roman, display)}"
    shown = f"So it is {numeral_shown(figure, key, figures)}."
    if roman.kind == "augmented sixth":
        low, high, dominant = (display.note(note.name) for note in (roman.root, roman.root.up("A6"), home.note("5")))
        return f"{told}: the augmented sixth from {low} up to {high} opens to {dominant}, the dominant of {_scale(roman, display)}. {shown}"
    told += _role(roman, display)
    degree = roman.chord.bass_degree.lstrip("#b")
    if not roman.inversion:
        return f"{told}. The root is in the bass. {shown}"
    bass = f"The {_TONES[degree]}, {display.note(roman.bass.name)}, is in the bass: {_POSITIONS[roman.inversion]}."
    return f"{told}. {bass} {shown}"


def _scale(roman: Roman, display: Display) -> str:
    return display.scale(roman.key)


def _role(roman: Roman, display: Display) -> str:
    """Return what the root of a numeral is in its key, to follow the name of the chord."""
    if (target := roman.applied_to) is not None:
        how = "leading-tone chord" if "b5" in roman.chord.degrees else "dominant"
        return f", the {how} of {display.note(target.root.name)}, which is {target.display} of {_scale(roman, display)}"
    told = f", which is {display_degree(roman.degree)} of {_scale(roman, display)}"
    home = key_named(roman.key)
    if roman.degree == "b2":
        return f"{told}, the lowered second degree: the Neapolitan"
    with suppress(PitchError):  # a degree that the scale does not have has no name
        told += f", the {home.degree_name(roman.root)}"
    return f"{told}; it is borrowed from {display.scale(home.parallel.name)}" if roman.is_mixture else told
