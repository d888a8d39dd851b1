"""Rank statistics against published tables and worked examples; the source stands beside each."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from taperback.evidence.exact import holm, kendall, orders, spearman, theil_sen
from taperback.evidence.model import Ranked, Slope

# Zar 1972, J Am Stat Assoc 67:578-580; Ramsey 1989, J Educ Stat 14:245-253 (confirmed): smallest
# |rs| and its exact two-sided P at the 0.10, 0.05 and 0.01 level.
ZAR = {
    4: ((1.000, 0.0833), None, None),
    5: ((0.900, 0.0833), (1.000, 0.0167), None),
    6: ((0.829, 0.0583), (0.886, 0.0333), (1.000, 0.0028)),
    7: ((0.714, 0.0881), (0.786, 0.0480), (0.929, 0.0068)),
    8: ((0.643, 0.0962), (0.738, 0.0458), (0.881, 0.0072)),
}
# Two-sided 5% critical tau and its exact P: recomputed figures, no published table at hand.
TAU = {5: (1.000, 0.0167), 6: (0.867, 0.0167), 7: (0.714, 0.0302), 8: (0.643, 0.0312)}

# Hollander and Wolfe 1973: canned tuna, Hunter L value against panel score.
TUNA_X = np.array([44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1])
TUNA_Y = np.array([2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8])

# Sen 1968, J Am Stat Assoc 63:1379-1389, doi 10.1080/01621459.1968.10480934.
SEN_T = np.array([1, 2, 3, 4, 10, 12, 18.0])
SEN_Y = np.array([9, 15, 19, 20, 45, 55, 78.0])

# Benjamini and Hochberg 1995, J R Stat Soc B 57:289-300.
BENJAMINI_HOCHBERG = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240,
    0.4262, 0.5719, 0.6528, 0.7590, 1.000,
)  # fmt: skip


def reached(n: int, method: str) -> list[tuple[float, float]]:
    """(statistic, exact two-sided p) for every value above nought that the statistic can take."""
    x = np.arange(float(n))
    index, _ = orders(n)
    test = spearman if method == "spearman" else kendall
    first, second = np.triu_indices(n, 1)
    score = {
        "spearman": lambda: 1 - 6 * ((index - x) ** 2).sum(axis=1) / (n**3 - n),
        "kendall": lambda: np.sign(index[:, second] - index[:, first]).mean(axis=1),
    }[method]()
    values, places = np.unique(np.round(score, 9), return_index=True)
    pairs = []
    for value, place in zip(values[values > 0], places[values > 0], strict=True):
        result = test(x, index[place].astype(float))
        assert isinstance(result, Ranked)
        assert result.estimate == pytest.approx(value, abs=1e-8)
        pairs.append((float(value), result.p_value))
    return pairs


@pytest.mark.parametrize("n", ZAR)
def test_spearman_critical_values_row_for_row(n: int) -> None:
    values = reached(n, "spearman")
    for level, told in zip((0.10, 0.05, 0.01), ZAR[n], strict=True):
        within = [pair for pair in values if pair[1] <= level + 1e-12]
        if told is None:
            assert not within
        else:
            assert within[0][0] == pytest.approx(told[0], abs=6e-4)
            assert within[0][1] == pytest.approx(told[1], abs=6e-5)


@pytest.mark.parametrize("n", TAU)
def test_kendall_critical_values(n: int) -> None:
    within = [pair for pair in reached(n, "kendall") if pair[1] <= 0.05]
    assert within[0][0] == pytest.approx(TAU[n][0], abs=6e-4)
    assert within[0][1] == pytest.approx(TAU[n][1], abs=6e-5)


def test_kendall_of_the_canned_tuna() -> None:
    result = kendall(TUNA_X, TUNA_Y)
    assert isinstance(result, Ranked)
    assert result.estimate == pytest.approx(0.4444, abs=5e-5)
    # nine races are above the enumeration: the published exact P, within Monte Carlo error
    error = 4 * np.sqrt(0.11944 * 0.88056 / result.orders)
    assert result.p_value == pytest.approx(0.11944, abs=error)


def test_theil_sen_of_the_canned_tuna() -> None:
    result = theil_sen(TUNA_X, TUNA_Y)
    assert isinstance(result, Slope)
    assert result.estimate == pytest.approx(0.129348, abs=1e-6)


def test_theil_sen_of_sens_own_example() -> None:
    result = theil_sen(SEN_T, SEN_Y)
    assert isinstance(result, Slope)
    assert result.estimate == 4.0


def test_theil_sen_of_hollander_and_wolfe() -> None:
    # Hollander and Wolfe, example 9.1 (recomputed): slope -0.05625, two-sided P .2333
    result = theil_sen(np.arange(1.0, 6), np.array([1.26, 1.27, 1.12, 1.16, 1.03]))
    assert isinstance(result, Slope)
    assert result.estimate == pytest.approx(-0.05625)


def test_holms_own_example() -> None:
    # Holm 1979, Scand J Stat 6:65-70: rejects .005 and .01; adjusted values recomputed
    adjusted = holm([0.01, 0.04, 0.03, 0.005])
    assert adjusted.tolist() == pytest.approx([0.03, 0.06, 0.06, 0.02])


def test_holm_on_the_fifteen_p_values_rejects_three() -> None:
    assert int((holm(BENJAMINI_HOCHBERG) <= 0.05).sum()) == 3


@pytest.mark.parametrize("seed", range(6))
def test_coefficients_agree_with_scipy(seed: int) -> None:
    # SciPy 1.17, stats.spearmanr, kendalltau and theilslopes; ties included
    rng = np.random.default_rng(seed)
    x, y = rng.integers(0, 6, 7).astype(float), rng.normal(size=7)
    rank, tau, line = spearman(x, y), kendall(x, y), theil_sen(x, y)
    assert isinstance(rank, Ranked)
    assert isinstance(tau, Ranked)
    assert isinstance(line, Slope)
    assert rank.estimate == pytest.approx(stats.spearmanr(x, y).statistic)
    assert tau.estimate == pytest.approx(stats.kendalltau(x, y).statistic)
    assert line.estimate == pytest.approx(stats.theilslopes(y, x).slope)


@pytest.mark.parametrize("n", [5, 6])
def test_permutation_p_agrees_with_scipys_permutation_test(n: int) -> None:
    # SciPy 1.17, stats.permutation_test over all orders
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
    assert ours.p_value == pytest.approx(theirs.pvalue, abs=1e-12)
