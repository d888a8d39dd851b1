"""Nights from sleep levels."""

from __future__ import annotations

from datetime import timedelta

import pytest

from fit_writer import FitWriter
from importer.fit_files import START, START_S
from taperback.common.errors import InputError
from taperback.importer.fit.read import read_fit
from taperback.importer.recording import SleepRecord


def nights(*levels: tuple[float, str]) -> tuple[SleepRecord, ...]:
    """Nights from (hours after the start, level)."""
    writer = FitWriter()
    for hour, level in levels:
        writer.message("sleep_level", timestamp=START_S + 3600 * hour, sleep_level=level)
    return read_fit(writer.bytes()).sleeps


def test_lying_awake_first_and_last_is_no_sleep() -> None:
    (night,) = nights((0, "awake"), (1, "light"), (3, "deep"), (5, "awake"), (6, "awake"))
    assert (night.start_utc, night.end_utc) == (
        START + timedelta(hours=1),
        START + timedelta(hours=5),
    )
    assert night.asleep_s == 4 * 3600


def test_an_hour_awake_is_part_of_the_night_and_not_of_the_sleep() -> None:
    (night,) = nights((0, "light"), (2, "awake"), (3, "rem"), (4, "awake"))
    assert night.asleep_s == 3 * 3600
    assert night.end_utc == START + timedelta(hours=4)


def test_four_hours_awake_part_two_nights() -> None:
    first, second = nights((0, "light"), (2, "awake"), (6, "rem"), (7, "awake"))
    assert (first.asleep_s, second.asleep_s) == (2 * 3600, 3600)


def test_a_level_that_holds_for_a_day_is_no_sleep() -> None:
    found = nights((0, "deep"), (2, "light"), (26, "deep"), (27, "awake"))
    assert [night.asleep_s for night in found] == [2 * 3600, 3600]


def test_levels_out_of_order_are_sorted() -> None:
    (night,) = nights((2, "awake"), (0, "light"), (1, "deep"))
    assert night.asleep_s == 2 * 3600


def test_unmeasurable_hours_alone_are_no_night() -> None:
    with pytest.raises(InputError, match="no activity and no sleep"):
        nights((0, "unmeasurable"), (5, "awake"))
