"""How training came down: the form of the taper, the sessions kept, rest and the last long one."""

from __future__ import annotations

from collections import Counter

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import listing, number_of
from taperback.raceweek.factors.taper_fit import (
    FIRST_DAY,
    SUM_DAYS,
    Fit,
    best_fits,
    weekly_sums_by_day,
)
from taperback.raceweek.legs import median, totals
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import RACE_WEEK, Window
from taperback.raceweek.wording import day_name, span_name


def shape(race: Race) -> tuple[Measured, ...]:
    """Form of the taper and its fit, days of reduction, sessions kept, rest days, last long one."""
    window = race.window
    return (
        *_form(window),
        _taper_days(window, race.usual_h),
        _sessions_kept(window),
        _rest_days(window),
        _last_long(window),
    )


def _daily(window: Window) -> np.ndarray:
    """Hours of training on each day from the first that a seven-day sum needs to day -1."""
    first = FIRST_DAY - SUM_DAYS + 1
    hours = window.training(first, -1).totals("days_to_race", "hours")
    return np.array([hours.get(day, 0.0) for day in range(first, 0)])


def _form(window: Window) -> tuple[Measured, Measured]:
    """`taper_shape` and `taper_fit`."""
    first = FIRST_DAY - SUM_DAYS + 1
    days = window.span(first, -1)
    reason = window.why_unknown(first, -1)
    if reason:
        return unknown("taper_shape", reason, days), unknown("taper_fit", reason, days)
    rhythm, habit = None, window.baseline
    if len(habit) and not window.why_no_baseline:
        by_weekday = totals((habit["days_to_race"] % SUM_DAYS).tolist(), habit["hours"])
        rhythm = np.array([by_weekday.get(day % SUM_DAYS, 0.0) for day in range(first, 0)])
    fits = best_fits(_daily(window), rhythm)
    legs = window.training(first, -1).ids
    if not fits:
        return (
            Measured("taper_shape", "none", basis=_NO_FALL, days=days, legs=legs),
            unknown("taper_fit", "there was no fall in volume to fit", days),
        )
    basis = _fit_words(fits)
    named = Measured("taper_shape", fits[0].shape, basis=basis, days=days, legs=legs)
    fewest = LIMITS.taper.fewest_fit
    if fits[0].r_squared < fewest:
        reason = f"no shape accounts for {fewest:.0%} of the changes in seven-day volume"
        named = unknown("taper_shape", reason, days)
    return (
        named,
        Measured("taper_fit", fits[0].r_squared, basis=basis, days=days, legs=legs),
    )


_NO_FALL = "the seven-day volume of the last 21 days did not fall by a tenth or more"


def _fit_words(fits: list[Fit]) -> str:
    """The best shape, what it says, and how close the others come."""
    best = fits[0]
    kept = f"{100 * best.after / best.before:.0f}%" if best.before else "none"
    words = (
        f"least squares over the seven-day sums of {span_name(FIRST_DAY, -1)}: {best.shape} from "
        f"day {day_name(best.start)} down to {kept} of the days before"
    )
    shares = [f"{fit.shape} {100 * fit.r_squared:.0f}%" for fit in fits]
    words += f"; share of the changes that each shape accounts for: {listing(shares)}"
    apart = LIMITS.taper.shapes_apart
    highest = max(fit.r_squared for fit in fits)
    close = [fit.shape for fit in fits if fit.r_squared > highest - apart]
    if len(close) > 1:
        words += f"; {listing(close)} are too close to tell apart"
    return words


def _taper_days(window: Window, usual: Measured) -> Measured:
    """Days in a row up to the race with a seven-day volume clearly below the usual week."""
    name = "taper_days"
    first = FIRST_DAY - SUM_DAYS + 1
    reason = window.why_unknown(first, -1) or usual.reason
    if reason:
        return unknown(name, reason, window.span(first, -1))
    limit = LIMITS.taper.reduced_share * float(usual.value or 0)
    days = 0
    for total in weekly_sums_by_day(_daily(window))[::-1]:
        if total >= limit:
            break
        days += 1
    basis = (
        f"days in a row up to the race whose seven-day volume was under {limit:.1f} h, with "
        f"{usual.basis}; counted over the last {-FIRST_DAY}"
    )
    legs = window.training(first, -1).ids
    return Measured(name, float(days), basis=basis, days=window.span(first, -1), legs=legs)


def _sessions_kept(window: Window) -> Measured:
    """Sessions of race week over the median of the usable weeks; one file is one session."""
    name = "sessions_kept"
    reason = window.why_unknown(*RACE_WEEK) or window.why_no_baseline
    days = (*window.baseline_days, *window.span(*RACE_WEEK))
    if reason:
        return unknown(name, reason, days)
    week, habit = window.training(*RACE_WEEK), window.baseline
    sessions = Counter(
        block for block, _ in set(zip(habit["block"], habit["session"], strict=True))
    )
    usual = median(sessions[place] for place, block in enumerate(window.blocks) if block.usable)
    if not usual:
        return unknown(name, "a usual week holds no session", days)
    held = len(set(week["session"]))
    basis = f"{number_of(held, 'session')} in race week against {usual:g} in a usual week (median)"
    legs = (*habit.ids, *week.ids)
    return Measured(name, held / usual, basis=basis, days=days, legs=legs)


def _rest_days(window: Window) -> Measured:
    name = "rest_days"
    reason = window.why_unknown(*RACE_WEEK)
    if reason:
        return unknown(name, reason, window.span(*RACE_WEEK))
    trained = set(window.training(*RACE_WEEK)["days_to_race"].tolist())
    rest = [k for k in range(RACE_WEEK[0], RACE_WEEK[1] + 1) if k not in trained]
    rest_days = listing(day_name(k) for k in rest)
    basis = (
        f"no training on day{'s' if len(rest) > 1 else ''} {rest_days}"
        if rest_days
        else "no day off"
    )
    return Measured(name, float(len(rest)), basis=basis, days=tuple(map(window.day, rest)))


def _last_long(window: Window) -> Measured:
    """Days before the race of the last session nearly as long as a usual week's longest."""
    name = "last_long_d"
    reason = window.why_no_baseline
    if reason:
        return unknown(name, reason)
    habit, longest = window.baseline, dict[int, float]()
    places = zip(habit["block"].tolist(), habit["session"], strict=True)
    for (block, _), of_session in totals(places, habit["hours"]).items():
        longest[block] = max(of_session, longest.get(block, 0.0))
    usual = median(longest.values()) if longest else 0.0
    if not usual:
        return unknown(name, "a usual week holds no session")
    share = LIMITS.taper.long_share
    since = FIRST_DAY - SUM_DAYS
    legs = window.training(since, -1)
    hours = totals(zip(legs["days_to_race"].tolist(), legs["session"], strict=True), legs["hours"])
    long = [(day, h, session) for (day, session), h in hours.items() if h >= share * usual]
    why = f"{share:.0%} of {show('volume_h', usual)}, the longest of a usual week (median)"
    if not len(long):
        return unknown(name, f"no session of {span_name(since, -1)} reached {why}")
    day, last_h, session = sorted(long, key=lambda one: one[:2])[-1]
    between = window.why_unknown(day, -1)
    if between:
        return unknown(name, f"since the last one known, {between}")
    own = legs.where(legs["session"] == session)
    sports = listing(sport.replace("_", " ") for sport in dict.fromkeys(own["sport"]))
    basis = f"{sports} of {show('volume_h', last_h)}; long is from {why}"
    return Measured(name, -float(day), basis=basis, days=(window.day(day),), legs=own.ids)
