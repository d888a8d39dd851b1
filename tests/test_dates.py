"""Days are written the same on every machine."""

from __future__ import annotations

from datetime import date

from taperback.common.dates import day_month, day_month_year


def test_dates_do_not_depend_on_the_locale() -> None:
    assert day_month_year(date(2030, 12, 1)) == "1 December 2030"
    assert day_month(date(2030, 6, 4)) == "4 Jun"
