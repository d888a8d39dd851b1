"""The points of an athlete's evidence: each race, or the races of one week together."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.outcomes import Outcome
from taperback.common.quantities import PRIMARY_FACTORS
from taperback.evidence.points import Points, points_of
from taperback.raceweek.model import RaceWeek

_NOT_STARTED = ("dns", "cancelled")


def points(weeks: Sequence[RaceWeek], outcome: Outcome) -> Points:
    """What the race weeks give the evidence on one outcome; `weeks` in order of date.

    A race that was started and not finished has no outcome, and its week is the week of the races
    right after it all the same.
    """
    started = [week for week in weeks if week.race.get("status") not in _NOT_STARTED]
    names = [week.race_id for week in started]
    return points_of(
        pd.DataFrame(
            {name: [week.number(name) for week in started] for name in PRIMARY_FACTORS},
            index=names,
            dtype=float,
        ),
        pd.Series([week.number(outcome.name) for week in started], index=names, dtype=float),
        shared_weeks([week.day0 for week in started]),
    )


def shared_weeks(days: Sequence[date]) -> list[int]:
    """Number of the week that each race belongs to; `days` in order.

    A week begins with a race and holds all that follow within less than seven days of that race.

    >>> shared_weeks([date(2030, 5, 4), date(2030, 5, 5), date(2030, 5, 10), date(2030, 5, 11)])
    [0, 0, 0, 1]
    """
    numbers: list[int] = []
    first = None
    for day in days:
        if first is None or (day - first).days >= LIMITS.points.week_days:
            first = day
            numbers.append(numbers[-1] + 1 if numbers else 0)
        else:
            numbers.append(numbers[-1])
    return numbers
