"""Stretches of work inside a session, found without knowing the athlete's thresholds.

Readings of an interval session fall on two levels. The level between them that separates best
(Otsu) divides work from easier time, if they stand apart far enough; a steady session has no such
level and gives no bouts.

References:
    Otsu 1979, IEEE Trans Syst Man Cybern 9:62-66, doi 10.1109/TSMC.1979.4310076.
"""

from __future__ import annotations

import numpy as np

from taperback.importer.model import Bout
from taperback.importer.recording import Recording
from taperback.importer.samples import Grid
from taperback.resources import shared_toml


def find_bouts(recording: Recording, grid: Grid) -> tuple[Bout, ...]:
    """The session's stretches of work, in order; empty for a steady session."""
    if len(recording.lengths):
        return _swum_bouts(recording, grid)
    level = _channel(recording.sport, grid)
    if level is None:
        return ()
    limits = shared_toml("limits.toml")["bouts"]
    if np.count_nonzero(grid.moving) < limits["shortest_session_s"]:
        return ()
    smooth = _smooth(np.where(grid.moving, level, np.nan), limits["window_s"])
    divide = _divide(smooth, limits)
    if divide is None:
        return ()
    with np.errstate(invalid="ignore"):
        working = smooth > divide
    return tuple(_bout(grid, first, last) for first, last in _stretches(working, limits))


def _channel(sport: str, grid: Grid) -> np.ndarray | None:
    """What tells effort best: power, else speed; heart rate lags too far behind short work."""
    channels = (grid.power_w, grid.speed_mps) if sport == "cycling" else (grid.speed_mps,)
    for channel in channels:
        if np.count_nonzero(np.isfinite(channel)) > 0.8 * np.count_nonzero(grid.moving):
            return channel
    return None


def _smooth(values: np.ndarray, window_s: int) -> np.ndarray:
    """Centred moving mean over the known readings."""
    kernel = np.ones(window_s)
    known = np.isfinite(values)
    total = np.convolve(np.where(known, values, 0.0), kernel, "same")
    count = np.convolve(known.astype(float), kernel, "same")
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(known, total / count, np.nan)


def _divide(values: np.ndarray, limits: dict) -> float | None:
    """The level that divides work from easier time, or None where nothing stands apart."""
    known = values[np.isfinite(values)]
    if not len(known) or np.ptp(known) == 0:
        return None
    counts, edges = np.histogram(known, bins=96)
    middle = (edges[:-1] + edges[1:]) / 2
    below = np.cumsum(counts)[:-1]
    above = len(known) - below
    sums = np.cumsum(counts * middle)
    with np.errstate(invalid="ignore", divide="ignore"):
        low, high = sums[:-1] / below, (sums[-1] - sums[:-1]) / above
        between = below * above * (high - low) ** 2 / len(known) ** 2
    best = int(np.nanargmax(between))
    explained = between[best] / np.average(
        (middle - np.average(middle, weights=counts)) ** 2, weights=counts
    )
    if explained < limits["explained"] or high[best] < limits["level_ratio"] * low[best]:
        return None
    return float(edges[best + 1])


def _stretches(working: np.ndarray, limits: dict) -> list[tuple[int, int]]:
    """(first, last + 1) of each stretch, short rests closed and short work left out."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], working, [False]]).astype(np.int8)))
    pairs: list[tuple[int, int]] = []
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if pairs and first - pairs[-1][1] < limits["shortest_rest_s"]:
            pairs[-1] = (pairs[-1][0], last)
        else:
            pairs.append((first, last))
    return [(first, last) for first, last in pairs if last - first >= limits["shortest_s"]]


def _bout(grid: Grid, first: int, last: int) -> Bout:
    speed = _mean(grid.speed_mps[first:last])
    return Bout(
        float(first),
        float(last - first),
        speed * (last - first),
        speed,
        _mean(grid.power_w[first:last]),
        _mean(grid.heart_rate_bpm[first:last]),
    )


def _mean(values: np.ndarray) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else float("nan")


def _swum_bouts(recording: Recording, grid: Grid) -> tuple[Bout, ...]:
    """Lengths swum without a rest between them; a swim in one go gives no bouts."""
    bouts: list[list[tuple[float, float]]] = []
    resting = True
    for length in recording.lengths.itertuples():
        if not length.active:
            resting = True
            continue
        if resting:
            bouts.append([])
        bouts[-1].append((float(length.start_s), float(length.duration_s)))
        resting = False
    if len(bouts) < 2:
        return ()
    return tuple(_swum_bout(lengths, recording.pool_length_m, grid) for lengths in bouts)


def _swum_bout(lengths: list[tuple[float, float]], pool_m: float, grid: Grid) -> Bout:
    seconds = sum(duration for _, duration in lengths)
    first = int(lengths[0][0] - grid.start_s)
    rate = _mean(grid.heart_rate_bpm[max(first, 0) : first + int(seconds)])
    metres = pool_m * len(lengths)
    return Bout(float(first), seconds, metres, metres / seconds, float("nan"), rate)
