"""What the race's own files tell."""

from __future__ import annotations

import numpy as np
import pytest

from build import day, habit, journal, leg, multisport, one_window, race
from taperback.raceweek.result.race_file import race_facts, transition

TRIATHLON = ("swimming", "cycling", "running")
PARTS = [("swimming", 0.5), ("transition", 0.05), ("cycling", 1.0), ("transition", 0.03)]


def facts(legs, **cells):
    row = race(**cells)
    return race_facts(one_window(legs, journal(row)), row)


def test_transitions_of_a_multisport_file_are_added_up():
    window = one_window(multisport(0, *PARTS, ("running", 0.7)), journal(race(sports=TRIATHLON)))
    found = transition(window)
    assert found.value == pytest.approx(60 * 0.08)
    assert found.basis == "2 transitions of the file"
    assert set(found.legs) == set(window.race_legs)


def test_without_transition_legs_the_gaps_count():
    legs = [leg(0, "swimming", 0.5, at=8), leg(0, "cycling", 1.0, at=8.6), leg(0, at=9.65)]
    found = transition(one_window(legs, journal(race(sports=TRIATHLON))))
    assert found.value == pytest.approx(60 * (0.1 + 0.05))
    assert found.basis == "time from one leg's end to the next start"
    assert len(found.legs) == 3


def test_a_race_of_one_leg_has_none_and_a_race_without_file_says_so():
    assert transition(one_window([leg(0)])).reason == "the race is one leg"
    assert transition(one_window(habit())).reason == "no file of the race was found"


def test_a_race_of_several_stages_has_no_transition_between_them():
    rows = [race(k, row=4 + k, event="Three days", sports=("running",)) for k in (-1, 0)]
    found = transition(one_window([leg(-1, hours=2.0), leg(0, hours=2.0)], journal(*rows)))
    assert (found.name, found.reason) == ("transition_min", "the race has several stages")
    assert found.days == (day(-1),)


def test_halves_are_told_with_direction():
    slower = leg(
        0,
        half_speed_mps=np.array([4.0, 3.8]),
        half_heart_rate_bpm=np.array([160.0, 166.0]),
    )
    assert facts([slower], finish_time_s=3600.0) == (
        "Running of 1.0 h, second half against first: 5.0% slower (4:10, then 4:23 /km), heart "
        "rate 6 bpm higher.",
    )


def test_power_is_told_before_speed():
    halves = {"half_speed_mps": np.array([10.0, 9.0]), "half_power_w": np.array([200.0, 210.0])}
    (fact,) = facts([leg(0, "cycling", **halves)], finish_time_s=3600.0)
    assert fact == ("Cycling of 1.0 h, second half against first: 5.0% more (200, then 210 W).")


def test_halves_that_differ_by_next_to_nothing_are_even():
    halves = {"half_speed_mps": np.array([4.0, 3.99])}
    assert facts([leg(0, **halves)], finish_time_s=3600.0) == (
        "Running of 1.0 h, second half against first: even (4:10, then 4:11 /km).",
    )


def test_halves_of_a_short_leg_are_not_compared():
    halves = {"half_speed_mps": np.array([4.0, 3.0])}
    assert facts([leg(0, hours=0.1, **halves)], finish_time_s=360.0) == ()


def test_a_file_that_tells_nothing_is_told_with_nothing():
    assert facts([leg(0)], finish_time_s=3600.0) == ()
    assert facts(habit(), finish_time_s=3600.0) == ()


def test_a_missing_or_different_finish_time_is_said():
    assert facts([leg(0)]) == ("The race's file lasts 1:00:00; the journal has no finish time.",)
    assert facts([leg(0)], finish_time_s=3500.0) == (
        "The race's file lasts 1:00:00; the journal says 0:58:20.",
    )
    assert facts([leg(0)], finish_time_s=3590.0) == ()


def test_a_race_that_was_typed_as_a_session_is_no_file():
    typed = leg(0, file="sessions.csv", file_format="journal")
    lasts = "The race's session in sessions.csv lasts 1:00:00; its own row"
    assert facts([typed]) == (f"{lasts} has no finish time.",)
    assert facts([typed], finish_time_s=3500.0) == (f"{lasts} says 0:58:20.",)


def test_a_race_that_was_typed_as_a_session_without_duration_has_no_length():
    typed = leg(0, file="sessions.csv", file_format="journal", hours=np.nan, hard_min=None)
    assert facts([typed]) == ()
    assert facts([typed], finish_time_s=3500.0) == ()
    swum = leg(0, "swimming", 0.5, at=8)
    found = transition(one_window([swum, typed], journal(race(sports=TRIATHLON))))
    assert found.value is None
    assert found.reason == "a session of the race has no duration"


def test_a_race_file_on_the_day_beside_the_typed_date_is_pointed_at():
    legs = [*habit(), *multisport(1, *PARTS, ("running", 0.7))]
    assert facts(legs, sports=TRIATHLON) == (
        "multi1.fit of 2030-07-01 has the race's sports, and no file of 2030-06-30 does; check "
        "the date.",
    )
    assert facts(legs, sports=TRIATHLON, status="dns") == ()


def test_legs_that_overlap_have_no_transition_between_them():
    legs = [leg(0, "swimming", 0.5, at=8), leg(0, "cycling", 1.0, at=8.4), leg(0, at=9.5)]
    found = transition(one_window(legs, journal(race(sports=TRIATHLON))))
    assert found.value == pytest.approx(60 * 0.1)


def test_speed_is_told_where_power_is_not_and_a_heart_may_fall():
    leg_of = {
        "half_power_w": np.array([0.0, 210.0]),
        "half_speed_mps": np.array([4.0, 4.2]),
        "half_heart_rate_bpm": np.array([160.0, 158.0]),
    }
    assert facts([leg(0, **leg_of)], finish_time_s=3600.0) == (
        "Running of 1.0 h, second half against first: 5.0% faster (4:10, then 3:58 /km), heart "
        "rate 2 bpm lower.",
    )
    less = {"half_power_w": np.array([200.0, 190.0])}
    assert facts([leg(0, "cycling", **less)], finish_time_s=3600.0) == (
        "Cycling of 1.0 h, second half against first: 5.0% less (200, then 190 W).",
    )
    heart = {"half_heart_rate_bpm": np.array([160.0, 160.0])}
    assert facts([leg(0, **heart)], finish_time_s=3600.0) == (
        "Running of 1.0 h, second half against first: the same heart rate.",
    )
    half = {"half_heart_rate_bpm": np.array([160.0, np.nan])}
    assert facts([leg(0, **half)], finish_time_s=3600.0) == ()


def test_a_file_beside_the_date_needs_all_the_sports_and_one_file():
    swim_bike = multisport(1, ("swimming", 0.5), ("cycling", 1.0))
    assert facts([*habit(), *swim_bike], sports=TRIATHLON) == ()
    apart = [leg(-1, "swimming", 0.5), leg(-1, "cycling", at=9), leg(-1, at=11)]
    assert facts([*habit(), *apart], sports=TRIATHLON) == ()
    two_days = multisport(-2, *PARTS, ("running", 0.7))
    assert facts([*habit(), *two_days], sports=TRIATHLON) == ()
    before = multisport(-1, *PARTS, ("running", 0.7))
    assert facts([*habit(), *before], sports=TRIATHLON) == (
        "multi-1.fit of 2030-06-29 has the race's sports, and no file of 2030-06-30 does; check "
        "the date.",
    )
    assert facts([*habit(), *before], sports=("running",)) == ()
