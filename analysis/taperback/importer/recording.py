"""What an activity file says, before anything is made of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

import pandas as pd

from taperback.common.notices import Notice

SAMPLE_COLUMNS = (
    "time_s",
    "lat",
    "lon",
    "altitude_m",
    "distance_m",
    "speed_mps",
    "power_w",
    "heart_rate_bpm",
    "cadence_rpm",
)
"""Columns of `Recording.samples`, all float64, NaN where the file gives nothing: Unix time in UTC
[s], decimal degrees (WGS84), metres above sea level, metres from the start as the device counts
them, m/s, W, bpm, and revolutions or stride pairs a minute."""

LENGTH_COLUMNS = ("start_s", "duration_s", "active")
"""Columns of `Recording.lengths`: Unix time of the start [s], timer time [s], whether it was swum
(True) or rested (False); one row a pool length."""

LAP_COLUMNS = ("start_s", "duration_s", "distance_m")
"""Columns of `Recording.laps`: Unix time of the start [s], timer time [s], metres (NaN unknown)."""


def _empty(columns: tuple[str, ...]) -> pd.DataFrame:
    return pd.DataFrame(columns=list(columns), dtype=float)


@dataclass(frozen=True)
class Recording:
    """One leg as its file tells it; nothing is cleaned, filled or converted beyond units.

    Attributes:
        sport, sub_sport: names of the FIT profile; empty where the file does not say.
        start_utc, end_utc: timezone-aware, UTC.
        samples: columns `SAMPLE_COLUMNS`, in the file's order.
        pauses: (from, to) in Unix seconds, where the timer was stopped.
        lengths: columns `LENGTH_COLUMNS`, one row a pool length; empty outside a pool.
        laps: columns `LAP_COLUMNS`.
        utc_offset_s: offset of the local clock that the file gives, if plausible, else NaN.
        total_timer_s, total_distance_m, total_ascent_m: the device's own totals, NaN if absent.
        pool_length_m, session_rpe, feel: NaN if absent; RPE is CR-10 (0-10), feel 0-100.
        thresholds: settings found in the file, named as in `LegSummary.file_thresholds`.
        damaged: whether its file broke off within it, so that a sound copy says more.
        remarks: what the reader noticed; their file name is added by the caller.
    """

    sport: str
    sub_sport: str
    start_utc: datetime
    end_utc: datetime
    samples: pd.DataFrame
    pauses: tuple[tuple[float, float], ...] = ()
    lengths: pd.DataFrame = field(default_factory=lambda: _empty(LENGTH_COLUMNS))
    laps: pd.DataFrame = field(default_factory=lambda: _empty(LAP_COLUMNS))
    utc_offset_s: float = float("nan")
    total_timer_s: float = float("nan")
    total_distance_m: float = float("nan")
    total_ascent_m: float = float("nan")
    pool_length_m: float = float("nan")
    session_rpe: float = float("nan")
    feel: float = float("nan")
    thresholds: Mapping[str, float] = field(default_factory=dict)
    damaged: bool = False
    remarks: tuple[Notice, ...] = ()


@dataclass(frozen=True)
class SleepRecord:
    """One stretch of sleep as a file tells it.

    Attributes:
        start_utc, end_utc: falling asleep and waking, UTC.
        asleep_s: time in any sleep stage [s], waking time inside it left out.
        utc_offset_s: offset of the local clock, NaN where the file does not give it.
    """

    start_utc: datetime
    end_utc: datetime
    asleep_s: float
    utc_offset_s: float = float("nan")


@dataclass(frozen=True)
class FileContent:
    """Everything a reader got out of one file's bytes. Readers are functions
    `read_fit(data: bytes) -> FileContent`, `read_tcx`, `read_gpx`, `read_sleep_json`; they raise
    `InputError` where nothing can be used."""

    recordings: tuple[Recording, ...]
    sleeps: tuple[SleepRecord, ...] = ()
    remarks: tuple[Notice, ...] = ()
