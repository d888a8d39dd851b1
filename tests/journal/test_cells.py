"""Cells as people type them: read where they can only mean one thing, asked about where not."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.errors import InputError
from taperback.journal.cells import day_reader, duration_s, hours, number, sports

DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))
STYLES = {
    "year first": "{0.year:04d}-{0.month:02d}-{0.day:02d}",
    "year first, slashes": "{0.year:04d}/{0.month:02d}/{0.day:02d}",
    "dots": "{0.day}.{0.month}.{0.year}",
    "dots with noughts": "{0.day:02d}.{0.month:02d}.{0.year}",
}


@settings(max_examples=60, deadline=None)
@given(st.lists(DAYS, min_size=1, max_size=8), st.sampled_from(sorted(STYLES)))
def test_clear_styles_come_back_as_the_same_days(days: list[date], style: str) -> None:
    typed = [STYLES[style].format(day) for day in days]
    read = day_reader(typed)
    assert [read(cell) for cell in typed] == days


@settings(max_examples=60, deadline=None)
@given(st.lists(DAYS, min_size=1, max_size=8), st.sampled_from("/-"), st.booleans())
def test_the_year_last_is_read_where_a_cell_decides_and_never_wrongly(
    days: list[date], mark: str, day_first: bool
) -> None:
    order = "{0.day}{1}{0.month}{1}{0.year}" if day_first else "{0.month}{1}{0.day}{1}{0.year}"
    typed = [order.format(day, mark) for day in days]
    read = day_reader(typed)
    decided = any(day.day > 12 for day in days)
    for cell, day in zip(typed, days, strict=True):
        if decided or day.day == day.month:
            assert read(cell) == day
        else:
            with pytest.raises(InputError, match="can be read as two days; write days as"):
                read(cell)


def test_a_column_that_contradicts_itself_is_asked_about() -> None:
    read = day_reader(["25/6/2030", "6/25/2030"])
    with pytest.raises(InputError, match="'25/6/2030' can be read as two days"):
        read("25/6/2030")


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 35 * 3600))
def test_a_time_taken_comes_back_in_seconds(seconds: int) -> None:
    told = timedelta(seconds=seconds)
    hour, minute, second = seconds // 3600, seconds % 3600 // 60, seconds % 60
    assert duration_s(f"{hour}:{minute:02d}:{second:02d}") == told.total_seconds()
    assert duration_s(f"{hour}h{minute:02d}m{second:02d}") == told.total_seconds()


@pytest.mark.parametrize(
    ("cell", "value"),
    [("7.5", 7.5), ("7,5", 7.5), ("7:30", 7.5), ("7h30", 7.5), ("7h", 7.0), ("7:30:36", 7.51)],
)
def test_hours_in_every_common_dress(cell: str, value: float) -> None:
    assert hours(cell, most=24) == value


@settings(max_examples=40, deadline=None)
@given(st.decimals(0, 10, places=1))
def test_a_decimal_comma_is_a_decimal_point(value: object) -> None:
    text = str(value)
    point = number(text, low=0, high=10, what="a number")
    assert number(text.replace(".", ","), low=0, high=10, what="a number") == point


def test_sports_in_the_words_of_the_trade() -> None:
    assert sports("Swim/Bike/Run") == sports("triathlon") == ("swimming", "cycling", "running")
