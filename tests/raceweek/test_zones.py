"""Seconds easy, moderate and hard, from seconds per bin."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.raceweek.effort.thresholds import Step
from taperback.raceweek.effort.zones import ZONE_COLUMNS, leg_zones, zone_seconds
from taperback.raceweek.legs import Legs

STEP = Step(date(2030, 1, 1), 180.0, 250.0)


def power(**seconds: int) -> np.ndarray:
    """Seconds per 5 W, as in `power(at_200=60)`."""
    bins = np.zeros(100)
    for name, value in seconds.items():
        bins[int(name.removeprefix("at_")) // 5] += value
    return bins


def test_each_second_falls_into_one_zone() -> None:
    bins = power(at_100=600, at_200=300, at_250=60, at_400=30)
    assert zone_seconds(bins, 5, STEP).tolist() == [600, 300, 90]


def test_a_threshold_counts_as_hard_from_itself_on() -> None:
    assert zone_seconds(power(at_245=60, at_250=60), 5, STEP).tolist() == [0, 60, 60]


def test_a_bin_across_a_threshold_is_shared_out() -> None:
    step = Step(date(2030, 1, 1), 181.0, 252.0)
    assert zone_seconds(power(at_180=50, at_250=50), 5, step).tolist() == pytest.approx(
        [10, 60, 30]
    )


def test_thresholds_above_everything_leave_all_easy() -> None:
    step = Step(date(2030, 1, 1), 900.0, 1000.0)
    assert zone_seconds(power(at_100=600), 5, step).tolist() == [600, 0, 0]


def typed(hours: list[float], hard_min: list[float]) -> Legs:
    """Runs without any sensor, with hard minutes as the athlete typed them."""
    sport = np.array(["running"] * len(hours), object)
    columns = {"sport": sport, "hours": np.array(hours), "typed_hard_min": np.array(hard_min)}
    return Legs(columns)


def test_typed_hard_minutes_part_the_time_of_a_leg_without_a_sensor() -> None:
    """12 min of an hour, 50 min of half an hour, and none typed."""
    zones = leg_zones(typed([1.0, 0.5, 1.0], [12.0, 50.0, np.nan]), {})
    assert zones["easy_s"].tolist()[:2] == [2880.0, 0.0]
    assert zones["moderate_s"].tolist()[:2] == [0.0, 0.0]
    assert zones["hard_s"].tolist()[:2] == [720.0, 1800.0]
    assert zones["hard_min"].tolist()[:2] == [12.0, 30.0]
    assert zones["hard_typed"].tolist() == [True, True, False]
    assert np.isnan(zones["easy_s"][2]) and np.isnan(zones["hard_s"][2])


def test_no_legs_have_no_zones() -> None:
    zones = leg_zones(typed([], []), {})
    assert zones["hard_typed"].dtype == bool
    assert {name: len(values) for name, values in zones.items()} == dict.fromkeys(
        (*ZONE_COLUMNS, "hard_typed", "hard_min"), 0
    )


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 600), min_size=1, max_size=60), st.floats(0, 400), st.floats(0, 400))
def test_no_second_is_lost_or_doubled(seconds: list[int], one: float, other: float) -> None:
    step = Step(date(2030, 1, 1), min(one, other), max(one, other))
    zones = zone_seconds(np.array(seconds, float), 5, step)
    assert zones.sum() == pytest.approx(sum(seconds))
    assert (zones >= -1e-9).all()
