"""How much of the hard work was kept in race week."""

from __future__ import annotations

import numpy as np

from taperback.common.limits import LIMITS
from taperback.raceweek.effort.effort import Effort
from taperback.raceweek.effort.sides import Side, known_share
from taperback.raceweek.effort.zones import ZONE_COLUMNS
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.wording import percent_below


def intensity(race: Race) -> tuple[Measured, ...]:
    """How hard race week was, and how much of a usual week's hardness that is.

    Hard is time above the second threshold. Shares are of the time with a known intensity; where
    that is too little of the training time, on either side, they are unknown. `intensity_kept`
    compares the sports that are known on both sides, each weighed by all its time. Sums of hard
    minutes take time of unknown intensity as not hard, so that nearly all of it must be known.

    Returns:
        `intensity_kept`, `hard_minutes_kept`, `hard_min`, `baseline_hard_min`, `easy_share`,
        `moderate_share`, `hard_share`, `known_intensity_share`.
    """
    window, week, usual = race.window, race.week, race.usual
    usual_min = window.usual(usual.legs, "hard_min")
    name, why = "hard_minutes_kept", _either(week.why_no_sum, usual.why_no_sum)
    hard_minutes = (
        unknown(name, why, usual.days + week.days)
        if why
        else _kept(name, week.hard_min, usual_min, week, usual)
    )
    name, why = "known_intensity_share", week.why or "there was no training in race week"
    share = known_share(week.legs)
    words = "time whose intensity could be read over all training time of race week"
    known = (
        unknown(name, why, week.days)
        if np.isnan(share)
        else Measured(name, share, basis=words, days=week.days, legs=week.legs.ids)
    )
    return (
        _intensity_kept(week, usual, race.effort),
        hard_minutes,
        _told("hard_min", week.hard_min, week, week.why_no_sum),
        _told("baseline_hard_min", usual_min, usual, usual.why_no_sum),
        *(_told(f"{zone[:-2]}_share", week.share(zone), week, week.why) for zone in ZONE_COLUMNS),
        known,
    )


def _told(name: str, value: float, side: Side, why: str) -> Measured:
    if why:
        return unknown(name, why, side.days)
    if np.isnan(value):
        return unknown(name, f"there was no training in {side.name}", side.days)
    basis = "; ".join((side.words, *side.basis))
    return Measured(name, value, basis=basis, days=side.days, legs=side.leg_ids)


def _intensity_kept(week: Side, usual: Side, effort: Effort) -> Measured:
    """The hard share of race week over the baseline's, in the sports known on both sides."""
    name, days = "intensity_kept", usual.days + week.days
    out = _left_out(week, usual)
    same_week, same_usual = (side.without(tuple(out), effort) for side in (week, usual))
    left_out = f"left out on both sides: {', '.join(out.values())}" if out else ""
    reason = (
        _either(week.why, usual.why)
        or _too_few_sports(week, same_week, left_out)
        or _too_few_sports(usual, same_usual, left_out)
    )
    if reason:
        return unknown(name, reason, days)
    open_shares = ((side.name, 1 - known_share(side.legs)) for side in (same_week, same_usual))
    rest = [f"{100 * share:.0f}% of {of}" for of, share in open_shares if share >= _VISIBLE]
    weighed = f"time of unknown intensity ({', '.join(rest)}) counts like the rest of its sport"
    more = filter(None, (left_out, weighed if rest else ""))
    hard, usual_hard = (side.weighed_share("hard_s") for side in (same_week, same_usual))
    return _kept(name, hard, usual_hard, same_week, same_usual, *more)


def _left_out(week: Side, usual: Side) -> dict[str, str]:
    """Sports of which too little is known on a side where they were trained, with how much."""
    out: dict[str, str] = {}
    for side in (week, usual):
        for sport, legs in side.legs.by("sport"):
            share = known_share(legs)
            if share < LIMITS.intensity.fewest_known_share:
                sentence = f"{sport} (intensity known for {percent_below(share)} of {side.name})"
                out.setdefault(sport, sentence)
    return out


def _too_few_sports(side: Side, same: Side, left_out: str) -> str:
    """Why what is left of a side is too little of it to compare, empty where it is enough."""
    limit, hours = LIMITS.intensity.fewest_known_share, side.legs.total("hours")
    share = same.known_s / 3600 / hours if hours else 1.0
    if share >= limit or not left_out:
        return ""
    return (
        f"only {percent_below(share)} of the training time of {side.name} has a known intensity "
        f"in sports to compare, {100 * limit:.0f}% is needed ({left_out})"
    )


_VISIBLE = 0.005
"""A smaller share is 0% in whole percents."""


def _either(week: str, usual: str) -> str:
    return week or (f"in the baseline, {usual}" if usual else "")


def _kept(
    name: str, value: float, usual_value: float, week: Side, usual: Side, *more: str
) -> Measured:
    """Race week over baseline, read by the same signals on both sides."""
    days = usual.days + week.days
    if not usual_value > 0:
        return unknown(name, "the baseline holds no hard time", days)
    if np.isnan(value):
        return unknown(name, "there was no training in race week", days)
    read_by = dict.fromkeys((*usual.basis, *week.basis))
    words = "; ".join((f"{week.words}, {usual.words}", *read_by, *more))
    legs = usual.leg_ids + week.leg_ids
    return Measured(name, value / usual_value, basis=words, days=days, legs=legs)
