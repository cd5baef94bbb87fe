"""Exercise family: write the bass line and the chords of a progression that is heard in its rhythm."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, Slip, SlipCosts, align, line_notes
from musictheory_nb.practice.answered_chord import (
    ANSWERED_CREDIT,
    chord_difference,
    chord_of_token,
    chord_shown,
    chord_tokens,
)
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.degree_pattern import in_other_key, other_key
from musictheory_nb.practice.dictated_melody import degree_of
from musictheory_nb.practice.dictated_voice import DictatedVoice, JudgedVoice, octave_words
from musictheory_nb.practice.dictation_settings import (
    CREDIT,
    PITCH_CREDIT,
    TEMPO,
    metres_setting,
    quarters_a_minute,
)
from musictheory_nb.practice.display_settings import ENHARMONIC, NAMING, PARTIAL, TIMBRE, Display
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.four_part_excerpt import Column
from musictheory_nb.practice.harmonic_rhythm import (
    TimedChord,
    drawn_harmonic_rhythm,
    shared_beats,
    timed_four_parts,
)
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.numeral_vocabulary import FIGURES, numeral, numeral_shown
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.progression import CADENCE, CHORDS, LENGTH, check_progressions, progression_of
from musictheory_nb.practice.progression_words import progression_words
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.response import Answer, Input, Response, Step, SymbolInput
from musictheory_nb.practice.rhythm_figure import COMPOUND, SIMPLE
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.slip_confusion import slip_confusion
from musictheory_nb.practice.slip_words import Barring, measure_comments, slips_counted
from musictheory_nb.practice.symbol_reading import SAME_CHORD

#: What is asked, each with its share of the score where both are.
ASK: Final = MappingProxyType({"bass": Fraction(2, 5), "chords": Fraction(3, 5)})
#: How chords may be written.
CHORD_INPUTS: Final = ("numerals", "symbols")
#: Lowest bass of a chord that was answered, where it is heard.
_LOWEST: Final = "C3"

SETTINGS: Final = (
    keys_setting(MAJOR_KEYS, "The keys; each comes once before any comes again."),
    CHORDS,
    LENGTH,
    CADENCE,
    metres_setting(SIMPLE[1:3], (*SIMPLE, *COMPOUND)),
    Setting(
        "ask",
        list(ASK),
        "What is written: the bass line in its rhythm, the chords of each measure.",
        f"a list of at least one of {', '.join(map(repr, ASK))}",
        several_of(tuple(ASK)),
    ),
    Setting(
        "chord_inputs",
        list(CHORD_INPUTS),
        "How chords are written: as Roman numerals, or as chord symbols.",
        f"a list of at least one of {', '.join(map(repr, CHORD_INPUTS))}",
        several_of(CHORD_INPUTS),
    ),
    TEMPO,
    FIGURES,
    ENHARMONIC,
    PARTIAL,
    TIMBRE,
    *NAMING,
)


@dataclass(frozen=True)
class ChordDictation:
    """Chord dictation, version 1.

    A progression for four voices is heard in its rhythm with the beat, one or two chords in a measure, after a measure that
    is counted in; key and metre are told, and the first bass note is given. How many chords there are is not told. The
    student writes the bass line on a staff, and the chords of each measure as numerals or chord symbols. A student who
    cannot hear it sees it in another key, to be answered in the key that is told.

    Settings::

    {settings}

    Marking: the bass line makes up 0.4 of the score and the chords 0.6, where both are asked. The bass line is aligned with
    the right one so that as little as can be is wrong (`aligned_distance`); of n notes after the first:

    {bass}

    The chords are aligned in the same way; of n chords, each with its place in the measure:

    {chords}

    With ``partial`` False, whatever is below 1 in all counts 0.
    """

    kind: str = "chord-dictation"
    version: int = 1
    title: str = "Chord dictation"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_progressions(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display = question.settings, Display.of(question.settings)
        case = progression_of(question)
        metre = settings["metres"][turn_of(question, tuple(settings["metres"]), "metre")]
        # draws of its own, which have nothing to do with those of the progression
        draw = Draw(question.lesson, f"{question.exercise} times", question.version, question.seed, question.index)
        times = drawn_harmonic_rhythm(draw, metre, case.figures)
        measures = int((times[-1].onset + times[-1].quarters) / measure_quarters(metre))
        style, fifths = settings["figures"], key_named(case.key).fifths
        shown = tuple(numeral_shown(figure, case.key, style) for figure in case.figures)
        look = settings["timbre"], quarters_a_minute(metre, settings["tempo"])
        written = timed_four_parts(case.columns, times, metre, fifths, *look, shown)
        elsewhere = other_key(case.key)
        moved = [_moved(one, case.key) for one in case.columns]
        twin = timed_four_parts(moved, times, metre, key_named(elsewhere).fifths, *look)
        heard = timed_four_parts(case.columns, times, metre, fifths, *look)
        bass = DictatedVoice(
            line_notes([(one[3], time.quarters) for one, time in zip(case.columns, times, strict=True)]),
            metre,
            measures,
            clef="bass",
            fifths=fifths,
            shown=1,
        )
        steps = _steps(settings, case.key, bass, display)
        home = display.scale(case.key)
        how = _how(settings) if "chords" in settings["ask"] else ""
        return Item(
            question.exercise,
            question.index,
            f"Listen to {counted(measures, 'measure')} of {metre} in {home}, after one measure of the beat alone. The first "
            f"chord is the tonic.{how}",
            (
                MediaRequest("sound", counted_in(heard, metre), "Hear the progression"),
                MediaRequest("notation", written, f"The progression in {home}", "answered"),
            ),
            Response(steps),
            {
                "key": case.key,
                "fifths": fifths,
                "metre": metre,
                "grouping": [],
                "measures": measures,
                "figures": list(case.figures),
                "times": [[str(time.onset), str(time.quarters)] for time in times],
                "bass": bass.key_data,
                "tempo": settings["tempo"],
                "style": style,
                "enharmonic": settings["enharmonic"],
                "partial": settings["partial"],
                **display.key,
            },
            progression_words(case.figures, case.key, display, style),
            {step.id: _solution(step, case.figures, times, case.key, bass, display) for step in steps},
            (MediaRequest("notation", twin, f"The progression in {display.scale(elsewhere)}; answer in {home}"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        display, key = Display.of_key(item.key), item.key
        parts: dict[str, float] = {}
        why = []
        if (bass := _bass(item, answer)) is not None:
            parts["bass"] = bass.alignment.score(bass.asked) if bass.alignment.cost else 1.0
            if bass.alignment.cost:
                slips = slips_counted(bass.alignment.cost, bass.asked, "note", "notes")
                comments = measure_comments(bass.alignment, _barring(item), display.pitch)
                why.append(f"Bass line: {slips}. {octave_words(bass.octaves)} {comments}".replace("  ", " "))
            else:
                why.append("Bass line: right.")
        if (chords := _chords(item, answer)) is not None:
            parts["chords"] = chords.score(len(key["figures"])) if chords.cost else 1.0
            if chords.cost:
                slips = slips_counted(chords.cost, len(key["figures"]), "chord", "chords")
                shown = _shown(item)
                why.append(f"Chords: {slips}. {measure_comments(chords, _barring(item), shown, chord_slip_words)}")
            else:
                why.append("Chords: right.")
        if min(parts.values()) == 1.0:
            return Mark(1.0, " ".join(why))
        whole = sum(ASK[name] for name in parts)
        score = sum(float(ASK[name] / whole) * share for name, share in parts.items())
        return Mark(min(score, 1.0) if key["partial"] else 0.0, " ".join(why))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return bass lines and chords, right and answered: the bass lines heard and seen, the chords heard."""
        key = item.key
        right = item.shown("answered")[0].excerpt
        timbre, tempo = right.parts[0].timbre, right.tempo
        rows: list[tuple[str, str, Excerpt]] = []
        if (bass := _bass(item, answer)) is not None and bass.alignment.cost:
            voice = DictatedVoice.of_key(key, key["bass"])
            for label, music in (
                ("The bass line", voice.excerpt(timbre, tempo)),
                ("Your bass line", voice.excerpt(timbre, tempo, answer["bass"]["staff"])),
            ):
                rows += [("sound", label, counted_in(music, key["metre"])), ("notation", label, music)]
        if (chords := _chords(item, answer)) is not None and chords.cost:
            for label, line in (("The chords", _right_chords(key)), ("Your chords", _answered(item, answer))):
                music = _block_chords(line, item, timbre, tempo)
                rows.append(("sound", label, counted_in(music, key["metre"])))
        return tuple(MediaRequest(kind, music, label, "answered") for kind, label, music in rows)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what was right, what was answered) of the first slip, chords before the bass."""
        display, key = Display.of_key(item.key), item.key["key"]
        if (chords := _chords(item, answer)) is not None and chords.slips:
            slip = chords.slips[0]
            if slip.right is not None and slip.given is not None and slip.kind in ("pitch", "spelling"):
                shown = _shown(item)
                return shown(slip.right.pitch), shown(slip.given.pitch)
            return slip_confusion(slip, None)
        if (bass := _bass(item, answer)) is not None and bass.alignment.cost:
            if not bass.alignment.slips:
                return "in its octave", f"an octave too {'high' if bass.octaves > 0 else 'low'}"
            return slip_confusion(bass.alignment.slips[0], lambda note: degree_of(key, note.pitch, display))
        return None


@lru_cache(maxsize=4096)
def _moved(one: Column, key: str) -> Column:
    soprano, alto, tenor, bass = in_other_key(one, key)
    return soprano, alto, tenor, bass


def _how(settings: CompleteSettings) -> str:
    names = {"numerals": "Roman numerals", "symbols": "chord symbols"}
    kinds = " or ".join(names[name] for name in CHORD_INPUTS if name in settings["chord_inputs"])
    return (
        f" Write the chords of each measure as {kinds}, with blanks between them; they share the beats, the first ones have "
        f"one more where that does not come out. {SAME_CHORD} holds a chord for another beat where there is one sign for "
        "each beat."
    )


def _steps(settings: CompleteSettings, key: str, bass: DictatedVoice, display: Display) -> tuple[Step, ...]:
    steps: list[Step] = []
    if "bass" in settings["ask"]:
        steps.append(Step("bass", "What is the bass line?", (bass.staff(),)))
    if "chords" in settings["ask"]:
        inputs: dict[str, Input] = {
            "numerals": SymbolInput("numerals", key=key, id="numerals"),
            "symbols": SymbolInput("chords", names=display.theory_names, id="symbols"),
        }
        chosen = tuple(inputs[name] for name in CHORD_INPUTS if name in settings["chord_inputs"])
        for at in range(1, bass.measures + 1):
            steps.append(Step(f"measure-{at}", f"Which chords are in measure {at}?", chosen))
    return tuple(steps)


def _solution(
    step: Step,
    figures: Sequence[str],
    times: Sequence[TimedChord],
    key: str,
    bass: DictatedVoice,
    display: Display,
) -> dict[str, JSON]:
    """Return what the inputs of a step show as right."""
    if step.id == "bass":
        return {"staff": bass.answer_rows}
    at = int(step.id.rpartition("-")[2]) - 1
    full = measure_quarters(bass.metre)
    inside = [figure for figure, time in zip(figures, times, strict=True) if time.onset // full == at]
    right = {
        "numerals": " ".join(inside),
        "symbols": " ".join(numeral(figure, key).chord.spelled(display.theory_names) for figure in inside),
    }
    return {entry.id: [right[entry.id]] for entry in step.inputs}


def _barring(item: Item) -> Barring:
    return Barring(item.key["metre"], item.key["measures"])


def _bass(item: Item, answer: Answer) -> JudgedVoice | None:
    if "bass" not in answer:
        return None
    voice = DictatedVoice.of_key(item.key, item.key["bass"])
    return voice.judged(answer["bass"]["staff"], SlipCosts(), item.key["enharmonic"])


def _right_chords(key: Mapping[str, JSON]) -> tuple[LineNote, ...]:
    return tuple(
        LineNote(figure, Fraction(quarters), Fraction(onset))
        for figure, (onset, quarters) in zip(key["figures"], key["times"], strict=True)
    )


def _answered(item: Item, answer: Answer) -> tuple[LineNote, ...]:
    """Return the chords that were answered, each as `answered_chord.chord_tokens` writes it, with its time."""
    key, names = item.key, Display.of_key(item.key).theory_names
    full = measure_quarters(key["metre"])
    found: list[LineNote] = []
    for at in range(key["measures"]):
        ((used, value),) = answer[f"measure-{at + 1}"].items()
        tokens = chord_tokens(value, used, names)
        onset = at * full
        for token, quarters in zip(tokens, shared_beats(key["metre"], len(tokens)), strict=True):
            if token == SAME_CHORD:
                found[-1] = LineNote(found[-1].pitch, found[-1].quarters + quarters, found[-1].onset)
            else:
                found.append(LineNote(token, quarters, onset))
            onset += quarters
    return tuple(found)


def _chords(item: Item, answer: Answer) -> Alignment | None:
    if "measure-1" not in answer:
        return None
    return align(_right_chords(item.key), _answered(item, answer), SlipCosts(), chord_difference(item.key["key"]))


def _shown(item: Item) -> Callable[[str], str]:
    """Return how a chord is shown: the numeral asked for, or what was answered."""
    key, style, display = item.key["key"], item.key["style"], Display.of_key(item.key)
    return lambda token: chord_shown(token, key, style, display)


def chord_slip_words(slip: Slip, barring: Barring, shown: Callable[[str], str] | None) -> str:
    """Return one slip of a line of chords in words.

    Examples
    --------
    >>> slip = Slip("pitch", LineNote("V", Fraction(2)), LineNote("IV", Fraction(2)), 1.0)
    >>> chord_slip_words(slip, Barring("4/4", 1), str)
    'at beat 1 it is V, not IV'
    """
    assert shown is not None
    right, given = slip.right, slip.given
    if right is None:
        assert given is not None
        return f"{shown(given.pitch)} at {barring.beat(given.onset)} is one too many"
    beat = barring.beat(right.onset)
    if given is None:
        return f"{shown(right.pitch)} at {beat} is missing"
    if slip.kind == "moved":
        early = "late" if given.onset > right.onset else "early"
        return f"{shown(right.pitch)} comes at {beat}; yours comes too {early}"
    if slip.kind == "length":
        return f"{shown(right.pitch)} at {beat} is held too {'long' if given.quarters > right.quarters else 'short'}"
    return f"at {beat} it is {shown(right.pitch)}, not {shown(given.pitch)}"


def _block_chords(line: Sequence[LineNote], item: Item, timbre: str, tempo: Fraction) -> Excerpt:
    """Return chords in close position, in their times."""
    key = item.key
    full = measure_quarters(key["metre"])
    notes = []
    for one in line:
        chord = chord_of_token(one.pitch, key["key"])
        pitches = tuple(pitch.name for pitch in chord.pitches(_LOWEST))
        notes.append(ExcerptNote(0, int(one.onset // full), one.onset % full, one.quarters, pitches))
    measures = tuple(ExcerptMeasure(str(at + 1), full, key["metre"], key["fifths"]) for at in range(key["measures"]))
    return Excerpt((ExcerptPart("", "treble", timbre=timbre),), measures, tuple(notes), tempo=tempo)


ChordDictation.__doc__ = described(
    ChordDictation.__doc__,
    SETTINGS,
    bass=credit_table(("in the bass line", "score"), (*CREDIT, *PITCH_CREDIT)),
    chords=credit_table(("in the chords", "slips"), ANSWERED_CREDIT),
)
CHORD_DICTATION: Final = ChordDictation()
