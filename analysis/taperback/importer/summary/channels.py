"""What a leg's power, heart rate and speed come to, in a few numbers each."""

from __future__ import annotations

from typing import Any

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.model import (
    BEST_DURATIONS_S,
    HEART_RATE_BIN_BPM,
    POWER_BIN_W,
    SPEED_BIN_MPS,
)
from taperback.importer.summary.samples import NO_SECONDS, Grid


def channel_summary(grid: Grid) -> dict[str, Any]:
    """The columns of `LegSummary` that power, heart rate and speed give, by name."""
    power, rate, speed = (
        while_moving(grid, name) for name in ("power_w", "heart_rate_bpm", "speed_mps")
    )
    return {
        "power_seconds": _seconds_per_bin(power, POWER_BIN_W),
        "heart_rate_seconds": _seconds_per_bin(rate, HEART_RATE_BIN_BPM),
        "speed_seconds": _seconds_per_bin(speed, SPEED_BIN_MPS),
        "best_power_w": _best_means(power),
        "best_speed_mps": _best_means(speed),
        "mean_heart_rate_bpm": known_mean(rate),
        "max_heart_rate_bpm": float(np.nanmax(rate)) if np.isfinite(rate).any() else np.nan,
        "mean_power_w": known_mean(power),
        "half_speed_mps": _halves(grid, "speed_mps"),
        "half_power_w": _halves(grid, "power_w"),
        "half_heart_rate_bpm": _halves(grid, "heart_rate_bpm"),
    }


def while_moving(grid: Grid, channel: str) -> np.ndarray:
    """A channel over the grid, NaN where a second does not count as training; shape (n,)."""
    return np.where(grid.moving, getattr(grid, channel), np.nan)


def _seconds_per_bin(values: np.ndarray, width: float) -> np.ndarray | None:
    """Seconds per bin of that width from zero, None where nothing was measured."""
    known = values[np.isfinite(values)]
    # a hair is added so that 3.50 m/s falls on its own bin and not, by rounding, on the one below
    bins = (known / width + 1e-9).astype(np.int64)
    return np.bincount(bins).astype(np.int32) if len(known) else None


def _best_means(values: np.ndarray) -> np.ndarray:
    """Best mean over each of `BEST_DURATIONS_S`; shape (17,), NaN where too short.

    A window counts where nearly all of its seconds were measured; its mean is over those.
    """
    share = LIMITS.cleaning.best_known_share
    known = np.isfinite(values)
    best = np.full(len(BEST_DURATIONS_S), np.nan)
    if not known.any():
        return best
    whole = bool(known.all())
    sums = _running_sum(values if whole else np.where(known, values, 0.0))
    counts = None if whole else _running_sum(known)
    for place, duration in enumerate(BEST_DURATIONS_S):
        if duration > len(values):
            break
        totals = sums[duration:] - sums[:-duration]
        if counts is None:
            best[place] = totals.max() / duration
            continue
        seconds = counts[duration:] - counts[:-duration]
        enough = seconds >= share * duration
        if enough.any():
            best[place] = (totals[enough] / seconds[enough]).max()
    return best


def _running_sum(values: np.ndarray) -> np.ndarray:
    """Sums of the first 0, 1, ... values; shape (n + 1,)."""
    return np.concatenate([[0.0], np.cumsum(values, dtype=float)])


def _halves(grid: Grid, channel: str) -> np.ndarray:
    """Means of the first and second half of the moving time; shape (2,)."""
    values = getattr(grid, channel)[grid.moving]
    middle = len(values) // 2
    return np.array([known_mean(values[:middle]), known_mean(values[middle:])])


def known_mean(values: np.ndarray) -> float:
    """Mean of the values that are not NaN, shape (n,); NaN where all are."""
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else float("nan")


NO_CHANNELS = channel_summary(NO_SECONDS)
"""The columns where nothing was measured."""
