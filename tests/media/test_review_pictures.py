"""Pictures of progress and of confusions: their words hold every figure that they show."""

import re

import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.confusion_picture import MOST_NAMES, confusion_picture
from musictheory_nb.media.mastery_picture import MOST_ROWS, mastery_picture


def test_mastery_is_told_weakest_first_and_by_more_than_colour():
    picture = mastery_picture(["P5", "m2 & M2", "A4"], [0.99, 0.125, 0.5], 0.95)
    assert picture.alt.endswith("m2 & M2: 13%. A4: 50%. P5: 99%, learned.")
    assert picture.svg.count("<pattern") == 1  # what is not learned is hatched
    for label in ("13%", "50%", "99%", "m2 &amp; M2"):
        assert label in picture.svg
    assert mastery_picture(["a"], [0.5], 0.95) == mastery_picture(["a"], [0.5], 0.95)


def test_of_many_the_weakest_are_shown_and_the_rest_counted():
    count = MOST_ROWS + 7
    picture = mastery_picture([f"skill {n}" for n in range(count)], [n / count for n in range(count)], 0.95)
    assert "skill 0:" in picture.alt
    assert f"skill {count - 1}:" not in picture.alt
    assert "7 surer ones are not shown." in picture.alt


@pytest.mark.parametrize(("labels", "known"), [(["a"], []), (["a"], [1.5]), (["a"], [float("nan")])])
def test_what_is_no_mastery_is_refused(labels, known):
    with pytest.raises(MediaError):
        mastery_picture(labels, known, 0.95)


def test_each_cell_holds_its_count():
    pairs = [("perfect fourth", "perfect fifth")] * 3 + [("tritone", "perfect fifth"), ("<b>", "$x$")]
    picture = confusion_picture(pairs)
    shown = re.findall(r"<text[^>]*>\s*(\d+)\s*</text>", picture.svg)
    assert sorted(shown) == ["1", "1", "3"]
    assert "perfect fourth, answered perfect fifth: 3 times." in picture.alt
    assert "<b>" not in picture.svg


def test_of_many_pairs_the_commonest_are_shown():
    pairs = [(f"right {n}", f"wrong {n}") for n in range(MOST_NAMES + 4)] + [("right 17", "wrong 17")]
    alt = confusion_picture(pairs).alt
    assert alt.startswith("What was taken for what, most often first. right 17, answered wrong 17: 2 times.")
    assert "4 rarer pairs are not shown." in alt
