"""Hours of training: of some days, and of the usual week."""

from __future__ import annotations

import numpy as np

from taperback.common.quantities import SPORTS, show
from taperback.common.wording import number_of
from taperback.raceweek.legs import Legs, median
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.window.window import Window, baseline_days
from taperback.raceweek.wording import span_name


def week_hours(window: Window, first: int, last: int, sport: str = "") -> Measured:
    """Hours of training on those days, all sports or one; unknown where a day is unknown."""
    days = window.span(first, last)
    reason = window.why_unknown(first, last)
    if reason:
        return unknown("volume_h", reason, days)
    legs = _of_sport(window.training(first, last), sport)
    hours = legs.total("hours")
    basis = (
        f"{show('volume_h', hours)} of moving time in {number_of(len(legs), 'leg')} on "
        f"{span_name(first, last)}"
    )
    if missing := len(legs) - int(legs.known("moving_s").sum()):
        basis += f"; {number_of(missing, 'leg')} counted by elapsed time"
    return Measured("volume_h", hours, basis=basis, days=days, legs=legs.ids)


def baseline_weekly(window: Window, sport: str = "") -> Measured:
    """Hours of the usual week: the median of the usable weeks, all sports or one."""
    reason = window.why_no_baseline
    if reason:
        return unknown("baseline_weekly_h", reason)
    legs = _of_sport(window.baseline, sport)
    weekly = window.weekly_sums(legs, "hours").values()
    hours = median(weekly)
    each = ", ".join(f"{hours:.1f}" for hours in weekly)
    basis = (
        f"a usual week of {show('baseline_weekly_h', hours)}, the median of {len(weekly)} weeks "
        f"on {span_name(window.first_day, baseline_days()[1])} ({each} h)"
    )
    if older := window.older_weeks:
        basis += f"; {number_of(older, 'older week')} among them, since newer ones cannot be used"
    if empty := window.empty_weeks:
        basis += f"; in doubt, since {number_of(empty, 'week')} had no training"
    days = window.baseline_days
    return Measured("baseline_weekly_h", hours, basis=basis, days=days, legs=legs.ids)


def _of_sport(legs: Legs, sport: str) -> Legs:
    if not sport:
        return legs
    return legs.where(np.array([counted_sport(one) == sport for one in legs["sport"]], bool))


def counted_sport(sport: str) -> str:
    """The sport under which hours are shown: itself where it is common, else `other`."""
    return sport if sport in SPORTS else "other"
