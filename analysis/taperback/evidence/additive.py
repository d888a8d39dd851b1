"""What was published and what this athlete's races say, put together in closed form.

    outcome = level + curve(first factor) + sum of effect x factor + trend x order + noise

Everything is Gaussian given the size of the noise, so that means and intervals are arithmetic and
not sampling; the noise is integrated over a grid. The curve is piecewise linear on knots every 5%,
with a smooth prior around the published dose-response that is zero where nothing is changed.

References:
    Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, ch. 2 (the algebra).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.special import logsumexp, ndtr

from taperback.evidence.model import INTERVAL, Estimate

KNOTS = np.round(np.arange(-1.0, 1.0001, 0.05), 2)
"""Where the curve may bend: fractions of the first factor; shape (41,)."""
_ORIGIN = int(np.argmin(np.abs(KNOTS)))
LEVEL, CURVE, TREND = 0, slice(1, 1 + len(KNOTS)), -1
"""Where the parameters hold the level, the curve at `KNOTS` and the trend."""
EFFECTS = slice(1 + len(KNOTS), -1)
"""Where the parameters hold the effects of the straight factors."""


@dataclass(frozen=True)
class Prior:
    """What is believed before any race is seen, in outcome units.

    Attributes:
        factors: names of all factors, the one with the curve first.
        neutral: the value of each factor at which nothing is changed; shape (m,).
        curve_mean: expected outcome at `KNOTS` relative to no change; shape (41,).
        curve_sd, length_scale: how far, and how smoothly, an athlete's own curve may differ.
        shift: covariance added because the place of the best differs between athletes; (41, 41).
        effect_mean, effect_sd: of the straight factors, per unit; shape (m - 1,).
        level_sd: of the athlete's level around zero.
        trend_sd: of what an athlete gains or loses from one race to the next, whatever was done.
        noise: grid of noise SDs; noise_weight: their prior weights, summing to 1; shape (g,).
    """

    factors: tuple[str, ...]
    neutral: np.ndarray
    curve_mean: np.ndarray
    curve_sd: float
    length_scale: float
    shift: np.ndarray
    effect_mean: np.ndarray
    effect_sd: np.ndarray
    level_sd: float
    trend_sd: float
    noise: np.ndarray
    noise_weight: np.ndarray

    def mean(self) -> np.ndarray:
        """Prior mean of all parameters: level, curve at `KNOTS`, effects, trend; shape (p,)."""
        return np.concatenate([[0.0], self.curve_mean, self.effect_mean, [0.0]])

    def covariance(self) -> np.ndarray:
        """Prior covariance of all parameters; shape (p, p)."""
        full = np.zeros((len(self.mean()),) * 2)
        full[LEVEL, LEVEL] = self.level_sd**2
        own = pinned_kernel(KNOTS, self.curve_sd, self.length_scale)
        full[CURVE, CURVE] = own + self.shift
        full[EFFECTS, EFFECTS] = np.diag(self.effect_sd**2)
        full[TREND, TREND] = self.trend_sd**2
        return full


def pinned_kernel(at: np.ndarray, sd: float, length_scale: float) -> np.ndarray:
    """Squared-exponential covariance of a smooth curve that is zero at zero; shape (k, k)."""
    apart = (at[:, None] - at[None, :]) / length_scale
    to_origin = np.exp(-0.5 * (at / length_scale) ** 2)
    kernel: np.ndarray = sd**2 * (np.exp(-0.5 * apart**2) - np.outer(to_origin, to_origin))
    return kernel


def noise_grid(middle: float, low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
    """(noise SDs, prior weights), both of shape (28,): log-normal with 90% between low and high.

    It goes further up than down: races that scatter wildly must not look steadier than they are.
    """
    sd_log = np.log(high / low) / (2 * 1.6448536)
    z = np.linspace(-2.4, 4.08, 28)
    weight = np.exp(-0.5 * z**2)
    return middle * np.exp(sd_log * z), weight / weight.sum()


def hat_weights(at: np.ndarray) -> np.ndarray:
    """Weights of `KNOTS` that give a piecewise-linear curve at these places; shape (n, 41)."""
    at = np.clip(np.asarray(at, float), KNOTS[0], KNOTS[-1])
    left = np.clip(np.searchsorted(KNOTS, at, side="right") - 1, 0, len(KNOTS) - 2)
    share = (at - KNOTS[left]) / (KNOTS[left + 1] - KNOTS[left])
    weights = np.zeros((len(at), len(KNOTS)))
    rows = np.arange(len(at))
    weights[rows, left] = 1 - share
    weights[rows, left + 1] += share
    return weights


def design_rows(prior: Prior, exposures: np.ndarray, order: np.ndarray | None = None) -> np.ndarray:
    """Rows that turn parameters into expected outcomes.

    Args:
        prior: names the factors and their neutral values.
        exposures: shape (n, m), columns as `prior.factors`; NaN is taken as the column's mean,
            or as neutral where nothing is known; see `extra_variance`.
        order: place of each race in time, shape (n,); by default the rows are in order.

    Returns:
        shape (n, p).
    """
    filled = fill(prior, exposures)
    time = np.arange(float(len(filled))) if order is None else np.asarray(order, float)
    rows = np.ones((len(filled), len(prior.mean())))
    rows[:, CURVE] = hat_weights(filled[:, 0])
    rows[:, EFFECTS] = filled[:, 1:] - prior.neutral[1:]
    rows[:, TREND] = time - time.mean() if len(time) else time
    return rows


def fill(prior: Prior, exposures: np.ndarray) -> np.ndarray:
    """The exposures with missing values at their column's mean, else neutral; shape (n, m)."""
    exposures = np.asarray(exposures, float)
    known = np.isfinite(exposures)
    count = known.sum(axis=0)
    total = np.where(known, exposures, 0.0).sum(axis=0)
    middle = np.where(count > 0, total / np.maximum(count, 1), prior.neutral)
    return np.where(known, exposures, middle)


def extra_variance(prior: Prior, exposures: np.ndarray) -> np.ndarray:
    """What a missing value adds to a race's noise: the factor integrated out; shape (n,).

    A missing factor lies within the spread that the other races show, at least its own unit's
    tenth; its effect is the prior's.
    """
    exposures = np.asarray(exposures, float)
    extra = np.zeros(len(exposures))
    for place in range(exposures.shape[1]):
        missing = ~np.isfinite(exposures[:, place])
        known = exposures[~missing, place]
        spread = max(float(np.std(known)) if len(known) else 0.0, 0.1)
        if place == 0:
            size = prior.curve_sd**2 + float(np.diag(prior.shift)[_ORIGIN:].mean())
            size += float(np.var(prior.curve_mean[_ORIGIN:]))
            extra[missing] += size
        else:
            moment = prior.effect_mean[place - 1] ** 2 + prior.effect_sd[place - 1] ** 2
            extra[missing] += moment * spread**2
    return extra


_LEFT_TO_RIGHT = ["einsum_path", (0, 1), (0, 1)]
"""The order of products that is always the best one here; looking for it takes longer than both."""


@dataclass(frozen=True)
class Posterior:
    """What is believed after the races: one Gaussian per size of noise.

    Attributes:
        noise: grid of noise SDs; weight: their weights after the races; shape (g,).
        means: shape (g, p). covariances: shape (g, p, p).
    """

    noise: np.ndarray
    weight: np.ndarray
    means: np.ndarray
    covariances: np.ndarray
    _asked: dict[bytes, np.ndarray] = field(default_factory=dict, init=False, repr=False)

    def moments(self, of: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """(mean, SD) of linear combinations of the parameters; `of` is (f, p), results (f,)."""
        each, within = self.means @ of.T, self._variances(of)
        mean = self.weight @ each
        return mean, np.sqrt(np.maximum(self.weight @ (within + each**2) - mean**2, 0.0))

    def intervals(self, of: np.ndarray, share: float = INTERVAL) -> tuple[np.ndarray, np.ndarray]:
        """(low, high) that hold a linear combination with that probability; each (f,)."""
        each, sd = self.means @ of.T, np.sqrt(self._variances(of))
        tail = (1 - share) / 2
        return self._quantile(each, sd, tail), self._quantile(each, sd, 1 - tail)

    def quantile(self, of: np.ndarray, level: float) -> np.ndarray:
        """The value below which a linear combination lies with that probability; shape (f,)."""
        return self._quantile(self.means @ of.T, np.sqrt(self._variances(of)), level)

    def _quantile(self, each: np.ndarray, sd: np.ndarray, level: float) -> np.ndarray:
        """The value below which a mixture lies with that probability; shape (f,)."""
        low = (each - 8 * sd).min(axis=0)
        high = (each + 8 * sd).max(axis=0)
        for _ in range(50):
            half = (low + high) / 2
            below = self._below(half, each, sd) < level
            low, high = np.where(below, half, low), np.where(below, high, half)
        middle: np.ndarray = (low + high) / 2
        return middle

    def above_zero(self, of: np.ndarray) -> np.ndarray:
        """Probability that a linear combination is above zero; shape (f,)."""
        each, sd = self.means @ of.T, np.sqrt(self._variances(of))
        return 1 - self._below(np.zeros(len(of)), each, sd)

    def estimates(self, of: np.ndarray) -> list[Estimate]:
        """Mean and 90% interval of each linear combination."""
        mean, _ = self.moments(of)
        low, high = self.intervals(of)
        rows = zip(mean, low, high, strict=True)
        return [Estimate(float(m), float(a), float(b)) for m, a, b in rows]

    def noise_estimate(self) -> Estimate:
        """Race-to-race noise with its 90% interval."""
        sums = np.cumsum(self.weight)
        low, high = (float(self.noise[np.searchsorted(sums, q)]) for q in (0.05, 0.95 - 1e-12))
        return Estimate(float(self.weight @ self.noise), low, high)

    def _variances(self, of: np.ndarray) -> np.ndarray:
        """By size of noise, shape (g, f); each is asked for several times, and made once."""
        asked = of.tobytes()
        if asked not in self._asked:
            made = np.einsum("fp,gpq,fq->gf", of, self.covariances, of, optimize=_LEFT_TO_RIGHT)
            self._asked[asked] = np.maximum(made, 1e-18)
        return self._asked[asked]

    def _below(self, at: np.ndarray, each: np.ndarray, sd: np.ndarray) -> np.ndarray:
        share: np.ndarray = self.weight @ ndtr((at - each) / sd)
        return share


def posterior(
    prior: Prior, exposures: np.ndarray, outcome: np.ndarray, order: np.ndarray | None = None
) -> Posterior:
    """The beliefs after these races.

    Args:
        prior: the beliefs before.
        exposures: shape (n, m), columns as `prior.factors`, NaN where missing; n may be 0.
        outcome: shape (n,), larger is better or worse as the prior means it.
        order: place of each race in time, shape (n,); by default the rows are in order.
    """
    mean, covariance = prior.mean(), prior.covariance()
    exposures = np.asarray(exposures, float).reshape(-1, len(prior.factors))
    rows = design_rows(prior, exposures, order)
    spread = rows @ covariance @ rows.T + np.diag(extra_variance(prior, exposures))
    # along these axes the races are independent, whatever the size of the noise
    variance, axes = np.linalg.eigh(spread)
    total = np.maximum(variance, 0.0) + prior.noise[:, None] ** 2
    off = axes.T @ (np.asarray(outcome, float) - rows @ mean)
    reach = axes.T @ rows @ covariance
    logs = np.log(prior.noise_weight) - 0.5 * (np.log(total) + off**2 / total).sum(axis=1)
    return Posterior(
        prior.noise,
        np.exp(logs - logsumexp(logs)),
        mean + (off / total) @ reach,
        np.array([covariance - (reach.T / each) @ reach for each in total]),
    )


def bits_moved(before: tuple[float, float], after: tuple[float, float]) -> float:
    """Kullback-Leibler divergence of Gaussians given as (mean, SD), after from before [bits]."""
    (m0, s0), (m1, s1) = before, after
    nats = np.log(s0 / s1) + (s1**2 + (m1 - m0) ** 2) / (2 * s0**2) - 0.5
    return float(max(nats, 0.0) / np.log(2))
