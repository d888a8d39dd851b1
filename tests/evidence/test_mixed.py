"""The mixed model beside statsmodels', whose search may stop short of the highest likelihood."""

from __future__ import annotations

import warnings

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM, MixedLMParams

from taperback.evidence.mixed import fit_mixed, mixed_model
from taperback.evidence.model import Refusal


def frame(seed: int, athletes: int, races: int, spread: float) -> pd.DataFrame:
    """Athletes whose levels lie so far apart, of one slope."""
    rng = np.random.default_rng(seed)
    names = np.repeat(np.arange(athletes), races)
    x = rng.normal(1.0, 0.3, len(names))
    level = np.repeat(rng.normal(2.0, spread, athletes), races)
    y = level + 0.7 * x + rng.normal(0, 1.5, len(names))
    return pd.DataFrame({"athlete": names.astype(str), "x": x, "y": y})


def theirs(data: pd.DataFrame) -> MixedLM:
    fixed = np.column_stack([np.ones(len(data)), data["x"]])
    return MixedLM(data["y"], fixed, groups=data["athlete"])


LEVELS = [(4, 12, 9, 4.0), (5, 12, 9, 4.0), (7, 30, 5, 4.0)]


@pytest.mark.parametrize("drawn", LEVELS)
def test_levels_agree_with_statsmodels(drawn: tuple[int, int, int, float]) -> None:
    data = frame(*drawn)
    ours = fit_mixed(data)
    assert np.isnan(ours.slope_variance)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = theirs(data).fit(reml=True)
    assert (ours.intercept, ours.slope) == pytest.approx(tuple(fit.fe_params), rel=1e-3)
    assert ours.slope_se == pytest.approx(fit.bse_fe.iloc[1], rel=1e-3)
    assert ours.level_variance == pytest.approx(float(fit.cov_re.iloc[0, 0]), rel=5e-3, abs=1e-3)
    assert ours.residual_variance == pytest.approx(fit.scale, rel=1e-3)


@pytest.mark.parametrize("seed", range(6))
def test_their_own_likelihood_is_no_lower_at_our_answer(seed: int) -> None:
    data = frame(seed, 40, 3, 0.2)
    ours, model = fit_mixed(data), theirs(data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = model.fit(reml=True)
        relative = max(ours.level_variance / ours.residual_variance, 1e-12)
        at_ours = MixedLMParams.from_components(
            fe_params=np.array([ours.intercept, ours.slope]), cov_re=np.array([[relative]])
        )
        assert model.loglike(at_ours, profile_fe=False) >= fit.llf - 1e-6


def test_units_and_where_they_begin_make_no_difference() -> None:
    """Slopes that differ, told in thousandths and from another zero."""
    rng = np.random.default_rng(5)
    names = np.repeat(np.arange(20), 6)
    x = rng.normal(0, 1, len(names))
    slopes, levels = np.repeat(rng.normal(1, 0.8, 20), 6), np.repeat(rng.normal(0, 2, 20), 6)
    y = levels + slopes * x + rng.normal(0, 0.5, len(names))
    one = fit_mixed(pd.DataFrame({"athlete": names, "x": x, "y": y}))
    other = fit_mixed(pd.DataFrame({"athlete": names, "x": 1000 * x + 50, "y": 10 * y - 3}))
    assert one.words == other.words == "random level and slope"
    assert other.slope == pytest.approx(one.slope / 100, rel=1e-5)
    assert other.slope_se == pytest.approx(one.slope_se / 100, rel=1e-4)
    assert other.slope_variance == pytest.approx(one.slope_variance / 1e4, rel=1e-4)
    assert other.residual_variance == pytest.approx(100 * one.residual_variance, rel=1e-5)
    assert other.intercept == pytest.approx(10 * (one.intercept - 0.05 * one.slope) - 3, rel=1e-4)


def test_races_on_their_athletes_lines_are_refused() -> None:
    x = np.tile([0.0, 1.0, 2.0], 6)
    data = pd.DataFrame({"athlete": np.repeat(np.arange(6), 3), "x": x, "y": 3.0 * x})
    with pytest.raises(np.linalg.LinAlgError):
        fit_mixed(data)
    exposures = np.column_stack([np.zeros(3), np.ones(3), [0.0, 1.0, 2.0], np.zeros(3)])
    squad = {str(k): (exposures, np.array([0.0, 3.0, 6.0])) for k in range(6)}
    assert mixed_model(squad, 2) == Refusal(
        "races that scatter around their athletes' lines",
        "18 races that lie on them",
        "the additive model, which starts from published values, is given alone",
        "there is no scatter to judge the line by",
        "more races",
    )
