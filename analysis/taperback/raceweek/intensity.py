"""How much of the hard work was kept in race week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from taperback.raceweek.effort import Effort
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.thresholds import NoThresholds, Thresholds
from taperback.raceweek.window import RACE_WEEK, Window
from taperback.raceweek.wording import count, percent_below
from taperback.raceweek.zones import ZONE_COLUMNS
from taperback.resources import shared_toml


def intensity(window: Window, effort: Effort) -> tuple[Measured, ...]:
    """How hard race week was, and how much of a usual week's hardness that is.

    Hard is time above the second threshold. Shares are of the time with a known intensity; where
    that is too little of the training time, on either side, they are unknown.

    Returns:
        `intensity_kept`, `hard_minutes_kept`, `hard_min`, `baseline_hard_min`, `easy_share`,
        `moderate_share`, `hard_share`, `known_intensity_share`.
    """
    week, usual = _week(window, effort), _usual(window, effort)
    usual_min = float(window.weekly_sums(usual.legs, "hard_min").median())
    return (
        _kept("intensity_kept", week.share("hard_s"), usual.share("hard_s"), week, usual),
        _kept("hard_minutes_kept", week.hard_min, usual_min, week, usual),
        _told("hard_min", week.hard_min, week),
        _told("baseline_hard_min", usual_min, usual),
        *(_told(f"{zone[:-2]}_share", week.share(zone), week) for zone in ZONE_COLUMNS),
        _known_share(week),
    )


@dataclass(frozen=True)
class Side:
    """One side of the comparison: race week or baseline.

    Attributes:
        name: what a sentence calls it.
        legs: its training legs with their time by zone.
        days: its local days.
        why: why its intensity is unknown, empty where it is known.
        basis: which thresholds it was read by.
    """

    name: str
    legs: pd.DataFrame
    days: tuple[date, ...]
    why: str
    basis: str

    @property
    def hard_min(self) -> float:
        """Hard minutes in all."""
        return float(self.legs["hard_min"].sum())

    @property
    def leg_ids(self) -> tuple[str, ...]:
        """Legs of known intensity."""
        return tuple(self.legs.dropna(subset="hard_s")["leg_id"])

    @property
    def known_s(self) -> float:
        """Seconds of known intensity."""
        return float(self.legs[list(ZONE_COLUMNS)].sum().sum())

    @property
    def words(self) -> str:
        """What was found, in a few words."""
        return f"{self.hard_min:.0f} hard of {self.known_s / 60:.0f} known minutes in {self.name}"

    def share(self, zone: str) -> float:
        """Share of the known time in one zone, NaN where there was none."""
        return float(self.legs[zone].sum()) / self.known_s if self.known_s else float("nan")


def _week(window: Window, effort: Effort) -> Side:
    legs = effort.of(window.training(*RACE_WEEK))
    why = window.why_unknown(*RACE_WEEK) or too_little_known(legs, effort)
    return Side("race week", legs, window.span(*RACE_WEEK), why, basis(legs, effort))


def _usual(window: Window, effort: Effort) -> Side:
    legs = effort.of(window.baseline())
    why = window.why_no_baseline() or too_little_known(legs, effort)
    return Side("the baseline", legs, window.baseline_days(), why, basis(legs, effort))


def known_share(legs: pd.DataFrame) -> float:
    """Share of the training time whose intensity is known; NaN without training."""
    hours = float(legs["hours"].sum())
    known = float(legs[list(ZONE_COLUMNS)].sum().sum()) / 3600
    return min(known / hours, 1.0) if hours else float("nan")


def too_little_known(legs: pd.DataFrame, effort: Effort) -> str:
    """Why too little of the time has a known intensity, empty where enough has."""
    limit = shared_toml("limits.toml")["intensity"]["fewest_known_share"]
    share = known_share(legs)
    if np.isnan(share) or share >= limit:
        return ""
    unread = legs[legs["hard_s"].isna()]
    reasons = [_unread(str(sport), of, effort) for sport, of in unread.groupby("sport")]
    return (
        f"only {percent_below(share)} of the training time has a known intensity, "
        f"{100 * limit:.0f}% is needed ({'; '.join(reasons) or 'the sensors dropped out'})"
    )


def _unread(sport: str, legs: pd.DataFrame, effort: Effort) -> str:
    found = effort.thresholds[sport]
    if isinstance(found, NoThresholds):
        return found.reason
    verb = "carries" if len(legs) == 1 else "carry"
    return f"{count(len(legs), 'leg')} of {sport} {verb} no {found.signal.label}"


def basis(legs: pd.DataFrame, effort: Effort) -> str:
    """Which thresholds the legs of known intensity were read by, as one sentence."""
    sports = sorted(set(legs.dropna(subset="hard_s")["sport"]))
    found = [effort.thresholds[sport] for sport in sports]
    return "; ".join(each.sentence for each in found if isinstance(each, Thresholds))


def _told(name: str, value: float, side: Side) -> Measured:
    if side.why:
        return unknown(name, side.why, side.days)
    if np.isnan(value):
        return unknown(name, f"there was no training in {side.name}", side.days)
    basis = "; ".join(filter(None, (side.words, side.basis)))
    return Measured(name, value, basis=basis, days=side.days, legs=side.leg_ids)


def _kept(name: str, value: float, usual_value: float, week: Side, usual: Side) -> Measured:
    """Race week over baseline, read by the same signals on both sides."""
    days = usual.days + week.days
    reason = week.why or (f"in the baseline, {usual.why}" if usual.why else "")
    if not reason and not usual_value > 0:
        reason = "the baseline holds no hard time"
    if not reason and np.isnan(value):
        reason = "there was no training in race week"
    if reason:
        return unknown(name, reason, days)
    words = f"{week.words}, {usual.words}; {usual.basis or week.basis}"
    legs = usual.leg_ids + week.leg_ids
    return Measured(name, value / usual_value, basis=words, days=days, legs=legs)


def _known_share(week: Side) -> Measured:
    share = known_share(week.legs)
    if np.isnan(share):
        reason = week.why or "there was no training in race week"
        return unknown("known_intensity_share", reason, week.days)
    legs = tuple(week.legs["leg_id"])
    words = "time whose intensity could be read over all training time of race week"
    return Measured("known_intensity_share", share, basis=words, days=week.days, legs=legs)
