"""Days as people write them, in any locale the same."""

from __future__ import annotations

from datetime import date

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def day_month_year(day: date) -> str:
    """A date with its year.

    >>> day_month_year(date(2030, 5, 4))
    '4 May 2030'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def day_month(day: date) -> str:
    """A day of a known year, such as 4 May."""
    return f"{day.day} {_MONTHS[day.month - 1][:3]}"
