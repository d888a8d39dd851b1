"""Exact rank statistics against published tables and worked examples."""

from __future__ import annotations

import tracemalloc
from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.evidence import exact
from taperback.evidence.exact import (
    holm,
    orders,
    permutation_p,
    spearman,
    theil_sen,
    why_not,
)
from taperback.evidence.model import Ranked, Refusal, Slope

NUMBERS = st.lists(st.integers(-50, 50), min_size=4, max_size=6, unique=True)


def ranked(result: object) -> Ranked:
    assert isinstance(result, Ranked)
    return result


def slope(x: list[float], y: list[float]) -> Slope:
    result = theil_sen(np.array(x, float), np.array(y, float))
    assert isinstance(result, Slope)
    return result


def test_five_races_in_perfect_order_have_two_in_120() -> None:
    result = ranked(spearman(np.arange(5), np.arange(5)))
    assert result.p_value == pytest.approx(2 / 120)
    assert (result.how, result.orders) == ("enumeration", 120)


def test_above_eight_races_orders_are_drawn_from_a_seed() -> None:
    x = np.arange(10.0)
    y = np.array([2, 1, 4, 3, 6, 5, 8, 7, 10, 9.0])
    first, second = ranked(spearman(x, y)), ranked(spearman(x, y))
    assert first == second
    assert (first.how, first.orders) == ("monte carlo", 20_000)
    assert 0 < first.p_value < 0.001


def test_every_order_is_there_once() -> None:
    index, how = orders(4)
    assert how == "enumeration"
    assert len({tuple(row) for row in index.tolist()}) == 24
    assert index[0].tolist() == [0, 1, 2, 3]


def test_leaving_each_race_out_gives_the_range_of_the_slope() -> None:
    result = slope([1, 2, 3, 4, 10], [1, 2, 3, 4, 0])
    without = dict(result.without)
    assert without["4"] == 1.0
    assert (result.low, result.high) == (min(without.values()), max(without.values()))


@pytest.mark.parametrize(
    ("x", "y", "had"),
    [
        ([1, 2, 3], [1, 2, 3], "3 races"),
        ([1], [1], "1 race"),
        ([2, 2, 2, 2], [1, 2, 3, 4], "4 races that are all alike in one of the two"),
        ([1, 2, 3, 4], [5, 5, 5, 5], "4 races that are all alike in one of the two"),
    ],
)
def test_too_few_or_too_alike_is_refused_with_the_reason(
    x: list[float], y: list[float], had: str
) -> None:
    for result in (spearman, theil_sen):
        refusal = result(np.array(x, float), np.array(y, float))
        assert isinstance(refusal, Refusal)
        assert refusal.had == had
        assert refusal.remedy


def test_holm_counts_a_question_that_could_not_be_tested() -> None:
    adjusted = holm([0.01, float("nan"), 0.04])
    assert adjusted[0] == pytest.approx(0.03)
    assert np.isnan(adjusted[1])
    assert adjusted[2] == pytest.approx(0.08)


def test_a_hundred_races_need_no_gigabytes() -> None:
    rng = np.random.default_rng(1)
    x, y = rng.normal(size=100), rng.normal(size=100)
    orders(100)  # kept by the module, and no part of the question
    tracemalloc.start()
    theil_sen(x, y)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 150e6


@settings(max_examples=30, deadline=None)
@given(NUMBERS, st.randoms(use_true_random=False))
def test_order_of_races_and_units_change_nothing(x: list[int], random: object) -> None:
    y = [3 * value % 17 + value / 10 for value in x]
    if np.ptp(y) == 0:
        return
    place = list(range(len(x)))
    random.shuffle(place)  # type: ignore[attr-defined]
    a, b = np.array(x, float), np.array(y)
    plain, mixed = ranked(spearman(a, b)), ranked(spearman(a[place], b[place]))
    assert mixed.estimate == pytest.approx(plain.estimate)
    assert mixed.p_value == pytest.approx(plain.p_value)
    scaled = ranked(spearman(100 * a + 7, b))
    assert scaled.p_value == pytest.approx(plain.p_value)
    assert slope(list(60 * a), list(b)).estimate == pytest.approx(
        slope(list(a), list(b)).estimate / 60
    )


DONE = "the races are shown, and no number is given"
SURER = "a number would look surer than it is"


def test_a_refusal_tells_all_five_parts() -> None:
    needed = "at least 4 races that differ in both"
    few = why_not(np.arange(3.0), np.arange(3.0))
    assert few == Refusal(needed, "3 races", DONE, SURER, "more races with a known value")
    alike = why_not(np.ones(4), np.arange(4.0))
    had = "4 races that are all alike in one of the two"
    assert alike == Refusal(needed, had, DONE, SURER, "a race week that differs")
    assert why_not(np.arange(4.0), np.arange(4.0)) is None


def test_each_answer_says_what_it_is() -> None:
    rank = ranked(spearman(np.arange(5), np.arange(5)))
    assert (rank.method, rank.n, rank.estimate) == ("spearman", 5, pytest.approx(1.0))
    assert ranked(spearman(np.arange(8), np.arange(8))).how == "enumeration"
    assert ranked(spearman(np.arange(9), np.arange(9))).how == "monte carlo"


def test_orders_that_tie_with_the_observed_one_count_as_far() -> None:
    shuffled = np.array([0.5, -0.5, 0.5 - 1e-12, 0.4, -0.6])
    assert permutation_p(0.5, shuffled) == pytest.approx(4 / 5)
    assert permutation_p(-0.5, shuffled) == pytest.approx(4 / 5)


def test_theil_sen_with_its_line_and_its_p_value() -> None:
    # Hollander and Wolfe, example 9.1 (recomputed): two-sided P .2333
    x, y = [1, 2, 3, 4, 5], [1.26, 1.27, 1.12, 1.16, 1.03]
    result = slope(x, y)
    assert (result.n, result.how, result.orders) == (5, "enumeration", 120)
    # the median of 1.31625, 1.3825, 1.28875, 1.385, 1.31125
    assert result.intercept == pytest.approx(1.31625)
    slopes = [
        abs(np.median([(y[b[j]] - y[b[i]]) / (j - i) for i, j in combinations(range(5), 2)]))
        for b in permutations(range(5))
    ]
    expected = np.mean(np.array(slopes) >= 0.05625 - 1e-9)
    assert result.p_value == pytest.approx(expected)


def test_pairs_of_races_with_the_same_value_give_no_slope() -> None:
    # 1 and 3 from the first race, 1 and 3 from the second; the pairs of equals say nothing
    result = slope([0, 0, 1, 1], [0, 0, 1, 3])
    assert result.estimate == 2.0
    assert [name for name, _ in result.without] == ["0", "1", "2", "3"]


def test_a_race_without_which_all_are_alike_has_no_slope_without_it() -> None:
    labelled = theil_sen(np.array([1.0, 1, 1, 2]), np.array([0.0, 1, 2, 5]), ["a", "b", "c", "d"])
    assert isinstance(labelled, Slope)
    # without a: 3 and 4; without b: 3 and 5; without c: 4 and 5
    assert labelled.without == (("a", 3.5), ("b", 4.0), ("c", 4.5))
    assert (labelled.low, labelled.high, labelled.estimate) == (3.5, 4.5, 4.0)


def test_holm_never_lets_a_larger_p_become_the_smaller_and_stops_at_one() -> None:
    # 3 x 0.02 = 0.06, 2 x 0.025 = 0.05 held up to 0.06, 1 x 0.9
    assert holm([0.025, 0.9, 0.02]).tolist() == pytest.approx([0.06, 0.9, 0.06])
    assert holm([0.6, 0.7]).tolist() == [1.0, 1.0]


@pytest.mark.parametrize("seed", range(24))
def test_counting_slopes_says_the_same_of_every_order_as_their_median(seed: int) -> None:
    """With ties in both and, for every other seed, an even number of slopes."""
    rng = np.random.default_rng(seed)
    n = 4 + seed % 9
    x = rng.integers(0, 5, n) / 10 if seed % 3 else rng.normal(0, 1, n)
    y = rng.integers(-3, 4, n).astype(float) if seed % 2 else rng.normal(0, 1, n).round(9)
    x[0] += 1.0
    many = y[exact.orders(n)[0]][:3000]
    medians = np.abs(exact._slopes(x, many))
    for least in (0.0, abs(float(medians[0])) - 1e-9, float(np.quantile(medians, 0.9)) - 1e-9):
        assert exact._as_steep(x, many, least).tolist() == (medians >= least).tolist()
