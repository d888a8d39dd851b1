"""Exact rank statistics against published tables and worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.evidence.exact import holm, kendall, orders, spearman, theil_sen
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
    for result in (spearman, kendall, theil_sen):
        refusal = result(np.array(x, float), np.array(y, float))
        assert isinstance(refusal, Refusal)
        assert refusal.had == had
        assert refusal.remedy


def test_holm_leaves_unknown_p_values_out() -> None:
    adjusted = holm([0.01, float("nan"), 0.04])
    assert adjusted[0] == pytest.approx(0.02)
    assert np.isnan(adjusted[1])
    assert adjusted[2] == pytest.approx(0.04)


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
