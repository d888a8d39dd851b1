"""TCX files: activities, laps, track points.

References:
    Training Center Database schema, version 2, and its activity extension, version 2: a pause
    starts a new track within a lap.
"""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.errors import OtherKindError
from taperback.importer.formats.tracks import Track, recordings_of
from taperback.importer.formats.xml_files import (
    Points,
    Room,
    first_number,
    number,
    stream_until_broken,
    unix_s,
)
from taperback.importer.recording import FileContent


class _Reader:
    """Gathers activities; courses and workouts, which hold plans, are passed over."""

    def __init__(self) -> None:
        self.room = Room()
        self.activities: list[Track] = []
        self._open: Track | None = None
        self._point: dict[str, str] | None = None
        self._lap: dict[str, str] = {}

    def has_any(self) -> bool:
        return any(len(activity.points) or activity.laps for activity in self.activities)

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if name == "Activity":
            self._open = Track(Points(self.room), attributes.get("Sport", ""))
        elif name == "Lap":
            self._lap = {"StartTime": attributes.get("StartTime", "")}
            if self._open:
                self._open.cut_off = True  # until the lap ends
        elif name == "Trackpoint":
            self._point = {}

    def end(self, name: str, text: str) -> None:
        if self._open is None:
            return
        if name == "Trackpoint":
            self._meet(self._open)
            point = self._point or {}
            self._open.points.add(
                unix_s(point.get("Time")),
                number(point.get("LatitudeDegrees"), 90),
                number(point.get("LongitudeDegrees"), 180),
                number(point.get("AltitudeMeters")),
                number(point.get("DistanceMeters")),
                number(point.get("Speed")),
                number(point.get("Watts")),
                number(point.get("Value")),
                first_number(point, "Cadence", "RunCadence"),
            )
            self._point = None
        elif self._point is not None:
            if text:
                self._point.setdefault(name, text)
        elif name == "Track":
            self.room.take("tracks")
            self._open.ends.append(len(self._open.points))
        elif name == "Lap":
            # The next lap's track goes on where this one's ended: that is no pause.
            if self._open.ends:
                self._open.ends.pop()
            self._meet(self._open)
            self.room.take("laps")
            self._open.laps.append(_lap(self._lap))
            self._open.cut_off = False
        elif name == "Activity":
            self._open = None
        elif text:
            self._lap.setdefault(name, text)

    def _meet(self, activity: Track) -> None:
        """Keeps an activity from its first point or lap on; one without costs nothing."""
        if not len(activity.points) and not activity.laps:
            self.room.take("activities")
            self.activities.append(activity)


def read_tcx(data: bytes) -> FileContent:
    """The legs of one TCX file, an activity each.

    Raises:
        InputError: no activity in the file can be used.
    """
    reader = _Reader()
    remarks = stream_until_broken(data, reader, reader.has_any, "tcx-broken")
    if remarks and reader.activities:
        reader.activities[-1].damaged = True
    usable = tuple(found for activity in reader.activities for found in recordings_of(activity))
    if not usable:
        raise OtherKindError("it holds no activity with times", "export the activity itself")
    return FileContent(usable, remarks=remarks)


def _lap(texts: Mapping[str, str]) -> tuple[float, float, float]:
    return (
        unix_s(texts["StartTime"]),
        number(texts.get("TotalTimeSeconds")),
        number(texts.get("DistanceMeters")),
    )
