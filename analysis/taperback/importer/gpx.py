"""GPX files: tracks, segments, points.

References:
    GPX 1.1 schema: time is UTC and optional, a gap starts a new segment, heart rate and power
    stand in extensions only.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime

import pandas as pd

from taperback.errors import InputError
from taperback.importer.recording import SAMPLE_COLUMNS, FileContent, Recording
from taperback.importer.xml_files import (
    NAN,
    Element,
    child_number,
    child_text,
    elements,
    sport_of,
    unix_s,
)
from taperback.notices import Notice, note


@dataclass
class _Track:
    """One track while it is read."""

    points: list[tuple[float, ...]] = field(default_factory=list)
    segment_ends: list[int] = field(default_factory=list)
    sport: str = ""


def read_gpx(data: bytes) -> FileContent:
    """The legs of one GPX file, a track each.

    Raises:
        InputError: no track in the file can be used.
    """
    done: list[_Track] = []
    current = _Track()
    remarks: list[Notice] = []
    try:
        for name, element in elements(data, "trkpt", "trkseg", "trk"):
            if name == "trkpt":
                current.points.append(_point(element))
            elif name == "trkseg":
                current.segment_ends.append(len(current.points))
            else:
                current.sport = sport_of(child_text(element, "type"))
                done.append(current)
                current = _Track()
    except InputError as error:
        if not (done or current.points):
            raise
        remarks.append(note("gpx-broken", f"{error.found}; what stands before was used"))
    if current.points:
        done.append(current)
    if not any(track.points for track in done):
        raise InputError("it holds no track points", "export the recorded track, not the route")
    recordings = tuple(r for r in (_recording(track) for track in done) if r is not None)
    if not recordings:
        raise InputError(
            "its track points carry no time, so nothing can be measured",
            "export it with times, or leave it out",
        )
    return FileContent(recordings, remarks=tuple(remarks))


def _point(element: Element) -> tuple[float, ...]:
    return (
        unix_s(child_text(element, "time")),
        _attribute(element, "lat"),
        _attribute(element, "lon"),
        child_number(element, "ele"),
        NAN,
        child_number(element, "speed"),
        child_number(element, "power", "PowerInWatts", "watts"),
        child_number(element, "hr", "heartrate"),
        child_number(element, "cad", "cadence"),
    )


def _attribute(element: Element, name: str) -> float:
    try:
        return float(element.get(name, "nan"))
    except ValueError:
        return NAN


def _recording(track: _Track) -> Recording | None:
    samples = pd.DataFrame(track.points, columns=list(SAMPLE_COLUMNS), dtype=float)
    times = samples["time_s"]
    pauses = tuple(
        (float(times.iloc[end - 1]), float(times.iloc[end]))
        for end in track.segment_ends
        if 0 < end < len(times) and times.iloc[end] > times.iloc[end - 1] + 1
    )
    samples = samples[times.notna()].reset_index(drop=True)
    if samples.empty:
        return None
    first, last = float(samples["time_s"].min()), float(samples["time_s"].max())
    return Recording(
        sport=track.sport,
        sub_sport="",
        start_utc=datetime.fromtimestamp(first, tz=UTC),
        end_utc=datetime.fromtimestamp(last, tz=UTC),
        samples=samples,
        pauses=pauses,
    )
