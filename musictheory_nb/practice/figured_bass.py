"""Exercise family: figured bass both ways, from figures to notes and from a chord to its figures."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_pool import notes_read_aloud
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import CLEF, NAMING, PARTIAL, TIMBRE, Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.figured_chord import (
    FIGURE_CREDIT,
    FIGURE_SCORES,
    PLAIN,
    VARIANTS,
    figure_case,
    figure_options,
    figures_for,
    figures_sentence,
    figures_shown,
    notes_above,
    pitches_above,
)
from musictheory_nb.practice.figured_line import LINE_CREDIT, line_compare, line_confusion, line_item, line_mark
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import NoteComparison, compare_notes, written_pitches
from musictheory_nb.practice.numeral_pool import (
    KEYS,
    NumeralCase,
    check_numerals_fit,
    in_four_parts,
    numeral_case,
    numeral_excerpt,
    numeral_items_setting,
)
from musictheory_nb.practice.numeral_vocabulary import levels_setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.progression import CADENCE, LENGTH, check_progressions, chords_setting
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.response import (
    Answer,
    ChoiceInput,
    Input,
    KeysInput,
    Response,
    StaffInput,
    Step,
    SymbolInput,
)
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.written_note import NOTE_INPUTS, GivenNote, given_notes, letters, staff_row
from musictheory_nb.theory.figured_bass import figures_of
from musictheory_nb.theory.pitch import Pitch

#: What may be asked: the notes of figures, the figures of notes, a figured line for four voices.
ASK: Final = ("notes", "figures", "four parts")
_LINE: Final = "four parts"
FIGURE_INPUTS: Final = ("buttons", "text")
#: Where the bass lies: on the bass staff, with room for a chord above it.
_BASS: Final = Register("bass", 40, 67)
#: What a note below the bass costs.
BELOW_COST: Final = 0.25
NOTE_CREDIT: Final = (
    ("all notes above the bass, in whatever octaves; the bass may be given again", "1"),
    ("each of them", "its share of 1"),
    ("a note that sounds right and is spelled otherwise", "half its share"),
    ("a note of another sound", "less one share"),
    ("a note below the bass", f"less {BELOW_COST}"),
)

SETTINGS: Final = (
    KEYS,
    levels_setting(("triads", "inverted triads", "sevenths", "inverted sevenths"), "Which chords come up."),
    numeral_items_setting("."),
    Setting(
        "ask",
        ["notes", "figures"],
        "What is asked, in turn: the notes above a bass with its figures, the figures of a chord for four voices, or soprano, "
        "alto and tenor above a figured bass line.",
        f"a list of at least one of {', '.join(map(repr, ASK))}",
        several_of(ASK),
    ),
    Setting(
        "note_inputs",
        list(NOTE_INPUTS),
        "How notes are answered: on a staff, on piano keys (where no spelling is asked), or in letters.",
        f"a list of at least one of {', '.join(map(repr, NOTE_INPUTS))}",
        several_of(NOTE_INPUTS),
    ),
    Setting(
        "figure_inputs",
        list(FIGURE_INPUTS),
        "How figures are answered: by buttons or by writing them.",
        f"a list of at least one of {', '.join(map(repr, FIGURE_INPUTS))}",
        several_of(FIGURE_INPUTS),
    ),
    chords_setting("progressions"),
    LENGTH,
    CADENCE,
    CLEF,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class FiguredBass:
    """Figured bass, version 1.

    A bass note is written with its figures and the signature of a key that is told, and the student writes or plays the
    notes above it; or a chord for four voices is written, and the student gives its figures; or the student sets a figured
    bass line for four voices. Each chord comes once before any comes again. Figures are read as thorough-bass practice has them: the signature tells the accidentals, an accidental
    by itself belongs to the third. The staff on which notes are answered has the clef of the setting, treble by itself.

    Settings::

    {settings}

    Marking of notes:

    {notes}

    Marking of figures:

    {figures}

    Marking of four parts, each note of the upper voices having the same share:

    {lines}

    With ``partial`` False, whatever is below 1 counts 0. On piano keys there is no spelling.
    """

    kind: str = "figured-bass"
    version: int = 1
    title: str = "Figured bass"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_numerals_fit(settings, _BASS)
        if _LINE in settings["ask"]:
            check_progressions(settings, "progressions")

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display = question.settings, Display.of(question.settings)
        ask = settings["ask"][turn_of(question, tuple(settings["ask"]), "ask")]
        if ask == _LINE:
            return line_item(question)
        case = numeral_case(question, _BASS)
        home, figures = display.scale(case.key), figures_for(case.figure, case.key)
        look = case.key, settings["timbre"]
        if ask == "notes":
            bass = case.pitches[0]
            asked = _with_figures((bass,), *look, figures)
            answered = _with_figures(pitches_above(bass, _upper(case)), *look, figures)
            shown = figures_shown(figures) if figures else "no figures, which stand for 5/3"
            prompt = f"Look at the bass note and its figures. The key is {home}. Write or play the notes above it."
            step = Step("notes", "Which notes stand above the bass?", _note_inputs(settings, case))
            aloud = f"The bass is {display.pitch(bass)}; it has {'the figures ' if figures else ''}{shown}. The key is {home}."
            label, value = f"A bass note in {home}", _note_values(case, display)
            marked: tuple[int, ...] = ()
        else:
            parts = question.draw().choice(in_four_parts(case.figure, case.key))
            asked, answered = (
                numeral_excerpt(parts, case.key, "four parts", "bass", settings["timbre"], text=text)
                for text in ("", figures)
            )
            bass, marked = parts[0], (3,)
            prompt = f"Look at the chord. The key is {home}. Which figures stand under its bass?"
            step = Step("figures", f"Which figures has the bass in {home}?", _figure_inputs(settings, case, question))
            aloud = f"{notes_read_aloud([display.pitch(name) for name in parts])} The key is {home}."
            label, value = f"A chord in {home}", {"choice": [figures or PLAIN], "symbol": [figures or PLAIN]}
        told = figures_shown(figures)
        return Item(
            question.exercise,
            question.index,
            prompt,
            (
                MediaRequest("notation", asked, label),
                MediaRequest("sound", answered, "Hear the chord", "answered"),
                MediaRequest("notation", answered, f"{told[0].upper()}{told[1:]} in {home}", "answered", marked=marked),
            ),
            Response((step,)),
            {
                "ask": ask,
                "key": case.key,
                "figure": case.figure,
                "figures": figures,
                "bass": bass,
                "timbre": settings["timbre"],
                "partial": settings["partial"],
                **display.key,
            },
            figures_sentence(case.figure, case.key, display),
            {step.id: {entry.id: value[entry.id] for entry in step.inputs}},
            twin_text=aloud,
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        if item.key["ask"] == _LINE:
            return line_mark(item, answer)
        display, key = Display.of_key(item.key), item.key
        told = figures_shown(key["figures"])
        if key["ask"] == "figures":
            case, given = _judged_figures(item, answer)
            right = told if key["figures"] else "no figures (5/3)"
            why = {
                "right": f"Right: {figures_shown(given)}.",
                "sign": f"The numbers are right, the accidentals are not: {right}, not {figures_shown(given)}.",
                "part": f"One note is missing or too many: {right}, not {figures_shown(given)}.",
                "other": f"Not {figures_shown(given)}, but {right}.",
            }[case]
            score = FIGURE_SCORES[case]
            return Mark(score if key["partial"] or score == 1.0 else 0.0, why)
        found = _judged_notes(item, answer)
        whole = f"{told} above {display.note(_bass_name(item))}"
        if found.score == 1.0:
            return Mark(1.0, f"Right: the notes of {whole}.")
        said = found.notes.told(display, whole)
        if found.below:
            said.append("The bass must be the lowest note.")
        upper = listed([display.note(name) for name in found.notes.names[1:]])
        return Mark(found.score, " ".join([*said, f"Above {display.note(_bass_name(item))} it is {upper}."]))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the chord and that of the answer over the same bass, heard and seen."""
        if item.key["ask"] == _LINE:
            return line_compare(item, answer)
        key, bass = item.key, item.key["bass"]
        right = pitches_above(bass, notes_above(_bass_name(item), key["figures"], key["key"]))
        told = figures_shown(key["figures"])
        if key["ask"] == "figures":
            case, text = _judged_figures(item, answer)
            try:
                theirs = pitches_above(bass, notes_above(_bass_name(item), text, key["key"]))
            except TheoryError:
                return ()
            if case == "right":
                return ()
            label = f"Your answer: {figures_shown(text)}"
        else:
            found = _judged_notes(item, answer)
            given = given_notes(answer["notes"], Display.of_key(key))
            if found.score == 1.0 or not given:
                return ()
            theirs, text, label = tuple(dict.fromkeys((bass, *written_pitches(given, bass)))), "", "Your answer"
        if not all(0 <= Pitch(name).chromatic <= 127 for name in theirs):
            return ()
        theirs = tuple(sorted(theirs, key=lambda name: Pitch(name).chromatic))
        rows = ((f"Right: {told}", right, key["figures"]), (label, theirs, text))
        return tuple(
            MediaRequest(kind, _with_figures(notes, key["key"], key["timbre"], figures), name, "answered")
            for kind in ("sound", "notation")
            for name, notes, figures in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the right figures, those answered or those of the notes answered); None for a full score."""
        if item.key["ask"] == _LINE:
            return line_confusion(item, answer)
        right = figures_shown(item.key["figures"])
        if item.key["ask"] == "figures":
            case, given = _judged_figures(item, answer)
            return None if case == "right" else (right, figures_shown(given))
        found = _judged_notes(item, answer)
        if found.score == 1.0:
            return None
        names = [note.name for note in given_notes(answer["notes"], Display.of_key(item.key))]
        told = "other notes"
        if names and all(names):
            try:
                told = figures_shown(figures_of([_bass_name(item), *names], item.key["key"]))
            except TheoryError:
                told = "other notes"
        return right, told if told != right else "other notes"


@dataclass(frozen=True, slots=True)
class _JudgedNotes:
    """The notes of an answer against those of the figures, whether one lies below the bass, the score."""

    notes: NoteComparison
    below: bool
    score: float


def _bass_name(item: Item) -> str:
    return Pitch(item.key["bass"]).pitch_name.name


def _upper(case: NumeralCase) -> tuple[str, ...]:
    bass = Pitch(case.pitches[0]).pitch_name.name
    return notes_above(bass, figures_for(case.figure, case.key), case.key)


def _judged_figures(item: Item, answer: Answer) -> tuple[str, str]:
    """Return the case of `FIGURE_CREDIT`, and the figures that were answered."""
    ((_, value),) = answer["figures"].items()
    text = " ".join(value.replace("/", " ").split()).replace(" ", "/")
    return figure_case(_bass_name(item), item.key["figures"], value, item.key["key"]), text


def _judged_notes(item: Item, answer: Answer) -> _JudgedNotes:
    key, bass = item.key, Pitch(item.key["bass"])
    name = bass.pitch_name.name
    given = given_notes(answer["notes"], Display.of_key(key))
    notes = compare_notes((name, *notes_above(name, key["figures"], key["key"])), given, (name,))
    below = any(_lies_below(note, bass) for note in given)
    if not below and notes.is_right(False):
        return _JudgedNotes(notes, False, 1.0)
    score = max(0.0, notes.score(False) - (BELOW_COST if below else 0.0))
    return _JudgedNotes(notes, below, score if key["partial"] else 0.0)


def _lies_below(note: GivenNote, bass: Pitch) -> bool:
    return note.has_octave and note.chromatic < bass.chromatic


@lru_cache(maxsize=8192)
def _with_figures(pitches: tuple[str, ...], key: str, timbre: str, figures: str) -> Excerpt:
    """Return notes on the bass staff with figures below them."""
    fifths = key_named(key).fifths
    return Excerpt.melody(pitches, clef="bass", fifths=fifths, timbre=timbre, together=True, chord=figures)


@lru_cache(maxsize=8192)
def _note_inputs(settings: CompleteSettings, case: NumeralCase) -> tuple[Input, ...]:
    display, bass = Display.of(settings), Pitch(case.pitches[0])
    clef = "treble" if settings["clef"] == "auto" else settings["clef"]
    made: dict[str, Input] = {
        "staff": StaffInput(clef, key_named(case.key).fifths, pitches_only=True, chords=True),
        "keys": KeysInput(36, 83, len(case.pitches) - 1, (bass.chromatic,)),
        "text": SymbolInput("pitches", names=display.theory_names),
    }
    return tuple(made[name] for name in NOTE_INPUTS if name in settings["note_inputs"])


@lru_cache(maxsize=8192)
def _note_values(case: NumeralCase, display: Display) -> dict[str, list[JSON]]:
    upper = _upper(case)
    octave_up = [Pitch(name).up("P8").name for name in pitches_above(case.pitches[0], upper)[1:]]
    return {
        "staff": [staff_row(octave_up)],
        "keys": [Pitch(name).chromatic for name in octave_up],
        "symbol": [letters(upper, display)],
    }


@lru_cache(maxsize=16384)
def _choice_input(bass: str, figures: str, key: str, variant: int) -> ChoiceInput:
    return ChoiceInput(figure_options(bass, figures, key, variant))


def _figure_inputs(settings: CompleteSettings, case: NumeralCase, question: Question) -> tuple[Input, ...]:
    bass = Pitch(case.pitches[0]).pitch_name.name
    figures = figures_for(case.figure, case.key)
    found: tuple[Input, ...] = ()
    if "buttons" in settings["figure_inputs"]:
        found += (_choice_input(bass, figures, case.key, question.draw().integer(VARIANTS)),)
    if "text" in settings["figure_inputs"]:
        found += (SymbolInput("figures", case.key),)
    return found


FiguredBass.__doc__ = described(
    FiguredBass.__doc__,
    SETTINGS,
    notes=credit_table(("answer", "score"), NOTE_CREDIT),
    figures=credit_table(("answer", "score"), [row[1:] for row in FIGURE_CREDIT]),
    lines=credit_table(("answer", "score"), LINE_CREDIT),
)
FIGURED_BASS: Final = FiguredBass()
