"""Exercise family: complete guide-tone lines over a progression."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.chord_progression import KEYS, Progression, in_keys, progressions_setting
from musictheory_nb.practice.display_settings import CLEF, ENHARMONIC, NAMING, PARTIAL, TIMBRE, TRANSPOSITION, Display
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.guide_tone_line import (
    LINE,
    Lines,
    guide_excerpt,
    half_steps,
    line_names,
    lines_explained,
    lines_over,
)
from musictheory_nb.practice.guide_tone_rule import (
    FAR,
    FAULT_WORDS,
    MISSPELLED,
    JudgedTone,
    guide_names,
    judge_line,
    judge_two_lines,
)
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.line_over_chords import over_its_chords
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_comparison import written_pitches
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.setting_check import one_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.practice.written_note import GivenNote, given_notes, letters, note_inputs_setting, staff_row
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch

PROGRESSIONS: Final = (
    "C major: Dm7 | G7 | Cmaj7",
    "C minor: Dm7b5 | G7 | Cm6",
    "C major: Cmaj7 | A7 | Dm7 | G7 | Cmaj7",
    "C major: Am7 | D7 | Gmaj7 | Cmaj7 | F#m7b5 | B7 | Em7",
)
#: How many lines are asked for.
LINES: Final = ("one", "two")
_FEWEST_CHORDS: Final = 2
CREDIT: Final = (
    ("a guide tone of its chord, nearest to the note before", "its share of 1"),
    ("a guide tone where another lies nearer, or the same one in another octave", f"{FAR} of its share"),
    ("a guide tone spelled otherwise; in full with ``enharmonic`` and on piano keys", f"{MISSPELLED} of its share"),
    ("in two lines, a note that leaves out the other guide tone of the chord", f"{FAR} of its share"),
    ("another note, or none", "0"),
    ("a note too many", "less one share"),
)

SETTINGS: Final = (
    progressions_setting(PROGRESSIONS, "The progressions."),
    KEYS,
    Setting(
        "lines",
        "one",
        "Whether one line is asked for, or two that together have all guide tones.",
        ", ".join(map(repr, LINES)),
        one_of(LINES),
    ),
    note_inputs_setting(),
    ENHARMONIC,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class GuideTones:
    """Guide tones, version 1.

    Chord symbols are seen with the first note of a guide-tone line, or of two, and heard; the student goes on, one note a
    chord. Each progression comes once before any comes again, and no key and beginning before all have come. Guide
    tones are the third (or suspended tone) and the seventh (or sixth) of a chord; of a triad its third, and root or
    fifth. A line goes to the guide tone nearest to the student's own note before; where two are equally near, each is
    right. Two lines take one guide tone each, so that they move as little as possible together.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "guide-tones"
    version: int = 1
    title: str = "Guide-tone lines"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        register(settings)
        for text in settings["progressions"]:
            if not in_keys(text, tuple(settings["keys"])):
                raise ExerciseError(f"keys {settings['keys']}: {text!r} cannot be spelled in any of them")
            chords = in_keys(text, tuple(settings["keys"]))[0].chords
            if len(chords) < _FEWEST_CHORDS:
                raise ExerciseError(f"progressions {text!r}: write at least two chords")
            try:
                for symbol in chords:
                    guide_names(symbol)
            except TheoryError as error:
                raise ExerciseError(f"progressions {text!r}: {error}") from None

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        which, number = _order(
            question.lesson, question.exercise, question.version, question.seed, question.count, question.settings
        )[question.index]
        return replace(_made(question.settings, which, number), exercise=question.exercise, index=question.index)

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        judged, score = _judged(item, answer), _score(item, answer)
        if score == 1.0:
            return Mark(1.0, "Every note is a guide tone, reached by the shortest way.")
        display, told = Display.of_key(item.key), []
        for step, tones in judged.items():
            given = _given(item, answer, step)
            said = [
                _fault_words(tone, given[at] if at < len(given) else None, item.key["chords"][at + 1], display)
                for at, tone in enumerate(tones)
                if tone.fault
            ]
            if len(given) > len(tones):
                said.append("there are more notes than chords")
            if said:
                which = "" if step == LINE else f"{step.capitalize()} line: "
                text = "; ".join(said)
                told.append(f"{which or ''}{text if which else text[:1].upper() + text[1:]}.")
        right = " and ".join(" ".join(display.pitch(name) for name in line[1:]) for line in item.key["lines"])
        return Mark(score if item.key["partial"] else 0.0, " ".join([*told, f"Smooth would be {right}."]))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return smooth lines and those that were answered, heard over the chords and seen."""
        if _score(item, answer) == 1.0:
            return ()
        key, display = item.key, Display.of_key(item.key)
        progression = Progression(key["key"], tuple(tuple(bar) for bar in key["bars"]))
        lines = []
        for step, line in zip(line_names(len(key["lines"])), key["lines"], strict=True):
            given = _given(item, answer, step)
            pitches = (line[0], *_placed(given, line[0]))
            if len(pitches) == 1:
                return ()
            lines.append(pitches[: len(line)])
        look = key["clef"], key["timbre"], display.part_shift
        rows = (
            ("Smooth", guide_excerpt(progression, _as_lines(key["lines"]), *look)),
            ("Your answer", guide_excerpt(progression, tuple(lines), *look)),
        )
        return tuple(
            MediaRequest(kind, over_its_chords(music) if kind == "sound" else music, label, "answered")
            for kind in ("sound", "notation")
            for label, music in rows
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what the first wrong note should be, its fault) in words; None for a full score."""
        if _score(item, answer) == 1.0:
            return None
        for tones in _judged(item, answer).values():
            for at, tone in enumerate(tones):
                if tone.fault:
                    chords = [Chord(item.key["chords"][one]).display for one in (at, at + 1)]
                    fault = {"foreign": "no guide tone", "far": "a guide tone farther away"}.get(tone.fault, tone.fault)
                    return f"guide tone from {chords[0]} to {chords[1]}", fault
        return "one note a chord", "more notes"


def _as_lines(lines: JSON) -> Lines:
    return tuple(tuple(line) for line in lines)


@lru_cache(maxsize=1024)
def _order(
    lesson: str, exercise: str, version: int, seed: int, count: int, settings: CompleteSettings
) -> tuple[tuple[int, int], ...]:
    """Return (which progression, which key and beginning of it) for each item of the exercise."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    sizes = [len(_BEGINNINGS) * len(in_keys(text, tuple(settings["keys"]))) for text in settings["progressions"]]
    return order_without_repeats(draw, list(range(len(sizes))), sizes, count)


#: Whether the line, or the upper one of two, begins with the third or with the other guide tone of the first chord.
_BEGINNINGS: Final = (True, False)


@lru_cache(maxsize=4096)
def _made(settings: CompleteSettings, which: int, number: int) -> Item:
    """Return the item, but for the exercise it belongs to and its place there."""
    display, place = Display.of(settings), register(settings)
    progression = in_keys(settings["progressions"][which], tuple(settings["keys"]))[number // len(_BEGINNINGS)]
    lines = lines_over(progression, place, settings["lines"], _BEGINNINGS[number % len(_BEGINNINGS)])
    look = place.clef, settings["timbre"], display.part_shift
    begun = guide_excerpt(progression, tuple(line[:1] for line in lines), *look)
    whole = guide_excerpt(progression, lines, *look)
    steps = line_names(len(lines))
    solution: dict[str, dict[str, JSON]] = {}
    asked = []
    for step, line in zip(steps, lines, strict=True):
        inputs = _inputs(settings, place, line)
        first = f"{'the line' if step == LINE else f'the {step} line'} from {display.pitch(line[0])}"
        asked.append(Step(step, f"How does {first} go on, one note a chord?", inputs))
        right: dict[str, JSON] = {
            "staff": [staff_row((name,)) for name in line[1:]],
            "keys": [Pitch(name).midi + display.part_shift[0] for name in line[1:]],
            "symbol": [letters([Pitch(name).pitch_name.name for name in line[1:]], display)],
        }
        solution[step] = {entry.id: right[entry.id] for entry in inputs}
    written = f", {display.written_for}" if display.written_for else ""
    what = (
        "a guide-tone line" if len(lines) == 1 else "two guide-tone lines, one guide tone of each chord to each of them"
    )
    return Item(
        "",
        0,
        f"Over these {len(progression.chords)} chords{written}, complete {what}.",
        (
            MediaRequest("sound", over_its_chords(guide_excerpt(progression, (), *look)), "Hear the chords"),
            MediaRequest("notation", begun, "The chords and how the line begins" if len(lines) == 1 else "The chords and how the lines begin"),
            MediaRequest("sound", over_its_chords(whole), "Hear smooth guide tones over the chords", "answered"),
            MediaRequest(
                "notation", whole, "Smooth guide tones; those that move by a half step are marked", "answered",
                marked=half_steps(whole),
            ),
        ),
        Response(tuple(asked)),
        {
            "key": progression.key,
            "bars": progression.bars,
            "chords": progression.chords,
            "lines": lines,
            "clef": place.clef,
            "timbre": settings["timbre"],
            "enharmonic": settings["enharmonic"],
            "partial": settings["partial"],
            **display.key,
        },
        lines_explained(progression, lines, display),
        solution,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def _inputs(settings: CompleteSettings, place: Register, line: tuple[str, ...]) -> tuple[Input, ...]:
    display, found = Display.of(settings), ()  # type: tuple[Display, tuple[Input, ...]]
    first = Pitch(line[0]).midi + display.part_shift[0]
    if "staff" in settings["inputs"]:
        given = (((line[0],), "1", False),)
        found += (StaffInput(place.clef, pitches_only=True, given=given, transposition=display.written_for),)
    if "keys" in settings["inputs"]:
        sounding = [Pitch(name).midi + display.part_shift[0] for name in line]
        low, high = min(sounding) - 5, max(sounding) + 5
        found += (KeysInput(low // 12 * 12, high // 12 * 12 + 11, len(line) - 1, (first,)),)
    if "text" in settings["inputs"]:
        found += (SymbolInput("pitches", names=display.theory_names),)
    return found


def _start(name: str) -> GivenNote:
    pitch = Pitch(name)
    return GivenNote(pitch.chromatic, pitch.pitch_name.name, True)


def _given(item: Item, answer: Answer, step: str) -> tuple[GivenNote, ...]:
    """Return the notes of a line; where the first one was written again, without it."""
    given = given_notes(answer[step], Display.of_key(item.key))
    line = item.key["lines"][line_names(len(item.key["lines"])).index(step)]
    if len(given) == len(line) and given[0].name == Pitch(line[0]).pitch_name.name:
        return given[1:]
    return given


def _judged(item: Item, answer: Answer) -> dict[str, tuple[JudgedTone, ...]]:
    key = item.key
    steps, symbols = line_names(len(key["lines"])), tuple(key["chords"])
    starts = [_start(line[0]) for line in key["lines"]]
    given = [_given(item, answer, step) for step in steps]
    if len(steps) == 1:
        return {LINE: judge_line(symbols, starts[0], given[0], key["enharmonic"])}
    found = judge_two_lines(symbols, (starts[0], starts[1]), (given[0], given[1]), key["enharmonic"])
    return dict(zip(steps, found, strict=True))


def _score(item: Item, answer: Answer) -> float:
    judged = _judged(item, answer)
    extra = sum(max(0, len(_given(item, answer, step)) - len(tones)) for step, tones in judged.items())
    tones = [tone for line in judged.values() for tone in line]
    if not extra and not any(tone.fault for tone in tones):
        return 1.0
    return max(0.0, (sum(tone.score for tone in tones) - extra) / len(tones))


def _fault_words(tone: JudgedTone, note: GivenNote | None, symbol: str, display: Display) -> str:
    shown = "" if note is None else note.shown(display)
    return FAULT_WORDS[tone.fault].format(note=shown, chord=renamed(Chord(symbol).display, display.names))


def _placed(given: Sequence[GivenNote], near: str) -> tuple[str, ...]:
    """Return the notes of a line as pitches; a name without octave lies nearest to the note before."""
    found, before = [], Pitch(near)
    for note in given:
        pitch = note.pitch
        if pitch is None:
            octaves = range(before.octave - 1, before.octave + 2)
            pitches = [Pitch(f"{note.name}{octave}") for octave in octaves]
            pitch = min(pitches, key=lambda one: abs(one.chromatic - before.chromatic))
        found.append(GivenNote(pitch.chromatic, note.name, True))
        before = pitch
    return written_pitches(found, near)


GuideTones.__doc__ = described(GuideTones.__doc__, SETTINGS, credit=credit_table(("note", "credit"), CREDIT))
GUIDE_TONES: Final = GuideTones()
