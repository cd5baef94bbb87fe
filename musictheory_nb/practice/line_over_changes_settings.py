"""What a teacher sets of a line over changes, and which changes its items get."""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, InstrumentError, TheoryError
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.practice.chord_changes import ChordChanges, changes_of_excerpt, read_changes
from musictheory_nb.practice.dictation_settings import TEMPO, quarters_a_minute
from musictheory_nb.practice.display_settings import (
    CLEF,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
    transposition_of,
)
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.key_setting import MOST_SIGNATURE, read_key
from musictheory_nb.practice.line_criteria import APPROACHES, CRITERIA, STRONG, LineCriteria
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.rhythm_figure import METRES
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale

#: How a line may be answered.
INPUTS: Final = ("staff", "keys")
#: Changes that are usual: two, five, one in major and minor; a turnaround; a chain of fifths.
USUAL: Final = (
    "Dm7 | G7 | Cmaj7 | %",
    "Gm7 | C7 | Fmaj7 | %",
    "Am7b5 | D7 | Gm6 | %",
    "Ebmaj7 Cm7 | Fm7 Bb7 | Ebmaj7 Cm7 | Fm7 Bb7",
    "Am7 D7 | Gmaj7 Cmaj7 | F#m7b5 B7 | Em7",
)


def _are_texts(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(one, str) and one.strip() for one in value)
        and len(set(value)) == len(value)
    )


def _are_intervals(value: JSON) -> bool:
    if not isinstance(value, list) or not value or not all(isinstance(one, str) for one in value):
        return False
    try:
        found = [Interval(one).semitones for one in value]
    except TheoryError:
        return False
    return all(abs(one) <= 12 for one in found) and len(set(value)) == len(value)


def _is_key(value: JSON) -> bool:
    return value == "" or (isinstance(value, str) and read_key(value) is not None)


def _are_scales(value: JSON) -> bool:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        return False
    try:
        return all(Scale(one) for one in value)
    except TheoryError:
        return False


def _is_text(value: JSON) -> bool:
    return isinstance(value, str)


_CRITERIA: Final = "; ".join(f"{name!r}: {words}" for name, words in CRITERIA.items())
_STRONG: Final = "; ".join(f"{name!r}: {words}" for name, words in STRONG.items())

SETTINGS: Final = (
    Setting(
        "changes",
        list(USUAL),
        "The chords, as they sound, each text once before any comes again: | between measures, the chords of a measure "
        "share its beats, / for a beat on which the chord stays, % for the measure before once more.",
        "a list of different texts of 2 to 8 measures, as ['Dm7 | G7 / / Db7 | Cmaj7 | %']",
        _are_texts,
    ),
    Setting(
        "excerpt",
        "",
        "A piece whose chord symbols are taken, as they sound, in the place of ``changes``.",
        "the name of an excerpt frozen into the lesson, or '' for none",
        _is_text,
    ),
    Setting("first", "", "The first measure of the piece, by its printed number.", "a text, as '9'", _is_text),
    Setting("last", "", "The last measure of the piece, by its printed number.", "a text, as '12'", _is_text),
    Setting(
        "up",
        ["P1"],
        "By which intervals the changes are moved; each comes once before any comes again.",
        "a list of different intervals within an octave, as ['P1', 'P4', '-M2']",
        _are_intervals,
    ),
    Setting("metre", "4/4", "The metre of ``changes``.", f"one of {', '.join(METRES)}", one_of(METRES)),
    Setting(
        "key",
        "",
        "The key of the changes: its signature stands on the staff, and the scale of each chord is taken from it.",
        "a major or minor key, as 'Eb major', or '' for none",
        _is_key,
    ),
    Setting(
        "criteria",
        ["chord tones", "scale", "approach", "range", "complete"],
        f"What the line is checked for. {_CRITERIA}.",
        f"a list of at least one of {', '.join(map(repr, CRITERIA))}",
        several_of(tuple(CRITERIA)),
    ),
    Setting(
        "strong", "strong beats", f"Where chord tones are asked for. {_STRONG}.", ", ".join(map(repr, STRONG)),
        one_of(tuple(STRONG)),
    ),
    Setting(
        "approach_by", "step", "How a new chord is approached: by a half step, or by a half or whole step.",
        ", ".join(map(repr, APPROACHES)), one_of(tuple(APPROACHES)),
    ),
    Setting(
        "scales",
        [],
        "The scales that are stated, as they sound; none for those that are taught with each chord.",
        "a list of one scale for all, or of one for each chord in its order, as ['D Dorian', 'G altered', 'C major'], or []",
        _are_scales,
    ),
    Setting(
        "inputs",
        ["staff", "keys"],
        "How it is answered: written on a staff; or, a note for each beat, played on piano keys, or on the fingerboard that "
        "``fingerboard`` sets beside them.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    TEMPO,
    PARTIAL,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    *NAMING,
)  # fmt: skip


@lru_cache(maxsize=256)
def string_instrument(transposition: str) -> Instrument | None:
    """Return the string instrument that a transposition names; None where it names none.

    Examples
    --------
    >>> string_instrument("bass guitar").name, string_instrument("flute"), string_instrument("Bb3")
    ('bass guitar', None, None)
    """
    if not transposition or transposition[-1].isdigit():
        return None
    try:
        found = Instrument(transposition)
    except InstrumentError:
        return None
    return found if found.has_strings else None


def check_line_settings(settings: CompleteSettings) -> None:
    """Raise unless complete settings of a line over changes go together.

    Raises
    ------
    ExerciseError
        Changes that cannot be read or moved; a criterion that needs a string instrument; scales that are
        not one for each chord; a piece without its measures.
    """
    if settings["excerpt"]:
        if not settings["first"] or not settings["last"]:
            raise ExerciseError(
                "first and last: give the printed numbers of the measures of the piece, as '9' and '12'"
            )
    else:
        read = [read_changes(text, settings["metre"]) for text in settings["changes"]]
        for changes in read:
            _check_scales(settings, changes)
            for interval in settings["up"]:
                _, by, _ = as_written(changes, interval, settings["transposition"], settings["key"])
                _written_scales(settings, len(changes.spans), by)
    if "playable" in settings["criteria"] and string_instrument(settings["transposition"]) is None:
        raise ExerciseError("criteria 'playable': it needs a string instrument in transposition, such as 'bass guitar'")


def _check_scales(settings: CompleteSettings, changes: ChordChanges) -> None:
    given, chords = len(settings["scales"]), len(changes.spans)
    if given > 1 and given != chords:
        raise ExerciseError(
            f"scales: {given} for {chords} chords; write one for all, or one for each chord in its order"
        )


def to_written(transposition: str) -> Interval:
    """Return the interval from sounding chords to those of the student's part, within an octave.

    Examples
    --------
    >>> to_written("Bb3"), to_written("double bass"), to_written("alto saxophone")
    (Interval('M2'), Interval('P1'), Interval('M6'))
    """
    by = -transposition_of(transposition).interval
    steps, semitones = by.steps % 7, by.semitones - 12 * ((by.steps - by.steps % 7) // 7)
    return Interval.from_steps(steps, semitones)


@lru_cache(maxsize=1024)
def as_written(
    changes: ChordChanges, interval: str, transposition: str, key: str
) -> tuple[ChordChanges, Interval, str]:
    """Return sounding changes, moved by an interval, as the student's part has them; how far they moved; their key.

    Of intervals that sound alike that one is taken which needs the fewest accidentals.

    Raises
    ------
    ExerciseError
        A chord would need too many accidentals.

    Examples
    --------
    >>> found = as_written(read_changes("Dm7 | G7", "4/4"), "A4", "Bb3", "C major")
    >>> [span.symbol for span in found[0].spans], found[2]
    (['Bbm7', 'Eb7'], 'Ab major')
    """
    by = Interval(interval) + to_written(transposition)
    found = []
    for steps in (by.steps, by.steps - 1, by.steps + 1):
        try:
            alike = Interval.from_steps(steps, by.semitones)
            moved, home = changes.moved(alike), _moved_key(key, alike)
        except TheoryError:
            continue
        alters = [abs(name.alter) for span in moved.spans for name in span.chord.pitch_names]
        if max(alters) <= 2 and (not home or abs(Key(home).fifths) <= MOST_SIGNATURE):
            found.append((sum(alters), abs(steps - by.steps), moved, alike, home))
    if not found:
        raise ExerciseError(f"up {interval!r}: the chords would need three accidentals; take another interval")
    _, _, moved, alike, home = min(found, key=lambda one: one[:2])
    return moved, alike, home


def _moved_key(key: str, interval: Interval) -> str:
    if not key:
        return ""
    home = Key(key)
    return Key.of(Pitch.from_name(home.tonic, 4).up(interval).pitch_name, home.mode).name


def _written_scales(settings: Mapping[str, JSON], chords: int, by: Interval) -> tuple[str, ...]:
    """Return the stated scales as written, one for each chord."""
    try:
        given = tuple(Scale(one).on(Scale(one).pitch_names[0].up(by)).name for one in settings["scales"])
    except TheoryError as error:
        raise ExerciseError(f"scales: {error}") from None
    return given * chords if len(given) == 1 else given


def line_case(question: Question, place: Register) -> tuple[ChordChanges, LineCriteria, str]:
    """Return the changes of an item as written, its criteria, and its written key (empty for none).

    Raises
    ------
    ExerciseError
        The piece has no such measures, or no chords in them.
    """
    settings, display = question.settings, Display.of(question.settings)
    if settings["excerpt"]:
        sources = [changes_of_excerpt(question.excerpt(), settings["first"], settings["last"])]
    else:
        sources = [read_changes(text, settings["metre"]) for text in settings["changes"]]
    cases = tuple((at, interval) for at in range(len(sources)) for interval in settings["up"])
    which, interval = cases[turn_of(question, cases)]
    changes, by, key = as_written(sources[which], interval, settings["transposition"], settings["key"])
    _check_scales(settings, changes)
    instrument = string_instrument(settings["transposition"])
    criteria = LineCriteria(
        tuple(name for name in CRITERIA if name in settings["criteria"]),
        settings["strong"],
        settings["approach_by"],
        _written_scales(settings, len(changes.spans), by),
        key,
        place.low_midi,
        place.high_midi,
        instrument.name if instrument else "",
        display.part_shift[0],
        Fraction(quarters_a_minute(changes.metre, settings["tempo"])),
    )
    return changes, criteria, key
