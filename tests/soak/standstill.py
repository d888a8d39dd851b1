"""When an athlete truly stood still, by plain arithmetic on the points of an independent reader.

A *stay* is a run of points that all lie near its first one for some seconds: the stay points of
Li, Zheng and others (2008, Mining user similarity based on location history), at the scale of a
traffic light; from memory. Nothing here knows how the importer decides.
"""

from __future__ import annotations

import numpy as np

WALKING_PACE_MPS = 0.4
"""Who gets on more slowly stands."""
COUNTED_S, PLACES_S = 10.0, 20.0
"""How long a stay lasts at least: where the device counts its way, and between places, which waver
by some metres. It is as wide as walking pace reaches in that time."""
SILENT_S = 30.0
"""In sports that do not travel only a silence longer than this may be standstill."""
CLIMB_MPS, CLIMB_S = 0.1, 60.0
"""Who gains height at this rate over a minute, and gets on at all, is climbing."""


def stays(time: np.ndarray, east: np.ndarray, north: np.ndarray, least_s: float) -> np.ndarray:
    """Which steps between points belong to a stay; bool, shape (n - 1,).

    Args:
        time: seconds, ascending, shape (n,).
        east, north: metres, shape (n,); a counted way and zeros where a device counts.
        least_s: how long a stay lasts at least [s].
    """
    radius = WALKING_PACE_MPS * least_s
    staying = np.zeros(max(len(time) - 1, 0), bool)
    gone = np.hypot(np.diff(east), np.diff(north))
    slow = gone < WALKING_PACE_MPS * np.diff(time)
    later = np.searchsorted(time, time + least_s).clip(max=len(time) - 1)
    near = np.hypot(east[later] - east, north[later] - north) <= radius
    first = 0
    while first < len(staying):
        if not near[first]:
            first += 1
            continue
        # Points that lie near this one, without a break.
        ahead = 64
        while True:
            until = min(first + ahead, len(time))
            far = np.hypot(east[first:until] - east[first], north[first:until] - north[first])
            away = np.flatnonzero(far > radius)
            if len(away) or until == len(time):
                break
            ahead *= 4
        last = first + int(away[0]) - 1 if len(away) else until - 1
        if time[last] - time[first] < least_s:
            first += 1
            continue
        # Coming to a halt and setting off again are no part of it.
        slow_steps = first + np.flatnonzero(slow[first:last])
        if len(slow_steps):
            staying[slow_steps[0] : slow_steps[-1] + 1] = True
        first = last
    # A step longer than a stay is judged as a whole: nothing tells what happened within it.
    whole = np.diff(time) >= least_s
    staying[whole] = slow[whole]
    return staying


def climbs(time: np.ndarray, way: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Which steps were climbed, however slow they look from above; bool, shape (n - 1,)."""
    known = np.isfinite(height)
    if known.sum() < 2 or not len(time):
        return np.zeros(max(len(time) - 1, 0), bool)
    middle = (time[:-1] + time[1:]) / 2
    since = np.maximum(middle - CLIMB_S / 2, time[0])
    until = np.minimum(middle + CLIMB_S / 2, time[-1])
    span = np.maximum(until - since, 1.0)
    gained, gone = (
        (np.interp(until, at, of) - np.interp(since, at, of)) / span
        for at, of in ((time[known], height[known]), (time, way))
    )
    climbed: np.ndarray = (gained >= CLIMB_MPS) & (gone >= CLIMB_MPS)
    return climbed
