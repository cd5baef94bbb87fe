"""One measure of one staff, laid out for the page: voices, rests, ties within the measure, tuplets and beams.

Conventions. A voice whose notes overlap is written in as many layers as it takes. A gap is written as rests where the
whole staff is silent, and left empty where another voice sounds. A short rest stays under a beam, one of an eighth or
longer ends it. A note that goes on from within a tuplet over a beat is tied at the beat where no single value
writes it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from musictheory_nb.media.metre import Metre
from musictheory_nb.media.note_value import (
    NoteValue,
    is_dyadic,
    is_single,
    note_spans,
    rest_spans,
    single_value,
    tuplet_spans,
)
from musictheory_nb.media.tie import HeadIndex
from musictheory_nb.media.tuplet import TupletRatio, can_be_written, stretches
from musictheory_nb.practice.excerpt import ExcerptMeasure, ExcerptNote

_EIGHTH: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Leaf:
    """One written note, chord, rest or empty space.

    Parameters
    ----------
    position, quarters : Fraction
        From the start of the full measure (a pickup stands at its end), and how long it lasts.
    heads : tuple of (int, int)
        Its pitches: indices of the excerpt's note and of the pitch in it, from low to high; none for a rest.
    hidden : bool
        An empty space.
    piece, pieces : int
        Which of the tied values that write one note this is, and how many there are.
    graces, graces_after : tuple of int
        Indices of the grace notes before it, and of those that follow it and lead over the barline.
    value : NoteValue or None
        How it is written; known when tuplets are.
    """

    position: Fraction
    quarters: Fraction
    heads: tuple[HeadIndex, ...] = ()
    hidden: bool = False
    piece: int = 0
    pieces: int = 1
    graces: tuple[int, ...] = ()
    graces_after: tuple[int, ...] = ()
    value: NoteValue | None = None


@dataclass(frozen=True, slots=True)
class TupletNode:
    """Leaves and beams written in a ratio."""

    ratio: TupletRatio
    children: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class BeamNode:
    """Leaves and tuplets under one beam."""

    children: tuple["Node", ...]


Node = Leaf | TupletNode | BeamNode


def leaves_of(nodes: Sequence[Node]) -> Iterator[Leaf]:
    """Yield the leaves below `nodes`, in turn."""
    for node in nodes:
        if isinstance(node, Leaf):
            yield node
        else:
            yield from leaves_of(node.children)


def pickup_shift(measures: Sequence[ExcerptMeasure], at: int) -> Fraction:
    """Return how far into the full measure a short measure begins, in quarters.

    A short measure is a pickup, and ends with the full measure's end, when it is the first, is numbered 0, or
    completes the short measure before it.
    """
    measure = measures[at]
    missing = Metre(measure.metre).length - measure.length
    before = measures[at - 1] if at else None
    completes = before is not None and before.length < Metre(before.metre).length and before.length == missing
    return missing if missing > 0 and (at == 0 or measure.number == "0" or completes) else Fraction(0)


def _lanes(notes: Sequence[tuple[int, ExcerptNote]], shift: Fraction) -> list[tuple[int, list[Leaf]]]:
    """Chords and rests of a measure in lanes without overlap, each with its voice, voice after voice."""
    chords: dict[tuple[int, Fraction, Fraction], list[HeadIndex]] = {}
    for index, note in notes:
        heads = chords.setdefault((note.voice, note.onset, -note.duration), [])
        heads.extend((index, at) for at in range(len(note.pitches)))
    lanes: list[tuple[int, list[Leaf]]] = []
    for (voice, onset, negative), heads in sorted(chords.items(), key=lambda item: item[0]):
        leaf = Leaf(onset + shift, -negative, tuple(heads))
        own = [lane for owner, lane in lanes if owner == voice]
        free = next((lane for lane in own if _end(lane) <= leaf.position), None)
        if free is not None:
            free.append(leaf)
        elif heads or not own:  # a rest beside a note of its own voice says nothing
            lanes.append((voice, [leaf]))
    return lanes


def _end(lane: Sequence[Leaf]) -> Fraction:
    return lane[-1].position + lane[-1].quarters


def _filled(
    lane: Sequence[Leaf], others: Sequence[Leaf] | None, begin: Fraction, end: Fraction, metre: Metre
) -> list[Leaf]:
    """Lane with its gaps filled by rests, or by space where one of the others sounds; with None, by space alone."""
    out: list[Leaf] = []
    at = begin
    for leaf in [*lane, Leaf(end, Fraction(0))]:
        if leaf.position > at:
            for span in rest_spans(at, leaf.position - at, metre):
                hidden = others is None or any(o.position < at + span and at < o.position + o.quarters for o in others)
                out.append(Leaf(at, span, hidden=hidden))
                at += span
        if leaf.quarters:
            out.append(leaf)
        at = max(at, leaf.position + leaf.quarters)
    return out


def _with_graces(
    layers: list[list[Leaf]], voices: Sequence[int], graces: Sequence[tuple[int, int, Fraction]]
) -> list[list[Leaf]]:
    """Layers with each grace note (its index, voice and position) before the leaf that it leads to."""
    for index, voice, position in graces:
        own = [at for at, owner in enumerate(voices) if owner == voice]
        places = [
            (layer, at)
            for layer in [*own, *range(len(layers))]
            for at, leaf in enumerate(layers[layer])
            if leaf.position == position and leaf.piece == 0
        ]
        if places:
            layer, at = places[0]
            leaf = layers[layer][at]
            layers[layer][at] = replace(leaf, graces=(*leaf.graces, index))
        else:  # it leads over the barline, or stands where nothing begins
            layer = own[0] if own else 0
            at = max((at for at, leaf in enumerate(layers[layer]) if leaf.position < position), default=0)
            leaf = layers[layer][at]
            layers[layer][at] = replace(leaf, graces_after=(*leaf.graces_after, index))
    return layers


def _split(leaf: Leaf, metre: Metre) -> Iterator[Leaf]:
    """Leaf as the values that write it."""
    cut = note_spans if leaf.heads else rest_spans
    spans = (leaf.quarters,) if is_single(leaf.quarters) else cut(leaf.position, leaf.quarters, metre)
    position = leaf.position
    for piece, span in enumerate(spans):
        yield replace(leaf, position=position, quarters=span, piece=piece, pieces=len(spans))
        position += span


def _cut_at_beats(leaf: Leaf, metre: Metre) -> Iterator[Leaf]:
    """Leaf cut wherever it crosses a beat, if it begins or ends within a tuplet; else as it is."""
    end, at = leaf.position + leaf.quarters, leaf.position
    if is_dyadic(at) and is_dyadic(end):
        yield from _split(leaf, metre)
        return
    stops = []
    while at < end:
        for span in tuplet_spans(at, min(end, (at // metre.beat + 1) * metre.beat)):
            at += span
            stops.append(at)
    for piece, (start, stop) in enumerate(zip([leaf.position, *stops], stops, strict=False)):
        yield replace(leaf, position=start, quarters=stop - start, piece=piece, pieces=len(stops))


def _written(leaf: Leaf, ratio: TupletRatio | None) -> Leaf:
    return replace(leaf, value=single_value(leaf.quarters * ratio.num / ratio.base if ratio else leaf.quarters))


def _is_beamable(node: Node) -> bool:
    """Whether a node may begin or end a beam."""
    if isinstance(node, Leaf):
        return bool(node.heads) and node.value is not None and node.value.head <= _EIGHTH
    return all(_is_beamable(child) or _is_inner_rest(child) for child in node.children) and any(
        _is_beamable(child) for child in node.children
    )


def _is_inner_rest(node: Node) -> bool:
    return (
        isinstance(node, Leaf)
        and not node.heads
        and not node.hidden
        and node.value is not None
        and node.value.head < _EIGHTH
    )


def _is_plain_eighth(node: Node) -> bool:
    return isinstance(node, Leaf) and node.value == NoteValue(_EIGHTH) and bool(node.heads)


def _beamed(nodes: Sequence[Node], metre: Metre) -> tuple[Node, ...]:
    """Nodes with beams drawn over those that share a beam group."""
    wide: dict[int, bool] = {}
    for node in nodes:
        for leaf in leaves_of([node]):
            group = metre.beam_group(leaf.position, eighths=True)
            plain = _is_plain_eighth(node) or (leaf.value is not None and leaf.value.head > _EIGHTH)
            wide[group] = wide.get(group, True) and plain

    def place(node: Node) -> tuple[bool, int]:
        position = next(leaves_of([node])).position
        group = metre.beam_group(position, eighths=True)
        return (True, group) if wide.get(group) else (False, metre.beam_group(position))

    out: list[Node] = []
    run: list[Node] = []

    def close() -> None:
        trailing: list[Node] = []
        while run and not _is_beamable(run[-1]):
            trailing.insert(0, run.pop())
        beamed = len(run) > 1 or any(isinstance(node, TupletNode) for node in run)
        out.extend([BeamNode(tuple(run))] if beamed else run)
        out.extend(trailing)
        run.clear()

    for node in nodes:
        beamable = _is_beamable(node)
        if run and (not (beamable or _is_inner_rest(node)) or place(node) != place(run[0])):
            close()
        if beamable or (run and _is_inner_rest(node)):
            run.append(node)
        else:
            out.append(node)
    close()
    return tuple(out)


def _tuplet_node(leaves: tuple[Leaf, ...], ratio: TupletRatio, metre: Metre) -> TupletNode:
    """Tuplet; within a beat its beam is drawn with its neighbours', across beats it has beams of its own."""
    one_group = metre.beam_group(leaves[0].position) == metre.beam_group(leaves[-1].position)
    node = TupletNode(ratio, leaves)
    return node if one_group and _is_beamable(node) else TupletNode(ratio, _beamed(leaves, metre))


def _places(leaves: Sequence[Leaf]) -> list[Fraction]:
    return [leaf.position for leaf in leaves] + [leaves[-1].position + leaves[-1].quarters]


def _grouped(leaves: Sequence[Leaf], metre: Metre) -> tuple[Node, ...]:
    """Leaves in tuplets and beams."""
    nodes: list[Node] = []
    for cut in stretches(_places(leaves), metre.beat):
        group = tuple(_written(leaf, cut.ratio) for leaf in leaves[cut.first : cut.after])
        nodes.append(_tuplet_node(group, cut.ratio, metre) if cut.ratio else group[0])
    return _beamed(nodes, metre)


def measure_layers(
    notes: Sequence[tuple[int, ExcerptNote]], measures: Sequence[ExcerptMeasure], at: int, *, unfinished: bool = False
) -> tuple[tuple[Node, ...], ...]:
    """Return the layers of one part in measure `at` of `measures`; none where it is silent throughout.

    Parameters
    ----------
    notes : sequence of (int, ExcerptNote)
        The part's notes in that measure, with their indices.
    measures : sequence of ExcerptMeasure
        All measures.
    at : int
        Index of the measure.
    unfinished : bool
        Someone is still writing: what is not written yet is left empty, and rests stand as they were written.

    Raises
    ------
    MediaError
        A duration that no note value and no tuplet writes.

    Examples
    --------
    >>> four = [(n, ExcerptNote(0, 0, Fraction(n, 2), Fraction(1, 2), ("C4",))) for n in range(4)]
    >>> [type(node).__name__ for node in measure_layers(four, [ExcerptMeasure("1", Fraction(2), "2/4")], 0)[0]]
    ['BeamNode']
    """
    shift = pickup_shift(measures, at)
    metre = Metre(measures[at].metre)
    if not any(note.pitches for _, note in notes) and not unfinished:
        return ()
    lanes = _lanes([(index, note) for index, note in notes if note.duration], shift) or [(1, [])]
    end = shift + measures[at].length
    layers = []
    for own, (_voice, lane) in enumerate(lanes):
        # the first lane alone shows that the staff is silent
        others = None if own or unfinished else [leaf for _owner, other in lanes[1:] for leaf in other]
        full = _filled(lane, others, shift, end, metre)
        leaves = [piece for leaf in full for piece in _split(leaf, metre)]
        if not can_be_written(_places(leaves), metre.beat):
            leaves = [piece for leaf in full for piece in _cut_at_beats(leaf, metre)]
        layers.append(leaves)
    graces = [(index, note.voice, note.onset + shift) for index, note in notes if not note.duration and note.pitches]
    layers = _with_graces(layers, [voice for voice, _ in lanes], graces)
    return tuple(_grouped(leaves, metre) for leaves in layers)
