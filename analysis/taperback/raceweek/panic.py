"""Panic training: sessions of the last ten days that left the athlete's own habit.

Five rules, each with its limit in `shared/limits.toml`, changeable in `athlete.toml`. A short
opener is no panic; what the baseline has seen often is none either.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from taperback.quantities import show
from taperback.raceweek.calendar import RACE_WEEK, Window
from taperback.raceweek.effort import Effort
from taperback.raceweek.intensity import too_little_known
from taperback.raceweek.model import Flag, Measured, unknown
from taperback.raceweek.volume import baseline_weekly, week_hours, weekly_sums
from taperback.raceweek.wording import count, span_name
from taperback.resources import shared_toml

RULES = ("long", "hard", "late", "catching_up", "first_time")


@dataclass(frozen=True)
class _Case:
    """What the rules look at.

    Attributes:
        late: training legs of the last days, with their time by zone and `minutes`.
        usual: the baseline's, the same columns; empty where there is no baseline.
        limits: the shared limits, the athlete's own over them.
    """

    window: Window
    effort: Effort
    late: pd.DataFrame
    usual: pd.DataFrame
    limits: Mapping[str, float]


def panic_flags(window: Window, effort: Effort) -> tuple[Flag, ...]:
    """The sessions of the last days that a rule catches, in order of day and of `RULES`.

    Without a baseline only `late` can tell; unknown intensity raises no flag.
    """
    case = _case(window, effort)
    rules = (_long, _hard, _late, _catching_up, _first_time)
    flags = [flag for rule in rules for flag in rule(case)]
    return tuple(sorted(flags, key=lambda flag: (flag.day, RULES.index(flag.rule))))


def panic(window: Window, effort: Effort) -> tuple[Measured, ...]:
    """How many sessions were panic, how far the last days left the habit, and the opposite.

    Returns:
        `panic_sessions` (a count), `panic_score` (share of the last days' training time that lay in
        flagged sessions), `emptied_week` (words).
    """
    case = _case(window, effort)
    first, last = _span(case.limits)
    days = window.span(first, last)
    told = _counted(case, panic_flags(window, effort), days)
    return (*told, _emptied(window, effort))


def _case(window: Window, effort: Effort) -> _Case:
    limits = {**shared_toml("limits.toml")["panic"], **window.athlete.panic_limits}
    late, usual = effort.of(window.training(*_span(limits))), effort.of(window.baseline())
    late = late[late["role"] != "other_race"]  # racing is no training, be it ever so late
    if window.why_no_baseline():
        usual = usual.iloc[:0]
    return _Case(
        window,
        effort,
        late.assign(minutes=late["hours"] * 60),
        usual.assign(minutes=usual["hours"] * 60),
        limits,
    )


def _span(limits: Mapping[str, float]) -> tuple[int, int]:
    return int(limits["first_day"]), int(limits["last_day"])


def _long(case: _Case) -> Iterator[Flag]:
    """Longer than nearly all of the sport's baseline sessions."""
    for sport, legs in case.late.groupby("sport"):
        usual = case.usual.loc[case.usual["sport"] == sport, "minutes"].to_numpy()
        if len(usual) < case.limits["fewest_baseline_sessions"]:
            continue
        limit = _limit(usual, case.limits)
        for leg in legs[legs["minutes"] > limit].itertuples():
            yield _flag(case, "long", leg, leg.minutes, limit, usual)


def _hard(case: _Case) -> Iterator[Flag]:
    """More hard minutes than nearly all of the sport's baseline sessions that were hard at all.

    Easy sessions are left out of the comparison: most sessions are easy, and an ordinary session
    of intervals is no panic because it is outnumbered.
    """
    for sport, legs in case.late.groupby("sport"):
        known = case.usual.loc[case.usual["sport"] == sport, "hard_min"].dropna().to_numpy()
        if len(known) < case.limits["fewest_baseline_sessions"]:
            continue
        hard = known[known >= case.limits["opener_hard_min"]]
        compared = hard if len(hard) >= case.limits["fewest_hard_sessions"] else known
        limit = max(_limit(compared, case.limits), float(case.limits["late_hard_min"]))
        for leg in legs[legs["hard_min"] > limit].itertuples():
            yield _flag(case, "hard", leg, leg.hard_min, limit, known)


def _limit(usual: np.ndarray, limits: Mapping[str, float]) -> float:
    """Clearly beyond the percentile: of ten ordinary sessions one lies above it anyway."""
    return float(np.quantile(usual, limits["percentile"])) * limits["clearly"]


def _flag(case: _Case, rule: str, leg: Any, figure: float, limit: float, usual: np.ndarray) -> Flag:
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


def _words(case: _Case, leg: Any) -> str:
    """What a session was, in a few words."""
    minutes, sport = 60 * leg.hours, leg.sport.replace("_", " ")
    what = case.effort.repetitions(leg)
    return f"{minutes:.0f} min of {sport}" + (f", {what}" if what else "")


def _late(case: _Case) -> Iterator[Flag]:
    """More hard minutes on one of the last days than an opener has."""
    limit = float(case.limits["late_hard_min"])
    late = case.late[case.late["days_to_race"] >= case.limits["late_first_day"]]
    usual = case.usual.groupby("local_day")["hard_min"].sum().to_numpy()
    for day, legs in late.groupby("local_day"):
        figure = float(legs["hard_min"].sum())
        if figure <= limit:
            continue
        hard = legs[legs["hard_min"] > 0]
        yield Flag(
            "late",
            day,
            -int(legs["days_to_race"].iloc[0]),
            tuple(hard["leg_id"]),
            "; ".join(_words(case, leg) for leg in hard.itertuples()),
            figure,
            limit,
            "min",
            int(np.count_nonzero(usual > limit)),
            len(usual),
        )


def _catching_up(case: _Case) -> Iterator[Flag]:
    """Seven days above the usual week after seven days below it, unless weeks swing so anyway."""
    window, limits = case.window, case.limits
    usual = baseline_weekly(window)
    if not usual.value:
        return
    above = float(usual.value) * limits["catching_up_above"]
    below = float(usual.value) * limits["catching_up_below"]
    seen, pairs = _seen_in_baseline(window, above, below)
    caught = _full_after_thin(window, above, below, _span(limits))
    if caught is None or seen > limits["catching_up_habit"] * pairs:
        return
    hours, end = caught
    legs = window.training(end - 6, end)
    words = f"all {count(len(legs), 'session')} of {span_name(end - 6, end)}"
    ids = tuple(legs["leg_id"])
    yield Flag("catching_up", window.day(end), -end, ids, words, hours, above, "h", seen, pairs)


def _full_after_thin(
    window: Window, above: float, below: float, span: tuple[int, int]
) -> tuple[float, int] | None:
    """The fullest seven days [h] that end in the span after a thin seven, and their last day."""
    hours = _seven_day_hours(window, span[0] - 7, span[1])
    ends = range(span[0], span[1] + 1)
    caught = [(float(hours[k]), k) for k in ends if hours[k] > above and hours[k - 7] < below]
    return max(caught, default=None)


def _seen_in_baseline(window: Window, above: float, below: float) -> tuple[int, int]:
    """How many of the baseline's pairs of weeks went from thin to full, and how many there are."""
    weekly = weekly_sums(window, window.baseline(), "hours")
    pairs = [(weekly[k - 1], weekly[k]) for k in weekly.index if k - 1 in weekly.index]
    return sum(before < below and week > above for before, week in pairs), len(pairs)


def _seven_day_hours(window: Window, first: int, last: int) -> pd.Series:
    """Hours of the seven days that end on each day from `first` to `last`, by days to the race.

    NaN, which no limit catches, where one of the seven days is unknown.
    """
    days = window.days.set_index("days_to_race")["state"]
    training = window.training(first - 6, last)
    daily = training.groupby("days_to_race")["hours"].sum().reindex(days.index, fill_value=0.0)
    return daily.where(days != "unknown").rolling(7).sum()


def _first_time(case: _Case) -> Iterator[Flag]:
    """A sport, or hard repetitions in a sport, that the baseline has not seen."""
    if not len(case.usual):
        return
    limits = case.limits
    sports = set(case.usual["sport"])
    repeated = {leg.sport for leg in case.usual.itertuples() if case.effort.repetitions(leg)}
    nothing = np.zeros(len(case.usual))
    for leg in case.late.itertuples():
        new_sport = leg.sport not in sports and leg.minutes >= limits["first_time_min"]
        new_kind = (
            leg.sport in sports - repeated
            and leg.hard_min > limits["late_hard_min"]
            and case.effort.repetitions(leg) is not None
        )
        if new_sport or new_kind:
            yield _flag(case, "first_time", leg, leg.minutes, 0.0, nothing)


def _counted(case: _Case, flags: tuple[Flag, ...], days: tuple) -> tuple[Measured, Measured]:
    """The number of flagged sessions, and their share of the training time."""
    names = ("panic_sessions", "panic_score")
    window, span = case.window, _span(case.limits)
    reason = window.why_unknown(*span) or window.why_no_baseline()
    if reason:
        return unknown(names[0], reason, days), unknown(names[1], reason, days)
    flagged = case.late["leg_id"].isin({leg for flag in flags for leg in flag.legs})
    legs = tuple(case.late.loc[flagged, "leg_id"])
    hours, total = float(case.late.loc[flagged, "hours"].sum()), float(case.late["hours"].sum())
    rules = ", ".join(dict.fromkeys(flag.rule.replace("_", " ") for flag in flags))
    basis = (
        f"{show('volume_h', hours)} of {show('volume_h', total)} on {span_name(*span)} "
        f"lay in sessions outside habit ({rules or 'no rule caught any'})"
    )
    return (
        Measured(names[0], float(len(legs)), basis=basis, days=days, legs=legs),
        Measured(names[1], hours / total if total else 0.0, basis=basis, days=days, legs=legs),
    )


def _emptied(window: Window, effort: Effort) -> Measured:
    """Whether race week was emptied: next to no training, or no hard work at all."""
    name, limits = "emptied_week", shared_toml("limits.toml")["emptied"]
    week, usual = week_hours(window, *RACE_WEEK), baseline_weekly(window)
    for part in (week, usual):
        if not part.known:
            return unknown(name, part.reason, part.days)
    hours, usual_h = float(week.value or 0), float(usual.value or 0)
    legs = effort.of(window.training(*RACE_WEEK))
    basis = f"{show('volume_h', hours)} against a usual {show('volume_h', usual_h)}"
    words = []
    if hours < limits["least_share"] * usual_h:
        words.append(f"under {100 * limits['least_share']:.0f}% of a usual week")
    habit = effort.of(window.baseline())
    if too_little_known(legs, effort) or too_little_known(habit, effort):
        basis += "; whether any of it was hard is not known"
    else:
        hard, usual_hard = float(legs["hard_min"].sum()), float(habit["hard_min"].sum())
        basis += f"; {show('hard_min', hard)} hard"
        if hard < limits["no_hard_min"] <= usual_hard:
            words.append("no hard work at all")
    value = " and ".join(words) or "no"
    return Measured(name, value, basis=basis, days=week.days, legs=week.legs)
