"""Exercise family: the bass line, the qualities and the numerals of a progression that is heard."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.aligned_distance import Alignment, SlipCosts, align, line_notes
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.degree_pattern import in_other_key, other_key
from musictheory_nb.practice.display_settings import NAMING, PARTIAL, TIMBRE, Display
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting, credit_table, described
from musictheory_nb.practice.four_part_excerpt import Column, four_part_excerpt
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.key_setting import MAJOR_KEYS, key_named, keys_setting
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.numeral_credit import NUMERAL_CREDIT, NUMERAL_SCORES, numeral_case_of, right_numerals
from musictheory_nb.practice.numeral_pool import in_four_parts
from musictheory_nb.practice.numeral_reading import INPUTS as NUMERAL_INPUTS
from musictheory_nb.practice.numeral_reading import numeral_inputs
from musictheory_nb.practice.numeral_vocabulary import FIGURES, numeral, numeral_shown
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.progression import (
    CADENCE,
    CHORDS,
    LENGTH,
    Progression,
    check_progressions,
    figures_in,
    progression_of,
)
from musictheory_nb.practice.progression_words import (
    QUALITY_CREDIT,
    progression_words,
    quality_of,
    quality_roles,
    quality_score,
)
from musictheory_nb.practice.response import (
    Answer,
    Input,
    KeysInput,
    Response,
    RolesInput,
    StaffInput,
    Step,
    SymbolInput,
)
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.written_note import NOTE_INPUTS, GivenNote, given_notes, letters, staff_row
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.spelling import spell_midi

#: What is asked, each with its share of the score where all are.
ASK: Final = MappingProxyType({"bass": 0.3, "qualities": 0.2, "numerals": 0.5})
#: Quarters of each chord.
_EACH: Final = Fraction(2)
#: Piano keys on which the bass is played: C2 to B4.
_KEYS: Final = (36, 71)
_SPELLING_COST: Final = 0.5
BASS_CREDIT: Final = (
    ("every bass note after the first, in whatever octave", "1"),
    ("a wrong, missing or extra note", "less its share"),
    ("a note that sounds right and is spelled otherwise", "less half its share"),
)

SETTINGS: Final = (
    keys_setting(MAJOR_KEYS, "The keys that come up, in turn."),
    CHORDS,
    LENGTH,
    CADENCE,
    Setting(
        "ask",
        list(ASK),
        "What is asked: the bass line, the quality of each chord, the numeral of each.",
        f"a list of at least one of {', '.join(map(repr, ASK))}",
        several_of(tuple(ASK)),
    ),
    Setting(
        "bass_inputs",
        list(NOTE_INPUTS),
        "How the bass line is answered: on a staff, on piano keys, or in letters.",
        f"a list of at least one of {', '.join(map(repr, NOTE_INPUTS))}",
        several_of(NOTE_INPUTS),
    ),
    Setting(
        "numeral_inputs",
        list(NUMERAL_INPUTS),
        "How numerals are answered: by buttons or by writing them.",
        f"a list of at least one of {', '.join(map(repr, NUMERAL_INPUTS))}",
        several_of(NUMERAL_INPUTS),
    ),
    FIGURES,
    TIMBRE,
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True)
class ProgressionByEar:
    """Progression by ear, version 1.

    A progression for four voices is heard in a key that is told; its first chord is the tonic. The student writes or plays
    the bass line, gives the quality of each chord and its Roman numeral, as asked. Keys come in turn, and each chord of the
    levels comes in some progression before any comes so again; the voices are led without a fault. A student who cannot hear
    it sees it in another key, to be answered in the key that is told.

    Settings::

    {settings}

    Marking: the bass line makes up 0.3, the qualities 0.2 and the numerals 0.5 of the score; where fewer are asked, these
    shares are scaled to 1. The bass line is aligned with the right one, so that a note left out costs one note:

    {bass}

    Each quality, and each numeral, has the same share of its part:

    {quality}

    {credit}

    With ``partial`` False, whatever is below 1 in all counts 0.
    """

    kind: str = "progression-by-ear"
    version: int = 1
    title: str = "Progressions by ear"
    settings: tuple[Setting, ...] = SETTINGS

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings do not go together."""
        check_progressions(settings)

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""
        settings, display = question.settings, Display.of(question.settings)
        case = progression_of(question)
        home, style = display.scale(case.key), settings["figures"]
        shown = tuple(numeral_shown(figure, case.key, style) for figure in case.figures)
        music = _music(case.columns, case.key, settings["timbre"])
        written = _music(case.columns, case.key, settings["timbre"], shown)
        elsewhere = other_key(case.key)
        twin = _music(tuple(_moved(one, case.key) for one in case.columns), elsewhere, settings["timbre"])
        steps = _steps(settings, case, question.draw())
        first = display.note(numeral(case.figures[0], case.key).root.name)
        return Item(
            question.exercise,
            question.index,
            f"Listen to {counted(len(case.figures), 'chord')} in {home}. The first is the tonic, with {first} in the bass.",
            (
                MediaRequest("sound", music, "Hear the progression"),
                MediaRequest("notation", written, f"{', '.join(shown)} in {home}", "answered"),
            ),
            Response(steps),
            {
                "key": case.key,
                "figures": case.figures,
                "columns": case.columns,
                "style": style,
                "timbre": settings["timbre"],
                "partial": settings["partial"],
                **display.key,
            },
            progression_words(case.figures, case.key, display, style),
            {step.id: _solution(step, case, display) for step in steps},
            (MediaRequest("notation", twin, f"The progression in {display.scale(elsewhere)}; answer in {home}"),),
        )

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""
        display, key, style = Display.of_key(item.key), item.key["key"], item.key["style"]
        shares, why = _shares(item, answer), []
        for part, share in shares.items():
            if share == 1.0:
                why.append(f"{_PART_WORDS[part].capitalize()}: right.")
            elif part == "bass":
                found = _bass(item, answer)
                told = ", ".join(display.note(name) for name in _bass_names(item))
                why.append(f"Bass line: {_slips(found, display)}; it goes on {told}.")
            elif part == "qualities":
                wrong = [
                    f"chord {place} is {_article(right)}, not {_article(given)}"
                    for place, (right, given) in enumerate(_qualities(item, answer), start=2)
                    if right != given
                ]
                why.append(f"Qualities: {'; '.join(wrong)}.")
            else:
                wrong = [
                    f"chord {place} is {numeral_shown(right, key, style)}, not {numeral_shown(given, key, style)}"
                    for place, (right, given) in enumerate(_numerals(item, answer), start=2)
                    if numeral_case_of(right, given, key) != "right"
                ]
                why.append(f"Numerals: {'; '.join(wrong)}.")
        if min(shares.values()) == 1.0:
            return Mark(1.0, " ".join(why))
        whole = sum(ASK[part] for part in shares)
        score = sum(ASK[part] * share for part, share in shares.items()) / whole
        return Mark(min(score, 1.0) if item.key["partial"] else 0.0, " ".join(why))

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return the progression and that of the numerals answered, or the bass lines, to be heard one after the other."""
        shares, key = _shares(item, answer), item.key["key"]
        right, answered = (_music(tuple(map(_as_column, item.key["columns"])), key, item.key["timbre"])), None
        if shares.get("numerals", 1.0) < 1.0:
            columns = _answered_columns(item, [given for _, given in _numerals(item, answer)])
            if columns and columns != tuple(map(_as_column, item.key["columns"])):
                answered = _music(columns, key, item.key["timbre"])
        elif shares.get("bass", 1.0) < 1.0:
            line = _bass_pitches(item, answer)
            look = {"clef": "bass", "fifths": key_named(key).fifths, "timbre": item.key["timbre"]}
            right = Excerpt.melody([one[3] for one in item.key["columns"]], **look)
            answered = Excerpt.melody(line, **look)
        if answered is None:
            return ()
        rows = (("Right", right), ("Your answer", answered))
        return tuple(MediaRequest("sound", music, label, "answered") for label, music in rows)

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what was right, what was answered) of the first thing that is wrong; None for a full score."""
        shares, key = _shares(item, answer), item.key["key"]
        if shares.get("numerals", 1.0) < 1.0:
            pairs = _numerals(item, answer)
            right, given = next(pair for pair in pairs if numeral_case_of(*pair, key) != "right")
            return numeral_shown(right, key), numeral_shown(given, key)
        if shares.get("qualities", 1.0) < 1.0:
            return next(pair for pair in _qualities(item, answer) if pair[0] != pair[1])
        if shares.get("bass", 1.0) < 1.0:
            slip, display = _bass(item, answer).slips[0], Display.of_key(item.key)
            pair = tuple("nothing" if one is None else _shown(one.pitch, display) for one in (slip.right, slip.given))
            return (pair[0], pair[1]) if pair[0] != pair[1] else (pair[0], f"{pair[1]}, spelled otherwise")
        return None


_PART_WORDS: Final = {"bass": "bass line", "qualities": "qualities", "numerals": "numerals"}


def _article(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _as_column(row: Sequence[str]) -> Column:
    soprano, alto, tenor, bass = row
    return soprano, alto, tenor, bass


@lru_cache(maxsize=4096)
def _moved(one: Column, key: str) -> Column:
    return _as_column(in_other_key(one, key))


def _music(columns: tuple[Column, ...], key: str, timbre: str, texts: tuple[str, ...] = ()) -> Excerpt:
    return four_part_excerpt(columns, key_named(key).fifths, timbre, _EACH, texts)


def _answered_columns(item: Item, given: Sequence[str]) -> tuple[Column, ...]:
    """Return the progression with what was answered in the place of what it is; empty where that has no four-part setting."""
    key, columns = item.key["key"], [_as_column(one) for one in item.key["columns"]]
    for place, (right, figure) in enumerate(zip(item.key["figures"][1:], given, strict=True), start=1):
        if numeral_case_of(right, figure, key) in ("right", "reading"):
            continue
        settings = in_four_parts(figure, key)
        if not settings:
            return ()
        columns[place] = _as_column(settings[0][::-1])
    return tuple(columns)


def _steps(settings: CompleteSettings, case: Progression, draw: Draw) -> tuple[Step, ...]:
    display, home = Display.of(settings), key_named(case.key)
    later = range(2, len(case.figures) + 1)
    steps: list[Step] = []
    if "bass" in settings["ask"]:
        first, count = case.columns[0][3], len(later)
        made: dict[str, Input] = {
            "staff": StaffInput("bass", home.fifths, pitches_only=True, given=(((first,), "1", False),)),
            "keys": KeysInput(*_KEYS, count, (Pitch(first).chromatic,)),
            "text": SymbolInput("pitches", names=display.theory_names),
        }
        inputs = tuple(made[name] for name in NOTE_INPUTS if name in settings["bass_inputs"])
        shown = display.pitch(first)
        steps.append(Step("bass", f"How does the bass line go on after {shown}? Any octave will do.", inputs))
    asked = figures_in(tuple(settings["levels"]), home.is_minor)
    if "qualities" in settings["ask"]:
        roles = RolesInput(tuple(f"chord {place}" for place in later), quality_roles(asked, case.key))
        steps.append(Step("qualities", "Which quality has each chord after the first?", (roles,)))
    if "numerals" in settings["ask"]:
        for place in later:
            inputs = numeral_inputs(
                settings["numeral_inputs"], settings["figures"], case.figures[place - 1], case.key, asked, draw
            )
            steps.append(Step(f"numeral-{place}", f"Which numeral is chord {place}?", inputs))
    return tuple(steps)


def _solution(step: Step, case: Progression, display: Display) -> dict[str, JSON]:
    """Return what the inputs of a step show as right."""
    if step.id == "bass":
        line = [one[3] for one in case.columns[1:]]
        right: dict[str, JSON] = {
            "staff": [staff_row((name,)) for name in line],
            "keys": [Pitch(name).chromatic for name in line],
            "symbol": [letters([Pitch(name).pitch_name.name for name in line], display)],
        }
    elif step.id == "qualities":
        right = {"roles": [quality_of(figure, case.key) for figure in case.figures[1:]]}
    else:
        figure = case.figures[int(step.id.rpartition("-")[2]) - 1]
        right = {"choice": [figure], "symbol": list(right_numerals(figure, case.key))}
    return {entry.id: right[entry.id] for entry in step.inputs}


def _bass_names(item: Item) -> list[str]:
    return [Pitch(one[3]).pitch_name.name for one in item.key["columns"][1:]]


def _text(note: GivenNote) -> str:
    """Return a bass note to compare: its name, a piano key by its number."""
    return note.name or str(note.chromatic)


def _differs(right: str, given: str) -> float:
    if right == given:
        return 0.0
    is_key = given.lstrip("-").isdigit()
    sound = int(given) % 12 if is_key else PitchName(given).pitch_class
    if sound != PitchName(right).pitch_class:
        return 1.0
    return 0.0 if is_key else _SPELLING_COST


def _bass(item: Item, answer: Answer) -> Alignment:
    given = given_notes(answer["bass"], Display.of_key(item.key))
    lines = (_bass_names(item), [_text(note) for note in given])
    right, told = (line_notes([(name, Fraction(1)) for name in line]) for line in lines)
    return align(right, told, SlipCosts(), _differs)


def _bass_pitches(item: Item, answer: Answer) -> list[str]:
    """Return the bass line that was answered, from the first note on; notes without octave lie near the one before."""
    line = [Pitch(item.key["columns"][0][3])]
    for note in given_notes(answer["bass"], Display.of_key(item.key)):
        pitch = note.pitch
        if pitch is None:
            octaves = range(line[-1].octave - 1, line[-1].octave + 2)
            made = [Pitch.from_name(PitchName(note.name), octave) for octave in octaves]
            pitch = min(made, key=lambda one: abs(one.chromatic - line[-1].chromatic))
        line.append(pitch)
    return [one.name for one in line if 0 <= one.chromatic <= 127]


def _shown(text: str, display: Display) -> str:
    return display.note(spell_midi(int(text)).pitch_name.name if text.lstrip("-").isdigit() else text)


def _slips(found: Alignment, display: Display) -> str:
    told = []
    for slip in found.slips:
        if slip.right is None:
            assert slip.given is not None
            told.append(f"{_shown(slip.given.pitch, display)} is one too many")
            continue
        chord, right = int(slip.right.onset) + 2, _shown(slip.right.pitch, display)
        if slip.given is None:
            told.append(f"{right} of chord {chord} is missing")
        elif slip.kind == "spelling":
            told.append(f"chord {chord} sounds right, but its bass is spelled {right}")
        else:
            told.append(f"chord {chord} has {right} in the bass, not {_shown(slip.given.pitch, display)}")
    return "; ".join(told)


def _qualities(item: Item, answer: Answer) -> list[tuple[str, str]]:
    right = [quality_of(figure, item.key["key"]) for figure in item.key["figures"][1:]]
    return list(zip(right, answer["qualities"]["roles"], strict=True))


def _numerals(item: Item, answer: Answer) -> list[tuple[str, str]]:
    """Return (right, answered) of each chord after the first."""
    found = []
    for place, figure in enumerate(item.key["figures"][1:], start=2):
        ((_, value),) = answer[f"numeral-{place}"].items()
        found.append((figure, numeral(value, item.key["key"]).figure))
    return found


def _shares(item: Item, answer: Answer) -> dict[str, float]:
    """Return the score of each part that was asked."""
    count, key = len(item.key["figures"]) - 1, item.key["key"]
    shares = {}
    if "bass" in answer:
        shares["bass"] = _bass(item, answer).score(count)
    if "qualities" in answer:
        shares["qualities"] = sum(quality_score(*pair) for pair in _qualities(item, answer)) / count
    if any(step.startswith("numeral-") for step in answer):
        cases = [numeral_case_of(*pair, key) for pair in _numerals(item, answer)]
        shares["numerals"] = sum(NUMERAL_SCORES[case] for case in cases) / count
    return shares


ProgressionByEar.__doc__ = described(
    ProgressionByEar.__doc__,
    SETTINGS,
    bass=credit_table(("bass line", "score"), BASS_CREDIT),
    quality=credit_table(("quality", "score"), QUALITY_CREDIT),
    credit=credit_table(("numeral", "score"), [row[1:] for row in NUMERAL_CREDIT]),
)
PROGRESSION_BY_EAR: Final = ProgressionByEar()
