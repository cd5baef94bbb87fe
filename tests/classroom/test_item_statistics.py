"""Statistics of items against a textbook's printed values and against scipy."""

import numpy as np
import pytest
from scipy import stats

from musictheory_nb.classroom.item_statistics import cronbach_alpha, statistics_of, upper_lower_index
from musictheory_nb.errors import ReportError

#: Daniel J. Denis, "Applied Univariate, Bivariate, and Multivariate Statistics" (Wiley), section on reliability: scores of
#: ten persons on five items, with the output of SPSS that the book prints.
DENIS = [
    [10, 12, 15, 11, 12],
    [12, 18, 12, 12, 1],
    [8, 16, 14, 14, 4],
    [6, 8, 16, 8, 6],
    [4, 7, 8, 7, 5],
    [6, 6, 3, 7, 3],
    [3, 4, 6, 5, 8],
    [7, 3, 7, 9, 9],
    [8, 9, 4, 10, 10],
    [9, 5, 6, 11, 12],
]
DENIS_ALPHA = 0.633
DENIS_MEANS = [7.3, 8.8, 9.1, 9.4, 7.0]
DENIS_CORRECTED_ITEM_1 = 0.712


def test_textbook_values():
    figures = statistics_of(DENIS)
    assert figures.alpha.value == pytest.approx(DENIS_ALPHA, abs=5e-4)
    assert [item.difficulty.value for item in figures.items] == pytest.approx(DENIS_MEANS)
    assert figures.items[0].item_total.value == pytest.approx(DENIS_CORRECTED_ITEM_1, abs=5e-4)


@pytest.fixture(scope="module")
def right_or_wrong():
    """Forty students of different strength, twelve items of different difficulty, marked 0 or 1."""
    draw = np.random.default_rng(20260302)
    strength = draw.normal(size=(40, 1))
    return (strength - np.linspace(-1.2, 1.2, 12) + draw.normal(size=(40, 12)) > 0).astype(float)


def test_item_total_is_scipys_point_biserial_with_the_other_items(right_or_wrong):
    figures = statistics_of(right_or_wrong.tolist())
    for at, item in enumerate(figures.items):
        rest = right_or_wrong.sum(axis=1) - right_or_wrong[:, at]
        assert item.item_total.value == pytest.approx(stats.pointbiserialr(right_or_wrong[:, at], rest).statistic)


def test_alpha_is_the_covariance_form(right_or_wrong):
    """Cronbach 1951: alpha is n mean covariance over (mean variance + (n - 1) mean covariance); covariances by numpy."""
    covariance = np.cov(right_or_wrong, rowvar=False)
    n = len(covariance)
    mean_variance = np.trace(covariance) / n
    mean_covariance = (covariance.sum() - np.trace(covariance)) / (n * (n - 1))
    expected = n * mean_covariance / (mean_variance + (n - 1) * mean_covariance)
    assert cronbach_alpha(right_or_wrong.tolist()).value == pytest.approx(expected)
    without = statistics_of(right_or_wrong.tolist()).items[3].alpha_without
    assert without.value == pytest.approx(cronbach_alpha(np.delete(right_or_wrong, 3, axis=1).tolist()).value)


def test_for_right_and_wrong_alpha_is_kuder_and_richardsons_formula_20(right_or_wrong):
    """KR-20 (Kuder and Richardson, Psychometrika 2, 1937) with variances over n."""
    p = right_or_wrong.mean(axis=0)
    n = len(p)
    expected = n / (n - 1) * (1 - (p * (1 - p)).sum() / right_or_wrong.sum(axis=1).var())
    assert cronbach_alpha(right_or_wrong.tolist()).value == pytest.approx(expected)


def test_upper_lower_index_of_a_class_of_forty():
    """27 % of 40 are 11: 9 right above and 3 right below make 6/11 (the usual worked example of the index)."""
    item = [1] * 9 + [0] * 2 + [1, 0] * 9 + [1] * 3 + [0] * 8
    assert upper_lower_index(item, list(range(40, 0, -1))).value == pytest.approx(6 / 11)


def test_equal_totals_at_the_border_do_not_depend_on_the_order_of_the_class():
    totals = [9, 8, 8, 8, 5, 4, 3, 3, 2, 1]
    item = [1, 1, 0, 0, 1, 0, 1, 0, 0, 0]
    # Three above: the one with 9, and two of the three with 8, of whom one in three is right: (1 + 2/3) / 3; below none of
    # 1 and 2 is right, and one of the two with 3: (1/2) / 3.
    expected = (1 + 2 / 3) / 3 - 0.5 / 3
    assert upper_lower_index(item, totals).value == pytest.approx(expected)
    assert upper_lower_index(item[::-1], totals[::-1]).value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("table", "reason"),
    [
        ([], "no students with answers"),
        ([[1, 0]] * 4, "fewer than 5 students"),
        ([[1], [0], [1], [0], [1]], "fewer than 2 items"),
        ([[1, 0]] * 6, "all totals are the same"),
        ([[0.1, 0.2, 0.3]] * 9, "all totals are the same"),
    ],
)
def test_what_the_data_do_not_bear_is_not_given(table, reason):
    alpha = statistics_of(table).alpha
    assert (alpha.value, alpha.reason) == (None, reason)


def test_an_item_that_all_have_right_has_a_difficulty_and_no_discrimination():
    table = [[1, value] for value in (0, 0, 1, 1, 0, 1, 0, 1)]
    first, second = statistics_of(table).items
    assert first.difficulty.value == 1
    assert first.item_total.reason == second.item_total.reason == "all scores are the same"
    assert second.upper_lower.value == 1


def test_small_classes_are_warned_about(right_or_wrong):
    assert "fewer than 30" in statistics_of(DENIS).caution
    assert statistics_of(right_or_wrong.tolist()).caution == ""


def test_rows_of_different_lengths_are_refused():
    with pytest.raises(ReportError, match="row 3 has 1 scores"):
        statistics_of([[1, 0], [1, 1], [0]])
