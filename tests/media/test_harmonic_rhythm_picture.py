"""Harmonic rhythm: of a lead sheet, the chord symbols that music21 counts; of written chords, what stands there."""

from collections import Counter
from statistics import fmean

import music21

from musictheory_nb.media.harmonic_rhythm_picture import harmonic_rhythm_picture
from musictheory_nb.score.load import load_score


def test_a_lead_sheet_changes_where_its_symbols_stand():
    path = music21.corpus.getWork("leadSheet/fosterBrownHair.mxl")
    told = harmonic_rhythm_picture(load_score(path, cache=False)).alt
    symbols = Counter()
    before = None
    for symbol in music21.converter.parse(path).recurse().getElementsByClass(music21.harmony.ChordSymbol):
        if symbol.figure != before:  # the same chord again is no change
            symbols[symbol.measureNumber] += 1
        before = symbol.figure
    # known_forms.tsv: A is 2-9, B is 18-25
    for section, first, last in (("A", 2, 9), ("B \\(bridge\\)".replace("\\", ""), 18, 25)):
        mean = fmean(symbols[bar] for bar in range(first, last + 1))
        assert f"{section}, bars {first}-{last}: {mean:.1f} a bar" in told


def test_the_busiest_bars_are_named():
    text = b"X:1\nM:4/4\nL:1/2\nK:C\n[C,EGc]2|[F,FAc][G,DGB]|[C,EGc]2|[F,FAc][G,DGB]|[C,EGc]2|]\n"
    told = harmonic_rhythm_picture(load_score(text, cache=False)).alt
    assert "1.4 on average, at most 2, in bars 2, 4." in told
