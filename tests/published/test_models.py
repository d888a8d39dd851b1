"""Fitted models against certified values, worked examples and other packages."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel
from statsmodels.datasets import longley
from statsmodels.regression.linear_model import OLS

from published.ledger import library
from taperback.evidence.additive import EFFECTS, KNOTS, TREND, Prior, hat_weights, posterior
from taperback.evidence.classical import line
from taperback.evidence.model import Classical
from taperback.evidence.priors import result_prior

AREA = "statistics"
CUTS = np.array([0.05, 0.2, 0.35, 0.45, 0.55, 0.7])
RESULTS = np.array([-0.8, 0.4, 1.1, 2.0, 1.2, 0.3])


def test_the_ols_underneath_reproduces_nists_longley(outside) -> None:
    data = longley.load()
    fit = OLS(np.asarray(data.endog), sm.add_constant(np.asarray(data.exog))).fit()
    certified = np.array(
        [
            -3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683,
            -1.03322686717359, -0.0511041056535807, 1829.15146461355,
        ]
    )  # fmt: skip
    source = "NIST StRD Longley, certified values; data ship with statsmodels"
    worst = float(np.abs(fit.params / certified - 1).max())
    measure = "Longley by the OLS underneath, seven coefficients, largest relative error"
    outside(measure, 0, worst, 1e-7, source, "published")
    error, spread = float(fit.bse[0]), float(np.sqrt(fit.mse_resid))
    outside(
        "Longley by the OLS underneath, standard error of the constant",
        890420.383607373,
        error,
        0.1,
        source,
        "published",
    )
    outside(
        "Longley by the OLS underneath, residual SD",
        304.854073561965,
        spread,
        1e-5,
        source,
        "published",
    )


def test_a_line_agrees_with_scipy_and_hc3_by_hand(outside) -> None:
    result = line(CUTS, RESULTS, list("abcdef"))
    assert isinstance(result, Classical)
    theirs = stats.linregress(CUTS, RESULTS)
    source = library("scipy", "stats.linregress")
    slope, constant = float(theirs.slope), float(theirs.intercept)
    outside("slope over six races", slope, result.estimate, 1e-10, source, "reference library")
    measure = "constant of the line over six races"
    outside(measure, constant, result.intercept, 1e-10, source, "reference library")
    measure = "HC3 standard error of the slope over six races"
    source = "formula of MacKinnon and White 1985, J Econom 29:305-325, by plain matrix algebra"
    outside(measure, hc3(slope, constant), result.standard_error, 1e-10, source, "recomputed")


def hc3(slope: float, constant: float) -> float:
    design = np.column_stack([np.ones(6), CUTS])
    inverse = np.linalg.inv(design.T @ design)
    leverage = np.einsum("ij,jk,ik->i", design, inverse, design)
    residual = RESULTS - design @ [constant, slope]
    meat = design.T @ np.diag((residual / (1 - leverage)) ** 2) @ design
    return float(np.sqrt((inverse @ meat @ inverse)[1, 1]))


def flat_prior(noise: float) -> Prior:
    """Nothing believed beforehand but straight effects, and a known noise."""
    prior = result_prior()
    return replace(
        prior,
        curve_mean=np.zeros(len(KNOTS)),
        curve_sd=1e-9,
        shift=np.zeros((len(KNOTS), len(KNOTS))),
        effect_mean=np.zeros(3),
        effect_sd=np.full(3, 1e4),
        level_sd=1e4,
        trend_sd=1e-9,
        noise=np.array([noise]),
        noise_weight=np.array([1.0]),
    )


def test_with_a_flat_prior_the_additive_model_is_least_squares(outside) -> None:
    rng = np.random.default_rng(3)
    x = np.column_stack(
        [np.zeros(9), rng.normal(1, 0.2, 9), rng.normal(size=9), rng.normal(size=9)]
    )
    y = 1.0 + 2.0 * (x[:, 1] - 1) - 0.5 * x[:, 2] + rng.normal(size=9)
    after = posterior(flat_prior(1.3), x, y)
    fit = OLS(y, sm.add_constant(x[:, 1:] - [1, 0, 0])).fit()
    picked = [0, *range(1 + len(KNOTS), 4 + len(KNOTS))]
    means = float(np.abs(after.means[0][picked] / fit.params - 1).max())
    spread = np.sqrt(np.diag(after.covariances[0])[picked])
    known = 1.3 * np.sqrt(np.diag(fit.normalized_cov_params))
    errors = float(np.abs(spread / known - 1).max())
    source = library("statsmodels", "OLS on the same four columns")
    measure = "additive model with a flat prior, four estimates, largest relative error"
    outside(measure, 0, means, 1e-5, source, "reference library")
    measure = "additive model with a flat prior, four standard errors, largest relative error"
    outside(measure, 0, errors, 1e-5, source, "reference library")


def test_with_a_flat_prior_the_trend_over_races_is_that_of_least_squares(outside) -> None:
    """Races at uneven places in time; the cut has no effect in this prior."""
    rng = np.random.default_rng(11)
    x = np.column_stack([np.zeros(9), rng.normal(1, 0.2, 9), rng.normal(size=9), np.zeros(9)])
    order = np.array([0.0, 1, 2, 4, 5, 7, 8, 9, 12])
    y = 0.4 * order + 2.0 * (x[:, 1] - 1) + rng.normal(size=9)
    after = posterior(replace(flat_prior(1.3), trend_sd=1e4), x, y, order)
    fit = OLS(y, sm.add_constant(np.column_stack([x[:, 1] - 1, x[:, 2], order]))).fit()
    source = library("statsmodels", "OLS with the place in time as a column")
    measure = "trend over races of the additive model with a flat prior"
    ours = float(after.means[0][TREND])
    outside(measure, float(fit.params[3]), ours, 1e-5, source, "reference library", "% a race")
    spread = float(np.sqrt(after.covariances[0][TREND, TREND]))
    known = 1.3 * float(np.sqrt(fit.normalized_cov_params[3, 3]))
    outside(f"{measure}, its error", known, spread, 1e-5, source, "reference library", "% a race")


def test_with_no_races_the_beliefs_are_the_published_ones() -> None:
    prior = result_prior()
    before = posterior(prior, np.empty((0, 4)), np.empty(0))
    assert before.weight == pytest.approx(prior.noise_weight)
    assert before.means[0] == pytest.approx(prior.mean())
    assert before.covariances[5] == pytest.approx(prior.covariance())


def test_one_race_is_the_conjugate_normal_update(outside) -> None:
    # prior N(0, 2^2), y = 3, variance 6.25
    prior = replace(flat_prior(2.5), level_sd=2.0, effect_sd=np.full(3, 1e-9), curve_sd=1e-9)
    after = posterior(prior, np.array([[0.0, 1.0, 0.0, 0.0]]), np.array([3.0]))
    mean, variance = float(after.means[0][0]), float(after.covariances[0][0, 0])
    source = "conjugate normal update, textbook formula"
    outside("mean after one race", 1.1707317, mean, 1e-6, source, "recomputed")
    outside("variance after one race", 2.4390244, variance, 1e-6, source, "recomputed")


@pytest.mark.parametrize("noise", [0.8, 2.5])
def test_the_curve_agrees_with_a_gaussian_process_of_scikit_learn(outside, noise: float) -> None:
    # Ours is pinned to zero at no cut, which theirs learns from an exact observation there.
    prior = replace(
        result_prior(),
        curve_mean=np.zeros(len(KNOTS)),
        shift=np.zeros((len(KNOTS), len(KNOTS))),
        level_sd=1e-6,
        trend_sd=1e-9,
        effect_sd=np.full(3, 1e-9),
        effect_mean=np.zeros(3),
        noise=np.array([noise]),
        noise_weight=np.array([1.0]),
    )
    at = np.array([0.1, 0.3, 0.4, 0.5, 0.7])  # on the knots, where both are the same curve
    y = np.array([0.2, 0.9, 1.5, 2.0, 0.4])
    x = np.column_stack([at, np.ones(5), np.zeros(5), np.zeros(5)])
    after = posterior(prior, x, y)
    kernel = ConstantKernel(prior.curve_sd**2, "fixed") * RBF(prior.length_scale, "fixed")
    alpha = np.append(np.full(5, noise**2), 1e-9)
    theirs = GaussianProcessRegressor(kernel, alpha=alpha, optimizer=None)
    theirs.fit(np.append(at, 0.0)[:, None], np.append(y, 0.0))
    mean, sd = theirs.predict(KNOTS[:, None], return_std=True)
    ours = np.sqrt(np.maximum(np.diag(after.covariances[0])[1 : 1 + len(KNOTS)], 0))
    off = float(np.abs(after.means[0][1 : 1 + len(KNOTS)] - mean).max())
    source = library("scikit-learn", "GaussianProcessRegressor with the same kernel")
    measure = f"curve after five races, noise {noise:g}%, largest error of its mean"
    outside(measure, 0, off, 1e-4, source, "reference library", "%")
    measure = f"curve after five races, noise {noise:g}%, largest error of its SD"
    outside(measure, 0, float(np.abs(ours - sd).max()), 1e-3, source, "reference library", "%")


def test_hoffs_oxygen_uptake_by_our_additive_model(outside) -> None:
    # Twelve men, two kinds of training: group, age and their product as the straight factors.
    y = np.array([-0.87, -10.74, -3.27, -1.97, 7.50, -7.25, 17.05, 4.96, 10.40, 11.05, 0.26, 2.51])
    group = np.repeat([0.0, 1.0], 6)
    age = np.array([23, 22, 22, 25, 27, 20, 31, 23, 27, 28, 22, 24.0])
    after = posterior(
        flat_prior(np.sqrt(8.5424767)), np.column_stack([np.zeros(12), group, age, group * age]), y
    )
    level, effects = after.means[0][0], after.means[0][EFFECTS]
    source = "Hoff 2009, A First Course in Bayesian Statistical Methods, ch. 9, least squares"
    # the first straight factor is neutral at 1, so that the level holds its effect too
    ours = [level - effects[0], *effects]
    names = ("constant", "kind of training", "age", "both")
    figures = (-51.2939460, 13.1070904, 2.0947027, -0.3182438)
    for name, figure, found in zip(names, figures, ours, strict=True):
        measure = f"oxygen uptake by the additive model with a flat prior, {name}"
        outside(measure, figure, float(found), 1e-3, source, "recomputed")


def test_hat_weights_interpolate_a_straight_line_exactly() -> None:
    at = np.linspace(-0.9, 0.9, 37)
    assert hat_weights(at) @ (2 * KNOTS + 1) == pytest.approx(2 * at + 1)
