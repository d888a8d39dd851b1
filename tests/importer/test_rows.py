"""Contents become plain rows and come back the same."""

from __future__ import annotations

import math
from dataclasses import fields
from datetime import UTC, datetime

import numpy as np
import pytest

from importer.fit_files import run_file
from importer.xml_texts import tcx
from taperback.common.notices import note
from taperback.importer.file.one_file import Content, read_bytes
from taperback.importer.model import SUMMARY_COLUMNS, Bout, LegSummary
from taperback.importer.recording import SleepRecord
from taperback.importer.store.columns import LEG_CODECS
from taperback.importer.store.rows import NOT_OURS, pack, unpack

MOMENT = datetime(2030, 5, 1, 6, 0, 0, 123_457, tzinfo=UTC)


def alike(one: object, other: object) -> bool:
    if isinstance(one, float) and math.isnan(one):
        return isinstance(other, float) and math.isnan(other)
    if isinstance(one, np.ndarray):
        return isinstance(other, np.ndarray) and np.array_equal(one, other, equal_nan=True)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, (Bout, LegSummary)):
        return all(alike(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    return one == other


def test_every_column_of_a_summary_has_a_codec() -> None:
    assert set(LEG_CODECS) | {"file", "digest"} == set(SUMMARY_COLUMNS)


@pytest.mark.parametrize("data", [run_file(700), tcx(), b"junk"])
def test_a_content_comes_back_the_same(data: bytes) -> None:
    content = read_bytes(data, "d" * 64)
    again = unpack(pack(content), "")
    for name in ("digest", "file_format", "remarks", "sleeps", "legs"):
        assert alike(getattr(content, name), getattr(again, name)), name


def test_rows_hold_only_plain_values() -> None:
    (leg,) = pack(read_bytes(run_file(700), "d")).legs
    assert {type(value) for value in leg} <= {int, float, str, bytes, type(None)}


def test_sleeps_remarks_and_bouts_come_back_the_same() -> None:
    sleep = SleepRecord(MOMENT, MOMENT.replace(hour=13), 25_000.5)
    remark = note("a", "found — äö", "do")
    content = Content("d", "fit", sleeps=(sleep,), remarks=(remark,))
    again = unpack(pack(content), "x/y.fit")
    assert again.remarks == (remark.at("x/y.fit"),)
    assert again.sleeps[0].start_utc == MOMENT
    assert math.isnan(again.sleeps[0].utc_offset_s)
    bout = Bout(1.0, 2.0, math.nan, 4.0, math.nan, 6.0)
    codec = LEG_CODECS["bouts"]
    assert alike(codec.decode(codec.encode((bout, bout))), (bout, bout))
    assert codec.decode(codec.encode(())) == ()


def test_a_remark_of_a_leg_is_told_of_the_name_it_is_read_under() -> None:
    content = read_bytes(tcx(), "d")
    legs = unpack(pack(content), "b.tcx").legs
    assert {leg.file for leg in legs} == {"b.tcx"}


DEEP = "[" * 100_000


@pytest.mark.parametrize(
    ("column", "value"),
    [
        *((column, b"123") for column in ("power_seconds", "bouts", "remarks", "start_utc")),
        *(("start_utc", moment) for moment in (9 * 10**18, -(10**16), None)),
        *(("elapsed_s", seconds) for seconds in (None, math.inf)),
        ("file_utc_offset_s", 1e9),
        *(("zone", name) for name in ("No/Where", "Europe", "x" * 300, 3)),
        *((name, bytes(8)) for name in ("best_power_w", "best_speed_mps")),
        *((f"half_{name}", b"") for name in ("speed_mps", "power_w", "heart_rate_bpm")),
        ("sport", 7),
        ("leg_index", "first"),
        *((name, text) for name in ("file_thresholds", "removed_s") for text in (DEEP, "[1]")),
        *(("remarks", text) for text in (DEEP, '[["1", "", "", "", "", "note"]]')),
    ],
)
def test_a_leg_that_was_tampered_with_is_an_error(column: str, value: object) -> None:
    row = pack(read_bytes(run_file(700), "d"))
    leg = list(row.legs[0])
    leg[list(LEG_CODECS).index(column)] = value
    with pytest.raises(NOT_OURS):
        unpack(row._replace(legs=(tuple(leg),)), "a.fit")


@pytest.mark.parametrize(
    "sleeps",
    [
        DEEP,
        "[[0, 9]]",
        "[[0, 9000000000000000000, 5.0, null]]",
        "[[0, 9, NaN, null]]",
        '[[0, 9, "long", null]]',
        "[[0, 9, 5.0, 1e9]]",
    ],
)
def test_sleep_that_was_tampered_with_is_an_error(sleeps: str) -> None:
    with pytest.raises(NOT_OURS):
        unpack(pack(Content("d", "fit"))._replace(sleeps=sleeps), "a.fit")
