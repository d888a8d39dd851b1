"""A fitted line: its interval, its influence, and when it is refused."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from taperback.evidence.classical import line, why_not
from taperback.evidence.model import Classical, Refusal

X = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0])
Y = np.array([0.1, 1.2, 1.9, 3.1, 3.9, 12.0])
"""A line of slope one, and a last race far off it."""
LABELS = tuple("abcdef")


def fitted(x: np.ndarray = X, y: np.ndarray = Y) -> Classical:
    result = line(x, y, LABELS[: len(x)])
    assert isinstance(result, Classical)
    return result


def test_the_interval_and_the_p_value_are_students_with_n_minus_two() -> None:
    # SciPy's t distribution around the HC3 standard error
    result = fitted()
    assert result.n == 6
    reach = stats.t.ppf(0.95, 4) * result.standard_error
    assert (result.low, result.high) == pytest.approx(
        (result.estimate - reach, result.estimate + reach)
    )
    statistic = abs(result.estimate / result.standard_error)
    assert result.p_value == pytest.approx(2 * stats.t.sf(statistic, 4))


def test_the_race_that_carries_the_line_is_told_by_its_dfbetas() -> None:
    """Belsley, Kuh and Welsch 1980: the slope's move in standard errors without the race."""
    result = fitted()
    assert result.carried_by == "f"
    moves = [abs(dfbetas(place)) for place in range(6)]
    assert int(np.argmax(moves)) == 5
    low = fitted(y=np.array([-9.0, 1.2, 1.9, 3.1, 3.9, 5.1]))
    assert low.carried_by == "a"
    down = fitted(y=np.array([9.0, 1.2, 1.9, 3.1, 3.9, 5.1]))
    assert down.carried_by == "a"


def dfbetas(place: int) -> float:
    """The slope's move without that race, in standard errors."""
    x, y = np.delete(X, place), np.delete(Y, place)
    without = stats.linregress(x, y)
    residual = y - without.intercept - without.slope * x
    spread = np.sqrt(residual @ residual / 3 / ((X - X.mean()) ** 2).sum())
    return float((stats.linregress(X, Y).slope - without.slope) / spread)


def test_five_races_are_enough_and_a_perfect_line_is_no_error() -> None:
    assert fitted(X[:5], Y[:5]).n == 5
    perfect = fitted(X[:5], 2 * X[:5] + 1)
    assert (perfect.estimate, perfect.intercept) == pytest.approx((2.0, 1.0))
    assert perfect.carried_by in "abcdef"


DONE = "the rank statistics and the published estimate are given"
DIFFER = "race weeks that differ, no single one of which sets the line"
LUCK = "the one race's luck would be read as an effect"


@pytest.mark.parametrize(("n", "had"), [(0, "0 races"), (1, "1 race"), (4, "4 races")])
def test_too_few_races_are_refused(n: int, had: str) -> None:
    assert line(X[:n], Y[:n], LABELS[:n]) == Refusal(
        "at least 5 races with a known value",
        had,
        DONE,
        "its interval would be far too narrow or absurdly wide",
        "more races with a known value",
    )


def test_races_that_all_came_out_alike_are_refused() -> None:
    assert line(X, np.ones(6), LABELS) == Refusal(
        "races that came out differently",
        "all races came out alike",
        DONE,
        "a line without any scatter would look certain",
        "another race",
    )


@pytest.mark.parametrize(
    ("x", "found"),
    [
        ([1, 1, 1, 1, 1], "one value in all races"),
        (
            [1, 1, 1, 1, 2],
            "one value in all races but one, so that one race alone would set the line",
        ),
        (
            [3, 1, 1, 1, 1],
            "one value in all races but one, so that one race alone would set the line",
        ),
    ],
)
def test_race_weeks_that_are_too_alike_are_refused(x: list[int], found: str) -> None:
    refusal = Refusal(DIFFER, found, DONE, LUCK, "another race week that differs")
    assert why_not(np.array(x, float), Y[:5]) == refusal


@pytest.mark.parametrize("x", [[1, 1, 1, 2, 2], [1, 1, 1, 2, 3]])
def test_two_races_that_differ_from_the_rest_are_enough(x: list[int]) -> None:
    assert why_not(np.array(x, float), Y[:5]) is None
