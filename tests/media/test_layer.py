"""Voices, rests, beams and tuplets of a measure: sums, and what handbooks of notation ask for (common practice)."""

from fractions import Fraction as F

import pytest

from musictheory_nb.media.layer import BeamNode, Leaf, TupletNode, leaves_of, measure_layers, pickup_shift
from musictheory_nb.media.metre import Metre
from musictheory_nb.media.passage import notes_by_measure
from musictheory_nb.practice.excerpt import ExcerptMeasure, ExcerptNote


def layers_of(notes, metre="4/4", length=None, number="1"):
    measure = ExcerptMeasure(number, length or Metre(metre).length, metre)
    return measure_layers(list(enumerate(notes)), [measure], 0)


def drawn(nodes) -> str:
    """Nodes as letters: w h q e s t for values (capitals for rests, _ for space), dots, ( ) beams, [3: ] tuplets."""
    letters = {F(4): "w", F(2): "h", F(1): "q", F(1, 2): "e", F(1, 4): "s", F(1, 8): "t"}
    out = ""
    for node in nodes:
        if isinstance(node, BeamNode):
            out += f"({drawn(node.children)})"
        elif isinstance(node, TupletNode):
            out += f"[{node.ratio.num}:{drawn(node.children)}]"
        else:
            letter = letters[node.value.head]
            letter = letter if node.heads else "_" if node.hidden else letter.upper()
            out += letter + "." * node.value.dots
    return out


def rhythm(text: str, metre: str = "4/4") -> str:
    """Draw the layer of one measure from durations; a leading r makes a rest."""
    notes, onset = [], F(0)
    for word in text.split():
        duration = F(word.removeprefix("r"))
        notes.append(ExcerptNote(0, 0, onset, duration, () if word.startswith("r") else ("C5",)))
        onset += duration
    (layer,) = layers_of(notes, metre)
    return drawn(layer)


@pytest.mark.parametrize(
    ("metre", "durations", "expected"),
    [
        ("4/4", "1/2 1/2 1/2 1/2 1/2 1/2 1/2 1/2", "(eeee)(eeee)"),
        ("4/4", "1/2 1/2 1/4 1/4 1/2 2", "(ee)(sse)h"),  # sixteenths: by the beat
        ("4/4", "1 1/2 1/2 1/2 1/2 1", "q(ee)(ee)q"),
        ("3/4", "1/2 1/2 1/2 1/2 1/2 1/2", "(eeeeee)"),
        ("2/4", "1/4 1/2 1/4 1/2 1/2", "(ses)(ee)"),
        ("6/8", "1/2 1/2 1/2 1 1/2", "(eee)qe"),
        ("6/8", "3/4 1/4 1/2 1/2 1/2 1/2", "(e.se)(eee)"),
        ("2/2", "1/2 1/2 1/2 1/2 1/4 1/4 1/4 1/4 1", "(eeee)(ssss)q"),
        ("4/4", "1/2 1 1/2 2", "eqeh"),  # across the beat: flags
        ("4/4", "1/2 r1/2 1/2 1/2 2", "eE(ee)h"),  # an eighth rest ends a beam
        ("2/4", "1/4 r1/4 1/4 1/4 1", "(sSss)q"),  # a short rest stays under it
        ("2/4", "r1/4 1/4 1/4 1/4 1", "S(sss)q"),  # but not at its edge
        ("2/4", "3/4 1/4 1/2 1/2", "(e.s)(ee)"),
        ("7/8", "1/2 1/2 1/2 1/2 1/2 1/2 1/2", "(ee)(ee)(eee)"),
        ("4/4", "5/2 3/2", "heq."),
        ("4/4", "1/3 1/3 1/3 1 2", "([3:eee])qh"),
        ("4/4", "2/3 1/3 1 2", "[3:qe]qh"),
        ("4/4", "2/3 2/3 2/3 2", "[3:qqq]h"),
        ("4/4", "1/2 1/6 1/6 1/6 1 2", "(e[3:sss])qh"),
        ("4/4", "1/2 1/6 1/3 1 2", "([3:e.se])qh"),
        ("4/4", "r1/3 1/3 1/3 1 2", "[3:E(ee)]qh"),
        ("4/4", "1/3 3/2 1/6 2", "[3:eq][3:q(ss)]h"),
        ("4/4", "1/5 1/5 1/5 1/5 1/5 1 2", "([5:sssss])qh"),
    ],
)  # fmt: skip
def test_beams_and_tuplets(metre, durations, expected):
    assert rhythm(durations, metre) == expected


def test_gaps_become_rests_and_space_beside_another_voice():
    notes = [
        ExcerptNote(0, 0, F(0), F(1), ("C5",), 1),
        ExcerptNote(0, 0, F(3), F(1), ("D5",), 1),
        ExcerptNote(0, 0, F(2), F(1), ("A4",), 2),
    ]
    first, second = layers_of(notes)
    assert drawn(first) == "qQ_q"  # silence of the whole staff is written once; where the other voice sounds, nothing
    assert drawn(second) == "_q_"
    (alone,) = layers_of(notes[:2])
    assert drawn(alone) == "qQQq"


def test_overlapping_notes_of_one_voice_take_two_layers():
    notes = [ExcerptNote(0, 0, F(0), F(4), ("C4",), 1), ExcerptNote(0, 0, F(1), F(1), ("E4",), 1)]
    assert [drawn(layer) for layer in layers_of(notes)] == ["w", "_q_"]


def test_notes_of_one_onset_and_length_are_one_chord():
    notes = [ExcerptNote(0, 0, F(0), F(4), ("C4",)), ExcerptNote(0, 0, F(0), F(4), ("E4", "G4"))]
    (layer,) = layers_of(notes)
    (leaf,) = leaves_of(layer)
    assert leaf.heads == ((0, 0), (1, 0), (1, 1))


def test_a_silent_measure_has_no_layers():
    assert layers_of([]) == ()
    assert layers_of([ExcerptNote(0, 0, F(0), F(1)), ExcerptNote(0, 0, F(1), F(3))]) == ()


def test_grace_notes_go_before_the_note_they_lead_to_or_over_the_barline():
    notes = [
        ExcerptNote(0, 0, F(0), F(0), ("B4",)),
        ExcerptNote(0, 0, F(0), F(2), ("C5",)),
        ExcerptNote(0, 0, F(2), F(2), ("D5",)),
        ExcerptNote(0, 0, F(4), F(0), ("E5",)),
        ExcerptNote(0, 0, F(2), F(0), ("C5",)),
        ExcerptNote(0, 0, F(2), F(0), ("C#5",)),
    ]
    (layer,) = layers_of(notes)
    leaves = list(leaves_of(layer))
    assert [(leaf.graces, leaf.graces_after) for leaf in leaves] == [((0,), ()), ((4, 5), (3,))]
    only = layers_of([ExcerptNote(0, 0, F(0), F(0), ("B4",))])
    assert next(leaves_of(only[0])).graces == (0,)


def measures(*lengths: F, metre: str = "3/4", first: int = 1) -> list[ExcerptMeasure]:
    return [ExcerptMeasure(str(first + at), length, metre) for at, length in enumerate(lengths)]


def test_a_pickup_ends_with_the_measure():
    assert pickup_shift(measures(F(1), F(3), F(2), first=0), 0) == 2
    assert pickup_shift(measures(F(1), F(3), F(2), first=0), 1) == 0
    assert (
        pickup_shift(measures(F(1), F(3), F(2), first=0), 2) == 0
    )  # the last measure completes the pickup: from beat 1
    # a repeat that divides a measure: the second part completes the first
    assert pickup_shift(measures(F(3), F(2), F(1), F(3)), 2) == 2


def test_beams_of_a_pickup_follow_its_place_in_the_measure():
    notes = [ExcerptNote(0, 0, F(at, 2), F(1, 2), ("C5",)) for at in range(3)]
    (layer,) = layers_of(notes, "4/4", F(3, 2), "0")
    assert drawn(layer) == "(eee)"  # the second half of the measure


def test_every_layer_fills_its_measure(written):
    places = notes_by_measure(written)
    for (_part, at), notes in places.items():
        shift, length = pickup_shift(written.measures, at), written.measures[at].length
        for layer in measure_layers(notes, written.measures, at):
            leaves = list(leaves_of(layer))
            assert sum(leaf.quarters for leaf in leaves) == length
            position = shift
            for leaf in leaves:
                assert isinstance(leaf, Leaf)
                assert leaf.position == position
                position += leaf.quarters
        heads = [
            head
            for layer in measure_layers(notes, written.measures, at)
            for leaf in leaves_of(layer)
            for head in leaf.heads
            if leaf.piece == 0
        ]
        assert sorted(heads) == sorted((i, k) for i, note in notes if note.duration for k in range(len(note.pitches)))
