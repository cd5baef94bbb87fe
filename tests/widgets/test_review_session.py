"""An open review: recorded apart, replayed when opened again, spaced over days, and no mark of anything."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from fsrs import Card, Rating, Scheduler

import musictheory_nb as mt
from musictheory_nb.errors import ExerciseError, MediaError, RecordError
from musictheory_nb.practice.answer_record import read_record
from musictheory_nb.practice.review import Evidence, Skill
from musictheory_nb.widgets.lesson_session import open_lesson
from musictheory_nb.widgets.spacing import due_times

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
SKILL = Skill("hear", "interval", "A4", "tritone")
STUDENT = "ines-orta"


def opened(folder, **how):
    exercise = mt.Exercise("hear", "interval-by-ear", {"inputs": ["buttons"]}, lesson="demo", count=8)
    return mt.review(STUDENT, [exercise], folder=folder, **how)


def answer(view, *, right=True):
    for box in view.step_boxes:
        shown = view.item.solution[box.step.id]["choice"]
        wrong = [option.value for option in box.step.inputs[0].options if option.value not in shown]
        box.enter("choice", shown[0] if right else wrong[0])
    return view.check()


def test_answers_are_recorded_apart_with_all_that_makes_them_again(tmp_path):
    session = opened(tmp_path)
    for right in (True, False, True):
        answer(session.view, right=right)
        session.view._act("next")
    path = tmp_path / "review.ines-orta.answers.jsonl"
    reading = read_record(path.read_bytes())
    assert (reading.header.lesson, reading.problems, len(reading.answers)) == ("review", (), 3)
    exercise = session.pool.exercises[0]
    for line, right in zip(reading.answers, (True, False, True), strict=True):
        item = exercise.item(line.seed, line.index)
        assert (exercise.mark(item, line.answer).score == 1.0) == right
        assert line.settings == exercise.settings
    again = opened(tmp_path)
    assert again.evidence == session.evidence
    assert again.due == session.due


def test_the_next_question_is_another_and_says_why_without_the_answer(tmp_path):
    session = opened(tmp_path)
    heading = session.view._heading.value
    assert "Review, not marked: something that you have not met yet." in heading
    assert session.view.asked.skill.label not in heading
    before = session.view.item
    answer(session.view, right=False)
    assert any("It comes again" in line for line in session.view._feedback.lines)
    session.view._act("next")
    assert session.view.item != before
    assert session.view._feedback.headline == ""
    assert session.view._actions.news == session.view.item.prompt
    session.view._act("next")  # passed over
    assert len(session.evidence) == 1


def test_it_goes_on_and_a_wrong_answer_comes_back(tmp_path):
    session = opened(tmp_path)
    asked = []
    for number in range(25):
        asked.append(session.view.asked.skill)
        answer(session.view, right=number != 0)
        session.view._act("next")
    assert len(session.evidence) == 25
    assert set(asked[:12]) == set(session.pool.skills)  # all that is new comes before anything else
    assert all(one != other for one, other in pairwise(asked))


def test_the_review_of_a_lesson_knows_its_answers_and_leaves_them_alone(tmp_path):
    lesson = open_lesson("demo", student=STUDENT, seed=7, folder=tmp_path)
    with pytest.raises(ExerciseError, match="no exercise to draw from"):
        lesson.review()
    view = lesson.exercise("hear", "interval-by-ear", count=3, settings={"inputs": ["buttons"]})
    lesson.exercise("essay", "free-response", count=1, settings={"questions": ["Why?"], "rubric": [["reason", 2]]})
    answer(view)
    marks = lesson.marked().points
    session = lesson.review()
    assert [one.id for one in session.pool.exercises] == ["hear"]
    assert len(session.evidence) == 1
    answer(session.view, right=False)
    assert (lesson.marked().points, len(lesson.answers)) == (marks, 1)
    assert (tmp_path / "demo-review.ines-orta.answers.jsonl").is_file()
    assert len(lesson.review().evidence) == 2


def test_a_preview_writes_nothing(tmp_path):
    session = mt.review(exercises=["interval-by-ear"], folder=tmp_path)
    session.view.step_boxes[0].enter("choice", session.view.item.solution["interval"]["choice"][0])
    session.view.check()
    assert "Preview: nothing is recorded." in session.view._heading.value
    assert list(tmp_path.iterdir()) == []


def test_pictures_of_progress_and_of_confusions_tell_their_figures_in_words(tmp_path):
    session = opened(tmp_path)
    for picture in (session.progress, session.confusions):
        with pytest.raises(MediaError):
            picture()
    skill, item = session.view.asked.skill, session.view.item
    answer(session.view, right=False)
    assert skill.label in session.progress().alt
    assert "%" in session.progress().alt
    right, answered = session.view.exercise.confusion(item, session._lines[0].answer)
    assert f"{right}, answered {answered}: once." in session.confusions().alt


def test_what_cannot_be_opened_is_refused(tmp_path):
    with pytest.raises(ExerciseError, match="student 'Ines Orta'"):
        mt.review("Ines Orta", ["interval-by-ear"], folder=tmp_path)
    essay = mt.Exercise(
        "essay", "free-response", {"questions": ["Why?"], "rubric": [["reason", 2]]}, lesson="demo", count=1
    )
    with pytest.raises(ExerciseError, match="a teacher marks it"):
        mt.review(exercises=[essay])
    (tmp_path / "review.ines-orta.answers.jsonl").write_text(
        '{"digest":"","format":1,"lesson":"review","student":"tom-auer"}\n', encoding="utf-8"
    )
    with pytest.raises(RecordError, match="says it is of 'tom-auer'"):
        opened(tmp_path)


# -- spacing -------------------------------------------------------------------------------------------------------------


def days(answers):
    """Days between an answer on the day that it is due and the next time that it is."""
    evidence, when, spans = [], NOW, []
    for right in answers:
        evidence.append(Evidence(SKILL, right, when, 0.1))
        due = due_times(evidence)[SKILL]
        spans.append((due - when).days)
        when = due
    return spans


def test_the_library_spaces_as_it_is_published():
    """The sequence of py-fsrs's own test of a card (version 6, tests of the repository; from memory)."""
    good, again = Rating.Good, Rating.Again
    card, when, spans = Card(), datetime(2022, 11, 29, 12, 30, tzinfo=UTC), []
    for rating in [good] * 6 + [again] * 2 + [good] * 5:
        card, _ = Scheduler(enable_fuzzing=False).review_card(card, rating, when)
        spans.append((card.due - card.last_review).days)
        when = card.due
    assert spans == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
    assert days([True] * 6 + [False] * 2 + [True] * 5) == spans


def test_right_answers_come_back_ever_later_and_wrong_ones_soon():
    spans = days([True] * 6)
    assert spans == sorted(spans)
    assert spans[-1] > 100
    wrong = [Evidence(SKILL, True, NOW, 0.1), Evidence(SKILL, False, NOW + timedelta(days=3), 0.1)]
    assert due_times(wrong)[SKILL] - wrong[-1].time <= timedelta(minutes=10)


def test_a_clock_that_goes_back_does_no_harm():
    there = [Evidence(SKILL, True, NOW, 0.1), Evidence(SKILL, True, NOW - timedelta(days=2), 0.1)]
    assert due_times(there)[SKILL] >= NOW
    assert due_times(there) == due_times(there)
