"""Days as people type them: read where they can only mean one thing, asked about where not."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.common.errors import InputError
from taperback.journal.days import day_reader

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
