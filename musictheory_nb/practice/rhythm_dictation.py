"""Exercise family: write or tap a rhythm that is heard."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, align
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.dictation_line import notes_data, notes_from_data, notes_of_rows
from musictheory_nb.practice.dictation_settings import (
    CREDIT,
    LENGTH_COST,
    RESTS,
    TEMPO,
    TIES,
    costs_of,
    measures_setting,
    metres_setting,
    quarters_a_minute,
    rhythm_level_setting,
)
from musictheory_nb.practice.display_settings import PARTIAL, WORDS
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters, metre_numbers
from musictheory_nb.practice.metric_cut import metric_rows
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.response import Answer, Input, Response, RhythmInput, StaffInput, Step
from musictheory_nb.practice.rhythm_figure import NOTE, SIMPLE, drawn_grouping, drawn_rhythm
from musictheory_nb.practice.setting_check import several_of, whole_number
from musictheory_nb.practice.slip_confusion import slip_confusion
from musictheory_nb.practice.slip_words import Barring, measure_comments, slips_counted
from musictheory_nb.practice.staff_rows import staff_excerpt
from musictheory_nb.practice.tapped_rhythm import onsets_of, quantised, tapped_line, taps_of

_STEP: Final = "rhythm"
#: How a rhythm may be answered.
INPUTS: Final = ("staff", "taps")
#: The unit that lasts twice as long, for the written twin.
_DOUBLED: Final = 2

SETTINGS: Final = (
    metres_setting(SIMPLE[:3]),
    rhythm_level_setting(1),
    measures_setting(2),
    RESTS,
    TIES,
    TEMPO,
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: written on one line of a staff, or tapped while the metronome counts.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    Setting(
        "tolerance_ms",
        120,
        "How far from its place a tap may fall, in milliseconds; never more than half the way to the next note.",
        "a whole number from 20 to 250",
        whole_number(20, 250),
    ),
    LENGTH_COST,
    PARTIAL,
    WORDS,
)


@dataclass(frozen=True)
class RhythmDictation:
    """Rhythm dictation, version 1.

    A rhythm drawn by rule is heard with the beat, after a measure that is counted in; the student writes it on one line
    of a staff or taps it. Metres come once each before any comes again; with all that level, rests and ties allow.
    A student who cannot hear it sees it in notes twice as long, to be written in the metre that is asked.

    Settings::

    {settings}

    Marking: the answer is aligned with the rhythm so that as little as can be is wrong (`aligned_distance`). Of n notes
    and rests; a note tied over is one, and a rest at the end need not be written:

    {credit}

    Taps are brought to the notes that they are nearest to, within ``tolerance_ms``; others to the nearest sixteenth. What
    is compared is the time from tap to tap, so that rests inside do not count. With ``partial`` False, whatever is below
    1 counts 0.
    """

    kind: str = "rhythm-dictation"
    version: int = 1
    title: str = "Rhythm dictation"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together; all do."""

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, draw = question.settings, question.draw()
        metre = settings["metres"][turn_of(question, tuple(settings["metres"]))]
        grouping = drawn_grouping(draw, metre)
        notes = drawn_rhythm(
            draw,
            metre,
            settings["measures"],
            settings["level"],
            grouping,
            rests=settings["rests"],
            ties=settings["ties"],
        )
        staff, taps = _staff(metre, settings["measures"]), _taps(metre, settings["measures"], settings["tempo"])
        tempo = quarters_a_minute(metre, settings["tempo"])
        right = metric_rows(notes, metre, grouping)
        written = replace(staff_excerpt(staff, right, timbre="held"), tempo=tempo)
        heard = counted_in(written, metre, grouping)
        doubled = _doubled(metre)
        twin = staff_excerpt(
            _staff(doubled, settings["measures"]),
            [[row[0], str(_DOUBLED * Fraction(row[1])), row[2]] for row in right],
        )
        inputs: dict[str, Input] = {"staff": staff, "taps": taps}
        values = {"staff": right, "taps": taps_of(onsets_of(notes), taps)}
        return Item(
            question.exercise,
            question.index,
            f"Listen to {counted(settings['measures'], 'measure')} of {metre} after one measure of the beat alone. "
            "Write or tap the rhythm.",
            (
                MediaRequest("sound", heard, "Hear the rhythm"),
                MediaRequest("notation", written, "The rhythm", "answered"),
            ),
            Response(
                (
                    Step(
                        _STEP,
                        "What is the rhythm? Only the lengths count.",
                        tuple(inputs[name] for name in INPUTS if name in settings["inputs"]),
                    ),
                )
            ),
            {
                "metre": metre,
                "grouping": list(grouping),
                "measures": settings["measures"],
                "tempo": settings["tempo"],
                "notes": notes_data(notes),
                "tolerance_ms": settings["tolerance_ms"],
                "length_cost": settings["length_cost"],
                "partial": settings["partial"],
            },
            _explained(notes, metre, settings["measures"], grouping),
            {_STEP: {name: values[name] for name in INPUTS if name in settings["inputs"]}},
            twin=(MediaRequest("notation", twin, f"The rhythm in notes twice as long; write it in {metre}"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        found = _judged(item, answer)
        if found.alignment.cost == 0:
            return Mark(
                1.0, "Right: every note in its place." if "taps" in answer[_STEP] else "Right: every note and rest."
            )
        score = found.alignment.score(len(found.right)) if item.key["partial"] else 0.0
        comments = measure_comments(found.alignment, _barring(item))
        return Mark(score, f"{slips_counted(found.alignment.cost, len(found.right))}. {comments}")

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the rhythm and the one answered, heard with the beat and seen."""
        found = _judged(item, answer)
        if found.alignment.cost == 0:
            return ()
        key = item.key
        room = key["measures"] * measure_quarters(key["metre"])
        ((used, value),) = answer[_STEP].items()
        inside = [note for note in found.given if note.onset + note.quarters <= room]
        rows = value if used == "staff" else metric_rows(inside, key["metre"], tuple(key["grouping"]))
        if not rows:
            return ()
        tempo = quarters_a_minute(key["metre"], key["tempo"])
        answered = staff_excerpt(_staff(key["metre"], key["measures"]), rows, timbre="held")
        answered = replace(answered, tempo=tempo)
        right = item.shown("answered")[0].excerpt
        return tuple(
            MediaRequest(
                kind,
                counted_in(music, key["metre"], tuple(key["grouping"])) if kind == "sound" else music,
                label,
                "answered",
            )
            for kind in ("sound", "notation")
            for label, music in (("Right", right), ("Your answer", answered))
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the first slip as (what was asked for, what was answered) in words; None for a right answer."""
        found = _judged(item, answer)
        return slip_confusion(found.alignment.slips[0], None) if found.alignment.cost else None


@dataclass(frozen=True, slots=True)
class _Judged:
    """What is compared: the rhythm, the answer, and how they stand against each other."""

    right: tuple[LineNote, ...]
    given: tuple[LineNote, ...]
    alignment: Alignment


def _judged(item: Item, answer: Answer) -> _Judged:
    key = item.key
    right = notes_from_data(key["notes"])
    ((used, value),) = answer[_STEP].items()
    if used == "taps":
        metre, measures = key["metre"], key["measures"]
        onsets = onsets_of(right)
        met = quantised(value, onsets, _taps(metre, measures, key["tempo"]), key["tolerance_ms"])
        right, given = tapped_line(onsets, metre, measures), tapped_line(met, metre, measures)
    else:
        given = tuple(replace(note, pitch=NOTE if note.pitch else "") for note in notes_of_rows(value))
    return _Judged(right, given, align(right, given, costs_of(key)))


@lru_cache(maxsize=1024)
def _staff(metre: str, measures: int) -> StaffInput:
    return StaffInput(metre=metre, measures=measures, lowest=NOTE, highest=NOTE)


@lru_cache(maxsize=1024)
def _taps(metre: str, measures: int, tempo: int) -> RhythmInput:
    beats = quarters_a_minute(metre, tempo) / beat_quarters(metre)
    return RhythmInput(metre, measures, int(beats))


@lru_cache(maxsize=64)
def _doubled(metre: str) -> str:
    count, unit = metre_numbers(metre)
    return f"{count}/{unit // _DOUBLED}"


def _barring(item: Item) -> Barring:
    key = item.key
    return Barring(key["metre"], key["measures"], grouping=tuple(key["grouping"]))


def _explained(notes: Sequence[LineNote], metre: str, measures: int, grouping: tuple[int, ...]) -> str:
    """Return the rhythm in words, measure by measure, by what begins in each."""
    barring = Barring(metre, measures, grouping=grouping)
    inside: Mapping[int, list[str]] = {at: [] for at in range(measures)}
    for note in notes:
        inside[barring.place(note.onset)[0]] += barring.length(note).split(" and ")
    count, unit = metre_numbers(metre)
    units = {4: "quarter notes", 8: "eighth notes", 2: "half notes"}[unit]
    grouped = f", grouped {' + '.join(map(str, grouping))}" if grouping else ""
    told = [f"{metre} has {counted(count, units[:-1])} in a measure{grouped}."]
    for at, lengths in inside.items():
        begun = listed(lengths) if lengths else "nothing, as the note before is held"
        told.append(f"In measure {at + 1} there begin: {begun}." if lengths else f"In measure {at + 1} begins {begun}.")
    return " ".join(told)


RhythmDictation.__doc__ = described(
    RhythmDictation.__doc__, SETTINGS, credit=credit_table(("in the answer", "score"), CREDIT)
)
RHYTHM_DICTATION: Final = RhythmDictation()
