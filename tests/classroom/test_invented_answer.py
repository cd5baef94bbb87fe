"""Invented answers to every family: a right one deserves the full mark and a wrong one does not, by definition."""

import importlib
import random
import sys
from pathlib import Path

import pytest

from musictheory_nb.classroom.invented_answer import right_answer, wrong_answer
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.families import FAMILIES

PRACTICE = Path(__file__).parents[1] / "practice"


@pytest.mark.parametrize(("kind", "version"), list(FAMILIES))
def test_right_and_wrong_answers_of_every_family(kind, version):
    sys.path.insert(0, str(PRACTICE))
    family_sample = importlib.import_module("family_sample")
    draw = random.Random(f"invented {kind}")
    lower = 0
    for number in range(3):
        exercise, _ = family_sample.random_exercise(kind, version, draw, family_sample.frozen_excerpts())
        item = exercise.item(number, 0)
        right = right_answer(exercise, item)
        assert item.response.check(right)
        mark = exercise.mark(item, right)
        assert mark.score == 1.0 or mark.awaits_teacher
        wrong = wrong_answer(exercise, item, right, Draw("demo", kind, 1, 11, number))
        assert item.response.check(wrong)
        lower += exercise.mark(item, wrong).score < 1.0
    assert lower == 3
