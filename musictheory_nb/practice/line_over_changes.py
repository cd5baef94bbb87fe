"""Exercise family: write or play a line over chord changes that meets the teacher's criteria."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.changes_media import heard_with_chords, over_changes
from musictheory_nb.practice.chord_changes import ChordChanges, ChordSpan, chord_words
from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.dictation_line import notes_of_rows
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.line_criteria import JudgedMeasure, LineCriteria, judge_line
from musictheory_nb.practice.line_over_changes_settings import (
    INPUTS,
    SETTINGS,
    check_line_settings,
    line_case,
)
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.metric_cut import metric_rows
from musictheory_nb.practice.model_line import model_line
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step
from musictheory_nb.practice.rhythm_figure import beats_of
from musictheory_nb.practice.staff_register import Register, register
from musictheory_nb.theory.note_role import note_roles
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale_degree import display_degree
from musictheory_nb.theory.spelling import spell_midi

_STEP: Final = "line"
#: How often a model line is drawn until one meets every criterion.
_TRIES: Final = 12
#: What earns what.
CREDIT: Final = (
    ("all criteria met in every measure", "1"),
    ("a measure", "the mean of the criteria that apply to it, as a share of all measures"),
    ("chord tones", "the share of the places where one is asked for and none is a rest"),
    ("scale, avoid notes, range, playable", "the share of the notes that begin in the measure"),
    ("approach", "the share of the chords that begin in the measure"),
    ("complete", "the share of the measure that is filled"),
    ("a measure without a note", "0"),
)


@dataclass(frozen=True)
class LineOverChanges:
    """Line over changes, version 1.

    The student writes a line of two to eight measures over chord changes, which sound with the beat, or plays one note for
    each beat. It is checked against the criteria that the teacher sets; each measure gets its mark and a comment. A line
    that meets them all, drawn by rule, is shown afterwards; others are as good.

    Settings::

    {settings}

    Marking:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "line-over-changes"
    version: int = 1
    title: str = "Lines over changes"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        register(settings)
        check_line_settings(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        changes, criteria, key = line_case(question, place)
        line = _model(question, changes, criteria)
        staff = _staff(changes, key, place, display)
        look = settings["timbre"], criteria.tempo, display.part_shift
        rows = metric_rows(line, changes.metre)
        empty, model = (over_changes(changes, staff, written, *look) for written in ([], rows))
        shown = changes.words(display)
        inputs = _inputs(settings, changes, staff, criteria)
        for_part = f", {display.written_for}" if display.written_for else ""
        return Item(
            question.exercise,
            question.index,
            f"Write or play a line of {counted(changes.measures, 'measure')} of {changes.metre} over {shown}{for_part}.\n"
            f"{_asked(criteria, display)}",
            (
                MediaRequest("sound", heard_with_chords(empty, changes), "Hear the changes"),
                MediaRequest("notation", empty, "The changes"),
                MediaRequest("sound", heard_with_chords(model, changes), "Hear a model line", "answered"),
                MediaRequest("notation", model, "A model line", "answered"),
            ),
            Response((Step(_STEP, "What is your line?", inputs),)),
            {
                "changes": [[span.symbol, str(span.onset), str(span.quarters)] for span in changes.spans],
                "metre": changes.metre,
                "measures": changes.measures,
                "criteria": list(criteria.names),
                "strong": criteria.strong,
                "approach_by": criteria.approach_by,
                "scales": list(criteria.scales),
                "key": key,
                "clef": place.clef,
                "low_midi": criteria.low_midi,
                "high_midi": criteria.high_midi,
                "instrument": criteria.instrument,
                "tempo": str(criteria.tempo),
                "line": [note.pitch for note in line],
                "partial": settings["partial"],
                **display.key,
            },
            _explained(line, changes, criteria, display),
            {_STEP: _solution(inputs, rows, line, criteria.shift)},
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found = _judged(item, answer)
        score = sum((one.score for one in found), Fraction(0)) / len(found)
        told = []
        for at, one in enumerate(found, start=1):
            if one.score == 1:
                told.append(f"Measure {at} meets every criterion.")
            else:
                faults = "; ".join(fault.words for fault in one.faults)
                told.append(f"Measure {at} ({float(one.score):.0%}): {faults}.".replace("%", " %"))
        return Mark(float(score) if item.key["partial"] or score == 1 else 0.0, " ".join(told))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the line answered, with its chords and what is wrong marked, beside the model line."""
        found = _judged(item, answer)
        if all(one.score == 1 for one in found):
            return ()
        changes, display = _changes(item), Display.of_key(item.key)
        model = item.shown("answered")[1].excerpt
        rows = _rows(item, answer)
        staff = _staff(changes, item.key["key"], Register(item.key["clef"], 0, 127), display)
        look = model.parts[0].timbre, model.tempo, display.part_shift
        given = over_changes(changes, staff, rows, *look)
        marked = _marked(rows, [fault.note for one in found for fault in one.faults if fault.note is not None])
        return (
            MediaRequest("sound", heard_with_chords(model, changes), "The model line", "answered"),
            MediaRequest("sound", heard_with_chords(given, changes), "Your line", "answered"),
            MediaRequest("notation", given, "Your line, with what to change marked", "answered", marked=marked),
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (the criterion, what was done) for the first fault."""
        for one in _judged(item, answer):
            if one.faults:
                return one.faults[0].criterion, one.faults[0].words
        return None


def _model(question: Question, changes: ChordChanges, criteria: LineCriteria) -> tuple[LineNote, ...]:
    """Return a line that meets every criterion."""
    draw, display = question.draw(), Display.of(question.settings)
    for _ in range(_TRIES):
        line = model_line(draw, changes, criteria)
        if line is None:
            break
        if all(one.score == 1 for one in judge_line(line, changes.length, changes, criteria, display)):
            return line
    raise ExerciseError(
        f"exercise {question.exercise!r}: no line of one note a beat was found that meets all criteria over "
        f"{changes.words(display)}; leave out a criterion, ask for chord tones at fewer places, or widen low and high"
    )


def _staff(changes: ChordChanges, key: str, place: Register, display: Display) -> StaffInput:
    fifths = key_named(key).fifths if key else 0
    return StaffInput(place.clef, fifths, changes.metre, changes.measures, transposition=display.written_for)


def _inputs(
    settings: CompleteSettings, changes: ChordChanges, staff: StaffInput, criteria: LineCriteria
) -> tuple[Input, ...]:
    count, shift = changes.measures * len(beats_of(changes.metre)), criteria.shift
    low, high = (criteria.low_midi + shift) // 12 * 12, (criteria.high_midi + shift) // 12 * 12 + 11
    inputs: dict[str, Input] = {"staff": staff, "keys": KeysInput(max(0, low), min(127, high), count)}
    return tuple(inputs[name] for name in INPUTS if name in settings["inputs"])


def _solution(inputs: Sequence[Input], rows: list[JSON], line: Sequence[LineNote], shift: int) -> dict[str, JSON]:
    right = {"staff": rows, "keys": [Pitch(note.pitch).chromatic + shift for note in line]}
    return {entry.id: right[entry.id] for entry in inputs}


def _asked(criteria: LineCriteria, display: Display) -> str:
    """Return the criteria in words, one sentence."""
    where = {
        "chord changes": "where a chord begins",
        "strong beats": "where a chord begins and on strong beats",
        "every beat": "on every beat",
    }
    low, high = (display.pitch(_name(midi)) for midi in (criteria.low_midi, criteria.high_midi))
    scales = listed([display.scale(one) for one in dict.fromkeys(criteria.scales)])
    of = f"of {scales}" if scales else "of a scale that goes with its chord"
    told = {
        "chord tones": f"chord tones {where[criteria.strong]}",
        "scale": f"every note {of}, or led on by step to a chord tone",
        "avoid notes": "no avoid note held or left by leap",
        "approach": f"each new chord reached by {'a half step' if criteria.approach_by == 'half step' else 'step'}",
        "range": f"notes from {low} to {high}",
        "playable": f"nothing hard to play on the {criteria.instrument}",
        "complete": "every measure full",
    }
    return f"What counts: {'; '.join(told[name] for name in criteria.names)}."


def _name(midi: int) -> str:
    return spell_midi(midi).name


def _changes(item: Item) -> ChordChanges:
    spans = tuple(ChordSpan(symbol, Fraction(at), Fraction(long)) for symbol, at, long in item.key["changes"])
    return ChordChanges(spans, item.key["metre"], item.key["measures"])


def _criteria(item: Item) -> LineCriteria:
    key: Mapping[str, JSON] = item.key
    return LineCriteria(
        tuple(key["criteria"]),
        key["strong"],
        key["approach_by"],
        tuple(key["scales"]),
        key["key"],
        key["low_midi"],
        key["high_midi"],
        key["instrument"],
        Display.of_key(key).part_shift[0],
        Fraction(key["tempo"]),
    )


def _rows(item: Item, answer: Answer) -> list[JSON]:
    """Return the line answered as rows of a staff; what was played, one note a beat, spelled by its chords."""
    ((used, value),) = answer[_STEP].items()
    if used == "staff":
        return list(value)
    changes, shift = _changes(item), Display.of_key(item.key).part_shift[0]
    full = measure_quarters(changes.metre)
    beats = [
        (at * full + beat.onset, beat.quarters) for at in range(changes.measures) for beat in beats_of(changes.metre)
    ]
    notes = [
        LineNote(_spelled(midi - shift, changes.at(onset).symbol), quarters, onset)
        for midi, (onset, quarters) in zip(value, beats, strict=True)
    ]
    return metric_rows(notes, changes.metre)


@lru_cache(maxsize=4096)
def _spelled(midi: int, symbol: str) -> str:
    return spell_midi(min(127, max(0, midi)), chord=symbol).name


def _judged(item: Item, answer: Answer) -> tuple[JudgedMeasure, ...]:
    rows = _rows(item, answer)
    written = sum((Fraction(row[1]) for row in rows), Fraction(0))
    return judge_line(notes_of_rows(rows), written, _changes(item), _criteria(item), Display.of_key(item.key))


def _marked(rows: Sequence[JSON], notes: Sequence[int]) -> tuple[int, ...]:
    """Return the rows of notes, by their indices among notes and rests of which neighbouring rests are one."""
    onsets = [note.onset for note in notes_of_rows(rows)]
    wanted = {onsets[note] for note in notes}
    at, found = Fraction(0), []
    for number, row in enumerate(rows):
        if at in wanted and row[0]:
            found.append(number)
        at += Fraction(row[1])
    return tuple(found)


def _explained(line: Sequence[LineNote], changes: ChordChanges, criteria: LineCriteria, display: Display) -> str:
    """Return what each note of the model line is, a line for each measure."""
    spans = [changes.at(note.onset) for note in line]
    roles = note_roles([note.pitch for note in line], [span.chord for span in spans], key=criteria.key or None)
    full = measure_quarters(changes.metre)
    told: dict[int, list[str]] = {at: [] for at in range(changes.measures)}
    for note, span, role in zip(line, spans, roles, strict=True):
        if note.onset == span.onset or note.onset % full == 0:
            told[int(note.onset // full)].append(f"over {chord_words(span.symbol, display)}")
        if role.role == "chord tone":
            said = f"{display.pitch(note.pitch)} ({display_degree(role.degree)})"
        else:
            said = f"{display.pitch(note.pitch)} ({role.role})"
        told[int(note.onset // full)].append(said)
    lines = [f"Measure {at + 1}: {', '.join(said)}." for at, said in told.items()]
    reasons = [role.reason for role in roles if role.role != "chord tone"]
    return "\n".join(
        ["A model line; others are as good.", *lines, *(renamed(one, display.names) for one in dict.fromkeys(reasons))]
    )


LineOverChanges.__doc__ = described(
    LineOverChanges.__doc__, SETTINGS, credit=credit_table(("in the answer", "score"), CREDIT)
)
LINE_OVER_CHANGES: Final = LineOverChanges()
