"""Rank statistics against published tables and worked examples; the source stands beside each."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from published.ledger import library
from taperback.evidence.exact import holm, orders, spearman, theil_sen
from taperback.evidence.model import Ranked, Slope

AREA = "statistics"

# Smallest |rs| and its exact two-sided P at the 0.10, 0.05 and 0.01 level.
ZAR_SOURCE = "Zar 1972, J Am Stat Assoc 67:578-580; Ramsey 1989, J Educ Stat 14:245-253"
ZAR = {
    4: ((1.000, 0.0833), None, None),
    5: ((0.900, 0.0833), (1.000, 0.0167), None),
    6: ((0.829, 0.0583), (0.886, 0.0333), (1.000, 0.0028)),
    7: ((0.714, 0.0881), (0.786, 0.0480), (0.929, 0.0068)),
    8: ((0.643, 0.0962), (0.738, 0.0458), (0.881, 0.0072)),
}
# Above the enumeration: an order of ranks with the critical rs, and its P by random orders.
ZAR_ABOVE = {9: (0.700, 0.0433), 10: (0.648, 0.0490)}

TUNA_SOURCE = "Hollander and Wolfe 1973: canned tuna, Hunter L value against panel score"
TUNA_X = np.array([44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1])
TUNA_Y = np.array([2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8])

SEN_SOURCE = "Sen 1968, J Am Stat Assoc 63:1379-1389, doi 10.1080/01621459.1968.10480934"
SEN_T = np.array([1, 2, 3, 4, 10, 12, 18.0])
SEN_Y = np.array([9, 15, 19, 20, 45, 55, 78.0])

FIFTEEN_SOURCE = "Benjamini and Hochberg 1995, J R Stat Soc B 57:289-300"
BENJAMINI_HOCHBERG = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240,
    0.4262, 0.5719, 0.6528, 0.7590, 1.000,
)  # fmt: skip


def reached(n: int) -> list[tuple[float, float]]:
    """(statistic, exact two-sided p) for every value above zero that the statistic can take."""
    x = np.arange(float(n))
    index, _ = orders(n)
    score = 1 - 6 * ((index - x) ** 2).sum(axis=1) / (n**3 - n)
    values, places = np.unique(np.round(score, 9), return_index=True)
    pairs = []
    for value, place in zip(values[values > 0], places[values > 0], strict=True):
        result = spearman(x, index[place].astype(float))
        assert isinstance(result, Ranked)
        assert result.estimate == pytest.approx(value, abs=1e-8)
        pairs.append((float(value), result.p_value))
    return pairs


@pytest.mark.parametrize("n", ZAR)
def test_spearman_critical_values_row_for_row(outside, n: int) -> None:
    values, errors = reached(n), []
    for level, told in zip((0.10, 0.05, 0.01), ZAR[n], strict=True):
        within = [pair for pair in values if pair[1] <= level + 1e-12]
        if told is None:
            assert not within
            continue
        assert within[0] == pytest.approx(told, abs=6e-4)
        errors.append(abs(within[0][1] - told[1]))
        if level == (0.05 if n > 4 else 0.10):
            measure = f"exact P of the critical Spearman correlation {told[0]:.3f}, {n} races"
            outside(measure, told[1], within[0][1], 6e-5, ZAR_SOURCE, "published")
    assert max(errors) <= 6e-5


@pytest.mark.parametrize("n", ZAR_ABOVE)
def test_spearman_above_the_enumeration(outside, n: int) -> None:
    critical, exact = ZAR_ABOVE[n]
    x = np.arange(float(n))
    result = spearman(x, order_with(critical, n))
    assert isinstance(result, Ranked)
    assert result.estimate == pytest.approx(critical, abs=6e-4)
    error = 4 * np.sqrt(exact * (1 - exact) / result.orders)
    measure = f"P of the critical Spearman correlation {critical:.3f}, {n} races, random orders"
    outside(measure, exact, result.p_value, float(error), ZAR_SOURCE, "published")


def order_with(correlation: float, n: int) -> np.ndarray:
    """An order of n ranks that has this Spearman correlation with 1..n."""
    index = np.argsort(np.random.default_rng(n).random((200_000, n)), axis=1)
    found = 1 - 6 * ((index - np.arange(n)) ** 2).sum(axis=1) / (n**3 - n)
    return index[int(np.flatnonzero(np.abs(found - correlation) < 6e-4)[0])].astype(float)


def test_theil_sen_of_the_canned_tuna(outside) -> None:
    result = theil_sen(TUNA_X, TUNA_Y)
    assert isinstance(result, Slope)
    measure = "Theil-Sen slope of the tuna"
    outside(measure, 0.129348, result.estimate, 1e-6, TUNA_SOURCE, "recomputed")


def test_theil_sen_of_sens_own_example(outside) -> None:
    result = theil_sen(SEN_T, SEN_Y)
    assert isinstance(result, Slope)
    outside("slope of Sen's own example", 4, result.estimate, 0, SEN_SOURCE, "published")


def test_theil_sen_of_hollander_and_wolfe(outside) -> None:
    x, y = np.arange(1.0, 6), np.array([1.26, 1.27, 1.12, 1.16, 1.03])
    slope = theil_sen(x, y)
    assert isinstance(slope, Slope)
    source = "Hollander and Wolfe, example 9.1"
    outside("Theil-Sen slope of five points", -0.05625, slope.estimate, 1e-9, source, "recomputed")


def test_holms_own_example(outside) -> None:
    adjusted = holm([0.01, 0.04, 0.03, 0.005])
    source = "Holm 1979, Scand J Stat 6:65-70"
    rejected = int((adjusted <= 0.05).sum())
    outside("Holm's own four p-values, rejected at 5%", 2, rejected, 0, source, "published")
    worst = float(np.abs(adjusted - [0.03, 0.06, 0.06, 0.02]).max())
    measure = "Holm's own four p-values adjusted (.03 .06 .06 .02), largest error"
    outside(measure, 0, worst, 1e-12, source, "recomputed")


def test_holm_on_the_fifteen_p_values_rejects_three(outside) -> None:
    rejected = int((holm(BENJAMINI_HOCHBERG) <= 0.05).sum())
    measure = "Holm on fifteen p-values, rejected at 5%"
    outside(measure, 3, rejected, 0, FIFTEEN_SOURCE, "published")


def test_coefficients_agree_with_scipy(outside) -> None:
    worst = np.zeros(2)
    for seed in range(6):  # ties included
        rng = np.random.default_rng(seed)
        x, y = rng.integers(0, 6, 7).astype(float), rng.normal(size=7)
        ours = [test(x, y).estimate for test in (spearman, theil_sen)]
        theirs = [
            stats.spearmanr(x, y).statistic,
            stats.theilslopes(y, x).slope,
        ]
        worst = np.maximum(worst, np.abs(np.subtract(ours, theirs)))
    names = ("spearmanr", "theilslopes")
    for name, error in zip(names, worst.tolist(), strict=True):
        measure = f"{name} of six tables with ties, largest error"
        outside(measure, 0, error, 1e-12, library("scipy", f"stats.{name}"), "reference library")


@pytest.mark.parametrize("n", [5, 6])
def test_permutation_p_agrees_with_scipys_permutation_test(outside, n: int) -> None:
    rng = np.random.default_rng(n)
    x, y = rng.normal(size=n), rng.normal(size=n)
    theirs = stats.permutation_test(
        (y,),
        lambda values: abs(stats.spearmanr(x, values).statistic),
        permutation_type="pairings",
        n_resamples=np.inf,
        alternative="greater",
    )
    ours = spearman(x, y)
    assert isinstance(ours, Ranked)
    measure = f"two-sided permutation P of Spearman's correlation, {n} races"
    source = library("scipy", "stats.permutation_test over all orders")
    outside(measure, theirs.pvalue, ours.p_value, 1e-12, source, "reference library")
