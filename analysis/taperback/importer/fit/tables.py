"""A FIT file's messages as tables in real time, from which its legs are cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import note
from taperback.importer.fit.clock import Clock
from taperback.importer.fit.messages import Messages, number
from taperback.importer.recording import SAMPLE_COLUMNS

TIME = SAMPLE_COLUMNS.index("time_s")
DISTANCE = SAMPLE_COLUMNS.index("distance_m")
HEART_RATE = SAMPLE_COLUMNS.index("heart_rate_bpm")

_SEMICIRCLE_DEG = 180 / 2**31
_NAN = float("nan")


@dataclass(frozen=True)
class Tables:
    """Tables of what a file holds, times in Unix seconds.

    Attributes:
        samples: columns `SAMPLE_COLUMNS`, shape (n, 9).
        hr_s, hr_bpm: heart rate from `hr` messages, shape (m,).
        pauses: (timer stopped, timer started), shape (k, 2).
        laps: columns `LAP_COLUMNS`, shape (k, 3). lengths: columns `LENGTH_COLUMNS`, shape (k, 3).
        thresholds: settings, by the names of `LegSummary.file_thresholds`.
    """

    samples: np.ndarray
    hr_s: np.ndarray
    hr_bpm: np.ndarray
    pauses: np.ndarray
    laps: np.ndarray
    lengths: np.ndarray
    thresholds: dict[str, float]


def read_tables(messages: Messages, clock: Clock) -> Tables:
    """The tables of one file; records that are left out add a remark."""
    return Tables(
        samples=_samples(messages, clock),
        hr_s=clock.unix_s(messages.hr_time),
        hr_bpm=messages.hr_bpm,
        pauses=_pauses(messages, clock),
        laps=_timed(
            (
                clock.time(lap, "start_time"),
                number(lap, "total_timer_time"),
                number(lap, "total_distance"),
            )
            for lap in messages.all("lap")
        ),
        lengths=_timed(
            (
                clock.time(length, "start_time"),
                number(length, "total_timer_time", "total_elapsed_time"),
                length.get("length_type") == "active",
            )
            for length in messages.all("length")
        ),
        thresholds=_thresholds(messages),
    )


def _samples(messages: Messages, clock: Clock) -> np.ndarray:
    """All dated records as rows; columns `SAMPLE_COLUMNS`, shape (n, 9)."""
    raw = messages.records
    columns = {
        "time_s": clock.unix_s(raw["timestamp"]),
        "lat": raw["position_lat"] * _SEMICIRCLE_DEG,
        "lon": raw["position_long"] * _SEMICIRCLE_DEG,
        "altitude_m": either(raw["enhanced_altitude"], raw["altitude"]),
        "distance_m": raw["distance"],
        "speed_mps": either(raw["enhanced_speed"], raw["speed"]),
        "power_w": raw["power"],
        "heart_rate_bpm": raw["heart_rate"],
        "cadence_rpm": raw["cadence"] + np.nan_to_num(raw["fractional_cadence"]),
    }
    samples = np.column_stack([columns[name] for name in SAMPLE_COLUMNS])
    dated = np.isfinite(samples[:, TIME])
    return _together(samples if dated.all() else samples[dated], messages, clock)


def _together(samples: np.ndarray, messages: Messages, clock: Clock) -> np.ndarray:
    """The samples without those that a broken clock dates days away from the rest."""
    if not len(samples):
        return samples
    limits, time = LIMITS.fit, samples[:, TIME]
    near = np.abs(time - np.median(time)) <= limits.far_away_s
    if near.all():
        return samples
    # Records within a session stay, as those of a chained file of another day do.
    for session in messages.all("session")[: limits.most_sessions]:
        start = clock.time(session, "start_time")
        end = start + number(session, "total_elapsed_time") + limits.timer_slack_s
        near |= (time >= start) & (time <= end)
    if away := int(np.count_nonzero(~near)):
        found = f"{away} records are dated days away from the rest and were left out"
        messages.remarks.append(note("fit-far-away", found))
    kept: np.ndarray = samples[near]
    return kept


def either(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """The first where it is not NaN, else the second; shape (n,)."""
    return np.where(np.isnan(first), second, first)


def _pauses(messages: Messages, clock: Clock) -> np.ndarray:
    """Stretches between a timer's stop and its next start, shape (k, 2)."""
    pauses, stopped = [], _NAN
    for event in messages.all("event"):
        if event.get("event") != "timer":
            continue
        time = clock.time(event, "timestamp")
        if str(event.get("event_type", "")).startswith("stop"):
            stopped = time if np.isnan(stopped) else stopped
        elif event.get("event_type") == "start":
            if time > stopped:
                pauses.append((stopped, time))
            stopped = _NAN
    return np.array(pauses, float).reshape(-1, 2)


def _timed(rows: Iterable[tuple[float, float, float]]) -> np.ndarray:
    """The rows that have a time in their first column, shape (k, 3)."""
    table = np.array(list(rows), float).reshape(-1, 3)
    timed: np.ndarray = table[np.isfinite(table[:, 0])]
    return timed


def _thresholds(messages: Messages) -> dict[str, float]:
    """Settings that the file carries, by the names of `LegSummary.file_thresholds`."""
    names = {
        "functional_threshold_power": "critical_power_w",
        "threshold_heart_rate": "second_threshold_heart_rate_bpm",
        "max_heart_rate": "max_heart_rate_bpm",
        "default_max_heart_rate": "max_heart_rate_bpm",
        "resting_heart_rate": "resting_heart_rate_bpm",
    }
    found: dict[str, float] = {}
    for message in (*messages.all("zones_target"), *messages.all("user_profile")):
        for name, ours in names.items():
            if number(message, name) > 0:
                found.setdefault(ours, number(message, name))
    return found
