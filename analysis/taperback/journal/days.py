"""What a typed day means; one cell cannot always tell, its column can."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.journal.cells import quoted

_LOCAL_DAY = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})")


def day(cell: str) -> date:
    """A calendar day, year first.

    >>> day("2030-05-01")
    datetime.date(2030, 5, 1)
    """
    try:
        return believed(date.fromisoformat(cell.strip().replace("/", "-")))
    except ValueError:
        raise _no_date(cell) from None


def day_reader(column: Iterable[str]) -> Callable[[str], date]:
    """How the days of one column are to be read, told from all its cells.

    Year first is always understood. With the year last, dots mean the day first; with slashes or
    dashes one cell that cannot be read otherwise decides for the column. Where none does, or two
    contradict each other, such cells are asked about and never guessed.

    >>> day_reader(["5/6/2030", "25/6/2030"])("5/6/2030")
    datetime.date(2030, 6, 5)

    Returns:
        a reader that raises `InputError` for a cell that is no day, or could be two.
    """
    firsts, seconds = [], []
    for cell in column:
        parts = _LOCAL_DAY.fullmatch(cell.strip())
        if parts and parts[2] != ".":
            firsts.append(int(parts[1]))
            seconds.append(int(parts[3]))
    day_first, month_first = max(firsts, default=0) > 12, max(seconds, default=0) > 12

    def read(cell: str) -> date:
        parts = _LOCAL_DAY.fullmatch(cell.strip())
        if not parts:
            return day(cell)
        first, second, year = int(parts[1]), int(parts[3]), int(parts[4])
        if parts[2] == "." or (day_first and not month_first):
            return _calendar_day(cell, year, second, first)
        if (month_first and not day_first) or first == second:
            return _calendar_day(cell, year, first, second)
        raise InputError(
            f"{quoted(cell)} can be read as two days", "write days as 2030-05-31 in this column"
        )

    return read


def _calendar_day(cell: str, year: int, month: int, day_of_month: int) -> date:
    try:
        return believed(date(year, month, day_of_month))
    except ValueError:
        raise _no_date(cell) from None


def believed(day: date) -> date:
    """The day, where its year is one that an athlete can have typed on purpose.

    Raises:
        InputError: it is not.
    """
    limits = LIMITS.journal
    first, last = limits.first_year, limits.last_year
    if not first <= day.year <= last:
        found = f"{day} lies in the year {day.year}"
        raise InputError(found, f"write a day of the years {first} to {last}")
    return day


def _no_date(cell: str) -> InputError:
    return InputError(f"{quoted(cell)} is not a date", "write it as 2030-05-31")
