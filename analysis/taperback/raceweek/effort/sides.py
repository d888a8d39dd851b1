"""Race week and baseline as the two sides of a comparison: how much of each is known how hard."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.wording import number_of
from taperback.raceweek.effort.effort import Effort
from taperback.raceweek.effort.thresholds import NoThresholds, Thresholds
from taperback.raceweek.effort.zones import ZONE_COLUMNS
from taperback.raceweek.legs import Legs
from taperback.raceweek.window.window import RACE_WEEK, Window
from taperback.raceweek.wording import percent_below


@dataclass(frozen=True)
class Side:
    """One side of the comparison: race week or baseline.

    Attributes:
        name: what a sentence calls it.
        legs: its training legs with their time by zone.
        days: its local days.
        why: why its intensity is unknown, empty where it is known.
        why_no_sum: why its hard minutes are unknown, empty where they are known; it takes more.
        basis: which thresholds it was read by, a sentence for each sport.
    """

    name: str
    legs: Legs
    days: tuple[date, ...]
    why: str
    why_no_sum: str
    basis: tuple[str, ...]

    @property
    def hard_min(self) -> float:
        """Hard minutes in all."""
        return self.legs.total("hard_min")

    @property
    def leg_ids(self) -> tuple[str, ...]:
        """Legs of known intensity."""
        return self.legs.where(self.legs.known("hard_s")).ids

    @property
    def known_s(self) -> float:
        """Seconds of known intensity."""
        return known_seconds(self.legs)

    @property
    def words(self) -> str:
        """What was found, in a few words."""
        return f"{self.hard_min:.0f} hard of {self.known_s / 60:.0f} known minutes in {self.name}"

    def share(self, zone: str) -> float:
        """Share of the known time in one zone, NaN where there was none."""
        return self.legs.total(zone) / self.known_s if self.known_s else float("nan")

    def weighed_share(self, zone: str) -> float:
        """Share of the time in one zone, each sport weighed by all its time; NaN without any.

        Sports differ in how hard they are trained, so that a sensor that fails in one of them must
        not change what the others weigh.
        """
        of = {name: self.legs.totals("sport", name) for name in ("hours", *ZONE_COLUMNS)}
        known = {sport: sum(of[each][sport] for each in ZONE_COLUMNS) for sport in of["hours"]}
        sports = [sport for sport, seconds in known.items() if seconds > 0]
        hours = sum(of["hours"][sport] for sport in sports)
        hard = sum(of["hours"][sport] * of[zone][sport] / known[sport] for sport in sports)
        return hard / hours if hours else float("nan")

    def without(self, sports: tuple[str, ...], effort: Effort) -> Side:
        """The same side without some sports."""
        legs = self.legs.where(~self.legs.among("sport", sports))
        return replace(self, legs=legs, basis=basis(legs, effort))


def race_week(window: Window, effort: Effort) -> Side:
    """The seven days before the race."""
    legs = effort.of(window.training(*RACE_WEEK))
    return _side("race week", legs, window.span(*RACE_WEEK), window.why_unknown(*RACE_WEEK), effort)


def usual_weeks(window: Window, effort: Effort) -> Side:
    """The usable weeks of the baseline."""
    legs = effort.of(window.baseline)
    return _side("the baseline", legs, window.baseline_days, window.why_no_baseline, effort)


def _side(name: str, legs: Legs, days: tuple[date, ...], why: str, effort: Effort) -> Side:
    no_share = why or too_little_known(legs, effort)
    no_sum = why or too_little_for_sums(legs, effort)
    return Side(name, legs, days, no_share, no_sum, basis(legs, effort))


def known_seconds(legs: Legs) -> float:
    """Seconds of known intensity."""
    return sum(legs.total(zone) for zone in ZONE_COLUMNS)


def known_share(legs: Legs) -> float:
    """Share of the training time whose intensity is known; NaN without training."""
    hours = legs.total("hours")
    return min(known_seconds(legs) / 3600 / hours, 1.0) if hours else float("nan")


def too_little_known(legs: Legs, effort: Effort) -> str:
    """Why too little of the time has a known intensity, empty where enough has."""
    return _below(LIMITS.intensity.fewest_known_share, legs, effort)


def too_little_for_sums(legs: Legs, effort: Effort) -> str:
    """Why hard minutes are no sum of it, which takes time of unknown intensity as not hard."""
    return _below(LIMITS.intensity.fewest_known_share_of_sums, legs, effort)


def _below(limit: float, legs: Legs, effort: Effort) -> str:
    share = known_share(legs)
    if np.isnan(share) or share >= limit:
        return ""
    unread = legs.where(~legs.known("hard_s"))
    reasons = []
    for sport, of_sport in unread.by("sport"):
        found, legs_of = effort.thresholds[sport], number_of(len(of_sport), "leg")
        verb = "carries" if len(of_sport) == 1 else "carry"
        reasons.append(
            found.reason
            if isinstance(found, NoThresholds)
            else f"{legs_of} of {sport} {verb} no {found.signal.label}"
        )
    return (
        f"only {percent_below(share)} of the training time has a known intensity, "
        f"{100 * limit:.0f}% is needed ({'; '.join(reasons) or 'the sensors dropped out'})"
    )


def basis(legs: Legs, effort: Effort) -> tuple[str, ...]:
    """Which thresholds the legs of known intensity were read by, a sentence for each sport."""
    known = legs.where(legs.known("hard_s"))
    read, typed = known.where(~known["hard_typed"]), known.where(known["hard_typed"])
    found = [effort.thresholds[sport] for sport in sorted(set(read["sport"]))]
    words = [each.sentence for each in found if isinstance(each, Thresholds)]
    words += [f"hard minutes of {number_of(len(typed), 'session')} as typed"] if len(typed) else []
    return tuple(words)
