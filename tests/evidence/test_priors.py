"""The beliefs a study starts from are the published numbers and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, noise_grid
from taperback.evidence.priors import FACTORS, best_cut_shift, result_prior, rpe_prior

K = len(KNOTS)


def at(curve: np.ndarray, cut: float) -> float:
    return float(curve[int(np.argmin(np.abs(KNOTS - cut)))])


def test_the_curve_is_the_published_dose_response_in_percent() -> None:
    # Bosquet et al. 2007: standardised effects 0.27 at 0.305, 0.72 at 0.505, 0.27 at 0.70; 2.5% a
    # unit; straight lines between
    curve = result_prior().curve_mean
    assert at(curve, 0.0) == 0.0
    assert at(curve, 0.10) == pytest.approx(2.5 * -0.02)
    assert at(curve, 0.50) == pytest.approx(2.5 * (0.72 - 0.45 * 0.005 / 0.2))
    assert at(curve, 0.70) == pytest.approx(2.5 * 0.27)
    assert at(curve, 1.0) == 0.0
    assert (curve[KNOTS < 0] == 0).all(), "more training than usual gains nothing"
    assert result_prior(5.0).curve_mean == pytest.approx(2 * curve)


def test_a_result_starts_from_the_published_effects() -> None:
    prior = result_prior()
    assert prior.factors == FACTORS
    assert prior.neutral.tolist() == [0.0, 1.0, 0.0, 0.0]
    assert prior.effect_mean.tolist() == [0.9, 0.9, -0.2]
    assert prior.effect_sd.tolist() == [1.2, 0.9, 0.4]
    assert (prior.curve_sd, prior.length_scale, prior.level_sd) == (1.5, 0.2, 30.0)
    grid, weight = noise_grid(2.6, 1.2, 5.6)
    assert prior.noise == pytest.approx(grid)
    assert prior.noise_weight == pytest.approx(weight)
    assert prior.shift == pytest.approx(best_cut_shift(prior.curve_mean))


def test_rpe_starts_from_no_effect_of_anything() -> None:
    prior = rpe_prior()
    assert prior.factors == FACTORS
    assert prior.neutral.tolist() == [0.0, 1.0, 0.0, 0.0]
    assert prior.mean().tolist() == [0.0] * (1 + K + 3)
    assert prior.shift.tolist() == np.zeros((K, K)).tolist()
    assert prior.effect_sd.tolist() == [0.8, 0.6, 0.3]
    assert (prior.curve_sd, prior.length_scale, prior.level_sd) == (1.0, 0.2, 30.0)
    grid, weight = noise_grid(0.9, 0.4, 1.9)
    assert prior.noise == pytest.approx(grid)
    assert prior.noise_weight == pytest.approx(weight)


def test_the_place_of_the_best_is_spread_as_stated() -> None:
    """NumPy's weighted covariance of the curve stretched to each place of the best."""
    curve = result_prior().curve_mean
    spread = PUBLISHED.taper.best_cut_between_athletes
    stretched = [
        np.interp(np.clip(KNOTS * 0.505 / best, -1, 1), KNOTS, curve)
        for best in (0.25, 0.35, 0.505, 0.65)
    ]
    weight = np.array([0.20, 0.25, 0.40, 0.15])
    covariance = np.cov(np.array(stretched).T, aweights=weight, ddof=0)
    assert best_cut_shift(curve) == pytest.approx(spread.factor * covariance)
