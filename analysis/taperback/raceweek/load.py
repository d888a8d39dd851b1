"""What race week cost, by the scales of the literature; described, never tested.

Session-RPE load is told where sessions were rated, Banister's TRIMP where heart rate is known;
the sums over five and over three zones stand beside them as cross-checks. A leg without a load is
no leg that cost nothing: in a sum its hours count as the others do. The ratio of acute to chronic
load is told because coaches know it, with its published criticism and never as a risk.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from taperback.raceweek.dose import (
    five_zone_load,
    monotony,
    session_rpe_load,
    strain,
    three_zone_load,
    trimp,
)
from taperback.raceweek.effort import Effort
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.window import RACE_WEEK, Window
from taperback.raceweek.wording import percent_below
from taperback.raceweek.zones import ZONE_COLUMNS
from taperback.resources import shared_toml

Lack = str
"""Why a leg has no load, as a clause that can follow "unknown: "."""


@dataclass(frozen=True)
class Scale:
    """One scale of load.

    Attributes:
        name: name of its race-week measure; `<name>_kept` is the ratio to the usual week.
        rule: how a leg's load is made.
        of: the load of one leg with its zones [AU], or why it has none.
    """

    name: str
    rule: str
    of: Callable[[Window, Effort, Any], float | Lack]


def _by_rpe(window: Window, effort: Effort, leg: Any) -> float | Lack:
    if np.isnan(leg.session_rpe):
        return "a session RPE"
    return session_rpe_load(60 * leg.hours, leg.session_rpe)


def _by_trimp(window: Window, effort: Effort, leg: Any) -> float | Lack:
    heart, sex = effort.hearts.get(leg.sport), window.athlete.sex
    if not sex:
        return "the athlete's sex, which Banister's constants differ by (athlete.toml)"
    if heart is None or np.isnan(heart.resting_bpm):
        return "a resting heart rate (athlete.toml)"
    mean = leg.mean_heart_rate_bpm
    if np.isnan(heart.highest_bpm) or np.isnan(mean) or heart.highest_bpm <= heart.resting_bpm:
        return "heart rate"
    return trimp(60 * leg.hours, mean, heart.resting_bpm, heart.highest_bpm, sex)


def _by_five_zones(window: Window, effort: Effort, leg: Any) -> float | Lack:
    heart, seconds = effort.hearts.get(leg.sport), leg.heart_rate_seconds
    if heart is None or np.isnan(heart.highest_bpm) or seconds is None:
        return "heart rate"
    return five_zone_load(seconds, heart.highest_bpm)


def _by_three_zones(window: Window, effort: Effort, leg: Any) -> float | Lack:
    if np.isnan(leg.hard_s):
        return "a known intensity"
    return three_zone_load(np.array([getattr(leg, zone) for zone in ZONE_COLUMNS]))


SCALES = (
    Scale("session_rpe_load", "minutes x session RPE (Foster 2001)", _by_rpe),
    Scale("trimp", "TRIMP of each session's mean heart rate (Banister 1991)", _by_trimp),
    Scale("five_zone_load", "minutes in five zones of highest heart rate x 1 to 5", _by_five_zones),
    Scale("three_zone_load", "minutes easy x 1, moderate x 2, hard x 3", _by_three_zones),
)


def load(window: Window, effort: Effort) -> tuple[Measured, ...]:
    """Race week's load and its ratio to the usual week by each scale; monotony, strain, ratio.

    Sums are over all hours of training: where some of them have no load, load per known hour x all
    hours, which the basis says; where too many have none, they are unknown.
    Monotony, strain and the acute-to-chronic ratio are of the first scale that is known.
    """
    legs = effort.of(window.training(window.blocks[0].first, -1))
    rows = list(legs.itertuples())
    costs = [_costs(scale, window, effort, legs, rows) for scale in SCALES]
    measured = [one for cost in costs for one in _week_and_kept(cost, window)]
    main = next((cost for cost in costs if not cost.lack(*RACE_WEEK)), None)
    return (*measured, *_alike(main, window), _acute_chronic(main, window))


@dataclass(frozen=True)
class _Costs:
    """Every training leg's load by one scale: `load` [AU] and `lack`, why it is NaN."""

    scale: Scale
    window: Window
    legs: pd.DataFrame

    def between(self, first: int, last: int) -> pd.DataFrame:
        return self.legs[self.legs["days_to_race"].between(first, last)]

    def lack(self, first: int, last: int) -> str:
        """Why the load of those days is unknown, empty where it is known."""
        return self.window.why_unknown(first, last) or _too_little(self.between(first, last))


def _costs(
    scale: Scale, window: Window, effort: Effort, legs: pd.DataFrame, rows: list[Any]
) -> _Costs:
    """The legs with their load; `rows` are the same legs, one tuple each."""
    found = [scale.of(window, effort, leg) for leg in rows]
    return _Costs(
        scale,
        window,
        legs.assign(
            load=[float("nan") if isinstance(one, str) else one for one in found],
            lack=[one if isinstance(one, str) else "" for one in found],
        ),
    )


def _too_little(legs: pd.DataFrame, where: str = "") -> str:
    """Why a sum over these legs would be a guess, empty where it would not."""
    limit = shared_toml("limits.toml")["load"]["fewest_known_share"]
    hours = float(legs["hours"].sum())
    share = float(legs.loc[legs["load"].notna(), "hours"].sum()) / hours if hours else 1.0
    if share >= limit:
        return ""
    lacks = "; ".join(dict.fromkeys(lack for lack in legs["lack"] if lack))
    return (
        f"{where}{percent_below(share)} of the training time has a load, {100 * limit:.0f}% is "
        f"needed; the rest lacks {lacks}"
    )


def _week_and_kept(costs: _Costs, window: Window) -> tuple[Measured, Measured]:
    """The week's load, and its ratio to the median usable week of the baseline."""
    name, days = costs.scale.name, window.span(*RACE_WEEK)
    week = costs.between(*RACE_WEEK)
    reason = costs.lack(*RACE_WEEK)
    if reason:
        return unknown(name, reason, days), unknown(f"{name}_kept", reason, days)
    total, ids, rule = float(_whole(week).sum()), tuple(week["leg_id"]), costs.scale.rule
    told = Measured(name, total, basis=rule + _filled(week, "race week"), days=days, legs=ids)
    usual = window.baseline()
    usual = usual.assign(load=costs.legs["load"], lack=costs.legs["lack"])
    reason = window.why_no_baseline() or _too_little(usual, "in the baseline, ")
    weeks = window.weekly_sums(usual.assign(load=_whole(usual)), "load")
    weekly = 0.0 if reason else float(weeks.median())
    if not reason and weekly == 0:
        reason = "a usual week holds no load"
    both = window.baseline_days() + days
    if reason:
        return told, unknown(f"{name}_kept", reason, both)
    filled = _filled(usual, "the baseline") + _filled(week, "race week")
    basis = f"{total:.0f} in race week, {weekly:.0f} in a usual week; {rule}{filled}"
    legs = tuple(usual["leg_id"]) + ids
    return told, Measured(f"{name}_kept", total / weekly, basis=basis, days=both, legs=legs)


def _whole(legs: pd.DataFrame) -> pd.Series:
    """Every leg's load; one without counts as if it had cost as much an hour as the others."""
    known = legs[legs["load"].notna()]
    hours = float(known["hours"].sum())
    an_hour = float(known["load"].sum()) / hours if hours else 0.0
    return legs["load"].fillna(an_hour * legs["hours"])


def _filled(legs: pd.DataFrame, where: str) -> str:
    """How much of a sum was filled in, as the end of its basis; nothing where all was known."""
    lacking = legs[legs["load"].isna()]
    if not len(lacking):
        return ""
    return (
        f"; in {where} {lacking['hours'].sum():.1f} of {legs['hours'].sum():.1f} h have no load "
        "and count by the hour as the others do"
    )


def _ids(legs: pd.DataFrame) -> tuple[str, ...]:
    return tuple(legs.loc[legs["load"].notna(), "leg_id"])


_NO_SCALE = "no scale of load is known for race week"


def _alike(costs: _Costs | None, window: Window) -> tuple[Measured, ...]:
    """Monotony and strain over the seven days of race week."""
    days = window.span(*RACE_WEEK)
    if costs is None:
        return tuple(unknown(name, _NO_SCALE, days) for name in ("monotony", "strain"))
    legs = costs.between(*RACE_WEEK)
    by_day: Mapping = legs.groupby("local_day")["load"].sum().to_dict()
    daily = np.array([by_day.get(day, 0.0) for day in days])
    basis = f"Foster 1998 with the sample's SD (n - 1) over seven days; {costs.scale.rule}"
    values = {"monotony": monotony(daily), "strain": strain(daily)}
    return tuple(
        unknown(name, "every day of race week cost the same", days)
        if value is None
        else Measured(name, value, basis=basis, days=days, legs=_ids(legs))
        for name, value in values.items()
    )


def _acute_chronic(costs: _Costs | None, window: Window) -> Measured:
    """Race week's load over the mean of the last four weeks, with its criticism."""
    name = "acute_chronic_ratio"
    known = shared_toml("published.toml")["load"][name]
    first = -7 * known["value"]
    days = window.span(first, -1)
    if costs is None:
        return unknown(name, _NO_SCALE, days)
    week, before = costs.between(*RACE_WEEK), costs.between(first, RACE_WEEK[0] - 1)
    reason = (
        window.why_unknown(first, -1)
        or _too_little(week)
        or _too_little(before, "in the three weeks before, ")
    )
    if reason:
        return unknown(name, reason, days)
    acute = float(_whole(week).sum())
    chronic = (float(_whole(before).sum()) + acute) / known["value"]
    if chronic == 0:
        return unknown(name, "the last four weeks hold no load", days)
    filled = _filled(before, "the three weeks before") + _filled(week, "race week")
    basis = f"{known['source']}; {costs.scale.rule}{filled}"
    legs = tuple(before["leg_id"]) + tuple(week["leg_id"])
    return Measured(name, acute / chronic, basis=basis, days=days, legs=legs)
