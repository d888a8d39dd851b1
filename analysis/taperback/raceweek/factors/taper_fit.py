"""Which form a fall in training volume has: a step, a line, or an exponential fall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS

FIRST_DAY = -21
"""First day whose seven-day sum is fitted; the last is -1."""
SUM_DAYS = 7
_DAYS = np.arange(FIRST_DAY - SUM_DAYS + 1, 0)
SHAPES = ("step", "linear", "exponential")
"""From the simplest to the one with most freedom."""


@dataclass(frozen=True)
class Fit:
    """One shape at its best.

    Attributes:
        shape: `step`, `linear` or `exponential`.
        start: first day to the race of the fall.
        before, after: daily hours before the fall, and what it leads to (on day -1 for a line, at
            its floor for the others).
        r_squared: share of the variance of the seven-day sums that it accounts for.
    """

    shape: str
    start: int
    before: float
    after: float
    r_squared: float


def weekly_sums_by_day(daily: np.ndarray) -> np.ndarray:
    """Sum of each day and the six before it; shape (27,) gives (21,), for days -21 .. -1."""
    return np.convolve(daily, np.ones(SUM_DAYS), "valid")


def best_fits(daily: np.ndarray, rhythm: np.ndarray | None = None) -> list[Fit]:
    """Each shape at its best, the best shape first; empty where volume did not fall.

    A shape is a course of daily hours: the rhythm of the usual week before a start day, then lower
    at once (step), lower by the same amount each day (linear), or by the same share (exponential).
    It is judged by its seven-day sums against the measured ones. Of shapes too close to tell apart
    the simplest is the best.

    Args:
        daily: hours on days -27 .. -1, shape (27,).
        rhythm: what the usual week holds on each of those days, in any unit; level by default.
    """
    sums = weekly_sums_by_day(daily)
    total = float(((sums - sums.mean()) ** 2).sum())
    if total <= 1e-12:
        return []
    rhythm = np.ones(len(daily)) if rhythm is None else rhythm / rhythm.mean()
    fits: dict[str, Fit] = {}
    for shape, start, course in _courses():
        fit = _fit(shape, start, rhythm, course, sums, total)
        if fit is not None and (shape not in fits or fit.r_squared > fits[shape].r_squared):
            fits[shape] = fit
    ranked = sorted(fits.values(), key=lambda fit: -fit.r_squared)
    apart = LIMITS.taper.shapes_apart
    close = [fit for fit in ranked if fit.r_squared > ranked[0].r_squared - apart]
    best = min(close, key=lambda fit: SHAPES.index(fit.shape), default=None)
    return [best, *(fit for fit in ranked if fit is not best)] if best else []


def _courses() -> Iterator[tuple[str, int, np.ndarray]]:
    """Each shape and start with how far it has fallen on each day, from 0 to 1; shape (27,)."""
    for start in range(FIRST_DAY + 1, -1):
        fallen = np.clip(_DAYS - start + 1, 0, None)
        yield "step", start, (fallen > 0).astype(float)
        yield "linear", start, fallen / -start
        for days in LIMITS.taper.time_constants_d:
            yield "exponential", start, 1 - np.exp(-fallen / days)


def _fit(
    shape: str, start: int, rhythm: np.ndarray, course: np.ndarray, sums: np.ndarray, total: float
) -> Fit | None:
    """Least squares for the level before and after; None where it is no clear fall."""
    parts = rhythm * (1 - course), rhythm * course
    terms = np.column_stack([weekly_sums_by_day(part) for part in parts])
    before, after = np.linalg.lstsq(terms, sums, rcond=None)[0]
    if after < 0:  # nobody trains less than nothing
        before, after = float(terms[:, 0] @ sums / (terms[:, 0] @ terms[:, 0])), 0.0
    fitted = terms @ np.array([before, after])
    if fitted[-1] > LIMITS.taper.reduced_share * SUM_DAYS * before:
        return None
    residual = float(((sums - fitted) ** 2).sum())
    return Fit(shape, start, float(before), float(after), 1 - residual / total)
