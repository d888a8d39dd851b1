"""Distance and moving time of whole files beside independent readers.

No package in the registry that the tests install carries recordings, so these are the sample's
files; `tests/soak/real.py` does the same for a folder of real ones.
"""

from __future__ import annotations

import gzip
from itertools import pairwise
from pathlib import Path

import gpxpy
from garmin_fit_sdk import Decoder, Stream
from gpxpy.geo import haversine_distance

from published.conftest import Outside
from published.ledger import library
from taperback.importer.file.one_file import read_bytes

SAMPLE = Path(__file__).parents[2] / "sample_data" / "tove"
AREA = "files"


def data_of(path: Path) -> bytes:
    data = path.read_bytes()
    return gzip.decompress(data) if path.suffix == ".gz" else data


def test_distance_of_gpx_files_is_the_great_circle_sum(outside: Outside) -> None:
    ours = theirs = 0.0
    for path in sorted(SAMPLE.rglob("*.gpx*")):
        data = data_of(path)
        ours += sum(leg.distance_m for leg in read_bytes(data, "0" * 64).legs)
        for track in gpxpy.parse(data.decode()).tracks:
            for segment in track.segments:
                theirs += sum(
                    haversine_distance(a.latitude, a.longitude, b.latitude, b.longitude)
                    for a, b in pairwise(segment.points)
                )
    outside(
        "distance of all GPX files of the sample",
        theirs / 1000,
        ours / 1000,
        theirs / 1000 * 0.005,
        library("gpxpy", "great circles between points, a sphere of 6,378 km"),
        "reference library",
        "km",
    )


def test_moving_time_stays_near_the_devices_timer(outside: Outside) -> None:
    ours = theirs = 0.0
    for path in sorted(SAMPLE.rglob("*-running.fit"))[::6]:
        data = data_of(path)
        messages, errors = Decoder(Stream.from_byte_array(bytearray(data))).read()
        if errors:
            continue
        theirs += sum(s["total_timer_time"] for s in messages["session_mesgs"])
        ours += sum(leg.moving_s for leg in read_bytes(data, "0" * 64).legs)
    outside(
        "moving time of every sixth run of the sample, beside the device's timer",
        theirs / 3600,
        ours / 3600,
        theirs / 3600 * 0.02,
        library("garmin-fit-sdk", "timer time of the sessions"),
        "reference library",
        "h",
    )
