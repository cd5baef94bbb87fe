"""Exercise family: write the symbol of a chord that is seen."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_marking import QUALITY_CREDIT, STEPS, case_of_degrees
from musictheory_nb.practice.chord_pool import OWN_CHORDS, check_chords_fit, chord_case, chord_excerpt, notes_read_aloud
from musictheory_nb.practice.chord_vocabulary import (
    QUALITY_NAMES,
    SEVENTHS,
    TRIADS,
    VOICINGS,
    chord_of,
    chord_sentence,
    chord_shown,
    inversions_setting,
    qualities_setting,
)
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, ENHARMONIC, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import moved_near
from musictheory_nb.practice.response import Answer, Response, Step, SymbolInput
from musictheory_nb.practice.setting_check import is_switch, one_of
from musictheory_nb.practice.staff_register import HIGH, LOW, register
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_naming import name_chord
from musictheory_nb.theory.pitch import Pitch

_STEP: Final = "symbol"
#: What a symbol is worth that sounds right over the right bass and is spelled otherwise.
SPELLING_SCORE: Final = 0.5
_QUALITY_SCORES: Final = {case: score for case, _, score in QUALITY_CREDIT}
#: Names that are told as right, too: what players call a chord, and not all that a symbol could say.
_USUAL: Final = frozenset(words for suffix, words in QUALITY_NAMES.items() if suffix != "sus2sus4")
CREDIT: Final = (
    ("all", "any symbol whose tones are the notes as spelled, over their bass", "1"),
    ("", "a symbol that sounds so and is spelled otherwise; 1 with ``enharmonic``", f"{SPELLING_SCORE} at least"),
    ("root", "the root itself", f"{STEPS['root']}"),
    *(
        ("quality" if not at else "", what, f"{STEPS['quality'] * score:g}")
        for at, (_, what, score) in enumerate(QUALITY_CREDIT)
    ),
    ("bass", "the bass itself, root or quality being right", f"{STEPS['inversion']}"),
)

SETTINGS: Final = (
    qualities_setting((*TRIADS, *SEVENTHS), "The qualities that are asked for."),
    inversions_setting("The inversions in which chords are written."),
    OWN_CHORDS,
    Setting(
        "other_names",
        True,
        "Whether any symbol with these tones over this bass is right, as Am7/C for C6, or only the one that was drawn.",
        "True or False",
        is_switch,
    ),
    ENHARMONIC,
    Setting(
        "voicing",
        "close",
        "How the tones lie: as near together as can be, or the second from the bass an octave higher.",
        ", ".join(map(repr, VOICINGS)),
        one_of(VOICINGS),
    ),
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class ChordSymbolNaming:
    """Chord symbol, version 1.

    A chord is written in the student's clef, near the staff; the student writes its symbol, an inversion with its bass
    behind a slash. Each quality in each inversion comes once before any comes again. Any way of writing a symbol that
    charts use is read (Cm7, C-7, Cmin7).

    Settings::

    {settings}

    Marking: against the right name that the answer agrees with best,

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "chord-symbol"
    version: int = 1
    title: str = "Symbols of chords"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_chords_fit(settings, register(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        case = chord_case(question, place)
        chord = chord_excerpt(case.pitches, "together", place.clef, settings["timbre"], display.part_shift)
        drawn = chord_of(case.root, case.quality, case.inversion)
        right = _right_names(drawn, case.pitches) if settings["other_names"] else (drawn,)
        shown = chord_shown(case.root, case.quality, case.inversion, display.names)
        written = f", {display.written_for}" if display.written_for else ""
        return Item(
            question.exercise,
            question.index,
            f"Look at the chord{written}. Which symbol stands for it?",
            (
                MediaRequest("notation", chord, "The chord"),
                MediaRequest("sound", chord, "Hear the chord", "answered"),
                MediaRequest("notation", chord, f"The chord {shown}", "answered", marked=(0,)),
            ),
            _response(display.theory_names),
            {
                "root": case.root,
                "quality": case.quality,
                "inversion": case.inversion,
                "pitches": case.pitches,
                "right": [one.symbol for one in right],
                "other_names": settings["other_names"],
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            _explained(case.root, case.quality, case.inversion, right, display),
            {_STEP: {"symbol": [one.spelled(display.theory_names) for one in right]}},
            twin_text=notes_read_aloud([display.pitch(name) for name in case.pitches]),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        right, given = (one.spelled(display.theory_names, printed=True) for one in (found.right, found.given))
        if found.score == 1.0:
            return Mark(1.0, f"Right: {given}." if not found.is_misspelled else f"Right: {given}, by another spelling.")
        if found.is_misspelled:
            return Mark(found.score, f"The sound is right, but spelled so it is {right}, not {given}.")
        if found.given.root is None:
            return Mark(found.score, f"There is a chord: {right}.")
        agree = [step if step != "inversion" else "bass" for step, worth in found.steps.items() if worth == 1.0]
        near = {"seventh": ["third", "fifth"], "third": ["third"]}.get(found.case, []) if "root" in agree else []
        told = f" The {listed([*agree, *near])} {'is' if len([*agree, *near]) == 1 else 'are'} right." if agree else ""
        return Mark(found.score, f"Not {given}, but {right}.{told}")

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and the one answered, heard and seen; where they sound alike, only seen."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0 or found.given.root is None:
            return ()
        own = item.key["pitches"]
        pitches = moved_near([pitch.name for pitch in found.given.pitches("C4")], own[0])
        if not all(0 <= Pitch(name).chromatic <= 127 for name in pitches):
            return ()
        part = item.media[0].excerpt.parts[0]
        look = part.clef, part.timbre, (part.chromatic, part.diatonic)
        rows = ((found.right, tuple(own), "Right"), (found.given, pitches, "Your answer"))
        return tuple(
            MediaRequest(
                kind,
                chord_excerpt(notes, "together", *look),
                f"{label}: {chord.spelled(display.theory_names, printed=True)}",
                "answered",
            )
            for kind in (("notation",) if found.is_misspelled else ("sound", "notation"))
            for chord, notes, label in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what was right, what was answered): qualities, or the root or bass where that is wrong."""
        found, display = _judged(item, answer), Display.of_key(item.key)
        if found.score == 1.0:
            return None
        right, given = found.right, found.given
        if given.root is None or right.root is None:
            return right.words, "no chord"
        if right.words != given.words:
            return right.words, given.words
        if found.is_misspelled or right.root != given.root:
            return f"{right.words} on {display.note(right.root.name)}", f"on {display.note(given.root.name)}"
        bass, other = (display.note(one.bass.name) for one in (right, given) if one.bass is not None)
        return f"{right.words} over {bass}", f"over {other}"


@dataclass(frozen=True, slots=True)
class _Judged:
    """An answer against the right name that it agrees with best: case of its quality, worth of each step, score."""

    right: Chord
    given: Chord
    case: str
    steps: dict[str, float]
    is_misspelled: bool
    score: float


def _judged(item: Item, answer: Answer) -> _Judged:
    key = item.key
    given = Chord(answer[_STEP]["symbol"], names=Display.of_key(key).theory_names)
    found = max((_against(Chord(text), given) for text in key["right"]), key=lambda one: one.score)
    if key["other_names"] and found.score < 1.0 and _has_tones(given, found.right, key["pitches"]):
        return _against(given, given)
    if found.score < 1.0 and found.is_misspelled and key["enharmonic"]:
        return _Judged(found.right, given, found.case, found.steps, True, 1.0)
    if found.score < 1.0 and not key["partial"]:
        return _Judged(found.right, given, found.case, found.steps, found.is_misspelled, 0.0)
    return found


@lru_cache(maxsize=2048)
def _against(right: Chord, given: Chord) -> _Judged:
    if given == right:
        return _Judged(right, given, "right", {step: 1.0 for step in STEPS}, False, 1.0)
    if given.root is None or right.root is None or given.bass is None or right.bass is None:
        return _Judged(right, given, "other", {}, False, 0.0)
    case = case_of_degrees(right.degrees, given.degrees)
    steps = {"root": float(given.root == right.root), "quality": _QUALITY_SCORES[case]}
    steps["inversion"] = float(given.bass == right.bass and (steps["root"] == 1.0 or case == "right"))
    score = sum(STEPS[step] * worth for step, worth in steps.items())
    misspelled = given.pitch_classes == right.pitch_classes and given.bass.pitch_class == right.bass.pitch_class
    return _Judged(right, given, case, steps, misspelled, max(score, SPELLING_SCORE) if misspelled else score)


@lru_cache(maxsize=4096)
def _right_names(drawn: Chord, pitches: tuple[str, ...]) -> tuple[Chord, ...]:
    """Return the chord that was drawn, and other usual names of its tones over the same bass."""
    found = [one.chord for one in name_chord(pitches) if _has_tones(one.chord, drawn, pitches) and one.chord != drawn]
    return (drawn, *(one for one in found if one.words in _USUAL))


def _has_tones(chord: Chord, drawn: Chord, pitches: Sequence[str]) -> bool:
    """Return whether the tones of `chord` are the notes as spelled, over the bass of the chord that was drawn."""
    return chord.bass == drawn.bass and set(chord.names) == {Pitch(name).pitch_name.name for name in pitches}


@lru_cache(maxsize=4096)
def _explained(root: str, quality: str, inversion: int, right: tuple[Chord, ...], display: Display) -> str:
    told = chord_sentence(root, quality, inversion, display)
    others = [one.spelled(display.theory_names, printed=True) for one in right[1:]]
    return f"{told} {listed(others)} would be right, too." if others else told


@lru_cache(maxsize=8)
def _response(names: str) -> Response:
    return Response((Step(_STEP, "What is its symbol?", (SymbolInput("chord", names=names),)),))


ChordSymbolNaming.__doc__ = described(
    ChordSymbolNaming.__doc__, SETTINGS, credit=credit_table(("part", "answer", "score"), CREDIT)
)
CHORD_SYMBOL_NAMING: Final = ChordSymbolNaming()
