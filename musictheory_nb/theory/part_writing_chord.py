"""Faults that need the chords and the key: doublings, tendency tones that do not resolve, missing tones.

The leading tone of an applied chord is that of the chord to which it is applied. In an inner voice a leading tone may
fall a third to the fifth of the tonic; before another chord than the tonic only the highest voice is bound; in a chain
of dominants it may fall a half step to the next seventh. A seventh may stay while the next chord holds it (common
practice, from memory).
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, NAMES_BY_FIFTHS
from musictheory_nb.theory.part_writing_motion import Moment
from musictheory_nb.theory.part_writing_rule import Fault
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_numeral import Roman

_THIRDS: Final = ("3", "b3")
_SEVENTHS: Final = ("b7", "7", "bb7")


@lru_cache(maxsize=1024)
def leading_tone(numeral: Roman) -> PitchName | None:
    """Leading tone that a dominant chord holds, None where it is no dominant or holds none.

    Examples
    --------
    >>> leading_tone(Roman("V7", "C major")), leading_tone(Roman("vii°7/ii", "C major")), leading_tone(Roman("I", "C"))
    (PitchName('B'), PitchName('C#'), None)
    """
    if numeral.kind != "plain" or numeral.local_function != "dominant":
        return None
    name = NAMES_BY_FIFTHS.get(numeral.local_key.tonic + 5)
    return name if name in numeral.chord.pitch_names else None


@lru_cache(maxsize=1024)
def _seventh(chord: Chord) -> PitchName | None:
    assert chord.root is not None
    degree = next((degree for degree in chord.degrees if degree in _SEVENTHS), None)
    return None if degree is None else NAMES_BY_FIFTHS[chord.root.fifths + DEGREE_FIFTHS[degree]]


def _with(name: PitchName | None, voices: Sequence[str], moment: Moment) -> list[tuple[int, Pitch]]:
    """Voices that have a note of that name."""
    if name is None:
        return []
    return [
        (place, pitch)
        for place, pitch in enumerate(moment.pitches)
        if pitch is not None and pitch.step == name.step and pitch.alter == name.alter
    ]


def chord_faults(voices: Sequence[str], moment: Moment, numeral: Roman) -> Iterator[Fault]:
    """Faults of one chord: foreign notes, doublings, missing tones.

    Examples
    --------
    >>> moment = Moment("1", (Pitch("B4"), Pitch("B3"), Pitch("G3")))
    >>> [fault.rule for fault in chord_faults(("soprano", "alto", "bass"), moment, Roman("V", "C major"))]
    ['doubled leading tone']
    """
    chord, beat = numeral.chord, moment.beat
    root = numeral.root
    present = {(pitch.step, pitch.alter) for pitch in moment.pitches if pitch is not None}
    own = {(name.step, name.alter) for name in chord.pitch_names}
    for place, pitch in enumerate(moment.pitches):
        if pitch is not None and (pitch.step, pitch.alter) not in own:
            reason = f"{voices[place]} has {pitch.name} at beat {beat}, which is not in {chord.symbol}"
            yield Fault("foreign note", (voices[place],), beat, (pitch.name,), reason)
    for rule, name in (("doubled leading tone", leading_tone(numeral)), ("doubled seventh", _seventh(chord))):
        doubled = _with(name, voices, moment)
        if len(doubled) > 1 and name is not None:
            names = tuple(voices[place] for place, _ in doubled)
            what = "leading tone" if rule == "doubled leading tone" else "seventh"
            reason = f"{' and '.join(names)} both have {name.name}, the {what} of {numeral.figure}, at beat {beat}"
            yield Fault(rule, names, beat, tuple(pitch.name for _, pitch in doubled), reason)
    third = next((degree for degree in chord.degrees if degree in _THIRDS), None)
    if third is not None and numeral.kind != "augmented sixth":
        name = NAMES_BY_FIFTHS[root.fifths + DEGREE_FIFTHS[third]]
        if (name.step, name.alter) not in present:
            reason = f"{numeral.figure} lacks its third, {name.name}, at beat {beat}"
            yield Fault("missing third", (), beat, (name.name,), reason)
    if "1" in chord.degrees and (root.step, root.alter) not in present and "b9" not in chord.degrees:
        yield Fault(
            "missing root", (), beat, (root.name,), f"{numeral.figure} lacks its root, {root.name}, at beat {beat}"
        )
    bass = moment.pitches[-1]
    is_six_four = len(chord.degrees) == 3 and chord.inversion == 2
    if is_six_four and bass is not None and len(_with(bass.pitch_name, voices, moment)) < 2 and len(voices) > 3:
        reason = f"{numeral.figure} at beat {beat} does not double its bass, {bass.name}"
        yield Fault("six-four without doubled bass", (voices[-1],), beat, (bass.name,), reason)


def resolution_faults(
    voices: Sequence[str], before: Moment, after: Moment, numeral: Roman, following: Roman
) -> Iterator[Fault]:
    """Tendency tones of one chord that do not go where they should in the next.

    Examples
    --------
    >>> before, after = Moment("1", (Pitch("F5"), Pitch("G3"))), Moment("2", (Pitch("G5"), Pitch("C3")))
    >>> voices, numerals = ("soprano", "bass"), (Roman("V7", "C major"), Roman("I", "C major"))
    >>> [fault.reason for fault in resolution_faults(voices, before, after, *numerals)]
    ['soprano has F5, the seventh of V7, and goes to G5 at beat 2']
    """
    if following.chord.degrees == numeral.chord.degrees and following.root == numeral.root:
        return  # the same chord goes on
    yield from _leading_faults(voices, before, after, numeral, following)
    yield from _seventh_faults(voices, before, after, numeral, following)
    if numeral.kind == "augmented sixth":
        yield from _sixth_faults(voices, before, after, numeral, following)


def _leading_faults(
    voices: Sequence[str], before: Moment, after: Moment, numeral: Roman, following: Roman
) -> Iterator[Fault]:
    name = leading_tone(numeral)
    tonic = numeral.local_key.tonic_name
    if name is None or tonic not in following.chord.pitch_names or name in following.chord.pitch_names:
        return
    to_tonic = following.root == tonic
    for place, pitch in _with(name, voices, before):
        new = after.pitches[place]
        if new is None or (new.chromatic - pitch.chromatic == 1 and new.step == tonic.step):
            continue
        if not to_tonic and place:
            continue  # a deceptive resolution binds the highest voice; a bass may go on down, V6 vi
        if new.step == pitch.step and new.chromatic - pitch.chromatic == -1:
            continue  # falls to the seventh of the next dominant
        is_inner = 0 < place < len(voices) - 1
        if is_inner and new.diatonic - pitch.diatonic == -2:
            continue  # falls to the fifth of the tonic
        reason = f"{voices[place]} has the leading tone {pitch.name} and goes to {new.name} at beat {after.beat}, not to {tonic.name}"
        yield Fault("unresolved leading tone", (voices[place],), after.beat, (f"{pitch.name} {new.name}",), reason)


def _seventh_faults(
    voices: Sequence[str], before: Moment, after: Moment, numeral: Roman, following: Roman
) -> Iterator[Fault]:
    name = _seventh(numeral.chord)
    if name is None:
        return
    held = _with(name, voices, before)
    resolved = any(_falls(pitch, after.pitches[place]) for place, pitch in held)
    for place, pitch in held:
        new = after.pitches[place]
        if new is None or _falls(pitch, new) or new == pitch:
            continue
        if following.root == numeral.root and any(_with(name, voices, after)):
            continue  # another voice takes it over within the harmony
        if len(held) > 1 and resolved:
            continue  # doubled, which is told apart; one of them resolves
        if _rises_in_tenths(voices, before, after, numeral, following, place):
            continue
        reason = f"{voices[place]} has {pitch.name}, the seventh of {numeral.figure}, and goes to {new.name} at beat {after.beat}"
        yield Fault("unresolved seventh", (voices[place],), after.beat, (f"{pitch.name} {new.name}",), reason)


def _falls(old: Pitch, new: Pitch | None) -> bool:
    return new is not None and new.diatonic - old.diatonic == -1 and 0 < old.chromatic - new.chromatic < 3


def _rises_in_tenths(
    voices: Sequence[str], before: Moment, after: Moment, numeral: Roman, following: Roman, place: int
) -> bool:
    """V43 to I6, where the seventh may rise in tenths with the bass."""
    old, new = before.pitches[place], after.pitches[place]
    low, low_after = before.pitches[-1], after.pitches[-1]
    if old is None or new is None or low is None or low_after is None:
        return False
    return (
        numeral.chord.inversion == 2
        and following.chord.inversion == 1
        and new.diatonic - old.diatonic == 1
        and low_after.diatonic - low.diatonic == 1
    )


def _sixth_faults(
    voices: Sequence[str], before: Moment, after: Moment, numeral: Roman, following: Roman
) -> Iterator[Fault]:
    dominant = numeral.local_key.tonic + 1
    if following.root.fifths not in (dominant, dominant - 1) or following.bass.fifths != dominant:
        return
    goal = NAMES_BY_FIFTHS[dominant]
    raised = NAMES_BY_FIFTHS[numeral.root.fifths + DEGREE_FIFTHS["#6"]]
    for name, way in ((raised, 1), (numeral.root, -1)):
        for place, pitch in _with(name, voices, before):
            new = after.pitches[place]
            if new is None or (new.chromatic - pitch.chromatic == way and new.step == goal.step):
                continue
            up = "up" if way > 0 else "down"
            reason = f"{voices[place]} has {pitch.name} of {numeral.figure} and goes to {new.name} at beat {after.beat}, not {up} to {goal.name}"
            yield Fault(
                "unresolved augmented sixth", (voices[place],), after.beat, (f"{pitch.name} {new.name}",), reason
            )
