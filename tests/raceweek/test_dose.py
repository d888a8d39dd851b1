"""The arithmetic of load, by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.raceweek.effort.dose import (
    five_zone_load,
    monotony,
    session_rpe_load,
    strain,
    three_zone_load,
    trimp,
)


def beats(**minutes: int) -> np.ndarray:
    """Seconds per beat from minutes at a heart rate, as in `beats(at_150=10)`."""
    seconds = np.zeros(231)
    for name, value in minutes.items():
        seconds[int(name.removeprefix("at_"))] = 60 * value
    return seconds


def test_session_rpe_load_is_minutes_times_rpe() -> None:
    assert session_rpe_load(45, 4) == 180


def test_trimp_at_rest_is_nought_and_never_negative() -> None:
    assert trimp(60, 60, 60, 190, "male") == 0
    assert trimp(60, 50, 60, 190, "female") == 0


def test_trimp_at_the_highest_heart_rate() -> None:
    # r = 1: minutes x a x e^b = 10 x 0.64 x e^1.92
    assert trimp(10, 190, 60, 190, "male") == pytest.approx(43.66, abs=0.01)


def test_five_zones_count_one_to_five() -> None:
    # of 200 bpm: 105 is 52.5%, 130 is 65%, 150 is 75%, 170 is 85%, 190 is 95%
    seconds = beats(at_90=10, at_105=10, at_130=10, at_150=10, at_170=10, at_190=10)
    assert five_zone_load(seconds, 200) == 10 * (0 + 1 + 2 + 3 + 4 + 5)


def test_a_zone_begins_at_its_lower_bound_and_the_top_has_no_end() -> None:
    assert five_zone_load(beats(at_120=10), 200) == 20
    assert five_zone_load(beats(at_205=10), 200) == 50


def test_three_zones_count_one_to_three() -> None:
    assert three_zone_load(np.array([1800.0, 600.0, 300.0])) == 30 + 2 * 10 + 3 * 5


def test_monotony_and_strain_with_a_rest_day() -> None:
    daily = np.array([300.0, 0, 300, 0, 300, 0, 300])
    spread = np.sqrt((4 * (300 - 1200 / 7) ** 2 + 3 * (1200 / 7) ** 2) / 6)
    assert monotony(daily) == pytest.approx(1200 / 7 / spread)
    assert strain(daily) == pytest.approx(1200 * 1200 / 7 / spread)


def test_days_that_are_all_alike_have_no_monotony() -> None:
    assert monotony(np.full(7, 100.0)) is None
    assert strain(np.zeros(7)) is None


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, 900), min_size=7, max_size=7), st.floats(0.1, 10))
def test_monotony_has_no_unit_and_strain_has_the_loads(days: list[int], scale: float) -> None:
    daily = np.array(days, float)
    if np.std(daily) < 1:
        return
    assert monotony(scale * daily) == pytest.approx(monotony(daily))
    assert strain(scale * daily) == pytest.approx(scale * (strain(daily) or 0))
    assert monotony(daily[::-1]) == pytest.approx(monotony(daily))
