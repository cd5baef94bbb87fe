"""Exercise family: write a melody that is heard."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.aligned_distance import LineNote, Slip, line_notes
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.dictated_melody import (
    FIRST_NOTE,
    check_room,
    degree_of,
    key_sound,
    melody_level_setting,
    voice_in_other_key,
    voice_words,
)
from musictheory_nb.practice.dictated_voice import DictatedVoice, JudgedVoice, octave_words
from musictheory_nb.practice.dictation_line import align_melody, notes_of_rows
from musictheory_nb.practice.dictation_settings import (
    CREDIT,
    LENGTH_COST,
    PITCH_COST,
    PITCH_CREDIT,
    RESTS,
    TEMPO,
    TIES,
    costs_of,
    measures_setting,
    metres_setting,
    quarters_a_minute,
    rhythm_level_setting,
)
from musictheory_nb.practice.display_settings import (
    CLEF,
    DEGREES,
    ENHARMONIC,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
    in_part,
)
from musictheory_nb.practice.drawn_melody import drawn_pitches, melody_on
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.metric_cut import metric_rows
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step
from musictheory_nb.practice.rhythm_figure import NOTE, SIMPLE, drawn_grouping, drawn_rhythm
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.slip_confusion import slip_confusion
from musictheory_nb.practice.slip_words import measure_comments, slips_counted
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register
from musictheory_nb.practice.staff_rows import staff_excerpt
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

_STEP: Final = "melody"
#: What is asked: the whole melody, or its pitches, the rhythm being shown.
ASKS: Final = ("melody", "pitches")
#: How pitches alone may be answered; a whole melody is written on the staff.
INPUTS: Final = ("staff", "keys")
_QUARTER: Final = Fraction(1)

SETTINGS: Final = (
    Setting(
        "asks",
        "melody",
        "What is written: the melody, or its pitches alone, the rhythm being shown.",
        ", ".join(map(repr, ASKS)),
        one_of(ASKS),
    ),
    keys_setting(MAJOR_KEYS[:5], "The keys; each comes once before any comes again."),
    melody_level_setting(4),
    metres_setting(SIMPLE[:3]),
    rhythm_level_setting(1),
    measures_setting(4),
    RESTS,
    TIES,
    TEMPO,
    FIRST_NOTE,
    Setting(
        "inputs",
        list(INPUTS),
        "How pitches alone are answered: on a staff, or on piano keys. A whole melody is written on a staff.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    PITCH_COST,
    LENGTH_COST,
    ENHARMONIC,
    PARTIAL,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    DEGREES,
    *NAMING,
)


@dataclass(frozen=True)
class MelodyDictation:
    """Melody dictation, version 1.

    A cadence sets the key; a melody drawn by rule is heard with the beat, after a measure that is counted in. The
    student writes it on a staff with clef, signature, metre and, unless ``first_note`` is False, its first note. Metres
    and keys come once each before any comes again. A student who cannot hear it sees it in another key, to be written in
    the key that is asked.

    Settings::

    {settings}

    Marking: the answer is aligned with the melody so that as little as can be is wrong (`aligned_distance`). Of n notes
    and rests, without a first note that is given; a note tied over is one, and a rest at the end need not be written:

    {credit}

    Piano keys are right by their sound. With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "melody-dictation"
    version: int = 1
    title: str = "Melody dictation"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_room(settings["keys"], register(settings), Display.of(settings))

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display, place = question.settings, Display.of(question.settings), register(question.settings)
        key, voice = _drawn(question, place)
        is_melody = settings["asks"] == "melody"
        tempo, timbre, shift = quarters_a_minute(voice.metre, settings["tempo"]), settings["timbre"], display.part_shift
        written = in_part(voice.excerpt(timbre, tempo), shift)
        other, other_name = voice_in_other_key(voice, key)
        media = [
            MediaRequest("sound", key_sound(key, voice.clef, timbre, shift), "Hear the key"),
            MediaRequest("sound", counted_in(written, voice.metre, voice.grouping), "Hear the melody"),
            MediaRequest("notation", written, "The melody", "answered"),
        ]
        if not is_melody:
            media.insert(2, MediaRequest("notation", _rhythm_of(voice), "The rhythm of the melody"))
        inputs = _inputs(settings, voice, place, display)
        start = ""
        if voice.shown:
            start = f" The first note is {display.pitch(voice.notes[0].pitch)}."
        twin = f"The melody in {display.scale(other_name)}; write it in {display.scale(key)}"
        return Item(
            question.exercise,
            question.index,
            f"Listen to {counted(voice.measures, 'measure')} of {voice.metre} in {display.scale(key)}, after one measure of "
            f"the beat alone.{start} {'Write the melody.' if is_melody else 'Write or play its pitches.'}",
            tuple(media),
            Response((Step(_STEP, "What is the melody?" if is_melody else "Which pitches are they?", inputs),)),
            {
                "asks": settings["asks"],
                "key": key,
                "fifths": voice.fifths,
                "metre": voice.metre,
                "grouping": list(voice.grouping),
                "measures": voice.measures,
                "tempo": settings["tempo"],
                **voice.key_data,
                "pitch_cost": settings["pitch_cost"],
                "length_cost": settings["length_cost"],
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            voice_words(voice, key, display),
            {_STEP: _solution(voice, inputs, display)},
            twin=(MediaRequest("notation", in_part(other.excerpt(timbre, tempo), shift), twin),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        display, voice = Display.of_key(item.key), DictatedVoice.of_key(item.key)
        found = _judged(item, answer)
        if found.alignment.cost == 0:
            return Mark(1.0, "Right: every note and rest." if item.key["asks"] == "melody" else "Right: every note.")
        score = found.alignment.score(found.asked) if item.key["partial"] else 0.0
        what = ("note and rest", "notes and rests") if item.key["asks"] == "melody" else ("note", "notes")
        comments = measure_comments(found.alignment, voice.barring, display.pitch)
        told = f"{slips_counted(found.alignment.cost, found.asked, *what)}. {octave_words(found.octaves)} {comments}"
        return Mark(score, told.replace("  ", " "))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the melody and the one answered, heard with the beat and seen."""
        if _judged(item, answer).alignment.cost == 0:
            return ()
        display, voice = Display.of_key(item.key), DictatedVoice.of_key(item.key)
        right = item.shown("answered")[0].excerpt
        timbre, tempo = right.parts[0].timbre, right.tempo
        ((used, value),) = answer[_STEP].items()
        beat = item.key["asks"] == "melody"
        if beat:
            given = in_part(voice.excerpt(timbre, tempo, value), display.part_shift)
        else:
            rows = _key_rows(voice, value, display) if used == "keys" else value
            staff = _pitch_staff(voice)
            given = in_part(staff_excerpt(staff, rows, timbre=timbre), display.part_shift)
            right = in_part(staff_excerpt(staff, _pitch_rows(voice), timbre=timbre), display.part_shift)
            given, right = (replace(music, tempo=4 * tempo) for music in (given, right))
        return tuple(
            MediaRequest(
                kind,
                counted_in(music, voice.metre, voice.grouping) if beat and kind == "sound" else music,
                label,
                "answered",
            )
            for kind in ("sound", "notation")
            for label, music in (("Right", right), ("Your answer", given))
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the first slip as (what was asked for, what was answered), pitches by their degrees."""
        found = _judged(item, answer)
        if found.alignment.cost == 0:
            return None
        if not found.alignment.slips:
            return "in its octave", f"an octave too {'high' if found.octaves > 0 else 'low'}"
        display, key = Display.of_key(item.key), item.key["key"]
        return slip_confusion(found.alignment.slips[0], lambda note: degree_of(key, note.pitch, display))


def _drawn(question: Question, place: Register) -> tuple[str, DictatedVoice]:
    settings, draw = question.settings, question.draw()
    metre = settings["metres"][turn_of(question, tuple(settings["metres"]), "metre")]
    key = key_named(settings["keys"][turn_of(question, tuple(settings["keys"]), "key")])
    grouping = drawn_grouping(draw, metre)
    rhythm = drawn_rhythm(
        draw,
        metre,
        settings["measures"],
        settings["level"],
        grouping,
        rests=settings["rests"],
        ties=settings["ties"],
        flowing=True,
    )
    count = sum(1 for note in rhythm if note.pitch)
    pitches = drawn_pitches(draw, key.name, count, settings["melody_level"], place.low_midi, place.high_midi)
    return key.name, DictatedVoice(
        melody_on(rhythm, pitches),
        metre,
        settings["measures"],
        grouping,
        place.clef,
        key.fifths,
        int(settings["first_note"] and count > 1),
        Display.of(settings).written_for,
    )


def _sounding(voice: DictatedVoice) -> tuple[LineNote, ...]:
    return tuple(note for note in voice.notes if note.pitch)


def _pitch_rows(voice: DictatedVoice) -> list[JSON]:
    """The pitches that are asked for as rows without rhythm."""
    return [[[note.pitch], "1", False] for note in _sounding(voice)[voice.shown :]]


def _pitch_staff(voice: DictatedVoice) -> StaffInput:
    given = tuple(((note.pitch,), "1", False) for note in _sounding(voice)[: voice.shown])
    return StaffInput(
        voice.clef, voice.fifths, pitches_only=True, given=given, transposition=voice.transposition, measures=32
    )


def _inputs(settings: CompleteSettings, voice: DictatedVoice, place: Register, display: Display) -> tuple[Input, ...]:
    if settings["asks"] == "melody":
        return (voice.staff(),)
    shift, sounding = display.part_shift[0], _sounding(voice)
    low, high = (place.low_midi + shift) // 12 * 12, (place.high_midi + shift) // 12 * 12 + 11
    given = tuple(Pitch(note.pitch).chromatic + shift for note in sounding[: voice.shown])
    keys = KeysInput(max(0, low), min(127, high), len(sounding) - voice.shown, given)
    inputs: dict[str, Input] = {"staff": _pitch_staff(voice), "keys": keys}
    return tuple(inputs[name] for name in INPUTS if name in settings["inputs"])


def _solution(voice: DictatedVoice, inputs: Sequence[Input], display: Display) -> dict[str, JSON]:
    if isinstance(inputs[0], StaffInput) and not inputs[0].pitches_only:
        return {"staff": voice.answer_rows}
    shift = display.part_shift[0]
    keys = [Pitch(note.pitch).chromatic + shift for note in _sounding(voice)[voice.shown :]]
    values = {"staff": _pitch_rows(voice), "keys": keys}
    return {entry.id: values[entry.id] for entry in inputs}


def _rhythm_of(voice: DictatedVoice) -> Excerpt:
    staff = StaffInput(metre=voice.metre, measures=voice.measures)
    return staff_excerpt(staff, metric_rows(voice.notes, voice.metre, voice.grouping, pitch=NOTE))


def _key_rows(voice: DictatedVoice, keys: Sequence[int], display: Display) -> list[JSON]:
    """Piano keys as rows, spelled as the melody spells them where it has them."""
    spelled = {Pitch(note.pitch).chromatic: note.pitch for note in _sounding(voice)}
    written = [midi - display.part_shift[0] for midi in keys]
    return [[[spelled.get(midi) or spell_midi(midi % 128).name], "1", False] for midi in written]


def _judged(item: Item, answer: Answer) -> JudgedVoice:
    key, voice, costs = item.key, DictatedVoice.of_key(item.key), costs_of(item.key)
    ((used, value),) = answer[_STEP].items()
    if key["asks"] == "melody":
        return voice.judged(value, costs, key["enharmonic"])
    sounding = _sounding(voice)
    rows = _key_rows(voice, value, Display.of_key(key)) if used == "keys" else value
    right = line_notes([(note.pitch, _QUARTER) for note in sounding])
    given = (*right[: voice.shown], *notes_of_rows([row for row in rows if row[0]]))
    even = line_notes([(note.pitch, _QUARTER) for note in given])
    alignment, octaves = align_melody(right, even, costs, key["enharmonic"] or used == "keys", voice.shown)

    def placed(slip: Slip) -> Slip:
        """A slip where its note really is."""
        there = slip.right or slip.given
        assert there is not None
        onset = sounding[min(int(there.onset), len(sounding) - 1)].onset
        moved = [note and replace(note, onset=onset) for note in (slip.right, slip.given)]
        return replace(slip, right=moved[0], given=moved[1])

    alignment = replace(alignment, slips=tuple(map(placed, alignment.slips)))
    return JudgedVoice(alignment, octaves, max(1, len(sounding) - voice.shown))


MelodyDictation.__doc__ = described(
    MelodyDictation.__doc__,
    SETTINGS,
    credit=credit_table(("in the answer", "score"), (*CREDIT, *PITCH_CREDIT)),
)
MELODY_DICTATION: Final = MelodyDictation()
