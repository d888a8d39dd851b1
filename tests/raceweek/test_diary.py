"""The diary of race week: its days as they were typed, and its means, which no factor sees."""

from __future__ import annotations

from dataclasses import replace
from datetime import time
from typing import Any

import numpy as np
import pandas as pd
import pytest

from build import day, habit, imported, journal, leg, race
from taperback.common.quantities import PRIMARY_FACTORS
from taperback.journal.columns import RATINGS, TABLES
from taperback.journal.model import DAY_COLUMNS
from taperback.raceweek.model import DIARY_COLUMNS, RaceWeek
from taperback.raceweek.table import as_table, race_weeks

LEGS = [*habit(), *(leg(k, hours=0.6) for k in range(-7, -1)), leg(0, "running", 1.5), leg(1)]


def typed(days: dict[int, dict[str, Any]]) -> pd.DataFrame:
    """`Journal.days` of those days, counted from the race."""
    rows = [
        {**TABLES["days"].absent, "row": 2 + place, "date": day(k), **cells}
        for place, (k, cells) in enumerate(sorted(days.items()))
    ]
    frame = pd.DataFrame(rows, columns=list(DAY_COLUMNS)).astype(
        dict.fromkeys((*RATINGS, "resting_hr_bpm", "on_feet_h"), float)
    )
    frame["hooper_index"] = frame[list(RATINGS)].sum(axis=1, skipna=False)
    return frame


def weeks_of(days: dict[int, dict[str, Any]], *races: dict[str, Any]) -> tuple[RaceWeek, ...]:
    return race_weeks(imported(LEGS), replace(journal(*races), days=typed(days)))


def test_a_race_without_a_diary_has_none_and_no_measure_of_it() -> None:
    (week,) = weeks_of({})
    assert tuple(week.diary.columns) == DIARY_COLUMNS
    assert len(week.diary) == 0
    assert not [name for name in week.measures if name in RATINGS or "resting" in name]


def test_days_are_as_typed_and_only_those_on_which_something_was() -> None:
    (week,) = weeks_of(
        {
            -22: {"fatigue": 7},
            -21: {"fatigue": 3},
            -5: {},
            -2: {"massage": False},
            -1: {"notes": "nervous"},
            0: {"resting_hr_bpm": 51, "massage": True},
            1: {"fatigue": 7},
        }
    )
    assert week.diary["days_to_race"].tolist() == [-21, -2, -1, 0]
    assert week.diary["day"].tolist() == [day(k) for k in (-21, -2, -1, 0)]
    assert week.diary["massage"].tolist() == [None, False, None, True]
    assert week.diary["notes"].tolist() == ["", "", "nervous", ""]
    assert week.diary["fatigue"].iloc[0] == 3


def test_a_rating_is_the_mean_of_the_days_of_race_week_that_have_it() -> None:
    (week,) = weeks_of({-8: {"stress": 7}, -7: {"stress": 2}, -1: {"stress": 5}, 0: {"stress": 7}})
    stress = week.measures["stress"]
    assert stress.value == 3.5
    assert stress.days == (day(-7), day(-1))
    assert stress.basis == "the mean of 2 of 7 days of race week, as typed in days.csv"
    assert stress.caveat == "2 of 7 days"
    assert "fatigue" not in week.measures


def test_a_full_week_needs_no_caveat() -> None:
    (week,) = weeks_of({k: {"soreness": 2} for k in range(-7, 0)})
    assert (week.measures["soreness"].value, week.measures["soreness"].caveat) == (2.0, "")


def test_the_hooper_index_is_of_days_with_all_four_ratings() -> None:
    # Hooper & Mackinnon 1995: the sum of the four ratings (from memory).
    four = dict(zip(RATINGS, (2, 3, 4, 2), strict=True))
    (week,) = weeks_of({-3: four, -2: four | {"stress": float("nan")}, -1: four | {"stress": 6}})
    assert week.measures["hooper_index"].value == (11 + 14) / 2
    assert week.measures["hooper_index"].days == (day(-3), day(-1))
    (without,) = weeks_of({-3: four | {"stress": float("nan")}})
    assert "hooper_index" not in without.measures


def test_resting_heart_rate_is_held_against_the_median_of_the_usual_weeks() -> None:
    usual = {k: {"resting_hr_bpm": 46 + (k % 3)} for k in range(-50, -14, 3)}
    usual |= {-40: {"resting_hr_bpm": 58.0}, -10: {"resting_hr_bpm": 90.0}}
    (week,) = weeks_of(usual | {-4: {"resting_hr_bpm": 50.0}, -2: {"resting_hr_bpm": 53.0}})
    rates = [cells["resting_hr_bpm"] for k, cells in usual.items() if k < -14]
    assert week.measures["usual_resting_hr_bpm"].value == np.median(rates)
    change = week.measures["resting_hr_change_bpm"]
    assert change.value == pytest.approx(51.5 - np.median(rates))
    assert day(-10) not in change.days and {day(-40), day(-2)} <= {*change.days}
    assert change.caveat == "2 of 7 days"


def test_a_few_mornings_are_no_habit() -> None:
    rest = {"resting_hr_bpm": 48.0}
    (week,) = weeks_of(dict.fromkeys((-40, -39, -38, -37, -36, -35, -3), rest))
    reason = "days.csv has a resting heart rate on 6 days of the usual weeks, 7 are needed"
    assert week.measures["usual_resting_hr_bpm"].reason == reason
    assert week.measures["resting_hr_change_bpm"].reason == reason


def test_a_race_whose_week_was_not_typed_says_so() -> None:
    early, main = weeks_of({-3: {"fatigue": 2}}, race(-200, name="Early"), race(0))
    assert early.measures["fatigue"].reason == "days.csv has no day of race week with fatigue"
    assert early.measures["fatigue"].days == tuple(day(k) for k in range(-207, -200))
    assert main.measures["fatigue"].value == 2.0
    four = dict(zip(RATINGS, (2, 3, 4, 2), strict=True)) | {"resting_hr_bpm": 50.0}
    early, _ = weeks_of({-3: four}, race(-200, name="Early"), race(0))
    said = {
        "poor_sleep": "poor sleep",
        "hooper_index": "all four ratings",
        "resting_hr_change_bpm": "resting hr bpm",
    }
    for name, what in said.items():
        assert early.measures[name].reason == f"days.csv has no day of race week with {what}"
    assert as_table((early, main))["fatigue"].isna().tolist() == [True, False]


def test_the_diary_changes_no_other_measure_and_is_no_factor() -> None:
    full = {k: dict.fromkeys(RATINGS, 7) | {"resting_hr_bpm": 90.0} for k in range(-56, 1)}
    (bare,), (week,) = weeks_of({}), weeks_of(full)
    assert {name: week.measures[name] for name in bare.measures} == bare.measures
    assert not {*PRIMARY_FACTORS} & {*RATINGS, "hooper_index", "resting_hr_change_bpm"}


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({}, ()),
        ({"start_time": time(7, 30)}, ("The journal has the start at 07:30.",)),
        ({"breakfast_h": 2.5}, ("The journal has the last meal 2.5 h before the start.",)),
        (
            {"start_time": time(7, 30), "breakfast_h": 2.5},
            ("The journal has the last meal 2.5 h before the start at 07:30.",),
        ),
    ],
)
@pytest.mark.parametrize("legs", [LEGS, LEGS[:-2]], ids=["recorded", "without a file"])
def test_start_and_last_meal_are_described(legs: list, cells: dict, said: tuple[str, ...]) -> None:
    (week,) = race_weeks(imported(legs), journal(race(**cells)))
    assert tuple(fact for fact in week.facts if "The journal has the" in fact) == said
