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
from taperback.importer.fit_sleep import read_sleeps
from taperback.importer.recording import (
    LAP_COLUMNS,
    LENGTH_COLUMNS,
    SAMPLE_COLUMNS,
    FileContent,
    Recording,
)
from taperback.notices import Notice, note
from taperback.resources import shared_toml

_SEMICIRCLE_DEG = 180 / 2**31
_NAN = float("nan")
_TIME = SAMPLE_COLUMNS.index("time_s")
_DISTANCE = SAMPLE_COLUMNS.index("distance_m")
_HEART_RATE = SAMPLE_COLUMNS.index("heart_rate_bpm")

# Kinds of FIT files that hold records which nobody trained: routes to follow.
_ROUTES = {"course", "segment", "segment_list"}
_HIGHEST_RPE = 10


@dataclass(frozen=True)
class _Span:
    """What a session message says, and the stretch of time that its leg may have."""

    session: dict[str, object]
    start: float
    after: float
    until: float


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
    remarks = messages.remarks
    samples = _samples(messages, clock, remarks)
    sleeps = read_sleeps(messages, clock)
    spans = _spans(messages, clock, samples, remarks)
    if not spans and not sleeps:
        raise _nothing(messages, kinds)
    thresholds = _thresholds(messages)
    recordings = tuple(_recording(messages, clock, samples, span, thresholds) for span in spans)
    return FileContent(recordings, sleeps, tuple(remarks))


def _nothing(messages: Messages, kinds: list[str]) -> InputError:
    """Why a file gave neither a leg nor a night."""
    if len(messages.records["timestamp"]) and np.isfinite(messages.records["timestamp"]).any():
        found = "its device did not know the date, and nothing else in it tells the day"
        return InputError(found, "it cannot be used")
    kind = next((kind for kind in kinds if kind), "")
    if kind and kind != "activity":
        found = f"it is a FIT file of kind {kind.replace('_', ' ')}, with no activity and no sleep"
        return InputError(found, "it can be left out")
    return InputError("it holds no activity and no sleep", "export the activity itself")


def _samples(messages: Messages, clock: Clock, remarks: list[Notice]) -> np.ndarray:
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
    if len(samples):
        apart = np.abs(samples[:, _TIME] - np.median(samples[:, _TIME]))
        away = apart > shared_toml("limits.toml")["fit"]["far_away_s"]
        if away.any():
            found = f"{int(away.sum())} records are dated days away from the rest and were left out"
            remarks.append(note("fit-far-away", found))
            samples = samples[~away]
    return samples


def _either(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return np.where(np.isnan(first), second, first)


def _spans(
    messages: Messages, clock: Clock, samples: np.ndarray, remarks: list[Notice]
) -> list[_Span]:
    """The legs in order of start; one made from the records where the file has no session."""
    sessions = _dated_sessions(messages, clock, samples, remarks)
    if not sessions and len(samples):
        named = messages.all("sport") or messages.all("lap") or [{}]
        sessions = {float(samples[:, _TIME].min()): _sport_of(named[0])}
    starts = sorted(sessions)
    return [
        _Span(
            session=sessions[start],
            start=start,
            after=start if place else -np.inf,
            until=starts[place + 1] if place + 1 < len(starts) else np.inf,
        )
        for place, start in enumerate(starts)
    ]


def _sport_of(message: dict[str, object]) -> dict[str, object]:
    return {name: message.get(name, "") for name in ("sport", "sub_sport")}


def _dated_sessions(
    messages: Messages, clock: Clock, samples: np.ndarray, remarks: list[Notice]
) -> dict[float, dict[str, object]]:
    """Start in Unix seconds -> session; the later of two that start together is kept."""
    sessions: dict[float, dict[str, object]] = {}
    for session in messages.all("session"):
        start = clock.time(session, "start_time")
        if np.isnan(start):
            start = clock.time(session, "timestamp") - number(session, "total_elapsed_time")
        start = _believed(start, samples, remarks)
        if np.isfinite(start):
            sessions[start] = session
    if len(sessions) > 1:
        # Some devices write a session around the legs, too.
        legs = {at: s for at, s in sessions.items() if s.get("sport") != "multisport"}
        return legs or sessions
    return sessions


def _believed(start: float, samples: np.ndarray, remarks: list[Notice]) -> float:
    """A session's start, or its first record's time where the start is days off."""
    if not len(samples) or np.isnan(start):
        return start
    first, last = samples[:, _TIME].min(), samples[:, _TIME].max()
    far = shared_toml("limits.toml")["fit"]["session_far_away_s"]
    if first - far <= start <= last + far:
        return start
    found = "its session is dated days away from its records; their time was used"
    remarks.append(note("fit-session-date", found))
    return float(first)


def _recording(
    messages: Messages,
    clock: Clock,
    samples: np.ndarray,
    span: _Span,
    thresholds: dict[str, float],
) -> Recording:
    session, start = span.session, span.start
    time = samples[:, _TIME]
    own = samples[(time >= span.after) & (time < span.until)]
    end = _end(clock, span, own)
    own = _with_hr(_own_distance(own, span), messages, clock, start, end)
    timer = number(session, "total_timer_time")
    slack = shared_toml("limits.toml")["fit"]["timer_slack_s"]
    rpe = number(session, "workout_rpe") / 10
    return Recording(
        sport=_word(session, "sport"),
        sub_sport=_word(session, "sub_sport").removeprefix("generic"),
        start_utc=_utc(start),
        end_utc=_utc(end),
        samples=pd.DataFrame(own, columns=list(SAMPLE_COLUMNS)),
        pauses=_pauses(messages, clock, start, end),
        lengths=_lengths(messages, clock, span),
        laps=_laps(messages, clock, span),
        utc_offset_s=clock.utc_offset_s,
        # Some devices count the timer on through a whole race; then it says nothing of one leg.
        total_timer_s=timer if timer <= end - start + slack else _NAN,
        total_distance_m=number(session, "total_distance"),
        total_ascent_m=number(session, "total_ascent"),
        pool_length_m=number(session, "pool_length"),
        session_rpe=rpe if rpe <= _HIGHEST_RPE else _NAN,
        feel=number(session, "workout_feel"),
        thresholds=thresholds | _session_thresholds(session, thresholds),
    )


def _end(clock: Clock, span: _Span, own: np.ndarray) -> float:
    """When the leg ended [Unix s]: its session's word, its last record, never past the next leg."""
    said = span.start + np.nan_to_num(number(span.session, "total_elapsed_time"))
    stamp = clock.time(span.session, "timestamp")
    if stamp > span.start:
        # A session may be stamped when it was saved, hours later; or count on through a race.
        said = min(said, stamp) if said > span.start else span.start
    last = own[:, _TIME].max(initial=span.start)
    return float(min(max(said, last), span.until))


def _own_distance(own: np.ndarray, span: _Span) -> np.ndarray:
    """Distance from the leg's own start, where the device counted on from the leg before.

    Where it starts again from nought a moment late, what stands before is the other leg's.
    """
    distance = own[:, _DISTANCE]
    if np.isinf(span.after) or not np.isfinite(distance).any():
        return own
    own = own.copy()
    least = int(np.nanargmin(distance))
    own[:, _DISTANCE] -= distance[least]
    own[:least, _DISTANCE][distance[:least] > distance[least]] = np.nan
    return own


def _with_hr(
    own: np.ndarray, messages: Messages, clock: Clock, start: float, end: float
) -> np.ndarray:
    """The samples with heart rate from `hr` messages, which are the fuller of the two."""
    time = clock.unix_s(messages.hr_time)
    inside = (time >= start - 1) & (time <= end + 1)
    if not inside.any():
        return own
    time, rate = time[inside], messages.hr_bpm[inside]
    if not len(own):
        own = np.full((int(end - start) + 1, len(SAMPLE_COLUMNS)), _NAN)
        own[:, _TIME] = start + np.arange(len(own))
    merged = hr_of_records(own[:, _TIME], time, rate)
    own = own.copy()
    own[:, _HEART_RATE] = _either(merged, own[:, _HEART_RATE])
    return own


def _pauses(
    messages: Messages, clock: Clock, start: float, end: float
) -> tuple[tuple[float, float], ...]:
    """Stretches between a timer's stop and its next start that touch the leg."""
    pauses, stopped = [], _NAN
    for event in messages.all("event"):
        if event.get("event") != "timer":
            continue
        time = clock.time(event, "timestamp")
        if str(event.get("event_type", "")).startswith("stop"):
            stopped = time if np.isnan(stopped) else stopped
        elif event.get("event_type") == "start":
            if time > stopped and stopped < end and time > start:
                pauses.append((max(stopped, start), min(time, end)))
            stopped = _NAN
    return tuple(pauses)


def _lengths(messages: Messages, clock: Clock, span: _Span) -> pd.DataFrame:
    rows = [
        (start, number(m, "total_timer_time", "total_elapsed_time"), m.get("length_type"))
        for m in messages.all("length")
        if span.after <= (start := clock.time(m, "start_time")) < span.until
    ]
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    return lengths.assign(active=lengths["active"] == "active") if rows else lengths


def _laps(messages: Messages, clock: Clock, span: _Span) -> pd.DataFrame:
    rows = [
        (start, number(m, "total_timer_time"), number(m, "total_distance"))
        for m in messages.all("lap")
        if span.after <= (start := clock.time(m, "start_time")) < span.until
    ]
    return pd.DataFrame(
        np.array(rows, float).reshape(-1, len(LAP_COLUMNS)), columns=list(LAP_COLUMNS)
    )


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


def _session_thresholds(
    session: dict[str, object], thresholds: dict[str, float]
) -> dict[str, float]:
    """The threshold power that a session was recorded with, where the settings have none."""
    power = number(session, "threshold_power")
    missing = "critical_power_w" not in thresholds
    return {"critical_power_w": power} if missing and power > 0 else {}


def _word(message: dict[str, object], name: str) -> str:
    value = message.get(name, "")
    return value if isinstance(value, str) else ""


def _utc(unix_s: float) -> datetime:
    return datetime.fromtimestamp(unix_s, tz=UTC)
