"""The beliefs after each of many studies at once, for the benchmark of the advice.

The same algebra as `taperback.evidence.additive.posterior`, over a stack of studies of one size
with nothing missing; a test compares the two.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp, ndtr
from scipy.stats import rankdata

from taperback.common.limits import LIMITS
from taperback.common.published import PUBLISHED
from taperback.evidence.additive import CURVE, KNOTS, Prior, bits_moved, design_rows, posterior
from taperback.evidence.effects import curve_at, effect_of
from taperback.evidence.exact import SAME_DECIMALS, holm, orders
from taperback.evidence.priors import published_best
from taperback.evidence.rule import allowed_cuts
from taperback.evidence.strength import Signs, strength


@dataclass(frozen=True)
class Many:
    """Beliefs of s studies about f linear combinations of the parameters.

    Attributes:
        weight: of each size of noise; shape (s, g).
        each, sd: mean and SD given each size of noise; shape (s, g, f).
        curve: expected curve; shape (s, 41). noise: expected size of the noise; shape (s,).
    """

    weight: np.ndarray
    each: np.ndarray
    sd: np.ndarray
    curve: np.ndarray
    noise: np.ndarray

    def quantile(self, level: float) -> np.ndarray:
        """The value below which each combination lies with that probability; shape (s, f)."""
        low = (self.each - 8 * self.sd).min(axis=1)
        high = (self.each + 8 * self.sd).max(axis=1)
        for _ in range(30):
            middle = (low + high) / 2
            reached = ndtr((middle[:, None] - self.each) / self.sd)
            below = np.einsum("sg,sgf->sf", self.weight, reached) < level
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        return (low + high) / 2


def posteriors(prior: Prior, x: np.ndarray, y: np.ndarray, of: np.ndarray) -> Many:
    """The beliefs after each study.

    Args:
        prior: the beliefs before.
        x, y: exposures, shape (s, n, m), and outcomes, shape (s, n), in order of time.
        of: linear combinations of the parameters; shape (f, p), or (s, f, p) where each study has
            its own.
    """
    mean, covariance = prior.mean(), prior.covariance()
    studies, n = y.shape
    order = np.tile(np.arange(n), studies)
    rows = design_rows(prior, x.reshape(-1, x.shape[2]), order - order.mean())
    rows = rows.reshape(studies, n, -1)
    variance, axes = np.linalg.eigh(rows @ covariance @ rows.transpose(0, 2, 1))
    turned = axes.transpose(0, 2, 1)
    total = np.maximum(variance, 0.0)[:, None] + prior.noise[None, :, None] ** 2
    off = (turned @ (y - rows @ mean)[..., None])[..., 0]
    reach = turned @ rows @ covariance
    logs = np.log(prior.noise_weight)
    logs = logs - 0.5 * (np.log(total) + off[:, None] ** 2 / total).sum(axis=2)
    weight = np.exp(logs - logsumexp(logs, axis=1, keepdims=True))
    of = np.broadcast_to(of, (studies, *of.shape[-2:]))
    asked = reach @ of.transpose(0, 2, 1)
    pull = off[:, None] / total
    before = np.einsum("sfp,pq,sfq->sf", of, covariance, of, optimize=True)
    left = before[:, None] - (1 / total) @ asked**2
    curve = np.einsum("sg,sgn,snk->sk", weight, pull, reach[..., CURVE], optimize=True)
    return Many(
        weight,
        (of @ mean)[:, None] + pull @ asked,
        np.sqrt(np.maximum(left, 1e-18)),
        prior.curve_mean + curve,
        weight @ prior.noise,
    )


def best_cuts(many: Many, x: np.ndarray) -> np.ndarray:
    """The cut that each study's rule names as best; shape (s,)."""
    inside = np.array([np.isin(KNOTS, allowed_cuts(one)[0]) for one in x])
    expected = np.where(inside, many.curve, -np.inf)
    highest = np.argmax(expected, axis=1)
    worthwhile = PUBLISHED.noise.worthwhile_share.value * many.noise
    good = expected >= (expected.max(axis=1) - worthwhile)[:, None]
    published = int(np.argmin(np.abs(KNOTS - published_best())))
    between = (np.arange(len(KNOTS)) - published) * (highest - published)[:, None] >= 0
    between &= np.abs(np.arange(len(KNOTS)) - published) <= np.abs(highest - published)[:, None]
    return np.where((good | ~between).all(axis=1), KNOTS[published], KNOTS[highest])


def rank_tests(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sign of each study's rank correlation and its exact or simulated p; (s, n) to (s,) each.

    As `taperback.evidence.exact.spearman`, for outcomes without ties.
    """
    middle = (y.shape[1] + 1) / 2
    a, b = rankdata(x, axis=1) - middle, rankdata(y, axis=1) - middle
    observed = (a * b).sum(axis=1)
    shuffled = (orders(y.shape[1])[0] - (middle - 1)) @ a.T
    p = np.mean(np.abs(shuffled) >= np.abs(observed) - 1e-6, axis=0)
    alike = np.ptp(x, axis=1) == 0
    return np.where(alike, np.nan, np.sign(observed)), np.where(alike, np.nan, p)


def words_of(prior: Prior, x: np.ndarray, y: np.ndarray) -> list[list[str]]:
    """Every factor's strength in each study, shape (s, m), where a larger outcome is better."""
    return [
        [strength(signs, LIMITS.strength) for signs in study] for study in signs_of(prior, x, y)
    ]


def signs_of(prior: Prior, x: np.ndarray, y: np.ndarray) -> list[list[Signs]]:
    """What each factor's strength is read from in each study, shape (s, m)."""
    dose = x.copy()
    dose[..., 0] = np.interp(x[..., 0], KNOTS, prior.curve_mean)
    dose = dose.round(SAME_DECIMALS)
    tests = [rank_tests(dose[..., place], y) for place in range(x.shape[2])]
    p_holm = np.array([holm(p) for p in np.array([p for _, p in tests]).T])
    time = np.tile(np.arange(y.shape[1]), (len(y), 1))
    results_p = rank_tests(time, y)[1]
    columns = []
    for place, (direction, _) in enumerate(tests):
        with_time = np.maximum(rank_tests(dose[..., place], time)[1], results_p)
        columns.append(
            zip(
                *_believed(prior, x, y, _contrasts(place, x, dose)),
                p_holm[:, place],
                direction,
                [y.shape[1]] * len(y),
                with_time <= LIMITS.strength.with_time_p,
                strict=True,
            )
        )
    return [[Signs(*values) for values in study] for study in zip(*columns, strict=True)]


def _contrasts(place: int, x: np.ndarray, dose: np.ndarray) -> np.ndarray:
    """What a factor's word is asked of in each study; shape (s, p)."""
    if place:
        return np.tile(effect_of(place), (len(x), 1))
    studies = np.arange(len(x))
    ends = (np.argmax(dose[..., 0], axis=1), np.argmin(dose[..., 0], axis=1))
    highest, lowest = (curve_at(x[studies, end, 0]) for end in ends)
    return highest - lowest


def _believed(
    prior: Prior, x: np.ndarray, y: np.ndarray, of: np.ndarray
) -> tuple[np.ndarray, np.ndarray, list[float]]:
    """(chance that it helps before, and after the races, bits moved); `of` is (s, p)."""
    before, after = posterior(prior, x[0, :0], y[0, :0]), posteriors(prior, x, y, of[:, None])
    weight, each, sd = after.weight, after.each[..., 0], after.sd[..., 0]
    mean = (weight * each).sum(axis=1)
    spread = np.sqrt((weight * (sd**2 + each**2)).sum(axis=1) - mean**2)
    was = zip(*before.moments(of), strict=True)
    bits = [
        bits_moved(one, two) for one, two in zip(was, zip(mean, spread, strict=True), strict=True)
    ]
    return before.above_zero(of), (weight * ndtr(each / sd)).sum(axis=1), bits
