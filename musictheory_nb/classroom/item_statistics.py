"""Statistics of items: how difficult they are, how well they tell strong from weak, how far the whole can be relied on.

The table has a row for each student and a column for each item, with scores from 0 to 1 (or of any other scale).

Conventions. *Difficulty* is the share of the points reached: high is easy. *Discrimination* is told twice: the
correlation of an item with the total of the **other** items (corrected item-total correlation; for items marked 0 or 1
the corrected point-biserial correlation), and the upper-lower index, the mean score of the best 27 % less that of
the weakest 27 %. *Reliability* is Cronbach's alpha with variances over n - 1. A figure that the data do not bear is not given;
the reason is.

References
----------
L. J. Cronbach, "Coefficient alpha and the internal structure of tests", Psychometrika 16 (1951), 297-334.
T. L. Kelley, "The selection of upper and lower groups for the validation of test items", Journal of Educational
Psychology 30 (1939), 17-24 (the 27 %).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, sqrt
from typing import Final

from musictheory_nb.errors import ReportError

#: Fewer students than this, and a correlation or an alpha says nothing; from the second number on it is told without
#: the word of caution. Common practice, no source.
FEWEST: Final = 5
CAUTION_BELOW: Final = 30
#: Share of the class in the upper and in the lower group, and students needed for two groups of at least two.
GROUP_SHARE: Final = 0.27
FEWEST_FOR_GROUPS: Final = 8

Scores = Sequence[Sequence[float]]


@dataclass(frozen=True, slots=True)
class Statistic:
    """A figure, or None and the reason why there is none."""

    value: float | None
    reason: str = ""

    def __str__(self) -> str:
        return f"n/a ({self.reason})" if self.value is None else f"{self.value:.2f}".replace("-", "−")


@dataclass(frozen=True, slots=True)
class ItemStatistics:
    """The figures of one item, over `students` students."""

    students: int
    difficulty: Statistic
    item_total: Statistic
    upper_lower: Statistic
    alpha_without: Statistic


@dataclass(frozen=True, slots=True)
class TableStatistics:
    """The figures of a table: item by item, and alpha of the whole."""

    items: tuple[ItemStatistics, ...]
    alpha: Statistic
    caution: str = ""


def _mean(values: Sequence[float]) -> float:
    return fsum(values) / len(values)


def _variance(values: Sequence[float]) -> float:
    middle = _mean(values)
    return fsum((value - middle) ** 2 for value in values) / (len(values) - 1)


def _nearly_nothing(variance: float, values: Sequence[float]) -> bool:
    return variance <= 1e-12 * max(1.0, max(map(abs, values)) ** 2)


def check_table(table: Scores) -> None:
    """Raise unless every student has a score for every item.

    Raises
    ------
    ReportError
        Rows of different lengths.
    """
    for number, (one, other) in enumerate(pairwise(table), start=2):
        if len(one) != len(other):
            raise ReportError(
                f"row {number} has {len(other)} scores and the one before it {len(one)}; give each student a score for "
                f"each item, 0 where nothing was answered"
            )


def correlation(one: Sequence[float], other: Sequence[float]) -> Statistic:
    """Return the product-moment correlation of two rows of figures.

    Examples
    --------
    >>> str(correlation([1, 2, 3, 4, 5], [2, 4, 6, 8, 10])), str(correlation([1, 1, 1, 1, 1], [1, 2, 3, 4, 5]))
    ('1.00', 'n/a (all scores are the same)')
    """
    if len(one) < FEWEST:
        return Statistic(None, f"fewer than {FEWEST} students")
    first, second = _variance(one), _variance(other)
    if _nearly_nothing(first, one) or _nearly_nothing(second, other):
        return Statistic(None, "all scores are the same")
    middle, level = _mean(one), _mean(other)
    together = fsum((a - middle) * (b - level) for a, b in zip(one, other, strict=True)) / (len(one) - 1)
    return Statistic(max(-1.0, min(1.0, together / sqrt(first * second))))


def upper_lower_index(item: Sequence[float], totals: Sequence[float]) -> Statistic:
    """Return the mean score of the upper 27 % less that of the lower 27 %.

    Students whose totals are equal at the border of a group enter it by their common mean, so that the order of the
    class changes nothing.

    Examples
    --------
    >>> str(upper_lower_index([1, 1, 1, 0, 1, 0, 0, 0], [8, 7, 6, 5, 4, 3, 2, 1])), str(upper_lower_index([1], [1]))
    ('1.00', 'n/a (fewer than 8 students)')
    """
    count = len(item)
    if count < FEWEST_FOR_GROUPS:
        return Statistic(None, f"fewer than {FEWEST_FOR_GROUPS} students")
    size = int(GROUP_SHARE * count + 0.5)
    order = sorted(zip(totals, item, strict=True), key=lambda pair: pair[0])
    if order[size - 1][0] == order[-size][0]:
        return Statistic(None, "upper and lower group have the same totals")
    return Statistic(_group_mean(order[::-1], size) - _group_mean(order, size))


def _group_mean(order: Sequence[tuple[float, float]], size: int) -> float:
    border = order[size - 1][0]
    inside = [score for total, score in order[:size] if total != border]
    level = [score for total, score in order if total == border]
    return (fsum(inside) + (size - len(inside)) * _mean(level)) / size


def cronbach_alpha(table: Scores) -> Statistic:
    """Return Cronbach's alpha: students in rows, items in columns.

    Raises
    ------
    ReportError
        Rows of different lengths.

    Examples
    --------
    >>> str(cronbach_alpha([[0, 0], [1, 1], [0, 0], [1, 1], [1, 1]])), str(cronbach_alpha([[0], [1], [1], [0], [1]]))
    ('1.00', 'n/a (fewer than 2 items)')
    >>> cronbach_alpha([[0, 0], [1]])
    Traceback (most recent call last):
    musictheory_nb.errors.ReportError: row 2 has 1 scores and the one before it 2; give each student a score for each item, 0 where nothing was answered
    """
    check_table(table)
    if len(table) < FEWEST:
        return Statistic(None, f"fewer than {FEWEST} students")
    items = list(zip(*table, strict=True))
    if len(items) < 2:
        return Statistic(None, "fewer than 2 items")
    totals = [fsum(row) for row in table]
    whole = _variance(totals)
    if _nearly_nothing(whole, totals):
        return Statistic(None, "all totals are the same")
    return Statistic(len(items) / (len(items) - 1) * (1 - fsum(map(_variance, items)) / whole))


def statistics_of(table: Scores) -> TableStatistics:
    """Return all figures of a table.

    Parameters
    ----------
    table : sequence of sequence of float
        Students in rows, items in columns; 0 where a student who took part answered nothing. Leave out who did not
        take part at all.

    Raises
    ------
    ReportError
        Rows of different lengths.

    Examples
    --------
    >>> figures = statistics_of([[1, 0], [1, 1], [0, 0]])
    >>> [str(item.difficulty) for item in figures.items], str(figures.alpha)
    (['0.67', '0.33'], 'n/a (fewer than 5 students)')
    """
    check_table(table)
    if not table:
        return TableStatistics((), Statistic(None, "no students with answers"))
    totals = [fsum(row) for row in table]
    items = []
    for at, column in enumerate(zip(*table, strict=True)):
        rest = [total - score for total, score in zip(totals, column, strict=True)]
        without = [[*row[:at], *row[at + 1 :]] for row in table]
        single = len(table[0]) < 2
        items.append(
            ItemStatistics(
                len(table),
                Statistic(_mean(column)),
                Statistic(None, "there is no other item") if single else correlation(column, rest),
                upper_lower_index(column, totals),
                cronbach_alpha(without),
            )
        )
    caution = "" if len(table) >= CAUTION_BELOW else (
        f"Of {len(table)} {'student' if len(table) == 1 else 'students'}: with fewer than {CAUTION_BELOW}, discrimination and alpha "
        f"may differ much from one class to the next."
    )  # fmt: skip
    return TableStatistics(tuple(items), cronbach_alpha(table), caution)
