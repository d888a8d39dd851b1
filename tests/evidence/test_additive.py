"""The algebra of the additive model, each piece against arithmetic beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import brentq

from taperback.evidence.additive import (
    KNOTS,
    Posterior,
    Prior,
    bits_moved,
    design_rows,
    extra_variance,
    fill,
    hat_weights,
    noise_grid,
    pinned_kernel,
    posterior,
)
from taperback.evidence.priors import result_prior

K = len(KNOTS)
NAN = float("nan")


def prior(**changes: object) -> Prior:
    """Beliefs in round numbers: level 5, curve 2, effects 0.5, -1, 2 with SDs 1, 2, 3."""
    values = {
        "curve_mean": np.zeros(K),
        "curve_sd": 2.0,
        "shift": np.zeros((K, K)),
        "effect_mean": np.array([0.5, -1.0, 2.0]),
        "effect_sd": np.array([1.0, 2.0, 3.0]),
        "level_sd": 5.0,
        "trend_sd": 0.7,
        "noise": np.array([1.0, 3.0]),
        "noise_weight": np.array([0.25, 0.75]),
    }
    return replace(result_prior(), **(values | changes))  # type: ignore[arg-type]


def test_parameters_stand_in_order_level_curve_effects_trend() -> None:
    curve = np.arange(float(K))
    told = prior(curve_mean=curve, shift=np.eye(K))
    assert told.mean().tolist() == [0.0, *curve, 0.5, -1.0, 2.0, 0.0]
    covariance = told.covariance()
    assert covariance.shape == (46, 46)
    assert covariance[0, 0] == 25.0
    assert np.diag(covariance)[-4:].tolist() == pytest.approx([1.0, 4.0, 9.0, 0.49])
    inside = covariance[1 : 1 + K, 1 : 1 + K]
    assert inside == pytest.approx(pinned_kernel(KNOTS, 2.0, told.length_scale) + np.eye(K))
    covariance[1 : 1 + K, 1 : 1 + K] = 0.0
    assert np.count_nonzero(covariance - np.diag(np.diag(covariance))) == 0


def test_a_curve_is_zero_at_zero_and_smooth_beside_it() -> None:
    # k(a, b) = sd^2 (exp(-(a-b)^2 / 2 l^2) - exp(-a^2 / 2 l^2) exp(-b^2 / 2 l^2)), l = 0.2
    kernel = pinned_kernel(np.array([0.0, 0.2, 0.4]), 2.0, 0.2)
    assert kernel[0].tolist() == [0.0, 0.0, 0.0]
    e = np.exp
    assert kernel[1, 1] == pytest.approx(4 * (1 - e(-1)))
    assert kernel[2, 2] == pytest.approx(4 * (1 - e(-4)))
    assert kernel[1, 2] == pytest.approx(4 * (e(-0.5) - e(-0.5) * e(-2)))
    assert kernel[2, 1] == kernel[1, 2]


def test_the_noise_grid_is_log_normal_with_its_middle_and_its_ninety_percent() -> None:
    grid, weight = noise_grid(2.0, 1.0, 4.0)
    assert grid.shape == weight.shape == (28,)
    assert grid[10] == pytest.approx(2.0)
    assert weight.sum() == pytest.approx(1.0)
    sd_log = np.log(4) / (2 * stats.norm.ppf(0.95))
    z = np.log(grid / 2) / sd_log
    assert z == pytest.approx(np.linspace(-2.4, 4.08, 28), abs=1e-6)
    assert weight / weight[10] == pytest.approx(stats.norm.pdf(z) / stats.norm.pdf(0))


def test_races_that_scatter_beyond_what_was_published_are_seen_to() -> None:
    """Runners scatter by up to 4.2 x 2.3 = 9.7% (Hopkins and Hewson 2001); there must be room."""
    rng = np.random.default_rng(3)
    x = np.column_stack([np.full(20, 0.5), np.ones(20), np.zeros(20), np.zeros(20)])
    noise = posterior(result_prior(), x, rng.normal(0, 9.7, 20)).noise_estimate()
    assert noise.low < 9.7 < noise.high


@pytest.mark.parametrize(
    ("at", "weights"),
    [
        (0.5, {0.5: 1.0}),
        (0.51, {0.5: 0.8, 0.55: 0.2}),
        (-0.02, {-0.05: 0.4, 0.0: 0.6}),
        (0.99, {0.95: 0.2, 1.0: 0.8}),
        (1.0, {1.0: 1.0}),
        (-1.0, {-1.0: 1.0}),
        (7.0, {1.0: 1.0}),
        (-7.0, {-1.0: 1.0}),
    ],
)
def test_a_cut_lies_between_its_two_knots(at: float, weights: dict[float, float]) -> None:
    (row,) = hat_weights(np.array([at]))
    found = {float(KNOTS[k]): row[k] for k in np.flatnonzero(np.abs(row) > 1e-9)}
    assert found == pytest.approx(weights)


def test_missing_values_take_the_mean_of_the_others_or_what_is_usual() -> None:
    x = np.array([[0.4, NAN, 0.5, NAN], [NAN, NAN, 1.5, 2.0]])
    assert fill(prior(), x).tolist() == [[0.4, 1.0, 0.5, 2.0], [0.4, 1.0, 1.5, 2.0]]
    rows = design_rows(prior(), x)
    assert rows[:, 0].tolist() == [1.0, 1.0]
    assert rows[:, 1 : 1 + K] == pytest.approx(hat_weights(np.array([0.4, 0.4])))
    assert rows[:, 1 + K : -1].tolist() == [[0.0, 0.5, 2.0], [0.0, 1.5, 2.0]]


def test_the_trend_counts_the_races_from_their_middle() -> None:
    x = np.tile([0.4, 1.0, 0.0, 0.0], (3, 1))
    assert design_rows(prior(), x)[:, -1].tolist() == [-1.0, 0.0, 1.0]
    assert design_rows(prior(), x, np.array([2.0, 0.0, 7.0]))[:, -1].tolist() == [-1.0, -3.0, 4.0]


def test_a_trend_is_not_taken_for_what_grew_along_with_it() -> None:
    """Fitter by 1% a race, half an hour more sleep each time: how much is the sleep's doing?"""
    x = np.column_stack([np.full(12, 0.5), np.ones(12), 0.5 * np.arange(12) - 2.75, np.zeros(12)])
    y = np.arange(12.0)
    sleep = np.eye(46)[[1 + K + 1]]
    told, blind = (
        posterior(replace(result_prior(), trend_sd=sd), x, y).estimates(sleep)[0]
        for sd in (0.4, 1e-6)
    )
    # all of it is 2% an hour; priors of 0.9 (0.9) an hour and 0 (0.4) a race share it
    assert blind.mean == pytest.approx(2.0, abs=0.1)
    assert told.mean < 1.8
    assert told.low < 0.9 < blind.low


def test_a_missing_value_adds_what_its_factor_may_have_done() -> None:
    # sleep: effect -1, SD 2, so its square is 5 in the mean; the known nights spread by 0.5
    x = np.array([[0.4, 1.0, 0.5, 0.0], [0.4, 1.0, 1.5, 0.0], [0.4, 1.0, NAN, 0.0]])
    assert extra_variance(prior(), x).tolist() == pytest.approx([0.0, 0.0, 5 * 0.5**2])
    # a single known value, or none, shows no spread: a tenth is taken
    alone = np.array([[0.4, 1.0, 0.5, NAN], [0.4, NAN, NAN, NAN]])
    # intensity 0.25 + 1, sleep 1 + 4, body clock 4 + 9
    expected = [13 * 0.01, (1.25 + 5 + 13) * 0.01]
    assert extra_variance(prior(), alone).tolist() == pytest.approx(expected)
    like = np.array([[0.4, 1.0, 0.5, 0.0], [0.4, 1.0, 0.5, 0.0], [0.4, 1.0, NAN, 0.0]])
    assert extra_variance(prior(), like)[2] == pytest.approx(5 * 0.01)


def test_a_missing_cut_adds_the_height_that_the_curve_may_have_had() -> None:
    # over cuts of zero and more: own curve 3^2, shift 0 .. 20 in the mean 10, published curve
    rising = np.where(KNOTS < 0, 99.0, np.arange(K) - 20.0)
    shift = np.diag(np.where(KNOTS < 0, 99.0, np.arange(K) - 20.0))
    told = prior(curve_mean=rising, shift=shift, curve_sd=3.0)
    x = np.array([[NAN, 1.0, 0.0, 0.0], [0.3, 1.0, 0.0, 0.0]])
    variance = (21**2 - 1) / 12  # of 0, 1 .. 20
    assert extra_variance(told, x).tolist() == pytest.approx([9 + 10 + variance, 0.0])
    both = np.array([[NAN, 1.0, NAN, 0.0], [0.3, 1.0, 0.0, 0.0]])
    assert extra_variance(told, both)[0] == pytest.approx(9 + 10 + variance + 5 * 0.01)


def two_noises() -> Posterior:
    """N(0, 1) with weight 0.25 and N(4, 2^2) with weight 0.75, of one parameter."""
    return Posterior(
        np.array([1.0, 3.0]),
        np.array([0.25, 0.75]),
        np.array([[0.0], [4.0]]),
        np.array([[[1.0]], [[4.0]]]),
    )


ONE = np.array([[1.0]])


def mixture(at: float) -> float:
    return 0.25 * stats.norm.cdf(at) + 0.75 * stats.norm.cdf((at - 4) / 2)


def test_moments_of_a_mixture() -> None:
    # mean 0.75 x 4; variance 0.25 x 1 + 0.75 x 4 within, 0.25 x 9 + 0.75 x 1 between
    mean, sd = two_noises().moments(ONE)
    assert (mean[0], sd[0]) == pytest.approx((3.0, 2.5))
    mean, sd = two_noises().moments(-2 * ONE)
    assert (mean[0], sd[0]) == pytest.approx((-6.0, 5.0))


@pytest.mark.parametrize("level", [0.001, 0.05, 0.3, 0.5, 0.95, 0.999])
def test_quantiles_of_a_mixture(level: float) -> None:
    # SciPy's root of the distribution function
    expected = brentq(lambda at: mixture(at) - level, -50, 50, xtol=1e-12)
    assert two_noises().quantile(ONE, level)[0] == pytest.approx(expected, abs=1e-9)


def test_intervals_hold_their_share() -> None:
    low, high = two_noises().intervals(ONE)
    assert (mixture(low[0]), mixture(high[0])) == pytest.approx((0.05, 0.95))
    low, high = two_noises().intervals(ONE, 0.5)
    assert (mixture(low[0]), mixture(high[0])) == pytest.approx((0.25, 0.75))
    (estimate,) = two_noises().estimates(ONE)
    assert estimate.mean == pytest.approx(3.0)
    assert (mixture(estimate.low), mixture(estimate.high)) == pytest.approx((0.05, 0.95))


def test_the_probability_of_being_above_zero() -> None:
    both = two_noises().above_zero(np.array([[1.0], [-1.0]]))
    assert both == pytest.approx([1 - mixture(0), mixture(0)])


def test_a_combination_without_doubt_is_told_as_it_is() -> None:
    sure = replace(two_noises(), means=np.array([[3.0], [3.0]]), covariances=np.zeros((2, 1, 1)))
    (estimate,) = sure.estimates(ONE)
    assert (estimate.mean, estimate.low, estimate.high) == pytest.approx((3.0, 3.0, 3.0), abs=1e-7)
    assert sure.moments(ONE)[1][0] == pytest.approx(0.0, abs=1e-6)


def test_noise_is_told_with_the_ninety_percent_of_its_grid() -> None:
    grid, weight = np.arange(1.0, 6.0), np.array([0.03, 0.06, 0.81, 0.06, 0.04])
    told = Posterior(grid, weight, np.zeros((5, 1)), np.zeros((5, 1, 1))).noise_estimate()
    assert (told.low, told.high) == (2.0, 4.0)
    assert told.mean == pytest.approx(0.03 + 0.12 + 2.43 + 0.24 + 0.20)
    even = Posterior(grid[:2], np.array([0.05, 0.95]), np.zeros((2, 1)), np.zeros((2, 1, 1)))
    assert (even.noise_estimate().low, even.noise_estimate().high) == (1.0, 2.0)


def test_races_move_the_beliefs_as_conditioning_a_gaussian_does() -> None:
    """Textbook conditioning and the marginal likelihood of SciPy, for each size of noise."""
    told = prior()
    x = np.array([[0.2, 1.1, 0.3, 0.0], [0.5, NAN, -0.4, 2.0], [0.6, 0.8, 0.1, 0.0]])
    y = np.array([1.0, 4.0, -2.0])
    after = posterior(told, x, y)
    rows, mean, covariance = design_rows(told, x), told.mean(), told.covariance()
    evidence = []
    for place, noise in enumerate(told.noise):
        total = rows @ covariance @ rows.T + np.diag(noise**2 + extra_variance(told, x))
        gain = covariance @ rows.T @ np.linalg.inv(total)
        assert after.means[place] == pytest.approx(mean + gain @ (y - rows @ mean))
        left = covariance - gain @ rows @ covariance
        assert after.covariances[place] == pytest.approx(left, abs=1e-9)
        evidence.append(stats.multivariate_normal(rows @ mean, total).pdf(y))
    weight = told.noise_weight * evidence
    assert after.weight == pytest.approx(weight / weight.sum())
    assert after.noise.tolist() == [1.0, 3.0]


def test_bits_moved_is_the_divergence_of_two_gaussians() -> None:
    assert bits_moved((1.0, 2.0), (1.0, 2.0)) == 0.0
    # one SD aside: half a nat; half the SD: ln 2 + 1/8 - 1/2 nats; both add up
    assert bits_moved((0.0, 2.0), (2.0, 2.0)) == pytest.approx(0.5 / np.log(2))
    assert bits_moved((0.0, 2.0), (0.0, 1.0)) == pytest.approx(1 - 0.375 / np.log(2))
    assert bits_moved((1.0, 2.0), (-3.0, 1.0)) == pytest.approx(1 + (2 - 0.375) / np.log(2))
