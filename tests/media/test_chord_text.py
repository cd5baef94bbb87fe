"""Chord symbols in print and in words: common practice, no source; letter widths against Adobe's metrics."""

from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import pytest
from matplotlib._afm import AFM

from musictheory_nb.media.chord_text import _WIDTHS, drawn_chord, placeholder, printed_chord, spoken_chord


@pytest.mark.parametrize(
    ("written", "printed", "spoken"),
    [
        ("C", "C", "C"),
        ("Bb7", "B♭7", "B-flat 7"),
        ("B♭7", "B♭7", "B-flat 7"),
        ("F#m7b5", "F♯m7♭5", "F-sharp minor 7 flat 5"),
        ("Gø7", "Gø7", "G half-diminished 7"),
        ("G7alt", "G7alt", "G 7 altered"),
        ("Cmaj7", "Cmaj7", "C major 7"),
        ("C△7", "C△7", "C major 7"),
        ("CM7", "CM7", "C major 7"),
        ("Cm7", "Cm7", "C minor 7"),
        ("C-7", "C-7", "C minor 7"),
        ("Cm(maj7)", "Cm(maj7)", "C minor major 7"),
        ("Ebmaj9(#11)", "E♭maj9(♯11)", "E-flat major 9 sharp 11"),
        ("C7(b9,#9,b13)", "C7(♭9,♯9,♭13)", "C 7 flat 9 sharp 9 flat 13"),
        ("B(b5)", "B(♭5)", "B flat 5"),
        ("Bb5", "B♭5", "B-flat 5"),
        ("Bbb7", "B♭♭7", "B-double-flat 7"),
        ("Db7/Ab", "D♭7/A♭", "D-flat 7 over A-flat"),
        ("D/C7", "D/C7", "D over C 7"),
        ("C6/9", "C6/9", "C 6 9"),
        ("Csus4", "Csus4", "C suspended 4"),
        ("G7sus4(b9)", "G7sus4(♭9)", "G 7 suspended 4 flat 9"),
        ("Cadd9", "Cadd9", "C add 9"),
        ("Bdim7", "Bdim7", "B diminished 7"),
        ("B°7", "B°7", "B diminished 7"),
        ("Caug", "Caug", "C augmented"),
        ("C+", "C+", "C augmented"),
        ("C7(no3)", "C7(no3)", "C 7 no 3"),
        ("N.C.", "N.C.", "no chord"),
        ("NC", "NC", "no chord"),
        ("bVII7", "♭VII7", "flat VII 7"),
    ],
)
def test_chord_in_print_and_in_words(written, printed, spoken):
    assert printed_chord(written) == printed
    assert spoken_chord(written) == spoken


def test_letter_widths_are_those_of_helvetica():
    path = Path(matplotlib.get_data_path()) / "fonts" / "pdfcorefonts" / "Helvetica.afm"
    with open(path, "rb") as file:
        metrics = AFM(file)
    names = {"°": "degree", "ø": "oslash", "Ø": "Oslash", "'": "quotesingle"}
    for character, width in _WIDTHS.items():
        theirs = (
            metrics.get_width_from_char_name(names[character])
            if character in names
            else metrics.get_width_char(ord(character))
        )
        assert width == theirs, character


@pytest.mark.parametrize("written", ["Bb7", "F#m7b5", "C△7", "C & <D>", "N.C.", "♮"])
def test_drawing_is_well_formed_and_runs_left_to_right(written):
    root = ElementTree.fromstring(f"<g>{drawn_chord(written, 100, 50, 400)}</g>")
    text = "".join(child.text for child in root if child.tag == "text")
    assert text == "".join(character for character in printed_chord(written) if character not in "♭♯♮△")
    places = [
        float(child.get("x")) if child.tag == "text" else float(child.get("transform").split("(")[1].split()[0])
        for child in root
    ]
    assert places == sorted(places)
    assert places[0] == 100


def test_room_kept_is_at_least_the_room_drawn():
    for written in ("Bb7", "F#m7b5", "Ebmaj9(#11)/Bb", "N.C."):
        last = ElementTree.fromstring(f"<g>{drawn_chord(written, 0, 0, 390)}</g>")[-1]
        end = (
            float(last.get("x")) + float(last.get("textLength"))
            if last.tag == "text"
            else float(last.get("transform").split("(")[1].split()[0]) + 160
        )
        assert (
            len(placeholder(written)) * 0.5 * 405 >= end
        )  # a zero of Times is half an em; verovio's text is 405 units
