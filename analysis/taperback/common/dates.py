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


_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def weekday(day: date) -> str:
    """The name of the day of the week.

    >>> weekday(date(2030, 5, 4))
    'Saturday'
    """
    return _WEEKDAYS[day.weekday()]


def weekday_day_month(day: date) -> str:
    """A day of a known year with its day of the week.

    >>> weekday_day_month(date(2030, 5, 4))
    'Saturday 4 May'
    """
    return f"{weekday(day)} {day_month(day)}"
