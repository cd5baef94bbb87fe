"""Notation as a picture: well-formed, one sound name for a screen reader, coloured by the theme, equal for equal music."""

import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction as F
from xml.etree import ElementTree

import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import Engraving, engrave
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest

SVG = "{http://www.w3.org/2000/svg}"


def tree(engraving: Engraving) -> ElementTree.Element:
    return ElementTree.fromstring(engraving.svg)


def groups(engraving: Engraving, kind: str) -> list[ElementTree.Element]:
    return [group for group in tree(engraving).iter(SVG + "g") if kind in group.get("class", "").split()]


def test_a_screen_reader_finds_one_named_picture(written):
    engraving = engrave(written)
    root = tree(engraving)
    assert root.get("role") == "img"
    names = root.get("aria-labelledby").split()
    found = {child.get("id"): child.text for child in root if child.tag in (SVG + "title", SVG + "desc")}
    assert list(found) == names  # WAI-ARIA: the name is put together from the elements named
    assert found[names[1]] == engraving.text
    assert found[names[0]].startswith("Notation, measure")


def test_every_note_and_rest_is_drawn(written):
    engraving = engrave(written)
    drawn = {int(note.get("data-note")) for note in groups(engraving, "note")}
    assert drawn == {index for index, note in enumerate(written.notes) if note.pitches}
    heads = sum(len(note.pitches) for note in written.notes)
    assert len(groups(engraving, "notehead")) >= heads
    assert len(groups(engraving, "measure")) == len(written.measures)
    assert len(groups(engraving, "harm")) == len(written.chords)
    assert len(groups(engraving, "reh")) == sum(bool(measure.mark) for measure in written.measures)


def test_colours_are_the_themes(written):
    svg = engrave(written, marked=[0]).svg
    assert "var(--jp-content-font-color0, black)" in svg
    outside = re.sub(r"var\(--jp-[a-z0-9-]+, [^)]*\)", "", svg)
    assert not re.search(r"(fill|stroke|color)\s*[:=]\s*\"?(?!none|currentColor|;|\")[#a-z]", outside)


def test_nothing_is_fetched_and_nothing_runs(written):
    svg = engrave(written).svg
    assert "Leipzig" not in svg  # no music font: glyphs are outlines
    for forbidden in ("@font-face", "url(", "<script", "<image", "<foreignObject", "xlink", "data:"):
        assert forbidden not in svg
    references = re.findall(r'href="([^"]+)"', svg)
    identities = set(re.findall(r'\bid="([^"]+)"', svg))
    assert references
    assert all(reference.startswith("#") and reference[1:] in identities for reference in references)
    assert not re.findall(r"https?://(?!www\.w3\.org/)", svg)


def test_identities_do_not_clash_between_different_pictures(music):
    first, second = engrave(music["rag"]).svg, engrave(music["viola"]).svg
    assert not set(re.findall(r'\bid="([^"]+)"', first)) & set(re.findall(r'\bid="([^"]+)"', second))


def test_equal_music_gives_an_equal_picture_here_and_elsewhere(music):
    assert engrave(music["rag"]) == engrave(music["rag"])
    engrave(music["viola"])
    assert engrave(music["interval"]) == engrave(Excerpt.melody(["B3", "F4"]))
    code = (
        "import hashlib;from musictheory_nb.practice.excerpt import Excerpt;"
        "from musictheory_nb.media.engraving import engrave;"
        "print(hashlib.sha256(engrave(Excerpt.melody(['B3','F4'])).svg.encode()).hexdigest())"
    )
    outcomes = {
        subprocess.run(
            [sys.executable, "-X", "utf8", "-c", code],
            capture_output=True, text=True, check=True, encoding="utf-8",
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(outcomes) == 1


def size(engraving: Engraving) -> tuple[float, float]:
    root = tree(engraving)
    return float(root.get("width")), float(root.get("height"))


def test_picture_is_as_large_as_its_music(music, chorale):
    assert size(engrave(music["interval"]))[0] < 250
    wide, narrow = engrave(chorale, width_px=900), engrave(chorale, width_px=500)
    assert size(wide)[0] <= 900
    assert size(narrow)[0] <= 500
    assert size(narrow)[1] > size(wide)[1]  # more systems
    assert len(groups(narrow, "system")) > len(groups(wide, "system")) > 1


def test_systems_end_at_one_margin(chorale):
    ends = []
    for system in groups(engrave(chorale, width_px=500), "system")[:-1]:
        lines = [path.get("d") for staff in system.iter(SVG + "g") if staff.get("class") == "staff" for path in staff]
        ends.append(max(int(found) for line in lines if line for found in re.findall(r" L(\d+) ", line)))
    assert len(ends) > 2
    assert max(ends) - min(ends) <= 20  # hundredths of a pixel by tens


def test_marked_notes_have_a_ring_and_say_so(music):
    plain, marked = engrave(music["interval"]), engrave(music["interval"], marked=[1])
    assert "music-mark" not in "".join(re.findall(r"<rect[^>]*>", plain.svg))
    rings = [rect for rect in tree(marked).iter(SVG + "rect") if rect.get("class") == "music-mark"]
    assert len(rings) == 1
    assert rings[0].get("fill") == "none"  # a shape, seen without colour
    note = next(group for group in groups(marked, "note") if group.get("data-note") == "1")
    place = next(note.iter(SVG + "use")).get("transform")
    x, y = (float(number) for number in re.findall(r"-?[\d.]+", place)[:2])
    left, top = float(rings[0].get("x")), float(rings[0].get("y"))
    assert left < x < left + float(rings[0].get("width"))
    assert top < y < top + float(rings[0].get("height"))
    assert "(marked)" in marked.text
    assert "(marked)" not in plain.text


def test_a_marked_chord_has_one_ring_around_all_its_notes(music):
    rings = [rect for rect in tree(engrave(music["chord"], marked=[0])).iter(SVG + "rect")]
    assert len(rings) == 1
    assert float(rings[0].get("height")) > 1500  # from G3 to A-flat 5: more than the height of the staff


def test_chord_symbols_are_drawn_with_flats_and_without_a_music_font(music):
    (symbol,) = groups(engrave(Excerpt.melody(["Bb3"], [4], chord="Bb7")), "harm")
    assert [child.tag.removeprefix(SVG) for child in symbol] == ["text", "path", "text"]
    assert [child.text for child in symbol if child.text] == ["B", "7"]


def test_rehearsal_marks_are_boxed(music):
    boxes = groups(engrave(music["endings"]), "reh")
    assert ["".join(box.itertext()) for box in boxes] == ["A", "Trio"]
    assert all(box.find(SVG + "rect") is not None for box in boxes)


def test_measure_numbers_are_the_scores(music):
    assert ["".join(number.itertext()) for number in groups(engrave(music["viola"]), "mNum")] == ["21"]
    assert groups(engrave(music["interval"]), "mNum") == []  # measure 1 at the beginning has none


def test_a_request_brings_its_span_parts_and_marks(chorale):
    asked = MediaRequest("notation", chorale, "Bass", first=1, last=2, parts=(3,), marked=(0,))
    bass = [index for index, note in enumerate(chorale.notes) if note.part == 3 and note.measure in (1, 2)]
    asked = MediaRequest("notation", chorale, "Bass", first=1, last=2, parts=(3,), marked=(bass[0],))
    shown = engrave(asked)
    assert shown == engrave(chorale, first=1, last=2, parts=[3], marked=[bass[0]])
    assert shown.text.count("(marked)") == 1
    assert shown.text.startswith("Bass, bass clef. Measure 1")
    assert len(groups(shown, "measure")) == 2


def test_displayed_as_html_with_the_words_for_plain_text(music):
    engraving = engrave(music["interval"])
    assert engraving._repr_mimebundle_() == {"text/html": engraving.svg, "text/plain": engraving.text}
    assert repr(engraving) == f"Engraving(text={engraving.text!r})"


def test_words_are_chosen(music):
    assert "crotchet B3" in engrave(music["interval"], words="british").svg


@pytest.mark.parametrize(
    ("keywords", "message"),
    [
        ({"first": 9}, "measures 9 to 0"),
        ({"marked": [2]}, "marked note 2: this music has the note indices 0 to 1"),
        ({"parts": [4]}, "part 4"),
        ({"width_px": 10}, "width_px 10"),
        ({"width_px": 10**6}, "width_px 1000000"),
    ],
)
def test_what_does_not_exist_is_refused(music, keywords, message):
    with pytest.raises(MediaError, match=message):
        engrave(music["interval"], **keywords)


def test_more_than_a_picture_holds_is_refused():
    measures = tuple(ExcerptMeasure(str(n), F(4)) for n in range(2000))
    notes = tuple(ExcerptNote(0, n, F(0), F(4), ("C5",)) for n in range(2000))
    with pytest.raises(MediaError, match="2000 measures: more than one picture holds"):
        engrave(Excerpt((ExcerptPart(""),), measures, notes), width_px=240)


def test_names_and_marks_are_escaped():
    part = ExcerptPart('<b>"Oboe" & horn</b>', "treble", "Ob. <1>")
    excerpt = Excerpt((part,), (ExcerptMeasure("1", F(4), mark="A<B"),), (), title="<script>")
    engraving = engrave(excerpt)
    assert "<script>" not in engraving.svg
    assert '<b>"Oboe" & horn</b>' in "".join(tree(engraving).itertext())


def test_engraves_on_any_thread():
    """JupyterLab runs a widget's callbacks on a thread of their own; verovio's fonts are found per thread."""
    excerpt = Excerpt.melody(["B3", "F4"])
    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(engrave, excerpt).result() == engrave(excerpt)
