"""Sleep before the race against the usual night."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import as_race, day, habit, imported, journal, leg, one_window, race
from taperback.journal.model import Period
from taperback.raceweek.factors.sleep import sleep
from taperback.raceweek.window.calendar import windows

USUAL = dict.fromkeys(range(-56, -14), 7.5)


def measured(typed=None, filed=None, *, legs=None, **book):
    window = one_window(habit() if legs is None else legs, journal(nights=typed, **book), filed)
    return {one.name: one for one in sleep(as_race(window))}


def test_plain_case_by_hand():
    week = dict(zip(range(-6, 1), (7, 7, 7, 6.5, 6.5, 6, 5), strict=True))
    found = measured(USUAL | week)
    assert found["sleep_change_h"].value == pytest.approx(45 / 7 - 7.5)
    assert found["last_night_h"].value == 5
    assert found["last_three_h"].value == pytest.approx(17.5 / 3)
    assert found["sleep_debt_h"].value == pytest.approx(7 * 7.5 - 45)


def test_the_usual_night_is_a_median():
    nights = USUAL | {-20: 0.5, -21: 12.0} | dict.fromkeys(range(-6, 1), 8.5)
    assert measured(nights)["sleep_change_h"].value == pytest.approx(1.0)


def test_more_sleep_is_positive_and_owes_nothing():
    found = measured(USUAL | dict.fromkeys(range(-6, 1), 8.0))
    assert found["sleep_change_h"].value == pytest.approx(0.5)
    assert found["sleep_debt_h"].value == 0.0


def test_long_nights_do_not_pay_a_debt_back():
    week = dict(zip(range(-6, 1), (5.5, 9.5, 7.5, 7.5, 7.5, 7.5, 7.5), strict=True))
    found = measured(USUAL | week)
    assert found["sleep_change_h"].value == pytest.approx(0.0)
    assert found["sleep_debt_h"].value == pytest.approx(2.0)


def test_four_nights_are_too_few_and_five_are_enough():
    four = measured(USUAL | dict.fromkeys(range(-3, 1), 7.0))["sleep_change_h"]
    assert four.value is None
    assert four.reason == ("4 of the 7 nights that end on days −6 to 0 are known, 5 are needed")
    five = measured(USUAL | dict.fromkeys(range(-4, 1), 7.0))["sleep_change_h"]
    assert five.value == pytest.approx(-0.5)


def test_nine_usual_nights_are_too_few():
    week = dict.fromkeys(range(-6, 1), 7.0)
    found = measured(dict.fromkeys(range(-30, -21), 7.0) | week)
    assert found["sleep_change_h"].reason == (
        "9 usual nights known on days −56 to −15, 10 are needed"
    )
    assert found["last_night_h"].known, "the last night needs no baseline"


def test_an_unknown_night_is_not_a_night_without_sleep():
    found = measured(USUAL | dict.fromkeys(range(-6, 0), 7.0))
    assert found["last_night_h"].value is None
    assert found["last_night_h"].reason == (
        "the night before the race is neither in the journal nor in a file"
    )
    assert found["last_three_h"].reason == "2 of the last three nights are known"
    assert found["sleep_change_h"].value == pytest.approx(-0.5), "six known nights, none as zero"


def test_nights_that_end_on_day_minus_7_are_not_of_race_week():
    found = measured(USUAL | {-7: 2.0} | dict.fromkeys(range(-6, 1), 7.5))
    assert found["sleep_change_h"].value == pytest.approx(0.0)


def test_nights_of_illness_are_not_usual_and_nights_without_files_are():
    nights = USUAL | dict.fromkeys(range(-28, -14), 11.0) | dict.fromkeys(range(-6, 1), 7.5)
    ill = measured(nights, periods=(Period(day(-28), day(-15), "illness"),))
    assert "median of 28 on" in ill["sleep_change_h"].basis
    unrecorded = measured(nights, legs=[leg(k) for k in range(-14, 0)])
    assert "median of 42 on" in unrecorded["sleep_change_h"].basis


def test_recovery_after_a_race_is_set_apart():
    # the race on day -30 and the week after it touch the blocks of days -35 to -22
    nights = USUAL | dict.fromkeys(range(-35, -21), 11.0)
    book = journal(race(-30, name="First"), race(0), nights=nights)
    second = as_race(windows(imported(habit()), book)[1])
    told = {one.name: one for one in sleep(second)}["usual_night_h"]
    assert told.value == 7.5
    assert told.days == tuple(day(k) for k in range(-56, -14) if not -35 <= k <= -22)


def test_days_and_sources_are_named():
    week = dict.fromkeys(range(-6, 1), 7.0)
    change = measured(week, USUAL)["sleep_change_h"]
    assert change.days == (*(day(k) for k in range(-56, -14)), *(day(k) for k in range(-6, 1)))
    assert "over 7 nights (from the journal) against" in change.basis
    assert change.basis.endswith("42 on days −56 to −15 (from files)")


def test_journal_and_files_that_differ_are_said():
    week = dict.fromkeys(range(-6, 1), 8.0)
    found = measured(USUAL | week, dict.fromkeys(range(-6, 1), 7.0))
    assert found["sleep_change_h"].value == pytest.approx(0.5), "the journal wins"
    assert "the journal has +1.0 h a night against the files" in found["last_night_h"].basis


@settings(max_examples=15, deadline=None)
@given(scale=st.floats(0.5, 1.5), change=st.floats(-3, 3))
def test_scaling_the_nights_scales_the_change(scale, change):
    week = dict.fromkeys(range(-6, 1), 7.5 + change)
    scaled = {k: h * scale for k, h in (USUAL | week).items()}
    assert measured(scaled, legs=[])["sleep_change_h"].value == pytest.approx(
        scale * change, abs=1e-9
    )


def test_nights_from_both_sources_are_counted_apart():
    typed = dict.fromkeys(range(-56, -46), 7.5)
    filed = dict.fromkeys(range(-46, -14), 7.5) | dict.fromkeys(range(-6, 1), 7.0)
    found = measured(typed | {0: 6.0}, filed)
    assert found["usual_night_h"].basis == (
        "a usual night of 7.5 h, the median of 42 on days −56 to −15 (10 from the journal, 32 from "
        "files)"
    )
    both = (
        "1 from the journal, 6 from files; where both tell, the journal has −1.0 h a night "
        "against the files"
    )
    change = found["sleep_change_h"]
    assert change.basis == (
        f"a mean of 6.9 h over 7 nights ({both}) against {found['usual_night_h'].basis}"
    ).replace("−1.0", "-1.0")
    assert found["last_night_h"].basis == (
        "the night that ended on race day (from the journal; where both tell, the journal has "
        "-1.0 h a night against the files)"
    )


@pytest.mark.parametrize(("apart", "said"), [(0.5, True), (-0.5, True), (0.4, False)])
def test_half_an_hour_between_the_sources_is_said(apart, said):
    week = dict.fromkeys(range(-6, 1), 7.0 + apart)
    found = measured(week, USUAL | dict.fromkeys(range(-6, 1), 7.0))
    assert ("where both tell" in found["last_three_h"].basis) is said


def test_a_debt_says_which_nights_were_short():
    week = dict(zip(range(-6, 1), (5.5, 9.5, 7.5, 7.5, 7.5, 7.5, 7.0), strict=True))
    found = measured(USUAL | week)
    assert found["sleep_debt_h"].basis == (
        f"2 nights of 7 below {found['usual_night_h'].basis}; longer nights do not pay back"
    )
    assert found["last_three_h"].basis == (
        "the mean of the nights that ended on days −2 to 0 (from the journal)"
    )


@pytest.mark.parametrize("kind", ["illness", "injury"])
def test_weeks_of_illness_and_injury_hold_no_usual_night(kind):
    nights = USUAL | dict.fromkeys(range(-49, -42), 11.0)
    told = measured(nights, periods=(Period(day(-49), day(-49), kind),))["usual_night_h"]
    assert told.value == 7.5
    assert told.days == tuple(day(k) for k in range(-56, -14) if not -49 <= k <= -43)
