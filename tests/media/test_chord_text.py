"""Chord symbols in print and in words: common practice, no source; letter widths against Adobe's metrics."""

import re
from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import pytest
from matplotlib._afm import AFM

from musictheory_nb.media.chord_text import _WIDTHS, drawn_chord, placeholder, printed_chord, spoken_chord
from musictheory_nb.media.engraving import engrave
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest


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
        ("viiø65/V", "viiø65/V", "numeral small seven half-diminished 6 5 of capital five"),
        ("#6/4", "♯6/4", "figures sharp 6 4"),
        ("bVII7", "♭VII7", "numeral flat capital seven 7"),
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


@pytest.mark.parametrize(
    ("text", "lines", "is_lower"), [("6/5", ["6", "5"], True), ("V7", ["V7"], True), ("G7", ["G7"], False)]
)
def test_numerals_and_figures_stand_below_the_staff_inside_the_picture(text, lines, is_lower):
    """Where they stand, and figures one above the other: common practice, no source."""
    svg = engrave(MediaRequest("notation", Excerpt.melody(["E4"], [4], chord=text), "x")).svg
    drawn = dict(re.findall(r'<text x="[0-9]+" y="([0-9]+)"[^>]*>([^<]+)</text>', svg))
    places = [next(int(y) for y, printed in drawn.items() if printed == line) for line in lines]
    assert places == sorted(set(places))
    bottom = max(int(y) for y in re.findall(r'<path d="M0 ([0-9]+) L', svg))
    assert (places[0] > bottom) == is_lower
    margin, height = (
        re.search(r"translate\([0-9]+, ([0-9]+)\)", svg)[1],
        re.findall(r'viewBox="0 0 \d+ (\d+)"', svg)[-1],
    )
    assert places[-1] + int(margin) < int(height)
