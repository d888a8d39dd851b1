"""Nights from data points of IEEE 1752.1 and Open mHealth.

References:
    IEEE Std 1752.1-2021, Open Mobile Health Data: Metadata, Sleep, and Physical Activity Measures.
    Open mHealth schemas: sleep-episode 1.1, sleep-duration 2.0, total-sleep-time 1.0.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from taperback.errors import InputError
from taperback.importer.recording import FileContent, SleepRecord
from taperback.notices import Level, Notice, note, unused
from taperback.resources import shared_toml

NAN = float("nan")

TIME_ASLEEP = {
    "sleep-episode": ("total_sleep_time",),
    "sleep-duration": ("sleep_duration",),
    "total-sleep-time": ("total_sleep_time",),
    "sleep-stage-summary": ("sleep_stage_summary", "total_sleep_time"),
}
"""Schemas that tell of a night, and where the body of each holds the time asleep."""

NAMESPACES = ("ieee", "omh")
NO_SLEEP = "it looks like JSON, but holds no sleep in the form of IEEE 1752.1 or Open mHealth"
"""What is found in a JSON file that is about something else."""
UNITS_S = {"ms": 0.001, "sec": 1.0, "min": 60.0, "h": 3600.0, "d": 86_400.0}
_MARK = b'"schema_id"'


class _Point(NamedTuple):
    """One measure: its place in the file, from 1, the name of its schema, and its body."""

    place: int
    schema: str
    body: Any


class _Night(NamedTuple):
    sleep: SleepRecord
    is_nap: bool
    waking_known: bool


def read_sleep_json(data: bytes) -> FileContent:
    """The nights of a JSON file: one data point or series, a list of them, or one a line.

    A point that cannot be used is told and costs no other; points about anything but sleep are
    passed over.

    Raises:
        InputError: it is not JSON, or tells of no night.
    """
    # most JSON is about something else, and is not worth taking apart
    if _MARK not in data.replace(b"\0", b""):
        raise _no_sleep("")
    nights: list[_Night] = []
    remarks: list[Notice] = []
    others: set[str] = set()
    for item in _points(_documents(data)):
        if isinstance(item, Notice):
            remarks.append(item)
        elif item.schema in TIME_ASLEEP:
            try:
                nights.append(_night(item))
            except InputError as error:
                found = f"data point {item.place} ({item.schema}) {error.found}"
                remarks.append(_unused(found, error.remedy))
        else:
            others.add(item.schema)
    if not nights and not remarks:
        raise _no_sleep(", ".join(sorted(others)[:3]))
    sleeps = tuple(night.sleep for night in nights if not night.is_nap)
    return FileContent((), sleeps, (*_bounded(remarks), *_about(nights)))


def _no_sleep(others: str) -> InputError:
    found = NO_SLEEP.replace("looks like JSON, but holds", f"holds {others}, but") if others else ""
    return InputError(found or NO_SLEEP, "leave it out, or export the nights in that form")


def _unused(found: str, remedy: str) -> Notice:
    return unused("", "sleep-point", found, remedy)


def _bounded(remarks: list[Notice]) -> list[Notice]:
    """The first remarks, and how many more there are."""
    most = shared_toml("limits.toml")["sleep_json"]["most_remarks"]
    more = len(remarks) - most
    if more <= 1:
        return remarks
    return [*remarks[:most], _unused(f"{more} more data points cannot be used", "see those above")]


def _about(nights: list[_Night]) -> Iterator[Notice]:
    """What is worth knowing of the points that were read."""
    naps = sum(night.is_nap for night in nights)
    if naps:
        were = "nap was" if naps == 1 else "naps were"
        yield note("nap", f"{naps} {were} not counted as a night, being no main sleep")
    blind = sum(not night.waking_known and not night.is_nap for night in nights)
    if blind:
        tell = "night tells" if blind == 1 else "nights tell"
        yield note(
            "waking-unknown",
            f"{blind} {tell} only when sleep began and ended, so time awake in between counts "
            "as sleep",
        )


def _documents(data: bytes) -> Iterator[Any]:
    """The JSON values of the file, or a notice for a line that is none."""
    try:
        yield json.loads(data)
    except RecursionError:
        raise InputError("it is nested far deeper than any data point", "leave it out") from None
    except ValueError as error:
        lines = data.decode("utf-8", errors="replace").lstrip("\ufeff").splitlines()
        filled = [(row, line) for row, line in enumerate(lines, 1) if line.strip()]
        if len(filled) < 2 or not isinstance(_line(*filled[0]), dict):
            placed = isinstance(error, json.JSONDecodeError)
            where = f" (line {error.lineno}: {error.msg})" if placed else ""  # type: ignore[attr-defined]
            raise InputError(f"it is not whole as JSON{where}", "export the nights again") from None
        yield from (_line(row, line) for row, line in filled)


def _line(row: int, line: str) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        remedy = "export the nights again"
        return Notice("", row, "", "sleep-point", "the line is not JSON", remedy, Level.UNUSED)


def _points(documents: Iterator[Any]) -> Iterator[_Point | Notice]:
    """The measures of all documents, numbered as they come; a notice where one is no measure."""
    place = 0
    for document in documents:
        if isinstance(document, Notice):
            yield document
            continue
        for point in document if isinstance(document, list) else [document]:
            header, body = (_get(point, name) for name in ("header", "body"))
            namespace, name = (_get(_get(header, "schema_id"), n) for n in ("namespace", "name"))
            for measure in body if isinstance(body, list) else [body]:
                place += 1
                if not isinstance(name, str) or not isinstance(namespace, str):
                    found = f"data point {place} has no schema_id in its header"
                    yield _unused(found, "a header names namespace, name and version")
                else:
                    schema = name if namespace in NAMESPACES else f"{namespace}:{name}"
                    yield _Point(place, schema, measure)


def _get(value: Any, name: str) -> Any:
    """The member of a JSON object, None where it is none or has no such member."""
    return value.get(name) if isinstance(value, dict) else None


def _night(point: _Point) -> _Night:
    """One night.

    Raises:
        InputError: the point does not tell of one night; what was found continues "data point 3".
    """
    limits = shared_toml("limits.toml")["sleep_json"]
    body = point.body
    if not isinstance(body, dict):
        raise InputError("has no body", "a body is an object with an effective_time_frame")
    summary = _get(body, "sleep_stage_summary")
    statistic = _get(body, "descriptive_statistic") or _get(summary, "descriptive_statistic")
    if statistic:
        found = f"is a statistic of several nights ({_short(statistic)}), not one night"
        raise InputError(found, "export single nights")
    start, end = _interval(body)
    frame_s = (end - start).total_seconds()
    if frame_s <= 0:
        raise InputError("ends before it begins", "start_date_time comes first")
    if frame_s > limits["longest_frame_h"] * 3600:
        found = f"covers {frame_s / 3600:.0f} h, so which night it tells of is unknown"
        raise InputError(found, "export sleep episodes, from falling asleep to waking")
    asleep_s, waking_known = _asleep_s(point, frame_s)
    if not 0 < asleep_s <= frame_s + limits["rounding_s"]:
        found = f"tells of {asleep_s / 3600:.2f} h asleep within {frame_s / 3600:.2f} h"
        raise InputError(found, "time asleep is above 0 and within the effective_time_frame")
    asleep_s = min(asleep_s, frame_s)
    sleep = SleepRecord(start.astimezone(UTC), end.astimezone(UTC), asleep_s, _offset_s(end))
    return _Night(sleep, _get(body, "is_main_sleep") is False, waking_known)


def _interval(body: dict) -> tuple[datetime, datetime]:
    """Falling asleep and waking, from two of start, end and duration."""
    interval = _get(_get(body, "effective_time_frame"), "time_interval")
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


def _offset_s(moment: datetime) -> float:
    """Offset of the local clock; UTC is what exporters write that do not know it."""
    offset = moment.utcoffset() or timedelta()
    return offset.total_seconds() or NAN


def _asleep_s(point: _Point, frame_s: float) -> tuple[float, bool]:
    """(seconds asleep, whether time awake was left out)."""
    value: Any = point.body
    path = TIME_ASLEEP[point.schema]
    for name in path:
        value = _get(value, name)
    if value is not None:
        return _seconds(value, path[-1]), True
    if point.schema != "sleep-episode":
        raise InputError(f"has no {path[-1]}", "it is an object of value and unit")
    awake = _get(point.body, "wake_after_sleep_onset")
    if awake is not None:
        return frame_s - _seconds(awake, "wake_after_sleep_onset"), True
    return frame_s, False


def _seconds(measured: object, name: str) -> float:
    """A value with a unit of time, in seconds."""
    value, unit = (_get(measured, key) for key in ("value", "unit"))
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
