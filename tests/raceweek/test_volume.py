"""Hours of race week against the usual week."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import NAN, as_race, day, habit, journal, leg, multisport, one_window, race
from taperback.journal.model import Period
from taperback.journal.sports import Sport
from taperback.raceweek.factors.volume import volume


def measured(window):
    return {one.name: one for one in volume(as_race(window))}


def taper(hours: float, days=range(-7, -1), **kind):
    return [leg(k, hours=hours / len(days), **kind) for k in days]


def test_plain_case_by_hand():
    found = measured(one_window([*habit(10 / 7), *taper(6.0)]))
    assert found["volume_h"].value == pytest.approx(6.0)
    assert found["baseline_weekly_h"].value == pytest.approx(10.0)
    assert found["volume_cut"].value == pytest.approx(0.4)


def test_the_usual_week_is_the_median_of_the_weeks():
    # five weeks of 7 h and one of 14 h
    legs = [*habit(), *(leg(k, "cycling", 1.0, at=15) for k in range(-28, -21)), *taper(3.5)]
    assert measured(one_window(legs))["volume_cut"].value == pytest.approx(0.5)


def test_more_than_usual_is_negative():
    assert measured(one_window([*habit(), *taper(8.4)]))["volume_cut"].value == pytest.approx(-0.2)


def test_rest_days_count_as_zero_and_unknown_days_do_not():
    rested = measured(one_window([*habit(), leg(-7, hours=1.4), leg(0)]))
    assert rested["volume_cut"].value == pytest.approx(0.8)
    silent = measured(one_window([*habit(), leg(0)]))
    assert silent["volume_cut"].value is None
    assert "without a file or a word" in silent["volume_cut"].reason


def test_a_week_of_rest_by_the_journal_is_a_volume_of_zero():
    book = journal(periods=(Period(day(-7), day(-1), "rest"),))
    found = measured(one_window([*habit(), leg(0)], book))
    assert found["volume_h"].value == 0.0
    assert found["volume_cut"].value == 1.0


def test_without_a_baseline_the_reason_is_given():
    found = measured(one_window([*(leg(k) for k in range(-30, 0))]))
    assert found["volume_h"].known
    assert found["volume_cut"].value is None
    assert found["volume_cut"].reason.startswith("only 2 of 6 baseline weeks can be used and 3")


def test_days_and_legs_are_named():
    window = one_window([*habit(), *taper(3.0), leg(0, hours=2)])
    cut = measured(window)["volume_cut"]
    assert cut.days == (*window.span(-56, -15), *window.span(-7, -1))
    expected = window.legs.between(-56, -15).ids + window.legs.between(-7, -1).ids
    assert set(cut.legs) == set(expected)
    assert "3.0 h" in cut.basis and "7.0 h" in cut.basis


def test_transitions_the_race_and_its_warm_up_are_no_training():
    brick = multisport(-3, ("cycling", 2.0), ("transition", 0.1), ("running", 0.5))
    legs = [*habit(), *brick, leg(0, hours=0.3, at=7), leg(0, hours=2.0, at=9)]
    found = measured(one_window(legs, journal(race(sports=("running",)))))
    assert found["volume_h"].value == pytest.approx(2.5)


def test_moving_time_counts_and_elapsed_time_only_where_it_is_missing():
    stopped = leg(-5, hours=1.0, elapsed_s=5400.0)
    without = leg(-4, hours=1.0, moving_s=NAN, elapsed_s=1800.0)
    found = measured(one_window([*habit(), stopped, without]))["volume_h"]
    assert found.value == pytest.approx(1.5)
    assert "1 leg counted by elapsed time" in found.basis


def test_each_sport_has_its_own_cut():
    rides = [leg(k, "cycling", 2.0, at=16) for k in range(-56, -7, 7)]
    legs = [*habit(), *rides, *taper(3.5), leg(-4, "cycling", 0.5, at=16)]
    found = measured(one_window(legs))
    assert found["volume_cut_running"].value == pytest.approx(0.5)
    assert found["volume_cut_cycling"].value == pytest.approx(0.75)
    assert "volume_cut_swimming" not in found


def test_a_sport_that_a_usual_week_lacks_has_no_cut():
    found = measured(one_window([*habit(), *taper(3.0), leg(-3, "rowing", 1.0, at=16)]))
    assert found["volume_cut_rowing"].reason == "a usual week holds no rowing"


def test_a_sport_out_of_the_list_counts_as_other():
    legs = [*habit(), *(leg(k, "kayaking", 1.0, at=16) for k in range(-56, -7)), *taper(3.0)]
    assert measured(one_window(legs))["volume_cut_other"].value == 1.0


def test_earlier_weeks_have_their_cuts():
    legs = [one for one in habit() if not day(-14) <= one.start_utc.date() <= day(-8)]
    found = measured(one_window([*legs, *taper(4.2, range(-14, -7)), *taper(3.0)]))
    assert found["volume_cut_week_3"].value == pytest.approx(0.0)
    assert found["volume_cut_week_2"].value == pytest.approx(0.4)


@settings(max_examples=15, deadline=None)
@given(scale=st.floats(0.2, 3.0), kept=st.floats(0.0, 2.0))
def test_scaling_all_hours_scales_hours_and_leaves_the_cut(scale, kept):
    plain = measured(one_window([*habit(), *taper(7 * kept + 0.01)]))
    scaled = measured(one_window([*habit(scale), *taper(scale * (7 * kept + 0.01))]))
    assert scaled["volume_h"].value == pytest.approx(scale * plain["volume_h"].value)
    assert scaled["volume_cut"].value == pytest.approx(plain["volume_cut"].value, abs=1e-9)


def test_each_figure_says_how_it_was_made():
    found = measured(one_window([*habit(10 / 7), *taper(6.0)]))
    week = "6.0 h of moving time in 6 legs on days −7 to −1"
    usual = (
        "a usual week of 10.0 h, the median of 6 weeks on days −56 to −15 "
        "(10.0, 10.0, 10.0, 10.0, 10.0, 10.0 h)"
    )
    assert found["volume_h"].basis == week
    assert found["baseline_weekly_h"].basis == usual
    assert found["volume_cut"].basis == f"{week}, against {usual}"
    assert found["volume_cut_running"].basis == f"{week}, against {usual}"


def test_a_usual_week_without_training_has_no_cut():
    book = journal(periods=(Period(day(-56), day(-15), "rest"),))
    found = measured(one_window([leg(k) for k in range(-14, 0)], book))
    assert found["baseline_weekly_h"].value == 0.0
    assert found["volume_cut"].reason == "a usual week holds no training"
    assert found["volume_cut"].days == tuple(day(k) for k in range(-7, 0))


EVERYDAY = [
    *(leg(k, "walking", 0.5, hard_min=None, at=7) for k in range(-56, 1)),
    *(leg(k, "e_biking", 0.5, hard_min=None, at=17) for k in range(-56, 1)),
    *(
        leg(k, "training", 1.0, sub_sport="yoga", hard_min=None, at=19, file=f"yoga{k}.fit")
        for k in range(-56, 1)
    ),
    *(
        leg(k, "cycling", 1.0, sub_sport="e_bike_fitness", hard_min=None, at=20, file=f"e{k}.fit")
        for k in range(-56, 1)
    ),
]


def test_what_is_no_endurance_sport_does_not_count() -> None:
    got = measured(one_window([*habit(), *taper(3.0), *EVERYDAY]))
    assert got["baseline_weekly_h"].value == 7.0
    assert got["volume_h"].value == 3.0


def test_what_the_athlete_types_counts_and_nothing_else() -> None:
    typed = (Sport("walking"), Sport("training", "yoga"), Sport("e_biking"))
    got = measured(one_window([*habit(), *taper(3.0), *EVERYDAY], journal(counted=typed)))
    assert got["baseline_weekly_h"].value == 7 * (0.5 + 0.5 + 1.0 + 1.0)


def test_days_of_everyday_life_alone_are_recorded_days() -> None:
    window = one_window([*EVERYDAY, *habit()])
    assert set(window.days.loc[window.days["days_to_race"] < 0, "state"]) == {"recorded"}
    assert measured(window)["volume_h"].value == 0.0
