"""Part-writing faults against music21's voice-leading tests and taught examples."""

import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from music21.note import Note
from music21.voiceLeading import VoiceLeadingQuartet

from musictheory_nb.errors import PitchError, VoiceLeadingError
from musictheory_nb.theory.part_writing import part_faults
from musictheory_nb.theory.part_writing_rule import PART_WRITING_RULES, VOICE_RANGES
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voice_leading import MOTIONS, motion_of, movement_semitones, smoothest, step_of

notes = st.builds(
    lambda step, alter, octave: f"{step}{alter}{octave}",
    st.sampled_from("CDEFGAB"),
    st.sampled_from(["", "", "", "#", "b"]),
    st.integers(3, 5),
)


def quartet(upper: list[str], lower: list[str]) -> VoiceLeadingQuartet:
    """The same four notes for music21, which writes flats as minus signs."""
    return VoiceLeadingQuartet(*(Note(name.replace("b", "-")) for name in (*upper, *lower)))


def rules(parts, **settings_) -> list[str]:
    return [fault.rule for fault in part_faults(parts, **settings_)]


def same_octaves(pitches: list[tuple[Pitch, Pitch]]) -> bool:
    """Whether two voices on one letter stay the same number of octaves apart."""
    (high, high_after), (low, low_after) = pitches
    return high.diatonic - low.diatonic == high_after.diatonic - low_after.diatonic


@settings(max_examples=300)
@given(upper=st.lists(notes, min_size=2, max_size=2), lower=st.lists(notes, min_size=2, max_size=2))
def test_two_voices_agree_with_music21(upper, lower):
    theirs = quartet(upper, lower)
    found = rules({"upper": upper, "lower": lower})
    pitches = [(Pitch(first), Pitch(second)) for first, second in (upper, lower)]
    # an enharmonic change is no motion here, and unison and octave are alike; music21 takes them apart
    assume(all(first == second or first.chromatic != second.chromatic for first, second in pitches))
    assume(
        not (pitches[0][0].step == pitches[1][0].step and pitches[0][1].step == pitches[1][1].step)
        or same_octaves(pitches)
    )
    crossing = theirs.voiceCrossing()
    assert ("crossing" in found) == crossing
    if crossing:
        return  # music21 measures intervals from the voice called upper, which then lies below
    motion = {
        "Oblique": "oblique",
        "Parallel": "parallel",
        "Similar": "similar",
        "Contrary": "contrary",
        "No Motion": "static",
    }
    assert motion_of(upper, lower) == motion[str(theirs.motionType().value)]
    same_way = motion_of(upper, lower) in ("parallel", "similar")
    assert ("parallel fifths" in found) == (theirs.parallelFifth() and same_way)
    assert ("parallel unisons" in found) == (theirs.parallelUnison() and same_way)
    assert ("parallel octaves" in found) == (
        same_way and not theirs.parallelUnison() and theirs.parallelUnisonOrOctave()
    )
    assert ("contrary fifths" in found) == theirs.antiParallelMotion("P5")
    assert ("contrary octaves" in found) == (theirs.antiParallelMotion("P8") or theirs.antiParallelMotion("P1"))
    assert ("overlap" in found) == theirs.voiceOverlap()
    leap = step_of(*upper) == "leap"
    assert ("hidden fifths" in found) == (theirs.hiddenFifth() and leap)
    assert ("hidden octaves" in found) == ((theirs.hiddenOctave() or theirs.hiddenInterval("P1")) and leap)


def four(soprano: str, alto: str, tenor: str, bass: str) -> dict[str, str]:
    return {"soprano": soprano, "alto": alto, "tenor": tenor, "bass": bass}


# One example for each rule, as harmony courses show them (common practice, no source): voices, key, chords, and the faults
# that are there with their voices and beats.
EXAMPLES = [
    ("parallel fifths", four("G4 A4", "E4 F4", "C4 C4", "C3 D3"), None, ("soprano", "bass"), "2"),
    ("parallel octaves", four("C5 D5", "G4 F4", "E4 A3", "C3 D3"), None, ("soprano", "bass"), "2"),
    ("parallel unisons", four("C5 C5", "E4 F4", "E4 F4", "C3 A2"), None, ("alto", "tenor"), "2"),
    ("contrary fifths", four("D5 E5", "B4 C5", "D4 G4", "G3 C3"), None, ("tenor", "bass"), "2"),
    ("contrary octaves", four("C5 G4", "G4 D4", "E4 B3", "C3 G3"), None, ("soprano", "bass"), "2"),
    ("hidden fifths", four("E5 A5", "G4 F4", "C4 A3", "C3 D3"), None, ("soprano", "bass"), "2"),
    ("hidden octaves", four("E4 G4", "C4 D4", "G3 B3", "C3 G3"), None, ("soprano", "bass"), "2"),
    ("unequal fifths", four("F4 G4", "D4 E4", "G3 G3", "B2 C3"), None, ("soprano", "bass"), "2"),
    ("overlap", four("E4 D5", "C4 F4", "G3 G3", "C3 G2"), None, ("soprano", "alto"), "2"),
    ("crossing", four("C4", "E4", "G3", "C3"), None, ("soprano", "alto"), "1"),
    ("spacing", four("C5", "B3", "G3", "C3"), None, ("soprano", "alto"), "1"),
    ("range", four("C5", "G4", "E4", "C2"), None, ("bass",), "1"),
    ("all voices in one direction", four("E4 F4", "C4 D4", "G3 A3", "C3 D3"), None, None, "2"),
    ("cross relation", four("C5 A4", "A4 E4", "E4 E4", "A3 C#4"), None, ("soprano", "bass"), "2"),
    ("augmented second", four("F4 G#4", "D4 D4", "A3 B3", "D3 E3"), "A minor", ("soprano",), "2"),
    ("augmented interval", four("F4 B4", "D4 D4", "A3 G3", "D3 G3"), "C major", ("soprano",), "2"),
    ("seventh leap", four("C4 B4", "G3 G3", "E3 D3", "C3 G2"), None, ("soprano",), "2"),
    ("leap beyond the octave", four("C4 D5", "G3 B3", "E3 G3", "C3 G2"), None, ("soprano",), "2"),
    ("unrecovered diminished leap", four("F5 B4 A4", "A4 G4 E4", "D4 D4 C4", "D3 G3 A3"), None, ("soprano",), "2"),
    ("unrecovered leap", four("C4 A4 B4", "G3 F4 G4", "E3 C4 D4", "C3 F3 G3"), None, ("soprano",), "2"),
    ("doubled leading tone", four("B4", "D4", "B3", "G3"), "C major", ("soprano", "tenor"), "1"),
    ("doubled seventh", four("F5", "B4", "F4", "G3"), "C major", ("soprano", "tenor"), "1"),
    ("unresolved leading tone", four("B4 G4", "F4 E4", "D4 C4", "G3 C3"), "C major", ("soprano",), "2"),
    ("unresolved seventh", four("F5 G5", "B4 C5", "D4 E4", "G3 C3"), "C major", ("soprano",), "2"),
    ("unresolved augmented sixth", four("F#5 D5", "C5 B4", "C4 G4", "Ab3 G3"), "C major", ("soprano",), "2"),
    ("missing third", four("D5", "F4", "G4", "G3"), "C major", (), "1"),
    ("six-four without doubled bass", four("E5", "C5", "C4", "G3"), "C major", ("bass",), "1"),
]


@pytest.mark.parametrize(("rule", "parts", "key", "voices", "beat"), EXAMPLES, ids=[row[0] for row in EXAMPLES])
def test_taught_example(rule, parts, key, voices, beat):
    chords = {"missing third": ["V7"]}.get(rule)
    found = [fault for fault in part_faults(parts, key, chords) if fault.rule == rule]
    assert found, part_faults(parts, key, chords)
    assert voices is None or voices in [fault.voices for fault in found]
    assert {fault.beat for fault in found} == {beat}
    assert all(beat in fault.reason for fault in found)


def test_every_rule_has_its_example():
    told_elsewhere = {"missing root", "foreign note"}
    assert {row[0] for row in EXAMPLES} | told_elsewhere == set(PART_WRITING_RULES)


def test_missing_root_and_foreign_note():
    found = part_faults(four("E5", "G4", "E4", "G3"), "C major", ["I64"])
    assert "missing root" in [fault.rule for fault in found]
    found = part_faults(four("D5", "G4", "E4", "C3"), "C major", ["I"])
    assert [(fault.rule, fault.voices, fault.notes) for fault in found] == [("foreign note", ("soprano",), ("D5",))]


# Correct settings from harmony courses (common practice, no source): no faults, and no cautions either.
CORRECT = [
    (four("B4 C5", "F4 E4", "D4 C4", "G3 C3"), "C major"),
    (four("G4 G4 A4 G4 G4", "E4 D4 F4 F4 E4", "C4 B3 C4 B3 C4", "C3 G3 F3 G3 C3"), "C major"),
    (four("C5 C5 B4 C5", "G4 F4 G4 G4", "E4 C4 D4 E4", "C3 A3 G3 C3"), "C major"),
    (four("D5 C5", "G4 G4", "B3 C4", "F3 E3"), "C major"),
    (four("C5 B4 B4 A4", "A4 F4 E4 E4", "E4 D4 D4 C4", "A3 B3 G#3 A3"), "A minor"),
    (four("A4 A4 G#4", "D4 C4 B3", "F3 E3 E3", "D3 A2 E3"), "A minor"),
    (four("F#4 G4", "C4 D4", "C4 B3", "Ab2 G2"), "C major"),
]


@pytest.mark.parametrize(("parts", "key"), CORRECT)
def test_correct_settings_have_no_faults(parts, key):
    assert [fault.reason for fault in part_faults(parts, key) if fault.severity == "fault"] == []


def test_leading_tone_of_an_inner_voice_may_fall_to_the_fifth():
    parts = four("D5 C5", "B4 G4", "G4 E4", "G3 C3")
    assert part_faults(parts, "C major", rules=["unresolved leading tone"]) == ()
    parts = four("B4 G4", "G4 E4", "D4 C4", "G3 C3")
    assert [f.voices for f in part_faults(parts, "C major", rules=["unresolved leading tone"])] == [("soprano",)]


def test_sevenths_that_may_stay_or_pass_on():
    stays = four("F5 F5 E5", "B4 A4 G4", "D4 D4 C4", "G3 F3 C3")
    assert part_faults(stays, "C major", rules=["unresolved seventh"]) == ()
    tenths = four("F5 G5", "G4 G4", "B3 C4", "D4 E4")
    assert part_faults(tenths, "C major", chords=["V43", "I6"], rules=["unresolved seventh"]) == ()
    chain = four("C5 B4 C5", "F#4 F4 E4", "A3 G3 G3", "D3 G3 C3")
    assert part_faults(chain, "C major", chords=["V7/V", "V7", "I"], rules=["unresolved leading tone"]) == ()


def test_a_bach_chorale_has_no_forbidden_parallels():
    # Aus meines Herzens Grunde, BWV 269, as bundled with music21: a model of four-part writing
    from music21 import corpus

    score = corpus.parse("bach/bwv269")
    starts = sorted({note.getOffsetInHierarchy(score) for part in score.parts for note in part.flatten().notes})
    parts = {}
    for name, part in zip(("soprano", "alto", "tenor", "bass"), score.parts, strict=True):
        line = []
        for start in starts:
            at = [n for n in part.flatten().notes if n.offset <= start < n.offset + n.quarterLength]
            line.append(at[0].nameWithOctave.replace("-", "b") if at else None)
        parts[name] = line
    assert len(starts) > 60
    found = {fault.rule for fault in part_faults(parts, beats=[str(start) for start in starts])}
    assert not found & {
        "parallel fifths",
        "parallel octaves",
        "parallel unisons",
        "contrary fifths",
        "contrary octaves",
    }
    assert not found & {"crossing", "spacing", "range", "augmented second", "hidden fifths", "hidden octaves"}


@given(st.sampled_from(EXAMPLES), st.sampled_from(["M2", "m2", "-m2", "-M2"]))
def test_a_fault_is_one_in_every_key(row, by):
    from musictheory_nb.theory.key import Key

    rule, parts, key, voices, beat = row
    moved = {name: [Pitch(note).up(by) for note in line.split()] for name, line in parts.items()}
    tonic = None if key is None else Key.of(Key(key).tonic.up(by), Key(key).mode)
    chords = {"missing third": ["V7"]}.get(rule)
    found = [fault for fault in part_faults(moved, tonic, chords) if fault.rule == rule]
    if rule != "range":
        assert found
        assert voices is None or voices in [fault.voices for fault in found]
        assert {fault.beat for fault in found} == {beat}


def test_beats_and_rests_and_other_numbers_of_voices():
    parts = {"upper": "G4 - A4 B4", "lower": "C4 C4 D4 E4"}
    found = part_faults(parts, beats=["1.1", "1.2", "2.1", "2.2"])
    assert [(fault.rule, fault.beat) for fault in found] == [("parallel fifths", "2.2")]
    three = {"flute": "G5 A5", "oboe": "E5 F5", "bassoon": "C3 D3"}
    assert "parallel fifths" in rules(three)
    assert set(VOICE_RANGES) == {"soprano", "alto", "tenor", "bass"}


def test_refusals():
    good = four("C5", "G4", "E4", "C3")
    with pytest.raises(VoiceLeadingError, match="at least two voices"):
        part_faults({"soprano": "C5"})
    with pytest.raises(VoiceLeadingError, match="voice 'alto': has 2 notes, 'soprano' has 1"):
        part_faults({"soprano": "C5", "alto": "G4 A4"})
    with pytest.raises(PitchError, match="voice 'alto': pitch 'G'"):
        part_faults({"soprano": "C5", "alto": "G"})
    with pytest.raises(VoiceLeadingError, match="rule 'fifths': must be one of 'parallel fifths'"):
        part_faults(good, rules=["fifths"])
    with pytest.raises(VoiceLeadingError, match=re.escape("beats [1, 2]: give one for each of the 1 moments")):
        part_faults(good, beats=[1, 2])
    with pytest.raises(VoiceLeadingError, match="each moment needs a label of its own"):
        part_faults({"a": "C5 D5", "b": "C4 D4"}, beats=[1, 1])
    with pytest.raises(VoiceLeadingError, match="chords: give the key too"):
        part_faults(good, chords=["I"])
    with pytest.raises(VoiceLeadingError, match="give one for each of the 1 moments"):
        part_faults(good, "C major", chords=["I", "V"])


# voice_leading


def test_motions_and_steps():
    assert {motion_of(*pair) for pair in [
        (["E4", "F4"], ["C4", "D4"]), (["G4", "C5"], ["C4", "D4"]), (["E4", "D4"], ["C4", "D4"]),
        (["E4", "D4"], ["C4", "C4"]), (["E4", "E4"], ["C4", "C4"]),
    ]} == set(MOTIONS)  # fmt: skip
    # a minor and a major third are both thirds
    assert motion_of(["E4", "F4"], ["C4", "D4"]) == "parallel"


@given(st.lists(notes, min_size=1, max_size=4), st.data())
def test_smoothest_way_is_no_longer_than_any_other(voices, data):
    names = data.draw(
        st.lists(st.sampled_from(["C", "D", "Eb", "F#", "G", "A", "Bb"]), min_size=len(voices), max_size=len(voices))
    )
    best = smoothest(voices, names)
    assert sorted(pitch.pitch_name.name for pitch in best) == sorted(names)
    other = [Pitch(f"{name}4") for name in data.draw(st.permutations(names))]
    assert movement_semitones(voices, best) <= movement_semitones(voices, other)


def test_smoothest_refusals():
    with pytest.raises(VoiceLeadingError, match="names: 1 for 2 voices"):
        smoothest(["C4", "E4"], ["F"])
    with pytest.raises(VoiceLeadingError, match="voices: 8 are too many"):
        smoothest(["C4"] * 8, ["C"] * 8)
    with pytest.raises(VoiceLeadingError, match="give two pitches, before and after"):
        motion_of("C4", ["C4", "D4"])
