"""What the athlete typed of each day before a race, and its means: description, never a factor."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import number_of
from taperback.journal.columns import RATINGS
from taperback.journal.model import Journal
from taperback.raceweek.model import DIARY_COLUMNS, Measured, unknown
from taperback.raceweek.window.window import RACE_WEEK, Window

FIRST_DAY = -21


def diary_days(window: Window, typed: pd.DataFrame) -> pd.DataFrame:
    """The diary of a race, columns `DIARY_COLUMNS`: days on which something was typed.

    Args:
        window: the race.
        typed: `Journal.days`.
    """
    days = typed.rename(columns={"date": "day"})
    days["days_to_race"] = [(day - window.day0).days for day in days["day"]]
    said = days[[*RATINGS, "resting_hr_bpm", "on_feet_h", "massage"]].notna().any(axis=1)
    near = days["days_to_race"].between(FIRST_DAY, 0) & (said | (days["notes"] != ""))
    return days.loc[near, list(DIARY_COLUMNS)].reset_index(drop=True)


def diary_measures(window: Window, journal: Journal) -> tuple[Measured, ...]:
    """Race week's means of whatever the athlete's diary holds, of this race or another."""
    days, file = journal.days, journal.files["days"]
    kept = [name for name in (*RATINGS, "hooper_index") if days[name].notna().any()]
    means = tuple(_mean(window, days, name, file) for name in kept)
    if not days["resting_hr_bpm"].notna().any():
        return means
    usual = _usual_resting(window, days, file)
    return (*means, usual, _resting_change(window, days, usual, file))


def _typed(days: pd.DataFrame, name: str, among: tuple[date, ...]) -> dict[date, float]:
    """What was typed in this column on those days; a table of pandas takes far longer to part."""
    rows = zip(days["date"].tolist(), days[name].tolist(), strict=True)
    wanted = frozenset(among)
    return {day: float(value) for day, value in rows if day in wanted and not pd.isna(value)}


def _mean(window: Window, days: pd.DataFrame, name: str, file: str, called: str = "") -> Measured:
    """The mean of a column over race week; how many of its days were typed stands beside it."""
    week = window.span(*RACE_WEEK)
    typed = _typed(days, name, week)
    of_days = f"{len(typed)} of {number_of(len(week), 'day')}"
    if not len(typed):
        what = "all four ratings" if name == "hooper_index" else name.replace("_", " ")
        return unknown(called or name, f"{file} has no day of race week with {what}", week)
    return Measured(
        called or name,
        float(np.mean([*typed.values()])),
        basis=f"the mean of {of_days} of race week, as typed in {file}",
        days=tuple(typed),
        caveat="" if len(typed) == len(week) else of_days,
    )


def _usual_resting(window: Window, days: pd.DataFrame, file: str) -> Measured:
    name, needed = "usual_resting_hr_bpm", LIMITS.diary.fewest_usual_days
    usual_days = window.baseline_days
    typed = _typed(days, "resting_hr_bpm", usual_days)
    if len(typed) < needed:
        of_days = number_of(len(typed), "day")
        why = f"{file} has a resting heart rate on {of_days} of the usual weeks"
        return unknown(name, f"{why}, {needed} are needed", usual_days)
    basis = f"the median of {number_of(len(typed), 'day')} of the usual weeks, as typed in {file}"
    median = float(np.median([*typed.values()]))
    return Measured(name, median, basis=basis, days=tuple(typed))


def _resting_change(window: Window, days: pd.DataFrame, usual: Measured, file: str) -> Measured:
    name = "resting_hr_change_bpm"
    mean = _mean(window, days, "resting_hr_bpm", file, name)
    if mean.value is None or usual.value is None:
        return mean if mean.value is None else unknown(name, usual.reason, usual.days)
    now, before = float(mean.value), float(usual.value)
    return Measured(
        name,
        now - before,
        basis=f"{now:.1f} bpm, {mean.basis}, against {show(usual.name, before)}, {usual.basis}",
        days=(*usual.days, *mean.days),
        caveat=mean.caveat,
    )
