"""How much was trained in race week, against the athlete's own usual week."""

from __future__ import annotations

from taperback.common.quantities import SPORTS
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.hours import baseline_weekly, counted_sport, week_hours
from taperback.raceweek.window.window import RACE_WEEK

EARLIER_WEEKS = {"volume_cut_week_3": (-21, -15), "volume_cut_week_2": (-14, -8)}
"""Weekly cuts before race week; week -3 is also the last of the baseline."""


def volume(race: Race) -> tuple[Measured, ...]:
    """Race-week hours, the usual week's hours, and the cuts between them [fraction].

    Volume is moving time of all legs, transitions and the race itself out. The usual week is the
    median of the usable baseline weeks.
    """
    window, baseline, race_week = race.window, race.usual_h, race.week_h
    cuts = [_cut("volume_cut", race_week, baseline)]
    cuts += [
        _cut(name, week_hours(window, *days), baseline) for name, days in EARLIER_WEEKS.items()
    ]
    of_both = (*window.baseline["sport"], *window.training(*RACE_WEEK)["sport"])
    held = {counted_sport(sport) for sport in of_both}
    cuts += [
        _cut(
            f"volume_cut_{sport}",
            week_hours(window, *RACE_WEEK, sport=sport),
            baseline_weekly(window, sport),
            sport.replace("_", " "),
        )
        for sport in SPORTS
        if sport in held
    ]
    return race_week, baseline, *cuts


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
