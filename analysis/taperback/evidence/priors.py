"""The published values as the beliefs that a study starts from."""

from __future__ import annotations

import numpy as np

from taperback.common.published import PUBLISHED
from taperback.common.quantities import PRIMARY_FACTORS
from taperback.evidence.additive import KNOTS, Prior, noise_grid

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
    dose = PUBLISHED.taper.dose_response
    own = PUBLISHED.taper.between_athletes
    per_unit = percent_per_unit or PUBLISHED.taper.percent_per_standard_unit.value
    curve = per_unit * np.interp(KNOTS, dose.cut, dose.effect)
    effects = [PUBLISHED.effect[name] for name in _STRAIGHT]
    noise = PUBLISHED.noise.race_to_race
    grid, weight = noise_grid(noise.value, noise.low, noise.high)
    return Prior(
        factors=FACTORS,
        neutral=NEUTRAL,
        curve_mean=curve,
        curve_sd=own.value,
        length_scale=own.length_scale,
        shift=best_cut_shift(curve),
        effect_mean=np.array([effect.value for effect in effects]),
        effect_sd=np.array([effect.sd for effect in effects]),
        level_sd=LEVEL_SD,
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
        noise=grid,
        noise_weight=weight,
    )


def best_cut_shift(curve: np.ndarray) -> np.ndarray:
    """What the place of the best adds to the curve's covariance; shape (41, 41).

    Athletes whose best cut lies elsewhere have the published curve stretched to it. The spread of
    such curves around their own mean is added, so that the expected curve stays the published one.
    """
    spread = PUBLISHED.taper.best_cut_between_athletes
    middle = PUBLISHED.taper.dose_response.cut[3]
    stretched = np.array(
        [
            np.interp(np.clip(KNOTS * middle / best, KNOTS[0], KNOTS[-1]), KNOTS, curve)
            for best in spread.cut
        ]
    )
    weight = np.array(spread.weight)
    off = stretched - weight @ stretched
    covariance: np.ndarray = spread.factor * (off.T * weight) @ off
    return covariance
