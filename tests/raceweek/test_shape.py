"""How training came down."""

from __future__ import annotations

import pytest

from build import day, habit, journal, leg, multisport, one_race
from taperback.journal.model import Period
from taperback.raceweek.factors.shape import _fit_words, shape
from taperback.raceweek.factors.taper_fit import SHAPES, Fit


def measured(legs):
    return {one.name: one for one in shape(one_race(legs))}


def week(hours: float, *days: int):
    return [leg(k, hours=hours) for k in days]


STEP = [*habit(), *week(0.4, *range(-7, 0)), leg(0, hours=2)]


def test_a_step_is_a_step():
    found = measured(STEP)
    assert found["taper_shape"].value == "step"
    assert found["taper_fit"].value == pytest.approx(1.0)
    assert "step from day −7 down to 40% of the days before" in found["taper_shape"].basis


def test_no_taper_is_none_and_no_unknown():
    found = measured([*habit(), *week(1.0, *range(-7, 0))])
    assert found["taper_shape"].value == "none"
    assert found["taper_fit"].reason == "there was no fall in volume to fit"
    assert found["taper_days"].value == 0.0


def test_a_shape_that_fits_badly_is_not_named():
    legs = [leg(k) for k in range(-56, -21)]
    for first, hours in ((-21, 0.1), (-14, 1.8), (-7, 0.7)):
        legs += week(hours, *range(first, first + 7))
    found = measured(legs)
    assert found["taper_fit"].value < 0.5
    assert found["taper_shape"].reason == (
        "no shape accounts for 50% of the changes in seven-day volume"
    )


def test_days_of_reduction_by_hand():
    # the sum falls by 0.6 h a day: 6.4 h on day -7, 5.8 h on day -6; the limit is 0.9 x 7 = 6.3 h
    assert measured(STEP)["taper_days"].value == 6.0


def test_sessions_kept_counts_files():
    brick = multisport(-4, ("cycling", 1.0), ("running", 0.4))
    found = measured([*habit(), leg(-6), *brick, leg(-2)])
    assert found["sessions_kept"].value == pytest.approx(3 / 7)
    assert found["sessions_kept"].basis == (
        "3 sessions in race week against 7 in a usual week (median)"
    )


def test_rest_days_say_on_which_day():
    found = measured([*habit(), *week(0.5, -7, -5, -4, -2, -1)])
    assert found["rest_days"].value == 2.0
    assert found["rest_days"].basis == "no training on days −6 and −3"
    assert found["rest_days"].days == (day(-6), day(-3))


def test_no_day_off_is_a_measured_zero():
    found = measured([*habit(), *week(0.5, *range(-7, 0))])
    assert (found["rest_days"].value, found["rest_days"].basis) == (0.0, "no day off")


def test_an_unknown_week_is_no_week_of_rest():
    found = measured([*habit(), leg(0)])
    for name in ("taper_shape", "taper_days", "sessions_kept", "rest_days"):
        assert found[name].value is None
        assert "without a file or a word" in found[name].reason


def test_the_last_long_session():
    rides = [leg(k, "cycling", 3.0, at=15) for k in range(-54, -10, 7)]  # last on day -12
    found = measured([*habit(), *rides, *week(0.5, *range(-7, 0))])
    assert found["last_long_d"].value == 12.0
    assert found["last_long_d"].days == (day(-12),)
    assert found["last_long_d"].basis == (
        "cycling of 3.0 h; long is from 80% of 3.0 h, the longest of a usual week (median)"
    )


def test_a_brick_is_long_as_a_whole():
    rides = [leg(k, "cycling", 3.0, at=15) for k in range(-54, -10, 7)]
    brick = multisport(-6, ("cycling", 2.0), ("transition", 0.1), ("running", 0.6))
    assert measured([*habit(), *rides, *brick])["last_long_d"].value == 6.0


def test_no_long_session_gives_the_reason():
    legs = [leg(k, "cycling", 5.0) for k in range(-56, -30)] + week(0.3, *range(-30, 0))
    assert measured(legs)["last_long_d"].reason.startswith(
        "no session of days −28 to −1 reached 80% of 5.0 h"
    )


def test_without_a_baseline_only_what_needs_none_is_known():
    found = measured([leg(k) for k in range(-30, 0)])
    assert found["rest_days"].known and found["taper_shape"].known
    for name in ("taper_days", "sessions_kept", "last_long_d"):
        assert found[name].reason.startswith("only 2 of 6 baseline weeks can be used")


def test_inputs_are_named():
    found = measured(STEP)
    assert len(found["taper_shape"].legs) == 27
    assert len(found["sessions_kept"].legs) == 42 + 7


def test_rest_days_count_as_nothing_in_the_sums():
    # the sum that ends on day -7 is 6 h, under 0.9 x 7 h already
    found = measured([*habit(), *week(0.4, -6, -4, -2)])
    assert found["taper_days"].value == 7.0
    assert found["taper_shape"].known
    assert found["taper_days"].basis == (
        "days in a row up to the race whose seven-day volume was under 6.3 h, with a usual week of "
        "7.0 h, the median of 6 weeks on days −56 to −15 (7.0, 7.0, 7.0, 7.0, 7.0, 7.0 h); counted "
        "over the last 21"
    )
    assert found["rest_days"].basis == "no training on days −7, −5, −3 and −1"


def test_one_rest_day_is_told_as_one():
    found = measured([*habit(), *week(0.5, -7, -6, -5, -4, -3, -2)])
    assert found["rest_days"].basis == "no training on day −1"


def test_the_fit_says_its_words_in_full():
    basis = measured(STEP)["taper_fit"].basis
    assert basis.startswith(
        "least squares over the seven-day sums of days −21 to −1: step from day −7 down to 40% of "
        "the days before; share of the changes that each shape accounts for: step 100%, "
    )
    assert measured([*habit(), *week(1.0, *range(-7, 0))])["taper_shape"].basis == (
        "the seven-day volume of the last 21 days did not fall by a tenth or more"
    )


def test_all_shapes_that_are_as_close_are_said_to_be():
    """A line over ten days is a step of as many, or an exponential fall, but for 1%."""
    line = [leg(k, hours=1 - 0.07 * (k + 11)) for k in range(-10, 0)]
    basis = measured([*(leg(k) for k in range(-56, -10)), *line])["taper_shape"].basis
    assert basis.endswith(
        "step 99%, linear 100% and exponential 100%; step, linear and exponential are too close "
        "to tell apart"
    )
    assert "tell apart" not in measured([*habit(), *week(0.1, -2, -1)])["taper_shape"].basis


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ((0.95, 0.945, 0.9), "; step and linear are too close to tell apart"),
        ((0.95, 0.945, 0.941), "; step, linear and exponential are too close to tell apart"),
        ((0.945, 0.95, 0.9), "; step and linear are too close to tell apart"),
        ((0.95, 0.939, 0.9), ""),
    ],
)
def test_shapes_within_a_hundredth_of_the_best_are_told(shares, words):
    """The limit is `shapes_apart` of limits.toml."""
    fits = [Fit(shape, -7, 1.0, 0.4, share) for shape, share in zip(SHAPES, shares, strict=True)]
    said = "accounts for: step {:.0f}%, linear {:.0f}% and exponential {:.0f}%"
    ends = said.format(*(100 * share for share in shares)) + words
    assert _fit_words(fits).endswith(ends)


def test_a_week_without_any_training_leads_down_to_nothing():
    rest = journal(periods=(Period(day(-7), day(-1), "rest"),))
    found = {one.name: one for one in shape(one_race(habit(), rest))}
    assert found["taper_shape"].value == "step"
    assert "step from day −7 down to 0% of the days before" in found["taper_shape"].basis
    assert found["sessions_kept"].value == 0.0
    assert found["sessions_kept"].basis == (
        "0 sessions in race week against 7 in a usual week (median)"
    )


def test_weeks_of_rest_are_weeks_of_no_session():
    rest = journal(periods=(Period(day(-56), day(-36), "rest"),))
    legs = [leg(-57), *(leg(k) for k in range(-35, -7)), *week(0.5, -6, -4, -2)]
    found = {one.name: one for one in shape(one_race(legs, rest))}
    # 0, 0, 0, 7, 7 and 7 sessions a week
    assert found["sessions_kept"].value == pytest.approx(3 / 3.5)


def test_where_most_weeks_were_rest_there_is_no_usual_session_to_keep():
    """Four of six weeks without any: the median week holds none."""
    rest = journal(periods=(Period(day(-56), day(-29), "rest"),))
    legs = [leg(-57), *(leg(k) for k in range(-28, -7)), *week(0.5, -6, -4, -2)]
    found = {one.name: one for one in shape(one_race(legs, rest))}
    assert found["sessions_kept"].reason == "a usual week holds no session"
    assert found["sessions_kept"].days == tuple(day(k) for k in (*range(-56, -14), *range(-7, 0)))
    assert found["last_long_d"].value == 8.0, "of the weeks with one, the longest is an hour"
    rested = journal(periods=(Period(day(-56), day(-15), "rest"),))
    none = {one.name: one for one in shape(one_race([leg(-57), *week(1.0, -11, -6)], rested))}
    assert none["last_long_d"].reason == "a usual week holds no session"
    assert none["taper_days"].value == 0.0, "nothing lies below a usual week of none"


def test_a_walk_through_on_race_morning_is_no_part_of_the_taper():
    found = measured([*STEP, leg(0, hours=0.2, at=6)])
    for name in ("taper_shape", "taper_fit", "taper_days"):
        assert len(found[name].legs) == 27
    assert len(found["sessions_kept"].legs) == 49


def test_a_form_is_fitted_on_the_rhythm_of_the_usual_week():
    rhythm = (0.5, 1.0, 2.0, 0.5, 1.5, 1.0, 3.0)
    legs = [leg(k, hours=rhythm[k % 7] * (0.4 if k >= -5 else 1.0)) for k in range(-56, 0)]
    found = measured(legs)
    assert found["taper_fit"].value == pytest.approx(1.0)
    assert "step from day −5 down to 40% of the days before" in found["taper_shape"].basis


def test_a_rhythm_may_have_a_day_off_and_needs_a_usual_week():
    rhythm = (0.5, 1.0, 2.0, 0.0, 1.5, 1.0, 3.0)
    legs = [
        leg(k, hours=rhythm[k % 7] * (0.4 if k >= -5 else 1.0))
        for k in range(-56, 0)
        if rhythm[k % 7]
    ]
    found = measured(legs)
    assert found["taper_fit"].value == pytest.approx(1.0)
    recent = measured([one for one in legs if one.start_utc.date() >= day(-28)])
    assert recent["taper_fit"].known
    assert recent["taper_fit"].value < 0.99, "two usual weeks are no rhythm"


def test_four_fifths_of_the_longest_session_is_long():
    rides = [leg(k, "cycling", 5.0, at=12) for k in range(-54, -14, 7)]
    legs = [*habit(), *rides, *week(0.5, *range(-7, 0))]
    assert measured([*legs, leg(-6, "cycling", 4.0, at=12)])["last_long_d"].value == 6.0
    assert measured([*legs, leg(-6, "cycling", 3.99, at=12)])["last_long_d"].value == 19.0
