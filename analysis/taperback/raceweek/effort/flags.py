"""The rules of panic training: what in the last ten days left the athlete's own habit.

Six rules, each with its limit in `shared/limits.toml`, changeable in `athlete.toml`. A short
opener is no panic; what the baseline has seen often is none either.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS, Panic
from taperback.common.wording import hours_and_minutes, number_of
from taperback.raceweek.effort.effort import Effort
from taperback.raceweek.legs import Leg, Legs
from taperback.raceweek.model import Flag, Measured
from taperback.raceweek.window.window import Window
from taperback.raceweek.wording import span_name

RULES = ("long", "hard", "late", "catching_up", "first_time", "on_feet")


@dataclass(frozen=True)
class _Case:
    """What the rules look at.

    Attributes:
        late: training legs of the last days, with their time by zone and `minutes`.
        usual: the baseline's, the same columns; empty where there is no baseline.
        usual_h: hours of the usual week, or why they are unknown.
        limits: as `panic_limits` gives them.
    """

    window: Window
    effort: Effort
    late: Legs
    usual: Legs
    usual_h: Measured
    limits: Panic


def panic_flags(window: Window, effort: Effort, usual_h: Measured) -> tuple[Flag, ...]:
    """The sessions of the last days that a rule catches, in order of day and of `RULES`.

    Without a baseline only `late` can tell; unknown intensity raises no flag. A tune-up is trained
    through, so that nothing before it is a panic.
    """
    if window.tune_up:
        return ()
    late, usual = effort.of(last_sessions(window)), effort.of(window.baseline)
    usual = usual.rows(0, 0) if window.why_no_baseline else usual
    case = _Case(
        window,
        effort,
        late.with_columns(minutes=late["hours"] * 60),
        usual.with_columns(minutes=usual["hours"] * 60),
        usual_h,
        panic_limits(window),
    )
    rules = (_long, _hard, _late, _catching_up, _first_time, _on_feet)
    flags = [flag for rule in rules for flag in rule(case)]
    return tuple(sorted(flags, key=lambda flag: (flag.day, RULES.index(flag.rule))))


def panic_limits(window: Window) -> Panic:
    """The limits of the rules: the shared ones, the athlete's own over them."""
    return replace(LIMITS.panic, **window.athlete.panic_limits)


def last_days(window: Window) -> tuple[int, int]:
    """The days to the race that the rules look at, first and last included."""
    limits = panic_limits(window)
    return int(limits.first_day), int(limits.last_day)


def last_sessions(window: Window) -> Legs:
    """Training legs of those days; another race is no training, be it ever so late."""
    legs = window.training(*last_days(window))
    return legs.where(legs["role"] != "other_race")


def _long(case: _Case) -> Iterator[Flag]:
    """Longer than nearly all of the sport's baseline sessions."""
    for sport, legs in case.late.by("sport"):
        usual = case.usual.where(case.usual["sport"] == sport)["minutes"]
        if len(usual) < case.limits.fewest_baseline_sessions:
            continue
        limit = _limit(usual, case.limits)
        for leg in legs.where(legs["minutes"] > limit):
            yield _flag(case, "long", leg, leg.minutes, limit, usual)


def _hard(case: _Case) -> Iterator[Flag]:
    """More hard minutes than nearly all of the sport's baseline sessions that were hard at all.

    Easy sessions are left out of the comparison: most sessions are easy, and an ordinary session
    of intervals is no panic because it is outnumbered.
    """
    for sport, legs in case.late.by("sport"):
        usual = case.usual.where(case.usual["sport"] == sport)
        known = usual.where(usual.known("hard_min"))["hard_min"]
        if len(known) < case.limits.fewest_baseline_sessions:
            continue
        hard = known[known >= case.limits.opener_hard_min]
        compared = hard if len(hard) >= case.limits.fewest_hard_sessions else known
        limit = max(_limit(compared, case.limits), float(case.limits.late_hard_min))
        for leg in legs.where(legs["hard_min"] > limit):
            yield _flag(case, "hard", leg, leg.hard_min, limit, known)


def _limit(usual: np.ndarray, limits: Panic) -> float:
    """Clearly beyond the percentile: of ten ordinary sessions one lies above it anyway."""
    return float(np.quantile(usual, limits.percentile)) * limits.clearly


def _flag(case: _Case, rule: str, leg: Leg, figure: float, limit: float, usual: np.ndarray) -> Flag:
    """A flag on one leg, in minutes, with how many of the baseline's sessions reached as far."""
    return Flag(
        rule=rule,
        day=leg.local_day,
        day_before=-int(leg.days_to_race),
        legs=(leg.leg_id,),
        session=_words(case, leg),
        figure=float(figure),
        limit=limit,
        unit="min",
        seen_before=int(np.count_nonzero(usual >= figure)),
        out_of=len(usual),
    )


def _words(case: _Case, leg: Leg) -> str:
    """What a session was, in a few words."""
    minutes, sport = 60 * leg.hours, leg.sport.replace("_", " ")
    what = case.effort.repetitions(leg)
    return f"{hours_and_minutes(minutes)} of {sport}" + (f", {what}" if what else "")


def _late(case: _Case) -> Iterator[Flag]:
    """More hard minutes on one of the last days than an opener has."""
    limit = float(case.limits.late_hard_min)
    late = case.late.where(case.late["days_to_race"] >= case.limits.late_first_day)
    usual = np.array([*case.usual.totals("local_day", "hard_min").values()])
    for day, legs in late.by("local_day"):
        figure = legs.total("hard_min")
        if figure <= limit:
            continue
        hard = legs.where(legs["hard_min"] > 0)
        yield Flag(
            "late",
            day,
            -int(legs["days_to_race"][0]),
            hard.ids,
            "; ".join(_words(case, leg) for leg in hard),
            figure,
            limit,
            "min",
            int(np.count_nonzero(usual > limit)),
            len(usual),
        )


def _catching_up(case: _Case) -> Iterator[Flag]:
    """Seven days above the usual week after seven days below it, unless weeks swing so anyway."""
    window, limits = case.window, case.limits
    usual = case.usual_h
    if not usual.value:
        return
    above = float(usual.value) * limits.catching_up_above
    below = float(usual.value) * limits.catching_up_below
    weekly = window.weekly_sums(window.baseline, "hours")
    pairs = [(weekly[k - 1], weekly[k]) for k in weekly if k - 1 in weekly]
    seen = sum(before < below and week > above for before, week in pairs)
    first, last = last_days(window)
    # A sum is NaN, which no limit catches, where one of its seven days is unknown.
    hours = window.training(first - 13, last).totals("days_to_race", "hours")
    daily = {
        day: float("nan") if state == "unknown" or partial else hours.get(day, 0.0)
        for day, state, partial, _ in window.states
    }
    sums = pd.Series(daily).rolling(7).sum().to_dict()
    ends = range(first, last + 1)
    caught = [(sums[k], k) for k in ends if sums[k] > above and sums[k - 7] < below]
    if not caught or seen > limits.catching_up_habit * len(pairs):
        return
    figure, end = max(caught)
    legs = window.training(end - 6, end)
    words = f"all {number_of(len(legs), 'session')} of {span_name(end - 6, end)}"
    yield Flag(
        "catching_up", window.day(end), -end, legs.ids, words, figure, above, "h", seen, len(pairs)
    )


def _first_time(case: _Case) -> Iterator[Flag]:
    """A sport, or hard repetitions in a sport, that the baseline has not seen."""
    if not len(case.usual):
        return
    limits = case.limits
    sports = set(case.usual["sport"])
    repeated = {leg.sport for leg in case.usual if case.effort.repetitions(leg)}
    nothing = np.zeros(len(case.usual))
    for leg in case.late:
        new_sport = leg.sport not in sports and leg.minutes >= limits.first_time_min
        new_kind = (
            leg.sport in sports - repeated
            and leg.hard_min > limits.late_hard_min
            and case.effort.repetitions(leg) is not None
        )
        if new_sport or new_kind:
            yield _flag(case, "first_time", leg, leg.minutes, 0.0, nothing)


def _on_feet(case: _Case) -> Iterator[Flag]:
    """A day of walking and hiking far above the habit, whether they count as training or not."""
    window, limits = case.window, case.limits
    if window.why_no_baseline:
        return
    legs = window.on_feet()
    legs = legs.where(legs.known("hours"))
    daily = {day: 60 * hours for day, hours in legs.totals("local_day", "hours").items()}
    usual = np.array([daily.get(day, 0.0) for day in window.baseline_days])
    habit = float(np.quantile(usual, limits.percentile)) * limits.on_feet_above
    limit = max(habit, float(limits.on_feet_least_min))
    for day, of_day in legs.between(limits.on_feet_first_day, -1).by("local_day"):
        figure = daily[day]
        if figure > limit:
            what = " and ".join(sorted(set(of_day["sport"])))
            yield Flag(
                "on_feet",
                day,
                -int(of_day["days_to_race"][0]),
                of_day.ids,
                f"{figure:.0f} min of {what}",
                figure,
                limit,
                "min",
                int(np.count_nonzero(usual >= figure)),
                len(usual),
            )
