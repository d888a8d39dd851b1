"""How hard the training before a race was: thresholds by sport, every leg's time by zone, and the
scale of load in which races are compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from taperback.common.limits import LIMITS
from taperback.raceweek.effort.repetitions import Repetitions, recognise
from taperback.raceweek.effort.scales import Scale, one_scale
from taperback.raceweek.effort.settings import HeartRange, heart_range
from taperback.raceweek.effort.thresholds import (
    Found,
    Thresholds,
    highest_by_sport,
    thresholds_by_race,
)
from taperback.raceweek.effort.zones import leg_zones
from taperback.raceweek.legs import Leg, Legs
from taperback.raceweek.window.window import RACE_WEEK, Window


@dataclass(frozen=True)
class Effort:
    """What intensity is read from before one race; every factor of intensity takes it.

    Attributes:
        thresholds: sport -> thresholds, or why there are none.
        zones: for each leg of `Window.legs` the columns of `leg_zones`.
        hearts: sport -> resting and highest heart rate.
        scale: the scale of load that all races are compared in, None where none is known.
    """

    thresholds: Mapping[str, Found]
    zones: Mapping[str, np.ndarray]
    hearts: Mapping[str, HeartRange]
    scale: Scale | None = None

    def of(self, legs: Legs) -> Legs:
        """These legs of the window with their time by zone, and `hard_min`; NaN where unknown."""
        return legs.with_shared(self.zones)

    def repetitions(self, leg: Leg) -> Repetitions | None:
        """The leg's hard repetitions, or None; all that stand apart where hard is not known.

        Where a threshold is known, only bouts close to it or above count: a swim's easy hundreds
        have rests between them, too. A heart lags, so its mean may stay further below.
        """
        found, bouts = self.thresholds.get(leg.sport), leg.bouts
        if isinstance(found, Thresholds) and bouts:
            shares = LIMITS.repetitions.hard_from
            least = shares[found.signal.name] * found.on(leg.local_day).second
            # a bout without that signal (NaN) is below nothing, and stays
            bouts = [bout for bout in bouts if not getattr(bout, found.signal.of_bout) < least]
        return recognise(leg.sport, bouts)

    def hard_min_by_day(self, window: Window) -> dict[date, float]:
        """Hard minutes of training by day, for days with a leg of known intensity."""
        legs = self.of(window.training(window.first_day, 0))
        return legs.where(legs.known("hard_min")).totals("local_day", "hard_min")


def effort_by_race(windows: Sequence[Window]) -> dict[str, Effort]:
    """The effort before each race, by race_id.

    Each sport is read by one signal in all of them, and their loads are compared in one scale.
    """
    seen = highest_by_sport(windows)
    found = thresholds_by_race(windows, seen)
    efforts = {
        window.race_id: Effort(
            found[window.race_id],
            leg_zones(window.legs, found[window.race_id]),
            {sport: heart_range(window, sport, highest) for sport, highest in seen.items()},
        )
        for window in windows
    }
    weeks = [(window, efforts[window.race_id], window.training(*RACE_WEEK)) for window in windows]
    scale = one_scale((window, effort.of(legs), effort.hearts) for window, effort, legs in weeks)
    return {race_id: replace(effort, scale=scale) for race_id, effort in efforts.items()}
