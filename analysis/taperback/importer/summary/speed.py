"""Speed from what a recording has: measured, else from the way or from pool lengths."""

from __future__ import annotations

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.recording import Recording
from taperback.importer.summary.way import Way


def speed_of(time: np.ndarray, measured: np.ndarray, way: Way | None) -> np.ndarray:
    """Speed at each sample [m/s], NaN where nothing tells it; shape (n,).

    The measured one is believed where it adds up to the way that was gone; where it is missing, or
    zero while the way goes on, the way's speed stands in its place.

    Args:
        time: Unix seconds of the samples, shape (n,).
        measured: speed as the device gives it [m/s], NaN where it does not, shape (n,).
        way: what tells how far it was gone, None where nothing does.
    """
    limits = LIMITS.cleaning
    known = np.isfinite(measured)
    if way is None:
        return measured if known.any() else np.full(len(time), np.nan)
    seconds = np.minimum(np.diff(time, append=time[-1] + 1), limits.gap_s)
    gone = float(way.metres[-1])
    apart = abs((measured * seconds).sum() - gone)  # NaN where one is missing
    if apart < limits.speed_apart_share * gone / 2 and measured.all():
        return measured  # the plain case, for which no rate is needed
    rate = way.rate_mps(time, limits.speed_window_s)
    both = known & np.isfinite(rate)
    gone, added = (float((values * seconds)[both].sum()) for values in (rate, measured))
    if not added or abs(added - gone) > limits.speed_apart_share * gone > 0:
        return rate
    idle = ~known | ((measured == 0) & (rate >= limits.standing_mps))
    return np.where(idle, rate, measured) if idle.any() else measured


def length_speed(recording: Recording, start: float, seconds: int) -> tuple[np.ndarray, np.ndarray]:
    """(speed [m/s], whether a length was being swum) of a pool swim, a second each; shape (n,).

    Speed is the pool's length over each length's time, NaN while resting.
    """
    speed = np.full(seconds, np.nan)
    swimming = np.zeros(seconds, bool)
    pool = recording.pool_length_m
    columns = (recording.lengths[name] for name in ("start_s", "duration_s", "active"))
    for since, duration, active in zip(*(column.tolist() for column in columns), strict=True):
        if active and 0 < duration < seconds + 1 and abs(since - start) <= seconds:
            first = round(since - start)
            inside = slice(max(first, 0), max(first + round(duration), 0))
            speed[inside] = pool / duration
            swimming[inside] = True
    return speed, swimming
