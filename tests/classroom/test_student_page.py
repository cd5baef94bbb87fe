"""The page that a student gets back: what it tells, that it stands alone, and that no text in it is markup."""

import base64
import io
import re
import wave
from itertools import pairwise

import pytest
from page_reading import Page

from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.page_media import CAUTION
from musictheory_nb.classroom.policy_effect import Effect, FinalMark
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.student_page import student_page_html
from musictheory_nb.classroom.student_report import practise_next, student_report
from musictheory_nb.classroom.teacher_remark import Comment, Exchange, RubricMark, RubricRow
from musictheory_nb.practice.marking import mark_lesson

HOSTILE = ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</style><script>alert(1)</script>", "=1+1"]


FINAL = FinalMark(
    "ada-quill", 50.0, 45.0, 9.5, False, (Effect("late", "late 1 day: −10 % of the mark", 50.0, 45.0),), ()
)


@pytest.fixture
def marked(classroom):
    lines = classroom.lines("ada-quill", [True, False, False])
    return mark_lesson(classroom.lesson.plan, classroom.copy("ada-quill").seed, lines)


def report_of(marked, name="Ada Quill", words="Well heard.", **more):
    return student_report(
        marked,
        Student("ada-quill", name),
        final=FINAL,
        due=read_due("2026-03-06 18:00 UTC"),
        comments=(Comment(words, by=words, time="2026-03-07T10:00:00Z"), Comment(words, "first", 1)),
        exchanges=(Exchange(words, "2026-03-08T10:00:00Z", words, "2026-03-09T10:00:00Z", "first", 1), Exchange(words)),
        notices=(words,),
        **more,
    )


def test_it_tells_what_was_asked_answered_why_and_what_the_policy_did(marked):
    report = report_of(marked)
    text = " ".join(Page(student_page_html(report)).text)
    assert "✓ Question 1 of 4: right" in text
    assert "✗ Question 2 of 4: not right" in text
    assert "– Question 4 of 4: not answered" in text
    for item in report.exercises[0].items[1:3]:
        assert item.answered
        assert item.right
        for words in (item.prompt, item.answered, item.right, item.why, item.explain):
            assert words in text
    assert "late 1 day: −10 % of the mark" in text
    assert "45 %" in text
    assert "not reached" in text
    assert "You asked about first, question 2, 2026-03-08 10:00 UTC:" in text
    assert "No reply yet." in text


def test_what_to_practise_is_named_by_exercise_and_confusion(marked):
    advice = practise_next(report_of(marked))
    # The second exercise has no answers at all and is the weakest.
    assert advice[0] == "Intervals by ear (second): 0 of 2 right. 2 questions not answered yet."
    assert advice[1].startswith("Intervals by ear (first): 1 of 4 right. Compare ")
    assert advice[1].endswith("1 question not answered yet.")
    for item in marked.exercises[0].items[1:3]:
        assert " against ".join(item.confusion) in advice[1]


def test_pictures_and_sounds_are_in_the_page(marked):
    page = Page(student_page_html(report_of(marked)))
    assert CAUTION in page.text
    assert page.all("audio")
    for audio in page.all("audio"):
        assert "controls" in audio
        assert "autoplay" not in audio
        assert audio["aria-label"]
        content = base64.b64decode(audio["src"].removeprefix("data:audio/wav;base64,"))
        with wave.open(io.BytesIO(content)) as sound:  # the standard library's reader
            assert (sound.getnchannels(), sound.getframerate()) == (1, 11025)
            assert 0.3 < sound.getnframes() / 11025 <= 8
    images = page.all("img")
    assert images
    assert all(image["alt"].startswith("Notation. Treble clef") for image in images)


def test_a_page_without_sound_may_play_none(marked):
    data = student_page_html(report_of(marked), with_sound=False)
    assert not Page(data).all("audio")
    assert b"media-src" not in data
    assert b"media-src data:" in student_page_html(report_of(marked))


@pytest.mark.parametrize("limit", [0, 60_000, 200_000])
def test_media_stay_within_the_limit_and_what_is_left_out_is_told(marked, limit):
    page = Page(student_page_html(report_of(marked), most_bytes=limit))
    size = sum(len(one["src"]) for tag in ("img", "audio") for one in page.all(tag))
    assert size <= limit
    assert "had no room in this page." in " ".join(page.text)


def test_it_stands_alone_and_its_headings_and_tables_are_in_order(marked):
    page = Page(student_page_html(report_of(marked)))
    tags = {tag for tag, _ in page.found}
    assert not tags & {"script", "link", "iframe", "object", "embed", "form", "input", "base", "svg", "video"}
    ids = [attributes["id"] for _, attributes in page.found if "id" in attributes]
    assert len(ids) == len(set(ids))
    for _, attributes in page.found:
        assert not [name for name in attributes if name.startswith("on") or name == "style"]
        for name in ("src", "href"):
            assert attributes.get(name, "#").startswith(("#", "data:image/svg+xml;base64,", "data:audio/wav;base64,"))
        if attributes.get("href", "").startswith("#"):
            assert attributes["href"][1:] in ids
    levels = [int(tag[1]) for tag, _ in page.found if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))
    assert len(page.all("table")) == len(page.all("caption"))
    assert all(th.get("scope") in ("col", "row") for th in page.all("th"))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_text(marked, text):
    plain = Page(student_page_html(report_of(marked)))
    page = Page(student_page_html(report_of(marked, name=text, words=text)))
    assert [tag for tag, _ in page.found] == [tag for tag, _ in plain.found], "the text made elements"
    assert page.text.count(text) >= 6


def test_rubric_marks_are_shown_and_count(marked):
    rubric = RubricMark("first", 3, (RubricRow("argument", 3, 4, "clear"), RubricRow("terms", 0, 4)))
    report = report_of(marked, rubric_marks=(rubric,))
    assert report.exercises[0].points == pytest.approx(
        8 * (1 + 3 / 8) / 4
    )  # one right, three of eight by rubric, of 4 items
    text = " ".join(Page(student_page_html(report)).text)
    assert "Rubric marks of first, question 4" in text
    assert "3.00 of 4" in text
    assert "partly right, 38 %" in text


def test_same_report_same_file(marked):
    assert student_page_html(report_of(marked)) == student_page_html(report_of(marked))
