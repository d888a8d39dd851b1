"""Critical power and critical speed: what can be held, and the small reserve above it.

In the two-parameter model the work done until exhaustion grows in a straight line with time:
W = CP x t + W' with power, d = CS x t + D' with speed. The line is fitted by least squares to
maximal efforts of different lengths.

References:
    Monod & Scherrer 1965, Ergonomics 8:329-338, doi 10.1080/00140136508930810.
    Moritani et al. 1981, Ergonomics 24:339-350, doi 10.1080/00140138108924856.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS, Critical
from taperback.common.published import PUBLISHED


@dataclass(frozen=True)
class CriticalFit:
    """The fitted line, with its uncertainty.

    Attributes:
        level: critical power [W] or critical speed [m/s], the slope.
        reserve: W' [J] or D' [m], the intercept.
        level_se, reserve_se: their standard errors.
        level_low, level_high: 90% interval of `level`.
        reserve_low, reserve_high: 90% interval of `reserve`.
        efforts: how many efforts were fitted.
        shortest_s, longest_s: durations of the shortest and the longest of them.
    """

    level: float
    reserve: float
    level_se: float
    reserve_se: float
    level_low: float
    level_high: float
    reserve_low: float
    reserve_high: float
    efforts: int
    shortest_s: float
    longest_s: float

    def time_to_exhaustion_s(self, level: float) -> float:
        """How long a level [W or m/s] can be held; infinite at or below the critical level."""
        above = level - self.level
        return self.reserve / above if above > 0 else float("inf")


@dataclass(frozen=True)
class NoCritical:
    """Why no critical level is known, as a clause that can follow "unknown: "."""

    reason: str


def fit_critical(
    duration_s: np.ndarray, level: np.ndarray, kind: str = ""
) -> CriticalFit | NoCritical:
    """Which level could be held, from efforts of that length and mean level.

    Args:
        duration_s: how long each effort lasted [s], shape (n,).
        level: its mean power [W] or speed [m/s], shape (n,); an effort with NaN is left out.
        kind: `power`, `running` or `swimming`, to have the reserve checked for plausibility (W' [J]
            or D' [m]); of any other kind no range is known.

    Returns:
        The fit, or why the efforts do not carry one. The rules are in `shared/limits.toml`.
    """
    duration_s, level = np.asarray(duration_s, float), np.asarray(level, float)
    usable = np.isfinite(duration_s) & np.isfinite(level) & (duration_s > 0) & (level > 0)
    duration_s, level = duration_s[usable], level[usable]
    limits = LIMITS.critical
    fewest, ratio, lengths = limits.fewest_efforts, limits.spread_ratio, len(np.unique(duration_s))
    if lengths < fewest:
        words = f"best efforts of {fewest} different lengths are needed, there are {lengths}"
        return NoCritical(words)
    shortest, longest = duration_s.min(), duration_s.max()
    if longest < ratio * shortest:
        return NoCritical(
            f"the best efforts are too alike in length ({shortest:.0f} to {longest:.0f} s; the "
            f"longest must last {ratio:g} times the shortest)"
        )
    fit = _line(duration_s, level * duration_s)
    reason = _implausible(fit, float(level.min()), limits, limits.reserve.get(kind))
    return NoCritical(reason) if reason else fit


def _implausible(
    fit: CriticalFit, lowest: float, limits: Critical, reserve: tuple[float, float] | None
) -> str:
    """Why the fitted line is not an athlete's, or nothing."""
    if not 0 < fit.level < lowest:  # a reserve below 0 puts the level above the lowest
        return "the best efforts do not fall with their length, so they were not all-out"
    share = fit.level_se / fit.level
    if share > limits.largest_se_share:
        return (
            f"the best efforts do not lie on one line (standard error {100 * share:.0f}% of the "
            f"critical level, at most {100 * limits.largest_se_share:.0f}% is accepted)"
        )
    if reserve and not reserve[0] <= fit.reserve <= reserve[1]:
        return (
            f"the fitted reserve of {fit.reserve:,.0f} lies outside the plausible "
            f"{reserve[0]:,.0f} to {reserve[1]:,.0f}, so the best efforts were not all-out"
        )
    return ""


def _line(time: np.ndarray, work: np.ndarray) -> CriticalFit:
    """Ordinary least squares of work on time; `time` and `work` of shape (n,)."""
    n = len(time)
    centred = time - time.mean()
    squares = float(centred @ centred)
    slope = float(centred @ work) / squares
    intercept = float(work.mean() - slope * time.mean())
    residual = work - intercept - slope * time
    free = n - 2  # one at least, as three lengths are needed
    noise = float(np.sqrt(residual @ residual / free))
    slope_se = noise / np.sqrt(squares)
    intercept_se = noise * float(np.sqrt(1 / n + time.mean() ** 2 / squares))
    table = PUBLISHED.statistics.student_t_95.value  # its last where there are more degrees
    wide = table[min(free, len(table)) - 1]
    return CriticalFit(
        level=slope,
        reserve=intercept,
        level_se=float(slope_se),
        reserve_se=intercept_se,
        level_low=float(slope - wide * slope_se),
        level_high=float(slope + wide * slope_se),
        reserve_low=intercept - wide * intercept_se,
        reserve_high=intercept + wide * intercept_se,
        efforts=n,
        shortest_s=float(time.min()),
        longest_s=float(time.max()),
    )
