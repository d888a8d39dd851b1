"""Contents become bytes and come back the same; what is not as it may be is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields, replace
from datetime import UTC, datetime

import msgspec
import numpy as np
import pytest

from importer.fit_files import run_file
from importer.xml_texts import tcx
from taperback.common.notices import note
from taperback.importer.file.one_file import Content, read_bytes
from taperback.importer.model import Bout, LegSummary
from taperback.importer.recording import SleepRecord
from taperback.importer.store.codec import NotOursError, framed, pack, unpack
from taperback.importer.store.rows import ContentRow

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


def back(content: Content, file: str = "") -> Content:
    (again,) = unpack([(file, pack(content))])
    return again


@pytest.mark.parametrize("data", [run_file(700), tcx(), b"junk"])
def test_a_content_comes_back_the_same(data: bytes) -> None:
    content = read_bytes(data, "d" * 64)
    again = back(content)
    for name in ("digest", "file_format", "remarks", "sleeps", "legs"):
        assert alike(getattr(content, name), getattr(again, name)), name


def test_sleeps_remarks_and_bouts_come_back_the_same() -> None:
    sleep = SleepRecord(MOMENT, MOMENT.replace(hour=13), 25_000.5)
    remark = note("a", "found — äö", "do")
    again = back(Content("d", "fit", sleeps=(sleep,), remarks=(remark,)), "x/y.fit")
    assert again.remarks == (remark.at("x/y.fit"),)
    assert again.sleeps[0].start_utc == MOMENT
    assert math.isnan(again.sleeps[0].utc_offset_s)
    bout = Bout(1.0, 2.0, math.nan, 4.0, math.nan, 6.0)
    one = replace(leg(), bouts=(bout, bout), remarks=(remark,))
    (kept,) = back(Content("d", "fit", (one,)), "x/y.fit").legs
    assert alike(kept.bouts, (bout, bout))
    assert kept.remarks == (remark.at("x/y.fit"),)
    assert alike(kept, replace(one, file="x/y.fit", remarks=kept.remarks))


def leg() -> LegSummary:
    return read_bytes(run_file(700), "d").legs[0]


def test_a_remark_of_a_leg_is_told_of_the_name_it_is_read_under() -> None:
    assert {one.file for one in back(read_bytes(tcx(), "d"), "b.tcx").legs} == {"b.tcx"}


def test_text_that_no_terminal_holds_is_kept_in_one_line() -> None:
    (remark,) = back(Content("d", "json", remarks=(note("a", "\ud800\n" + "x" * 9_000),))).remarks
    assert remark.found.startswith("\\ud800\\nxx")
    assert len(remark.found) == 2_000


@pytest.mark.parametrize("number", [math.inf, 1e300, -1.0])
def test_a_number_beyond_all_measure_costs_itself_and_is_told(number: float) -> None:
    (kept,) = back(Content("d", "fit", (replace(leg(), distance_m=number),)), "a.fit").legs
    assert math.isnan(kept.distance_m)
    assert kept.moving_s == leg().moving_s
    assert [str(remark) for remark in kept.remarks] == [
        "a.fit: distance: a value in it is beyond all measure, and so unknown"
    ]


@pytest.mark.parametrize(
    "wrong",
    [
        {"sport": "chess"},
        {"zone": "No/Where"},
        {"elapsed_s": math.nan},
    ],
)
def test_a_leg_that_is_none_costs_itself_and_is_told(wrong: dict) -> None:
    content = back(Content("d", "fit", (replace(leg(), **wrong), leg())), "a.fit")
    assert len(content.legs) == 1
    (name,) = wrong
    assert [str(remark) for remark in content.remarks] == [
        f"a.fit: leg 1 could not be understood ({name}); export the activity again"
    ]


def test_a_part_beyond_all_measure_costs_itself() -> None:
    bouts = (Bout(1.0, 2.0, -3.0, math.inf, 5.0, 6.0), Bout(1.0, 2.0, 3.0, 4.0, 5.0, 6.0))
    changes = {"best_power_w": np.zeros(3), "power_seconds": np.array([-1]), "bouts": bouts}
    (kept,) = back(Content("d", "fit", (replace(leg(), **changes),)), "a.fit").legs
    assert alike(kept.bouts, (Bout(1.0, 2.0, math.nan, math.nan, 5.0, 6.0), bouts[1]))
    assert np.isnan(kept.best_power_w).all()
    assert kept.power_seconds is None
    assert len(kept.remarks) == 3


DEEP: list = []
for _ in range(500):
    DEEP = [DEEP]

PLACES = [field.name for field in fields(LegSummary)][2:]


def tampered(change: Callable[[list], None]) -> ContentRow:
    """A whole content in which somebody changed something and put the checksum right."""
    plain = msgspec.msgpack.decode(pack(read_bytes(run_file(700), "d")).packed[4:])
    change(plain)
    return ContentRow("d", framed(msgspec.msgpack.encode(plain)))


@pytest.mark.parametrize(
    ("column", "value"),
    [
        *((column, b"123") for column in ("power_seconds", "bouts", "remarks", "start_utc")),
        *(("start_utc", moment) for moment in (datetime(1600, 1, 1, tzinfo=UTC), 9e18, None)),
        *(("elapsed_s", seconds) for seconds in (None, math.inf, math.nan, -1.0, "long")),
        *(("moving_s", seconds) for seconds in (math.inf, -1.0, 1e9)),
        *(("start_lat", degrees) for degrees in (91.0, -math.inf)),
        ("file_utc_offset_s", 1e9),
        *(("zone", name) for name in ("No/Where", "Europe", "x" * 300, 3)),
        *((name, bytes(8)) for name in ("best_power_w", "best_speed_mps")),
        ("best_power_w", np.full(17, np.inf).tobytes()),
        ("heart_rate_seconds", np.full(9, -1, "<i4").tobytes()),
        *((f"half_{name}", b"") for name in ("speed_mps", "power_w", "heart_rate_bpm")),
        *(("sport", word) for word in (7, "chess", "running\n")),
        ("sub_sport", "[[thresholds]]"),
        ("file_format", "exe\n"),
        ("leg_index", "first"),
        *((name, text) for name in ("file_thresholds", "removed_s") for text in (DEEP, [1])),
        ("file_thresholds", {"x = 1\n[[thresholds]]\ncritical_power_w": 9.0}),
        ("removed_s", {"a\nb": 9.0}),
        ("removed_s", {"pause": -math.inf}),
        *(("remarks", text) for text in (DEEP, [["1", "", "", "", "", "note"]])),
        ("remarks", [{"file": "", "row": 0, "column": "", "code": "", "found": "a\x1b[2J"}]),
        ("remarks", [{"file": "", "row": 0, "column": "", "code": "", "found": "a" * 9_999}]),
        ("bouts", [dict.fromkeys((field.name for field in fields(Bout)), math.inf)]),
    ],
)
def test_a_leg_that_was_tampered_with_is_an_error(column: str, value: object) -> None:
    def change(plain: list) -> None:
        plain[1][0][PLACES.index(column)] = value

    unpack([("a.fit", tampered(lambda plain: None))])
    with pytest.raises(NotOursError):
        unpack([("a.fit", tampered(change))])


NIGHT = {"start_utc": MOMENT, "end_utc": MOMENT, "asleep_s": 5.0, "utc_offset_s": math.nan}


@pytest.mark.parametrize(
    "wrong",
    [
        DEEP,
        {"end_utc": datetime(1600, 1, 1, tzinfo=UTC)},
        {"asleep_s": math.nan},
        {"asleep_s": "long"},
        {"utc_offset_s": 1e9},
    ],
)
def test_sleep_that_was_tampered_with_is_an_error(wrong: object) -> None:
    night = NIGHT | wrong if isinstance(wrong, dict) else wrong
    unpack([("a.json", tampered(lambda plain: plain.__setitem__(2, [NIGHT])))])
    with pytest.raises(NotOursError):
        unpack([("a.json", tampered(lambda plain: plain.__setitem__(2, [night])))])


@pytest.mark.parametrize("place", [0, 4, 500, -1])
def test_a_bit_that_flips_is_noticed(place: int) -> None:
    packed = bytearray(pack(read_bytes(run_file(700), "d")).packed)
    packed[place] ^= 1
    with pytest.raises(NotOursError):
        unpack([("a.fit", ContentRow("d", bytes(packed)))])
