"""Pictures: the palette, the numbers in the alt text, equal bytes, nothing of the user's own settings."""

import hashlib
import re
import statistics
import subprocess
import sys
from xml.etree import ElementTree

import matplotlib
import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.marks_picture import score_picture
from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO, finished_picture, new_figure, settings

SCORES = [[0.2, 0.5, 0.5, 0.75, 0.75, 0.8, 1.0, 1.0], [0.6, 0.7], [], [0.9]]
TITLES = ["first-tritones", "tritones-in-a-piece", "scales", "form"]


def test_palette_is_okabe_and_itos():
    # Okabe and Ito 2008, RGB of each colour
    published = {
        "black": (0, 0, 0), "orange": (230, 159, 0), "sky blue": (86, 180, 233), "bluish green": (0, 158, 115),
        "yellow": (240, 228, 66), "blue": (0, 114, 178), "vermillion": (213, 94, 0), "reddish purple": (204, 121, 167),
    }  # fmt: skip
    assert {name: tuple(bytes.fromhex(colour[1:])) for name, colour in OKABE_ITO.items()} == published


def test_alt_text_has_the_numbers():
    alt = score_picture(TITLES, SCORES).alt
    low, middle, high = statistics.quantiles(SCORES[0], n=4, method="inclusive")
    assert f"first-tritones: 8 students, median {middle:.0%}".replace("%", "") in alt.replace("%", "")
    assert f"middle half from {low:.0%} to {high + 1e-9:.0%}, lowest 20%, highest 100%." in alt
    assert "tritones-in-a-piece: 2 students, median 65%, lowest 60%, highest 70%." in alt
    assert "scales: no answers." in alt
    assert alt.endswith("form: 1 student, 90%.")


def test_picture_is_named_and_well_formed():
    picture = score_picture(TITLES, SCORES)
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == picture.alt
    text = "".join(root.itertext())
    assert all(title in text for title in TITLES)
    assert "no answers" in text


def test_one_dot_for_each_student():
    root = ElementTree.fromstring(score_picture(["one"], [[0.25, 0.25, 0.25, 0.5, 0.75, 1.0]]).svg)
    hrefs = [use.get("{http://www.w3.org/1999/xlink}href") for use in root.iter("{http://www.w3.org/2000/svg}use")]
    assert 6 in {hrefs.count(href) for href in hrefs}


def test_colours_have_patterns_beside_them():
    svg = score_picture(["a", "b"], [SCORES[0], SCORES[0]]).svg
    assert len(re.findall("<pattern ", svg)) == 2
    assert len(set(HATCHES)) >= 6


def test_ink_is_the_themes_and_paper_is_left_open():
    svg = score_picture(TITLES, SCORES).svg
    assert INK not in svg.replace(f"var(--jp-content-font-color1, {INK})", "")
    assert "#ffffff" not in svg
    assert "<metadata" not in svg
    assert not re.findall(r"https?://(?!www\.w3\.org/)", svg)


def test_equal_figures_give_equal_bytes_whatever_the_settings_and_the_process():
    first = score_picture(TITLES, SCORES)
    with matplotlib.rc_context({"font.size": 30, "axes.facecolor": "red", "svg.fonttype": "path"}):
        assert score_picture(TITLES, SCORES) == first
    code = (
        "import hashlib;from musictheory_nb.media.marks_picture import score_picture;"
        f"print(hashlib.sha256(score_picture({TITLES!r},{SCORES!r}).svg.encode()).hexdigest())"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8")
    assert run.stdout.strip() == hashlib.sha256(first.svg.encode()).hexdigest()


def test_no_global_state_is_left_behind():
    before = dict(matplotlib.rcParams)
    score_picture(TITLES, SCORES)
    assert dict(matplotlib.rcParams) == before
    code = (
        "import sys;from musictheory_nb.media.marks_picture import score_picture;"
        "assert 'matplotlib' not in sys.modules;score_picture(['a'],[[1.0]]);print('matplotlib.pyplot' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, encoding="utf-8")
    assert run.stdout.strip() == "False"


@pytest.mark.parametrize("title", ["a $x^2$ b", '<b> & "c"', "Übung 五度 🎵", "x" * 80, "100%", "a_b^c\\d"])
def test_any_title_can_be_drawn(title):
    picture = score_picture([title], [[0.5, 0.6, 0.7, 0.8]])
    text = "".join(ElementTree.fromstring(picture.svg).itertext())
    assert title[:20] in text
    assert title in picture.alt


def test_a_class_of_three_hundred_with_equal_scores():
    picture = score_picture(["a"], [[1.0] * 300])
    assert "300 students, median 100%" in picture.alt
    assert ElementTree.fromstring(picture.svg) is not None


@pytest.mark.parametrize(
    ("titles", "scores", "message"),
    [
        ([], [], "0 titles"),
        (["a"], [], "1 titles and 0 lists"),
        (["a"], [[1.5]], "score 1.5 of 'a'"),
        (["a"], [[-0.1]], "score -0.1 of 'a'"),
        (["a"], [[float("nan")]], "score nan of 'a'"),
        (["a"], [[80]], "write 0.8 for 80%"),
    ],
)
def test_impossible_scores_are_refused(titles, scores, message):
    with pytest.raises(MediaError, match=message):
        score_picture(titles, scores)


def test_a_picture_without_words_is_refused():
    with settings(), pytest.raises(MediaError, match="alt"):
        finished_picture(new_figure(2, 2), "  ")
