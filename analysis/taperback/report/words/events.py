"""What else was far from usual before a race, in two or three words each."""

from __future__ import annotations

from taperback.common.limits import LIMITS
from taperback.common.quantities import QUANTITIES
from taperback.common.wording import number_of
from taperback.raceweek.model import RaceWeek


def events(week: RaceWeek, factor: str) -> tuple[str, ...]:
    """What was far from usual in a race week, save for `factor` itself."""
    limits = LIMITS.page
    low, high = limits.eventful_intensity
    of_factor = {}
    if zones := week.number("zones_crossed"):
        many = f"{abs(zones):.3g} {'zone' if abs(zones) == 1 else 'zones'}"
        of_factor["body_clock_lag_h"] = f"{many} {'east' if zones > 0 else 'west'}"
    kept = week.number("intensity_kept")
    if kept is not None and not low <= kept <= high:
        of_factor["intensity_kept"] = f"{QUANTITIES['intensity_kept'].show(kept)} intensity"
    slept = week.number("sleep_change_h")
    if slept is not None and abs(slept) >= limits.eventful_sleep_h:
        hours = QUANTITIES["last_night_h"].show(abs(slept))
        of_factor["sleep_change_h"] = f"{hours} {'more' if slept > 0 else 'less'} sleep"
    if week.flags:
        of_factor["panic"] = number_of(len(week.flags), "flag")
    return tuple(words for name, words in of_factor.items() if name != factor)
