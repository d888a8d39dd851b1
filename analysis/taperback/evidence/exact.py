"""Rank statistics for a handful of races: exact where all orders can be looked at.

With five races a table of critical values or an approximation is wrong; the p-value here is the
share of all n! orders of the outcome, or of a seeded sample of them, that give a statistic at
least as far from zero.

References:
    Zar 1972, J Am Stat Assoc 67:578-580 (exact Spearman). Sen 1968, J Am Stat Assoc 63:1379-1389,
    doi 10.1080/01621459.1968.10480934. Holm 1979, Scand J Stat 6:65-70.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import permutations

import numpy as np
from scipy.stats import rankdata

from taperback.evidence.model import Ranked, Refusal, Slope

MOST_ENUMERATED = 8
"""Up to this many races all orders are looked at: 8! = 40,320."""
MONTE_CARLO_ORDERS = 19_999
"""Random orders above that; with the observed one they make p-values in steps of 1 in 20,000."""
SEED = 20_241_006
FEWEST = 4
"""With three races even a perfect order has p = 1/3."""

SAME_DECIMALS = 9
"""Decimals beyond which values differ by the rounding of floats alone, which no rank may show."""
_TIE = 1e-9
_AT_ONCE = 500
"""Orders looked at in one go: all of them at once would need gigabytes with 100 races."""


@cache
def orders(n: int) -> tuple[np.ndarray, str]:
    """(orders as indices, shape (m, n), how they were chosen), the observed order among them."""
    if n <= MOST_ENUMERATED:
        return np.array(list(permutations(range(n))), dtype=np.int64), "enumeration"
    rng = np.random.default_rng(SEED)
    random = np.argsort(rng.random((MONTE_CARLO_ORDERS, n)), axis=1)
    return np.vstack([np.arange(n), random]), "monte carlo"


def permutation_p(observed: float, shuffled: np.ndarray) -> float:
    """Two-sided p: the share of orders at least as far from zero as the observed one."""
    return float(np.mean(np.abs(shuffled) >= abs(observed) - _TIE))


def spearman(x: np.ndarray, y: np.ndarray) -> Ranked | Refusal:
    """Spearman's rank correlation of two arrays of shape (n,), ties by mean rank."""
    refusal = why_not(x, y)
    if refusal:
        return refusal
    index, how = orders(len(x))
    a, b = (rankdata(values) - (len(values) + 1) / 2 for values in (x, y))
    values = _in_blocks(index, lambda some: b[some] @ a / np.sqrt((a @ a) * (b @ b)))
    # enumeration starts with the identity, and Monte Carlo puts it first
    observed = float(values[0])
    return Ranked("spearman", len(x), observed, permutation_p(observed, values), how, len(index))


def _in_blocks(index: np.ndarray, statistic: Callable[[np.ndarray], np.ndarray]) -> np.ndarray:
    """The statistic of every order, shape (m,), some orders at a time."""
    starts = range(0, len(index), _AT_ONCE)
    return np.concatenate([statistic(index[start : start + _AT_ONCE]) for start in starts])


def theil_sen(x: np.ndarray, y: np.ndarray, labels: Sequence[str] | None = None) -> Slope | Refusal:
    """The median of all pairwise slopes, its permutation p, and its range without each race.

    Args:
        x, y: shape (n,).
        labels: names of the n races; by default their places.
    """
    refusal = why_not(x, y)
    if refusal:
        return refusal
    names = list(labels) if labels is not None else [str(place) for place in range(len(x))]
    index, how = orders(len(x))
    estimate = float(_slopes(x, y[None, :])[0])
    least = abs(estimate) - _TIE
    p_value = float(np.mean(_in_blocks(index, lambda some: _as_steep(x, y[some], least))))
    without = tuple(
        (name, float(_slopes(np.delete(x, place), np.delete(y, place)[None, :])[0]))
        for place, name in enumerate(names)
        if np.ptp(np.delete(x, place)) > 0
    )
    slopes = [slope for _, slope in without]
    return Slope(
        len(x),
        estimate,
        float(np.median(y - estimate * x)),
        p_value,
        how,
        len(index),
        without,
        min(slopes, default=estimate),
        max(slopes, default=estimate),
    )


def _slopes(x: np.ndarray, many_y: np.ndarray) -> np.ndarray:
    """Theil-Sen slope of each row of `many_y`, shape (m, n), over x, shape (n,)."""
    first, second = np.triu_indices(len(x), 1)
    run = x[second] - x[first]
    apart = run != 0
    first, second, run = first[apart], second[apart], run[apart]
    slopes: np.ndarray = np.median((many_y[:, second] - many_y[:, first]) / run, axis=1)
    return slopes


def _as_steep(x: np.ndarray, many_y: np.ndarray, least: float) -> np.ndarray:
    """Whether the Theil-Sen slope of each row is at least so far from zero; shape (m,).

    A median reaches `least` where more than half of the slopes do, and counting them is a tenth of
    the work; only where exactly half do, the median itself is looked at.
    """
    order = np.argsort(x, kind="stable")
    run, before = x[order], np.searchsorted(x[order], x[order])
    pairs = int(before.sum())
    y = many_y.T[order]
    reached = np.zeros(len(many_y), bool)
    in_doubt = reached.copy()
    for up in (1.0, -1.0):
        left = up * y - least * run[:, None]
        count = np.zeros(len(many_y), np.int64)
        for place, first in enumerate(before):
            count += np.count_nonzero(left[:first] <= left[place], axis=0)
        reached |= 2 * count > pairs
        in_doubt |= 2 * count == pairs
    some = np.flatnonzero(in_doubt & ~reached)
    reached[some] = np.abs(_slopes(x, many_y[some])) >= least
    return reached


def why_not(x: np.ndarray, y: np.ndarray) -> Refusal | None:
    """Why a rank statistic would say nothing, or None."""
    needed = f"at least {FEWEST} races that differ in both"
    done = "the races are shown, and no number is given"
    direction = "a number would look surer than it is"
    if len(x) < FEWEST:
        had = f"{len(x)} race{'' if len(x) == 1 else 's'}"
        return Refusal(needed, had, done, direction, "more races with a known value")
    if np.ptp(x) == 0 or np.ptp(y) == 0:
        had = f"{len(x)} races that are all alike in one of the two"
        return Refusal(needed, had, done, direction, "a race week that differs")
    return None


def holm(p_values: Sequence[float]) -> np.ndarray:
    """Holm-adjusted p-values, shape (m,).

    NaN stays NaN and counts all the same: what could not be tested was asked, too, and leaving it
    out would make the same races look surer where less is known.

    >>> holm([0.01, 0.04, 0.03, 0.005]).round(2).tolist()
    [0.03, 0.06, 0.06, 0.02]
    """
    p = np.asarray(p_values, float)
    adjusted = np.full(len(p), np.nan)
    known = np.flatnonzero(np.isfinite(p))
    order = known[np.argsort(p[known], kind="stable")]
    factors = len(p) - np.arange(len(order))
    adjusted[order] = np.minimum(np.maximum.accumulate(factors * p[order]), 1.0)
    return adjusted
