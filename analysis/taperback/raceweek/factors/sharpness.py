"""Whether race week still held the athlete's short, fast efforts."""

from __future__ import annotations

import numpy as np

from taperback.importer.model import BEST_DURATIONS_S
from taperback.raceweek.effort.signals import POWER, SPEED, Signal
from taperback.raceweek.legs import Legs
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import RACE_WEEK, Window

_SPORTS = {"swimming": SPEED, "cycling": POWER, "running": SPEED}
_EFFORTS = {"1min": 60, "5min": 300}


def sharpness(race: Race) -> tuple[Measured, ...]:
    """Best minute and best five minutes of race week over the baseline's best, by sport [ratio].

    Power tells it on a bike, speed in runs and swims; `sharpness_1min_running` and so on, for the
    sports that the baseline or race week holds.
    """
    window = race.window
    held = set(race.week.legs["sport"]) | set(race.usual.legs["sport"])
    return tuple(
        _ratio(f"sharpness_{name}_{sport}", sport, signal, seconds, window)
        for sport, signal in _SPORTS.items()
        if sport in held
        for name, seconds in _EFFORTS.items()
    )


def _ratio(name: str, sport: str, signal: Signal, seconds: int, window: Window) -> Measured:
    days = window.baseline_days + window.span(*RACE_WEEK)
    reason = window.why_unknown(*RACE_WEEK) or window.why_no_baseline
    if reason:
        return unknown(name, reason, days)
    week, week_leg = _best(window.training(*RACE_WEEK), sport, signal, seconds)
    usual, usual_leg = _best(window.baseline, sport, signal, seconds)
    for value, where in ((usual, "in the baseline"), (week, "in race week")):
        if np.isnan(value):
            reason = f"no {signal.label} over {seconds // 60} min was recorded in {sport} {where}"
            return unknown(name, reason, days)
    basis = (
        f"best {seconds // 60} min of {sport}: {signal.show(week)} in race week, "
        f"{signal.show(usual)} in the baseline"
    )
    return Measured(name, week / usual, basis=basis, days=days, legs=(usual_leg, week_leg))


def _best(legs: Legs, sport: str, signal: Signal, seconds: int) -> tuple[float, str]:
    """The best mean over that time and the leg that holds it; NaN where there is none."""
    place = BEST_DURATIONS_S.index(seconds)
    legs = legs.where(legs["sport"] == sport)
    values = np.array([row[place] for row in legs[signal.best]], float)
    if not np.isfinite(values).any():
        return float("nan"), ""
    best = int(np.nanargmax(values))
    return float(values[best]), str(legs["leg_id"][best])
