"""How likely it is that a student has learned a skill, from right and wrong answers: Bayesian knowledge tracing.

A skill is learned or not. Before each answer it may have been learned meanwhile; an answer is right by a guess where it is
not learned, and wrong by a slip where it is. What is known after an answer follows by Bayes' rule.

References
----------
A. T. Corbett, J. R. Anderson, "Knowledge tracing: modeling the acquisition of procedural knowledge", User Modeling and
User-Adapted Interaction 4 (1995), 253-278: the model, and mastery at a probability of 0.95.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

#: From here on a skill counts as learned (Corbett and Anderson).
MASTERED: Final = 0.95


@dataclass(frozen=True, slots=True)
class Tracing:
    """The four probabilities of the model.

    The defaults are ours, cautious and fitted to no data; `guess` is better taken from the number of choices.

    Parameters
    ----------
    known : float
        That it is learned before the first answer.
    learns : float
        That it is learned from one answer to the next.
    slip : float
        That an answer is wrong though it is learned.
    guess : float
        That an answer is right though it is not.

    Raises
    ------
    ValueError
        Not a probability; or guess and slip together reach 1, so that wrong answers would speak for the skill.

    Examples
    --------
    >>> round(Tracing(known=0.5, learns=0.0, slip=0.1, guess=0.3).after(0.5, right=True), 3)
    0.75
    >>> Tracing(guess=0.95)
    Traceback (most recent call last):
    ValueError: slip 0.1 and guess 0.95: together they must stay below 1
    """

    known: float = 0.25
    learns: float = 0.1
    slip: float = 0.1
    guess: float = 0.2

    def __post_init__(self) -> None:
        for name in ("known", "learns", "slip", "guess"):
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise ValueError(f"{name} {getattr(self, name)!r}: give a probability from 0 to 1")
        if self.slip + self.guess >= 1.0:
            raise ValueError(f"slip {self.slip} and guess {self.guess}: together they must stay below 1")

    def after(self, known: float, *, right: bool) -> float:
        """Return the probability after an answer, from that before it."""
        if right:
            learned, not_learned = known * (1.0 - self.slip), (1.0 - known) * self.guess
        else:
            learned, not_learned = known * self.slip, (1.0 - known) * (1.0 - self.guess)
        total = learned + not_learned
        posterior = learned / total if total else known
        return posterior + (1.0 - posterior) * self.learns

    def after_all(self, answers: Iterable[bool]) -> float:
        """Return the probability after answers in turn, right or wrong.

        Examples
        --------
        >>> model = Tracing()
        >>> model.after_all([]), model.after_all([True, True]) > model.after_all([True, False])
        (0.25, True)
        """
        known = self.known
        for right in answers:
            known = self.after(known, right=right)
        return known
