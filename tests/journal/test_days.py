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


@pytest.mark.parametrize(
    "cell",
    [
        "15 Oct 2023",
        "15. October 2023",
        "15-Oct-23",
        "15 Oct, 2023",
        "15th Oct 2023",
        "Oct 15, 2023",
        "October 15 2023",
        "Sun, 15 Oct 2023",
        "15.10.23",
        "15/10/23",
        "2023/10/15",
        "20231015",
    ],
)
def test_a_spreadsheets_day_is_the_day_it_shows(cell: str) -> None:
    assert day_reader([cell])(cell) == date(2023, 10, 15)


@pytest.mark.parametrize(
    ("column", "told"),
    [
        (["5/13/23", "5/6/23"], date(2023, 5, 6)),
        (["13/5/23", "5/6/23"], date(2023, 6, 5)),
        (["13-06-99", "04-06-05"], date(2005, 6, 4)),
        (["99-05-31", "04-06-05"], date(2004, 6, 5)),
        (["1/2/69", "13/2/69", "13/2/68"], date(2068, 2, 13)),
    ],
)
def test_a_year_of_two_digits_is_read_where_the_column_decides(
    column: list[str], told: date
) -> None:
    assert day_reader(column)(column[-1]) == told


@pytest.mark.parametrize("cell", ["5/6/23", "23-10-15", "10-11-12", "5-6-23"])
def test_a_short_day_that_could_be_two_is_asked_about(cell: str) -> None:
    with pytest.raises(InputError, match="can be read as two days; write days as"):
        day_reader([cell])(cell)


@pytest.mark.parametrize(
    "cell", ["31 Feb 2023", "15 Okt 2023", "15 Mayo 2023", "30.2.23", "Oct 2023"]
)
def test_what_is_no_day_is_one_line(cell: str) -> None:
    with pytest.raises(InputError, match="is not a date; write it as 2030-05-31"):
        day_reader([cell])(cell)
