"""One leg in one row, so that its file need not be read again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.local_day import zone_at
from taperback.importer.model import LegSummary
from taperback.importer.recording import SAMPLE_COLUMNS, Recording
from taperback.importer.summary.bouts import find_bouts
from taperback.importer.summary.channels import channel_summary, while_moving
from taperback.importer.summary.samples import Grid, clean
from taperback.importer.summary.time_moved import elapsed_s, moving_s
from taperback.importer.summary.way import known_positions

NAN = float("nan")


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
    moving, remarks = moving_s(recording, grid)
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
        elapsed_s=elapsed_s(recording, grid),
        moving_s=moving,
        distance_m=_distance_m(recording, grid),
        ascent_m=_ascent_m(recording, grid),
        **channel_summary(grid),
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


def _ends(recording: Recording) -> tuple[tuple[float, float], tuple[float, float]]:
    """(latitude, longitude) of the first and the last position, NaN where there is none."""
    samples = recording.samples.to_numpy(float)
    lat, lon = (samples[:, SAMPLE_COLUMNS.index(name)] for name in ("lat", "lon"))
    fixed = known_positions(lat, lon)
    if not len(fixed):
        return (NAN, NAN), (NAN, NAN)
    first, last = ((float(lat[at]), float(lon[at])) for at in (fixed[0], fixed[-1]))
    return first, last


def _distance_m(recording: Recording, grid: Grid) -> float:
    """The device's total, else pool lengths, else the way, else speed added up."""
    if recording.total_distance_m > 0:
        return recording.total_distance_m
    swum = np.count_nonzero(recording.lengths["active"].to_numpy(bool))
    if swum and recording.pool_length_m > 0:
        return float(swum * recording.pool_length_m)
    if np.isfinite(grid.way_m):
        return grid.way_m
    speed = while_moving(grid, "speed_mps")
    return float(np.nansum(speed)) if np.isfinite(speed).any() else NAN


def _ascent_m(recording: Recording, grid: Grid) -> float:
    """The device's total, else climbs of the heights averaged over a short window."""
    if np.isfinite(recording.total_ascent_m):
        return recording.total_ascent_m
    known = grid.altitude_m[np.isfinite(grid.altitude_m)]
    window = LIMITS.cleaning.ascent_window_s
    if len(known) < 2 * window:
        return NAN
    smooth = np.convolve(known, np.ones(window) / window, "valid")
    return float(np.maximum(np.diff(smooth), 0.0).sum())
