"""Activity files that hold what must never come out: serials, names and a place."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime
from pathlib import Path

from fit_writer import FitWriter, degrees

LAT, LON = 51.234123, 107.654321
"""A place that no number of the sample comes near."""

SERIALS = (3_987_654_321, 3_876_543_219, 3_765_432_198)
"""Of a FIT file's maker, of its sensor, and of the device that a TCX file names."""

NAMES = ("Planted Friendly", "planted.mail", "planted-domain.invalid", "Planted Recorder")
"""Words about a person or a device that files hold and no one typed into the journal."""

EVENINGS = tuple(datetime(2024, 7, day, 18, tzinfo=UTC) for day in (18, 22, 23, 24, 25))
"""In the taper of the sample's second race."""


def fit(start: datetime, minutes: int = 20) -> bytes:
    """A run on the spot at the planted place."""
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=start, serial_number=SERIALS[0])
    writer.message("device_info", timestamp=start, serial_number=SERIALS[1])
    writer.message("user_profile", friendly_name=NAMES[0])
    at = {"position_lat": degrees(LAT), "position_long": degrees(LON)}
    start_s = start.timestamp()
    for second in range(minutes * 60):
        values = {"timestamp": start_s + second, "heart_rate": 120, "distance": second * 3.0}
        writer.message("record", **values, **at)
    writer.message(
        "session",
        timestamp=start_s + minutes * 60,
        start_time=start,
        start_position_lat=degrees(LAT),
        start_position_long=degrees(LON),
        sport="running",
        total_elapsed_time=minutes * 60,
        total_timer_time=minutes * 60,
        total_distance=minutes * 180,
    )
    return writer.bytes()


def tcx(start: datetime, *, lat: str = f"{LAT}") -> bytes:
    """Ten minutes of a ride at the planted place, by a named device."""
    points = "".join(
        f"<Trackpoint><Time>{start:%Y-%m-%dT%H}:{k // 60:02d}:{k % 60:02d}Z</Time><Position>"
        f"<LatitudeDegrees>{lat}</LatitudeDegrees><LongitudeDegrees>{LON}</LongitudeDegrees>"
        f"</Position><DistanceMeters>{8 * k}</DistanceMeters></Trackpoint>"
        for k in range(600)
    )
    return (
        '<TrainingCenterDatabase xmlns="http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2">'
        f'<Activities><Activity Sport="Biking"><Id>{start:%Y-%m-%dT%H:%M:%SZ}</Id>'
        f'<Lap StartTime="{start:%Y-%m-%dT%H:%M:%SZ}"><TotalTimeSeconds>600</TotalTimeSeconds>'
        f"<DistanceMeters>4800</DistanceMeters><Track>{points}</Track></Lap>"
        f"<Creator><Name>{NAMES[3]}</Name><UnitId>{SERIALS[2]}</UnitId></Creator>"
        "</Activity></Activities></TrainingCenterDatabase>"
    ).encode()


def gpx(start: datetime) -> bytes:
    """Ten minutes at the planted place, with who made it; the end is missing."""
    points = "".join(
        f'<trkpt lat="{LAT}" lon="{LON}"><time>{start:%Y-%m-%dT%H}:{k // 60:02d}:{k % 60:02d}Z'
        "</time></trkpt>"
        for k in range(600)
    )
    return (
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><metadata><author>'
        f'<name>{NAMES[0]}</name><email id="{NAMES[1]}" domain="{NAMES[2]}"/></author></metadata>'
        f'<trk><name>{NAMES[3]}</name><type>running</type><trkseg>{points}<trkpt lat="{LAT}" lon='
    ).encode()


def plant(folder: Path) -> None:
    """Puts the files into an athlete's folder, whole ones and broken ones."""
    into = folder / "planted"
    into.mkdir()
    whole = fit(EVENINGS[1])
    (into / "before.fit").write_bytes(fit(EVENINGS[0]))
    (into / "whole.fit").write_bytes(whole)
    (into / "cut.fit").write_bytes(fit(EVENINGS[2])[: len(whole) * 2 // 3])
    (into / "ride.tcx").write_bytes(tcx(EVENINGS[3]))
    (into / "no-number.tcx").write_bytes(tcx(EVENINGS[3], lat=f"{LAT} north"))
    (into / "broken.gpx").write_bytes(gpx(EVENINGS[4]))
    (into / "no-time.gpx").write_bytes(gpx(EVENINGS[4]).replace(b"time>", b"when>"))
    (into / "no-start.fit").write_bytes(whole[14:])


def found_in(text: str) -> list[str]:
    """What of all that stands in the text, in any form that it could be written in.

    A place counts as told from a hundred metres on: three decimals of a degree.
    """
    as_degrees = [rf"(?<![\d.]){re.escape(f'{number:.6f}'[:-3])}" for number in (LAT, LON)]
    as_semicircles = [str(degrees(number)) for number in (LAT, LON)]
    as_radians = [re.escape(f"{math.radians(number):.9f}"[:-4]) for number in (LAT, LON)]
    words = [*as_semicircles, *map(str, SERIALS), *map(re.escape, NAMES)]
    return [one for one in (*as_degrees, *as_radians, *words) if re.search(one, text)]
