"""The day and hour that a file's own name gives."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, time

_DAY = r"(?<!\d)(20\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?(0[1-9]|[12]\d|3[01])(?!\d{3})"
_HOUR = r"(?:[-_ T]{1,3}([01]\d|2[0-3])[-_.:h]?([0-5]\d)(?:[-_.:]?([0-5]\d))?(?!\d))?"
_MOMENT = re.compile(_DAY + _HOUR)


@dataclass(frozen=True, order=True)
class Moment:
    """A local day, and the local hour where one stands beside it."""

    day: date
    hour: time | None = None


def named_moment(name: str) -> Moment | None:
    """What a file's own name gives; None where it tells no day.

    >>> named_moment("2030/2030-05-01-0700-run.fit")
    Moment(day=datetime.date(2030, 5, 1), hour=datetime.time(7, 0))
    >>> named_moment("20300501_073015.tcx").hour, named_moment("2030-05-01-10k.fit").hour
    (datetime.time(7, 30, 15), None)
    >>> named_moment("2030-05-01.zip!0107.fit"), named_moment("run.fit")
    (None, None)
    """
    found = _MOMENT.search(name.replace("!", "/").rpartition("/")[2])
    if not found:
        return None
    year, month, day, *at = (int(text) for text in found.groups() if text)
    try:
        return Moment(date(year, month, day), time(at[0], at[1], sum(at[2:])) if at else None)
    except ValueError:
        return None
