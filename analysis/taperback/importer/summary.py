"""One leg in one row, so that its file need not be read again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from taperback.importer.bouts import find_bouts
from taperback.importer.model import (
    BEST_DURATIONS_S,
    HEART_RATE_BIN_BPM,
    POWER_BIN_W,
    SPEED_BIN_MPS,
    LegSummary,
)
from taperback.importer.place import zone_at
from taperback.importer.recording import SAMPLE_COLUMNS, Recording
from taperback.importer.samples import Grid, clean
from taperback.importer.speed import known_positions
from taperback.notices import Notice, note
from taperback.resources import shared_toml

NAN = float("nan")

SUMMARY_VERSION = 1
"""Rises whenever the same file would give another summary, so that stored ones are made anew."""


def summarise(
    recording: Recording, *, file: str, digest: str, place: tuple[int, int], file_format: str
) -> LegSummary:
    """The leg as one row.

    Args:
        recording: what the file says.
        file: path relative to the athlete's folder.
        digest: SHA-256 of the file's bytes, in hex.
        place: (0-based index of the leg, legs in the file).
        file_format: `fit`, `tcx` or `gpx`.

    Raises:
        InputError: the recording makes no sense.
    """
    grid = clean(recording)
    start, end = _ends(recording)
    power, rate = (_moving(grid, name) for name in ("power_w", "heart_rate_bpm"))
    moving_s, remarks = _moving_s(recording, grid)
    return LegSummary(
        file=file,
        digest=digest,
        leg_index=place[0],
        legs_in_file=place[1],
        file_format=file_format,
        sport=recording.sport or "generic",
        sub_sport=recording.sub_sport,
        start_utc=datetime.fromtimestamp(grid.start_s, tz=UTC),
        file_utc_offset_s=recording.utc_offset_s,
        zone=zone_at(*start),
        elapsed_s=_elapsed_s(recording, grid),
        moving_s=moving_s,
        distance_m=_distance_m(recording, grid),
        ascent_m=_ascent_m(recording, grid),
        power_seconds=_seconds_per_bin(power, POWER_BIN_W),
        heart_rate_seconds=_seconds_per_bin(rate, HEART_RATE_BIN_BPM),
        speed_seconds=_seconds_per_bin(_moving(grid, "speed_mps"), SPEED_BIN_MPS),
        best_power_w=_best_means(power),
        best_speed_mps=_best_means(_moving(grid, "speed_mps")),
        mean_heart_rate_bpm=_mean(rate),
        max_heart_rate_bpm=float(np.nanmax(rate)) if np.isfinite(rate).any() else np.nan,
        mean_power_w=_mean(power),
        half_speed_mps=_halves(grid, "speed_mps"),
        half_power_w=_halves(grid, "power_w"),
        half_heart_rate_bpm=_halves(grid, "heart_rate_bpm"),
        bouts=find_bouts(recording, grid),
        pool_length_m=recording.pool_length_m,
        start_lat=start[0],
        start_lon=start[1],
        end_lat=end[0],
        end_lon=end[1],
        session_rpe=recording.session_rpe,
        feel=recording.feel,
        file_thresholds=dict(recording.thresholds),
        removed_s=grid.removed_s,
        remarks=tuple(replace(remark, file=file) for remark in (*recording.remarks, *remarks)),
    )


def _moving(grid: Grid, channel: str) -> np.ndarray:
    """A channel over the grid, NaN where the second does not count as training."""
    return np.where(grid.moving, getattr(grid, channel), np.nan)


def _ends(recording: Recording) -> tuple[tuple[float, float], tuple[float, float]]:
    """(latitude, longitude) of the first and the last position, NaN where there is none."""
    samples = recording.samples.to_numpy(float)
    lat, lon = (samples[:, SAMPLE_COLUMNS.index(name)] for name in ("lat", "lon"))
    fixed = known_positions(lat, lon)
    if not len(fixed):
        return (NAN, NAN), (NAN, NAN)
    first, last = ((float(lat[at]), float(lon[at])) for at in (fixed[0], fixed[-1]))
    return first, last


def _elapsed_s(recording: Recording, grid: Grid) -> float:
    """From start to end; the samples tell where the stated end makes no sense."""
    stated = recording.end_utc.timestamp() - grid.start_s
    return stated if len(grid.moving) <= stated <= _longest_s() else float(len(grid.moving))


def _moving_s(recording: Recording, grid: Grid) -> tuple[float, tuple[Notice, ...]]:
    """Seconds of training, and a remark where the device's timer had to tell them.

    It does where the file holds samples of less than half of the time that the timer ran.
    """
    seconds = float(np.count_nonzero(grid.moving))
    timer = recording.total_timer_s
    share = shared_toml("limits.toml")["cleaning"]["least_recorded_share"]
    recorded = len(grid.moving) - grid.removed_s.get("recording gap", 0.0)
    if not 0 < timer <= _longest_s() or recorded >= share * timer:
        return seconds if len(grid.moving) else NAN, ()
    found = f"it records {recorded / 60:.0f} of {timer / 60:.0f} minutes; its timer was believed"
    return timer, (note("few-samples", found),) if recorded else ()


def _longest_s() -> float:
    return shared_toml("limits.toml")["cleaning"]["longest_s"]


def _distance_m(recording: Recording, grid: Grid) -> float:
    """The device's total, else how far its own distance ran, else lengths or speed added up."""
    if recording.total_distance_m > 0:
        return recording.total_distance_m
    known = grid.distance_m[np.isfinite(grid.distance_m)]
    if len(known) and known.max() > known.min():
        return float(known.max() - known.min())
    swum = np.count_nonzero(recording.lengths["active"].to_numpy(bool))
    if swum and recording.pool_length_m > 0:
        return float(swum * recording.pool_length_m)
    speed = _moving(grid, "speed_mps")
    return float(np.nansum(speed)) if np.isfinite(speed).any() else NAN


def _ascent_m(recording: Recording, grid: Grid) -> float:
    """The device's total, else climbs of the heights averaged over a short window."""
    if np.isfinite(recording.total_ascent_m):
        return recording.total_ascent_m
    known = grid.altitude_m[np.isfinite(grid.altitude_m)]
    window = shared_toml("limits.toml")["cleaning"]["ascent_window_s"]
    if len(known) < 2 * window:
        return NAN
    smooth = np.convolve(known, np.ones(window) / window, "valid")
    return float(np.maximum(np.diff(smooth), 0.0).sum())


def _seconds_per_bin(values: np.ndarray, width: float) -> np.ndarray | None:
    """Seconds per bin of that width from nought, None where nothing was measured."""
    known = values[np.isfinite(values)]
    # a hair is added so that 3.50 m/s falls on its own bin and not, by rounding, on the one below
    bins = (known / width + 1e-9).astype(np.int64)
    return np.bincount(bins).astype(np.int32) if len(known) else None


def _best_means(values: np.ndarray) -> np.ndarray:
    """Best mean over each of `BEST_DURATIONS_S`; shape (17,), NaN where too short.

    A window counts where nearly all of its seconds were measured; its mean is over those.
    """
    share = shared_toml("limits.toml")["cleaning"]["best_known_share"]
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
    return np.array([_mean(values[:middle]), _mean(values[middle:])])


def _mean(values: np.ndarray) -> float:
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else NAN
