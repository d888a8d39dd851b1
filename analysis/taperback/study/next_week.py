"""The rule turned into hours and minutes for the week before the next race."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil, isfinite

import pandas as pd

from taperback.evidence.model import Rule, RulePart
from taperback.journal.proposed import DOUBTFUL
from taperback.raceweek.ahead import RaceAhead
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.run_up import RunUp
from taperback.raceweek.travel.body_clock import lag_of_stages_h, shift_rate, shortest_shift_h
from taperback.raceweek.window.window import FIRST_DAY, RACE_WEEK
from taperback.study.next_days import (
    DAYS,
    Pattern,
    PlannedSession,
    off_travel,
    pattern_of,
    plan_sessions,
)


@dataclass(frozen=True)
class SportPlan:
    """What one sport gets over the whole week [h]: in the week copied, and as the rule has it."""

    sport: str
    pattern_h: float
    low_h: float
    high_h: float
    target_h: float


@dataclass(frozen=True)
class Arrival:
    """The typed trip to the race ahead, and when the rule has the athlete arrive.

    Attributes:
        depart, arrive: the trip's days; depart is None where it is not typed.
        days_there: days from the arrival to the race.
        zones_h: time difference to home, east positive [h]; None where no zone is typed.
        left_h: hours of it that the body clock still lags behind on race day; None as above.
        most_left_h: what the rule allows of that; None where it asks for nothing.
        days_needed: the least days there for that, None where it asks for nothing.
    """

    depart: date | None
    arrive: date
    days_there: int
    zones_h: float | None
    left_h: float | None
    most_left_h: float | None
    days_needed: int | None


@dataclass(frozen=True)
class NextWeek:
    """Next time's race week, in hours and minutes.

    Attributes:
        baseline_h: the athlete's usual week that the rule is applied to [h].
        baseline_race: id of the race whose baseline it is: the latest one known; empty where it is
            that of the race ahead.
        low_h, high_h: total hours that the rule's range of volume cut allows.
        target_h: total hours at the rule's best volume cut.
        pattern_race: id of the race week whose days are scaled; empty where none serves.
        pattern_day: first day of the usual week whose days are scaled where no race week serves.
        sports: hours by sport. sessions: minutes by day and sport.
        hard_min: minutes above the second threshold over the week, None where unknown; those of
            the sessions add up to it.
        reason: why there are no sessions, or no plan at all; empty where there is one.
        race: the race ahead that is planned for; None where none is, and days are counted only.
        baseline_days: first and last day of the weeks that the usual week is the median of.
        baseline_weeks: how many weeks these are.
        older: whether older weeks are among them than those before a race usually are.
        why_no_baseline: why the usual week before the race ahead is not known; empty where it is.
        usual_hard_min: hard minutes of the usual week, None where unknown.
        night_h: hours to sleep a night: the usual night and what the rule adds; None if unknown.
        arrival: the trip to the race ahead; None where none is typed.
        travel_days: days to the race, of -7 .. -1, from its departure to its arrival.
        recorded_days, recorded_h: how many days of that week are recorded already, and their hours.
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
    race: RaceAhead | None = None
    baseline_days: tuple[date, ...] = ()
    baseline_weeks: int = 0
    older: bool = False
    why_no_baseline: str = ""
    usual_hard_min: float | None = None
    night_h: float | None = None
    arrival: Arrival | None = None
    travel_days: tuple[int, ...] = ()
    recorded_days: int = 0
    recorded_h: float = 0.0


def plan_next_week(
    weeks: tuple[RaceWeek, ...], rule: Rule | None, coming: RunUp | None = None
) -> NextWeek:
    """What the rule means in hours and minutes for this athlete's usual week.

    The rule's range of volume cut is applied to the usual week before the race ahead, where there
    is one and that is known, else to that of the latest race that has one. The days come from
    the athlete's own race week without panic flags whose volume cut was closest to the rule's
    best, scaled, so that the plan is a week the athlete has done and knows; where there is none,
    from the usual week whose hours are closest to the median of the usual weeks.

    Args:
        weeks: the races looked back on.
        rule: the rule; None where there is none.
        coming: what is known before the race ahead; None where none is.
    """
    about = _about_race(coming, rule)
    cut, kept = _part(rule, "volume_cut"), _part(rule, "intensity_kept")
    if cut is None:
        return replace(about, reason="no rule could be given for the volume cut")
    usual = _usual(weeks, coming)
    if usual is None:
        return replace(about, reason="no usual week is known for any race")
    plan = replace(
        about,
        baseline_h=usual.weekly_h,
        baseline_race=usual.race_id,
        baseline_days=usual.span[:1] + usual.span[-1:],
        baseline_weeks=len(usual.span) // len(DAYS),
        older=usual.older,
        low_h=usual.weekly_h * (1 - cut.high),
        high_h=usual.weekly_h * (1 - cut.low),
        target_h=usual.weekly_h * (1 - cut.best),
        usual_hard_min=usual.hard_min,
        hard_min=usual.hard_min * (1 - cut.best) * kept.best
        if kept is not None and usual.hard_min is not None
        else None,
    )
    copied = _closest_week(weeks, cut.best)
    usual_day = None if copied else _usual_week(usual)
    if copied:
        return _with_days(
            replace(plan, pattern_race=copied.race_id), _as_pattern(copied, coming), coming
        )
    if usual_day:
        pattern = pattern_of(usual.days, usual_day, hard_in=_hard_in(coming))
        return _with_days(replace(plan, pattern_day=usual_day), pattern, coming)
    return replace(plan, reason=_NO_PATTERN)


_NO_PATTERN = "no race week without panic flags is recorded well enough to take the days from"


def _with_days(plan: NextWeek, pattern: Pattern, coming: RunUp | None) -> NextWeek:
    """The plan with its hours by sport and its sessions: the pattern's, scaled, off travel days."""
    pattern = off_travel(pattern, plan.travel_days)
    done_h = float(pattern.sessions["hours"].sum())
    if not done_h:
        return replace(plan, reason="every day of the week before the race is a travel day")
    by_sport = pattern.sessions.groupby("sport")["hours"].sum()
    low, high, best = (
        (hours or 0.0) / done_h for hours in (plan.low_h, plan.high_h, plan.target_h)
    )
    sessions = plan_sessions(
        pattern,
        best,
        plan.hard_min,
        coming.repetitions if coming else (),
        coming.race.day0 if coming else None,
    )
    fits = float(sum(session.hard_min or 0 for session in sessions))
    too_much = bool(sessions) and plan.hard_min is not None and fits < round(plan.hard_min)
    return replace(
        plan,
        hard_min=fits if too_much else plan.hard_min,
        sports=tuple(
            SportPlan(str(sport), float(h), float(h) * low, float(h) * high, float(h) * best)
            for sport, h in by_sport.sort_values(ascending=False, kind="stable").items()
        ),
        sessions=sessions,
    )


def _about_race(coming: RunUp | None, rule: Rule | None) -> NextWeek:
    """What is known of the race ahead before anything is planned for it."""
    nothing = NextWeek(None, "", None, None, None, "", (), (), None)
    if coming is None:
        return nothing
    sleep = _part(rule, "sleep_change_h")
    more = max(sleep.low, 0.0) if sleep and isfinite(sleep.low) else 0.0
    night = coming.night.value
    days = coming.days
    over = days[days["days_to_race"].between(*RACE_WEEK) & (days["day"] <= coming.race.last_day)]
    arrival = _arrival(coming, _part(rule, "body_clock_lag_h"))
    travel: tuple[int, ...] = ()
    if arrival:  # the date line may put departure after arrival
        first, last = sorted((arrival.depart or arrival.arrive, arrival.arrive))
        travel = tuple(day for day in DAYS if first <= coming.race.day_before(-day) <= last)
    return replace(
        nothing,
        race=coming.race,
        why_no_baseline=coming.weekly.reason,
        night_h=float(night) + more if night is not None else None,
        arrival=arrival,
        travel_days=travel,
        recorded_days=len(over),
        recorded_h=float(sum(sum(hours.values()) for hours in over["hours"])),
    )


def _arrival(coming: RunUp, part: RulePart | None) -> Arrival | None:
    trip = coming.trip
    if trip is None or trip.arrive is None:
        return None
    most = part.high if part and isfinite(part.high) else None
    needed = None
    if most is not None and trip.zones_h is not None:
        due = abs(shortest_shift_h(trip.zones_h)) - most
        needed = max(ceil(due / shift_rate(trip.zones_h)[0] - 1e-9), 0)
    return Arrival(
        depart=trip.depart,
        arrive=trip.arrive,
        days_there=(coming.race.day0 - trip.arrive).days,
        zones_h=trip.zones_h,
        left_h=lag_of_stages_h(trip.stages) if trip.zones_h is not None else None,
        most_left_h=most,
        days_needed=needed,
    )


def _part(rule: Rule | None, factor: str) -> RulePart | None:
    return rule.part(factor) if rule else None


@dataclass(frozen=True)
class _Usual:
    """The usual week that the rule is applied to; `span` are the days of its weeks.

    `older`: whether some of them lie before the weeks that a usual week is made of.
    """

    race_id: str
    weekly_h: float
    hard_min: float | None
    span: tuple[date, ...]
    older: bool
    days: pd.DataFrame


def _usual(weeks: tuple[RaceWeek, ...], coming: RunUp | None) -> _Usual | None:
    """That before the race ahead, else the latest race's that has one; one of no hours is none."""
    if coming and coming.weekly.value:
        hard = coming.hard.value
        return _Usual(
            "",
            float(coming.weekly.value),
            float(hard) if hard is not None else None,
            coming.weekly.days,
            _has_older(coming.weekly.days, coming.race.day0),
            coming.days,
        )
    for week in reversed(weeks):
        hours = week.number("baseline_weekly_h")
        if hours is not None and hours > 0:
            span = tuple(sorted(week.measures["baseline_weekly_h"].days))
            hard_min = week.number("baseline_hard_min")
            older = _has_older(span, week.day0)
            return _Usual(week.race_id, hours, hard_min, span, older, week.days)
    return None


def _has_older(span: tuple[date, ...], day0: date) -> bool:
    return any((day - day0).days < FIRST_DAY for day in span)


def _closest_week(weeks: tuple[RaceWeek, ...], best_cut: float) -> RaceWeek | None:
    """The race week to copy: known in full, without panic, its cut closest to the best (latest).

    A race that nobody has confirmed has no race week.
    """
    usable = []
    for place, week in enumerate(reversed(weeks)):
        days = week.days[week.days["days_to_race"].between(*RACE_WEEK)]
        known, cut = "unknown" not in set(days["state"]), week.number("volume_cut")
        confirmed = week.race.get("leave_out") != DOUBTFUL
        if not (confirmed and known) or week.flags or cut is None:
            continue
        if len(_as_pattern(week).sessions):
            usable.append((abs(cut - best_cut), place, week))
    return min(usable, key=lambda item: item[:2])[2] if usable else None


def _as_pattern(week: RaceWeek, coming: RunUp | None = None) -> Pattern:
    """A race week as one to copy."""
    opener = week.measures.get("opener")
    held = opener.days[-1] if opener and opener.legs else None
    return pattern_of(week.days, week.day0 + timedelta(days=DAYS[0]), held, _hard_in(coming))


def _hard_in(coming: RunUp | None) -> tuple[str, ...]:
    return tuple(usual.what.sport for usual in coming.repetitions) if coming else ()


def _usual_week(usual: _Usual) -> date | None:
    """First day of the usual week closest to the median of all, the latest on a tie."""
    days = usual.days.set_index("day")
    totals = {
        first: sum(
            sum(h.values())
            for h in days.loc[first : first + timedelta(days=len(DAYS) - 1), "hours"]
        )
        for first in reversed(usual.span[:: len(DAYS)])
    }
    done = [first for first, hours in totals.items() if hours > 0]
    return min(done, key=lambda first: abs(totals[first] - usual.weekly_h), default=None)
