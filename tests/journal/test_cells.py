"""Cells as people type them, read as they are meant."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.journal.cells import number
from taperback.journal.sports import race_sports
from taperback.journal.times import duration_s, hours


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
    assert (
        race_sports("Swim/Bike/Run")
        == race_sports("triathlon")
        == ("swimming", "cycling", "running")
    )
