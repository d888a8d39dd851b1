"""FIT files: from decoded messages to legs and nights."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pandas as pd

from taperback.errors import InputError
from taperback.importer.fit_messages import Messages, read_messages
from taperback.importer.recording import (
    LAP_COLUMNS,
    LENGTH_COLUMNS,
    SAMPLE_COLUMNS,
    FileContent,
    Recording,
    SleepRecord,
)
from taperback.notices import Notice, note

FIT_EPOCH_S = 631_065_600
"""1989-12-31T00:00:00Z, the start of FIT time, in Unix seconds (FIT profile, type date_time)."""
FIRST_REAL_TIME = 0x10000000
"""FIT times below this count seconds since the device was switched on (FIT profile, date_time)."""

_SEMICIRCLE_DEG = 180 / 2**31
_FAR_AWAY_S = 3 * 86_400
_LONGEST_OFFSET_S = 14 * 3600
_NAN = float("nan")
_ASLEEP = {"light", "deep", "rem"}
_LONGEST_WAKING_S = 3 * 3600


def read_fit(data: bytes) -> FileContent:
    """The legs and nights of one FIT file.

    Raises:
        InputError: nothing in the file can be used.
    """
    messages = read_messages(data)
    remarks = list(messages.remarks)
    samples = _samples(messages, remarks)
    sleeps = _sleeps(messages)
    sessions = _sessions(messages, samples)
    if not sessions and not sleeps:
        raise InputError("it holds no activity and no sleep", "export the activity itself")
    offset_s = _utc_offset_s(messages)
    recordings = tuple(
        _recording(messages, samples, sessions, place, offset_s) for place in range(len(sessions))
    )
    return FileContent(recordings, sleeps, tuple(remarks))


def _samples(messages: Messages, remarks: list[Notice]) -> pd.DataFrame:
    """All records as samples, dated and in time that runs on; columns `SAMPLE_COLUMNS`."""
    raw = messages.records
    time = raw["timestamp"] + FIT_EPOCH_S + _clock_shift_s(messages)
    columns = {
        "time_s": time,
        "lat": raw["position_lat"] * _SEMICIRCLE_DEG,
        "lon": raw["position_long"] * _SEMICIRCLE_DEG,
        "altitude_m": _either(raw["enhanced_altitude"], raw["altitude"]),
        "distance_m": raw["distance"],
        "speed_mps": _either(raw["enhanced_speed"], raw["speed"]),
        "power_w": raw["power"],
        "heart_rate_bpm": raw["heart_rate"],
        "cadence_rpm": raw["cadence"] + np.nan_to_num(raw["fractional_cadence"]),
    }
    samples = pd.DataFrame(columns, columns=list(SAMPLE_COLUMNS))
    samples = samples[np.isfinite(time)]
    if len(samples):
        away = (samples["time_s"] - samples["time_s"].median()).abs() > _FAR_AWAY_S
        if away.any():
            found = f"{int(away.sum())} records are dated days away from the rest and were left out"
            remarks.append(note("fit-far-away", found))
            samples = samples[~away]
    return samples.reset_index(drop=True)


def _either(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return np.where(np.isnan(first), second, first)


def _clock_shift_s(messages: Messages) -> float:
    """What turns a device's own clock into FIT time: the activity is stamped with both."""
    times = messages.records["timestamp"]
    stamps = [_get(m, "timestamp") for m in messages.all("activity")]
    real = [stamp for stamp in stamps if stamp >= FIRST_REAL_TIME]
    if not real or not len(times) or np.nanmax(times, initial=0) >= FIRST_REAL_TIME:
        return 0.0
    return real[-1] - float(np.nanmax(times))


def _sessions(messages: Messages, samples: pd.DataFrame) -> list[dict[str, object]]:
    """Session messages in order of start; one made from the records where the file has none."""
    sessions = []
    for session in messages.all("session"):
        start = _get(session, "start_time")
        if np.isnan(start):
            start = _get(session, "timestamp") - _get(session, "total_elapsed_time")
        if start >= FIRST_REAL_TIME:
            sessions.append(session | {"start": start + FIT_EPOCH_S})
    if sessions:
        return sorted(sessions, key=lambda session: float(str(session["start"])))
    if not len(samples):
        return []
    named = messages.all("sport") or messages.all("lap") or [{}]
    first = float(samples["time_s"].min())
    return [{"start": first, "sport": named[0].get("sport", "")}]


def _recording(
    messages: Messages,
    samples: pd.DataFrame,
    sessions: list[dict[str, object]],
    place: int,
    offset_s: float,
) -> Recording:
    session = sessions[place]
    start = _get(session, "start")
    until = _get(sessions[place + 1], "start") if place + 1 < len(sessions) else np.inf
    after = start if place else -np.inf
    own = samples[(samples["time_s"] >= after) & (samples["time_s"] < until)]
    own = _own_distance(own.reset_index(drop=True), first=place == 0)
    elapsed = _get(session, "total_elapsed_time")
    ends = [start, start + elapsed if np.isfinite(elapsed) else start, *own["time_s"].tail(1)]
    end = min(max(ends), until)
    timer = _get(session, "total_timer_time")
    return Recording(
        sport=_word(session, "sport"),
        sub_sport=_word(session, "sub_sport").removeprefix("generic"),
        start_utc=_utc(start),
        end_utc=_utc(end),
        samples=_with_hr(own, messages, start, end),
        pauses=_pauses(messages, start, end),
        lengths=_lengths(messages, after, until),
        laps=_laps(messages, after, until),
        utc_offset_s=offset_s,
        # Some devices count the timer on through a whole race; then it says nothing of one leg.
        total_timer_s=timer if timer <= end - start + 60 else _NAN,
        total_distance_m=_get(session, "total_distance"),
        total_ascent_m=_get(session, "total_ascent"),
        pool_length_m=_get(session, "pool_length"),
        session_rpe=_get(session, "workout_rpe") / 10,
        feel=_get(session, "workout_feel"),
        thresholds=_thresholds(messages),
    )


def _own_distance(samples: pd.DataFrame, *, first: bool) -> pd.DataFrame:
    """Distance from the leg's own start, where the device counted on from the leg before."""
    known = samples["distance_m"].dropna()
    if first or known.empty:
        return samples
    return samples.assign(distance_m=samples["distance_m"] - known.iloc[0])


def _with_hr(samples: pd.DataFrame, messages: Messages, start: float, end: float) -> pd.DataFrame:
    """The samples with heart rate from `hr` messages, where the records have none."""
    time = messages.hr_time + FIT_EPOCH_S
    inside = (time >= start) & (time <= end)
    if not inside.any() or samples["heart_rate_bpm"].notna().any():
        return samples
    apart = pd.DataFrame(
        {"time_s": np.floor(time[inside]), "heart_rate_bpm": messages.hr_bpm[inside]}
    )
    apart = apart.groupby("time_s", as_index=False).mean()
    merged = samples.drop(columns="heart_rate_bpm").merge(apart, on="time_s", how="outer")
    return merged.sort_values("time_s", ignore_index=True)[list(SAMPLE_COLUMNS)]


def _pauses(messages: Messages, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """Stretches between a timer's stop and its next start that touch the leg."""
    pauses, stopped = [], _NAN
    for event in messages.all("event"):
        if event.get("event") != "timer":
            continue
        time = _get(event, "timestamp") + FIT_EPOCH_S
        if str(event.get("event_type", "")).startswith("stop"):
            stopped = time if np.isnan(stopped) else stopped
        elif event.get("event_type") == "start":
            if time > stopped and stopped < end and time > start:
                pauses.append((max(stopped, start), min(time, end)))
            stopped = _NAN
    return tuple(pauses)


def _lengths(messages: Messages, after: float, until: float) -> pd.DataFrame:
    rows = [
        (start, _get(message, "total_timer_time"), message.get("length_type") == "active")
        for message in messages.all("length")
        if after <= (start := _get(message, "start_time") + FIT_EPOCH_S) < until
    ]
    return pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))


def _laps(messages: Messages, after: float, until: float) -> pd.DataFrame:
    rows = [
        (start, _get(message, "total_timer_time"), _get(message, "total_distance"))
        for message in messages.all("lap")
        if after <= (start := _get(message, "start_time") + FIT_EPOCH_S) < until
    ]
    return pd.DataFrame(rows, columns=list(LAP_COLUMNS), dtype=float)


def _utc_offset_s(messages: Messages) -> float:
    """The local clock's offset, believed only within 14 h and on a quarter hour."""
    for activity in messages.all("activity"):
        offset = _get(activity, "local_timestamp") - _get(activity, "timestamp")
        if abs(offset) <= _LONGEST_OFFSET_S and offset % 900 == 0:
            return offset
    return _NAN


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
            if _get(message, name) > 0:
                found.setdefault(ours, _get(message, name))
    return found


def _sleeps(messages: Messages) -> tuple[SleepRecord, ...]:
    """Stretches of sleep; a level holds until the next one, hours awake end a stretch."""
    levels = sorted(
        (_get(message, "timestamp") + FIT_EPOCH_S, str(message.get("sleep_level", "")))
        for message in messages.all("sleep_level")
        if np.isfinite(_get(message, "timestamp"))
    )
    sleeps, start, asleep = [], _NAN, 0.0
    for (time, level), (after, _) in pairwise(levels):
        start = time if np.isnan(start) else start
        sleeping = level in _ASLEEP
        gap = not sleeping and after - time > _LONGEST_WAKING_S
        asleep += after - time if sleeping else 0.0
        if gap or after == levels[-1][0]:
            sleeps.append(SleepRecord(_utc(start), _utc(time if gap else after), asleep))
            start, asleep = _NAN, 0.0
    return tuple(sleep for sleep in sleeps if sleep.asleep_s > 0)


def _get(message: dict[str, object], name: str) -> float:
    """The number of that name, NaN where the message does not have it."""
    value = message.get(name)
    return float(value) if isinstance(value, (int, float)) else _NAN


def _word(message: dict[str, object], name: str) -> str:
    value = message.get(name, "")
    return value if isinstance(value, str) else ""


def _utc(unix_s: float) -> datetime:
    return datetime.fromtimestamp(unix_s, tz=UTC)
