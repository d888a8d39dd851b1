"""What marks one session as a race: the sessions around it, before it and after it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS

WEEK_D = 7


@dataclass(frozen=True)
class Signs:
    """What speaks for a race, each by itself; what cannot be known does not speak for one.

    Attributes:
        faster: share by which it is faster than the sport's median session around it.
        fastest: no other session as long, or nearly, was as fast.
        fastest_long: no other session of at least half its length was as fast.
        eased: share by which the week before it was shorter than the weeks before that; NaN
            where there is no usual week.
        rested: the same of the week after it; NaN also where the records end before.
        longer: its hours against the long sessions of training around it.
    """

    faster: float
    fastest: bool
    fastest_long: bool
    eased: float
    rested: float
    longer: float

    @property
    def around(self) -> int:
        """How many of three there are: fastest of the long ones, eased before, rested after."""
        limits = LIMITS.draft
        return (
            self.fastest_long
            + (self.eased >= limits.eased_share)
            + (self.rested >= limits.rested_share)
        )

    def words(self, sport: str) -> list[str]:
        """The signs as clauses, the plainest first."""
        limits = LIMITS.draft
        return [
            clause
            for holds, clause in (
                (
                    self.faster >= limits.faster_than_habit,
                    f"{100 * self.faster:.0f}% faster than the usual {sport}",
                ),
                (self.fastest_long, "the fastest of its length"),
                (
                    self.longer >= limits.far_longer_ratio,
                    f"{self.longer:.1f} times as long as the long sessions of training",
                ),
                (
                    self.eased >= limits.eased_share,
                    f"{100 * self.eased:.0f}% less {sport} in the week before",
                ),
                (
                    self.rested >= limits.rested_share,
                    f"{100 * self.rested:.0f}% less in the week after",
                ),
            )
            if holds
        ]


class Habit:
    """All sessions of one sport, to hold one of them against the others.

    Args:
        legs: columns `local_day`, `distance_m` [m] and `elapsed_s` [s], one row a session.
        last_day: the last day that any file tells of.
    """

    def __init__(self, legs: pd.DataFrame, last_day: int) -> None:
        self.days = np.array([day.toordinal() for day in legs["local_day"]], int)
        self.metres = legs["distance_m"].to_numpy(float)
        self.hours = legs["elapsed_s"].to_numpy(float) / 3600
        self.last_day = last_day
        with np.errstate(divide="ignore", invalid="ignore"):
            self.kph = self.metres / 1000 / self.hours

    def signs(self, own: list[int], last: int | None = None) -> Signs | None:
        """What speaks for the session being a race; None among too few to know the habit.

        Args:
            own: places of the rows that are the session; several where it lies in several files.
            last: place of the last session of the race, where it goes on over several days.
        """
        limits = LIMITS.draft
        day = self.days[own[0]]
        away = np.abs(self.days - day)
        others = np.ones(len(self.days), bool)
        others[own] = False
        near = others & (away <= limits.habit_days)
        if near.sum() < limits.fewest_sessions:
            return None
        metres, hours = np.nansum(self.metres[own]), np.nansum(self.hours[own])
        kph = metres / 1000 / hours if hours > 0 else 0.0
        rivals = near & (self.kph >= kph)
        season = others & (away <= limits.longest_days) & (away > WEEK_D)
        usual_long = (
            np.quantile(self.hours[season], limits.usual_long_share) if season.any() else np.nan
        )
        end = self.days[own[-1] if last is None else last]
        # the six weeks that end two weeks before the day
        weeks = [self._hours(day - k - WEEK_D + 1, day - k) for k in range(15, 57, WEEK_D)]
        usual_h = float(np.median(weeks)) or float("nan")
        paced = self.kph[near & ~np.isnan(self.kph)]
        return Signs(
            faster=float(kph / np.median(paced) - 1) if len(paced) else float("nan"),
            fastest=not (rivals & (self.metres >= limits.rival_share * metres)).any(),
            fastest_long=not (rivals & (self.metres >= limits.long_rival_share * metres)).any(),
            eased=1 - self._hours(day - WEEK_D, day - 1) / usual_h,
            rested=1 - self._hours(end + 1, end + WEEK_D) / usual_h
            if end + WEEK_D <= self.last_day
            else float("nan"),
            longer=float(hours / usual_long),
        )

    def _hours(self, first: int, last: int) -> float:
        return float(np.nansum(self.hours[(self.days >= first) & (self.days <= last)]))
