"""TCX files: activities, laps, track points.

References:
    Training Center Database schema, version 2, and its activity extension, version 2.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime

import pandas as pd

from taperback.errors import InputError
from taperback.importer.recording import LAP_COLUMNS, SAMPLE_COLUMNS, FileContent, Recording
from taperback.importer.xml_files import (
    Element,
    child_number,
    child_text,
    elements,
    sport_of,
    unix_s,
)
from taperback.notices import Notice, note


@dataclass
class _Activity:
    """One activity while it is read."""

    points: list[tuple[float, ...]] = field(default_factory=list)
    track_ends: list[int] = field(default_factory=list)
    laps: list[tuple[float, float, float]] = field(default_factory=list)
    sport: str = ""


def read_tcx(data: bytes) -> FileContent:
    """The legs of one TCX file, an activity each.

    Raises:
        InputError: no activity in the file can be used.
    """
    done: list[_Activity] = []
    current = _Activity()
    remarks: list[Notice] = []
    try:
        for name, element in elements(data, "Trackpoint", "Track", "Lap", "Activity"):
            if name == "Trackpoint":
                current.points.append(_point(element))
            elif name == "Track":
                current.track_ends.append(len(current.points))
            elif name == "Lap":
                current.laps.append(_lap(element))
            else:
                current.sport = sport_of(element.get("Sport", ""))
                done.append(current)
                current = _Activity()
    except InputError as error:
        if not (done or current.points):
            raise
        remarks.append(note("tcx-broken", f"{error.found}; what stands before was used"))
    if current.points:
        done.append(current)
    recordings = tuple(r for r in (_recording(activity) for activity in done) if r is not None)
    if not recordings:
        raise InputError("it holds no activity with times", "export the activity itself")
    return FileContent(recordings, remarks=tuple(remarks))


def _point(element: Element) -> tuple[float, ...]:
    return (
        unix_s(child_text(element, "Time")),
        child_number(element, "LatitudeDegrees"),
        child_number(element, "LongitudeDegrees"),
        child_number(element, "AltitudeMeters"),
        child_number(element, "DistanceMeters"),
        child_number(element, "Speed"),
        child_number(element, "Watts"),
        child_number(element, "Value"),
        child_number(element, "Cadence", "RunCadence"),
    )


def _lap(element: Element) -> tuple[float, float, float]:
    start = unix_s(element.get("StartTime", ""))
    return start, child_number(element, "TotalTimeSeconds"), child_number(element, "DistanceMeters")


def _recording(activity: _Activity) -> Recording | None:
    samples = pd.DataFrame(activity.points, columns=list(SAMPLE_COLUMNS), dtype=float)
    times = samples["time_s"]
    pauses = tuple(
        (float(times.iloc[end - 1]), float(times.iloc[end]))
        for end in activity.track_ends
        if 0 < end < len(times) and times.iloc[end] > times.iloc[end - 1] + 1
    )
    samples = samples[times.notna()].reset_index(drop=True)
    laps = pd.DataFrame(activity.laps, columns=list(LAP_COLUMNS), dtype=float)
    starts = [*laps["start_s"].dropna().head(1), *samples["time_s"].head(1)]
    if not starts:
        return None
    start = min(starts)
    ends = [*samples["time_s"].tail(1), *(laps["start_s"] + laps["duration_s"]).dropna()]
    return Recording(
        sport=activity.sport,
        sub_sport="",
        start_utc=datetime.fromtimestamp(start, tz=UTC),
        end_utc=datetime.fromtimestamp(max([start, *ends]), tz=UTC),
        samples=samples,
        pauses=pauses,
        laps=laps,
        total_timer_s=float(laps["duration_s"].sum(min_count=1)),
        total_distance_m=float(laps["distance_m"].sum(min_count=1)),
    )
