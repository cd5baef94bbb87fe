"""What chords of a piece do to one another: half-step pairs, tritone substitutes, ii-V, pedal under changing chords.

`chord_pairs` names each with its measures and a sentence. The relations of a dominant to what follows are those of
`musictheory_nb.theory.chord_relation`; what is added here needs the score. Source: common practice, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.note_table import Note
from musictheory_nb.theory.chord_relation import RELATIONS, chord_relations

#: What is found besides `chord_relation.RELATIONS`.
PAIRS: Final = MappingProxyType(
    {
        "half-step pair": "two chords of one kind whose roots are a half step apart",
        "ii-V": "a minor or half-diminished seventh and the dominant seventh a fifth below it",
        "pedal point": "a bass that stays while three chords or more change over it, one of them without it as a tone",
    }
)
#: Relations of `chord_relation` that are told; the plain ones of every piece are left out.
_TOLD: Final = tuple(
    name for name in RELATIONS if name not in ("dominant", "subdominant", "leading-tone chord", "related ii")
)


@dataclass(frozen=True, slots=True)
class ChordPair:
    """A relation between chords that follow one another.

    Attributes
    ----------
    name : str
        One of `PAIRS` or of `theory.chord_relation.RELATIONS`.
    spans : tuple of HarmonySpan
        The chords.
    sentence : str
        One sentence about them.
    confidence : float
        The least confidence of its chords.
    """

    name: str
    spans: tuple[HarmonySpan, ...]
    sentence: str
    confidence: float

    @property
    def measures(self) -> tuple[int, int]:
        """Indices of the first and last measure in which its chords begin."""
        return self.spans[0].measure, self.spans[-1].measure


def chord_pairs(spans: Sequence[HarmonySpan]) -> tuple[ChordPair, ...]:
    r"""Return the relations of `PAIRS` and the less plain ones of `chord_relation`, in the order of the piece.

    Parameters
    ----------
    spans : sequence of HarmonySpan
        The harmony of a piece, from `harmony_finding.harmony`.

    Examples
    --------
    >>> from musictheory_nb.score.harmony_finding import harmony
    >>> from musictheory_nb.score.load import load_score
    >>> text = b'X:1\nM:4/4\nL:1/1\nK:C\n"Dm7"f|"Db7"f|"Cmaj7"e|"Bmaj7"^d|]\n'
    >>> for pair in chord_pairs(harmony(load_score(text, cache=False))):
    ...     print(pair.name, "-", pair.sentence)
    tritone substitute - Db7 stands for G7, with which it shares a tritone, and leads to C
    half-step pair - Cmaj7 and Bmaj7 are of one kind, a half step apart
    """
    found = [pair for one, other in pairwise(spans) for pair in _between(one, other)]
    found += _pedals(spans)
    return tuple(sorted(found, key=lambda pair: (pair.spans[0].start, pair.name)))


def _between(one: HarmonySpan, other: HarmonySpan) -> Iterator[ChordPair]:
    if one.chord.is_no_chord or other.chord.is_no_chord or one.end != other.start:
        return
    first, second = one.chord, other.chord
    assert first.root is not None
    assert second.root is not None
    confidence = min(one.confidence, other.confidence)
    apart = (second.root.pitch_class - first.root.pitch_class) % 12
    if apart in (1, 11) and first.degrees == second.degrees and "b5" not in first.degrees:
        sentence = f"{first.symbol} and {second.symbol} are of one kind, a half step apart"
        yield ChordPair("half-step pair", (one, other), sentence, confidence)
    if apart == 5 and {"b3", "b7"} <= set(first.degrees) and {"3", "b7"} <= set(second.degrees):
        tonic = second.root.down("P5").name
        sentence = f"{first.symbol} and {second.symbol} are ii and V of {tonic}"
        yield ChordPair("ii-V", (one, other), sentence, confidence)
    try:
        relations = chord_relations(first, second, other.key)
    except TheoryError:
        return
    for relation in relations:
        if relation.name in _TOLD:
            yield ChordPair(relation.name, (one, other), relation.reason, confidence)


def _pedals(spans: Sequence[HarmonySpan]) -> Iterator[ChordPair]:
    """Runs of chords over one bass that stays, one of them a chord to which it is foreign."""
    run: list[HarmonySpan] = []
    for span in [*spans, None]:
        if span is not None and run and _lowest(span) == _lowest(run[-1]) is not None:
            run.append(span)
            continue
        if len(run) >= 3 and len({(one.chord.root, one.chord.degrees) for one in run}) >= 3:
            bass = _lowest(run[0])
            outside = [one for one in run if not one.chord.is_no_chord and bass not in one.chord.pitch_classes]
            if outside:
                named = (note.sounding for note in _sounding(run[0]) if note.sounding is not None)
                name = next(pitch.pitch_name.name for pitch in named if pitch.pitch_class == bass)
                sentence = f"{name} stays in the bass under {', '.join(one.chord.symbol for one in run)}"
                yield ChordPair("pedal point", tuple(run), sentence, min(one.confidence for one in outside))
        run = [] if span is None else [span]


def _sounding(span: HarmonySpan) -> list[Note]:
    return [*span.carried_by, *(foreign.note for foreign in span.foreign)]


def _lowest(span: HarmonySpan) -> int | None:
    """Pitch class of the lowest note of a span; None where none sounds."""
    pitches = [note.sounding for note in _sounding(span) if note.sounding is not None]
    return min(pitches, key=lambda pitch: pitch.midi).pitch_class if pitches else None
