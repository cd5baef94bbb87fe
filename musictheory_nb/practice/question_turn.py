"""Whose turn it is: which of several things an item asks, so that each comes once before any comes again."""

from collections.abc import Hashable
from functools import lru_cache

from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.family import Question
from musictheory_nb.practice.visiting_order import visiting_order


@lru_cache(maxsize=2048)
def _order(exercise: tuple[str, str, int, int], count: int, likes: tuple[Hashable, ...], which: str) -> tuple[int, ...]:
    lesson, id, version, seed = exercise
    return visiting_order(Draw(lesson, f"{id}{which}", version, seed, WHOLE_EXERCISE), likes, count)


def turn_of(question: Question, likes: tuple[Hashable, ...], which: str = "") -> int:
    """Return the index into `likes` of what this item asks.

    Parameters
    ----------
    question : Question
        The question.
    likes : tuple
        The things that are asked in turn; those that are alike do not follow each other where that can be had.
    which : str
        Tells orders of one exercise apart that have nothing to do with each other, such as metre and key.

    Examples
    --------
    >>> from musictheory_nb.practice.family import CompleteSettings
    >>> asked = [Question("demo", "first", 1, 7, index, 4, CompleteSettings()) for index in range(4)]
    >>> sorted(turn_of(one, ("3/4", "6/8")) for one in asked)
    [0, 0, 1, 1]
    """
    exercise = question.lesson, question.exercise, question.version, question.seed
    return _order(exercise, question.count, likes, which and f" {which}")[question.index]
