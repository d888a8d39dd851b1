"""Best minute and best five minutes of race week, over the baseline's best."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from build import day, habit, journal, leg
from raceweek.efforts import measured_by
from taperback.common.quantities import QUANTITIES
from taperback.importer.model import BEST_DURATIONS_S, LegSummary
from taperback.journal.model import Journal, Period
from taperback.raceweek.factors.sharpness import sharpness
from taperback.raceweek.model import Measured


def best(one_min: float, five_min: float) -> np.ndarray:
    """Best means over the stored durations, only these two known."""
    values = np.full(len(BEST_DURATIONS_S), np.nan)
    values[BEST_DURATIONS_S.index(60)], values[BEST_DURATIONS_S.index(300)] = one_min, five_min
    return values


def ride(days_to_race: int, one_min: float, five_min: float, **changes: Any) -> LegSummary:
    return leg(days_to_race, "cycling", best_power_w=best(one_min, five_min), at=16, **changes)


def measured(legs: list[LegSummary], book: Journal | None = None) -> dict[str, Measured]:
    return measured_by(sharpness, legs, book)


USUAL = [*habit(sport="cycling"), ride(-50, 400, 300), ride(-30, 420, 280)]


def test_race_weeks_best_over_the_baselines_best() -> None:
    got = measured([*USUAL, ride(-4, 399, 240), ride(-2, 210, 200)])
    assert got["sharpness_1min_cycling"].value == pytest.approx(399 / 420)
    assert got["sharpness_5min_cycling"].value == pytest.approx(240 / 300)


def test_only_sports_that_were_trained_are_told() -> None:
    assert set(measured([*USUAL, ride(-4, 399, 240)])) == {
        "sharpness_1min_cycling",
        "sharpness_5min_cycling",
    }


def test_runs_are_told_by_speed() -> None:
    runs = [leg(-40, best_speed_mps=best(6, 5), at=16), leg(-3, best_speed_mps=best(5.7, 5.1))]
    got = measured(habit() + runs)
    assert got["sharpness_1min_running"].value == pytest.approx(0.95)
    assert got["sharpness_5min_running"].basis == (
        "best 5 min of running: 5.10 m/s in race week, 5.00 m/s in the baseline"
    )


def test_a_week_of_rest_days_has_no_best_and_unknown_days_are_told() -> None:
    rest = journal(periods=(Period(day(-7), day(-1), "rest"),))
    reason = measured(USUAL, rest)["sharpness_1min_cycling"].reason
    assert reason == "no power over 1 min was recorded in cycling in race week"
    gap = journal(periods=(Period(day(-7), day(-1), "gap"),))
    assert "not known" in measured(USUAL, gap)["sharpness_1min_cycling"].reason


def test_a_baseline_without_power_says_so() -> None:
    got = measured([*habit(sport="cycling"), ride(-4, 399, 240)])
    assert "in the baseline" in got["sharpness_1min_cycling"].reason


def test_inputs_are_named() -> None:
    got = measured([*USUAL, ride(-4, 399, 240)])["sharpness_1min_cycling"]
    assert len(got.legs) == 2
    assert got.days[0] == day(-56)
    assert got.name in QUANTITIES


def test_a_new_unit_of_power_changes_nothing() -> None:
    legs = [*habit(sport="cycling"), ride(-50, 0.4, 0.3), ride(-4, 0.38, 0.24)]
    assert measured(legs)["sharpness_1min_cycling"].value == pytest.approx(0.95)
