"""Where a leg lies in the athlete's calendar."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pandas as pd
import pytest

from importer.test_copies import LEG
from taperback.importer.local_day import place_legs, unix_seconds, zone_at
from taperback.importer.model import PLACED_COLUMNS, legs_frame

NAN = float("nan")


def placed(offset_s: float, zone: str, start: str = "2030-05-01T22:30:00Z") -> pd.Series:
    legs = legs_frame([LEG]).assign(file_utc_offset_s=offset_s, zone=zone)
    legs["start_utc"] = pd.to_datetime([start], utc=True)
    return place_legs(legs, "America/Lima").iloc[0]


@pytest.mark.parametrize(
    ("in_file_s", "zone", "believed", "day"),
    [
        (7200.0, "Asia/Tokyo", ("file", 7200.0), date(2030, 5, 2)),
        (0.0, "Asia/Tokyo", ("position", 32400.0), date(2030, 5, 2)),
        (0.0, "Africa/Accra", ("file", 0.0), date(2030, 5, 1)),
        (0.0, "", ("file", 0.0), date(2030, 5, 1)),
        (NAN, "Asia/Kathmandu", ("position", 20_700.0), date(2030, 5, 2)),
        (NAN, "", ("home", -18_000.0), date(2030, 5, 1)),
    ],
)
def test_the_file_comes_first_then_the_position_then_home(
    in_file_s: float, zone: str, believed: tuple[str, float], day: date
) -> None:
    row = placed(in_file_s, zone)
    assert (row["offset_source"], row["utc_offset_s"]) == believed
    assert row["local_day"] == day
    assert type(row["local_day"]) is date


def test_the_local_start_is_the_clock_on_the_wall() -> None:
    assert placed(7200.0, "")["local_start"] == pd.Timestamp("2030-05-02 00:30:00")


def test_summer_time_counts() -> None:
    assert placed(NAN, "Europe/Lisbon", "2030-01-10T09:00:00Z")["utc_offset_s"] == 0
    assert placed(NAN, "Europe/Lisbon", "2030-07-10T09:00:00Z")["utc_offset_s"] == 3600


def test_a_place_has_a_zone_and_nowhere_has_none() -> None:
    assert zone_at(35.0, 139.0) == "Asia/Tokyo"
    assert zone_at(NAN, 139.0) == ""


def test_no_legs_are_placed_without_complaint() -> None:
    assert tuple(place_legs(legs_frame([]), "Etc/UTC").columns) == PLACED_COLUMNS


def test_unix_seconds_are_those_of_the_moment() -> None:
    moment = datetime(2030, 5, 1, 6, 0, 0, 250_000, tzinfo=UTC)
    seconds = unix_seconds(pd.to_datetime(pd.Series([moment]), utc=True))
    assert np.array_equal(seconds, [moment.timestamp()])
