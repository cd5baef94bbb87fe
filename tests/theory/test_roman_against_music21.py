"""Every Roman numeral of the analyses bundled with music21: the same pitch classes as music21 gives.

music21 reads the RomanText files (its tokenizer finds figures and keys) and realizes each figure with its own rules, with
the cautionary reading of the sixth and seventh degrees of minor that its own RomanText reader uses. The exceptions are
listed by reason; one that is no longer an exception fails too.
"""

from functools import cache
from pathlib import Path

import music21
import pytest
from music21.roman import Minor67Default, RomanNumeral
from music21.romanText import rtObjects

from musictheory_nb.errors import TheoryError
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_analysis import roman_of, roman_readings
from musictheory_nb.theory.roman_numeral import Roman

#: Pairs of figure and key on which the two differ, by reason. A capital key is major, a small one minor.
EXCEPTIONS = {
    "a slash with nothing behind it, a slip of the pen: refused here, read as if it were not there by music21": {
        ("V/", "C"), ("V/", "d"), ("V/", "g"), ("V6/", "C"), ("viio6/", "G"), ("viio6/", "d"), ("IV/", "a"), ("IV/", "d"),
    },
    "no numeral at all, left over by the tokenizer: refused by both, or made up by music21 from the letters": {
        (":", "a"), (":", "G"), ("1", "a"), ("D", "G"), ("var", "a"),
    },
    "no such degree, a slip of the pen: refused here, read as VII by music21": {("VIII", "d"), ("viiio4/3", "d")},
    "figures on the chord behind the slash: refused here, ignored by music21": {("viio6/iv6", "d")},
    "a plus behind the figure: refused here with advice (III+6), read as a triad with a perfect fifth by music21": {
        ("III6+", "d"),
    },
    "a bare 4: refused here as ambiguous, read as root and fourth by music21": {("I4", "a")},
    "[#3] on a numeral that tells its third: refused here, F double sharp in D minor for music21": {("I[#3]", "d")},
    "[no6], counted from the bass: refused here, ignored by music21": {("I6/4/V[no6]", "C")},
    "changes behind the slash: taken out of the chord here, ignored by music21": {
        ("V/V[no3]", "g"), ("viio6/II[no5]", "g"),
    },
    "[maj7] is a major seventh here; music21 loses notes (D and C# only)": {("bVII7[maj7]", "E")},
    "the flat only repeats that III of minor is lowered: F A C here, F flat in D minor for music21. The score has F A C": {
        ("bIII", "d"),
    },
    "a bare 7 over a root outside the scale is minor here (Bb7 in C), from the key's scale in music21 (Bb D F A)": {
        ("bVII7", "C"), ("bVII6/5", "F"),
    },
    "ø without figures is a seventh chord here, a triad in music21": {("ii/o", "d")},
    "ø with the figure of a triad: refused here as ambiguous, a triad in music21": {("vii/o6/VII", "g")},
}  # fmt: skip
#: With our default, vii needs no ring: these differ too. With ring="written" they agree.
IMPLIED_RINGS = {
    ("vii", "B-"), ("vii6", "B-"), ("vii4/3", "B-"), ("vii7/V", "B-"), ("vii6/V", "F"), ("vii6", "a"),
}  # fmt: skip


@cache
def analyses() -> list[Path]:
    return sorted((Path(music21.__file__).parent / "corpus").rglob("*.rntxt"))


@cache
def bundled_numerals() -> dict[tuple[str, str], int]:
    """How often each pair of figure and key occurs in the bundled analyses."""
    found: dict[tuple[str, str], int] = {}
    for path in analyses():
        file = rtObjects.RTFile()
        file.open(str(path))
        tokens = file.read().tokens
        file.close()
        key = ""
        for token in tokens:
            for atom in getattr(token, "atoms", ()):
                if isinstance(atom, rtObjects.RTKey | rtObjects.RTAnalyticKey):
                    key = atom.getKey().tonicPitchNameWithCase
                elif isinstance(atom, rtObjects.RTChord):
                    pair = (atom.src, key)
                    found[pair] = found.get(pair, 0) + 1
    return found


@cache
def music21_names(figure: str, key: str) -> tuple[str, ...]:
    """Names that music21 gives, from the bass up; empty where it refuses the figure."""
    cautionary = Minor67Default.CAUTIONARY
    try:
        numeral = RomanNumeral(figure, key, sixthMinor=cautionary, seventhMinor=cautionary)
    except music21.roman.RomanNumeralException:
        return ()
    return tuple(pitch.name.replace("-", "b") for pitch in numeral.pitches)


def our_key(key: str) -> str:
    name = key[0].upper() + key[1:].replace("-", "b")
    return f"{name} {'minor' if key[0].islower() else 'major'}"


def differs(figure: str, key: str, ring: str) -> bool:
    theirs = {PitchName(name).pitch_class for name in music21_names(figure, key)}
    try:
        ours = Roman(figure, our_key(key), ring=ring).chord.pitch_classes
    except TheoryError:
        return True
    return ours != theirs


def test_all_analyses_are_read():
    assert len(analyses()) == 68
    assert len(bundled_numerals()) > 800
    assert sum(bundled_numerals().values()) > 7000


@pytest.mark.parametrize(("ring", "more"), [("written", set()), ("implied", IMPLIED_RINGS)])
def test_same_pitch_classes_as_music21(ring, more):
    listed = set().union(*EXCEPTIONS.values()) | more
    assert {pair for pair in bundled_numerals() if differs(*pair, ring)} == listed


def test_every_numeral_that_is_read_reads_back():
    for figure, key in bundled_numerals():
        try:
            numeral = Roman(figure, our_key(key))
        except TheoryError:
            continue
        assert Roman(numeral.figure, our_key(key)) == numeral


def whole_numerals() -> list[tuple[tuple[str, str], int, Roman]]:
    """Pairs on which both agree, without those that leave out notes, with how often they occur."""
    return [
        (pair, times, Roman(pair[0], our_key(pair[1]), ring="written"))
        for pair, times in bundled_numerals().items()
        if "[" not in pair[0] and not differs(*pair, "written")
    ]


def test_what_analysts_write_is_among_our_readings_of_the_notes():
    # The other way, without context: from music21's notes to the analysts' numeral, for chords that are not applied.
    first = all_of_them = 0
    for (figure, key), times, wanted in whole_numerals():
        if wanted.is_applied:
            continue
        readings = [reading.roman for reading in roman_readings(music21_names(figure, key), our_key(key))]
        assert wanted in readings, f"{figure} in {key}: {readings}"
        first += times * (readings[0] == wanted)
        all_of_them += times
    assert all_of_them > 6000
    assert first / all_of_them > 0.99


def test_what_follows_tells_what_a_chord_is_applied_to():
    # With the chord behind the slash as the next one, from music21's notes to the analysts' numeral. Left out are triads
    # of the key itself (V/III in minor is VII by its notes) and functions other than the dominant's (IV/V).
    count = 0
    for (figure, key), _, wanted in whole_numerals():
        if not wanted.is_applied or wanted.local_function != "dominant" or wanted.applied_to.is_applied:
            continue
        is_own_triad = wanted.is_diatonic and wanted.chord.degrees == ("1", "3", "5")
        has_leading_tone = not {"b3", "5"} <= set(wanted.chord.degrees)  # v/ii has none
        if is_own_triad or not has_leading_tone:
            continue
        found = roman_of(music21_names(figure, key), our_key(key), following=wanted.applied_to.chord)
        assert found == wanted, f"{figure} in {key}"
        count += 1
    assert count > 80
