"""A mixed model of the outcome over one factor, beside the model that starts from published values.

References:
    Laird and Ware 1982, Biometrics 38:963-974, doi 10.2307/2529876.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from taperback.evidence.additive import KNOTS
from taperback.evidence.model import Races, Refusal
from taperback.evidence.priors import FACTORS, result_prior


@dataclass(frozen=True)
class Mixed:
    """A mixed model of the outcome over one factor, random level and, where possible, slope.

    Attributes:
        athletes, races: how many.
        intercept, slope: fixed effects; slope_se: standard error.
        level_variance, slope_variance, residual_variance: slope_variance is NaN where only the
            level is random.
        converged: whether the fit did.
        words: how it went, as a sentence.
    """

    athletes: int
    races: int
    intercept: float
    slope: float
    slope_se: float
    level_variance: float
    slope_variance: float
    residual_variance: float
    converged: bool
    words: str


FEWEST_ATHLETES = 5
FEWEST_RACES_EACH = 3
_ALONE = "the additive model, which starts from published values, is given alone"


def mixed_model(squad: Mapping[str, Races], place: int) -> Mixed | Refusal:
    """The outcome over one factor with a random level, and a random slope where the data allow.

    The factor with the curve enters as the height of the published curve at its value.
    """
    frame = _long(squad, place)
    usable = frame.groupby("athlete").filter(lambda rows: len(rows) >= FEWEST_RACES_EACH)
    athletes = usable["athlete"].nunique()
    if athletes < FEWEST_ATHLETES or usable["x"].nunique() < 3:
        return Refusal(
            f"at least {FEWEST_ATHLETES} athletes with {FEWEST_RACES_EACH} races each that differ",
            f"{athletes} such athlete{'' if athletes == 1 else 's'}",
            _ALONE,
            "variances between athletes would be guesses",
            "more athletes, or more races of each",
        )
    try:
        return fit_mixed(usable)
    except np.linalg.LinAlgError:
        return Refusal(
            "races that scatter around their athletes' lines",
            f"{len(usable)} races that lie on them",
            _ALONE,
            "there is no scatter to judge the line by",
            "more races",
        )


def _long(squad: Mapping[str, Races], place: int) -> pd.DataFrame:
    prior = result_prior()
    rows = []
    for name, (exposures, outcome) in squad.items():
        x = np.asarray(exposures, float).reshape(-1, len(FACTORS))[:, place]
        x = np.interp(x, KNOTS, prior.curve_mean) if place == 0 else x
        rows += [(name, a, b) for a, b in zip(x, outcome, strict=True) if np.isfinite(a)]
    return pd.DataFrame(rows, columns=["athlete", "x", "y"])


def fit_mixed(frame: pd.DataFrame) -> Mixed:
    """A mixed model by restricted maximum likelihood; columns athlete, x, y."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    fixed = np.column_stack([np.ones(len(frame)), frame["x"]])
    words = "random level only, since the slopes of the athletes do not tell apart"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = MixedLM(frame["y"], fixed, groups=frame["athlete"]).fit(reml=True)
        freer = MixedLM(frame["y"], fixed, groups=frame["athlete"], exog_re=fixed).fit(reml=True)
        if _is_found(freer, than=fit):
            fit, words = freer, "random level and slope"
        error = float(fit.bse_fe.iloc[1])
    variances = np.diag(np.asarray(fit.cov_re))
    return Mixed(
        frame["athlete"].nunique(),
        len(frame),
        float(fit.fe_params.iloc[0]),
        float(fit.fe_params.iloc[1]),
        error,
        float(variances[0]),
        float(variances[1]) if len(variances) > 1 else float("nan"),
        float(fit.scale),
        bool(fit.converged),
        words if fit.converged else f"{words}; the fit did not converge, do not use it",
    )


def _is_found(fit: Any, *, than: Any) -> bool:
    """Whether the freer model was fitted: it converged inside its bounds, and no worse than a part.

    The likelihood of a model is at least that of any part of it. The search may stop short of that
    and call itself converged, on one processor and not on another.
    """
    inside = bool(np.all(np.linalg.eigvalsh(fit.cov_re) > 1e-6 * fit.scale))
    return bool(fit.converged and inside and fit.llf >= than.llf)
