"""What a teacher sets of an exercise on the scale of a passage, and the passages that students meet."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.display_settings import NAMING, PARTIAL
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.passage_scale import kinds_that_fit, passage_amounts, scale_share
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.scale_pool import read_scale_case
from musictheory_nb.practice.scale_vocabulary import kind_shown, scales_setting
from musictheory_nb.practice.section_evidence import span_words
from musictheory_nb.practice.setting_check import one_of, one_or_several_names, several_of, whole_number
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale_catalogue import scale_type

#: What is given: the passage to be heard, to be seen, or both.
GIVEN: Final = ("sound", "notation")
#: How the student comes to know the tonic: by name, by name and as a drone, or not at all.
TONIC: Final = ("told", "drone", "asked")
#: How the scale may be named: by buttons, or in letters.
INPUTS: Final = ("buttons", "text")
#: A scale to which less of a passage belongs is not taken for its scale where another fits better.
LEAST_SHARE: Final = 0.8


def _is_row(row: JSON) -> bool:
    return (
        isinstance(row, list)
        and len(row) == 3
        and all(type(one) is int or (isinstance(one, str) and bool(one.strip())) for one in row[:2])
        and isinstance(row[2], str)
        and read_scale_case(row[2]) is not None
    )


def _are_rows(value: JSON) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_row, value))


def _are_passages(value: JSON) -> bool:
    return isinstance(value, list) and bool(value) and (_are_rows(value) or all(map(_are_rows, value)))


SETTINGS: Final = (
    Setting(
        "excerpt",
        None,
        "The piece, or several pieces.",
        "the name of an excerpt frozen into the lesson, or a list of different names",
        one_or_several_names,
    ),
    Setting(
        "passages",
        None,
        "The passages and their scales, as they sound: first and last printed measure number, and the scale.",
        "a list of rows [first, last, scale], as [['1', '8', 'D Dorian']]; for several excerpts a list of such lists",
        _are_passages,
    ),
    scales_setting("The scales to choose from, beside those of the passages."),
    Setting(
        "length",
        0,
        "How many measures of a passage are given, its telling notes among them; 0 is the whole passage.",
        "a whole number from 0 to 64",
        whole_number(0, 64),
    ),
    Setting(
        "given",
        list(GIVEN),
        "Whether the passage is heard, seen, or both.",
        f"a list of at least one of {', '.join(map(repr, GIVEN))}",
        several_of(GIVEN),
    ),
    Setting(
        "tonic",
        "told",
        "Whether the tonic is told, told and held as a drone below the passage, or asked for with the scale.",
        ", ".join(map(repr, TONIC)),
        one_of(TONIC),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by buttons, or by writing tonic and name, as D Dorian.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    PARTIAL,
    *NAMING,
)


@dataclass(frozen=True, slots=True)
class ScalePassage:
    """Measures of an excerpt (indices, both included), their scale, and kinds that cannot be told from it there."""

    excerpt: str
    first: int
    last: int
    tonic: str
    kind: str
    also: tuple[str, ...]


def rows_of(settings: CompleteSettings) -> list[tuple[str, list[list[JSON]]]]:
    """Return each excerpt's name with its rows [first, last, scale]."""
    names, passages = settings["excerpt"], settings["passages"]
    return [(names, passages)] if isinstance(names, str) else list(zip(names, passages, strict=True))


def check_passages(settings: CompleteSettings) -> None:
    """Raise unless complete settings give one list of passages for each excerpt, and something to choose from.

    Raises
    ------
    ExerciseError
        They do not.
    """
    names, passages = settings["excerpt"], settings["passages"]
    one = _are_rows(passages)
    if isinstance(names, str) and not one:
        raise ExerciseError("passages: there is one excerpt; write one list of rows, as [['1', '8', 'D Dorian']]")
    if not isinstance(names, str) and (one or len(passages) != len(names)):
        given = 1 if one else len(passages)
        raise ExerciseError(
            f"passages: {len(names)} excerpts and {given} lists of passages; write one list for each excerpt"
        )
    if settings["tonic"] == "asked" and settings["length"]:
        raise ExerciseError("tonic 'asked': the whole passage shows its tonic; write length 0")
    if settings["tonic"] == "drone" and "sound" not in settings["given"]:
        raise ExerciseError("tonic 'drone': a drone is heard; write given ['sound'] or ['sound', 'notation']")
    if "buttons" in settings["inputs"] and len(kinds_offered(settings)) < 2:
        raise ExerciseError(
            f"scales {settings['scales']}: give at least two with those of the passages, so that there is something to "
            "choose"
        )


@lru_cache(maxsize=256)
def kinds_offered(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the kinds to choose from: those of the setting and those of the passages, each once."""
    own = [case[1] for _, rows in rows_of(settings) for row in rows if (case := read_scale_case(row[2]))]
    found = {scale_type(kind): kind for kind in reversed([*settings["scales"], *own])}
    return tuple(reversed(found.values()))


def passage_of(question: Question) -> tuple[Excerpt, ScalePassage]:
    """Return the passage of an item and its excerpt: passages in rounds, no measures again before all of a passage."""
    names = [name for name, _ in rows_of(question.settings)]
    excerpts = tuple(question.excerpt(name) for name in names)
    order = _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        excerpts,
        question.settings,
    )
    chosen = order[question.index]
    return excerpts[names.index(chosen.excerpt)], chosen


@lru_cache(maxsize=512)
def _order(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    excerpts: tuple[Excerpt, ...],
    settings: CompleteSettings,
) -> tuple[ScalePassage, ...]:
    pools = _pools(exercise, excerpts, settings)
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    likes = [(pool[0].tonic, pool[0].kind) for pool in pools]
    order = order_without_repeats(draw, likes, [len(pool) for pool in pools], count)
    return tuple(pools[passage][at] for passage, at in order)


@lru_cache(maxsize=128)
def _pools(
    exercise: str, excerpts: tuple[Excerpt, ...], settings: CompleteSettings
) -> tuple[tuple[ScalePassage, ...], ...]:
    """Return for each passage of the teacher's list the stretches of it that may be asked about."""
    found = []
    for excerpt, (name, rows) in zip(excerpts, rows_of(settings), strict=True):
        for row in rows:
            case = read_scale_case(row[2])
            assert case is not None  # the setting was checked
            first, last = excerpt.measure_index(str(row[0])), _last_index(excerpt, str(row[1]))
            if last < first:
                raise ExerciseError(f"exercise {exercise!r}: passage {row}: its last measure comes before its first")
            whole = _passage(exercise, excerpt, name, (first, last), case, settings)
            found.append(_stretches(exercise, excerpt, whole, settings))
    return tuple(found)


def _last_index(excerpt: Excerpt, number: str) -> int:
    """Return the index of the last measure that is printed with `number`: a measure parted by a barline has two."""
    found = excerpt.measure_index(number)
    while found + 1 < len(excerpt.measures) and excerpt.measures[found + 1].number == number:
        found += 1
    return found


def _passage(
    exercise: str,
    excerpt: Excerpt,
    name: str,
    span: tuple[int, int],
    case: tuple[str, str],
    settings: CompleteSettings,
) -> ScalePassage:
    amounts, (tonic, kind) = passage_amounts(excerpt, *span), case
    where = f"exercise {exercise!r}: {span_words(excerpt, *span)} of {name!r}"
    if not any(amounts):
        raise ExerciseError(f"{where}: nothing sounds there")
    kinds = kinds_offered(settings)
    share = scale_share(amounts, tonic, kind)
    best = max(kinds, key=lambda one: scale_share(amounts, tonic, one))
    if share < LEAST_SHARE and scale_share(amounts, tonic, best) > share:
        shown = PitchName(tonic).display
        raise ExerciseError(
            f"{where}: only {float(share):.0%} of what sounds belongs to {shown} {kind_shown(kind)}; {shown} "
            f"{kind_shown(best)} fits better"
        )
    fitting = kinds_that_fit(amounts, tonic, kind, kinds)
    if "buttons" in settings["inputs"] and settings["tonic"] != "asked" and len(fitting) == len(kinds):
        raise ExerciseError(f"{where}: every scale offered fits it; offer others, too")
    return ScalePassage(name, *span, tonic, kind, fitting[1:])


def _stretches(
    exercise: str, excerpt: Excerpt, whole: ScalePassage, settings: CompleteSettings
) -> tuple[ScalePassage, ...]:
    """Return what may be given of a passage: stretches that tell its scale as well as the whole, its tonic in them."""
    length = settings["length"]
    if not length or length > whole.last - whole.first:
        return (whole,)
    found = []
    for first in range(whole.first, whole.last - length + 2):
        span = first, first + length - 1
        amounts = passage_amounts(excerpt, *span)
        if not amounts[PitchName(whole.tonic).pitch_class]:
            continue
        if scale_share(amounts, whole.tonic, whole.kind) < LEAST_SHARE:
            continue
        fitting = kinds_that_fit(amounts, whole.tonic, whole.kind, kinds_offered(settings))
        if set(fitting) == {whole.kind, *whole.also}:
            found.append(ScalePassage(whole.excerpt, *span, whole.tonic, whole.kind, whole.also))
    return tuple(found) or (whole,)
