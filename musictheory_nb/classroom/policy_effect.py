"""What a marking policy did to a student's mark, rule by rule, as data."""

from dataclasses import dataclass

from musictheory_nb.classroom.number_text import number_text


def percent_words(value: float) -> str:
    """Return a percentage as it is printed, without trailing zeros.

    Examples
    --------
    >>> percent_words(62.5), percent_words(70.0)
    ('62.5 %', '70 %')
    """
    return f"{number_text(value)} %"


def signed_percent(value: float) -> str:
    """Return a change of percentage points with its sign.

    Examples
    --------
    >>> signed_percent(5), signed_percent(-7.25), signed_percent(0)
    ('+5 %', '−7.25 %', '±0 %')
    """
    text = number_text(abs(value))
    sign = "±" if text == "0" else "+" if value > 0 else "−"
    return f"{sign}{text} %"


@dataclass(frozen=True, slots=True)
class Effect:
    """The effect of one rule on one student.

    Parameters
    ----------
    rule : str
        Section of the policy, such as ``'late'``.
    words : str
        What was done, in words that a student reads: ``'late 2 days: −10 % of the mark for each day'``.
    before, after : float
        The mark in percent before and after the rule.
    """

    rule: str
    words: str
    before: float
    after: float

    @property
    def change(self) -> float:
        """Percentage points gained (or lost, negative)."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class FinalExercise:
    """One exercise in the final mark: its score from 0 to 1 over the items that count, and the points it counts for."""

    id: str
    score: float
    points_possible: float

    @property
    def points(self) -> float:
        """Points reached, before what concerns the whole work."""
        return self.score * self.points_possible


@dataclass(frozen=True, slots=True)
class FinalMark:
    """One student's mark after the policy.

    Parameters
    ----------
    student : str
        Id.
    raw_percent : float
        Without any policy.
    percent : float
        The mark.
    points_possible : float
        Points of all exercises that count.
    passed : bool or None
        None where the policy has no pass mark or there was nothing to mark.
    effects : tuple of Effect
        In the order in which the rules were applied.
    exercises : tuple of FinalExercise
        In the order of the lesson.
    """

    student: str
    raw_percent: float
    percent: float
    points_possible: float
    passed: bool | None = None
    effects: tuple[Effect, ...] = ()
    exercises: tuple[FinalExercise, ...] = ()

    @property
    def points(self) -> float:
        """The mark in points."""
        return self.percent / 100 * self.points_possible

    @property
    def words(self) -> str:
        """All effects on one line."""
        return "; ".join(effect.words for effect in self.effects)
