"""A recording made usable: one value a second, doubtful ones taken out and counted.

Each rule is stated once, has its limit in `shared/limits.toml`, and says how many seconds it took.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from taperback.common.importer_limits import Cleaning
from taperback.common.limits import LIMITS
from taperback.importer.recording import SAMPLE_COLUMNS, Recording
from taperback.importer.summary.clock import first_told, one_clock, started_s
from taperback.importer.summary.moving import Moving, find_moving
from taperback.importer.summary.plausible import believed
from taperback.importer.summary.speed import length_speed, speed_of
from taperback.importer.summary.way import Way, highest_mps, read_way

CHANNELS = ("speed_mps", "power_w", "heart_rate_bpm")
_MEASURED = (*CHANNELS, "altitude_m")
_COLUMNS = (*_MEASURED, "distance_m", "lat", "lon")
NAN = float("nan")
_TIME, _SPEED = SAMPLE_COLUMNS.index("time_s"), SAMPLE_COLUMNS.index("speed_mps")


@dataclass(frozen=True)
class Grid:
    """One leg on a grid of seconds from its start.

    Attributes:
        start_s: Unix time of the first second.
        moving: whether the second counts as training; bool, shape (n,).
        speed_mps, power_w, heart_rate_bpm, altitude_m: float64, shape (n,), NaN where not measured.
        way_m: metres gone by: all that the device counted outside pauses, else the way between
            positions over the moving seconds; NaN where neither tells.
        too_fast_m: metres of jumps between positions that no athlete makes, no part of `way_m`.
        wavered_m: metres between positions where it hardly got on, no part of `way_m`.
        on_the_spot: whether it hardly moved and counts all the same, by its heart rate.
        removed_s: seconds that each rule took out, by name.
    """

    start_s: float
    moving: np.ndarray
    speed_mps: np.ndarray
    power_w: np.ndarray
    heart_rate_bpm: np.ndarray
    altitude_m: np.ndarray
    way_m: float
    too_fast_m: float
    wavered_m: float
    on_the_spot: bool
    removed_s: dict[str, float]


NO_SECONDS = Grid(NAN, np.empty(0, bool), *(np.empty(0),) * 4, NAN, 0.0, 0.0, False, {})
"""The grid of a leg of which no second is known."""


def clean(recording: Recording) -> Grid:
    """The recording's samples, one a second, without what cannot be true.

    Raises:
        InputError: the clock was never set, or jumped so far that the recording makes no sense.
    """
    limits = LIMITS.cleaning
    removed: dict[str, float] = {}
    # One array and not a column at a time: a lookup in a frame takes as long as a whole rule.
    samples = recording.samples.to_numpy(float)
    first = first_told(samples, limits)
    if not first.all():
        removed["track repeated"] = float(np.count_nonzero(~first))
        samples = samples[first]
    time, rows = one_clock(samples[:, _TIME], limits, removed, samples[:, _SPEED])
    start = started_s(recording.start_utc, time, limits)
    by_name = dict(zip(SAMPLE_COLUMNS, np.ascontiguousarray(samples[rows].T), strict=True))
    columns = {name: by_name[name] for name in _COLUMNS}
    if not len(time):
        return _without_samples(recording, start, limits)
    gap_s = _gap_s(time, limits)
    weight = np.minimum(np.diff(time, append=time[-1] + 1), gap_s)
    way = read_way(recording, time, columns)
    columns["speed_mps"] = speed_of(time, columns["speed_mps"], way)
    for name in CHANNELS:
        columns[name] = believed(name, columns[name], weight, recording.sport, limits, removed)
    seconds = _seconds(recording, start, float(time[-1]), limits)
    source = _source(time, start, seconds, gap_s)
    grid = _held(columns, source)
    swimming = None
    if len(recording.lengths):
        grid["speed_mps"], swimming = length_speed(recording, start, len(source))
    elif way is not None:
        silent = np.flatnonzero(source < 0)
        grid["speed_mps"][silent] = _through_silences(start + silent, way, recording.sport)
    # Where the way tells what happened over a silence, no usual step is needed to judge it.
    if way is not None and gap_s != limits.gap_s:
        source = _source(time, start, seconds, limits.gap_s)
    moving = find_moving(recording, start, source >= 0, grid, way, swimming, removed)
    way_m, wavered_m = _gone_m(way, start, moving)
    return Grid(
        start_s=start,
        moving=moving.counts,
        way_m=way_m,
        too_fast_m=way.too_fast_m if way else 0.0,
        wavered_m=wavered_m,
        on_the_spot=moving.on_the_spot,
        removed_s={rule: seconds for rule, seconds in removed.items() if seconds},
        **{name: grid[name] for name in _MEASURED},
    )


def _through_silences(seconds: np.ndarray, way: Way, sport: str) -> np.ndarray:
    """Speed of the way where no sample holds; which of it counts is decided later."""
    if not len(seconds):
        return seconds
    rate = way.rate_mps(seconds, LIMITS.cleaning.speed_window_s)
    return np.where(rate <= highest_mps(sport), rate, np.nan)


def _gone_m(way: Way | None, start: float, moving: Moving) -> tuple[float, float]:
    """(`way_m`, `wavered_m`) of `Grid`."""
    if way is None:
        return NAN, 0.0
    if way.by_device:
        return float(way.metres[-1]), 0.0
    steps = np.diff(way.at(start + np.arange(len(moving.counts) + 1)))
    return float(np.nansum(steps[moving.counts])), float(np.nansum(steps[moving.stood]))


def _without_samples(recording: Recording, start: float, limits: Cleaning) -> Grid:
    """A leg without samples: pool lengths still tell when it moved and how fast."""
    seconds = int(recording.end_utc.timestamp() - start)
    if not len(recording.lengths) or not 0 < seconds <= limits.longest_s:
        return replace(NO_SECONDS, start_s=start)
    speed, swimming = length_speed(recording, start, seconds)
    unknown = np.full(seconds, np.nan)
    return Grid(start, swimming, speed, *(unknown,) * 3, NAN, 0.0, 0.0, False, {})


def _gap_s(time: np.ndarray, limits: Cleaning) -> float:
    """How long this device may be silent while it records [s].

    Some write a position only every half minute; their usual step tells, within bounds.
    """
    if len(time) <= limits.fewest_steps:
        return limits.gap_s
    # No median is more than twice the mean, which is known at once.
    if 2 * limits.gap_steps * (time[-1] - time[0]) <= limits.gap_s * (len(time) - 1):
        return limits.gap_s
    usual = float(np.median(np.diff(time)))
    return float(np.clip(limits.gap_steps * usual, limits.gap_s, limits.longest_gap_s))


def _seconds(recording: Recording, start: float, last: float, limits: Cleaning) -> int:
    """How many seconds the leg has, at least one, since lengths may outlast the samples.

    The last sample is a moment, with a second of its own only where the leg went on for one.
    """
    seconds = int(last - start)
    seconds += recording.end_utc.timestamp() - start >= seconds + 1
    if len(recording.lengths):
        ends = (recording.lengths["start_s"] + recording.lengths["duration_s"]).to_numpy(float)
        ends = ends[ends <= start + limits.longest_s]  # a clock that jumped ends nothing
        seconds = max(seconds, int(ends.max(initial=start) - start))
    return max(seconds, 1)


def _source(time: np.ndarray, start: float, seconds: int, gap_s: float) -> np.ndarray:
    """For each second from the start, the sample that holds then, or -1 in a gap; shape (n,)."""
    first = np.minimum(np.ceil(time - start).astype(int), seconds)
    source = np.repeat(np.arange(-1, len(time)), np.diff(first, prepend=0, append=seconds))
    # A sample holds until the next one; where that is too far, it holds for its own second.
    for sample in np.flatnonzero(np.diff(time) > gap_s):
        source[first[sample] + 1 : first[sample + 1]] = -1
    source[first[-1] + 1 :] = -1
    return source


def _held(columns: Mapping[str, np.ndarray], source: np.ndarray) -> dict[str, np.ndarray]:
    """Each column at each second, NaN in a gap."""
    gap = source < 0
    if len(source) == len(columns["speed_mps"]) and not gap.any():
        return dict(columns)
    held = {name: values[source] for name, values in columns.items()}
    if gap.any():
        for values in held.values():
            values[gap] = np.nan
    return held
