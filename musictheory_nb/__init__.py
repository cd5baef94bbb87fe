"""Music theory for Jupyter notebooks: intervals, chords, scales, keys, scores, exercises and their marking.

Names load when they are first used, so that ``import musictheory_nb`` costs next to nothing.

Examples
--------
>>> import musictheory_nb as mt
>>> mt.Interval.between("B3", "F4").name
'diminished fifth'
"""

from importlib import import_module

# Type checkers take this name as true; typing itself would cost most of the import's time.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from musictheory_nb.classroom.frozen_excerpt import freeze
    from musictheory_nb.practice.excerpt import Excerpt
    from musictheory_nb.practice.exercise import Exercise
    from musictheory_nb.score.load import load_score
    from musictheory_nb.theory.chord import Chord
    from musictheory_nb.theory.chord_naming import name_chord
    from musictheory_nb.theory.chord_scale import scales_for
    from musictheory_nb.theory.interval import Interval
    from musictheory_nb.theory.key import Key
    from musictheory_nb.theory.pitch import Pitch
    from musictheory_nb.theory.pitch_name import PitchName
    from musictheory_nb.theory.roman_numeral import Roman
    from musictheory_nb.theory.scale import Scale
    from musictheory_nb.theory.scale_identification import identify_scale
    from musictheory_nb.widgets.demonstration import listen, show
    from musictheory_nb.widgets.lesson_session import open_lesson

#: Public name -> the module that holds it.
_WHERE = {
    "Chord": "theory.chord",
    "Excerpt": "practice.excerpt",
    "Exercise": "practice.exercise",
    "Interval": "theory.interval",
    "Key": "theory.key",
    "Pitch": "theory.pitch",
    "PitchName": "theory.pitch_name",
    "Roman": "theory.roman_numeral",
    "Scale": "theory.scale",
    "freeze": "classroom.frozen_excerpt",
    "identify_scale": "theory.scale_identification",
    "listen": "widgets.demonstration",
    "load_score": "score.load",
    "name_chord": "theory.chord_naming",
    "open_lesson": "widgets.lesson_session",
    "scales_for": "theory.chord_scale",
    "show": "widgets.demonstration",
}

__version__ = "0.1.0"

__all__ = [
    "Chord",
    "Excerpt",
    "Exercise",
    "Interval",
    "Key",
    "Pitch",
    "PitchName",
    "Roman",
    "Scale",
    "__version__",
    "freeze",
    "identify_scale",
    "listen",
    "load_score",
    "name_chord",
    "open_lesson",
    "scales_for",
    "show",
]


def __getattr__(name: str) -> object:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__} - {"TYPE_CHECKING", "import_module"})
