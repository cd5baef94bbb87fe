"""Exercise family: the Roman numeral of a chord on the staff, in a key."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_pool import notes_read_aloud
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.numeral_credit import NUMERAL_CREDIT, NUMERAL_SCORES, numeral_case_of, right_numerals
from musictheory_nb.practice.numeral_pool import (
    KEYS,
    LAYOUT,
    check_numerals_fit,
    near_pitches,
    numeral_case,
    numeral_excerpt,
    numeral_items_setting,
    numerals_asked,
)
from musictheory_nb.practice.numeral_vocabulary import (
    FIGURES,
    levels_setting,
    numeral,
    numeral_sentence,
    numeral_shown,
)
from musictheory_nb.practice.response import Answer, ChoiceInput, Input, Option, Response, Step, SymbolInput
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.roman_speech import spoken_numeral

#: How a numeral may be answered.
INPUTS: Final = ("buttons", "text")
#: Most numerals to choose from, and how many of them are like the right one.
MOST_OPTIONS: Final = 8
_ALIKE: Final = 4
#: How many choices of wrong numerals there are for one right numeral.
VARIANTS: Final = 32
#: Numerals are the same in every major key, and in every minor one: what is worked out in one of them serves for all.
_SAME: Final = ("C major", "A minor")
_STEP: Final = "numeral"

SETTINGS: Final = (
    KEYS,
    levels_setting(("triads", "inverted triads", "sevenths"), "Which chords come up."),
    numeral_items_setting("; they are among the answers to choose from."),
    Setting(
        "inputs",
        list(INPUTS),
        f"How it is answered: by buttons, at most {MOST_OPTIONS} of them, or by writing the numeral.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    LAYOUT,
    FIGURES,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class NumeralReading:
    """Numeral reading, version 1.

    A chord is written with the signature of a key that is told; the student gives its Roman numeral with its figures.
    Each numeral comes once before any comes again, and none in the same key before it came in all. Where a chord by itself
    has two usual numerals (VII7 and V7/III, I64 and the cadential six-four) each is right.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "numeral-reading"
    version: int = 1
    title: str = "Roman numerals of chords"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_numerals_fit(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = numeral_case(question, place)
        look = settings["layout"], place.clef, settings["timbre"], display.part_shift
        chord = numeral_excerpt(case.pitches, case.key, *look)
        shown = numeral_shown(case.figure, case.key, settings["figures"])
        with_text = numeral_excerpt(case.pitches, case.key, *look, shown)
        home = display.scale(case.key)
        right = right_numerals(case.figure, case.key)
        told = numeral_sentence(case.figure, case.key, display, settings["figures"])
        if len(right) > 1:
            others = [numeral_shown(one, case.key, settings["figures"]) for one in right[1:]]
            told += f" By itself it may as well be {listed(others, 'or')}."
        asked = numerals_asked(settings, key_named(case.key).is_minor)
        inputs = numeral_inputs(settings["inputs"], settings["figures"], case.figure, case.key, asked, question.draw())
        written = f", {display.written_for}" if display.written_for else ""
        return Item(
            question.exercise,
            question.index,
            f"Look at the chord{written}. The key is {home}. Which Roman numeral is it?",
            (
                MediaRequest("notation", chord, f"The chord, in {home}"),
                MediaRequest("sound", chord, "Hear the chord", "answered"),
                MediaRequest(
                    "notation", with_text, f"{shown} in {home}", "answered", marked=_bass_notes(settings["layout"])
                ),
            ),
            Response((Step(_STEP, f"Which numeral is it in {home}?", inputs),)),
            {
                "key": case.key,
                "figure": case.figure,
                "pitches": case.pitches,
                "layout": settings["layout"],
                "figures": settings["figures"],
                "partial": settings["partial"],
                **display.key,
            },
            told,
            {_STEP: {entry.id: [case.figure] if entry.id == "choice" else list(right) for entry in inputs}},
            twin_text=f"{notes_read_aloud([display.pitch(name) for name in case.pitches])} The key is {home}.",
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        case, given = _judged(item, answer)
        key = item.key["key"]
        right, told = (numeral_shown(one, key, item.key["figures"]) for one in (item.key["figure"], given))
        score = NUMERAL_SCORES[case]
        bass = Display.of_key(item.key).note(numeral(item.key["figure"], key).bass.name)
        why = {
            "right": f"Right: {told}.",
            "reading": f"The notes are right; {right} says what the chord does, {told} does not.",
            "position": f"The chord is right, its position is not: with {bass} in the bass it is {right}, not {told}.",
            "seventh": f"The triad is right, the seventh is not: {right}, not {told}.",
            "root": f"The root is right, the chord on it is not: {right}, not {told}.",
            "other": f"Not {told}, but {right}.",
        }[case]
        return Mark(score if item.key["partial"] or score == 1.0 else 0.0, why)

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and the one answered, heard and seen."""
        case, given = _judged(item, answer)
        key, layout, figures = item.key["key"], item.key["layout"], item.key["figures"]
        if case in ("right", "reading") or (layout == "four parts" and len(numeral(given, key).names) > 4):
            return ()
        pitches = near_pitches(given, key, layout, item.key["pitches"][0])
        if not pitches or not all(0 <= Pitch(name).chromatic <= 127 for name in pitches):
            return ()
        part = item.media[0].excerpt.parts[0]
        look = layout, part.clef, part.timbre, (part.chromatic, part.diatonic)
        right, told = (numeral_shown(one, key, figures) for one in (item.key["figure"], given))
        rows = ((f"Right: {right}", right, tuple(item.key["pitches"])), (f"Your answer: {told}", told, pitches))
        return tuple(
            MediaRequest(kind, numeral_excerpt(notes, key, *look, text), label, "answered")
            for kind in ("sound", "notation")
            for label, text, notes in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right numeral, the one answered); None for a right answer."""
        case, given = _judged(item, answer)
        if case == "right":
            return None
        right, told = (numeral_shown(one, item.key["key"], "65") for one in (item.key["figure"], given))
        return right, told


def _bass_notes(layout: str) -> tuple[int, ...]:
    """Return the index of the bass, which is marked; in close position all notes are one chord, and nothing is."""
    return (3,) if layout == "four parts" else ()


def _judged(item: Item, answer: Answer) -> tuple[str, str]:
    """Return the case of `NUMERAL_CREDIT`, and the numeral that was answered."""
    ((_, value),) = answer[_STEP].items()
    key = item.key["key"]
    return numeral_case_of(item.key["figure"], value, key), numeral(value, key).figure


def numeral_inputs(
    inputs: Sequence[str], style: str, figure: str, key: str, asked: tuple[str, ...], draw: Draw
) -> tuple[Input, ...]:
    """Return the ways to answer a numeral: those of `INPUTS` that are named.

    Parameters
    ----------
    inputs : sequence of str
        Some of `INPUTS`.
    style : str
        How figures stand in a numeral: ``'65'`` or ``'6/5'``.
    figure, key : str
        The right numeral.
    asked : tuple of str
        All numerals that can come up.
    draw : Draw
        Where the choice comes from.
    """
    found: tuple[Input, ...] = ()
    if "buttons" in inputs:
        found += (_choice_input(figure, _SAME[key_named(key).is_minor], asked, style, draw.integer(VARIANTS)),)
    if "text" in inputs:
        found += (_text_input(key),)
    return found


@lru_cache(maxsize=8192)
def _choice_input(figure: str, key: str, asked: tuple[str, ...], style: str, variant: int) -> ChoiceInput:
    return ChoiceInput(numeral_options(figure, key, asked, style, variant))


@lru_cache(maxsize=256)
def _text_input(key: str) -> SymbolInput:
    return SymbolInput("numeral", key)


@lru_cache(maxsize=16384)
def _likeness(figure: str, key: str, asked: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the numerals that are like one, and the others: those on its root, over its bass, or of all notes but one."""
    mine, right = numeral(figure, key), right_numerals(figure, key)
    alike: list[str] = []
    others: list[str] = []
    for one in asked:
        theirs = numeral(one, key)
        if one in right or theirs.chord == mine.chord:
            continue
        shared = len(set(mine.names) & set(theirs.names))
        is_alike = theirs.root == mine.root or theirs.bass == mine.bass or shared >= len(mine.names) - 1
        (alike if is_alike else others).append(one)
    return tuple(alike), tuple(others)


@lru_cache(maxsize=8192)
def numeral_options(figure: str, key: str, asked: tuple[str, ...], style: str, variant: int) -> tuple[Option, ...]:
    """Return the numerals to choose from, in the order of `asked`: the right one, some like it, and some others.

    Parameters
    ----------
    figure, key : str
        The right numeral.
    asked : tuple of str
        All numerals that can come up.
    style : str
        How figures stand in a numeral: ``'65'`` or ``'6/5'``.
    variant : int
        Which of the `VARIANTS` choices of wrong ones.

    Examples
    --------
    >>> [option.value for option in numeral_options("V65", "C major", ("I", "V", "V65", "V43"), "65", 0)]
    ['I', 'V', 'V65', 'V43']
    """
    alike, others = _likeness(figure, key, asked)
    if len(alike) + len(others) >= MOST_OPTIONS:
        draw = Draw("numerals to choose from", f"{figure} in {key}", 1, variant, 0)
        near, far = draw.shuffled(alike), draw.shuffled(others)
        few = max(_ALIKE, MOST_OPTIONS - 1 - len(far))
        chosen = {*[*near[:few], *far][: MOST_OPTIONS - 1]}
    else:
        chosen = {*alike, *others}
    in_order = [one for one in asked if one == figure or one in chosen]
    return tuple(Option(one, numeral_shown(one, key, style), spoken_numeral(one)) for one in in_order)


NumeralReading.__doc__ = described(
    NumeralReading.__doc__, SETTINGS, credit=credit_table(("answer", "score"), [row[1:] for row in NUMERAL_CREDIT])
)
NUMERAL_READING: Final = NumeralReading()
