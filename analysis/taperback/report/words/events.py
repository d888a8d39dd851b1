"""What else was far from usual before a race, in two or three words each."""

from __future__ import annotations

from collections.abc import Iterator

from taperback.common.limits import LIMITS
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import number_of
from taperback.raceweek.model import RaceWeek


def events(week: RaceWeek, factor: str) -> tuple[str, ...]:
    """What was far from usual in a race week, save for `factor` itself."""
    return tuple(words for name, words in _events(week) if name != factor)


def _events(week: RaceWeek) -> Iterator[tuple[str, str]]:
    """(the factor that it belongs to, words) of each."""
    limits = LIMITS.page
    low, high = limits.eventful_intensity
    if zones := week.number("zones_crossed"):
        way = "east" if zones > 0 else "west"
        yield "body_clock_lag_h", f"{_zones(abs(zones))} {way}"
    kept = week.number("intensity_kept")
    if kept is not None and not low <= kept <= high:
        yield "intensity_kept", f"{QUANTITIES['intensity_kept'].show(kept)} intensity"
    slept = week.number("sleep_change_h")
    if slept is not None and abs(slept) >= limits.eventful_sleep_h:
        hours = QUANTITIES["last_night_h"].show(abs(slept))
        yield "sleep_change_h", f"{hours} {'more' if slept > 0 else 'less'} sleep"
    if week.flags:
        yield "panic", number_of(len(week.flags), "flag")


def _zones(zones: float) -> str:
    """How many time zones: half and quarter hours of some count as such.

    >>> _zones(1.0), _zones(5.0), _zones(5.5)
    ('1 zone', '5 zones', '5.5 zones')
    """
    return f"{zones:.3g} {'zone' if zones == 1 else 'zones'}"
