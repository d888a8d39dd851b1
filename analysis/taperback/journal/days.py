"""What a typed day means; one cell cannot always tell, its column can."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import date

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.journal.cells import quoted

_LOCAL_DAY = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})")
_NAMED_DAY = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[ .-]+([a-z]{3,9})[ .,-]+(\d{4}|\d{2})")
_NAMED_MONTH = re.compile(r"([a-z]{3,9})[ .-]+(\d{1,2})(?:st|nd|rd|th)?[ ,-]+(\d{4})")
_MONTHS = {
    name: place
    for place, names in enumerate(
        (
            "jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july",
            "aug august", "sep sept september", "oct october", "nov november", "dec december",
        ),
        1,
    )
    for name in names.split()
}  # fmt: skip


def day(cell: str) -> date:
    """A calendar day, year first or with the name of its month in English.

    >>> day("2030-05-01"), day("15 Oct 2023"), day("1-May-30")
    (datetime.date(2030, 5, 1), datetime.date(2023, 10, 15), datetime.date(2030, 5, 1))
    """
    try:
        return believed(_named_day(cell) or date.fromisoformat(cell.strip().replace("/", "-")))
    except ValueError:
        found = f"{quoted(cell)} is not a date"
        raise InputError(found, "write it as 2030-05-31") from None


def _named_day(cell: str) -> date | None:
    """The day of a cell with the name of a month, None where it has none.

    Raises:
        ValueError: the month has no such day.
    """
    typed = re.sub(r"^[a-z]{3,9},? +(?=\d)", "", cell.strip().lower())  # the day of the week
    parts = _NAMED_DAY.fullmatch(typed)
    turned = _NAMED_MONTH.fullmatch(cell.strip().lower())
    number, name, year = parts.groups() if parts else ("", "", "")
    if turned:
        name, number, year = turned.groups()
    return date(_year(year), _MONTHS[name], int(number)) if name in _MONTHS else None


def _year(typed: str) -> int:
    """A year of four digits, or of two: 69 to 99 are of the last century (POSIX, `strptime`)."""
    year = int(typed)
    return year if len(typed) == 4 else year + (1900 if year >= 69 else 2000)


def day_reader(column: Iterable[str]) -> Callable[[str], date]:
    """How the days of one column are to be read, decided from all its cells.

    Year first is always understood, and so is a month's name. With the year last, dots mean the
    day first; with slashes or dashes one cell that cannot be read otherwise decides for the column.
    With dashes a year of two digits may also come first. Where nothing decides, or two cells
    contradict each other, such cells are asked about and never guessed.

    >>> day_reader(["5/6/2030", "25/6/2030"])("5/6/2030")
    datetime.date(2030, 6, 5)

    Returns:
        a reader that raises `InputError` for a cell that is no day, or could be two.
    """
    orders = {"dmy", "mdy", "ymd"}
    for readings in map(_readings, column):
        if readings and "dots" not in readings:
            orders &= readings.keys()

    def read(cell: str) -> date:
        readings = _readings(cell)
        if not readings:
            return day(cell)
        days = {read_as for order, read_as in readings.items() if order in (orders | {"dots"})}
        if len(readings) > 1 and len(set(readings.values())) == 1:  # 5/5/2030
            days = set(readings.values())
        if len(days) != 1:
            remedy = "write days as 2030-05-31 in this column"
            raise InputError(f"{quoted(cell)} can be read as two days", remedy)
        return believed(days.pop())

    return read


def _readings(cell: str) -> dict[str, date]:
    """What a cell with its year last can mean, by the order of day, month and year."""
    parts = _LOCAL_DAY.fullmatch(cell.strip())
    if not parts:
        return {}
    first, mark, second, last = parts.groups()
    ways = {"dmy": (last, second, first), "mdy": (last, first, second)}
    if mark == ".":
        ways = {"dots": (last, second, first)}
    elif mark == "-" and len(last) == 2 and len(first) == 2:
        ways["ymd"] = (first, second, last)
    found = {}
    for order, (year, month, number) in ways.items():
        with suppress(ValueError):
            found[order] = date(_year(year), int(month), int(number))
    return found


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
