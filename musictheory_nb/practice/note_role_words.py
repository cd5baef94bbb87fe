"""The roles of notes as students read them: names, which are near each other, and a model of each."""

from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.chord_progression import Progression, read_progression
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.line_over_chords import line_excerpt, written_line

#: Roles that may be asked for: as `theory` calls them, as they are shown.
ROLE_NAMES: Final = MappingProxyType(
    {
        "chord tone": "chord tone",
        "passing": "passing tone",
        "neighbour": "neighbor tone",
        "approach": "approach note",
        "enclosure": "enclosure",
        "suspension": "suspension",
        "anticipation": "anticipation",
        "tension": "tension",
        "avoid": "avoid note",
        "outside": "outside note",
    }
)
#: Roles that are near each other: what tells them apart is how the note is reached, or how long it stays.
NEAR_ROLES: Final = frozenset(
    map(
        frozenset,
        (
            ("passing", "tension"),
            ("neighbour", "tension"),
            ("suspension", "tension"),
            ("anticipation", "tension"),
            ("avoid", "tension"),
            ("passing", "approach"),
            ("neighbour", "approach"),
            ("neighbour", "enclosure"),
            ("approach", "enclosure"),
            ("outside", "approach"),
        ),
    )
)
#: A figure that shows each role, as harmony courses draw them (common practice, no source).
_MODELS: Final = MappingProxyType(
    {
        "chord tone": ("C major: C", "C4 E4 G4 E4"),
        "passing": ("C major: C", "C4 D4 E4 G4"),
        "neighbour": ("C major: C", "E4 F4 E4 C4"),
        "approach": ("C major: C", "C4 F#4 G4 E4"),
        "enclosure": ("C major: C", "C4 F4 D#4 E4"),
        "suspension": ("C major: G7 | C", "G4 B4 D5 F5 | F5 E5 C5 G4"),
        "anticipation": ("C major: G7 | C", "G4 B4 D5 C5 | C5 E5 C5 G4"),
        "tension": ("C major: Cmaj7", "E4 A4 C5 G4"),
        "avoid": ("C major: Cmaj7", "E4 F4 B4 G4"),
        "outside": ("C major: Cmaj7", "E4 C#5 G4 E4"),
    }
)


def model_figure(role: str, clef: str, timbre: str) -> tuple[Progression, Excerpt]:
    """Return a figure in C that shows a role, and its progression.

    Examples
    --------
    >>> [note.pitches[0] for note in model_figure("passing", "treble", "struck")[1].notes]
    ['C4', 'D4', 'E4', 'G4']
    """
    chords, line = _MODELS[role]
    progression = read_progression(chords)
    assert progression is not None
    return progression, line_excerpt(progression, written_line(progression, line), clef, timbre)


def role_credit(right: str, given: str) -> float:
    """Return what a role is worth: 1, a half where it is near, or 0.

    Examples
    --------
    >>> role_credit("passing", "passing"), role_credit("passing", "approach"), role_credit("passing", "chord tone")
    (1.0, 0.5, 0.0)
    """
    if right == given:
        return 1.0
    return 0.5 if frozenset((right, given)) in NEAR_ROLES else 0.0
