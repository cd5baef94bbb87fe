"""Scales to hear, read and write: drawn by rule or listed by the teacher, each once before any comes again."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.scale_vocabulary import is_kind, kind_shown, plain_tonics, scale_line, scale_on
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import scale_type

_ALLOWED: Final = "a list of different scales, as ['D Dorian', 'F# harmonic minor'], or [] for scales drawn by rule"
#: Notes a minute of a scale that is played.
TEMPO: Final = 120


@dataclass(frozen=True, slots=True)
class ScaleCase:
    """A scale as it is asked: tonic, kind, and its written pitches in the order in which they come."""

    tonic: str
    kind: str
    pitches: tuple[str, ...]


@lru_cache(maxsize=1024)
def read_scale_case(text: str) -> tuple[str, str] | None:
    """Return tonic and kind of a scale; None where it is no scale of the catalogue.

    Examples
    --------
    >>> read_scale_case("d dorian"), read_scale_case("Bb Aeolian"), read_scale_case("C minor")
    (('D', 'Dorian'), ('Bb', 'Aeolian'), None)
    """
    try:
        scale = Scale(text)
    except TheoryError:
        return None
    kind = scale.called if is_kind(scale.called) else scale.type.name
    if not is_kind(kind) or scale_type(kind) != scale.type:
        return None
    return scale.tonic.name, kind


def _are_scales(value: JSON) -> bool:
    if not isinstance(value, list) or not all(
        isinstance(one, str) and read_scale_case(one) is not None for one in value
    ):
        return False
    found = [read_scale_case(one) for one in value]
    return len({(case[0], scale_type(case[1])) for case in found if case}) == len(value)


def items_setting(meaning: str) -> Setting:
    """Return the setting of a teacher's own scales."""
    return Setting("items", [], f"Scales of your own, in place of those drawn by rule{meaning}.", _ALLOWED, _are_scales)


@lru_cache(maxsize=256)
def kinds_asked(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the kinds that can come up: those of the setting, and those of the teacher's list, each once."""
    own = [case[1] for text in settings["items"] if (case := read_scale_case(text))]
    found = {scale_type(kind): kind for kind in reversed([*settings["scales"], *own])}
    return tuple(reversed(found.values()))


@lru_cache(maxsize=256)
def _pools(settings: CompleteSettings, register: Register, each_tonic_once: bool) -> tuple[tuple[ScaleCase, ...], ...]:
    """Return the cases of each kind, or of each scale of the teacher's list."""
    wanted: list[tuple[str, tuple[str, ...]]]
    if settings["items"]:
        wanted = [(kind, (tonic,)) for tonic, kind in filter(None, map(read_scale_case, settings["items"]))]
    else:
        wanted = [(kind, tuple(settings["tonics"]) or plain_tonics(kind)) for kind in settings["scales"]]
    found = []
    for kind, tonics in wanted:
        cases: list[ScaleCase] = []
        for tonic in tonics:
            placed = _placed(tonic, kind, settings["direction"], register)
            cases += placed[len(placed) // 2 :][:1] if each_tonic_once else placed
        if not cases:
            raise ExerciseError(
                f"low and high in the {register.clef} clef: no {kind_shown(kind)} scale fits between them; widen the "
                f"register, or leave out {kind!r}"
            )
        found.append(tuple(cases))
    return tuple(found)


def _placed(tonic: str, kind: str, direction: str, register: Register) -> list[ScaleCase]:
    try:
        scale_on(tonic, kind)
    except TheoryError as error:
        raise ExerciseError(f"tonics {tonic!r}: {error}") from None
    found = []
    for octave in range(register.low_midi // 12 - 2, register.high_midi // 12 + 1):
        low = Pitch(f"{tonic}{octave}").chromatic
        if register.low_midi <= low and low + 12 <= register.high_midi:
            found.append(ScaleCase(tonic, kind, scale_line(tonic, kind, octave, direction)))
    return found


def check_scales_fit(settings: CompleteSettings, register: Register) -> None:
    """Raise unless every scale that can be asked for fits into the register.

    Raises
    ------
    ExerciseError
        One does not; the message says which.
    """
    _pools(settings, register, False)


@lru_cache(maxsize=2048)
def _order(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    settings: CompleteSettings,
    register: Register,
    each_tonic_once: bool,
) -> tuple[ScaleCase, ...]:
    pools = _pools(settings, register, each_tonic_once)
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    likes = [pool[0].kind if len(settings["scales"]) > 1 else at for at, pool in enumerate(pools)]
    order = order_without_repeats(draw, likes, [len(pool) for pool in pools], count)
    return tuple(pools[kind][at] for kind, at in order)


def scale_case(question: Question, register: Register, *, each_tonic_once: bool = False) -> ScaleCase:
    """Return the scale of an item; with `each_tonic_once` an octave is no difference, as where the question is a name."""
    return _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        question.settings,
        register,
        each_tonic_once,
    )[question.index]


@lru_cache(maxsize=4096)
def scale_excerpt(
    pitches: tuple[str, ...], clef: str, timbre: str, shift: tuple[int, int] = (0, 0), fifths: int = 0
) -> Excerpt:
    """Return a scale in quarter notes of 4/4, its last note filling the measure.

    Examples
    --------
    >>> [str(note.duration) for note in scale_excerpt(("C4", "D4", "E4"), "treble", "struck").notes]
    ['1', '1', '2']
    """
    beats = 4
    count = len(pitches)
    length = -(-count // beats) * beats
    notes = tuple(
        ExcerptNote(0, at // beats, Fraction(at % beats), Fraction(1 if at + 1 < count else length - at), (pitch,))
        for at, pitch in enumerate(pitches)
    )
    measures = tuple(ExcerptMeasure(str(at + 1), Fraction(beats), "4/4", fifths) for at in range(length // beats))
    part = ExcerptPart("", clef, timbre=timbre)
    return in_part(Excerpt((part,), measures, notes, tempo=Fraction(TEMPO)), shift)
