"""The sample's FIT files, as three independent decoders read them.

Outside checks: the official FIT SDK's package, and a decoder written in Rust (package `fitfast`).
"""

from __future__ import annotations

import gzip
from itertools import pairwise
from pathlib import Path
from typing import Any

import fitfast
import numpy as np
import pytest
from garmin_fit_sdk import Decoder, Stream

from taperback.importer.fit import read_fit
from taperback.importer.fit_messages import read_messages
from taperback.importer.recording import FileContent

SAMPLE = Path(__file__).parents[2] / "sample_data"
EVERY = 6
FIT_EPOCH_S = 631_065_600
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


def official(data: bytes) -> dict[str, Any]:
    stream = Stream.from_byte_array(bytearray(data))
    messages, errors = Decoder(stream).read(merge_heart_rates=False)
    assert errors == []
    return messages


def test_there_are_files_to_compare() -> None:
    assert len(files()) > 30
    assert any(legs_in(path) > 1 for path in files())


@pytest.mark.parametrize("path", files(), ids=lambda path: path.name)
def test_three_decoders_agree(path: Path) -> None:
    data = read(path)
    messages = official(data)
    assert_records(data, messages.get("record_mesgs", []))
    assert_sessions(read_fit(data), messages.get("session_mesgs", []))
    assert_nights(read_fit(data), messages.get("sleep_level_mesgs", []))


def assert_records(data: bytes, theirs: list[dict[str, Any]]) -> None:
    ours = read_messages(data).records
    rust = fitfast.records(data, degrees=False)
    stamps = [record["timestamp"].timestamp() - FIT_EPOCH_S for record in theirs]
    assert ours["timestamp"].tolist() == stamps
    for name in RECORD_FIELDS:
        column = np.array([record.get(name, np.nan) for record in theirs], float)
        np.testing.assert_array_equal(ours[name], column, err_msg=name)
        other = rust.get(name, np.full(len(column), np.nan))
        np.testing.assert_array_equal(ours[name], other, err_msg=name)


def assert_sessions(content: FileContent, theirs: list[dict[str, Any]]) -> None:
    assert [leg.sport for leg in content.recordings] == [session["sport"] for session in theirs]
    for leg, session in zip(content.recordings, theirs, strict=True):
        assert leg.start_utc == session["start_time"]
        assert leg.total_timer_s == session["total_timer_time"]
        assert leg.session_rpe == pytest.approx(
            session.get("workout_rpe", np.nan) / 10, nan_ok=True
        )
        distance = session.get("total_distance", np.nan)
        assert leg.total_distance_m == pytest.approx(distance, nan_ok=True)


def assert_nights(content: FileContent, theirs: list[dict[str, Any]]) -> None:
    held = [
        (after["timestamp"] - level["timestamp"]).total_seconds()
        for level, after in pairwise(theirs)
        if level["sleep_level"] in ("light", "deep", "rem")
    ]
    assert sum(sleep.asleep_s for sleep in content.sleeps) == sum(held)
