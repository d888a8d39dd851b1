"""How hard the training before a race was: thresholds by sport, and every leg's time by zone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from taperback.raceweek.calendar import FIRST_DAY, Window
from taperback.raceweek.thresholds import Found, thresholds_by_race
from taperback.raceweek.zones import leg_zones


@dataclass(frozen=True)
class Effort:
    """What intensity is read from before one race; every factor of intensity takes it.

    Attributes:
        thresholds: sport -> thresholds, or why there are none.
        zones: one row a leg of `Window.legs`, its index; columns `easy_s`, `moderate_s`, `hard_s`.
    """

    thresholds: Mapping[str, Found]
    zones: pd.DataFrame

    def of(self, legs: pd.DataFrame) -> pd.DataFrame:
        """These legs of the window with their time by zone, and `hard_min`; NaN where unknown."""
        zones = self.zones.loc[legs.index]
        return legs.join(zones).assign(hard_min=zones["hard_s"] / 60)

    def hard_min_by_day(self, window: Window) -> dict[date, float]:
        """Hard minutes of training by day, for days with a leg of known intensity."""
        legs = self.of(window.training(FIRST_DAY, 0))
        known = legs.dropna(subset="hard_min")
        return known.groupby("local_day")["hard_min"].sum().to_dict()


def effort_by_race(windows: Sequence[Window]) -> dict[str, Effort]:
    """The effort before each race, by race_id; each sport is read by one signal in all of them."""
    return {
        window.race_id: Effort(thresholds, leg_zones(window.legs, thresholds))
        for window, thresholds in zip(windows, thresholds_by_race(windows).values(), strict=True)
    }
