"""Distance, time zones and body clock, from the journal and from files."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from build import as_race, day, journal, leg, one_race, one_window, race, trip
from taperback.raceweek.factors.travel import travel
from taperback.raceweek.travel.body_clock import body_clock_lag_h, lag_of_stages_h, shortest_shift_h
from taperback.raceweek.travel.trips import travel_days

HOME_AT = {"start_lat": 40.0, "start_lon": -8.0, "zone": "Europe/Lisbon"}
TOKYO_AT = {"start_lat": 35.7, "start_lon": 139.7, "zone": "Asia/Tokyo"}
NEAR = {"start_lat": 40.3, "start_lon": -8.2, "zone": "Europe/Lisbon"}


def at(place, *days, **kind):
    return [leg(k, **place, **kind) for k in days]


HOME_LEGS = at(HOME_AT, *range(-56, -5))


def measured(window):
    return {one.name: one for one in travel(as_race(window))}


def test_plain_case_by_hand_from_the_journal():
    trips = [trip(-4, -3, "Asia/Tokyo", travel_h=16.0)]
    found = measured(one_window([], journal(trips=trips)))
    assert found["zones_crossed"].value == 8.0
    assert found["travel_direction"].value == "east"
    assert found["travel_h"].value == 16.0
    assert found["days_since_arrival"].value == 3.0
    assert found["body_clock_lag_h"].value == pytest.approx(8 - 3 * 0.95)
    assert found["body_clock_lag_h"].days == (day(-3), day(0))
    assert "trips, row 2" in found["body_clock_lag_h"].basis


def test_westward_is_negative_and_faster():
    found = measured(one_window([], journal(trips=[trip(-3, -3, "America/New_York")])))
    assert found["zones_crossed"].value == -5.0
    assert found["travel_direction"].value == "west"
    assert found["body_clock_lag_h"].value == pytest.approx(5 - 3 * 92 / 60)


def test_the_lag_never_falls_below_zero():
    found = measured(one_window([], journal(trips=[trip(-15, -14, "Asia/Tokyo")])))
    assert found["body_clock_lag_h"].value == 0.0


def test_under_three_zones_is_travel_and_no_jet_lag():
    found = measured(one_window([], journal(trips=[trip(-1, -1, "Europe/Athens")])))
    assert found["zones_crossed"].value == 2.0
    assert found["body_clock_lag_h"].value == pytest.approx(2 - 0.95)
    assert "under 3 zones, which is travel and not jet lag" in found["body_clock_lag_h"].basis


def test_the_offset_is_that_of_the_race_date():
    """Sydney is 9 h ahead of Lisbon in June, when one has summer time, and 11 h in January."""
    june = measured(one_window([], journal(trips=[trip(-9, -8, "Australia/Sydney")])))
    winter = journal(race(-160), trips=[trip(-169, -168, "Australia/Sydney")])
    assert june["zones_crossed"].value == 9.0
    assert measured(one_window([], winter))["zones_crossed"].value == 11.0


def test_a_race_at_home_is_measured_as_no_lag():
    found = measured(one_window([*HOME_LEGS, *at(NEAR, 0, hours=2.0)]))
    assert found["body_clock_lag_h"].value == 0.0
    assert found["travel_km"].value == 0.0
    assert found["days_since_arrival"].reason == "there was no trip"
    assert "the race started at home, no trip" in found["body_clock_lag_h"].basis


def test_without_trip_position_or_clock_nothing_is_known():
    found = measured(one_window([leg(k) for k in range(-56, 1)]))
    for name in ("zones_crossed", "body_clock_lag_h", "days_since_arrival", "travel_h"):
        assert found[name].value is None
        assert "tells of no trips" in found[name].reason


def test_no_trip_where_the_athlete_writes_trips_down_means_none():
    book = journal(race(0), trips=[trip(-304, -303, "Asia/Tokyo")])
    found = measured(one_window([leg(k) for k in range(-56, 1)], book))
    assert found["body_clock_lag_h"].value == 0.0
    assert "tells of other trips" in found["body_clock_lag_h"].basis


def test_a_clock_that_is_homes_tells_that_no_zone_was_crossed():
    legs = [leg(k, file_utc_offset_s=3600.0) for k in range(-56, 1)]
    found = measured(one_window(legs))
    assert found["zones_crossed"].value == 0.0
    assert found["body_clock_lag_h"].value == 0.0


def test_another_clock_on_race_day_alone_tells_the_zones_and_not_the_arrival():
    legs = [*(leg(k) for k in range(-56, 0)), leg(0, file_utc_offset_s=9 * 3600.0)]
    found = measured(one_window(legs))
    assert found["zones_crossed"].value == 8.0
    assert "not when it was reached" in found["body_clock_lag_h"].reason


def test_clocks_before_the_race_tell_the_arrival():
    legs = [
        *(leg(k, file_utc_offset_s=3600.0) for k in range(-56, -4)),
        *(leg(k, file_utc_offset_s=9 * 3600.0) for k in (-3, -1, 0)),
    ]
    found = measured(one_window(legs))
    assert found["zones_crossed"].value == 8.0
    assert found["days_since_arrival"].value == 3.0
    assert "by the files' clocks last at home on day −5" in found["days_since_arrival"].basis


def test_a_pool_session_under_another_clock_tells_an_earlier_arrival():
    pool = leg(-3, "swimming", file_utc_offset_s=9 * 3600.0)
    found = measured(one_window([*HOME_LEGS, pool, *at(TOKYO_AT, -1, 0)]))
    assert found["days_since_arrival"].value == 3.0


def test_an_indoor_session_on_a_trip_within_the_zone_is_not_at_home():
    north = {"start_lat": 43.0, "start_lon": -8.4, "zone": "Europe/Lisbon"}
    indoor = leg(-2, "cycling", file_utc_offset_s=3600.0)
    found = measured(one_window([*HOME_LEGS, *at(north, -4), indoor, *at(north, 0)]))
    assert found["days_since_arrival"].value == 4.0
    assert found["body_clock_lag_h"].value == 0.0


def test_home_is_the_clock_that_most_files_have_whatever_was_typed():
    """Files of an athlete whose home zone was typed wrongly: no trip, no lag."""
    legs = [leg(k, file_utc_offset_s=-4 * 3600.0) for k in range(-56, 1)]
    found = measured(one_window(legs))
    assert found["zones_crossed"].value == 0.0
    assert found["body_clock_lag_h"].value == 0.0


def test_a_clock_change_at_home_is_no_trip():
    """Summer time began in Lisbon on 31 March 2030; the race is a week later."""
    book = journal(race(-84))
    legs = [leg(k, file_utc_offset_s=0.0 if k < -91 else 3600.0) for k in range(-140, -83)]
    found = measured(one_window(legs, book))
    assert found["zones_crossed"].value == 0.0
    assert found["days_since_arrival"].reason == "there was no trip"


def test_a_trip_is_inferred_from_start_positions():
    legs = [*HOME_LEGS, *at(TOKYO_AT, -3, -2, hours=0.5), *at(TOKYO_AT, 0)]
    window = one_window(legs)
    found = measured(window)
    assert found["zones_crossed"].value == 8.0
    assert found["days_since_arrival"].value == 3.0
    assert "last at home on day −6, first away on day −3" in found["days_since_arrival"].basis
    assert found["travel_km"].value == pytest.approx(11_100, rel=0.02)
    assert found["arrival_day_h"].value == pytest.approx(0.5)
    assert found["arrival_day_h"].basis == "running 30 min"
    assert found["travel_h"].reason == "the journal does not tell the hours"
    assert window.race_legs[0] in found["travel_km"].legs


def test_journal_and_files_that_disagree_are_both_shown():
    legs = [*HOME_LEGS, *at(TOKYO_AT, -5, -2, 0)]
    book = journal(trips=[trip(-4, -3, "Asia/Shanghai")])
    basis = measured(one_window(legs, book))["zones_crossed"].basis
    assert "in Asia/Shanghai" in basis
    assert "the files say otherwise: a time difference of +8.0 h and a session there on" in basis


def test_a_move_of_house_is_no_trip():
    moved_before = [*at(HOME_AT, *range(-56, -25)), *at(TOKYO_AT, *range(-25, 1))]
    found = measured(one_window(moved_before))
    assert found["zones_crossed"].value == 0.0
    assert found["travel_km"].value == pytest.approx(0.0)
    assert "moved" in found["travel_km"].basis


def test_sessions_after_the_race_tell_a_late_move_from_a_trip():
    legs = [*HOME_LEGS, *at(TOKYO_AT, -5, -3, 0)]
    stays = [*legs, *at(TOKYO_AT, *range(8, 20))]
    returns = [*legs, *at(HOME_AT, *range(8, 20))]
    assert one_race(stays).trip.source == "none"
    assert one_race(returns).trip.source == "files"


def test_a_camp_that_ended_before_the_race_is_no_trip_to_it():
    legs = [*at(HOME_AT, *range(-56, -30)), *at(TOKYO_AT, *range(-30, -20))]
    legs += at(HOME_AT, *range(-20, 1))
    assert one_race(legs).trip.source == "none"


def test_coming_home_is_no_trip_to_the_race_and_is_said():
    book = journal(
        trips=[trip(-20, -19, "Asia/Tokyo"), trip(-6, -5, "Europe/Lisbon", "Asia/Tokyo")]
    )
    found = measured(one_window([*HOME_LEGS, *at(HOME_AT, 0)], book))
    assert found["zones_crossed"].value == 0.0
    assert "came home on 2030-06-25" in found["zones_crossed"].basis


def test_a_journey_in_stages_counts_from_home_and_adapts_on_the_way():
    stages = [trip(-15, -14, "Asia/Tokyo"), trip(-2, -2, "Australia/Sydney", "Asia/Tokyo", row=3)]
    found = measured(one_window([], journal(trips=stages)))
    assert found["zones_crossed"].value == 9.0
    assert found["days_since_arrival"].value == 2.0
    # 8 h are followed within the 12 days in Tokyo; of the last hour nothing is left after 2 days
    assert found["body_clock_lag_h"].value == 0.0
    assert "+8.0 h eastward and then 12 days" in found["body_clock_lag_h"].basis
    assert "trips, rows 2 and 3" in found["body_clock_lag_h"].basis


def test_days_of_a_stage_without_a_time_change_are_told_with_those_it_adapts_to():
    stages = [trip(-8, -7, "Asia/Dhaka"), trip(-6, -5, "Asia/Dhaka", "Asia/Dhaka", row=3)]
    found = measured(one_window([], journal(trips=stages)))["body_clock_lag_h"]
    assert found.value == 0.0
    assert found.basis.startswith("+5.0 h eastward and then 7 days at 57 min a day; ")


def test_a_stage_back_is_followed_the_way_the_body_clock_still_has_to_go():
    """Of 8 h east 7.05 are left after a day; 3 h back leave 4.05 to go on eastward."""
    stages = [trip(-4, -3, "Asia/Tokyo"), trip(-2, -2, "Asia/Dhaka", "Asia/Tokyo", row=3)]
    found = measured(one_window([], journal(trips=stages)))["body_clock_lag_h"]
    assert found.value == pytest.approx(8 - 0.95 - 3 - 2 * 0.95)
    assert found.basis.startswith(
        "+8.0 h eastward and then 1 day at 57 min a day, "
        "\N{MINUS SIGN}3.0 h westward and then 2 days at 57 min a day; "
    )


def test_a_trip_without_a_zone_is_a_trip_all_the_same():
    found = measured(one_window([], journal(trips=[trip(-2, -1, "", travel_h=4.0)])))
    assert found["travel_h"].value == 4.0
    assert found["days_since_arrival"].value == 1.0
    assert found["body_clock_lag_h"].reason == "trips, row 2 has no to_zone"
    legs = [*HOME_LEGS, *at(NEAR, 0)]
    placed = measured(one_window(legs, journal(trips=[trip(-2, -1, "")])))
    assert placed["body_clock_lag_h"].value == 0.0


def test_a_trip_to_an_earlier_race_is_not_this_ones():
    book = journal(trips=[trip(-61, -60, "Asia/Tokyo")])
    assert one_race([*HOME_LEGS, *at(HOME_AT, 0)], book).trip.source == "none"


def test_travel_falls_on_its_days():
    window = one_window([], journal(trips=[trip(-5, -3, "Asia/Tokyo")]))
    assert travel_days(window, as_race(window).trip) == {
        -5: "depart",
        -4: "away",
        -3: "arrive",
        -2: "away",
        -1: "away",
        0: "away",
    }


def test_rest_on_the_day_of_arrival_is_no_unknown_day():
    trips = [trip(-4, -3, "Asia/Tokyo")]
    rested = measured(one_window([*HOME_LEGS, leg(-2), leg(0)], journal(trips=trips)))
    assert (rested["arrival_day_h"].value, rested["arrival_day_h"].basis) == (0.0, "no session")
    silent = measured(one_window([], journal(trips=trips)))
    assert silent["arrival_day_h"].reason == "1 of 1 days are not known: no file was found"


@pytest.mark.parametrize(
    ("zones", "left"),
    [
        (12.0, 12 - 5 * 92 / 60),
        (-12.0, 12 - 5 * 92 / 60),
        (12.25, 11.75 - 5 * 92 / 60),
        (-12.25, 11.75 - 5 * 0.95),
        (11.75, 11.75 - 5 * 0.95),
    ],
)
def test_the_same_clock_leaves_the_same_lag_whichever_way_the_date_line_was_crossed(
    zones: float, left: float
) -> None:
    assert body_clock_lag_h(zones, 5) == pytest.approx(left)
    assert lag_of_stages_h([(zones, 5)]) == pytest.approx(left)


@given(quarters=st.integers(-96, 96), days=st.integers(0, 10))
def test_a_whole_day_more_by_the_clock_changes_no_lag(quarters, days):
    zones = quarters / 4
    assert body_clock_lag_h(zones, days) == body_clock_lag_h(zones + 24, days)


def test_half_a_day_is_told_as_westward():
    found = measured(one_window([], journal(trips=[trip(-6, -5, "Pacific/Apia")])))
    assert found["zones_crossed"].value == 12.0
    assert found["travel_direction"].value == "west"
    assert found["body_clock_lag_h"].basis.startswith("clock 12.0 h on, which is 12.0 h westward")
    assert (
        "12.0 h westward for the body, and then 5 days at 92 min a day"
        in found["body_clock_lag_h"].basis
    )


def test_a_shift_that_lies_within_is_itself_to_the_last_digit():
    assert [shortest_shift_h(x) for x in (3.15, -7.05, 0.0, -12.0)] == [3.15, -7.05, 0.0, -12.0]


def test_half_an_hour_is_told_by_its_own_way():
    """Darwin is half an hour behind Brisbane, and neither has summer time."""
    west = journal(trips=[trip(-1, -1, "Australia/Darwin", "Australia/Brisbane")])
    told = measured(one_window([], west))["body_clock_lag_h"].basis
    assert told.startswith("\N{MINUS SIGN}0.5 h westward and then 1 day at 92 min a day; ")


def test_a_clock_put_back_by_more_than_half_a_day_is_eastward_for_the_body():
    """From Auckland (+12 h in June) to Honolulu (-10 h): 22 h back, 2 h on for the body."""
    back = journal(trips=[trip(-3, -3, "Pacific/Honolulu", "Pacific/Auckland")])
    told = measured(one_window([], back))
    assert told["zones_crossed"].value == -22.0
    assert told["travel_direction"].value == "east"
    assert told["body_clock_lag_h"].basis.startswith(
        "clock 22.0 h back, which is 2.0 h eastward for the body, and then 3 days at 57 min a day; "
    )


@given(shifts=st.lists(st.tuples(st.floats(-12, 12), st.integers(0, 20)), max_size=4))
def test_stages_never_leave_more_than_half_a_day(shifts):
    assert 0 <= lag_of_stages_h(shifts) <= 12
    assert lag_of_stages_h([*shifts, (0.0, 40)]) == 0.0


@given(zones=st.floats(-14, 14), days=st.integers(0, 40))
def test_the_lag_shrinks_day_by_day_and_is_never_negative(zones, days):
    lag = body_clock_lag_h(zones, days)
    assert 0 <= body_clock_lag_h(zones, days + 1) <= lag <= 12
    assert body_clock_lag_h(zones, 0) == pytest.approx(abs(shortest_shift_h(zones)))
