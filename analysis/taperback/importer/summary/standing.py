"""Which seconds of a recording stood still: no way, no work and no climb."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.summary.way import Way


def find_standing(
    sport: str, grid: Mapping[str, np.ndarray], way: Way | None, seconds: np.ndarray
) -> np.ndarray:
    """Seconds without way, work or climb, in sports that travel; others train on the spot.

    Args:
        sport: FIT name.
        grid: `speed_mps`, `power_w` and `altitude_m` at each second.
        way: how far it was gone, None where nothing tells; then the speed does.
        seconds: Unix seconds, one apart, shape (n,).

    Returns:
        bool, shape (n,).
    """
    limits = LIMITS.cleaning
    if sport not in limits.standing_sports:
        return np.zeros(len(seconds), bool)
    with np.errstate(invalid="ignore"):
        standing: np.ndarray = grid["speed_mps"] < limits.standing_mps
        if way is not None:
            placed = slice(*np.searchsorted(seconds, [way.time_s[0], way.time_s[-1]]))
            standing[placed] = _hardly_went(way, seconds[placed])
        standing &= ~(grid["power_w"] > 0)
    if way is not None and standing.any():
        standing &= ~_climbing(grid["altitude_m"], way, seconds)
    return standing


def _hardly_went(way: Way, seconds: np.ndarray) -> np.ndarray:
    """Seconds in which the way hardly grew; bool, shape (n,).

    A stop is where it hardly grew over a window, with the slow steps on both sides. Nothing tells
    what happened within a step as long as the window: it is slow or not as a whole.
    """
    limits = LIMITS.cleaning
    steps_s = np.diff(way.time_s)
    slow_steps = way.steps_m() < limits.standing_mps * steps_s
    if way.by_device and not slow_steps.any():
        return np.zeros(len(seconds), bool)
    step = np.searchsorted(way.time_s, seconds, side="right") - 1
    half = limits.standing_window_s / 2
    since = np.maximum(seconds - half, way.time_s[0])
    until = np.minimum(seconds + half, way.time_s[-1])
    slow_window = way.straight_m(since, until) < limits.standing_mps * (until - since)
    slow = slow_steps[step]
    sure = np.where((steps_s >= limits.standing_window_s)[step], slow, slow_window)
    return _runs_with(slow | sure, sure)


def _runs_with(within: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """The runs of one condition that meet another somewhere; bool, shape (n,)."""
    edges = np.flatnonzero(np.diff(within.astype(np.int8), prepend=0, append=0))
    met = np.concatenate([[0], np.cumsum(wanted)])
    chosen = met[edges[1::2]] > met[edges[::2]]
    change = np.zeros(len(within) + 1, np.int8)
    change[edges[::2][chosen]] = 1
    change[edges[1::2][chosen]] = -1
    return np.cumsum(change[:-1], dtype=np.int8) > 0


def _climbing(altitude: np.ndarray, way: Way, seconds: np.ndarray) -> np.ndarray:
    """Seconds in which height was gained steadily while the place changed, if slowly."""
    limits = LIMITS.cleaning
    half = limits.climb_window_s // 2
    known = np.isfinite(altitude)
    if known.sum() < 2 * half:
        return np.zeros(len(altitude), bool)
    since, until = (np.clip(seconds + by, seconds[0], seconds[-1]) for by in (-half, half))
    gained, gone = (
        (np.interp(until, at, of) - np.interp(since, at, of)) / np.maximum(until - since, 1)
        for at, of in ((seconds[known], altitude[known]), (way.time_s, way.metres))
    )
    climbing: np.ndarray = (gained >= limits.climb_mps) & (gone >= limits.climb_mps)
    return climbing
