"""How far a recording had gone at each moment: as its device counts, else between its positions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from taperback.common.geodesy import great_circle_m
from taperback.common.limits import LIMITS
from taperback.importer.recording import Recording
from taperback.importer.sports import is_indoors


@dataclass(frozen=True)
class Way:
    """Metres gone by, known where they change, since many devices repeat a place until the next.

    Attributes:
        time_s: when the way was longer than before, and the first and last moment it is known
            [Unix s], ascending; shape (k,), k at least 2.
        metres: how long it was then [m], never falling; shape (k,).
        by_device: whether the device counted it; else it is the way between positions.
        too_fast_m: metres of jumps that no athlete makes, which are no part of it.
        east_m, north_m: where it was then [m], None where the device counted; shape (k,) each.
    """

    time_s: np.ndarray
    metres: np.ndarray
    by_device: bool
    too_fast_m: float = 0.0
    east_m: np.ndarray | None = None
    north_m: np.ndarray | None = None

    @property
    def usual_step_s(self) -> float:
        """How long it usually is from one change to the next [s]."""
        return float(np.median(np.diff(self.time_s)))

    def at(self, time_s: np.ndarray) -> np.ndarray:
        """Metres gone by at these Unix seconds, NaN before the first and after the last it knows;
        shape of `time_s`."""
        metres: np.ndarray = np.interp(time_s, self.time_s, self.metres, left=np.nan, right=np.nan)
        return metres

    def rate_mps(self, time_s: np.ndarray, window_s: float) -> np.ndarray:
        """Metres a second over that window around each of these Unix seconds; shape of `time_s`.

        Single differences would waver, since places are rounded to about a metre.
        """
        half = window_s / 2
        first, last = self.time_s[0], self.time_s[-1]
        since, until = np.maximum(time_s - half, first), np.minimum(time_s + half, last)
        with np.errstate(invalid="ignore", divide="ignore"):
            rate = (self.at(until) - self.at(since)) / (until - since)
        return np.where((time_s >= first) & (time_s <= last), rate, np.nan)

    def steps_m(self) -> np.ndarray:
        """Metres got on from each moment to the next, as `straight_m` has them; shape (k - 1,)."""
        if self.east_m is None or self.north_m is None:
            return np.diff(self.metres)
        steps: np.ndarray = np.hypot(np.diff(self.east_m), np.diff(self.north_m))
        return steps

    def straight_m(self, since_s: np.ndarray, until_s: np.ndarray) -> np.ndarray:
        """Metres got on between these Unix seconds, within what is known; shape of both.

        Between places that is the straight line, since they waver while nobody moves.
        """
        east, north = self.east_m, self.north_m
        if east is None or north is None:
            grown: np.ndarray = self.at(until_s) - self.at(since_s)
            return grown
        got_on: np.ndarray = np.hypot(
            *(
                np.interp(until_s, self.time_s, of) - np.interp(since_s, self.time_s, of)
                for of in (east, north)
            )
        )
        return got_on


def read_way(
    recording: Recording, time: np.ndarray, columns: Mapping[str, np.ndarray]
) -> Way | None:
    """The way of a recording, None where neither the device nor its positions tell it.

    A jump between positions faster than anyone in its sport is no way, positions under a roof are
    guesses, and what lies between both ends of a pause is no way of a moment before or after.

    Args:
        recording: what the file says.
        time: Unix seconds of the samples, ascending, shape (n,).
        columns: `distance_m`, `lat` and `lon` at those samples, NaN where not measured.
    """
    pauses = recording.pauses
    distance = columns["distance_m"]
    known = np.flatnonzero(np.isfinite(distance))
    if len(known) > 1 and distance[known].max() > distance[known].min():
        # A device that begins again from zero at a lap has not gone back.
        # One that lost its place counts a stretch late and at once, which is no jump.
        return _way(time[known], np.maximum(np.diff(distance[known]), 0.0), pauses)
    lat, lon = columns["lat"], columns["lon"]
    known = known_positions(lat, lon)
    if len(known) < 2 or is_indoors(recording.sub_sport):
        return None
    lat, lon = lat[known], lon[known]
    steps = great_circle_m(lat[:-1], lon[:-1], lat[1:], lon[1:])
    north = great_circle_m(lat[0], 0.0, lat, 0.0) * np.sign(lat - lat[0])
    east = great_circle_m(lat[0], lon[0], lat[0], lon) * np.sign(lon - lon[0])
    return _way(time[known], steps, pauses, (east, north), highest_mps(recording.sport))


def highest_mps(sport: str) -> float:
    """Faster than this nobody is in that sport [m/s]."""
    speeds = LIMITS.cleaning.speed_high_mps
    return speeds.get(sport, speeds["other"])


def _way(
    time: np.ndarray,
    steps: np.ndarray,
    pauses: Sequence[tuple[float, float]],
    places: tuple[np.ndarray, np.ndarray] | None = None,
    highest: float = np.inf,
) -> Way:
    changed = np.concatenate([[True], steps > 0])
    if len(pauses):
        after = np.searchsorted(time, np.array(pauses)[:, 1]).clip(1, len(time) - 1)
        changed[after] = changed[after - 1] = True
    changed[-1] = True
    time, steps = time[changed], steps[changed[1:]]
    # A place that is a few metres off for a second is no jump.
    spans = np.maximum(np.diff(time), LIMITS.cleaning.speed_window_s)
    jumps = steps > highest * spans
    metres = np.concatenate([[0.0], np.cumsum(np.where(jumps, 0.0, steps))])
    east, north = (each[changed] for each in places) if places else (None, None)
    return Way(time, metres, places is None, float(steps[jumps].sum()), east, north)


def known_positions(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Indices of samples with a position; (0, 0) is a receiver that has none.

    Args:
        lat, lon: decimal degrees (WGS84), shape (n,) each.
    """
    with np.errstate(invalid="ignore"):
        on_earth = (np.abs(lat) <= 90) & (np.abs(lon) <= 180) & ((lat != 0) | (lon != 0))
    return np.flatnonzero(on_earth)
