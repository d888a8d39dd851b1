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


def three_off_the_line(off_j: float) -> np.ndarray:
    """Mean power over 300, 600 and 900 s that lies `off_j`, minus twice, and once off the line."""
    times = np.array([300.0, 600.0, 900.0])
    return (250 * times + 20000 + off_j * np.array([1, -2, 1])) / times


def test_the_errors_of_three_efforts_by_hand() -> None:
    """Squares of the residuals are 6 e^2 with one degree of freedom; t is 6.314.

    Those of time around its mean are 2 x 300^2, so that the slope's error is sqrt(3) e / 300, and
    that of the intercept sqrt(6) e sqrt(1/3 + 600^2 / (2 x 300^2)).
    """
    fit = fitted(three_off_the_line(1000.0), times=np.array([300.0, 600.0, 900.0]))
    assert (fit.level, fit.reserve) == pytest.approx((250, 20000))
    assert fit.level_se == pytest.approx(5.7735, abs=1e-4)
    assert fit.reserve_se == pytest.approx(3741.657, abs=1e-3)
    assert fit.level_high == pytest.approx(250 + 6.314 * 5.7735, abs=1e-3)
    assert fit.level_low == pytest.approx(250 - 6.314 * 5.7735, abs=1e-3)
    assert fit.reserve_high == pytest.approx(20000 + 6.314 * 3741.657, abs=0.1)
    assert fit.reserve_low == pytest.approx(20000 - 6.314 * 3741.657, abs=0.1)


def test_an_error_of_a_twentieth_of_the_level_is_the_most() -> None:
    """12.5 of 250 W: sqrt(3) e / 300 = 12.5 at e = 2165 J (`largest_se_share` of limits.toml)."""
    times = np.array([300.0, 600.0, 900.0])
    assert fitted(three_off_the_line(2150.0), times=times).level == pytest.approx(250)
    assert refused(three_off_the_line(3000.0), times=times) == (
        "the best efforts do not lie on one line (standard error 7% of the critical level, at "
        "most 5% is accepted)"
    )
    assert "standard error 5%" in refused(three_off_the_line(2180.0), times=times)


def test_more_efforts_than_the_table_of_t_has_take_its_last() -> None:
    """Its last, 1.697, holds for 30 degrees of freedom: 32 efforts; 40 have 38."""
    for count, t in ((32, 1.697), (40, 1.697), (31, 1.699)):
        times = np.linspace(120, 1200, count)
        wobble = np.where(np.arange(count) % 2, 1.0, -1.0)
        fit = fitted(250 + 20000 / times + wobble, times=times)
        assert (fit.level_high - fit.level) / fit.level_se == pytest.approx(t)


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


def test_twice_the_shortest_is_far_enough_apart() -> None:
    """The limit is `spread_ratio` of limits.toml: 600 s against 300 s, and not 599 s."""
    times = np.array([300.0, 420.0, 600.0])
    assert fitted(250 + 20000 / times, times=times).level == pytest.approx(250)
    times[2] = 599.0
    assert refused(250 + 20000 / times, times=times) == (
        "the best efforts are too alike in length (300 to 599 s; the longest must last 2 times "
        "the shortest)"
    )


def test_efforts_without_length_or_level_are_left_out() -> None:
    """0 s, 0 W, minus 1 W, minus 60 s and a length that is not known, beside three good ones."""
    times = np.array([0.0, 240.0, 360.0, -60.0, np.nan, 120.0, 300.0, 600.0])
    level = np.array([900.0, 0.0, -1.0, 400.0, 300.0, *(250 + 20000 / times[-3:])])
    fit = fitted(level, times=times)
    assert (fit.efforts, fit.shortest_s, fit.longest_s) == (3, 120, 600)
    assert (fit.level, fit.reserve) == pytest.approx((250, 20000))


def test_the_shortest_counted_is_one_second_and_one_watt() -> None:
    times = np.array([1.0, 2.0, 4.0])
    assert fitted(0.5 + 0.5 / times, times=times).efforts == 3


def test_a_steady_ride_is_no_set_of_all_out_efforts() -> None:
    assert refused(np.full(5, 200.0)) == (
        "the best efforts do not fall with their length, so they were not all-out"
    )


def test_the_same_work_whatever_the_time_has_no_level() -> None:
    """600 J in 200, 400 or 600 s: a level of 0 W, all of it reserve."""
    times = np.array([200.0, 400.0, 600.0])
    assert "do not fall with their length" in refused(np.array([3.0, 1.5, 1.0]), times=times)


def test_a_negative_reserve_is_refused() -> None:
    assert "do not fall with their length" in refused(250 - 5000 / TIMES)


def test_efforts_off_the_line_are_refused() -> None:
    level = np.array([600.0, 300.0, 299.0, 298.0, 190.0])
    assert "do not lie on one line (standard error" in refused(level)
    assert "at most 5% is accepted)" in refused(level)


def test_a_reserve_nobody_has_is_refused() -> None:
    assert refused(200 + 1000 / TIMES, "power") == (
        "the fitted reserve of 1,000 lies outside the plausible 3,000 to 60,000, so the best "
        "efforts were not all-out"
    )
    assert fitted(250 + 3001 / TIMES, "power").reserve == pytest.approx(3001)
    assert fitted(250 + 59_999 / TIMES, "power").reserve == pytest.approx(59_999)
    assert "outside the plausible" in refused(250 + 60_001 / TIMES, "power")
    assert "outside the plausible" in refused(250 + 2_999 / TIMES, "power")
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
