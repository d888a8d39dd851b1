"""What one typed cell means: its value, or an `InputError` that does not know the place yet."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from functools import cache, partial
from zoneinfo import available_timezones

from taperback.common.errors import InputError
from taperback.common.wording import listing


def text(cell: str) -> str:
    """The cell as typed, blanks around it left out."""
    return cell.strip()


def unless_no(cell: str) -> str:
    """The cell as typed; empty where it only says no.

    >>> unless_no("illness"), unless_no("FALSE")
    ('illness', '')
    """
    typed = cell.strip()
    return "" if typed.lower() in _NO - {"-"} else typed


def number(cell: str, *, low: float, high: float, what: str) -> float:
    """A number within bounds, with a decimal point or comma.

    >>> number("7,5", low=0, high=24, what="hours")
    7.5
    """
    try:
        value = float(cell.strip().replace(",", "."))
    except ValueError:
        raise InputError(f"{quoted(cell)} is not a number", f"write {what}") from None
    if not low <= value <= high:
        raise InputError(f"{cell.strip()} is out of range", f"write {what}")
    return value


def whole(cell: str, *, most: float = 0) -> float:
    """A place, a count or a rating, from 1.

    >>> whole("14"), whole("7", most=7)
    (14.0, 7.0)
    """
    what = f"a whole number from 1{f' to {most:g}' if most else ''}"
    value = number(cell, low=1, high=most or 100_000, what=what)
    if not value.is_integer():
        raise InputError(f"{cell.strip()} is not a whole number", f"write {what}")
    return value


def zone(cell: str) -> str:
    """An IANA time zone."""
    typed = cell.strip()
    if re.fullmatch(r"(?i)(utc|gmt)?\s*[+-]\s*\d{1,2}(:?\d{2})?", typed):
        found = f"{quoted(cell)} is an offset and tells no summer time"
        raise InputError(found, "write the zone of a city, such as Europe/Lisbon")
    if typed not in _zones():
        city = typed.lower().replace(" ", "_")
        zones = sorted(_zones())
        close = [name for name in zones if name.lower().rpartition("/")[2] == city]
        close = close or difflib.get_close_matches(typed, zones, n=1, cutoff=0.8)
        remedy = f"did you mean {close[0]}?" if close else "write one such as Europe/Lisbon"
        raise InputError(f"{quoted(cell)} is not a time zone", remedy)
    return typed


_zones = cache(available_timezones)  # it walks through a thousand files


def choice(cell: str, *, words: tuple[str, ...]) -> str:
    """One of a few words, whatever parts or spells it.

    >>> choice("Tune up", words=("main", "tune-up"))
    'tune-up'
    """
    known = {_letters(word): word for word in words}
    if _letters(cell) not in known:
        raise InputError(f"{quoted(cell)} is not known here", f"write {listing(words, 'or')}")
    return known[_letters(cell)]


def _letters(word: str) -> str:
    return re.sub(r"[\s_-]", "", word.lower())


def yes_or_no(cell: str) -> bool:
    """Whether the cell says yes.

    >>> yes_or_no("Y"), yes_or_no("FALSE")
    (True, False)
    """
    typed = cell.strip().lower()
    if typed not in _YES | _NO:
        raise InputError(f"{quoted(cell)} is not known here", "write y or n")
    return typed in _YES


_YES, _NO = {"y", "yes", "true", "1", "x"}, {"n", "no", "false", "0", "-"}


def quoted(cell: str) -> str:
    """The cell within quotes, cut short where it is long."""
    short = cell.strip()
    return f"'{short[:40]}…'" if len(short) > 41 else f"'{short}'"


def bounded(low: float, high: float, what: str) -> Callable[[str], float]:
    """A reader of numbers from `low` to `high`."""
    return partial(number, low=low, high=high, what=what)
