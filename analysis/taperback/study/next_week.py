"""The rule turned into hours and minutes for the week before the next race."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.evidence.model import Rule, RulePart
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.window.window import RACE_WEEK


@dataclass(frozen=True)
class PlannedSession:
    """What one sport gets on one day before the race.

    Attributes:
        days_to_race: -7 .. -1.
        sport: FIT sport name.
        minutes: moving time, rounded as a person would plan it.
    """

    days_to_race: int
    sport: str
    minutes: int


@dataclass(frozen=True)
class SportPlan:
    """What one sport gets over the whole week [h]: in the week copied, and as the rule has it."""

    sport: str
    pattern_h: float
    low_h: float
    high_h: float
    target_h: float


@dataclass(frozen=True)
class NextWeek:
    """Next time's race week, in hours and minutes.

    Attributes:
        baseline_h: the athlete's usual week that the rule is applied to [h].
        baseline_race: id of the race whose baseline it is: the latest one known.
        low_h, high_h: total hours that the rule's range of volume cut allows.
        target_h: total hours at the rule's best volume cut.
        pattern_race: id of the race week whose days are scaled; empty where none serves.
        pattern_day: first day of the usual week whose days are scaled where no race week serves.
        sports: hours by sport. sessions: minutes by day and sport.
        hard_min: minutes above the second threshold over the week, None where unknown.
        reason: why there are no sessions, or no plan at all; empty where there is one.
    """

    baseline_h: float | None
    baseline_race: str
    low_h: float | None
    high_h: float | None
    target_h: float | None
    pattern_race: str
    sports: tuple[SportPlan, ...]
    sessions: tuple[PlannedSession, ...]
    hard_min: float | None
    reason: str = ""
    pattern_day: date | None = None


def plan_next_week(weeks: tuple[RaceWeek, ...], rule: Rule | None) -> NextWeek:
    """What the rule means in hours and minutes for this athlete's usual week.

    The rule's range of volume cut is applied to the latest known usual week. The days come from
    the athlete's own race week without panic flags whose volume cut was closest to the rule's
    best, scaled, so that the plan is a week the athlete has done and knows; where there is none,
    from the usual week whose hours are closest to the median of the usual weeks.
    """
    cut = _part(rule, "volume_cut")
    if cut is None:
        return _no_plan("no rule could be given for the volume cut")
    latest, baseline_h = _latest_baseline(weeks)
    if latest is None:
        return _no_plan("no usual week is known for any race")
    low_h, high_h = baseline_h * (1 - cut.high), baseline_h * (1 - cut.low)
    target_h = baseline_h * (1 - cut.best)
    hard_min = _hard_minutes(latest, _part(rule, "intensity_kept"), target_h / baseline_h)
    plan = NextWeek(
        baseline_h, latest.race_id, low_h, high_h, target_h, "", (), (), hard_min, _NO_PATTERN
    )
    pattern = _closest_week(weeks, cut.best)
    usual_day = None if pattern else _usual_week(latest, baseline_h)
    if pattern is None and usual_day is None:
        return plan
    hours = _hours_by_day(pattern or latest, usual_day)
    done_h = float(hours["hours"].sum())
    return replace(
        plan,
        pattern_race=pattern.race_id if pattern else "",
        pattern_day=usual_day,
        sports=_sport_plans(hours, low_h / done_h, high_h / done_h, target_h / done_h),
        sessions=_sessions(hours, target_h / done_h),
        reason="",
    )


WEEK_D = 7
_TO_ITS_END = timedelta(days=WEEK_D - 1)
_NO_PATTERN = "no race week without panic flags is recorded well enough to take the days from"


def _no_plan(reason: str) -> NextWeek:
    return NextWeek(None, "", None, None, None, "", (), (), None, reason)


def _part(rule: Rule | None, factor: str) -> RulePart | None:
    parts = rule.parts if rule else ()
    return next((part for part in parts if part.factor == factor), None)


def _latest_baseline(weeks: tuple[RaceWeek, ...]) -> tuple[RaceWeek | None, float]:
    """The last race with a usual week, and that week's hours; one without any is no measure."""
    for week in reversed(weeks):
        hours = week.number("baseline_weekly_h")
        if hours is not None and hours > 0:
            return week, hours
    return None, 0.0


def _hard_minutes(latest: RaceWeek, intensity: RulePart | None, share: float) -> float | None:
    """Hard minutes that keep the rule's share of intensity in a week of `share` x usual volume."""
    usual = latest.number("baseline_hard_min")
    if usual is None or intensity is None:
        return None
    return usual * share * intensity.best


def _closest_week(weeks: tuple[RaceWeek, ...], best_cut: float) -> RaceWeek | None:
    """The race week to copy: known in full, without panic, its cut closest to the best (latest)."""
    done = [week for week in reversed(weeks) if not week.flags and _known_in_full(week)]
    cuts = [(week, week.number("volume_cut")) for week in done]
    usable = [
        (abs(cut - best_cut), place, week)
        for place, (week, cut) in enumerate(cuts)
        if cut is not None and len(_hours_by_day(week))
    ]
    return min(usable, key=lambda item: item[:2])[2] if usable else None


def _known_in_full(week: RaceWeek) -> bool:
    """Whether no day of the race week is unknown, as those of a week that still goes on are."""
    days = week.days[week.days["days_to_race"].between(*RACE_WEEK)]
    return "unknown" not in set(days["state"])


def _usual_week(week: RaceWeek, baseline_h: float) -> date | None:
    """First day of the usual week closest to the median of all, the latest on a tie."""
    days = week.days.set_index("day")
    starts = sorted(week.measures["baseline_weekly_h"].days)[::WEEK_D]
    totals = {
        first: sum(sum(h.values()) for h in days.loc[first : first + _TO_ITS_END, "hours"])
        for first in reversed(starts)
    }
    done = [first for first, hours in totals.items() if hours > 0]
    return min(done, key=lambda first: abs(totals[first] - baseline_h), default=None)


def _hours_by_day(week: RaceWeek, first: date | None = None) -> pd.DataFrame:
    """Hours by day and sport of the race week, or of the week from `first` on as if it were it.

    Returns:
        one row a day and sport: days_to_race (-7 .. -1), sport, hours.
    """
    first = first or week.day0 + timedelta(days=RACE_WEEK[0])
    rows = [
        ((day.day - first).days + RACE_WEEK[0], sport, float(hours))
        for day in week.days.itertuples()
        if first <= day.day <= first + _TO_ITS_END
        for sport, hours in day.hours.items()
        if hours > 0
    ]
    return pd.DataFrame(rows, columns=["days_to_race", "sport", "hours"])


def _sport_plans(
    hours: pd.DataFrame, low: float, high: float, best: float
) -> tuple[SportPlan, ...]:
    """Hours by sport, most first; `low`, `high` and `best` scale the pattern's hours."""
    totals = hours.groupby("sport")["hours"].sum().sort_values(ascending=False, kind="stable")
    return tuple(
        SportPlan(str(sport), float(h), float(h) * low, float(h) * high, float(h) * best)
        for sport, h in totals.items()
    )


def _sessions(hours: pd.DataFrame, scale: float) -> tuple[PlannedSession, ...]:
    """Minutes by day and sport, in steps a person plans in; too short ones are left out."""
    limits = LIMITS.next_week
    step, shortest = limits.minutes_step, limits.shortest_min
    planned = [
        PlannedSession(
            int(row.days_to_race), str(row.sport), step * round(row.hours * scale * 60 / step)
        )
        for row in hours.sort_values(["days_to_race", "sport"]).itertuples()
    ]
    return tuple(session for session in planned if session.minutes >= shortest)
