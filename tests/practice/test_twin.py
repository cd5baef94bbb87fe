"""Which twin of a question was used: in the record, in the setting, in what the teacher reads.

What the words must say is asked of the grader's notes; common practice, no source.
"""

from dataclasses import replace

import pytest
from family_sample import settings_of

from musictheory_nb.errors import ExerciseError, RecordError
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader, answer_from_data, read_record
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES, family_of
from musictheory_nb.practice.family import complete_settings
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import mark_lesson


def hearing(**settings):
    return Exercise("hear", "interval-by-ear", {"inputs": ["buttons"], **settings}, count=4, lesson="demo")


def answer(exercise, index, twin=None):
    item = exercise.item(7, index)
    right = {step: {"choice": values["choice"][0]} for step, values in item.solution.items()}
    return AnswerLine(f"{index:032x}", "hear", 1, index, right, 1, f"2026-03-02T17:04:0{index}Z", 0, 9, twin=twin)


@pytest.mark.parametrize("twin", ["hearing", "sight", "both", None])
def test_the_record_keeps_which_twin_was_used(twin):
    line = answer(hearing(), 0, twin)
    read = read_record((RecordHeader("demo", "ines-orta").line() + line.line()).encode())
    assert (read.answers, read.problems) == ((line,), ())
    assert ("twin" in line.to_data()) == (twin is not None)


@pytest.mark.parametrize("twin", ["", "ears", 1, ["hearing"], None])
def test_another_word_for_a_twin_is_refused(twin):
    data = answer(hearing(), 0).to_data() | {"twin": twin}
    with pytest.raises(RecordError, match=r"twin .*; allowed: hearing, sight, both"):
        answer_from_data(data)


def test_a_twin_changes_no_mark_and_is_told():
    exercise = hearing()
    lines = [answer(exercise, 0, "hearing"), answer(exercise, 1), answer(exercise, 3, "hearing")]
    plan = LessonPlan("demo", "Demo", (exercise,))
    told = mark_lesson(plan, 7, lines)
    assert told.points == mark_lesson(plan, 7, [replace(one, twin=None) for one in lines]).points
    assert told.notes == ("hear items 1, 4: notation in place of the sound (not granted beforehand)",)
    granted = LessonPlan("demo", "Demo", (hearing(twin="both"),))
    assert mark_lesson(granted, 7, lines).notes == ("hear items 1, 4: notation in place of the sound (granted)",)
    other = LessonPlan("demo", "Demo", (hearing(twin="sight"),))
    assert mark_lesson(other, 7, lines[:1]).notes == (
        "hear item 1: notation in place of the sound (not granted beforehand)",
    )


def test_the_setting_is_taken_by_every_family_and_changes_no_item():
    assert hearing(twin="hearing").item(7, 2) == hearing().item(7, 2)
    for kind, version in FAMILIES:
        family, said = family_of(kind, version), settings_of(kind)
        given = next(row[1] for row in said.GOLDEN.values() if row[0] == version)
        assert complete_settings(family, {**given, "twin": "both"}, "one") == complete_settings(family, given, "one")
        with pytest.raises(
            ExerciseError, match="twin 'ears'; allowed: 'offered', 'hearing', 'sight', 'both', 'withheld'"
        ):
            complete_settings(family, {**given, "twin": "ears"}, "one")
