"""A mixed model of the outcome over one factor, beside the model that starts from published values.

References:
    Laird and Ware 1982, Biometrics 38:963-974, doi 10.2307/2529876 (the model).
    Lindstrom and Bates 1988, J Am Stat Assoc 83:1014-1022, doi 10.1080/01621459.1988.10478693 (the
    likelihood with line and scatter profiled out; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from scipy.optimize import minimize

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
    """A mixed model by restricted maximum likelihood; columns athlete, x, y.

    An athlete's races come in as nine sums, over which one look at the likelihood goes in one step
    for all athletes, so that a search from several places costs little and finds the highest point.

    Raises:
        numpy.linalg.LinAlgError: the races lie on their athletes' lines.
    """
    codes, names = pd.factorize(frame["athlete"])
    middle, spread = frame[["x", "y"]].mean(), frame[["x", "y"]].std(ddof=0)
    x, y = (((frame[name] - middle[name]) / spread[name]).to_numpy(float) for name in ("x", "y"))
    columns = (np.ones(len(frame)), x, y)
    sums = np.array(
        [[np.bincount(codes, one * two, len(names)) for two in columns] for one in columns]
    )
    fit, words = _highest(sums, LEVEL_ONLY), _ONE_SLOPE
    freer = _highest(sums, (*LEVEL_AND_SLOPE, (fit.size[0], 0.0, 0.1)))
    if freer.converged and np.linalg.eigvalsh(freer.relative)[0] > _BOUND:
        fit, words = freer, "random level and slope"
    # from means of zero and spreads of one back to the units of x and y
    back = np.array([[1.0, -middle["x"] / spread["x"]], [0.0, 1 / spread["x"]]]) * spread["y"]
    level, slope = back @ fit.line
    scale = fit.scale * spread["y"] ** 2
    level_alone = fit.size[1:] == (0.0, 0.0)
    between = fit.scale * (back @ fit.relative @ back.T)
    return Mixed(
        len(names),
        len(frame),
        float(level + middle["y"]),
        float(slope),
        float(np.sqrt(fit.scale * (back @ np.linalg.inv(fit.precision) @ back.T)[1, 1])),
        float(scale * fit.relative[0, 0] if level_alone else between[0, 0]),
        float("nan") if level_alone else float(between[1, 1]),
        float(scale),
        fit.converged,
        words if fit.converged else f"{words}; the fit did not converge, do not use it",
    )


_ONE_SLOPE = "random level only, since the slopes of the athletes do not tell apart"
_BOUND = 1e-6
"""Least variance between athletes, as a share of that between races, that is none on its bound."""

Size = tuple[float, float, float]
"""How far athletes lie apart, as the lower triangle of a root of the covariance of their levels and
slopes, relative to the scatter of races."""

LEVEL_ONLY: tuple[Size, ...] = ((0.3, 0.0, 0.0), (1.0, 0.0, 0.0), (3.0, 0.0, 0.0))
LEVEL_AND_SLOPE: tuple[Size, ...] = ((0.5, 0.0, 0.3), (1.0, 0.5, 0.1), (2.0, -0.5, 0.5))
"""Where the search begins."""


@dataclass(frozen=True)
class _Fit:
    """The likelihood at one size: twice its negative logarithm, and what it is reached with."""

    size: Size
    minus_two_log: float
    line: np.ndarray
    scale: float
    precision: np.ndarray
    converged: bool = False

    @property
    def relative(self) -> np.ndarray:
        root = np.array([[self.size[0], 0.0], self.size[1:]])
        covariance: np.ndarray = root @ root.T
        return covariance


def _at(size: Size, sums: np.ndarray) -> _Fit:
    """The restricted likelihood there, line and scatter at their best.

    Args:
        size: how far athletes lie apart.
        sums: over each athlete's races, of the products of 1, x and y; shape (3, 3, athletes).
    """
    a, c, d = size
    u, w = a * sums[0] + c * sums[1], d * sums[1]
    first, cross, second = 1 + a * u[0] + c * u[1], d * u[1], 1 + d * w[1]
    determinant = first * second - cross**2
    mixed = (u * (cross / determinant)) @ w.T
    left = sums.sum(axis=2) + mixed + mixed.T
    left -= (u * (second / determinant)) @ u.T + (w * (first / determinant)) @ w.T
    precision, pull = left[:2, :2], left[:2, 2]
    line = np.linalg.solve(precision, pull)
    free = sums[0, 0].sum() - 2
    scale = float(left[2, 2] - line @ pull) / free
    if scale < 1e-12:
        raise np.linalg.LinAlgError("no scatter")
    log = np.log(determinant).sum() + np.linalg.slogdet(precision)[1] + free * np.log(scale)
    return _Fit(size, float(log), line, scale, precision)


def _highest(sums: np.ndarray, starts: tuple[Size, ...]) -> _Fit:
    """The size of the highest likelihood; what is zero in all starts stays so."""
    moving = np.any(starts, axis=0)

    def there(values: np.ndarray) -> _Fit:
        whole = np.zeros(3)
        whole[moving] = values
        a, c, d = map(float, whole)
        return _at((a, c, d), sums)

    def height(values: np.ndarray) -> float:
        return there(values).minus_two_log

    begun = [np.asarray(start)[moving] for start in starts]
    climbed = [minimize(height, start, method="L-BFGS-B") for start in begun]
    best = min(climbed, key=lambda each: float(each.fun))
    # a slope by differences goes no further than its own noise; the last step needs none
    last = minimize(height, best.x, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-9})
    return replace(there(last.x), converged=bool(last.success))
