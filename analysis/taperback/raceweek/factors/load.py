"""What race week cost, by the scales of the literature; described, never tested.

Session-RPE load is given where sessions were rated, Banister's TRIMP where heart rate is known;
the sums over five and over three zones stand beside them as cross-checks. A leg without a load is
no leg that cost nothing: in a sum its hours count as the others do. The ratio of acute to chronic
load is given because coaches know it, with its published criticism and never as a risk.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from taperback.common.published import PUBLISHED
from taperback.common.wording import number_of
from taperback.raceweek.effort.dose import monotony, strain
from taperback.raceweek.effort.scales import SCALES, Scale, lacks, too_little, with_load
from taperback.raceweek.legs import Legs
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import RACE_WEEK, Window


def load(race: Race) -> tuple[Measured, ...]:
    """Race week's load and its ratio to the usual week by each scale; monotony, strain, ratio.

    Sums are over all hours of training: where some of them have no load, load per known hour x all
    hours, which the basis says; where too many have none, they are unknown.

    Monotony, strain and the acute-to-chronic ratio are of one scale in all races,
    `Effort.scale`. Monotony and strain look at single days, where nothing can be filled in: one
    leg without a load makes them unknown, since its day is neither known nor a day of rest.
    """
    window, effort = race.window, race.effort
    legs = effort.of(window.training(window.blocks[0].first, -1))
    sex = window.athlete.sex
    costs = {
        scale: _Costs(scale, window, with_load(legs, scale, effort.hearts, sex)) for scale in SCALES
    }
    main = costs[effort.scale] if effort.scale else None
    return (
        *(one for each in costs.values() for one in _week_and_kept(each, window)),
        *_alike(main, window),
        _acute_chronic(main, window),
    )


@dataclass(frozen=True)
class _Costs:
    """Every training leg's load by one scale: `load` [AU] and `lack`, why it is NaN."""

    scale: Scale
    window: Window
    legs: Legs

    def lack(self, first: int, last: int) -> str:
        """Why the load of those days is unknown, empty where it is known."""
        return self.window.why_unknown(first, last) or too_little(self.legs.between(first, last))


def _week_and_kept(costs: _Costs, window: Window) -> tuple[Measured, Measured]:
    """The week's load, and its ratio to the median usable week of the baseline."""
    name, days = costs.scale.name, window.span(*RACE_WEEK)
    week = costs.legs.between(*RACE_WEEK)
    reason = costs.lack(*RACE_WEEK)
    if reason:
        return unknown(name, reason, days), unknown(f"{name}_kept", reason, days)
    total, ids, rule = _whole(week).total("load"), week.ids, costs.scale.rule
    measured = Measured(name, total, basis=rule + _filled(week, "race week"), days=days, legs=ids)
    usual = costs.legs.where(costs.legs["block"] >= 0)
    reason = window.why_no_baseline or too_little(usual, "in the baseline, ")
    weekly = 0.0 if reason else window.usual(_whole(usual), "load")
    if not reason and weekly == 0:
        reason = "a usual week holds no load"
    both = window.baseline_days + days
    if reason:
        return measured, unknown(f"{name}_kept", reason, both)
    filled = _filled(usual, "the baseline") + _filled(week, "race week")
    basis = f"{total:.0f} in race week, {weekly:.0f} in a usual week; {rule}{filled}"
    legs = usual.ids + ids
    return measured, Measured(f"{name}_kept", total / weekly, basis=basis, days=both, legs=legs)


def _whole(legs: Legs) -> Legs:
    """The legs, of which one without a load counts as if it had cost as much an hour as others."""
    known = legs.where(legs.known("load"))
    hours = known.total("hours")
    an_hour = known.total("load") / hours if hours else 0.0
    filled = np.where(legs.known("load"), legs["load"], an_hour * legs["hours"])
    return legs.with_columns(load=filled)


def _filled(legs: Legs, where: str) -> str:
    """How much of a sum was filled in, as the end of its basis; nothing where all was known."""
    lacking = legs.where(~legs.known("load"))
    if not len(lacking):
        return ""
    return (
        f"; in {where} {lacking.total('hours'):.1f} of {legs.total('hours'):.1f} h have no load "
        "and count by the hour as the others do"
    )


_NO_SCALE = "no scale of load is known for any race week"


def _alike(costs: _Costs | None, window: Window) -> tuple[Measured, ...]:
    """Monotony and strain over the seven days of race week."""
    names, days = ("monotony", "strain"), window.span(*RACE_WEEK)
    reason = window.why_unknown(*RACE_WEEK) or ("" if costs else _NO_SCALE)
    if costs is None or reason:
        return tuple(unknown(name, reason, days) for name in names)
    legs = costs.legs.between(*RACE_WEEK)
    if missing := int((~legs.known("load")).sum()):
        lacking = f"{number_of(missing, 'leg')} of race week {'lacks' if missing == 1 else 'lack'}"
        reason = (
            f"{lacking} {lacks(legs)}, and a day without a known load is no rest day; one scale is "
            f"kept through all races: {costs.scale.rule}"
        )
        return tuple(unknown(name, reason, days) for name in names)
    by_day = legs.totals("local_day", "load")
    daily = np.array([by_day.get(day, 0.0) for day in days])
    basis = f"Foster 1998 with the sample's SD (n - 1) over seven days; {costs.scale.rule}"
    values = zip(names, (monotony(daily), strain(daily)), strict=True)
    return tuple(
        unknown(name, "every day of race week cost the same", days)
        if value is None
        else Measured(name, value, basis=basis, days=days, legs=legs.ids)
        for name, value in values
    )


def _acute_chronic(costs: _Costs | None, window: Window) -> Measured:
    """Race week's load over the mean of the last four weeks, with its criticism."""
    name = "acute_chronic_ratio"
    known = PUBLISHED.load.acute_chronic_ratio
    first = -7 * known.value
    days = window.span(first, -1)
    reason = window.why_unknown(first, -1) or ("" if costs else _NO_SCALE)
    if costs is None or reason:
        return unknown(name, reason, days)
    week, before = costs.legs.between(*RACE_WEEK), costs.legs.between(first, RACE_WEEK[0] - 1)
    reason = too_little(week) or too_little(before, "in the three weeks before, ")
    if reason:
        return unknown(name, reason, days)
    acute = _whole(week).total("load")
    chronic = (_whole(before).total("load") + acute) / known.value
    if chronic == 0:
        return unknown(name, "the last four weeks hold no load", days)
    filled = _filled(before, "the three weeks before") + _filled(week, "race week")
    basis = f"{known.source}; {costs.scale.rule}{filled}"
    legs = before.ids + week.ids
    return Measured(name, acute / chronic, basis=basis, days=days, legs=legs)
