"""GPX files: tracks, segments, points.

References:
    GPX 1.1 schema: time is UTC and optional, a gap starts a new segment, heart rate and power
    stand in extensions only.
"""

from __future__ import annotations

from collections.abc import Mapping

from taperback.common.errors import InputError, OtherKindError
from taperback.importer.formats.tracks import Track, recordings_of
from taperback.importer.formats.xml_files import (
    NAN,
    Points,
    Room,
    first_number,
    number,
    stream_until_broken,
    unix_s,
)
from taperback.importer.recording import FileContent


class _Reader:
    """Gathers tracks; routes and waypoints, which hold plans, are passed over."""

    def __init__(self) -> None:
        self.room = Room()
        self.tracks: list[Track] = []
        self._open: Track | None = None
        self._point: dict[str, str] | None = None

    def has_points(self) -> bool:
        return any(len(track.points) for track in self.tracks)

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if name == "trk":
            self._open = Track(Points(self.room))
        elif name == "trkpt":
            self._point = dict(attributes)

    def end(self, name: str, text: str) -> None:
        if self._open is None:
            return
        if name == "trkpt":
            if not len(self._open.points):  # a track without points costs nothing
                self.room.take("activities")
                self.tracks.append(self._open)
            point = self._point or {}
            self._open.points.add(
                unix_s(point.get("time")),
                number(point.get("lat"), 90),
                number(point.get("lon"), 180),
                number(point.get("ele")),
                NAN,
                number(point.get("speed")),
                first_number(point, "power", "powerinwatts", "watts"),
                first_number(point, "hr", "heartrate"),
                first_number(point, "cad", "cadence"),
            )
            self._point = None
        elif self._point is not None:
            if text:
                self._point.setdefault(name.lower(), text)
        elif name == "trkseg":
            self.room.take("tracks")
            self._open.ends.append(len(self._open.points))
        elif name == "type":
            self._open.word = text
        elif name == "trk":
            self._open = None


def read_gpx(data: bytes) -> FileContent:
    """The legs of one GPX file, a track or an outing each.

    Raises:
        InputError: no track in the file can be used.
    """
    reader = _Reader()
    remarks = stream_until_broken(data, reader, reader.has_points, "gpx-broken")
    if remarks and reader.tracks:
        reader.tracks[-1].damaged = True
    if not reader.has_points():
        raise OtherKindError("it holds no track points", "export the recorded track, not the route")
    usable = tuple(found for track in reader.tracks for found in recordings_of(track))
    if not usable:
        raise InputError(
            "its track points carry no time, so nothing can be measured",
            "export it with times, or leave it out",
        )
    return FileContent(usable, remarks=remarks)
