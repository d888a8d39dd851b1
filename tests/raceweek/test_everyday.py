"""Hours that do not count, and hours on the feet, with the habit they are held against."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pandas as pd
import pytest

from build import (
    NAN,
    as_race,
    day,
    going_on,
    habit,
    imported,
    journal,
    leg,
    multisport,
    one_race,
    race,
)
from taperback.journal.model import DAY_COLUMNS, Journal, Period
from taperback.raceweek.factors.everyday import everyday
from taperback.raceweek.model import Measured
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.calendar import windows
from taperback.study.besides import besides


def walk(days: int, hours: float = 0.5, **changes: Any):
    return leg(days, "walking", hours, hard_min=None, at=18, **changes)


def strength(days: int, hours: float = 1.0):
    return leg(days, "training", hours, sub_sport="strength_training", hard_min=None, at=20)


def diary(**typed: float) -> Journal:
    """A journal whose diary has hours on the feet, by days before the race (`d2=3.0`)."""
    rows = [
        dict.fromkeys(DAY_COLUMNS, NAN) | {"date": day(-int(name[1:])), "on_feet_h": hours}
        for name, hours in typed.items()
    ]
    return replace(journal(), days=pd.DataFrame(rows, columns=list(DAY_COLUMNS)))


def measured(legs: list, book: Journal | None = None) -> dict[str, Measured]:
    return {one.name: one for one in everyday(one_race(legs, book))}


LIFE = [*habit(), *(walk(k) for k in range(-56, 0)), *(strength(k) for k in range(-56, 0, 7))]


def test_what_does_not_count_is_given_in_hours_with_its_habit() -> None:
    got = measured(LIFE)["other_h"]
    assert got.value == pytest.approx(7 * 0.5 + 1.0)
    assert "strength training and walking" in got.basis
    assert "against 4.5 h in a usual week" in got.basis
    assert len(got.legs) == 8


def test_without_any_it_is_none_and_not_unknown() -> None:
    got = measured([*habit(), *(leg(k) for k in range(-7, 0))])
    assert (got["other_h"].value, got["on_feet_h"].value) == (0.0, 0.0)


def test_the_race_and_its_transitions_are_nothing_beside_training() -> None:
    """A walk of the race morning is; a day of the diary stands for one whose files are missing."""
    parts = multisport(0, ("cycling", 1.0), ("transition", 0.1), ("running", 0.7), at=9)
    legs = [*LIFE, *parts, walk(0, file="to-the-start.fit", start_utc=parts[0].start_utc)]
    book = journal(race(sports=("cycling", "running")))
    (week,) = race_weeks(imported(going_on(legs)), book)
    days = week.days.set_index("days_to_race")
    assert days.loc[0, "besides"] == {"walking": 0.5}
    assert days.loc[0, "hours"] == {}


def test_the_usual_week_beside_training_is_of_all_usable_weeks() -> None:
    """Walks of 7, 0, 0, 0, 0 and 7 h a week have a median of none."""
    first = [walk(k, 1.0) for k in (*range(-56, -49), *range(-21, -14))]
    got = measured([*habit(), *first, *(leg(k) for k in range(-7, 0))])
    assert "against 0.0 h in a usual week" in got["other_h"].basis
    more = [walk(k, 1.0) for k in range(-49, -28)]
    got = measured([*habit(), *first[:7], *more, *(leg(k) for k in range(-7, 0))])
    assert "against 7.0 h in a usual week" in got["other_h"].basis
    assert "against 3.0 h recorded on three days of a usual week" in got["on_feet_h"].basis


def test_three_typed_days_need_no_file() -> None:
    gap = (Period(day(-3), day(-1), "gap"),)
    typed = replace(diary(d3=1.0, d2=4.0, d1=2.0), athlete=journal(periods=gap).athlete)
    legs = [one for one in LIFE if one.start_utc.date() < day(-3)]
    assert measured(legs, typed)["on_feet_h"].value == 7.0
    two = replace(diary(d3=1.0, d2=4.0), athlete=journal(periods=gap).athlete)
    unknown = measured(legs, two)["on_feet_h"]
    assert unknown.reason == ("3 of 3 days are not known: records are missing, says the journal")
    assert unknown.days == (day(-3), day(-2), day(-1))


def test_hours_on_the_feet_are_those_of_the_last_three_days() -> None:
    got = measured([*LIFE, walk(-2, 2.0, file="town.fit")])["on_feet_h"]
    assert got.value == pytest.approx(3 * 0.5 + 2.0)
    assert len(got.legs) == 4 and got.days == (day(-3), day(-2), day(-1))
    assert "against 1.5 h recorded on three days of a usual week" in got.basis


def test_of_a_day_the_larger_of_typed_and_recorded_is_taken() -> None:
    got = measured(LIFE, diary(d2=4.0, d1=0.2, d9=9.0))["on_feet_h"]
    assert got.value == pytest.approx(0.5 + 4.0 + 0.5)
    assert "2 of 3 days as typed" in got.basis


def test_walking_that_counts_is_on_the_feet_all_the_same() -> None:
    from taperback.journal.sports import Sport

    book = journal(counted=(Sport("running"), Sport("walking")))
    got = measured(LIFE, book)
    assert got["on_feet_h"].value == pytest.approx(1.5)
    assert got["other_h"].value == pytest.approx(1.0)


def test_unknown_days_leave_both_unknown() -> None:
    window = windows(imported(habit()), journal(race(status="dns")))[0]
    got = everyday(as_race(window))
    assert [one.known for one in got] == [False, False]


def test_a_week_beside_training_is_the_mean_of_all_known_days() -> None:
    weeks = race_weeks(imported(going_on(LIFE)), journal())
    found = besides(weeks)
    assert found.weekly_h == pytest.approx(7 * (56 * 0.5 + 8 * 1.0) / 56)
    assert found.share == pytest.approx(36.0 / (36.0 + 49.0))
    assert found.names == ("walking", "strength_training")


def test_what_does_not_count_stands_apart_by_day() -> None:
    (week,) = race_weeks(imported(going_on(LIFE)), journal())
    days = week.days.set_index("days_to_race")
    assert days.loc[-7, "besides"] == {"walking": 0.5, "strength_training": 1.0}
    assert days.loc[-7, "hours"] == {}
    assert days.loc[-7, "hard_min"] == 0.0
    assert week.measures["rest_days"].value == 7.0
