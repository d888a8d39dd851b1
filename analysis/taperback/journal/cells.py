"""What one typed cell means: its value, or an `InputError` that does not know the place yet."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from functools import cache, partial
from zoneinfo import available_timezones

from taperback.common.errors import InputError

SPORT_WORDS = {
    "swim": "swimming",
    "swimming": "swimming",
    "bike": "cycling",
    "biking": "cycling",
    "cycle": "cycling",
    "cycling": "cycling",
    "ride": "cycling",
    "run": "running",
    "running": "running",
    "rowing": "rowing",
    "row": "rowing",
    "walking": "walking",
    "walk": "walking",
    "hiking": "hiking",
    "ski": "cross_country_skiing",
    "cross_country_skiing": "cross_country_skiing",
    "transition": "transition",
    "training": "training",
}
"""Words that athletes type for a sport -> name of the FIT profile."""

WHOLE_RACES = {
    "triathlon": ("swimming", "cycling", "running"),
    "duathlon": ("running", "cycling", "running"),
}
"""Words for races of several sports -> their sports, in order."""


def text(cell: str) -> str:
    """The cell as typed, blanks around it left out."""
    return cell.strip()


def unless_no(cell: str) -> str:
    """The cell as typed; empty where it only says no.

    >>> unless_no("illness"), unless_no("FALSE")
    ('illness', '')
    """
    typed = cell.strip()
    return "" if typed.lower() in ("no", "n", "false", "0") else typed


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


def whole(cell: str) -> float:
    """A place or a count, from 1.

    >>> whole("14")
    14.0
    """
    what = "a whole number from 1"
    value = number(cell, low=1, high=100_000, what=what)
    if not value.is_integer():
        raise InputError(f"{cell.strip()} is not a whole number", f"write {what}")
    return value


def duration_s(cell: str) -> float:
    """A time taken, in seconds: `2:05:30`, `58:20` (minutes), `2h05` or `2h05m30`.

    >>> duration_s("2:05:30"), duration_s("58:20"), duration_s("2h05")
    (7530.0, 3500.0, 7500.0)
    """
    typed = cell.strip().lower().replace(" ", "")
    spoken = re.fullmatch(r"(\d+)h(?:(\d{1,2})(?:m(?:in)?)?(?:(\d{1,2})s?)?)?", typed)
    clock = re.fullmatch(r"(?:(\d+):)?(\d{1,3}):(\d{2}(?:[.,]\d+)?)", typed)
    if spoken:
        hours, minutes, seconds = (float(part or 0) for part in spoken.groups())
    elif clock:
        hours, minutes = float(clock[1] or 0), float(clock[2])
        seconds = float(clock[3].replace(",", "."))
    else:
        raise InputError(f"{quoted(cell)} is not a time", "write it as h:mm:ss")
    if seconds >= 60 or (hours and minutes >= 60):
        raise InputError(f"{quoted(cell)} has more than 59 minutes or seconds", "write h:mm:ss")
    total = hours * 3600 + minutes * 60 + seconds
    if not total:
        raise InputError(f"{quoted(cell)} is no time at all", "write h:mm:ss, or leave it empty")
    return total


def clock(seconds: float) -> str:
    """A time taken, as it is typed.

    >>> clock(7530)
    '2:05:30'
    """
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes // 60}:{minutes % 60:02d}:{rest:02d}"


def hours(cell: str, *, most: float) -> float:
    """Hours as a number or a time: `7.5`, `7,5`, `7:30`, `7:30:00`, `7h30`.

    >>> hours("7.5", most=24), hours("7:30", most=24), hours("7h30", most=24)
    (7.5, 7.5, 7.5)
    """
    typed = cell.strip().lower().replace(" ", "")
    parts = re.fullmatch(r"(\d{1,3})[:h](?:(\d{2})(?:m|min|:(\d{2}))?)?", typed)
    whole, minutes, seconds = (int(part or 0) for part in parts.groups()) if parts else (0, 60, 60)
    told = str(whole + minutes / 60 + seconds / 3600) if max(minutes, seconds) < 60 else cell
    return number(told, low=0, high=most, what=f"hours from 0 to {most:g}, such as 7.5 or 7:30")


def zone(cell: str) -> str:
    """An IANA time zone."""
    typed = cell.strip()
    if re.fullmatch(r"(?i)(utc|gmt)?\s*[+-]\s*\d{1,2}(:?\d{2})?", typed):
        found = f"{quoted(cell)} is an offset and tells no summer time"
        raise InputError(found, "write the zone of a city, such as Europe/Lisbon")
    if typed not in _zones():
        meant = _zone_of_city(typed)
        remedy = f"did you mean {meant}?" if meant else "write one such as Europe/Lisbon"
        raise InputError(f"{quoted(cell)} is not a time zone", remedy)
    return typed


def _zone_of_city(typed: str) -> str:
    """The zone named after that city, or spelt much like it; empty where there is none."""
    city = typed.lower().replace(" ", "_")
    named = [zone for zone in sorted(_zones()) if zone.lower().rpartition("/")[2] == city]
    close = named or difflib.get_close_matches(typed, sorted(_zones()), n=1, cutoff=0.8)
    return close[0] if close else ""


_zones = cache(available_timezones)  # it walks through a thousand files


def sports(cell: str) -> tuple[str, ...]:
    """One sport or several, parted by blanks, `+`, `/` or `;`, as names of the FIT profile.

    >>> sports("swim + bike + run")
    ('swimming', 'cycling', 'running')
    """
    names: list[str] = []
    for word in re.split(r"[\s+/;,]+", cell.strip().lower()):
        if word in WHOLE_RACES:
            names.extend(WHOLE_RACES[word])
        elif word in SPORT_WORDS:
            names.append(SPORT_WORDS[word])
        elif word:
            known = "swimming, cycling, running, triathlon"
            raise InputError(f"{quoted(word)} is not a sport known here", f"write one of {known}")
    return tuple(names)


def choice(cell: str, *, words: tuple[str, ...]) -> str:
    """One of a few words."""
    typed = cell.strip().lower().replace(" ", "_")
    if typed not in words:
        raise InputError(f"{quoted(cell)} is not known here", f"write {_or(words)}")
    return typed


def _or(words: tuple[str, ...]) -> str:
    return ", ".join(words[:-1]) + f" or {words[-1]}"


def quoted(cell: str) -> str:
    """The cell within quotes, cut short where it is long."""
    short = cell.strip()
    return f"'{short[:40]}…'" if len(short) > 41 else f"'{short}'"


def bounded(low: float, high: float, what: str) -> Callable[[str], float]:
    """A reader of numbers from `low` to `high`."""
    return partial(number, low=low, high=high, what=what)
