"""Why a scale goes with a chord, in the plain sentences of a teacher, with the notes named."""

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from musictheory_nb.errors import TheoryError
from musictheory_nb.theory.chord_degree import DEGREE_CLASS, degree_name
from musictheory_nb.theory.enumeration import listed
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_degree import display_degree

_PLACEHOLDER: Final = re.compile(r"\[([#b]{0,2}\d+)\]")


class ScaleTone(str):
    """One note of a scale over a chord: its name, which knows its degree.

    It is the text of its name, so that it equals ``"F#"`` and a list of it reads as names.

    Parameters
    ----------
    degree : str
        Counted from the chord's root, or from its bass where it is heard from there: ``'3'``, ``'b7'``, ``'#11'``.
    name : str
        Spelled name, such as ``'F#'``; a chord tone is spelled as in the chord.

    Examples
    --------
    >>> tone = ScaleTone("#11", "F#")
    >>> tone == "F#", tone.degree, tone.name, tone.display
    (True, '#11', 'F#', 'F♯ (♯11)')
    """

    __slots__ = ("degree",)
    degree: str

    def __new__(cls, degree: str, name: str) -> "ScaleTone":
        """Build from degree and name."""
        self = super().__new__(cls, name)
        self.degree = degree
        return self

    def __getnewargs__(self) -> tuple[str, str]:  # type: ignore[override]
        return self.degree, self.name

    @property
    def name(self) -> str:
        """Spelled name, as a plain text."""
        return str(self)

    @property
    def pitch_name(self) -> PitchName:
        """The name as a `PitchName`."""
        return PitchName(str(self))

    @property
    def display(self) -> str:
        """Name and degree as printed: ``'F♯ (♯11)'``."""
        return f"{self.pitch_name.display} ({display_degree(self.degree)})"


class Approach(NamedTuple):
    """The two usual ways into a chord tone.

    Attributes
    ----------
    target : ScaleTone
        The chord tone.
    below : str
        Name of the note a half step below it.
    above : str
        Name of the note a scale step above it.
    """

    target: ScaleTone
    below: str
    above: str


def notes_for_degrees(text: str, root: PitchName) -> str:
    """Replace each degree in square brackets by its note above `root`.

    Examples
    --------
    >>> notes_for_degrees("Its [#11] lies above [3].", PitchName("C"))
    'Its F♯ (♯11) lies above E (3).'
    """
    return _PLACEHOLDER.sub(lambda match: _shown(match[1], root), text)


def _shown(degree: str, root: PitchName) -> str:
    if degree == "1":
        return root.display
    try:
        return f"{degree_name(root, degree).display} ({display_degree(degree)})"
    except TheoryError:  # four accidentals: the degree alone
        return display_degree(degree)


def scale_reason(
    chord: str,
    scale: Scale,
    why: str,
    chord_tones: Sequence[ScaleTone],
    tensions: Sequence[ScaleTone],
    avoid: Sequence[ScaleTone],
    passing: Sequence[ScaleTone],
    left_out: Sequence[ScaleTone],
    disputed: Sequence[ScaleTone],
    *,
    is_taught: bool,
) -> str:
    """Sentences on what the scale holds, why it is taught, what colours the chord and what to avoid."""
    sentences = [_fit(chord, scale, chord_tones, left_out)]
    if why:
        sentences.append(why)
    if not is_taught:
        sentences.append("It is not among the usual choices for this chord.")
    if tensions:
        sentences.append(f"Colour the chord with {listed([tone.display for tone in tensions])}.")
    sentences.append(_avoid(avoid, chord_tones))
    if passing:
        noun = "is a passing note" if len(passing) == 1 else "are passing notes"
        sentences.append(f"{listed([tone.display for tone in passing])} {noun} here.")
    if disputed and not any(tone.display in why for tone in disputed):
        sentences.append(f"Teachers differ on {listed([tone.display for tone in disputed])}.")
    return " ".join(sentences)


def _fit(chord: str, scale: Scale, chord_tones: Sequence[ScaleTone], left_out: Sequence[ScaleTone]) -> str:
    held = listed([tone.pitch_name.display for tone in chord_tones])
    if not left_out:
        return f"{scale.display} holds every tone of {chord}: {held}."
    lacking = listed([tone.display for tone in left_out])
    noun = "it" if len(left_out) == 1 else "them"
    return f"{scale.display} holds {held} of {chord}, but not {lacking}: leave {noun} out of the chord."


def _avoid(avoid: Sequence[ScaleTone], chord_tones: Sequence[ScaleTone]) -> str:
    """Which notes to avoid, and the chord tones they clash with."""
    if not avoid:
        return "There is no note to avoid."
    by_class = {DEGREE_CLASS[tone.degree]: tone for tone in chord_tones}
    clauses = []
    for tone in avoid:
        clash = by_class.get((DEGREE_CLASS[tone.degree] - 1) % 12)
        why = "" if clash is None else f", a half step above {clash.display}"
        clauses.append(tone.display + why)
    return f"Do not rest on {listed(clauses) if len(clauses) == 1 else '; nor on '.join(clauses)}."


def parent_reason(scale: Scale, parent: Scale, reason: str) -> str:
    """The same for a player who thinks of the parent scale."""
    if parent.tonic == scale.tonic:
        return reason
    return f"Think of {parent.display}: begun on {scale.tonic.display} it is {scale.display}. {reason}"


def approach_reason(chord: str, approaches: Sequence[Approach], scale: Scale) -> str:
    """The same for a player who thinks of chord tones."""
    targets = listed([approach.target.display for approach in approaches])
    ways = "; ".join(
        f"{PitchName(approach.below).display} or {PitchName(approach.above).display} into {approach.target.pitch_name.display}"
        for approach in approaches
    )
    return (
        f"Aim at the tones of {chord} on strong beats: {targets}. Reach each from a half step below or from the note "
        f"above it in {scale.display}: {ways}."
    )
