"""The sample's files, as independent decoders read them.

FIT: the official FIT SDK's package, and a decoder written in Rust (package `fitfast`). GPX and
TCX: the packages gpxpy and tcxreader. What is counted are values that are equal to the last bit.
"""

from __future__ import annotations

import gzip
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import fitfast
import gpxpy
import numpy as np
import pytest
from garmin_fit_sdk import Decoder, Stream
from tcxreader.tcxreader import TCXReader

from published.ledger import library
from taperback.importer.fit.messages import read_messages
from taperback.importer.fit.read import read_fit
from taperback.importer.formats.gpx import read_gpx
from taperback.importer.formats.tcx import read_tcx
from taperback.importer.recording import FileContent

SAMPLE = Path(__file__).parents[2] / "sample_data"
EVERY = 6
FIT_EPOCH_S = 631_065_600
AREA = "files"
OFFICIAL = library("garmin-fit-sdk", "the official decoder")
RUST = library("fitfast", "a decoder in Rust")
RECORD_FIELDS = ("position_lat", "heart_rate", "power", "distance", "speed", "altitude", "cadence")


def files() -> list[Path]:
    """Every sixth whole FIT file of the sample, and all that hold several sports."""
    found = sorted(path for path in SAMPLE.rglob("*.fit*") if path.suffix in (".fit", ".gz"))
    whole = [path for path in found if "-cut" not in path.name and path.stat().st_size]
    return [path for place, path in enumerate(whole) if place % EVERY == 0 or legs_in(path) > 1]


def legs_in(path: Path) -> int:
    return fitfast.message_counts(read(path)).get("session", 0)


def read(path: Path) -> bytes:
    data = path.read_bytes()
    return gzip.decompress(data) if path.suffix == ".gz" else data


@dataclass(frozen=True)
class Decoded:
    """One file as each decoder reads it: records as columns, float64, NaN where nothing is told."""

    ours: dict[str, np.ndarray]
    content: FileContent
    official: dict[str, list[dict[str, Any]]]
    rust: dict[str, np.ndarray]

    def official_column(self, name: str) -> np.ndarray:
        records = self.official.get("record_mesgs", [])
        return np.array([record.get(name, np.nan) for record in records], float)


@pytest.fixture(scope="module")
def decoded() -> list[Decoded]:
    return [decode(read(path)) for path in files()]


def decode(data: bytes) -> Decoded:
    messages, errors = Decoder(Stream.from_byte_array(bytearray(data))).read(
        merge_heart_rates=False
    )
    assert errors == []
    rust = fitfast.records(data, degrees=False)
    return Decoded(read_messages(data).records, read_fit(data), messages, rust)


def equal(ours: np.ndarray, theirs: np.ndarray) -> int:
    """How many values are the same, an unknown one with an unknown one."""
    assert len(ours) == len(theirs)
    return int(np.count_nonzero((ours == theirs) | (np.isnan(ours) & np.isnan(theirs))))


def test_there_are_files_to_compare(decoded: list[Decoded]) -> None:
    assert len(decoded) > 30
    assert any(len(one.content.recordings) > 1 for one in decoded)


def test_record_times_are_the_official_ones(outside, decoded: list[Decoded]) -> None:
    same = total = 0
    for one in decoded:
        records = one.official.get("record_mesgs", [])
        stamps = np.array([record["timestamp"].timestamp() for record in records])
        total += len(stamps)
        same += equal(one.ours["timestamp"] + FIT_EPOCH_S, stamps)
    assert total > 30_000
    measure = "record times, equal of all"
    outside(measure, total, same, 0, OFFICIAL, "reference library", "values")


@pytest.mark.parametrize(
    ("what", "names"),
    [
        ("positions", ("position_lat",)),
        ("whole numbers (heart rate, power, cadence)", ("heart_rate", "power", "cadence")),
        ("scaled numbers (distance, speed, altitude)", ("distance", "speed", "altitude")),
    ],
)
def test_record_values_are_the_official_ones(outside, decoded, what: str, names) -> None:
    assert set(names) <= set(RECORD_FIELDS)
    same = total = 0
    for name in names:
        columns = [(one.ours[name], one.official_column(name)) for one in decoded]
        assert any(np.isfinite(theirs).any() for _, theirs in columns), name
        total += sum(len(theirs) for _, theirs in columns)
        same += sum(equal(*pair) for pair in columns)
    measure = f"records' {what}, equal of all"
    outside(measure, total, same, 0, OFFICIAL, "reference library", "values")


def test_record_values_are_those_of_a_decoder_in_rust(outside, decoded: list[Decoded]) -> None:
    same = total = 0
    for one in decoded:
        for name in RECORD_FIELDS:
            nothing = np.full(len(one.ours[name]), np.nan)
            total += len(nothing)
            same += equal(one.ours[name], one.rust.get(name, nothing))
    measure = "seven fields of records, equal of all"
    outside(measure, total, same, 0, RUST, "reference library", "values")


def test_sessions_are_the_official_ones(outside, decoded: list[Decoded]) -> None:
    pairs = [
        (leg, session)
        for one in decoded
        for leg, session in zip(
            one.content.recordings, one.official.get("session_mesgs", []), strict=True
        )
    ]
    same = sum(leg_of(session) == told(leg) for leg, session in pairs)
    measure = "legs with sport, start, timer and distance as in their session"
    outside(measure, len(pairs), same, 0, OFFICIAL, "reference library", "legs")
    rated = [(leg, session) for leg, session in pairs if "workout_rpe" in session]
    same = sum(leg.session_rpe == session["workout_rpe"] / 10 for leg, session in rated)
    measure = "session RPE as rated, a tenth of workout_rpe"
    outside(measure, len(rated), same, 0, OFFICIAL, "reference library", "legs")
    assert rated


def leg_of(session: dict[str, Any]) -> tuple[str, datetime, float, float]:
    """What the official decoder says of a leg; -1 where it has no distance."""
    distance = session.get("total_distance", -1.0)
    return session["sport"], session["start_time"], session["total_timer_time"], distance


def told(leg: Any) -> tuple[str, datetime, float, float]:
    distance = float(np.nan_to_num(leg.total_distance_m, nan=-1.0))
    return leg.sport, leg.start_utc, leg.total_timer_s, distance


def test_nights_are_the_official_ones(outside, decoded: list[Decoded]) -> None:
    held = ours = 0.0
    for one in decoded:
        levels = one.official.get("sleep_level_mesgs", [])
        held += sum(
            (after["timestamp"] - level["timestamp"]).total_seconds()
            for level, after in pairwise(levels)
            if level["sleep_level"] in ("light", "deep", "rem")
        )
        ours += sum(sleep.asleep_s for sleep in one.content.sleeps)
    assert held > 0
    outside("time asleep of all nights", held, ours, 0, OFFICIAL, "reference library", "s")


def test_gpx_points_are_those_of_gpxpy(outside) -> None:
    same = total = 0
    for path in sorted(SAMPLE.rglob("*.gpx")):
        (leg,) = read_gpx(path.read_bytes()).recordings
        (track,) = gpxpy.parse(path.read_text(encoding="utf-8")).tracks
        points = [point for segment in track.segments for point in segment.points]
        theirs = np.array(
            [(p.time.timestamp(), p.latitude, p.longitude, p.elevation) for p in points], float
        )
        ours = leg.samples[["time_s", "lat", "lon", "altitude_m"]].to_numpy()
        total += theirs.size
        same += equal(ours.ravel(), theirs.ravel())
    assert total > 1000
    measure = "GPX times, positions and heights, equal of all"
    outside(measure, total, same, 0, library("gpxpy", "gpxpy.parse"), "reference library", "values")


def test_tcx_points_are_those_of_tcxreader(outside) -> None:
    same = total = 0
    for path in sorted(SAMPLE.rglob("*.tcx")):
        (leg,) = read_tcx(path.read_bytes()).recordings
        points = TCXReader().read(str(path), only_gps=False).trackpoints
        theirs = np.array(
            [(p.latitude, p.longitude, p.elevation, p.distance, p.hr_value) for p in points], float
        )
        names = ["lat", "lon", "altitude_m", "distance_m", "heart_rate_bpm"]
        total += theirs.size
        same += equal(leg.samples[names].to_numpy().ravel(), theirs.ravel())
    assert total > 1000
    measure = "TCX positions, heights, distances and heart rates, equal of all"
    outside(
        measure, total, same, 0, library("tcxreader", "TCXReader"), "reference library", "values"
    )
