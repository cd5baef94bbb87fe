"""The twin of a question on the screen and in the record, for a student who cannot hear and one who cannot see."""

import re

import pytest

from musictheory_nb.practice.answer_record import read_record
from musictheory_nb.widgets.lesson_session import open_lesson

STUDENT = "ines-orta"


def shown(folder, kind="interval-by-ear", **settings):
    lesson = open_lesson("demo", student=STUDENT, seed=7, folder=folder)
    return lesson, lesson.exercise("one", kind, count=2, settings=settings)


def answer_right(view):
    for box in view.step_boxes:
        box.enter("choice", view.item.solution[box.step.id]["choice"][0])
    view.check()


def pictures(box):
    return [child for child in box.children if type(child).__name__ == "NotationView"]


def test_who_cannot_hear_sees_the_notes_and_nothing_that_names_them(tmp_path):
    lesson, view = shown(tmp_path, inputs=["buttons"])
    assert (view.twin.offered, view.twin.used) == (("hearing",), "")
    assert pictures(view.twin._media) == []
    view.twin.use("hearing")
    (picture,) = pictures(view.twin._media)
    names = {name for note in view.item.twin[0].excerpt.notes for name in note.pitches}
    assert picture.svg.startswith("<svg")
    assert picture.text == ""
    spelled = picture.svg.replace("♯", "#").replace("♭", "b")
    assert not any(re.search(rf"(?<!\w){name}(?!\w)", spelled) for name in names)
    answer_right(view)
    assert lesson.answers[0].twin == "hearing"
    assert view.twin.offered == ()
    assert "notation in place of the sound (not granted beforehand)" in lesson.marked().notes[0]
    view.show(1)
    assert (view.twin.offered, view.twin.used) == (("hearing",), "")
    view.show(0)  # the question stands as it was answered
    assert (view.twin.offered, len(pictures(view.twin._media))) == ((), 1)


def test_who_cannot_see_reads_what_is_written_and_until_then_nothing_tells_it(tmp_path):
    lesson, view = shown(tmp_path, "note-reading", inputs=["buttons"])
    (picture,) = pictures(view._asked)
    assert picture.text == ""
    assert view.item.twin_text not in picture.svg
    view.twin.use("sight")
    assert view.item.twin_text in view.twin._words.value.replace("&#x27;", "'")
    assert view.twin._row.news == view.item.twin_text
    answer_right(view)
    assert read_record((tmp_path / "demo.ines-orta.answers.jsonl").read_bytes()).answers[0].twin == "sight"
    assert lesson.marked().points > 0


@pytest.mark.parametrize(
    ("setting", "used"), [("hearing", "hearing"), ("both", "hearing"), ("sight", ""), ("withheld", "")]
)
def test_what_is_granted_is_there_at_once_and_what_is_withheld_is_not_offered(tmp_path, setting, used):
    lesson, view = shown(tmp_path, inputs=["buttons"], twin=setting)
    assert view.twin.used == used
    assert view.twin.offered == (("hearing",) if setting == "sight" else ())
    view.twin.use("hearing")
    answer_right(view)
    assert lesson.answers[0].twin == (None if setting == "withheld" else "hearing")
