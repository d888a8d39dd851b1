"""What a number rests on, week by week: usual weeks and race week apart, each with its sum."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from taperback.common.quantities import GROUPS, show
from taperback.common.wording import number_of
from taperback.raceweek.model import Measured, RaceWeek
from taperback.raceweek.window import window

USUAL, BETWEEN, RACE_WEEK, RACE_DAY = "usual weeks", "the week between", "race week", "race day"


def week_lines(week: RaceWeek, measured: Measured, legs: pd.DataFrame) -> list[str]:
    """The days that a number rests on, in parts: a line for each with its sum, then its weeks.

    Race week is shown day by day. Nights belong to the day on which they end.

    Args:
        legs: the legs it rests on, columns of `Imported.legs`.
    """
    days = week.days[week.days["day"].isin([*measured.days, *legs["local_day"]])]
    by_day = legs.groupby("local_day")["moving_s"]
    # NaN where a session of the day was typed without its duration
    hours, number = by_day.apply(lambda of_day: of_day.to_numpy().sum() / 3600), by_day.size()
    days = days.assign(
        hours=[hours.get(day, 0.0) for day in days["day"]],
        legs=[number.get(day, 0) for day in days["day"]],
    )
    about = next(group for group, names in GROUPS if measured.name in {q.name for q in names})
    asleep, hard = about == "sleep", about == "hard work"
    if not (asleep or len(legs)) or not len(days):
        return []
    lines = []
    of_part = days["days_to_race"].map(lambda k: _part(k, asleep))
    for part in (USUAL, BETWEEN, RACE_WEEK, RACE_DAY):
        these = days[of_part == part]
        if not len(these):
            continue
        by_day = part in (RACE_WEEK, RACE_DAY)
        # Weeks are blocks of seven days, counted back from the race.
        block = these["days_to_race"] if by_day else (-these["days_to_race"] - 1) // 7
        weeks = [days_of for _, days_of in these.groupby(block, sort=False)]
        text = _nights(these) if asleep else _training(these, hard)
        lines.append(f"{part}: {text}{'' if by_day or asleep else _middle(weeks, hard)}")
        if len(weeks) > 1:
            for one in weeks:
                ends = dict.fromkeys(str(day) for day in one["day"].iloc[[0, -1]])
                what = _nights(one) if asleep else _training(one, hard)
                lines.append(f"  {' to '.join(ends):<24}  {what}")
    return lines


def _part(days_to_race: int, asleep: bool) -> str:
    """Which part a day belongs to; of nights race week has those that end on days -6 to 0."""
    if days_to_race == 0 and not asleep:
        return RACE_DAY
    if days_to_race >= window.RACE_WEEK[0] + asleep:
        return RACE_WEEK
    return BETWEEN if days_to_race > window.baseline_days()[1] else USUAL


def _training(days: pd.DataFrame, hard: bool) -> str:
    legs = int(days["legs"].sum())
    if not legs:
        states = set(days["state"])
        return states.pop() if len(states) == 1 and "recorded" not in states else "none of these"
    trained = days[days["legs"] > 0]
    text = f"{trained['hours'].sum():.2f} h in {number_of(legs, 'leg')}"
    if untimed := int(trained["hours"].isna().sum()):
        text += f", hours unknown on {number_of(untimed, 'day')}"
    if untimed == len(trained):
        text = f"unknown hours in {number_of(legs, 'leg')}"
    if not hard:
        return text
    known = trained["hard_min"].dropna()
    if not len(known):
        return f"{text}, hard minutes unknown"
    text = f"{text}, {show('hard_min', known.sum())} hard"
    unknown = len(trained) - len(known)
    return f"{text}, unknown on {number_of(unknown, 'day')}" if unknown else text


def _middle(weeks: list[pd.DataFrame], hard: bool) -> str:
    """The median of several weeks, as the end of their sum."""
    if len(weeks) < 2:
        return ""
    median = f"{pd.Series([one['hours'].sum() for one in weeks]).median():.2f} h"
    minutes = pd.Series([one.loc[one["legs"] > 0, "hard_min"].sum(skipna=False) for one in weeks])
    if hard and minutes.notna().all():
        median += f" and {show('hard_min', float(minutes.median()))} hard"
    return f"; {number_of(len(weeks), 'week')}, median {median}"


def _nights(days: pd.DataFrame) -> str:
    known = days["sleep_h"].dropna()
    if not len(known):
        return "no night known"
    if len(days) == 1:
        return f"{known.iloc[0]:.2f} h"
    return (
        f"{number_of(len(known), 'night')}, mean {known.mean():.2f} h, "
        f"median {known.median():.2f} h"
    )


def leg_lines(legs: pd.DataFrame) -> Iterator[str]:
    """One line for each leg: day, sport, minutes as far as they are known, file."""
    for leg in legs.to_dict("records"):
        minutes = leg["moving_s"] / 60
        length = f"{minutes:6.1f} min" if minutes >= 0 else f"{'unknown':>10}"
        yield f"  {leg['local_day']}  {leg['sport']:<12} {length}  {leg['file']}"
