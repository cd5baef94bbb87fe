"""A figured bass line to be set for four voices: the question, what an answer is worth, what is wrong with it."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt, ExcerptPart
from musictheory_nb.practice.family import Question
from musictheory_nb.practice.figured_chord import figures_for, figures_shown
from musictheory_nb.practice.four_part_excerpt import Column, four_part_excerpt
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.practice.numeral_vocabulary import numeral, numeral_shown
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.progression import Progression, progression_of
from musictheory_nb.practice.response import Answer, Input, KeysInput, Response, StaffInput, Step, SymbolInput
from musictheory_nb.practice.written_note import NOTE_INPUTS, GivenNote, given_notes, staff_row
from musictheory_nb.theory.four_part import FOUR_VOICES
from musictheory_nb.theory.part_writing import part_faults
from musictheory_nb.theory.part_writing_rule import PART_WRITING_RULES, Fault
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import write_pitch
from musictheory_nb.theory.spelling import spell_midi
from musictheory_nb.theory.voice_leading import nearest_pitch

#: The voices that are answered, a step each: clef, piano keys, where a note without octave lies.
UPPER_VOICES: Final = MappingProxyType(
    {
        "soprano": ("treble", (55, 84), "B4"),
        "alto": ("treble", (48, 77), "G4"),
        "tenor": ("bass", (43, 72), "D4"),
    }
)
#: What a fault of part writing costs, of the whole score.
FAULT_COST: Final = 0.1
LINE_CREDIT: Final = (
    ("every note of the upper voices in its chord, no chord without its third or seventh, and no fault", "1"),
    ("each note that is in its chord", "its share of 1"),
    ("a note that sounds right and is spelled otherwise", "half its share"),
    ("a chord without its third, its seventh or, in inversion, its root", "less one share"),
    ("a fault of part writing, such as parallel fifths; cautions are told and cost nothing", f"less {FAULT_COST}"),
)
#: Rules that are marked with the notes of the chords, and no fault besides.
_OF_THE_NOTES: Final = ("foreign note", "missing third", "missing root")
_RULES: Final = tuple(rule for rule in PART_WRITING_RULES if rule not in _OF_THE_NOTES)
_EACH: Final = Fraction(2)


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """An answer: its voices chord by chord, the share of right notes, wrong notes and missing tones told, faults, score."""

    voices: Mapping[str, tuple[Pitch | None, ...]]
    share: float
    wrong: tuple[str, ...]
    faults: tuple[Fault, ...]
    score: float


def line_item(question: Question) -> Item:
    """Return an item that asks for the upper voices above a figured bass line."""
    settings, display = question.settings, Display.of(question.settings)
    case = progression_of(question, "progressions")
    home, timbre = display.scale(case.key), settings["timbre"]
    figures = tuple(figures_for(figure, case.key) for figure in case.figures)
    whole = _music(case.columns, case.key, timbre, figures)
    bass = _bass_alone(case.columns, case.key, timbre, figures)
    count = counted(len(case.figures), "chord")
    said = [
        f"{display.pitch(one[3])} {f'with {figures_shown(text)}' if text else 'without figures'}"
        for one, text in zip(case.columns, figures, strict=True)
    ]
    return Item(
        question.exercise,
        question.index,
        f"Look at the figured bass of {count}. The key is {home}. Write soprano, alto and tenor above it.",
        (
            MediaRequest("notation", bass, f"A figured bass in {home}"),
            MediaRequest("sound", bass, "Hear the bass"),
            MediaRequest("sound", whole, "Hear one way to set it", "answered"),
            MediaRequest("notation", whole, f"One way to set it in {home}", "answered"),
        ),
        Response(tuple(_step(voice, settings["note_inputs"], case, display) for voice in UPPER_VOICES)),
        {
            "ask": "four parts",
            "key": case.key,
            "chords": case.figures,
            "columns": case.columns,
            "timbre": timbre,
            "partial": settings["partial"],
            **display.key,
        },
        _explained(case, display),
        {voice: _right(voice, settings["note_inputs"], case, display) for voice in UPPER_VOICES},
        twin_text=f"The bass goes {', '.join(said)}. The key is {home}.",
    )


def line_mark(item: Item, answer: Answer) -> Mark:
    """Return the mark of the voices answered, with every fault in words."""
    found, display = judged_line(item, answer), Display.of_key(item.key)
    cautions = [fault for fault in found.faults if fault.severity == "caution"]
    told = [*found.wrong, *(_fault_words(one, display) for one in found.faults if one not in cautions)]
    if not told:
        told.append("Right: every note is in its chord, and no voice is led wrongly.")
    if cautions:
        told.append(f"To be heard with care: {' '.join(_fault_words(fault, display) for fault in cautions)}")
    return Mark(found.score, " ".join(told))


def line_compare(item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
    """Return one way to set the bass and the answer, heard and seen; nothing where a note is missing."""
    found = judged_line(item, answer)
    rows = list(zip(*found.voices.values(), strict=True))
    if found.score == 1.0 or any(pitch is None for row in rows for pitch in row):
        return ()
    given = tuple(_column([pitch.name for pitch in row if pitch is not None]) for row in rows)
    key, timbre = item.key["key"], item.key["timbre"]
    figures = tuple(figures_for(figure, key) for figure in item.key["chords"])
    right = tuple(map(_column, item.key["columns"]))
    return tuple(
        MediaRequest(kind, _music(columns, key, timbre, figures), label, "answered")
        for kind in ("sound", "notation")
        for label, columns in (("One way to set it", right), ("Your answer", given))
    )


def line_confusion(item: Item, answer: Answer) -> tuple[str, str] | None:
    """Return (what was asked, the first thing that is wrong); None for a full score."""
    found = judged_line(item, answer)
    if found.score == 1.0:
        return None
    fault = next((one for one in found.faults if one.severity == "fault"), None)
    return ("the notes of the figures", "other notes") if found.wrong or fault is None else ("no fault", fault.rule)


def judged_line(item: Item, answer: Answer) -> JudgedLine:
    """Return what is right and wrong with the voices that were answered."""
    display, key, chords = Display.of_key(item.key), item.key["key"], tuple(item.key["chords"])
    voices: dict[str, tuple[Pitch | None, ...]] = {}
    for voice in UPPER_VOICES:
        given = given_notes(answer[voice], display)
        notes = [_pitch(note, voice, figure, key) for note, figure in zip(given, chords, strict=False)]
        voices[voice] = (*notes, *(None for _ in range(len(chords) - len(notes))))
    voices["bass"] = tuple(Pitch(one[3]) for one in item.key["columns"])
    worth = 0.0
    wrong: list[str] = []
    for place, figure in enumerate(chords):
        got, told = _chord_worth(
            {voice: line[place] for voice, line in voices.items()}, figure, key, place + 1, display
        )
        worth += got
        wrong += told
    for voice in UPPER_VOICES:
        if (extra := len(given_notes(answer[voice], display)) - len(chords)) > 0:
            wrong.append(f"The {voice} has {counted(extra, 'note')} too many.")
            worth -= extra
    faults = part_faults(voices, key, chords, [str(place) for place in range(1, len(chords) + 1)], _RULES)
    share = max(0.0, worth / (3 * len(chords)))
    broken = sum(fault.severity == "fault" for fault in faults)
    score = 1.0 if not wrong and not broken else max(0.0, share - FAULT_COST * broken)
    return JudgedLine(
        MappingProxyType(voices), share, tuple(wrong), faults, score if item.key["partial"] or score == 1.0 else 0.0
    )


def _chord_worth(
    sounding: Mapping[str, Pitch | None], figure: str, key: str, place: int, display: Display
) -> tuple[float, list[str]]:
    """Return how many of three notes are right in one chord, and what is wrong in words."""
    chord = numeral(figure, key)
    own = {name.name: name.pitch_class for name in chord.pitch_names}
    worth = 0.0
    wrong: list[str] = []
    for voice in UPPER_VOICES:
        pitch = sounding[voice]
        if pitch is None:
            wrong.append(f"Chord {place}: the {voice} has no note.")
            continue
        name = pitch.pitch_name.name
        if name in own:
            worth += 1.0
            continue
        same = next((one for one, sound in own.items() if sound == pitch.pitch_class), "")
        worth += 0.5 if same else 0.0
        shown = display.note(name)
        wrong.append(
            f"Chord {place}: {shown} of the {voice} is spelled {display.note(same)} here."
            if same
            else f"Chord {place}: {shown} of the {voice} is not in the chord."
        )
    there = {pitch.pitch_class for pitch in sounding.values() if pitch is not None}
    for name in _needed(figure, key):
        if own[name] not in there and None not in sounding.values():
            worth -= 1.0
            wrong.append(f"Chord {place} lacks {display.note(name)}.")
    return max(0.0, worth), wrong


@lru_cache(maxsize=2048)
def _needed(figure: str, key: str) -> tuple[str, ...]:
    """Return the tones that may not be left out: all but the fifth of a chord in root position."""
    chord = numeral(figure, key)
    plain = chord.kind == "plain" and not chord.inversion and "5" in chord.chord.degrees
    return tuple(name.name for name in chord.pitch_names if not (plain and chord.chord.degree_of(name) == "5"))


def _pitch(note: GivenNote, voice: str, figure: str, key: str) -> Pitch:
    """Return the pitch of a note: a piano key by its name in the chord, a name without octave near the middle of its voice."""
    if note.name:
        return note.pitch or nearest_pitch(PitchName(note.name), UPPER_VOICES[voice][2])
    for name in numeral(figure, key).pitch_names:
        if name.pitch_class == note.pitch_class:
            return nearest_pitch(name, spell_midi(note.chromatic))
    return spell_midi(note.chromatic)


def _fault_words(fault: Fault, display: Display) -> str:
    """Return a fault as a sentence, with chords for beats and printed accidentals."""
    text = re.sub(r"\bbeat (?=\d)", "chord ", fault.reason)
    text = re.sub(r"(?<=[A-G])(##?|bb?)(?=[\d\s,.;:/)]|$)", lambda sign: _SIGNS[sign[0]], text)
    text = renamed(f"{text[:1].upper()}{text[1:]}", display.names)
    return text if text.endswith(".") else f"{text}."


_SIGNS: Final = MappingProxyType({"#": "♯", "##": "𝄪", "b": "♭", "bb": "𝄫"})


def _column(row: Sequence[str]) -> Column:
    soprano, alto, tenor, bass = row
    return soprano, alto, tenor, bass


def _music(columns: tuple[Column, ...], key: str, timbre: str, figures: tuple[str, ...]) -> Excerpt:
    return four_part_excerpt(columns, key_named(key).fifths, timbre, _EACH, figures)


@lru_cache(maxsize=2048)
def _bass_alone(columns: tuple[Column, ...], key: str, timbre: str, figures: tuple[str, ...]) -> Excerpt:
    whole = _music(columns, key, timbre, figures)
    notes = [replace(note, part=0, voice=1) for note in whole.notes if note.part == 1 and note.voice == 2]
    return replace(whole, parts=(ExcerptPart("", "bass", timbre=timbre),), notes=tuple(notes))


def _step(voice: str, inputs: Sequence[str], case: Progression, display: Display) -> Step:
    clef, (low, high), _ = UPPER_VOICES[voice]
    made: dict[str, Input] = {
        "staff": StaffInput(clef, key_named(case.key).fifths, pitches_only=True),
        "keys": KeysInput(low, high, len(case.figures)),
        "text": SymbolInput("pitches", names=display.theory_names),
    }
    return Step(voice, f"What does the {voice} sing?", tuple(made[name] for name in NOTE_INPUTS if name in inputs))


def _right(voice: str, inputs: Sequence[str], case: Progression, display: Display) -> dict[str, JSON]:
    line = [one[FOUR_VOICES.index(voice)] for one in case.columns]
    made: dict[str, tuple[str, JSON]] = {
        "staff": ("staff", [staff_row((name,)) for name in line]),
        "keys": ("keys", [Pitch(name).chromatic for name in line]),
        "text": ("symbol", [" ".join(write_pitch(Pitch(name), display.theory_names) for name in line)]),
    }
    return dict(made[name] for name in NOTE_INPUTS if name in inputs)


def _explained(case: Progression, display: Display) -> str:
    """Return each chord: its bass and figures, the notes that they ask for, its numeral."""
    told = []
    for place, figure in enumerate(case.figures, start=1):
        chord, figures = numeral(figure, case.key), figures_for(figure, case.key)
        names = listed([display.note(name) for name in chord.names])
        stand = f"{figures_shown(figures)} above {display.note(chord.bass.name)}"
        told.append(f"Chord {place}: {stand} for {names}, {numeral_shown(figure, case.key)}.")
    told.append("There are other ways to set it, which are as right.")
    return "\n".join(told)
