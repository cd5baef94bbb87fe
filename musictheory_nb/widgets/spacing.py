"""When a skill is due again: spaced over days by the FSRS algorithm, in its own library.

The library stands here and not in `practice`, which runs on the standard library alone; `practice.review` takes what it finds as
a function (`review.Due`).

References
----------
J. Ye, J. Su, Y. Cao, "A stochastic shortest path algorithm for optimizing spaced repetition scheduling", Proceedings of the
28th ACM SIGKDD Conference (2022), 4381-4390. The library ``fsrs`` is the algorithm's own, with its published parameters.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Final

from fsrs import Card, Rating, Scheduler

from musictheory_nb.practice.review import Evidence, Skill

#: A skill is due when the chance that it is remembered falls to this (the library's default).
RETENTION: Final = 0.9


def due_times(evidence: Sequence[Evidence]) -> Mapping[Skill, datetime]:
    """Return when each skill is due again, from all evidence, earliest first.

    A right answer is rated good, a wrong one is asked again soon. Equal evidence gives equal times: nothing is drawn by lot.

    Examples
    --------
    >>> due_times(())
    {}
    """
    scheduler = Scheduler(desired_retention=RETENTION, enable_fuzzing=False)
    cards: dict[Skill, Card] = {}
    for one in evidence:
        card = cards.get(one.skill) or Card(card_id=len(cards), due=one.time)
        # the clock of a student's computer may go back
        when = one.time if card.last_review is None else max(one.time, card.last_review)
        rating = Rating.Good if one.right else Rating.Again
        cards[one.skill], _ = scheduler.review_card(card, rating, review_datetime=when)
    return {skill: card.due for skill, card in cards.items()}
