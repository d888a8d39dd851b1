"""Stretches of sleep become nights of the day of waking."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pandas as pd

from importer.test_copies import LEG
from taperback.importer.local_day import place_legs
from taperback.importer.model import NIGHT_COLUMNS, legs_frame
from taperback.importer.nights import clock_of, nights_frame
from taperback.importer.recording import SleepRecord

EVENING = datetime(2030, 5, 1, 22, 0, tzinfo=UTC)


def asleep(since_h: float, until_h: float, hours: float | None = None) -> SleepRecord:
    """Sleep between so many hours after the evening of 1 May, 22:00 local."""
    start, end = (EVENING + timedelta(hours=h) for h in (since_h, until_h))
    return SleepRecord(start, end, 3600 * (until_h - since_h if hours is None else hours))


def nights(*sleeps: SleepRecord, offset_s: float = 0.0) -> tuple[list, list[str]]:
    told = [(f"{place}.fit", sleep) for place, sleep in enumerate(sleeps)]
    frame, notices = nights_frame(told, lambda _: offset_s)
    assert tuple(frame.columns) == NIGHT_COLUMNS
    return frame[["day", "sleep_h"]].values.tolist(), [str(notice) for notice in notices]


def test_a_night_belongs_to_the_day_of_waking() -> None:
    assert nights(asleep(0, 8, 7.5)) == ([[date(2030, 5, 2), 7.5]], [])


def test_a_night_in_two_stretches_is_one_even_across_midnight() -> None:
    assert nights(asleep(-1, 1), asleep(3, 8)) == ([[date(2030, 5, 2), 7.0]], [])


def test_sleep_again_after_hours_awake_adds_to_the_same_morning() -> None:
    assert nights(asleep(0, 4), asleep(8, 12)) == ([[date(2030, 5, 2), 8.0]], [])


def test_a_nap_by_day_is_no_night_and_is_told() -> None:
    found, told = nights(asleep(0, 8), asleep(16, 17.5))
    assert found == [[date(2030, 5, 2), 8.0]]
    assert told == ["1.fit: a nap of 1.5 h on 2030-05-02 was not counted as a night"]


def test_a_night_worker_sleeps_by_day() -> None:
    assert nights(asleep(12, 19)) == ([[date(2030, 5, 2), 7.0]], [])


def test_a_night_told_by_two_files_counts_once_the_fuller_way() -> None:
    assert nights(asleep(0, 8, 6.0), asleep(0.5, 8, 7.0)) == ([[date(2030, 5, 2), 7.0]], [])


def test_the_local_clock_tells_the_day() -> None:
    assert nights(asleep(0, 8), offset_s=-9 * 3600)[0] == [[date(2030, 5, 1), 8.0]]
    own = SleepRecord(EVENING, EVENING + timedelta(hours=8), 8 * 3600, utc_offset_s=20 * 3600)
    assert nights(own)[0] == [[date(2030, 5, 3), 8.0]]


def test_on_a_trip_the_nearest_training_tells_the_clock() -> None:
    legs = place_legs(legs_frame([LEG]).assign(file_utc_offset_s=9 * 3600.0), "Etc/UTC")
    offset_at = clock_of(legs, "Europe/Lisbon")
    moment = LEG.start_utc.timestamp()
    assert offset_at(moment + 20 * 3600) == 9 * 3600
    assert offset_at(moment - 5 * 86_400) == 3600
    assert clock_of(legs.iloc[:0], "Europe/Lisbon")(moment) == 3600


def test_no_sleep_gives_an_empty_table() -> None:
    frame, notices = nights_frame([("a.fit", asleep(0, 8, 0.0))], lambda _: 0.0)
    assert isinstance(frame, pd.DataFrame)
    assert frame.empty
    assert notices == []
