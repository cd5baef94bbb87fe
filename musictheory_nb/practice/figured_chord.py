"""Figures and what they stand for: shown, told in words, offered as answers, compared with the right ones."""

from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.numeral_vocabulary import chord_words, numeral, numeral_shown
from musictheory_nb.theory.figured_bass import figured_notes, figures_of
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEP_INDEX
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_speech import spoken_numeral

#: Figures that go without saying, as they may be written.
PLAIN: Final = "5/3"
#: The figures of triads and seventh chords, in the order of the buttons.
SHAPES: Final = (PLAIN, "6", "6/4", "7", "6/5", "4/3", "4/2")
#: Case, what the answer is, score.
FIGURE_CREDIT: Final = (
    ("right", "figures for the same notes, abbreviated or in full; 5/3 where none are written", 1.0),
    ("sign", "the right numbers with another accidental, or without it", 0.5),
    ("part", "figures for the right notes but one, or for one note more", 0.5),
    ("other", "any other figures", 0.0),
)
FIGURE_SCORES: Final = MappingProxyType({case: score for case, _, score in FIGURE_CREDIT})
_PRINTED: Final = str.maketrans({"#": "♯", "b": "♭", "n": "♮"})
_NUMBER_WORDS: Final = MappingProxyType(
    {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh", 8: "octave", 9: "ninth"}
)
_SIGNS: Final = ("#", "b", "n")
#: How many choices of figures like the right ones there are.
VARIANTS: Final = 12


@lru_cache(maxsize=8192)
def figures_for(figure: str, key: str) -> str:
    """Return the figures of a numeral; empty for a plain triad in root position.

    Examples
    --------
    >>> figures_for("V65", "G major"), figures_for("V", "A minor"), figures_for("I", "C major")
    ('6/5', '#', '')
    """
    return figures_of(numeral(figure, key).names, key)


def figures_shown(figures: str) -> str:
    """Return figures as printed in a sentence.

    Examples
    --------
    >>> figures_shown("#6/4"), figures_shown("")
    ('♯6/4', 'no figures')
    """
    return figures.translate(_PRINTED) or "no figures"


@lru_cache(maxsize=8192)
def notes_above(bass: str, figures: str, key: str) -> tuple[str, ...]:
    """Return the names of the notes that figures ask for above a bass, from the lowest figure up.

    Raises
    ------
    TheoryError
        The figures cannot be read, or ask for a note that cannot be spelled.

    Examples
    --------
    >>> notes_above("F#", "6/5", "G major"), notes_above("E", "#", "A minor")
    (('A', 'C', 'D'), ('G#', 'B'))
    """
    return tuple(name.name for name in figured_notes(bass, figures, key)[1:])


def _number(bass: str, name: str) -> int:
    return (STEP_INDEX[name[0]] - STEP_INDEX[bass[0]]) % 7 + 1


@lru_cache(maxsize=8192)
def figure_case(bass: str, figures: str, answered: str, key: str) -> str:
    """Return the case of `FIGURE_CREDIT` of an answer.

    Examples
    --------
    >>> [figure_case("F#", "6/5", text, "G major") for text in ("65", "6 5 3", "6", "#6/5", "4/2")]
    ['right', 'right', 'part', 'sign', 'other']
    """
    right = set(notes_above(bass, figures, key))
    try:
        given = set(notes_above(bass, answered, key))
    except TheoryError:
        return "other"
    if given == right:
        return "right"
    numbers, theirs = ({_number(bass, name) for name in names} for names in (right, given))
    if numbers == theirs:
        return "sign"
    return "part" if len(right ^ given) == 1 else "other"


@lru_cache(maxsize=8192)
def pitches_above(bass: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Return a bass note with the notes above it in close position.

    Examples
    --------
    >>> pitches_above("F#3", ("A", "C", "D"))
    ('F#3', 'A3', 'C4', 'D4')
    """
    low = Pitch(bass)
    found = []
    for name in names:
        placed = [Pitch.from_name(PitchName(name), low.octave + up) for up in (-1, 0, 1, 2)]
        found.append(next(pitch for pitch in placed if pitch.diatonic > low.diatonic))
    return (bass, *(pitch.name for pitch in sorted(found, key=lambda pitch: (pitch.chromatic, pitch.diatonic))))


@lru_cache(maxsize=8192)
def figures_sentence(figure: str, key: str, display: Display, style: str = "65") -> str:
    """Return what the figures of a numeral stand for.

    Examples
    --------
    >>> print(figures_sentence("V65", "G major", Display()))
    Above F♯ the figures 6/5 stand for a third, a fifth and a sixth: A, C and D. With F♯ they make a dominant seventh chord on D: V65 of G major.
    >>> print(figures_sentence("V", "A minor", Display()))
    Above E the figure ♯ stands for a third and a fifth: G♯ and B. An accidental by itself belongs to the third. With E they make a major triad on E: V of A minor.
    >>> print(figures_sentence("I", "C major", Display()))
    Above C no figures stand for a third and a fifth: E and G. With C they make a major triad on C: I of C major.
    """
    roman, figures = numeral(figure, key), figures_for(figure, key)
    bass = roman.bass.name
    upper = notes_above(bass, figures, key)
    shown = "no figures" if not figures else f"the figures {figures_shown(figures)}"
    stand = "stand"
    if len(figures.split("/")) == 1 and figures:
        shown, stand = f"the figure {figures_shown(figures)}", "stands"
    numbers = listed([f"a {_NUMBER_WORDS[_number(bass, name)]}" for name in upper])
    told = [
        f"Above {display.note(bass)} {shown} {stand} for {numbers}: {listed([display.note(one) for one in upper])}."
    ]
    signs = [one for one in figures.split("/") if one]
    if any(not one.strip("#bn") for one in signs):
        told.append("An accidental by itself belongs to the third.")
    elif any(one.strip("0123456789") for one in signs):
        told.append("An accidental before a figure alters its note against the signature.")
    told.append(
        f"With {display.note(bass)} they make {chord_words(roman, display)}: {numeral_shown(figure, key, style)} of "
        f"{display.scale(key)}."
    )
    return " ".join(told)


@lru_cache(maxsize=4096)
def _altered(bass: str, figures: str, key: str) -> tuple[str, ...]:
    """Return figures with one accidental more, which ask for other notes that can be written."""
    found = []
    right = set(notes_above(bass, figures, key))
    for name in notes_above(bass, figures, key):
        number = _number(bass, name)
        for sign in _SIGNS:
            signed = sign if number == 3 else f"{sign}{number}"
            others = [one for one in figures.split("/") if one not in (str(number), PLAIN) and one]
            text = "/".join([*others, signed] if number == 3 else sorted([*others, signed], key=_by_number))
            try:
                notes = notes_above(bass, text, key)
            except TheoryError:
                continue
            if set(notes) != right and all(abs(PitchName(one).alter) <= 1 for one in notes):
                found.append(text)
    return tuple(dict.fromkeys(found))


def _by_number(figure: str) -> int:
    return -int(figure.strip("#bn") or 3)


def figure_options(bass: str, figures: str, key: str, variant: int) -> tuple[Option, ...]:
    """Return the figures to choose from: those of every shape, and one of them in two versions, the right one or like it.

    `variant` tells which of the `VARIANTS` choices of a version like the right one.

    Examples
    --------
    >>> [option.value for option in figure_options("E", "#", "A minor", 0)]
    ['5/3', '#', '6', '6/4', '7', '6/5', '4/3', '4/2']
    """
    right = set(notes_above(bass, figures, key))
    numbers = {_number(bass, name) for name in right}
    options = []
    for shape in SHAPES:
        notes = set(notes_above(bass, shape, key))
        same_shape = {_number(bass, name) for name in notes} == numbers
        plain = figures or PLAIN
        if not same_shape:
            options.append(shape)
        elif notes == right:
            altered = _altered(bass, "" if plain == PLAIN else plain, key)
            options += [plain, altered[variant % len(altered)]] if altered else [plain]
        else:
            options += [shape, plain]
    if (figures or PLAIN) not in options:  # a shape of its own
        options.append(figures)
    return tuple(
        Option(text, "none (5/3)" if text == PLAIN else figures_shown(text), spoken_numeral(text))
        for text in dict.fromkeys(options)
    )
