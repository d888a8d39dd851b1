"""Speed from what a recording has: measured, else from distance, else from positions."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.common.geodesy import great_circle_m
from taperback.importer.recording import Recording


def speed_of(time: np.ndarray, columns: Mapping[str, np.ndarray], window_s: float) -> np.ndarray:
    """Speed at each sample [m/s], NaN where nothing tells it; shape (n,).

    From distance or positions it is the difference over the last `window_s` seconds, since single
    differences of rounded positions waver. Positions are joined by great circles
    (`geodesy.great_circle_m`, haversine on a sphere).
    """
    measured = columns["speed_mps"]
    if np.nanmax(measured, initial=0.0) > 0:
        return measured
    distance = columns["distance_m"]
    if not np.nanmax(distance, initial=0.0) > 0:
        distance = _way_m(time, columns["lat"], columns["lon"])
    if np.isfinite(distance).sum() < 2:
        return np.full(len(time), np.nan)
    here = np.arange(len(time))
    back = np.minimum(np.searchsorted(time, time - window_s), np.maximum(here - 1, 0))
    with np.errstate(invalid="ignore", divide="ignore"):
        return (distance - distance[back]) / (time - time[back])


def known_positions(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Indices of samples with a position; (0, 0) is a receiver that has none.

    Args:
        lat, lon: decimal degrees (WGS84), shape (n,) each.
    """
    with np.errstate(invalid="ignore"):
        on_earth = (np.abs(lat) <= 90) & (np.abs(lon) <= 180) & ((lat != 0) | (lon != 0))
    return np.flatnonzero(on_earth)


def _way_m(time: np.ndarray, lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Distance along the positions [m]; samples without one lie on the line between others."""
    fixed = known_positions(lat, lon)
    if len(fixed) < 2:
        return np.full(len(time), np.nan)
    steps = great_circle_m(lat[fixed[:-1]], lon[fixed[:-1]], lat[fixed[1:]], lon[fixed[1:]])
    way = np.concatenate([[0.0], np.cumsum(steps)])
    return np.interp(time, time[fixed], way, left=np.nan, right=np.nan)


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
