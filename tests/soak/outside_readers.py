"""Legs as independent readers give them: the official FIT SDK, gpxpy and tcxreader."""

from __future__ import annotations

import math
import tempfile
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import gpxpy
import numpy as np
from garmin_fit_sdk import Decoder, Stream
from tcxreader.tcxreader import TCXReader

NAN = math.nan
OUTINGS_APART_S, OUTINGS_WITHIN_S = 6 * 3600, 60 * 86_400
FIT_EPOCH_S = 631_065_600
_DEGREES = 180 / 2**31


@dataclass(frozen=True)
class Outside:
    """One leg as an independent reader has it.

    Attributes:
        place: number of the leg in its file. start_s: Unix time [s].
        device_m, timer_s: the device's own totals; timer from the points where it gives none.
        way_m: length of the way between positions, within stretches, NaN without any.
        time_s, counted_m: points: Unix time, and metres as the device counts them, else along the
            positions; shape (n,).
        lat, lon: positions, where they and no device tell the way; None otherwise.
        height_m, power_w: at the points, NaN where not measured; shape (n,).
        pauses: (from, to) in Unix seconds.
        stopped_s: how long the timer stood in all, beside `pauses` [s].
        rested_s: rest between pool lengths [s], None outside a pool.
        disordered: whether its points run backwards in time, so that nothing tells its seconds.
    """

    place: int
    start_s: float
    device_m: float
    timer_s: float
    way_m: float
    time_s: np.ndarray
    counted_m: np.ndarray
    height_m: np.ndarray
    power_w: np.ndarray
    lat: np.ndarray | None = None
    lon: np.ndarray | None = None
    pauses: tuple[tuple[float, float], ...] = ()
    stopped_s: float = 0.0
    rested_s: float | None = None
    disordered: bool = False

    def ran_s(self, time: np.ndarray) -> np.ndarray:
        """Seconds that the timer ran in each step between these Unix seconds; shape (n - 1,)."""
        ran = np.diff(time)
        for since, until in self.pauses:
            ran -= np.clip(np.minimum(time[1:], until) - np.maximum(time[:-1], since), 0.0, None)
        return np.maximum(ran, 0.0)


def outside_legs(data: bytes) -> list[Outside]:
    """The legs of one file's bytes."""
    if data[8:12] == b".FIT":
        legs = [leg for part in _chained(data) for leg in _fit(part)]
        return [replace(leg, place=place) for place, leg in enumerate(legs)]
    return _tcx(data) if b"<TrainingCenterDatabase" in data[:4096] else _gpx(data)


def haversine_m(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Lengths of the steps between positions on a sphere of 6,371 km; shape (n - 1,)."""
    lat, lon = np.radians(lat), np.radians(lon)
    half = np.sin(np.diff(lat) / 2) ** 2
    half += np.cos(lat[:-1]) * np.cos(lat[1:]) * np.sin(np.diff(lon) / 2) ** 2
    return 2 * 6_371_000 * np.arcsin(np.sqrt(np.clip(half, 0, 1)))


def _along(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Metres along the positions, NaN where there is none; shape (n,)."""
    known = np.isfinite(lat) & np.isfinite(lon) & ((lat != 0) | (lon != 0))
    way = np.full(len(lat), NAN)
    if known.sum() > 1:
        steps = haversine_m(lat[known], lon[known])
        way[known] = np.concatenate([[0.0], np.cumsum(steps)])
    return way


def _chained(data: bytes) -> list[bytes]:
    """The FIT files that stand one behind the other: header, data and checksum each."""
    parts = []
    while data[8:12] == b".FIT":
        size = data[0] + int.from_bytes(data[4:8], "little") + 2
        parts.append(data[:size])
        data = data[size:]
    return parts


def _fit(data: bytes) -> list[Outside]:
    messages, _ = Decoder(Stream.from_byte_array(bytearray(data))).read(
        convert_datetimes_to_dates=False, merge_heart_rates=False
    )
    records = messages.get("record_mesgs", [])

    def column(*names: str) -> np.ndarray:
        values = (next((r[n] for n in names if n in r), NAN) for r in records)
        return np.array([v if isinstance(v, (int, float)) else NAN for v in values], float)

    time = column("timestamp") + FIT_EPOCH_S
    lat, lon = column("position_lat") * _DEGREES, column("position_long") * _DEGREES
    pauses = _fit_pauses(messages.get("event_mesgs", []))
    sessions = [s for s in messages.get("session_mesgs", []) if s.get("sport") != "multisport"]
    legs = []
    for place, session in enumerate(sessions or [{}]):
        start = session.get("start_time", time[0] - FIT_EPOCH_S if len(time) else 0) + FIT_EPOCH_S
        elapsed = session.get("total_elapsed_time", NAN)
        end = start + elapsed if elapsed == elapsed and len(sessions) > 1 else math.inf
        # Records are stamped in whole seconds, sessions in fractions.
        own = np.isfinite(time)
        if len(sessions) > 1:
            own = (time >= math.floor(start)) & (time <= end)
        counted = column("distance")[own]
        way = _along(lat[own], lon[own])
        by_place = not np.nanmax(counted, initial=0.0) > 0
        first = session.get("total_timer_time", NAN)
        whole = session.get("timestamp", NAN) + FIT_EPOCH_S - start
        if len(sessions) > 1 and first > whole + 60:  # counted on through a race
            first = float(np.ptp(time[own])) if own.any() else whole
        first = float(np.ptp(time[own])) if math.isnan(first) and own.any() else first
        legs.append(
            Outside(
                place,
                float(start),
                float(session.get("total_distance") or _counted_m(counted)),
                float(first),
                float(np.nanmax(way)) if np.isfinite(way).any() else NAN,
                time[own],
                way if by_place else counted,
                column("enhanced_altitude", "altitude")[own],
                column("power")[own],
                lat[own] if by_place else None,
                lon[own] if by_place else None,
                pauses,
                0.0 if pauses else _stopped_s(time[own], float(first)),
                rested_s=_rested_s(messages.get("length_mesgs", []), first),
            )
        )
    return legs


def _counted_m(counted: np.ndarray) -> float:
    """How far the device's own distance ran, from wherever it began."""
    known = counted[np.isfinite(counted)]
    return float(np.maximum(np.diff(known), 0.0).sum()) or NAN


def _rested_s(lengths: list[dict[str, Any]], timer_s: float) -> float | None:
    """The timer's time less the lengths that were swum."""
    swum = [n.get("total_timer_time", 0.0) for n in lengths if n.get("length_type") == "active"]
    return timer_s - sum(swum) if swum else None


def _fit_pauses(events: list[dict[str, Any]]) -> tuple[tuple[float, float], ...]:
    pauses, stopped = [], NAN
    for event in events:
        if event.get("event") != "timer" or "timestamp" not in event:
            continue
        at = event["timestamp"] + FIT_EPOCH_S
        if str(event.get("event_type")).startswith("stop"):
            stopped = at if math.isnan(stopped) else stopped
        elif at > stopped:
            pauses.append((stopped, at))
            stopped = NAN
    return tuple(pauses)


def _tcx(data: bytes) -> list[Outside]:
    """Totals from the laps as they stand, points from tcxreader where the file has one activity."""
    text = data[data.index(b"<") :]
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError:
        return [Outside(0, 0.0, NAN, NAN, NAN, *[np.empty(0)] * 4)]
    legs = []
    activities = [node for node in root.iter() if node.tag.endswith("}Activity")]
    for place, activity in enumerate(activities):
        laps = [node for node in activity if node.tag.endswith("}Lap")]
        start = datetime.fromisoformat(laps[0].get("StartTime", "").strip())
        points = _points(activity)
        if len(activities) == 1:
            points = _tcxreader_points(data)
        time, lat, lon, counted, height, power = points
        way = _along(lat, lon)
        by_place = not np.nanmax(counted, initial=0.0) > 0
        legs.append(
            Outside(
                place,
                _utc_s(start),
                _lap_sum(laps, "DistanceMeters"),
                _lap_sum(laps, "TotalTimeSeconds"),
                float(np.nanmax(way)) if np.isfinite(way).any() else NAN,
                time,
                way if by_place else counted,
                height,
                power,
                lat if by_place else None,
                lon if by_place else None,
                stopped_s=_stopped_s(time, _lap_sum(laps, "TotalTimeSeconds")),
            )
        )
    return legs


def _stopped_s(time: np.ndarray, timer_s: float) -> float:
    """Seconds from the first point to the last that the timer did not count."""
    return max(float(np.ptp(time)) - timer_s, 0.0) if len(time) and timer_s > 0 else 0.0


def _utc_s(moment: datetime) -> float:
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def _lap_sum(laps: list[ElementTree.Element], name: str) -> float:
    found = [node.text for lap in laps for node in lap if node.tag.endswith(f"}}{name}")]
    return sum(float(text) for text in found if text) or NAN


def _columns(rows: list[tuple]) -> tuple[np.ndarray, ...]:
    table = np.array(rows, float).reshape(-1, 6)
    return tuple(table[np.isfinite(table[:, 0])].T)


def _tcxreader_points(data: bytes) -> tuple[np.ndarray, ...]:
    with tempfile.NamedTemporaryFile(suffix=".tcx") as file:
        Path(file.name).write_bytes(data[data.index(b"<") :])
        points = TCXReader().read(file.name, only_gps=False).trackpoints

    def value(number: float | None) -> float:
        return NAN if number is None else number

    return _columns(
        [
            (
                _utc_s(p.time) if p.time else NAN,
                *(value(each) for each in (p.latitude, p.longitude, p.distance, p.elevation)),
                value(p.tpx_ext.get("Watts")),
            )
            for p in points
        ]
    )


def _points(activity: ElementTree.Element) -> tuple[np.ndarray, ...]:
    rows = []
    for point in activity.iter():
        if not point.tag.endswith("}Trackpoint"):
            continue
        texts = {node.tag.rpartition("}")[2]: node.text for node in point.iter() if node.text}
        at = _utc_s(datetime.fromisoformat(texts["Time"].strip())) if "Time" in texts else NAN
        names = (
            "LatitudeDegrees", "LongitudeDegrees", "DistanceMeters", "AltitudeMeters", "Watts",
        )  # fmt: skip
        rows.append((at, *(float(texts.get(name, NAN)) for name in names)))
    return _columns(rows)


def _gpx(data: bytes) -> list[Outside]:
    """A leg a track, and one an outing where a track is silent for more than six hours."""
    tracks = gpxpy.parse(data.decode("utf-8", errors="replace").lstrip("\ufeff \r\n\t")).tracks
    legs: list[Outside] = []
    for track in tracks:
        stretches = [[p for p in segment.points if p.time] for segment in track.segments]
        outings: list[list[list[Any]]] = [[]]
        for points in stretches:
            for place, point in enumerate(points):
                last = outings[-1][-1][-1] if outings[-1] else None
                silent_s = _utc_s(point.time) - _utc_s(last.time) if last else 0.0
                if OUTINGS_APART_S < silent_s < OUTINGS_WITHIN_S:
                    outings.append([])
                if not place or not outings[-1]:
                    outings[-1].append([])
                outings[-1][-1].append(point)
        legs += [_outing(len(legs), stretches) for stretches in outings if stretches]
    return legs


def _outing(place: int, stretches: list[list[Any]]) -> Outside:
    table = np.array(
        [
            (_utc_s(p.time), p.latitude, p.longitude, NAN if p.elevation is None else p.elevation)
            for points in stretches
            for p in points
        ]
    )
    time, lat, lon, height = table.T
    ends = np.cumsum([len(points) for points in stretches])
    steps = np.append(haversine_m(lat, lon), 0.0)
    steps[ends - 1] = 0.0  # what lies between two segments is no way
    pauses = [(time[end - 1] + 1, time[end]) for end in ends[:-1] if time[end] > time[end - 1] + 1]
    timer = sum(_utc_s(points[-1].time) - _utc_s(points[0].time) for points in stretches)
    way = np.concatenate([[0.0], np.cumsum(steps[:-1])])
    return Outside(
        place, float(time[0]), NAN, timer, float(steps.sum()), time, way, height,
        np.full(len(time), NAN), lat, lon, tuple(pauses),
        disordered=bool((np.diff(time) < 0).any()),
    )  # fmt: skip
