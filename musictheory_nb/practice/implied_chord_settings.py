"""What a teacher sets of an exercise on the chord that a line suggests, and the lines that students meet."""

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_pool import read_case
from musictheory_nb.practice.chord_progression import Progression
from musictheory_nb.practice.chord_vocabulary import (
    QUALITY_NAMES,
    SEVENTHS,
    TRIADS,
    degrees_of,
    plain_roots,
    qualities_setting,
    tone_names,
)
from musictheory_nb.practice.display_settings import (
    AUTO,
    CLEF,
    ENHARMONIC,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
)
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.embellished_line import LineNote
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord
from musictheory_nb.practice.family import CompleteSettings, Setting
from musictheory_nb.practice.implied_line import MOST_TONES, TEXTURES, implied_line
from musictheory_nb.practice.line_over_chords import at_concert_pitch, line_excerpt, written_line
from musictheory_nb.practice.passage_scale import passage_amounts
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.staff_register import HIGH, LOW, Register, register, register_of
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch_name import PitchName

#: How the chord is named: by its symbol, or root and quality one after the other.
ANSWERS: Final = ("symbol", "parts")
#: What is given: the line to be heard, to be seen, or both.
GIVEN: Final = ("sound", "notation")
#: So many lines of each kind are drawn on each chord before one comes again.
LINES: Final = 3
_ALLOWED_ITEMS: Final = (
    "a list of rows [chord symbol, line], bars between strokes, as [['Dm7', 'D3 F3 A3 C4 | B3 A3 F3 E3']], 1, 2, 4 or 8 "
    "notes a bar, or []"
)


def _is_item(row: JSON) -> bool:
    if not isinstance(row, list) or len(row) != 2 or not all(isinstance(one, str) for one in row):
        return False
    case = read_case(row[0])
    return case is not None and case[2] == 0 and bool(own_line(*row)[1])


def _are_items(value: JSON) -> bool:
    return isinstance(value, list) and all(map(_is_item, value))


def _is_passage(row: JSON) -> bool:
    return (
        isinstance(row, list)
        and len(row) == 3
        and all(type(one) is int or (isinstance(one, str) and bool(one.strip())) for one in row[:2])
        and isinstance(row[2], str)
        and (case := read_case(row[2])) is not None
        and case[2] == 0
    )


@lru_cache(maxsize=1024)
def own_line(symbol: str, text: str) -> tuple[Progression, tuple[LineNote, ...]]:
    """Return a teacher's line with its chord in each of its bars; no notes where the line cannot be read.

    Examples
    --------
    >>> progression, line = own_line("Dm7", "D3 F3 A3 C4 | D3")
    >>> progression.chords, len(line)
    (('Dm7', 'Dm7'), 5)
    """
    bars = len(text.strip().strip("|").split("|"))
    case = read_case(symbol)
    assert case is not None
    mode = "minor" if "b3" in degrees_of(case[1]) and "3" not in degrees_of(case[1]) else "major"
    progression = Progression(f"{case[0]} {mode}", ((Chord(symbol).symbol,),) * bars)
    return progression, written_line(progression, text)


SETTINGS: Final = (
    qualities_setting(
        (*TRIADS, *SEVENTHS), f"The qualities that are asked for, of at most {MOST_TONES} tones; with ``parts`` they are the "
        "answers to choose from."
    ),
    Setting(
        "textures",
        list(TEXTURES),
        "What the lines are like.",
        f"a list of at least one of {', '.join(map(repr, TEXTURES))}",
        several_of(tuple(TEXTURES)),
    ),
    Setting("items", [], "Lines of your own, in place of those drawn by rule.", _ALLOWED_ITEMS, _are_items),
    Setting(
        "excerpt",
        "",
        "A piece, whose `passages` take the place of lines drawn by rule.",
        "the name of an excerpt frozen into the lesson, or ''",
        lambda value: isinstance(value, str),
    ),
    Setting(
        "passages",
        [],
        "Passages of the piece that suggest one chord, as they sound.",
        "a list of rows [first measure number, last, chord symbol], as [['1', '1', 'C'], ['2', '2', 'Dm7']], or []",
        lambda value: isinstance(value, list) and all(map(_is_passage, value)),
    ),
    Setting(
        "answer",
        "symbol",
        "Whether the symbol is written, or root and quality are chosen.",
        ", ".join(map(repr, ANSWERS)),
        one_of(ANSWERS),
    ),
    Setting(
        "given",
        list(GIVEN),
        "Whether the line is heard, seen, or both. Where it is only heard, its first note is told.",
        f"a list of at least one of {', '.join(map(repr, GIVEN))}",
        several_of(GIVEN),
    ),
    ENHARMONIC,
    LOW,
    HIGH,
    CLEF,
    TRANSPOSITION,
    TIMBRE,
    PARTIAL,
    *NAMING,
)  # fmt: skip


@lru_cache(maxsize=256)
def qualities_offered(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the qualities that can come up: those of the setting, and those of the teacher's lines and passages."""
    symbols = [row[0] for row in settings["items"]] + [row[2] for row in settings["passages"]]
    own = [case[1] for symbol in symbols if (case := read_case(symbol))]
    return tuple(dict.fromkeys([*settings["qualities"], *own]))


def place_of(settings: CompleteSettings, texture: str) -> Register:
    """Return clef and register: a walking bass stands in the bass clef where nothing else is set."""
    is_free = (
        settings["clef"] == AUTO and not settings["transposition"] and not settings["low"] and not settings["high"]
    )
    return register_of("bass", "", "", "") if texture == "walking bass" and is_free else register(settings)


@lru_cache(maxsize=256)
def line_cases(settings: CompleteSettings) -> tuple[tuple[tuple[str, str, int], ...], ...]:
    """Return for each quality (texture, root, number) of the lines that can be drawn."""
    found = []
    for quality in settings["qualities"]:
        lines = [
            (texture, root, number)
            for texture in settings["textures"]
            for root in plain_roots(quality)
            for number in range(LINES)
            if (place := place_of(settings, texture)).high_midi - place.low_midi >= 12
            and implied_line(root, quality, texture, place.low_midi, place.high_midi, number) is not None
        ]
        if not lines:
            raise ExerciseError(
                f"low and high: no line on a {QUALITY_NAMES[quality]} fits between them; widen the register, or leave out "
                f"{quality!r}"
            )
        found.append(tuple(lines))
    return tuple(found)


@lru_cache(maxsize=1024)
def line_order(
    lesson: str, exercise: str, version: int, seed: int, count: int, settings: CompleteSettings
) -> tuple[tuple[int, int], ...]:
    """Return (which quality, line or passage of the teacher's, which line of it) for each item of the exercise."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    own = settings["passages"] or settings["items"]
    sizes = [1] * len(own) or [len(lines) for lines in line_cases(settings)]
    return order_without_repeats(draw, list(range(len(sizes))), sizes, count)


def check_lines(settings: CompleteSettings) -> None:
    """Raise unless complete settings make lines, and something to choose from.

    Raises
    ------
    ExerciseError
        They do not.
    """
    wide = [one for one in settings["qualities"] if len(degrees_of(one)) > MOST_TONES]
    if wide:
        raise ExerciseError(f"qualities {wide}: a line shows at most {MOST_TONES} tones; leave them out")
    if settings["answer"] == "parts" and len(qualities_offered(settings)) < 2:
        raise ExerciseError(
            f"qualities {settings['qualities']}: give at least two, so that there is something to choose"
        )
    if bool(settings["excerpt"]) != bool(settings["passages"]):
        raise ExerciseError("passages: they are those of an excerpt; write both, or neither")
    if settings["excerpt"] and settings["items"]:
        raise ExerciseError("items: there is an excerpt, too; leave one of them out")
    if not settings["items"] and not settings["passages"]:
        line_cases(settings)


@dataclass(frozen=True, slots=True)
class ChordLine:
    """A line and the chord that it suggests: the music with the chord's symbol, the key for its scale, what it is called."""

    music: Excerpt
    root: str
    quality: str
    key: str
    texture: str

    @property
    def alone(self) -> Excerpt:
        """The line without the symbol."""
        return replace(self.music, chords=())


@lru_cache(maxsize=8192)
def chord_line(settings: CompleteSettings, which: int, number: int, piece: Excerpt | None) -> ChordLine:
    """Return the line of an item.

    Raises
    ------
    ExerciseError
        A passage is not in the piece, or does not have the notes of its chord.
    """
    if piece is not None:
        return _passage(piece, *settings["passages"][which])
    if settings["items"]:
        symbol, text = settings["items"][which]
        case = read_case(symbol)
        assert case is not None  # the setting was checked
        (root, quality, _), (progression, line), texture = case, own_line(symbol, text), "line"
        place = register(settings)
    else:
        quality = settings["qualities"][which]
        texture, root, variant = line_cases(settings)[which][number]
        place = place_of(settings, texture)
        drawn = implied_line(root, quality, texture, place.low_midi, place.high_midi, variant)
        assert drawn is not None  # only lines that there are have been counted
        progression, line = drawn
    made = line_excerpt(progression, line, place.clef, settings["timbre"], Display.of(settings).part_shift)
    plain = tuple(replace(measure, fifths=0) for measure in made.measures)  # a signature would tell the root
    return ChordLine(replace(made, chords=made.chords[:1], measures=plain), root, quality, progression.key, texture)


def _passage(piece: Excerpt, first: JSON, last: JSON, symbol: str) -> ChordLine:
    """Return measures of a piece, transposing parts as they sound."""
    begin, end = piece.measure_index(str(first)), piece.measure_index(str(last))
    if end < begin:
        raise ExerciseError(f"passages [{first!r}, {last!r}]: the last measure comes before the first")
    cut = at_concert_pitch(piece.cut(begin, end))
    case = read_case(symbol)
    assert case is not None  # the setting was checked
    tones = {PitchName(name).pitch_class for name in tone_names(case[0], case[1])}
    amounts = passage_amounts(cut, 0, end - begin)
    if not amounts[PitchName(case[0]).pitch_class]:
        raise ExerciseError(f"passages [{first!r}, {last!r}]: the root of {symbol} does not sound there")
    if 2 * sum(amounts[one] for one in tones) < sum(amounts):
        raise ExerciseError(f"passages [{first!r}, {last!r}]: most of what sounds there does not belong to {symbol}")
    music = replace(cut, chords=(ExcerptChord(0, Fraction(0), Chord(symbol).symbol),))
    return ChordLine(music, case[0], case[1], "", "passage")
