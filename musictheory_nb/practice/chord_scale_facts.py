"""What an exercise asks about a chord: scales that fit and that do not, notes to avoid, and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.counting_words import listed, sentence
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_scale import ChordScale, scales_for
from musictheory_nb.theory.key import Key
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


@dataclass(frozen=True, slots=True)
class OfferedScale:
    """A scale on the root of a chord, with what an item says of it.

    Parameters
    ----------
    name, display : str
        As the record writes it, and as it is shown.
    notes : tuple of (int, str)
        Pitch class and name of each note.
    told : str
        One or two sentences: why it fits, or which chord tones it lacks.
    missing : tuple of str
        Chord tones that players do not leave out and that it lacks; none if it fits.
    avoid : tuple of str
        Names of the notes that are better not held against the chord.
    reasons : tuple of str
        Keys of `REASONS` that hold; empty where teachers differ about the notes to avoid, so that they are not asked.
    """

    name: str
    display: str
    notes: tuple[tuple[int, str], ...]
    told: str
    missing: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()

    @property
    def avoid_classes(self) -> tuple[int, ...]:
        """Pitch classes of the notes to avoid."""
        return tuple(pitch for pitch, name in self.notes if name in self.avoid)


@dataclass(frozen=True)
class ChordScaleFacts:
    """A chord, the scales that fit it in order of preference, and scales that lack tones of it.

    Parameters
    ----------
    symbol, display : str
        The chord as chart text, and as it is shown.
    key : str
        The key it stands in, as it is shown; empty if none is given.
    root : int
        Pitch class of the root.
    is_suspended : bool
        Whether it has a fourth in place of the third.
    tones : tuple of (int, str)
        Pitch class and name of each chord tone.
    fitting : tuple of OfferedScale
        The first one is the first choice.
    lacking : tuple of OfferedScale
        Scales that do not fit.
    """

    symbol: str
    display: str
    key: str
    root: int
    is_suspended: bool
    tones: tuple[tuple[int, str], ...]
    fitting: tuple[OfferedScale, ...]
    lacking: tuple[OfferedScale, ...]

    @property
    def shown(self) -> str:
        """The chord, and the key if there is one: ``'E♭m7 in D♭ major'``."""
        return f"{self.display} in {self.key}" if self.key else self.display


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
        The text cannot be read, or no scale of `OFFERED_KINDS` is the first choice for the chord.

    Examples
    --------
    >>> facts = chord_scale_facts("Cmaj7")
    >>> facts.fitting[0].name, facts.fitting[0].avoid, facts.fitting[0].reasons
    ('C Ionian', ('F',), ('third',))
    >>> [scale.told for scale in facts.lacking if scale.name == "C Dorian"]
    ['C Dorian does not fit: it lacks E and B.']
    >>> chord_scale_facts("Em7 in C major").fitting[0].name
    'E Phrygian'
    >>> chord_scale_facts("C/")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chord 'C/': ...
    """
    symbol, key = split_question(text)
    chord = Chord(symbol)
    fits = scales_for(chord, key=key or None)
    root = chord.root
    if root is None:
        raise TheoryError(f"chord {text!r}: it has no root")
    scales = [scale for kind in OFFERED_KINDS if (scale := _on(root, kind)) is not None]
    offered = {frozenset(scale.pitch_classes) for scale in scales}
    fitting: list[OfferedScale] = []
    for fit in fits:
        if fit.is_taught and fit.scale.tonic == root and frozenset(fit.scale.pitch_classes) in offered:
            fitting.append(_fitting(fit, is_first=not fitting))
    if not fitting or fitting[0].name != fits[0].scale.name:
        raise TheoryError(f"chord {text!r}: no scale that could be asked for is the first choice for it")
    needed = [tone.pitch_name for tone in chord.tones if not tone.optional]
    going_together = {frozenset(fit.scale.pitch_classes) for fit in fits}
    lacking = []
    for scale in scales:
        missing = [name for name in needed if not scale.holds(name)]
        if missing and frozenset(scale.pitch_classes) not in going_together:
            told = f"{scale.display} does not fit: it lacks {listed([name.display for name in missing])}."
            lacking.append(OfferedScale(scale.name, scale.display, _notes(scale), told, tuple(n.name for n in missing)))
    return ChordScaleFacts(
        chord.symbol,
        chord.display,
        Key(key).display if key else "",
        root.pitch_class,
        "4" in chord.degrees,
        tuple((tone.pitch_name.pitch_class, tone.name) for tone in chord.tones),
        tuple(fitting),
        tuple(lacking),
    )


def _fitting(fit: ChordScale, *, is_first: bool) -> OfferedScale:
    avoid = tuple(tone.name for tone in fit.avoid)
    reasons = _reasons(fit)
    told = sentence(fit.reason) if is_first else f"{fit.scale.display} fits, too: {sentence(fit.reason)}"
    if is_first and reasons and not avoid:
        told += " " + sentence(REASONS[reasons[0]].partition(": ")[2])
    spelled = {tone.pitch_name.pitch_class: tone.name for tone in fit.avoid}
    notes = tuple((pitch, spelled.get(pitch, name)) for pitch, name in _notes(fit.scale))
    return OfferedScale(fit.scale.name, fit.scale.display, notes, told, (), avoid, reasons)


def _notes(scale: Scale) -> tuple[tuple[int, str], ...]:
    return tuple((name.pitch_class, name.name) for name in scale.pitch_names)


def _on(root: PitchName, kind: str) -> Scale | None:
    try:
        return Scale.of(root, kind)
    except TheoryError:  # it would need four accidentals
        return None
