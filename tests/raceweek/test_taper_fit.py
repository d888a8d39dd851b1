"""The form of a fall, told from its seven-day sums."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.raceweek.factors.taper_fit import SHAPES, _courses, best_fits, weekly_sums_by_day

DAYS = np.arange(-27, 0)


def step(start: int = -8, after: float = 0.5) -> np.ndarray:
    return np.where(start <= DAYS, after, 1.0)


def linear(start: int = -14, last: float = 0.2) -> np.ndarray:
    fallen = np.clip(DAYS - start + 1, 0, None) / -start
    return 1.0 + fallen * (last - 1.0)


def exponential(start: int = -14, floor: float = 0.3, days: float = 4.0) -> np.ndarray:
    fallen = np.clip(DAYS - start + 1, 0, None)
    return floor + (1 - floor) * np.exp(-fallen / days)


def test_seven_day_sums_end_on_their_day():
    daily = np.zeros(27)
    daily[-1] = 1.0
    assert weekly_sums_by_day(daily).tolist() == [0.0] * 20 + [1.0]
    assert weekly_sums_by_day(np.ones(27)).tolist() == [7.0] * 21


@pytest.mark.parametrize(
    ("daily", "shape"),
    [(step(), "step"), (linear(), "linear"), (exponential(-18, 0.1, 6), "exponential")],
)
def test_each_form_is_told_and_fits_perfectly(daily, shape):
    best = best_fits(daily)[0]
    assert best.shape == shape
    assert best.r_squared == pytest.approx(1.0)


def test_start_and_levels_are_recovered():
    best = best_fits(step(-10, 0.4))[0]
    assert best.start == -10
    assert (best.before, best.after) == (pytest.approx(1.0), pytest.approx(0.4))


RHYTHM = np.tile([0.0, 1.0, 1.5, 0.5, 1.0, 2.0, 1.0], 4)[:27]


@pytest.mark.parametrize(
    ("shape", "daily"),
    [
        ("step", step(-8, 0.4)),
        ("linear", linear(-16, 0.1)),
        ("exponential", exponential(-18, 0.1, 6)),
    ],
)
def test_the_form_survives_the_rhythm_of_a_week_and_some_noise(shape, daily):
    noise = np.random.default_rng(7).normal(1, 0.05, 27)
    assert best_fits(daily * RHYTHM * noise, RHYTHM)[0].shape == shape


@pytest.mark.parametrize("daily", [np.ones(27), step(-8, 1.5), step(-8, 0.95), np.zeros(27)])
def test_no_fall_has_no_form(daily):
    assert best_fits(daily) == []


def test_of_shapes_too_close_to_tell_apart_the_simplest_is_named():
    best, *others = best_fits(exponential(-8, 0.4, 3.0))
    assert best.shape == "step"
    assert max(fit.r_squared for fit in others) - best.r_squared < 0.01


@settings(max_examples=20, deadline=None)
@given(scale=st.floats(0.1, 10))
def test_the_unit_does_not_matter(scale):
    plain, scaled = best_fits(linear()), best_fits(scale * linear())
    assert [fit.shape for fit in scaled] == [fit.shape for fit in plain]
    assert scaled[0].before == pytest.approx(scale * plain[0].before)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 1000))
def test_levels_are_never_negative_and_the_fit_never_above_one(seed):
    for fit in best_fits(np.random.default_rng(seed).gamma(1.0, 1.0, 27)):
        assert 0 <= fit.after < fit.before
        assert fit.r_squared <= 1


@pytest.mark.parametrize(
    ("daily", "shape", "start", "after"),
    [
        (step(-9, 0.3), "step", -9, 0.3),
        (linear(-16, 0.1), "linear", -16, 0.1),
        (exponential(-18, 0.1, 6), "exponential", -18, 0.1),
    ],
)
def test_the_course_of_each_form_is_recovered_under_any_rhythm(daily, shape, start, after):
    for rhythm in (None, RHYTHM, 3 * RHYTHM):
        best = best_fits(daily * (1 if rhythm is None else RHYTHM), rhythm)[0]
        assert (best.shape, best.start) == (shape, start)
        assert best.r_squared == pytest.approx(1.0)
        before = 1.0 if rhythm is None else RHYTHM.mean()
        assert best.before == pytest.approx(before)
        assert best.after == pytest.approx(after * before)


def test_the_first_and_the_last_day_that_a_fall_may_start():
    assert best_fits(step(-20, 0.4))[0].start == -20
    assert best_fits(step(-2, 0.0))[0].start == -2


def test_a_step_of_a_tenth_is_one_and_less_is_none():
    # days -7 .. -1 lowered: the last seven-day sum is the share itself
    assert "step" in {fit.shape for fit in best_fits(step(-7, 0.89))}
    assert "step" not in {fit.shape for fit in best_fits(step(-7, 0.91))}


def test_shapes_are_listed_from_the_one_that_fits_best():
    best, *others = best_fits(linear(-16, 0.1))
    assert best.shape == "linear"
    assert [fit.shape for fit in others] == ["exponential", "step"]
    assert [fit.r_squared for fit in others] == sorted(
        (fit.r_squared for fit in others), reverse=True
    )


def test_every_form_is_tried_from_every_day_and_begins_on_it():
    tried = list(_courses())
    for shape in SHAPES:
        assert {start for name, start, _ in tried if name == shape} == set(range(-20, -1))
    for shape, start, fallen in tried:
        assert (fallen[start > DAYS] == 0).all()
        assert 0 < fallen[start == DAYS][0] <= fallen[-1] <= 1, shape
