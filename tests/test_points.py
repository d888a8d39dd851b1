"""Which races share a week, and are one point of the evidence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from report.studies import race_week
from taperback.common.outcomes import RESULT
from taperback.raceweek.model import Measured
from taperback.study.points import points, shared_weeks
from taperback.study.review import relate

FIRST = date(2030, 5, 4)


@pytest.mark.parametrize(
    ("after", "weeks"),
    [
        ((), []),
        ((0,), [0]),
        ((0, 0, 0), [0, 0, 0]),
        ((0, 6), [0, 0]),
        ((0, 7), [0, 1]),
        # twice a week for a season is one point a week, and not one for the season
        ((0, 3, 7, 10, 14), [0, 0, 1, 1, 2]),
        ((0, 5, 10), [0, 0, 1]),
    ],
)
def test_a_week_holds_the_races_of_less_than_seven_days(
    after: tuple[int, ...], weeks: list[int]
) -> None:
    assert shared_weeks([FIRST + timedelta(days) for days in after]) == weeks


def test_two_races_of_one_weekend_are_one_point() -> None:
    made = [race_week(place, ()) for place in range(4)]
    second = replace(
        made[1],
        race_id="next-day",
        day0=made[1].day0 + timedelta(1),
        measures={**made[1].measures, "result_pct": Measured("result_pct", 9.0)},
    )
    weeks = (made[0], made[1], second, *made[2:])
    found = points(weeks, RESULT)
    assert found.races[1] == (made[1].race_id, "next-day")
    mean = ((made[1].number("result_pct") or 0) + 9.0) / 2
    assert found.values[1] == pytest.approx(mean)
    assert found.exposures[1, 0] == made[1].number("volume_cut")
    evidence = relate(weeks, RESULT)
    assert evidence.n == len(evidence.points) == 4
    assert evidence.factors[0].races == 5


@pytest.mark.parametrize(("status", "first"), [("dns", "later"), ("cancelled", "later")])
def test_a_race_that_was_not_started_opens_no_week(status: str, first: str) -> None:
    week = race_week(0, ())
    unknown = {**week.measures, "result_pct": Measured("result_pct", None, "not started")}
    missed = replace(week, race={**week.race, "status": status}, measures=unknown)
    cut = {**week.measures, "volume_cut": Measured("volume_cut", 0.33)}
    later = replace(week, race_id="later", day0=week.day0 + timedelta(2), measures=cut)
    assert points((missed, later), RESULT).races == ((first,),)
    assert points((missed, later), RESULT).exposures[0, 0] == 0.33
    finished = replace(missed, race={**week.race, "status": "dnf"})
    assert points((finished, later), RESULT).exposures[0, 0] == week.number("volume_cut")
