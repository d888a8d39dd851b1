"""FIT files: from decoded messages to legs and nights."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import pandas as pd

from taperback.errors import InputError
from taperback.importer.fit_clock import Clock, number, read_clock
from taperback.importer.fit_hr import hr_of_records
from taperback.importer.fit_messages import Messages, read_messages
from taperback.importer.fit_sessions import Span, read_spans
from taperback.importer.fit_sleep import read_sleeps
from taperback.importer.recording import (
    LAP_COLUMNS,
    LENGTH_COLUMNS,
    SAMPLE_COLUMNS,
    FileContent,
    Recording,
)
from taperback.notices import note
from taperback.resources import shared_toml

_SEMICIRCLE_DEG = 180 / 2**31
_NAN = float("nan")
_TIME = SAMPLE_COLUMNS.index("time_s")
_DISTANCE = SAMPLE_COLUMNS.index("distance_m")
_HEART_RATE = SAMPLE_COLUMNS.index("heart_rate_bpm")

# Kinds of FIT files that hold records which nobody trained.
_ROUTES = {"course", "segment", "segment_list"}
_HIGHEST_RPE = 10


@dataclass(frozen=True)
class _File:
    """What all legs of a file are cut from; times in Unix seconds.

    Attributes:
        clock: the file's.
        samples: columns `SAMPLE_COLUMNS`, shape (n, 9).
        hr_s, hr_bpm: heart rate from `hr` messages, shape (m,).
        pauses: (timer stopped, timer started), shape (k, 2).
        laps: columns `LAP_COLUMNS`, shape (k, 3). lengths: columns `LENGTH_COLUMNS`, shape (k, 3).
        thresholds: settings, by the names of `LegSummary.file_thresholds`.
    """

    clock: Clock
    samples: np.ndarray
    hr_s: np.ndarray
    hr_bpm: np.ndarray
    pauses: np.ndarray
    laps: np.ndarray
    lengths: np.ndarray
    thresholds: dict[str, float]


def read_fit(data: bytes) -> FileContent:
    """The legs and nights of one FIT file.

    Raises:
        InputError: nothing in the file can be used.
    """
    messages = read_messages(data)
    kinds = [str(message.get("type", "")) for message in messages.all("file_id")]
    if kinds and all(kind in _ROUTES for kind in kinds):
        raise InputError("it is a route to follow, not a training session", "it can be left out")
    clock = read_clock(messages)
    file = _File(
        clock=clock,
        samples=_samples(messages, clock),
        hr_s=clock.unix_s(messages.hr_time),
        hr_bpm=messages.hr_bpm,
        pauses=_pauses(messages, clock),
        laps=_laps(messages, clock),
        lengths=_lengths(messages, clock),
        thresholds=_thresholds(messages),
    )
    sleeps = read_sleeps(messages, clock)
    spans = read_spans(messages, clock, file.samples[:, _TIME], file.lengths)
    if not spans and not sleeps:
        raise _nothing(messages, kinds)
    recordings = tuple(_recording(file, span) for span in spans)
    return FileContent(recordings, sleeps, tuple(messages.remarks))


def _nothing(messages: Messages, kinds: list[str]) -> InputError:
    """Why a file gave neither a leg nor a night."""
    if np.isfinite(messages.records["timestamp"]).any():
        found = "its device did not know the date, and nothing else in it tells the day"
        return InputError(found, "it cannot be used")
    kind = next((kind for kind in kinds if kind), "")
    if kind and kind != "activity":
        found = f"it is a FIT file of kind {kind.replace('_', ' ')}, with no activity and no sleep"
        return InputError(found, "it can be left out")
    return InputError("it holds no activity and no sleep", "export the activity itself")


def _samples(messages: Messages, clock: Clock) -> np.ndarray:
    """All dated records as rows; columns `SAMPLE_COLUMNS`, shape (n, 9)."""
    raw = messages.records
    columns = {
        "time_s": clock.unix_s(raw["timestamp"]),
        "lat": raw["position_lat"] * _SEMICIRCLE_DEG,
        "lon": raw["position_long"] * _SEMICIRCLE_DEG,
        "altitude_m": _either(raw["enhanced_altitude"], raw["altitude"]),
        "distance_m": raw["distance"],
        "speed_mps": _either(raw["enhanced_speed"], raw["speed"]),
        "power_w": raw["power"],
        "heart_rate_bpm": raw["heart_rate"],
        "cadence_rpm": raw["cadence"] + np.nan_to_num(raw["fractional_cadence"]),
    }
    samples = np.column_stack([columns[name] for name in SAMPLE_COLUMNS])
    dated = np.isfinite(samples[:, _TIME])
    samples = samples if dated.all() else samples[dated]
    if not len(samples):
        return samples
    apart = np.abs(samples[:, _TIME] - np.median(samples[:, _TIME]))
    away = apart > shared_toml("limits.toml")["fit"]["far_away_s"]
    if not away.any():
        return samples
    found = f"{int(away.sum())} records are dated days away from the rest and were left out"
    messages.remarks.append(note("fit-far-away", found))
    return samples[~away]


def _either(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return np.where(np.isnan(first), second, first)


def _recording(file: _File, span: Span) -> Recording:
    session, start = span.session, span.start
    own = span.of(file.samples)
    end = _end(file.clock, span, own)
    timer = number(session, "total_timer_time")
    slack = shared_toml("limits.toml")["fit"]["timer_slack_s"]
    rpe = number(session, "workout_rpe") / 10
    return Recording(
        sport=_word(session, "sport"),
        sub_sport=_word(session, "sub_sport").removeprefix("generic"),
        start_utc=_utc(start),
        end_utc=_utc(end),
        samples=_frame(_with_hr(_own_distance(own, span), file, start, end), SAMPLE_COLUMNS),
        pauses=_within(file.pauses, start, end),
        lengths=_length_frame(span.of(file.lengths)),
        laps=_frame(span.of(file.laps), LAP_COLUMNS),
        utc_offset_s=file.clock.utc_offset_s,
        # Some devices count the timer on through a whole race; then it says nothing of one leg.
        total_timer_s=timer if timer <= end - start + slack else _NAN,
        total_distance_m=number(session, "total_distance"),
        total_ascent_m=number(session, "total_ascent"),
        pool_length_m=_pool_length_m(session, span.of(file.laps), span.of(file.lengths)),
        session_rpe=rpe if rpe <= _HIGHEST_RPE else _NAN,
        feel=number(session, "workout_feel"),
        thresholds=_session_threshold(session) | file.thresholds,
    )


def _frame(rows: np.ndarray, columns: tuple[str, ...]) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=list(columns))


def _length_frame(rows: np.ndarray) -> pd.DataFrame:
    frame = _frame(rows, LENGTH_COLUMNS)
    return frame.astype({"active": bool}) if len(rows) else frame


def _pool_length_m(session: dict[str, object], laps: np.ndarray, lengths: np.ndarray) -> float:
    """As the session says, else the usual distance of a lap over the lengths swum in it."""
    said = number(session, "pool_length")
    if said > 0 or not len(lengths):
        return said
    swum = lengths[lengths[:, 2] == 1, 0]
    counts = [np.count_nonzero((swum >= at) & (swum < at + seconds)) for at, seconds, _ in laps]
    each = [metres / count for metres, count in zip(laps[:, 2], counts, strict=True) if count]
    return float(np.nanmedian(each)) if np.isfinite(each).any() else _NAN


def _end(clock: Clock, span: Span, own: np.ndarray) -> float:
    """When the leg ended [Unix s]: its session's word or its last record, before the next leg."""
    said = span.start + float(np.nan_to_num(number(span.session, "total_elapsed_time")))
    stamp = clock.time(span.session, "timestamp")
    if stamp > span.start:
        # A session may be stamped hours later, when it was saved, or count on through a race.
        said = min(said, stamp)
    last = own[:, _TIME].max(initial=span.start)
    return float(min(max(said, last), span.until))


def _own_distance(own: np.ndarray, span: Span) -> np.ndarray:
    """Distance from the leg's own start, where the device counted on from the leg before.

    Where it starts again from nought a moment late, what stands before is the other leg's.
    """
    distance = own[:, _DISTANCE]
    if np.isinf(span.after) or not np.isfinite(distance).any():
        return own
    least = int(np.nanargmin(distance))
    moved = distance - distance[least]
    moved[:least][moved[:least] > 0] = np.nan
    own = own.copy()
    own[:, _DISTANCE] = moved
    return own


def _with_hr(own: np.ndarray, file: _File, start: float, end: float) -> np.ndarray:
    """The samples with heart rate from `hr` messages, which are the fuller of the two."""
    longest = shared_toml("limits.toml")["fit"]["far_away_s"]
    inside = (file.hr_s >= start - 1) & (file.hr_s <= min(end + 1, start + longest))
    if not inside.any():
        return own
    if len(own):
        own = own.copy()
    else:
        last = file.hr_s[inside].max()
        own = np.full((int(last - start) + 2, len(SAMPLE_COLUMNS)), _NAN)
        own[:, _TIME] = np.floor(start) + np.arange(len(own))
    merged = hr_of_records(own[:, _TIME], file.hr_s[inside], file.hr_bpm[inside])
    own[:, _HEART_RATE] = _either(merged, own[:, _HEART_RATE])
    return own


def _within(pauses: np.ndarray, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """The pauses as far as they lie in the leg."""
    cut = np.clip(pauses, start, end)
    return tuple((since, until) for since, until in cut[cut[:, 0] < cut[:, 1]].tolist())


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


def _lengths(messages: Messages, clock: Clock) -> np.ndarray:
    rows: list[tuple[float, ...]] = [
        (
            clock.time(message, "start_time"),
            number(message, "total_timer_time", "total_elapsed_time"),
            message.get("length_type") == "active",
        )
        for message in messages.all("length")
    ]
    return _rows_in_time(rows, len(LENGTH_COLUMNS))


def _laps(messages: Messages, clock: Clock) -> np.ndarray:
    rows: list[tuple[float, ...]] = [
        (
            clock.time(message, "start_time"),
            number(message, "total_timer_time"),
            number(message, "total_distance"),
        )
        for message in messages.all("lap")
    ]
    return _rows_in_time(rows, len(LAP_COLUMNS))


def _rows_in_time(rows: list[tuple[float, ...]], width: int) -> np.ndarray:
    """The rows that have a time in their first column, as an array of that width."""
    table = np.array(rows, float).reshape(-1, width)
    return table[np.isfinite(table[:, 0])]


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


def _session_threshold(session: dict[str, object]) -> dict[str, float]:
    """The threshold power that the session was recorded with."""
    power = number(session, "threshold_power")
    return {"critical_power_w": power} if power > 0 else {}


def _word(message: dict[str, object], name: str) -> str:
    value = message.get(name, "")
    return value if isinstance(value, str) else ""


def _utc(unix_s: float) -> datetime:
    return datetime.fromtimestamp(unix_s, tz=UTC)
