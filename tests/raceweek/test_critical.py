"""Critical power and speed: the plain case, its uncertainty, and each refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.raceweek.effort.critical import CriticalFit, NoCritical, fit_critical

TIMES = np.array([120.0, 180.0, 300.0, 600.0, 1200.0])


def fitted(level: np.ndarray, kind: str = "", times: np.ndarray = TIMES) -> CriticalFit:
    fit = fit_critical(times, level, kind)
    assert isinstance(fit, CriticalFit)
    return fit


def refused(level: np.ndarray, kind: str = "", times: np.ndarray = TIMES) -> str:
    fit = fit_critical(times, level, kind)
    assert isinstance(fit, NoCritical)
    return fit.reason


def test_exact_efforts_give_the_line_back() -> None:
    fit = fitted(250 + 20000 / TIMES, "power")
    assert fit.level == pytest.approx(250)
    assert fit.reserve == pytest.approx(20000)
    assert fit.level_se == pytest.approx(0, abs=1e-9)
    assert (fit.efforts, fit.shortest_s, fit.longest_s) == (5, 120, 1200)


def test_time_to_exhaustion_is_endless_at_the_critical_level() -> None:
    fit = fitted(250 + 20000 / TIMES)
    assert fit.time_to_exhaustion_s(300) == pytest.approx(400)
    assert fit.time_to_exhaustion_s(240) == float("inf")


def test_scatter_widens_the_interval_around_the_estimate() -> None:
    fit = fitted(250 + 20000 / TIMES + np.array([4, -5, 3, -2, 1]))
    assert 0 < fit.level_se < 5
    assert fit.level_low < fit.level < fit.level_high
    assert fit.level_high - fit.level == pytest.approx(2.353 * fit.level_se)
    assert fit.reserve_low < 20000 < fit.reserve_high


def test_efforts_without_a_number_are_left_out() -> None:
    level = 250 + 20000 / TIMES
    level[2] = np.nan
    assert fitted(level).efforts == 4


def test_two_lengths_are_too_few() -> None:
    assert refused(np.array([400.0, 350.0]), times=TIMES[:2]) == (
        "best efforts of 3 different lengths are needed, there are 2"
    )


def test_one_length_three_times_is_one_length() -> None:
    same = np.array([300.0, 300.0, 300.0])
    assert "there are 1" in refused(np.array([280.0, 290.0, 300.0]), times=same)


def test_lengths_too_alike_are_refused() -> None:
    times = np.array([300.0, 360.0, 480.0])
    assert "too alike in length (300 to 480 s" in refused(250 + 20000 / times, times=times)


def test_a_steady_ride_is_no_set_of_all_out_efforts() -> None:
    assert "not all-out" in refused(np.full(5, 200.0))


def test_a_negative_reserve_is_refused() -> None:
    assert "do not fall with their length" in refused(250 - 5000 / TIMES)


def test_efforts_off_the_line_are_refused() -> None:
    level = np.array([600.0, 300.0, 299.0, 298.0, 190.0])
    assert "do not lie on one line" in refused(level)


def test_a_reserve_nobody_has_is_refused() -> None:
    assert "outside the plausible 3,000 to 60,000" in refused(200 + 1000 / TIMES, "power")
    assert "outside the plausible 30 to 500" in refused(4 + 900 / TIMES, "running")


def test_no_efforts_at_all_are_told_as_such() -> None:
    assert "there are 0" in refused(np.full(5, np.nan))


@settings(max_examples=30, deadline=None)
@given(st.floats(0.01, 100), st.floats(-3, 3), st.integers(0, 1000))
def test_scaling_the_unit_scales_the_answer_and_order_does_not_matter(
    scale: float, wobble: float, seed: int
) -> None:
    level = 250 + 20000 / TIMES + wobble * np.array([1, -1, 1, -1, 1])
    order = np.random.default_rng(seed).permutation(5)
    plain, other = fitted(level), fitted(scale * level[order], times=TIMES[order])
    for name in ("level", "level_se", "level_low", "reserve", "reserve_high"):
        assert getattr(other, name) == pytest.approx(scale * getattr(plain, name), abs=1e-6 * scale)
