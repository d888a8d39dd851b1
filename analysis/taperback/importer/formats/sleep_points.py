"""One night from one data point of IEEE 1752.1 or Open mHealth; `sleep_json` finds the points."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.recording import SleepRecord

NAN = float("nan")

TIME_ASLEEP = {
    "sleep-episode": ("total_sleep_time",),
    "sleep-duration": ("sleep_duration",),
    "total-sleep-time": ("total_sleep_time",),
    "sleep-stage-summary": ("sleep_stage_summary", "total_sleep_time"),
}
"""Schemas that tell of a night, and where the body of each holds the time asleep."""

UNITS_S = {"ms": 0.001, "sec": 1.0, "min": 60.0, "h": 3600.0, "d": 86_400.0}
"""Units of time in these schemas, in seconds."""


class Point(NamedTuple):
    """One measure: its place in the file, from 1, the name of its schema, and its body."""

    place: int
    schema: str
    body: Any


class Night(NamedTuple):
    """One night, whether it was a nap, and whether time awake inside it was left out."""

    sleep: SleepRecord
    is_nap: bool
    waking_known: bool


def member(value: Any, name: str) -> Any:
    """The member of a JSON object, None where it is none or has no such member."""
    return value.get(name) if isinstance(value, dict) else None


def read_night(point: Point) -> Night:
    """One night.

    Raises:
        InputError: the point does not tell of one night; what was found continues "data point 3".
    """
    limits = LIMITS.sleep_json
    body = point.body
    if not isinstance(body, dict):
        raise InputError("has no body", "a body is an object with an effective_time_frame")
    summary = member(body, "sleep_stage_summary")
    statistic = member(body, "descriptive_statistic") or member(summary, "descriptive_statistic")
    if statistic:
        found = f"is a statistic of several nights ({_short(statistic)}), not one night"
        raise InputError(found, "export single nights")
    start, end = _interval(body)
    years = LIMITS.cleaning
    if not years.first_year <= end.year <= years.last_year:
        found = f"is dated {end.date()}, so its clock was not set"
        raise InputError(found, "export it with the right date, or leave it out")
    frame_s = (end - start).total_seconds()
    if frame_s <= 0:
        raise InputError("ends before it begins", "start_date_time comes first")
    if frame_s > limits.longest_frame_h * 3600:
        found = f"covers {frame_s / 3600:.0f} h, so which night it tells of is unknown"
        raise InputError(found, "export sleep episodes, from falling asleep to waking")
    asleep_s, waking_known = _asleep_s(point, frame_s)
    if not 0 < asleep_s <= frame_s + limits.rounding_s:
        found = f"tells of {asleep_s / 3600:.2f} h asleep within {frame_s / 3600:.2f} h"
        raise InputError(found, "time asleep is above 0 and within the effective_time_frame")
    asleep_s = min(asleep_s, frame_s)
    # UTC is what exporters write that do not know the local clock.
    offset_s = (end.utcoffset() or timedelta()).total_seconds() or NAN
    sleep = SleepRecord(start.astimezone(UTC), end.astimezone(UTC), asleep_s, offset_s)
    return Night(sleep, member(body, "is_main_sleep") is False, waking_known)


def _interval(body: dict[str, Any]) -> tuple[datetime, datetime]:
    """Falling asleep and waking, from two of start, end and duration."""
    interval = member(member(body, "effective_time_frame"), "time_interval")
    needed = "it needs two of start_date_time, end_date_time and duration"
    if not isinstance(interval, dict):
        raise InputError("has no effective_time_frame with a time_interval", needed)
    start, end = (
        _moment(interval[name], name) if name in interval else None
        for name in ("start_date_time", "end_date_time")
    )
    if start and end:
        return start, end
    known = start or end
    if known is None or "duration" not in interval:
        raise InputError("has no start and end in its time_interval", needed)
    try:
        length = timedelta(seconds=_seconds(interval["duration"], "duration"))
        other = known + length if start else known - length
        other.astimezone(UTC)
    except OverflowError:
        raise InputError("has a duration longer than any calendar", "check it") from None
    return (known, other) if start else (other, known)


def _moment(value: object, name: str) -> datetime:
    """A date and time with its offset."""
    example = "write it as 2030-05-31T22:05:00+02:00"
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) else None
        if moment is not None and moment.tzinfo is not None:
            moment.astimezone(UTC)
    except (ValueError, OverflowError):
        moment = None
    if moment is None:
        raise InputError(f"has {_short(value)} as {name}, which is no date and time", example)
    if moment.tzinfo is None:
        raise InputError(f"has {_short(value)} as {name}, without its offset from UTC", example)
    return moment


def _asleep_s(point: Point, frame_s: float) -> tuple[float, bool]:
    """(seconds asleep, whether time awake was left out)."""
    value: Any = point.body
    path = TIME_ASLEEP[point.schema]
    for name in path:
        value = member(value, name)
    if value is not None:
        return _seconds(value, path[-1]), True
    if point.schema != "sleep-episode":
        raise InputError(f"has no {path[-1]}", "it is an object of value and unit")
    awake = member(point.body, "wake_after_sleep_onset")
    if awake is not None:
        return frame_s - _seconds(awake, "wake_after_sleep_onset"), True
    return frame_s, False


def _seconds(measured: object, name: str) -> float:
    """A value with a unit of time, in seconds."""
    value, unit = (member(measured, key) for key in ("value", "unit"))
    # a whole number may be too large for a float
    try:
        number = math.nan if isinstance(value, bool | str | None) else float(value)
    except (TypeError, OverflowError):
        number = math.nan
    if not math.isfinite(number):
        raise InputError(f"has {_short(value)} as {name}", "its value is a number")
    if not isinstance(unit, str) or unit not in UNITS_S:
        raise InputError(f"has {name} in {_short(unit)}", "its unit is sec, min or h")
    return number * UNITS_S[unit]


def _short(value: object) -> str:
    """A value as it stands in the file, in few letters and one line."""
    text = json.dumps(value, ensure_ascii=True)
    return f"{text[:40]}…" if len(text) > 41 else text
