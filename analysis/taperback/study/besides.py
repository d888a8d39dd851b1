"""What an athlete does beside training: hours a week, and how much of all recorded time that is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from taperback.raceweek.model import RaceWeek


@dataclass(frozen=True)
class Besides:
    """What does not count as training in the weeks before the races.

    Attributes:
        weekly_h: hours a week, the mean of all known days before the races, each day once.
        share: share of the recorded time [fraction].
        names: what it was, the most hours first.
    """

    weekly_h: float
    share: float
    names: tuple[str, ...]


NOTHING = Besides(0.0, 0.0, ())


def besides(weeks: Iterable[RaceWeek]) -> Besides:
    """What does not count, over all days before the races that are not unknown."""
    days = {
        row.day: row
        for week in weeks
        for row in week.days.itertuples()
        if row.state != "unknown" and row.days_to_race < 0
    }
    hours: Counter[str] = Counter()
    for row in days.values():
        hours.update(row.besides)
    total = sum(hours.values())
    if not total:
        return NOTHING
    trained = sum(sum(row.hours.values()) for row in days.values())
    names = tuple(name for name, _ in hours.most_common())
    return Besides(7 * total / len(days), total / (total + trained), names)
