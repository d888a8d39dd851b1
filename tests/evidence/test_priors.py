"""The beliefs a study starts from are the published numbers and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.common.published import PUBLISHED
from taperback.evidence.additive import KNOTS, noise_grid, pinned_kernel
from taperback.evidence.priors import FACTORS, best_cut_shift, dose_curve, result_prior, rpe_prior

K = len(KNOTS)


def at(curve: np.ndarray, cut: float) -> float:
    return float(curve[int(np.argmin(np.abs(KNOTS - cut)))])


def test_the_curve_goes_smoothly_through_the_published_bins() -> None:
    # Bosquet et al. 2007: standardised effects 0.27 of 21-40%, 0.72 of 41-60%; 2.5% a unit
    curve = result_prior().curve_mean
    assert curve == pytest.approx(2.5 * dose_curve())
    assert at(curve, 0.0) == 0.0
    assert (curve[KNOTS < 0] == 0).all(), "more training than usual gains nothing"
    assert abs(at(curve, 1.0)) < 0.1, "nor does stopping altogether"
    best = KNOTS[int(np.argmax(curve))]
    assert 0.41 <= best <= 0.60
    assert 0.36 <= at(curve, best) / 2.5 <= 1.08, "within the published interval of 0.72 +/- 0.36"
    bends = np.diff(curve[(KNOTS > -1e-9) & (KNOTS < 0.9)], 2)
    assert np.abs(bends).max() < 0.5 * np.abs(bent_bends()).max(), "no corner at the best"
    assert result_prior(5.0).curve_mean == pytest.approx(2 * curve)


def bent_bends() -> np.ndarray:
    """How sharply straight lines between the middles of the bins bend."""
    bent = np.interp(KNOTS, [0.0, 0.1, 0.3, 0.5, 0.75, 1.0], [0.0, -0.02, 0.27, 0.72, 0.27, 0.0])
    return np.diff(2.5 * bent, 2)


def test_each_bin_pulls_the_curve_as_a_gaussian_process_is_pulled_by_its_mean() -> None:
    """SciPy's conditional Gaussian of the knots given noisy means over the bins."""
    kernel = pinned_kernel(KNOTS, 0.6, 0.10)
    bins = [(0.0, 0.20), (0.20, 0.40), (0.40, 0.60), (0.60, 0.90), (1.0, 1.0)]
    rows = np.array([(low - 1e-9 < KNOTS) & (high + 1e-9 > KNOTS) for low, high in bins], float)
    rows /= rows.sum(axis=1, keepdims=True)
    error = np.array([0.30, 0.23, 0.36, 0.30, 1.959964 * 0.15]) / 1.959964
    effect = np.array([-0.02, 0.27, 0.72, 0.27, 0.0])
    precision = rows.T @ np.diag(error**-2) @ rows
    mean = np.linalg.solve(np.eye(K) + kernel @ precision, kernel @ rows.T @ (effect / error**2))
    assert dose_curve() == pytest.approx(np.where(KNOTS < 0, 0.0, mean), abs=1e-6)


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
    height = 0.8**2 * np.outer(prior.curve_mean, prior.curve_mean)
    assert prior.shift == pytest.approx(best_cut_shift(prior.curve_mean) + height)
    assert (prior.trend_sd, rpe_prior().trend_sd) == (0.4, 0.15)


def test_rpe_starts_from_no_effect_of_anything() -> None:
    prior = rpe_prior()
    assert prior.factors == FACTORS
    assert prior.neutral.tolist() == [0.0, 1.0, 0.0, 0.0]
    assert prior.mean().tolist() == [0.0] * (1 + K + 3 + 1)
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
