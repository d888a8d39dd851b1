"""Times as people type them: how long something took, hours, and the time of day."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import time
from functools import partial

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.journal.cells import number, quoted

_FRACTION = r"(?:[.,]\d+)?"
_CLOCK = re.compile(rf"(?:(\d+):)?(\d{{1,3}}):(\d{{2}}{_FRACTION})")
_SPRINT = re.compile(r"()()(\d{1,2}[.,]\d{1,3})")
_SPOKEN = (
    re.compile(r"(\d+)h(?:(\d{1,2})(?:m(?:in)?)?(?:(\d{1,2})s?)?)?"),
    re.compile(rf"()(\d{{1,3}})m(?:in)?(?:(\d{{1,2}}{_FRACTION})(?:s(?:ec)?)?)?"),
    re.compile(rf"()()(\d{{1,2}}{_FRACTION})s(?:ec)?"),
)
_TIME_OF_DAY = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?(?::\d{2})?\s*([ap])?\.?(?:m\.?)?")


def duration_s(cell: str) -> float:
    """A time taken, in seconds: `2:05:30`, `58:20` (minutes), `2h05`, `2h05m30`, `1:00.5`, `59.87`.

    >>> duration_s("2:05:30"), duration_s("58:20"), duration_s("2h05"), duration_s("59.87")
    (7530.0, 3500.0, 7500.0, 59.87)
    """
    typed = cell.strip().lower().replace(" ", "")
    forms = (pattern.fullmatch(typed) for pattern in (_CLOCK, *_SPOKEN, _SPRINT))
    found = next(filter(None, forms), None)
    if not found:
        raise InputError(f"{quoted(cell)} is not a time", "write it as h:mm:ss")
    hours, minutes, seconds = (float((part or "0").replace(",", ".")) for part in found.groups())
    if seconds >= 60 or (hours and minutes >= 60):
        raise InputError(f"{quoted(cell)} has more than 59 minutes or seconds", "write h:mm:ss")
    total = hours * 3600 + minutes * 60 + seconds
    if not total:
        raise InputError(f"{quoted(cell)} is no time at all", "write h:mm:ss, or leave it empty")
    shortest = LIMITS.journal.shortest_sprint_s
    if found.re is _SPRINT and total < shortest:
        raise InputError(f"{quoted(cell)} would be {total:g} seconds", "write h:mm:ss")
    return total


def clock(seconds: float) -> str:
    """A time taken, as it is typed; with its hundredths where it has any.

    >>> clock(7530), clock(7391.4), clock(60.5), clock(59.87)
    ('2:05:30', '2:03:11.40', '1:00.50', '59.87')
    """
    whole, hundredths = divmod(round(100 * seconds), 100)
    minutes, rest = divmod(whole, 60)
    if not hundredths:
        return f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}"
    last = f"{rest:02d}.{hundredths:02d}"
    if minutes >= 60:
        return f"{minutes // 60}:{minutes % 60:02d}:{last}"
    return f"{minutes}:{last}" if minutes else last.removeprefix("0")


def about(seconds: float) -> str:
    """A time that a file or an estimate tells, as it is typed; in hundredths only if it is short.

    >>> about(8412.317), about(59.994)
    ('2:20:12', '59.99')
    """
    short = seconds < LIMITS.journal.longest_by_hundredths_s
    return clock(round(seconds, 2 if short else 0))


def hours(cell: str, *, most: float) -> float:
    """Hours as a number or a time: `7.5`, `7,5`, `7:30`, `7:30:00`, `7h30`.

    >>> hours("7.5", most=24), hours("7:30", most=24), hours("7h30", most=24)
    (7.5, 7.5, 7.5)
    """
    typed = cell.strip().lower().replace(" ", "")
    parts = re.fullmatch(r"(\d{1,3})[:h](?:(\d{2})(?:m|min|:(\d{2}))?)?", typed)
    whole, minutes, seconds = (int(part or 0) for part in parts.groups()) if parts else (0, 60, 60)
    digits = str(whole + minutes / 60 + seconds / 3600) if max(minutes, seconds) < 60 else cell
    return number(digits, low=0, high=most, what=f"hours from 0 to {most:g}, such as 7.5 or 7:30")


def time_of_day(cell: str) -> time:
    """A time on the athlete's watch: `7:30`, `07:30:00`, `7h30`, `7.30 am`.

    >>> time_of_day("7:30"), time_of_day("7.30 pm")
    (datetime.time(7, 30), datetime.time(19, 30))
    """
    parts = _TIME_OF_DAY.fullmatch(cell.strip().lower())
    if parts and (parts[2] or parts[3]):
        hour, minute = int(parts[1]), int(parts[2] or 0)
        half = {"a": 0, "p": 12}.get(parts[3])
        if half is not None and 1 <= hour <= 12:
            hour = hour % 12 + half
        if hour < 24 and minute < 60:
            return time(hour, minute)
    raise InputError(f"{quoted(cell)} is not a time of day", "write it as 07:30")


def session_reader(column: Iterable[str]) -> Callable[[str], float]:
    """How the durations of one column are to be read, decided from all its cells.

    `1:05:00`, `1h05` and `65 min` are clear. `45:00` and `0:45` can only be 45 minutes; `1:30` is
    read as the others of its column are. A bare number above `longest_bare_h` is minutes; others
    are hours where the column has decimals and nothing that must be minutes, and minutes where it
    has whole numbers and something that must be. What stays open is asked about and never guessed.

    >>> session_reader(["0:45", "1:30"])("1:30"), session_reader(["1:30", "45:00"])("45:00")
    (5400.0, 2700.0)

    Returns:
        a reader of seconds, which raises `InputError` for a cell that is none, or could be two.
    """
    most = LIMITS.journal.longest_bare_h
    clocks, bare, clear = [], [], False
    for cell in map(str.strip, column):
        pair, plain = _pair(cell), _bare(cell)
        clear = clear or (pair is None and ":" in cell)
        clocks += [] if pair is None else [pair[0]]
        bare += [] if plain is None else [plain]
    pairs = {60: any(first > most for first in clocks), 3600: 0 in clocks}
    if not clear and not any(pairs.values()):
        pairs[3600] = True  # no session after another lasts so few minutes
    minutes = any(value > most for value in bare)
    decimals = any(not value.is_integer() for value in bare)
    many_h = decimals and not minutes and max(bare) >= 0.25

    def read(cell: str) -> float:
        pair, plain = _pair(cell.strip()), _bare(cell.strip())
        if pair is not None:
            return _of_pair(cell, pair, most, [unit for unit, fits in pairs.items() if fits])
        if plain is None:
            return _believed(cell, duration_s(cell))
        if plain > most or (minutes and plain.is_integer()):
            return _believed(cell, 60 * plain)
        if many_h:
            return _believed(cell, 3600 * plain)
        raise InputError(f"{quoted(cell)} can be hours or minutes", "write it as h:mm:ss")

    return read


def in_unit(cell: str, *, unit_s: float) -> float:
    """A session's seconds where the column's name says what a bare number counts.

    >>> in_unit("45", unit_s=60), in_unit("1,5", unit_s=3600)
    (2700.0, 5400.0)
    """
    plain = _bare(cell.strip())
    return session_reader([cell])(cell) if plain is None else _believed(cell, unit_s * plain)


minutes_s = partial(in_unit, unit_s=60)
hours_s = partial(in_unit, unit_s=3600)


def _pair(cell: str) -> tuple[int, int] | None:
    """The two numbers of `1:30`; None where the cell is something else."""
    parts = re.fullmatch(r"(\d{1,3}):(\d{2})", cell)
    return (int(parts[1]), int(parts[2])) if parts else None


def _bare(cell: str) -> float | None:
    """The number that stands there without a unit; None where something else does."""
    return float(cell.replace(",", ".")) if re.fullmatch(r"\d{1,4}(?:[.,]\d+)?", cell) else None


def _of_pair(cell: str, pair: tuple[int, int], most: float, fits: list[int]) -> float:
    """Seconds of `1:30`, in hours or in minutes; `fits`: what others of its column must be."""
    first, second = pair
    units = [3600] if not first else [60] if first > most else fits
    if len(units) != 1:
        found = f"{quoted(cell)} can be hours and minutes or minutes and seconds"
        raise InputError(found, "write it as h:mm:ss")
    if second >= 60:
        raise InputError(f"{quoted(cell)} has more than 59 minutes or seconds", "write h:mm:ss")
    return _believed(cell, units[0] * first + units[0] / 60 * second)


def _believed(cell: str, seconds: float) -> float:
    """The seconds, where a session can have lasted so long."""
    most = LIMITS.journal.longest_session_h
    if not 0 < seconds <= 3600 * most:
        found = f"{quoted(cell)} is no length of a session"
        raise InputError(found, f"write h:mm:ss, up to {most:g} hours")
    return seconds
