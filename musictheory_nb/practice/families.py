"""The exercise families there are, by kind and version."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_by_ear import CHORD_BY_EAR
from musictheory_nb.practice.chord_by_sight import CHORD_BY_SIGHT
from musictheory_nb.practice.chord_dictation import CHORD_DICTATION
from musictheory_nb.practice.chord_spelling import CHORD_SPELLING
from musictheory_nb.practice.chord_symbol_naming import CHORD_SYMBOL_NAMING
from musictheory_nb.practice.degree_by_ear import DEGREE_BY_EAR
from musictheory_nb.practice.degree_play_back import DEGREE_PLAY_BACK
from musictheory_nb.practice.family import Family
from musictheory_nb.practice.figured_bass import FIGURED_BASS
from musictheory_nb.practice.find_the_difference import FIND_THE_DIFFERENCE
from musictheory_nb.practice.form_guide import FORM_GUIDE
from musictheory_nb.practice.free_response import FREE_RESPONSE
from musictheory_nb.practice.guide_tones import GUIDE_TONES
from musictheory_nb.practice.implied_chord import IMPLIED_CHORD
from musictheory_nb.practice.interval_by_ear import INTERVAL_BY_EAR
from musictheory_nb.practice.interval_by_sight import INTERVAL_BY_SIGHT
from musictheory_nb.practice.interval_in_a_piece import INTERVAL_IN_A_PIECE
from musictheory_nb.practice.interval_writing import INTERVAL_WRITING
from musictheory_nb.practice.line_over_changes import LINE_OVER_CHANGES
from musictheory_nb.practice.melody_dictation import MELODY_DICTATION
from musictheory_nb.practice.note_reading import NOTE_READING
from musictheory_nb.practice.note_roles import NOTE_ROLES
from musictheory_nb.practice.numeral_reading import NUMERAL_READING
from musictheory_nb.practice.numeral_writing import NUMERAL_WRITING
from musictheory_nb.practice.progression_by_ear import PROGRESSION_BY_EAR
from musictheory_nb.practice.rhythm_dictation import RHYTHM_DICTATION
from musictheory_nb.practice.scale_by_ear import SCALE_BY_EAR
from musictheory_nb.practice.scale_by_sight import SCALE_BY_SIGHT
from musictheory_nb.practice.scale_of_a_passage import SCALE_OF_A_PASSAGE
from musictheory_nb.practice.scale_over_chord import SCALE_OVER_CHORD
from musictheory_nb.practice.scale_spelling import SCALE_SPELLING
from musictheory_nb.practice.section_marking import SECTION_MARKING
from musictheory_nb.practice.two_voice_dictation import TWO_VOICE_DICTATION

_ALL: Final[tuple[Family, ...]] = (
    NOTE_READING,
    INTERVAL_BY_EAR,
    INTERVAL_BY_SIGHT,
    INTERVAL_WRITING,
    INTERVAL_IN_A_PIECE,
    CHORD_BY_EAR,
    CHORD_BY_SIGHT,
    CHORD_SPELLING,
    CHORD_SYMBOL_NAMING,
    SCALE_BY_EAR,
    SCALE_BY_SIGHT,
    SCALE_SPELLING,
    SCALE_OF_A_PASSAGE,
    SCALE_OVER_CHORD,
    NOTE_ROLES,
    GUIDE_TONES,
    IMPLIED_CHORD,
    DEGREE_BY_EAR,
    DEGREE_PLAY_BACK,
    NUMERAL_READING,
    NUMERAL_WRITING,
    FIGURED_BASS,
    PROGRESSION_BY_EAR,
    SECTION_MARKING,
    FORM_GUIDE,
    LINE_OVER_CHANGES,
    FIND_THE_DIFFERENCE,
    RHYTHM_DICTATION,
    MELODY_DICTATION,
    TWO_VOICE_DICTATION,
    CHORD_DICTATION,
    FREE_RESPONSE,
)

#: Every family that can be marked, old versions included, by (kind, version).
FAMILIES: Final[Mapping[tuple[str, int], Family]] = MappingProxyType({(f.kind, f.version): f for f in _ALL})

#: The kinds, in the order of the documentation.
KINDS: Final = tuple(dict.fromkeys(family.kind for family in _ALL))


def family_of(kind: str, version: int) -> Family:
    """Return the family of that kind and version.

    Raises
    ------
    ExerciseError
        There is none.

    Examples
    --------
    >>> family_of("interval-by-ear", 1).kind
    'interval-by-ear'
    >>> family_of("interval", 1)
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: exercise kind 'interval'; allowed: interval-by-ear, ...
    """
    if kind not in KINDS:
        raise ExerciseError(f"exercise kind {kind!r}; allowed: {', '.join(KINDS)}")
    if (kind, version) not in FAMILIES:
        known = ", ".join(str(v) for k, v in FAMILIES if k == kind)
        raise ExerciseError(f"exercise kind {kind!r} version {version!r}; allowed versions: {known}")
    return FAMILIES[kind, version]
