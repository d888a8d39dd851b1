"""One race as the one value that every factor is measured from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from taperback.raceweek.effort.effort import Effort, effort_by_race
from taperback.raceweek.effort.flags import panic_flags
from taperback.raceweek.effort.sides import Side, race_week, usual_weeks
from taperback.raceweek.model import Flag, Measured
from taperback.raceweek.travel.trips import Trip, find_trip
from taperback.raceweek.travel.whereabouts import Whereabouts, whereabouts
from taperback.raceweek.window.hours import baseline_weekly, week_hours
from taperback.raceweek.window.window import RACE_WEEK, Window


@dataclass(frozen=True)
class Race:
    """One race and all that its measures are made from, each made once. It holds no outcome.

    Attributes:
        window: the race and the eight weeks before it.
        effort: how hard each of its sessions was.
        week, usual: race week and the baseline, with their time by zone.
        week_h, usual_h: hours of race week and of the usual week, or why they are unknown.
        there: where the athlete was, as the files tell it.
        trip: the way to the race.
        flags: panic training, in order of day.
    """

    window: Window
    effort: Effort
    week: Side
    usual: Side
    week_h: Measured
    usual_h: Measured
    there: Whereabouts
    trip: Trip
    flags: tuple[Flag, ...]


def race_of(window: Window, effort: Effort) -> Race:
    """The race of a window."""
    usual_h, there = baseline_weekly(window), whereabouts(window)
    return Race(
        window=window,
        effort=effort,
        week=race_week(window, effort),
        usual=usual_weeks(window, effort),
        week_h=week_hours(window, *RACE_WEEK),
        usual_h=usual_h,
        there=there,
        trip=find_trip(window, there),
        flags=panic_flags(window, effort, usual_h),
    )


def races_of(windows: Sequence[Window]) -> tuple[Race, ...]:
    """The races of one athlete, all of them read by the same signals and scale of load."""
    efforts = effort_by_race(windows)
    return tuple(race_of(window, efforts[window.race_id]) for window in windows)
