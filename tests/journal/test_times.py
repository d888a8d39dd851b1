"""Times as people type them: of races, to the hundredth; of sessions, in hours or in minutes."""

from __future__ import annotations

from datetime import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.common.errors import InputError
from taperback.journal.times import (
    clock,
    duration_s,
    hours_s,
    minutes_s,
    session_reader,
    time_of_day,
)


@pytest.mark.parametrize(
    ("cell", "seconds", "shown"),
    [
        ("59.87", 59.87, "59.87"),
        ("59,87", 59.87, "59.87"),
        ("9.58 s", 9.58, "9.58"),
        ("1:00.5", 60.5, "1:00.50"),
        ("2:03:11.4", 7391.4, "2:03:11.40"),
        ("1m00.5s", 60.5, "1:00.50"),
        ("58min", 3480.0, "0:58:00"),
        ("2:05:30", 7530.0, "2:05:30"),
        ("0:59.996", 59.996, "0:01:00"),
    ],
)
def test_hundredths_are_read_and_shown(cell: str, seconds: float, shown: str) -> None:
    assert duration_s(cell) == seconds
    assert clock(duration_s(cell)) == shown


@settings(max_examples=80, deadline=None)
@given(st.integers(500, 35 * 360_000))
def test_a_time_as_it_is_shown_is_read_as_the_same_time(hundredths: int) -> None:
    assert duration_s(clock(hundredths / 100)) == pytest.approx(hundredths / 100, abs=1e-6)


@pytest.mark.parametrize("cell", ["2.05", "0.0871", "60", "75.5", "1:75", "1:00.5.2", "42", "s"])
def test_what_can_mean_something_else_is_no_sprint(cell: str) -> None:
    with pytest.raises(InputError, match=r"write (it as )?h:mm:ss"):
        duration_s(cell)


SESSIONS = [
    (["1:05:00", "1h05", "65 min", "65min"], [3900.0] * 4),
    (["0:45", "1:30", "10:00"], [2700.0, 5400.0, 36_000.0]),
    (["45:00", "5:30", "1:05:00"], [2700.0, 330.0, 3900.0]),
    (["1:30", "2:00"], [5400.0, 7200.0]),
    (["45", "90", "10", "240"], [2700.0, 5400.0, 600.0, 14_400.0]),
    (["1.5", "0,75", "2"], [5400.0, 2700.0, 7200.0]),
    (["52:30.5"], [3150.5]),
]


@pytest.mark.parametrize(("column", "seconds"), SESSIONS, ids=lambda found: str(found[:2]))
def test_a_column_says_how_its_durations_are_meant(column: list[str], seconds: list[float]) -> None:
    assert [session_reader(column)(cell) for cell in column] == pytest.approx(seconds)


OPEN = [
    (["1:05:00", "1:30"], "1:30", "can be hours and minutes or minutes and seconds"),
    (["0:45", "45:00", "1:30"], "1:30", "can be hours and minutes or minutes and seconds"),
    (["1", "2"], "2", "can be hours or minutes"),
    (["45", "1.5"], "1.5", "can be hours or minutes"),
    (["0.03125", "0.0417"], "0.03125", "can be hours or minutes"),  # parts of a day
    (["0:00"], "0:00", "is no length of a session"),
    (["169:00:00"], "169:00:00", "is no length of a session"),
    (["14:75"], "14:75", "has more than 59 minutes"),
    (["easy"], "easy", "is not a time"),
]


@pytest.mark.parametrize(("column", "cell", "words"), OPEN, ids=lambda found: str(found)[:30])
def test_what_stays_open_is_asked_about(column: list[str], cell: str, words: str) -> None:
    with pytest.raises(InputError) as told:
        session_reader(column)(cell)
    assert words in told.value.found
    assert "h:mm:ss" in told.value.remedy


def test_a_column_that_names_its_unit_leaves_nothing_open() -> None:
    assert [minutes_s(cell) for cell in ("10", "7.5", "1:05:00")] == [600.0, 450.0, 3900.0]
    assert [hours_s(cell) for cell in ("2", "0.05", "1h05")] == [7200.0, 180.0, 3900.0]


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("7:30", time(7, 30)),
        ("07:30:00", time(7, 30)),
        ("7h30", time(7, 30)),
        ("7.30 pm", time(19, 30)),
        ("12:05 am", time(0, 5)),
        ("9 a.m.", time(9, 0)),
    ],
)
def test_a_time_of_day_in_every_common_dress(cell: str, told: time) -> None:
    assert time_of_day(cell) == told


@pytest.mark.parametrize("cell", ["7", "25:00", "morning", "7:75", "13 pm m"])
def test_what_is_no_time_of_day_is_asked_about(cell: str) -> None:
    with pytest.raises(InputError, match="is not a time of day; write it as 07:30"):
        time_of_day(cell)
