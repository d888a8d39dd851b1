"""The published values as the beliefs that a study starts from."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.special import ndtri

from taperback.common.published import PUBLISHED
from taperback.common.quantities import PRIMARY_FACTORS
from taperback.evidence.additive import KNOTS, Prior, noise_grid, pinned_kernel

FACTORS = PRIMARY_FACTORS
"""The factors in the order of every array's columns, the one with the curve first."""
NEUTRAL = np.array([0.0, 1.0, 0.0, 0.0])
LEVEL_SD = 30.0
"""So wide that the athlete's level is the athlete's own."""
_STRAIGHT = FACTORS[1:]


def result_prior(percent_per_unit: float | None = None) -> Prior:
    """Beliefs about a result in percent, larger is better.

    Args:
        percent_per_unit: what one standardised unit is worth [%]; by default the stated
            assumption of `published.toml`.
    """
    own = PUBLISHED.taper.between_athletes
    per_unit = percent_per_unit or PUBLISHED.taper.percent_per_standard_unit.value
    curve = per_unit * dose_curve()
    height = PUBLISHED.taper.height_between_athletes.value
    effects = [PUBLISHED.effect[name] for name in _STRAIGHT]
    noise = PUBLISHED.noise.race_to_race
    grid, weight = noise_grid(noise.value, noise.low, noise.high)
    return Prior(
        factors=FACTORS,
        neutral=NEUTRAL,
        curve_mean=curve,
        curve_sd=own.value,
        length_scale=own.length_scale,
        shift=best_cut_shift(curve) + height**2 * np.outer(curve, curve),
        effect_mean=np.array([effect.value for effect in effects]),
        effect_sd=np.array([effect.sd for effect in effects]),
        level_sd=LEVEL_SD,
        trend_sd=PUBLISHED.trend.result_pct.value,
        noise=grid,
        noise_weight=weight,
    )


def rpe_prior() -> Prior:
    """Beliefs about race RPE: nothing is published, so everything is centred on no effect."""
    spread = PUBLISHED.rpe.effect_sd
    noise = PUBLISHED.rpe.noise
    grid, weight = noise_grid(noise.value, noise.low, noise.high)
    return Prior(
        factors=FACTORS,
        neutral=NEUTRAL,
        curve_mean=np.zeros(len(KNOTS)),
        curve_sd=spread.volume_cut,
        length_scale=PUBLISHED.taper.between_athletes.length_scale,
        shift=np.zeros((len(KNOTS), len(KNOTS))),
        effect_mean=np.zeros(len(_STRAIGHT)),
        effect_sd=np.array([spread.intensity_kept, spread.sleep_change_h, spread.body_clock_lag_h]),
        level_sd=LEVEL_SD,
        trend_sd=PUBLISHED.trend.race_rpe.value,
        noise=grid,
        noise_weight=weight,
    )


def dose_curve() -> np.ndarray:
    """The standardised effect of each volume cut, a smooth curve through the bins; shape (41,).

    Each bin gives the mean of the curve over it, as surely as its interval says. More training than
    usual gains nothing.
    """
    dose, smooth = PUBLISHED.taper.dose_response, PUBLISHED.taper.smooth_curve
    low, high = (np.array(ends)[:, None] for ends in (dose.low, dose.high))
    inside = (low - 1e-9 < KNOTS) & (high + 1e-9 > KNOTS)
    means = np.vstack([inside, KNOTS[-1] == KNOTS]).astype(float)
    means /= means.sum(axis=1, keepdims=True)
    effect = np.append(dose.effect, smooth.stopped)
    error = np.append(np.array(dose.half_width) / ndtri(0.975), smooth.stopped_sd)
    kernel = pinned_kernel(KNOTS, smooth.value, smooth.length_scale)
    spread = means @ kernel @ means.T + np.diag(error**2)
    curve = kernel @ means.T @ np.linalg.solve(spread, effect)
    return np.where(KNOTS < 0, 0.0, curve)


@cache
def published_best() -> float:
    """The cut that studies found best, as a knot of the curve."""
    return float(KNOTS[np.argmax(dose_curve())])


def best_cut_shift(curve: np.ndarray) -> np.ndarray:
    """What the place of the best adds to the curve's covariance; shape (41, 41).

    Athletes whose best cut lies elsewhere have the published curve stretched to it. The spread of
    such curves around their own mean is added, so that the expected curve stays the published one.
    """
    spread = PUBLISHED.taper.best_cut_between_athletes
    stretched = np.array(
        [
            np.interp(np.clip(KNOTS * spread.middle / best, KNOTS[0], KNOTS[-1]), KNOTS, curve)
            for best in spread.cut
        ]
    )
    weight = np.array(spread.weight)
    off = stretched - weight @ stretched
    covariance: np.ndarray = spread.factor * (off.T * weight) @ off
    return covariance
