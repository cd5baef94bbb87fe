"""The rules of common-practice part writing that are checked, and what a breach of one is (`Fault`). One table.

Sources: parallels, hidden perfect intervals and contrary motion into them: Fux, Gradus ad Parnassum (1725), and
Piston, Harmony (1941), both from memory; the others as harmony courses teach them (common practice, from memory).
What books call weak rather than wrong is marked a caution.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple


class PartWritingRule(NamedTuple):
    """A rule: what breaks it, and whether that is a fault or a caution."""

    breach: str
    severity: str = "fault"


#: The rules by the name of their breach.
PART_WRITING_RULES: Final = MappingProxyType(
    {
        # two voices in motion
        "parallel fifths": PartWritingRule("two voices move the same way from one perfect fifth to another"),
        "parallel octaves": PartWritingRule("two voices move the same way from one perfect octave to another"),
        "parallel unisons": PartWritingRule("two voices move the same way from one unison to another"),
        "contrary fifths": PartWritingRule("two voices move opposite ways from one perfect fifth to another"),
        "contrary octaves": PartWritingRule("two voices move opposite ways between perfect octaves or unisons"),
        "hidden fifths": PartWritingRule("outer voices move the same way into a perfect fifth, the upper one by leap"),
        "hidden octaves": PartWritingRule(
            "outer voices move the same way into a perfect octave, the upper one by leap"
        ),
        "unequal fifths": PartWritingRule(
            "a diminished fifth above the bass moves the same way to a perfect one", "caution"
        ),
        "overlap": PartWritingRule("a voice goes beyond where its neighbour just was"),
        "cross relation": PartWritingRule("a note and its alteration follow each other in different voices", "caution"),
        "all voices in one direction": PartWritingRule("all voices of four or more move the same way", "caution"),
        # voices at one moment
        "crossing": PartWritingRule("a voice lies below the voice that is named below it"),
        "spacing": PartWritingRule("neighbouring upper voices lie more than an octave apart"),
        "range": PartWritingRule("a voice leaves its range"),
        # one voice
        "augmented second": PartWritingRule("a voice moves by an augmented second"),
        "augmented interval": PartWritingRule("a voice leaps an augmented interval, such as the tritone F to B"),
        "seventh leap": PartWritingRule("a voice leaps a seventh"),
        "leap beyond the octave": PartWritingRule("a voice leaps more than an octave"),
        "unrecovered diminished leap": PartWritingRule("a diminished leap is not followed by a turn back", "caution"),
        "unrecovered leap": PartWritingRule("an upper voice leaps a sixth or more and does not turn back", "caution"),
        # chords in their key
        "doubled leading tone": PartWritingRule("two voices have the leading tone of a dominant chord"),
        "doubled seventh": PartWritingRule("two voices have the seventh of a chord"),
        "unresolved leading tone": PartWritingRule(
            "the leading tone of a dominant does not go to the tonic that follows"
        ),
        "unresolved seventh": PartWritingRule("the seventh of a chord neither falls by step nor stays"),
        "unresolved augmented sixth": PartWritingRule("an augmented sixth does not open to the octave"),
        "missing third": PartWritingRule("a chord lacks its third"),
        "missing root": PartWritingRule("a triad or dominant lacks its root"),
        "six-four without doubled bass": PartWritingRule("the bass of a six-four triad is not doubled", "caution"),
        "foreign note": PartWritingRule("a voice has a note that is not in the chord given for that moment"),
    }
)
#: Usual ranges of the voices of a mixed choir, as harmony courses give them; books differ by a step.
VOICE_RANGES: Final = MappingProxyType(
    {"soprano": ("C4", "A5"), "alto": ("G3", "D5"), "tenor": ("C3", "A4"), "bass": ("E2", "D4")}
)


@dataclass(frozen=True, slots=True)
class Fault:
    """One breach of a rule.

    Attributes
    ----------
    rule : str
        A name of `PART_WRITING_RULES`.
    voices : tuple of str
        Names of the voices concerned, the upper first.
    beat : str
        Where it happens: for a motion, where it arrives.
    notes : tuple of str
        The notes that prove it, voice by voice; ``'C4 D4'`` where a voice moves.
    reason : str
        One sentence with voices, notes and beat.
    """

    rule: str
    voices: tuple[str, ...]
    beat: str
    notes: tuple[str, ...]
    reason: str

    @property
    def severity(self) -> str:
        """``'fault'`` or ``'caution'``."""
        return PART_WRITING_RULES[self.rule].severity
