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
    from musictheory_nb.score.piece import Piece
    from musictheory_nb.theory.cadence import cadence_of
    from musictheory_nb.theory.chord import Chord
    from musictheory_nb.theory.chord_naming import name_chord
    from musictheory_nb.theory.chord_scale import scales_for
    from musictheory_nb.theory.figured_bass import figured_notes
    from musictheory_nb.theory.guide_tones import guide_tone_lines
    from musictheory_nb.theory.interval import Interval
    from musictheory_nb.theory.key import Key
    from musictheory_nb.theory.note_role import note_roles
    from musictheory_nb.theory.part_writing import part_faults
    from musictheory_nb.theory.pitch import Pitch
    from musictheory_nb.theory.pitch_name import PitchName
    from musictheory_nb.theory.roman_analysis import roman_of
    from musictheory_nb.theory.roman_numeral import Roman
    from musictheory_nb.theory.scale import Scale
    from musictheory_nb.theory.scale_identification import identify_scale
    from musictheory_nb.theory.smooth_voicing import voice_progression
    from musictheory_nb.theory.spelling import spell_midi
    from musictheory_nb.theory.voicing import voicing
    from musictheory_nb.widgets.demonstration import listen, show
    from musictheory_nb.widgets.fingered_view import fingered
    from musictheory_nb.widgets.lesson_session import open_lesson
    from musictheory_nb.widgets.review_session import review
    from musictheory_nb.widgets.sealed_session import open_sealed

#: Public name -> the module that holds it.
_WHERE = {
    "Chord": "theory.chord",
    "Excerpt": "practice.excerpt",
    "Exercise": "practice.exercise",
    "Interval": "theory.interval",
    "Key": "theory.key",
    "Piece": "score.piece",
    "Pitch": "theory.pitch",
    "PitchName": "theory.pitch_name",
    "Roman": "theory.roman_numeral",
    "Scale": "theory.scale",
    "cadence_of": "theory.cadence",
    "figured_notes": "theory.figured_bass",
    "fingered": "widgets.fingered_view",
    "freeze": "classroom.frozen_excerpt",
    "guide_tone_lines": "theory.guide_tones",
    "identify_scale": "theory.scale_identification",
    "listen": "widgets.demonstration",
    "load_score": "score.load",
    "name_chord": "theory.chord_naming",
    "note_roles": "theory.note_role",
    "open_lesson": "widgets.lesson_session",
    "open_sealed": "widgets.sealed_session",
    "part_faults": "theory.part_writing",
    "review": "widgets.review_session",
    "roman_of": "theory.roman_analysis",
    "scales_for": "theory.chord_scale",
    "show": "widgets.demonstration",
    "spell_midi": "theory.spelling",
    "voice_progression": "theory.smooth_voicing",
    "voicing": "theory.voicing",
}

__version__ = "0.1.0"

__all__ = [
    "Chord",
    "Excerpt",
    "Exercise",
    "Interval",
    "Key",
    "Piece",
    "Pitch",
    "PitchName",
    "Roman",
    "Scale",
    "__version__",
    "cadence_of",
    "figured_notes",
    "fingered",
    "freeze",
    "guide_tone_lines",
    "identify_scale",
    "listen",
    "load_score",
    "name_chord",
    "note_roles",
    "open_lesson",
    "open_sealed",
    "part_faults",
    "review",
    "roman_of",
    "scales_for",
    "show",
    "spell_midi",
    "voice_progression",
    "voicing",
]


def __getattr__(name: str) -> object:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__} - {"TYPE_CHECKING", "import_module"})
