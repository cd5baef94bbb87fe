"""Roman numerals: ours against music21, the same chords in the same keys, nothing cached.

Two pieces of work: the numeral of a chord in a key (both libraries get chord and key objects that are ready, and give
the figure), and the notes of a numeral read as text. Ours has no cache on either path. music21 keeps scales and figures
of keys it has met; a first pass lets it do so, which is to its favour. The two libraries take turns, pass by pass, and
the ratio is the median of the passes' ratios.
"""

from functools import partial

from benchmarks.comparison import in_turn

PASSES = 7
TARGET = "Roman numeral of a chord in a key: 20 times faster"
SYMBOLS = {
    "C major": "C Dm Em/G F G7 Am Bdim D7 A7/C# E7 Dm7 G7/B Am7/C F#dim7 Db/F Fm Ab Bb C/E Fmaj7",
    "A minor": "Am Bdim C Dm/F E7 F G G#dim7 Bm7b5/D A7 B7/D# Dm7 Bb/D E7/G# Am/E C/E F/A Em Fmaj7 D",
}
NUMERALS = ("I", "ii", "V7", "vi", "IV6", "V65", "viio7", "V7/V", "bVI", "iv", "I64", "V42", "iio6", "viio7/ii", "bII6")


#: One row; times are a single numeral's.
compare = partial(in_turn, passes=PASSES, target=TARGET)


def run() -> list[dict[str, object]]:
    """Measure both pieces of work."""
    from music21.chord import Chord as PeerChord
    from music21.key import Key as PeerKey
    from music21.roman import RomanNumeral as PeerNumeral
    from music21.roman import romanNumeralFromChord

    from musictheory_nb.theory.chord import Chord
    from musictheory_nb.theory.key import Key
    from musictheory_nb.theory.roman_analysis import roman_of
    from musictheory_nb.theory.roman_numeral import Roman

    ready = [(Chord(symbol), Key(key)) for key, symbols in SYMBOLS.items() for symbol in symbols.split()]
    as_notes = [([pitch.name for pitch in chord.pitches()], key) for chord, key in ready]
    peer_keys = {"C major": PeerKey("C"), "A minor": PeerKey("a")}
    peer_ready = [
        (PeerChord([pitch.name.replace("b", "-") for pitch in chord.pitches()]), peer_keys[key.name])
        for chord, key in ready
    ]
    key, peer_key = Key("C major"), peer_keys["C major"]
    for numeral in NUMERALS:
        theirs = [pitch.name.replace("-", "b") for pitch in PeerNumeral(numeral, peer_key).pitches]
        assert Roman(numeral, key).names == theirs, "both must read alike what they are timed on"
    return [
        compare(
            "Roman numeral of a chord in a key",
            lambda: [roman_of(chord, key).figure for chord, key in ready],
            lambda: [romanNumeralFromChord(chord, key).figure for chord, key in peer_ready],
            len(ready),
        ),
        compare(
            "Roman numeral of notes given as text, in a key",
            lambda: [roman_of(notes, key).figure for notes, key in as_notes],
            lambda: [
                romanNumeralFromChord(PeerChord([name.replace("b", "-") for name in notes]), peer_keys[key.name]).figure
                for notes, key in as_notes
            ],
            len(ready),
        ),
        compare(
            "notes of a Roman numeral read as text",
            lambda: [Roman(numeral, key).names for numeral in NUMERALS],
            lambda: [[pitch.name for pitch in PeerNumeral(numeral, peer_key).pitches] for numeral in NUMERALS],
            len(NUMERALS),
        ),
    ]


if __name__ == "__main__":
    for measured in run():
        print(measured)
