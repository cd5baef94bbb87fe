"""What an exercise asks about a chord: scales that fit and that do not, notes to avoid, and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_scale import ChordScale, scales_for
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale

#: The kinds of scale that are offered, on the root of the chord: those that fit and those that do not.
OFFERED_KINDS: Final = (
    "Ionian", "Dorian", "Phrygian", "Lydian", "Mixolydian", "Aeolian", "Locrian",
    "melodic minor", "Dorian b2", "Lydian augmented", "Lydian dominant", "Mixolydian b6", "Locrian natural 2", "altered",
    "harmonic minor", "Phrygian dominant",
    "whole tone", "half-whole diminished", "whole-half diminished",
)  # fmt: skip

_ONE_LIES: Final = "One lies a half step above "
#: Why a note is avoided, or none is: case -> words.
REASONS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "root": _ONE_LIES + "the root",
        "third": _ONE_LIES + "the third",
        "fourth": _ONE_LIES + "the fourth",
        "fifth": _ONE_LIES + "the fifth",
        "seventh": _ONE_LIES + "the sixth or seventh",
        "tension": "None is avoided: those a half step above a chord tone are tensions that this chord wants",
        "clear": "None is avoided: none lies a half step above a chord tone",
    }
)
_TONE_CASES: Final = {"1": "root", "3": "third", "4": "fourth", "5": "fifth", "6": "seventh", "7": "seventh"}
#: Chord degrees up to the seventh carry the chord; 9, 11 and 13 are tensions.
_CARRYING: Final = frozenset("1234567")


@dataclass(frozen=True)
class FittingScale:
    """A scale that fits a chord, with the notes of it that are better not held against the chord.

    Parameters
    ----------
    scale : Scale
        On the root of the chord.
    avoid : tuple of str
        Names of the notes to avoid.
    reasons : tuple of str
        Keys of `REASONS` that hold; empty where teachers differ about the notes to avoid, so that they are not asked.
    why : str
        Why the scale goes with the chord.
    """

    scale: Scale
    avoid: tuple[str, ...]
    reasons: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class ChordScaleFacts:
    """A chord, the scales that fit it in order of preference, and scales that lack tones of it.

    Parameters
    ----------
    chord : Chord
        With a root.
    key : str
        The key it stands in; empty if none is given.
    fitting : tuple of FittingScale
        The first one is the first choice.
    lacking : tuple of (Scale, tuple of str)
        Scales that do not fit, each with the chord tones that it lacks.
    """

    chord: Chord
    key: str
    fitting: tuple[FittingScale, ...]
    lacking: tuple[tuple[Scale, tuple[str, ...]], ...]


#: Between a chord and the key it stands in, in the text of a question.
_IN: Final = " in "


def _bare(degree: str) -> str:
    return degree.lstrip("b#")


def _reasons(fit: ChordScale) -> tuple[str, ...]:
    """Return the reasons that hold; empty where teachers differ or another rule than that of the half step is taught."""
    own = {tone.pitch_name.pitch_class: _bare(tone.degree) for tone in fit.chord_tones}
    avoid = {tone.pitch_name.pitch_class for tone in fit.avoid}
    above = {pitch: own[(pitch - 1) % 12] for pitch in fit.scale.pitch_classes if (pitch - 1) % 12 in own}
    above = {pitch: number for pitch, number in above.items() if pitch not in own}
    tensions = {tone.pitch_name.pitch_class for tone in fit.tensions}
    if fit.disputed or fit.passing or {pitch for pitch in above if pitch not in tensions} != avoid:
        return ()
    if not avoid:
        return ("tension",) if above else ("clear",)
    cases = {_TONE_CASES.get(above[pitch], "") for pitch in avoid}
    return () if "" in cases else tuple(case for case in REASONS if case in cases)


def split_question(text: str) -> tuple[str, str]:
    """Return chord and key (empty for none) of a text such as ``'Em7 in C major'``.

    Examples
    --------
    >>> split_question("Em7 in C major"), split_question("G7alt")
    (('Em7', 'C major'), ('G7alt', ''))
    """
    symbol, _, key = text.partition(_IN)
    return symbol.strip(), key.strip()


@lru_cache(maxsize=2048)
def chord_scale_facts(text: str) -> ChordScaleFacts:
    """Return what is asked about a chord, or about a chord in a key.

    Parameters
    ----------
    text : str
        A chord symbol, ``'Cmaj7'``, or one in a key, ``'Em7 in C major'``.

    Raises
    ------
    TheoryError
        The text cannot be read, or no scale of `OFFERED_KINDS` is taught for the chord.

    Examples
    --------
    >>> facts = chord_scale_facts("Cmaj7")
    >>> facts.fitting[0].scale.name, facts.fitting[0].avoid, facts.fitting[0].reasons
    ('C Ionian', ('F',), ('third',))
    >>> [missing for scale, missing in facts.lacking if scale.name == "C Dorian"]
    [('E', 'B')]
    >>> chord_scale_facts("Em7 in C major").fitting[0].scale.name
    'E Phrygian'
    """
    symbol, key = split_question(text)
    chord = Chord(symbol)
    fits = scales_for(chord, key=key or None)
    root = chord.root
    if root is None:
        raise TheoryError(f"chord {text!r}: it has no root")
    scales = [scale for kind in OFFERED_KINDS if (scale := _on(root, kind)) is not None]
    offered = {frozenset(scale.pitch_classes) for scale in scales}
    fitting = []
    for fit in fits:
        if fit.is_taught and fit.scale.tonic == root and frozenset(fit.scale.pitch_classes) in offered:
            avoid = tuple(tone.name for tone in fit.avoid)
            fitting.append(FittingScale(fit.scale, avoid, _reasons(fit), fit.reason))
    if not fitting or fitting[0].scale != fits[0].scale:
        raise TheoryError(f"chord {text!r}: no scale that could be asked for is the first choice for it")
    needed = [tone for tone in chord.tones if not tone.optional]
    going_together = {frozenset(fit.scale.pitch_classes) for fit in fits}
    lacking = []
    for scale in scales:
        missing = tuple(tone.name for tone in needed if not scale.holds(tone.pitch_name))
        if missing and frozenset(scale.pitch_classes) not in going_together:
            lacking.append((scale, missing))
    return ChordScaleFacts(chord, key, tuple(fitting), tuple(lacking))


def _on(root: PitchName, kind: str) -> Scale | None:
    try:
        return Scale.of(root, kind)
    except TheoryError:  # it would need four accidentals
        return None


def avoid_sentence(fit: FittingScale) -> str:
    """Return which notes of a scale are avoided over its chord, and why, in one sentence; empty where teachers differ.

    Examples
    --------
    >>> avoid_sentence(chord_scale_facts("Cmaj7").fitting[0])
    'Of C Ionian, F is better not held: it lies a half step above the third.'
    """
    if not fit.reasons:
        return ""
    reasons = [REASONS[case] for case in fit.reasons]
    if not fit.avoid:
        return f"Of {fit.scale.display}, {reasons[0][:1].lower()}{reasons[0][1:]}."
    names = [PitchName(name).display for name in fit.avoid]
    verb = "is" if len(names) == 1 else "are"
    told = "a half step above " + listed([reason.removeprefix(_ONE_LIES) for reason in reasons])
    it = "it lies" if len(names) == 1 else "they lie"
    return f"Of {fit.scale.display}, {listed(names)} {verb} better not held: {it} {told}."
