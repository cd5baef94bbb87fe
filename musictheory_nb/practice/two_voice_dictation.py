"""Exercise family: write two voices that are heard together."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.dictated_melody import (
    FIRST_NOTE,
    degree_of,
    key_sound,
    melody_level_setting,
    voice_in_other_key,
    voice_words,
)
from musictheory_nb.practice.dictated_voice import DictatedVoice, JudgedVoice, octave_words
from musictheory_nb.practice.dictation_settings import (
    CREDIT,
    LENGTH_COST,
    PITCH_COST,
    PITCH_CREDIT,
    TEMPO,
    costs_of,
    measures_setting,
    metres_setting,
    quarters_a_minute,
    rhythm_level_setting,
)
from musictheory_nb.practice.display_settings import DEGREES, ENHARMONIC, NAMING, PARTIAL, TIMBRE, Display
from musictheory_nb.practice.drawn_two_voices import drawn_two_voices
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.response import Answer, Response, Step
from musictheory_nb.practice.rhythm_figure import SIMPLE, drawn_grouping
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.slip_confusion import slip_confusion
from musictheory_nb.practice.slip_words import measure_comments, slips_counted
from musictheory_nb.theory.interval import Interval

#: The voices, from the top, with their clefs.
CLEFS: Final = MappingProxyType({"upper": "treble", "lower": "bass"})
VOICES: Final = tuple(CLEFS)
#: How the voices go.
TEXTURES: Final = ("note against note", "lower in beats")

SETTINGS: Final = (
    Setting(
        "voices",
        list(VOICES),
        "Which voices are written; one that is left out is shown.",
        f"a list of at least one of {', '.join(map(repr, VOICES))}",
        several_of(VOICES),
    ),
    Setting(
        "texture",
        TEXTURES[0],
        "Whether both voices have one rhythm, or the lower one goes in beats while the upper one moves freely.",
        ", ".join(map(repr, TEXTURES)),
        one_of(TEXTURES),
    ),
    keys_setting(MAJOR_KEYS[:5], "The keys; each comes once before any comes again."),
    melody_level_setting(3),
    metres_setting(SIMPLE[:3]),
    rhythm_level_setting(1),
    measures_setting(4),
    TEMPO,
    FIRST_NOTE,
    PITCH_COST,
    LENGTH_COST,
    ENHARMONIC,
    PARTIAL,
    TIMBRE,
    DEGREES,
    *NAMING,
)


@dataclass(frozen=True)
class TwoVoiceDictation:
    """Two-voice dictation, version 1.

    A cadence sets the key; two voices drawn by the rules of two-part writing are heard with the beat, after a measure
    that is counted in. The student writes each on its staff. Metres and keys come once each before any comes again. A
    student who cannot hear them sees them in another key, to be written in the key that is asked.

    Settings::

    {settings}

    Marking: each voice is aligned with the answer so that as little as can be is wrong (`aligned_distance`). Of n notes in
    all voices that are written, without first notes that are given; a note tied over is one:

    {credit}

    With ``partial`` False, whatever is below 1 counts 0.
    """

    kind: str = "two-voice-dictation"
    version: int = 1
    title: str = "Two-voice dictation"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        if settings["measures"] < 2:
            raise ExerciseError("measures 1: two voices need two measures at least, the last of which is their end")

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display = question.settings, Display.of(question.settings)
        key, voices = _drawn(question)
        one = voices["upper"]
        tempo, timbre = quarters_a_minute(one.metre, settings["tempo"]), settings["timbre"]
        asked = [name for name in VOICES if name in settings["voices"]]
        written = _together(voices, timbre, tempo)
        moved = {name: voice_in_other_key(voice, key) for name, voice in voices.items()}
        seen = _together({name: voice for name, (voice, _) in moved.items()}, timbre, tempo)
        media = [
            MediaRequest("sound", key_sound(key, "treble", timbre, (0, 0)), "Hear the key"),
            MediaRequest("sound", counted_in(written, one.metre, one.grouping), "Hear both voices"),
            MediaRequest("notation", written, "Both voices", "answered"),
        ]
        for name in VOICES:
            if name not in asked:
                media.insert(2, MediaRequest("notation", voices[name].excerpt(timbre, tempo), f"The {name} voice"))
        twin = f"Both voices in {display.scale(moved['upper'][1])}; write them in {display.scale(key)}"
        what = "both voices" if len(asked) == 2 else f"the {asked[0]} voice"
        return Item(
            question.exercise,
            question.index,
            f"Listen to {counted(one.measures, 'measure')} of {one.metre} in {display.scale(key)} for two voices, after one "
            f"measure of the beat alone. Write {what}.",
            tuple(media),
            Response(tuple(Step(name, f"What is the {name} voice?", (voices[name].staff(),)) for name in asked)),
            {
                "key": key,
                "fifths": one.fifths,
                "metre": one.metre,
                "grouping": list(one.grouping),
                "measures": one.measures,
                "tempo": settings["tempo"],
                "voices": {name: voice.key_data for name, voice in voices.items()},
                "pitch_cost": settings["pitch_cost"],
                "length_cost": settings["length_cost"],
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            "\n".join(
                [f"{name.capitalize()} voice. {voice_words(voice, key, display)}" for name, voice in voices.items()]
                + [f"Where both begin, the intervals from the lower to the upper voice are {_intervals(voices)}."]
            ),
            {name: {"staff": voices[name].answer_rows} for name in asked},
            twin=(MediaRequest("notation", seen, twin),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        display, found = Display.of_key(item.key), _judged(item, answer)
        cost, asked = sum(one.alignment.cost for one in found.values()), sum(one.asked for one in found.values())
        if cost == 0:
            return Mark(1.0, "Right: every note.")
        told = [f"{slips_counted(cost, asked, 'note', 'notes')}."]
        for name, one in found.items():
            if one.alignment.cost == 0:
                told.append(f"The {name} voice is right.")
                continue
            comments = measure_comments(one.alignment, _voice(item, name).barring, display.pitch)
            told.append(f"{name.capitalize()} voice: {octave_words(one.octaves)} {comments}".replace("  ", " "))
        return Mark(max(0.0, 1.0 - cost / asked) if item.key["partial"] else 0.0, " ".join(told))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return both voices and those answered, heard with the beat and seen."""
        if all(one.alignment.cost == 0 for one in _judged(item, answer).values()):
            return ()
        right = item.shown("answered")[0].excerpt
        rows = {name: value["staff"] for name, value in answer.items()}
        voices = {name: _voice(item, name) for name in VOICES}
        given = _together(voices, right.parts[0].timbre, right.tempo, rows)
        return tuple(
            MediaRequest(
                kind,
                counted_in(music, item.key["metre"], tuple(item.key["grouping"])) if kind == "sound" else music,
                label,
                "answered",
            )
            for kind in ("sound", "notation")
            for label, music in (("Right", right), ("Your answer", given))
        )

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return the first slip as (what was asked for, what was answered), pitches by their degrees."""
        display, key = Display.of_key(item.key), item.key["key"]
        for one in _judged(item, answer).values():
            if one.alignment.slips:
                return slip_confusion(one.alignment.slips[0], lambda note: degree_of(key, note.pitch, display))
            if one.octaves:
                return "in its octave", f"an octave too {'high' if one.octaves > 0 else 'low'}"
        return None


def _drawn(question: Question) -> tuple[str, dict[str, DictatedVoice]]:
    settings, draw = question.settings, question.draw()
    metre = settings["metres"][turn_of(question, tuple(settings["metres"]), "metre")]
    key = key_named(settings["keys"][turn_of(question, tuple(settings["keys"]), "key")])
    grouping = drawn_grouping(draw, metre)
    lines = drawn_two_voices(
        draw,
        key.name,
        settings["melody_level"],
        metre,
        settings["measures"],
        settings["level"],
        grouping,
        together=settings["texture"] == TEXTURES[0],
    )
    shown = int(settings["first_note"])
    voices = {
        name: DictatedVoice(notes, metre, settings["measures"], grouping, CLEFS[name], key.fifths, shown)
        for name, notes in zip(VOICES, lines, strict=True)
    }
    return key.name, voices


def _voice(item: Item, name: str) -> DictatedVoice:
    return DictatedVoice.of_key(item.key, item.key["voices"][name])


def _judged(item: Item, answer: Answer) -> dict[str, JudgedVoice]:
    costs, enharmonic = costs_of(item.key), item.key["enharmonic"]
    return {name: _voice(item, name).judged(value["staff"], costs, enharmonic) for name, value in answer.items()}


def _together(
    voices: Mapping[str, DictatedVoice],
    timbre: str,
    tempo: Fraction,
    answered: Mapping[str, JSON] = MappingProxyType({}),
) -> Excerpt:
    """Return the voices on two staves, those answered in the place of what was asked."""
    music = [voices[name].excerpt(timbre, tempo, answered.get(name)) for name in VOICES]
    parts = tuple(
        replace(one.parts[0], name=f"{name.capitalize()} voice", short=name.capitalize())
        for name, one in zip(VOICES, music, strict=True)
    )
    notes = tuple(replace(note, part=at) for at, one in enumerate(music) for note in one.notes)
    return replace(music[0], parts=parts, notes=notes)


def _intervals(voices: Mapping[str, DictatedVoice]) -> str:
    """Return the intervals where both voices begin, as written, within the octave."""
    upper, lower = ({note.onset: note.pitch for note in voices[name].notes} for name in VOICES)
    found = [Interval.between(lower[at], upper[at]) for at in sorted(upper) if at in lower]
    return ", ".join("P8" if one.simple.steps in (0, 7) else str(one.simple) for one in found)


TwoVoiceDictation.__doc__ = described(
    TwoVoiceDictation.__doc__,
    SETTINGS,
    credit=credit_table(("in the answer", "score"), (*CREDIT, *PITCH_CREDIT)),
)
TWO_VOICE_DICTATION: Final = TwoVoiceDictation()
