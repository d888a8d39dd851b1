"""How much was trained in race week, against the athlete's own usual week."""

from __future__ import annotations

import pandas as pd

from taperback.common.quantities import SPORTS, show
from taperback.common.wording import number_of
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.window.window import RACE_WEEK, Window, baseline_days
from taperback.raceweek.wording import span_name

EARLIER_WEEKS = {"volume_cut_week_3": (-21, -15), "volume_cut_week_2": (-14, -8)}
"""Weekly cuts before race week; week -3 is also the last of the baseline."""


def volume(window: Window) -> tuple[Measured, ...]:
    """Race-week hours, the usual week's hours, and the cuts between them [fraction].

    Volume is moving time of all legs, transitions and the race itself out. The usual week is the
    median of the usable baseline weeks.
    """
    baseline = baseline_weekly(window)
    race_week = week_hours(window, *RACE_WEEK)
    cuts = [_cut("volume_cut", race_week, baseline)]
    cuts += [
        _cut(name, week_hours(window, *days), baseline) for name, days in EARLIER_WEEKS.items()
    ]
    return race_week, baseline, *cuts, *_cuts_by_sport(window)


def week_hours(window: Window, first: int, last: int, sport: str = "") -> Measured:
    """Hours of training on those days, all sports or one; unknown where a day is unknown."""
    days = window.span(first, last)
    reason = window.why_unknown(first, last)
    if reason:
        return unknown("volume_h", reason, days)
    legs = _of_sport(window.training(first, last), sport)
    hours = float(legs["hours"].sum())
    basis = (
        f"{show('volume_h', hours)} of moving time in {number_of(len(legs), 'leg')} on "
        f"{span_name(first, last)}{_elapsed_word(legs)}"
    )
    return Measured("volume_h", hours, basis=basis, days=days, legs=tuple(legs["leg_id"]))


def baseline_weekly(window: Window, sport: str = "") -> Measured:
    """Hours of the usual week: the median of the usable weeks, all sports or one."""
    reason = window.why_no_baseline()
    if reason:
        return unknown("baseline_weekly_h", reason)
    legs = _of_sport(window.baseline(), sport)
    weekly = window.weekly_sums(legs, "hours")
    hours = float(weekly.median())
    basis = (
        f"a usual week of {show('baseline_weekly_h', hours)}, the median of {len(weekly)} weeks "
        f"on {span_name(*baseline_days())} ({_each(weekly)} h)"
    )
    days, ids = window.baseline_days(), tuple(legs["leg_id"])
    return Measured("baseline_weekly_h", hours, basis=basis, days=days, legs=ids)


def _each(weekly: pd.Series) -> str:
    return ", ".join(f"{hours:.1f}" for hours in weekly)


def _of_sport(legs: pd.DataFrame, sport: str) -> pd.DataFrame:
    return legs[legs["sport"].map(counted_sport) == sport] if sport else legs


def counted_sport(sport: str) -> str:
    """The sport under which hours are told: itself where it is common, else `other`."""
    return sport if sport in SPORTS else "other"


def _elapsed_word(legs: pd.DataFrame) -> str:
    """Says how many legs gave no moving time."""
    missing = int(legs["moving_s"].isna().sum())
    return f"; {number_of(missing, 'leg')} counted by elapsed time" if missing else ""


def _cut(name: str, week: Measured, baseline: Measured, sport: str = "") -> Measured:
    """1 - week / usual week; negative where more was trained than usual."""
    for part in (week, baseline):
        if not part.known:
            return unknown(name, part.reason, part.days)
    if not baseline.value:
        return unknown(name, f"a usual week holds no {sport or 'training'}", week.days)
    return Measured(
        name,
        1 - float(week.value or 0) / float(baseline.value),
        basis=f"{week.basis}, against {baseline.basis}",
        days=tuple(sorted({*baseline.days, *week.days})),
        legs=tuple(dict.fromkeys((*baseline.legs, *week.legs))),
    )


def _cuts_by_sport(window: Window) -> list[Measured]:
    """The race week's cut of each sport that the window holds."""
    held = pd.concat([window.baseline(), window.training(*RACE_WEEK)])["sport"].map(counted_sport)
    return [
        _cut(
            f"volume_cut_{sport}",
            week_hours(window, *RACE_WEEK, sport=sport),
            baseline_weekly(window, sport),
            sport.replace("_", " "),
        )
        for sport in SPORTS
        if sport in set(held)
    ]
