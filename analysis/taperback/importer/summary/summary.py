"""One leg in one row, so that its file need not be read again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import Any, TypeVar

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, note
from taperback.importer.local_day import zone_at
from taperback.importer.model import Bout, LegSummary
from taperback.importer.recording import SAMPLE_COLUMNS, Recording
from taperback.importer.sports import tells_a_place, trained_sport
from taperback.importer.summary.bouts import find_bouts
from taperback.importer.summary.channels import NO_CHANNELS, channel_summary, while_moving
from taperback.importer.summary.samples import Grid, clean
from taperback.importer.summary.time_moved import elapsed_s, moving_s, overran
from taperback.importer.summary.way import known_positions

T = TypeVar("T")
NAN = float("nan")
_NOWHERE = {"zone": ""} | dict.fromkeys(("start_lat", "start_lon", "end_lat", "end_lon"), NAN)


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
    sport = trained_sport(recording.sport, recording.sub_sport) or "generic"
    recording = replace(recording, sport=sport)
    grid = clean(recording)
    moving, remarks = moving_s(recording, grid)
    attempt = _Attempts()
    no_bouts: tuple[Bout, ...] = ()
    channels = attempt("speed, power and heart rate", partial(channel_summary, grid), NO_CHANNELS)
    bouts = attempt("repetitions", partial(find_bouts, recording, grid), no_bouts)
    ascent_m = attempt("ascent", partial(_ascent_m, recording, grid), NAN)
    said = (*recording.remarks, *remarks, *attempt.remarks)
    return LegSummary(
        file=file,
        digest=digest,
        leg_index=place[0],
        legs_in_file=place[1],
        file_format=file_format,
        sport=sport,
        sub_sport=recording.sub_sport,
        start_utc=datetime.fromtimestamp(grid.start_s, tz=UTC),
        file_utc_offset_s=recording.utc_offset_s,
        elapsed_s=elapsed_s(recording, grid),
        moving_s=moving,
        distance_m=_distance_m(recording, grid),
        ascent_m=ascent_m,
        **channels,
        bouts=bouts,
        pool_length_m=recording.pool_length_m,
        **_places(recording),
        session_rpe=recording.session_rpe,
        feel=recording.feel,
        file_thresholds=dict(recording.thresholds),
        removed_s=grid.removed_s,
        damaged=recording.damaged or overran(recording, grid),
        remarks=tuple(remark.at(file) for remark in said),
    )


class _Attempts:
    """Values worked out one by one: what goes wrong costs that value, and never the leg."""

    def __init__(self) -> None:
        self.remarks: list[Notice] = []

    def __call__(self, what: str, work: Callable[[], T], instead: T) -> T:
        try:
            return work()
        except Exception as error:
            found = f"its {what} could not be worked out ({type(error).__name__})"
            self.remarks.append(note("value-lost", found, "the rest of it is used"))
            return instead


def _places(recording: Recording) -> dict[str, Any]:
    """The columns that positions give, by name; NaN and an empty zone where there is none.

    Positions of a simulator, or under a roof, say nothing of where the athlete was.
    """
    samples = recording.samples.to_numpy(float)
    lat, lon = (samples[:, SAMPLE_COLUMNS.index(name)] for name in ("lat", "lon"))
    fixed = known_positions(lat, lon)
    if not len(fixed) or not tells_a_place(recording.sub_sport):
        return _NOWHERE
    first, last = fixed[0], fixed[-1]
    return {
        "zone": zone_at(float(lat[first]), float(lon[first])),
        "start_lat": float(lat[first]),
        "start_lon": float(lon[first]),
        "end_lat": float(lat[last]),
        "end_lon": float(lon[last]),
    }


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
