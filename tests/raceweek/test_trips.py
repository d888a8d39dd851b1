"""How a trip is known, word for word: from the journal, from the files, or not at all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from build import as_race, day, journal, leg, one_race, one_window, trip
from raceweek.test_travel import HOME_AT, HOME_LEGS, NEAR, TOKYO_AT, at, measured
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal
from taperback.raceweek.travel.trips import Trip, travel_days

CLOCK_9H = {"file_utc_offset_s": 9 * 3600.0}


def found(legs: list[LegSummary], book: Journal | None = None) -> Trip:
    return one_race(legs, book).trip


def test_a_typed_trip_is_told_in_full() -> None:
    told = found([], journal(trips=[trip(-4, -3, "Asia/Tokyo", travel_h=16.0)]))
    assert told == Trip(
        source="journal",
        zones_h=8.0,
        depart=day(-4),
        arrive=day(-3),
        travel_h=16.0,
        stages=((8.0, 3),),
        basis="trips, row 2: arrival on 2030-06-27 in Asia/Tokyo from Europe/Lisbon",
    )


def test_a_journey_of_three_stages_keeps_the_clock_where_a_zone_is_missing() -> None:
    stages = [
        trip(-9, -8, "Asia/Tokyo", travel_h=10.0),
        trip(-5, -4, "", "Asia/Tokyo", row=3, travel_h=2.0),
        trip(-2, 0, "Australia/Sydney", "", row=4, travel_h=3.0),
    ]
    told = found([], journal(trips=stages))
    assert told.stages == ((8.0, 4), (0.0, 4), (1.0, 0))
    assert (told.depart, told.arrive, told.travel_h) == (day(-2), day(0), 15.0)
    assert told.basis == (
        "trips, rows 2 and 3 and 4: arrival on 2030-06-30 in Australia/Sydney from Europe/Lisbon"
    )
    got = measured(one_window([], journal(trips=stages)))
    # 8 h less 8 days at 57 min, and the last hour
    assert got["body_clock_lag_h"].value == pytest.approx(0.4 + 1.0)
    assert got["body_clock_lag_h"].basis == (
        "+8.0 h eastward and then 8 days at 57 min a day, +1.0 h eastward and then 0 days at "
        f"57 min a day; {told.basis}"
    )
    assert got["arrival_day_h"].reason == "the athlete arrived on race day"
    assert got["arrival_day_h"].days == (day(0),)


def test_hours_that_one_stage_lacks_are_not_known() -> None:
    stages = [trip(-9, -8, "Asia/Tokyo", travel_h=10.0), trip(-2, -1, "Asia/Tokyo", row=3)]
    book = journal(trips=stages)
    assert found([], book).travel_h is None
    reason = measured(one_window([], book))["travel_h"].reason
    assert reason == "the journal does not tell the hours"


def test_a_trip_from_elsewhere_counts_from_there() -> None:
    book = journal(trips=[trip(-3, -2, "Asia/Tokyo", "Asia/Shanghai")])
    assert found([], book).zones_h == 1.0
    assert found([], journal(trips=[trip(-3, -2, "Asia/Tokyo", "")])).zones_h == 8.0


@pytest.mark.parametrize(("arrive", "source"), [(-28, "journal"), (-29, "none"), (0, "journal")])
def test_a_trip_of_the_last_four_weeks_is_the_way_to_the_race(arrive: int, source: str) -> None:
    assert found([], journal(trips=[trip(arrive - 1, arrive, "Asia/Tokyo")])).source == source


def test_a_table_of_trips_without_any_says_that_there_was_none_to_this_race_either() -> None:
    book = journal()
    assert found([], book).source == "unknown"
    told = found([], replace(book, no_trips=True))
    assert (told.source, told.zones_h) == ("none", 0.0)
    assert "in the journal, which says that there were none at all; no file" in told.basis
    assert measured(one_window([], replace(book, no_trips=True)))["body_clock_lag_h"].value == 0.0


def test_a_trip_after_the_race_is_not_the_way_to_it() -> None:
    assert found([], journal(trips=[trip(1, 2, "Asia/Tokyo")])).source == "none"


def test_only_what_came_after_the_last_way_home_leads_to_the_race() -> None:
    trips = [
        trip(-20, -19, "Asia/Tokyo"),
        trip(-14, -13, "Europe/Lisbon", "Asia/Tokyo", row=3),
        trip(-3, -2, "Europe/Athens", row=4),
    ]
    told = found([], journal(trips=trips))
    assert (told.zones_h, told.stages) == (2.0, ((2.0, 2),))
    assert told.basis == "trips, row 4: arrival on 2030-06-28 in Europe/Athens from Europe/Lisbon"


def test_a_trip_within_the_home_zone_is_no_way_home() -> None:
    told = found([], journal(trips=[trip(-3, -2, "Europe/Lisbon", "Europe/Lisbon")]))
    assert (told.source, told.zones_h, told.arrive) == ("journal", 0.0, day(-2))
    unsaid = found([], journal(trips=[trip(-3, -2, "Europe/Lisbon", "")]))
    assert (unsaid.source, unsaid.zones_h) == ("journal", 0.0)


def test_files_that_agree_with_the_journal_add_nothing() -> None:
    book = journal(trips=[trip(-4, -3, "Asia/Tokyo")])
    told = found([*HOME_LEGS, *at(TOKYO_AT, -3, 0)], book)
    assert told.basis.endswith("in Asia/Tokyo from Europe/Lisbon")
    assert len(told.legs) == 1


@pytest.mark.parametrize(
    ("legs", "zone", "words"),
    [
        ([*HOME_LEGS, *at(TOKYO_AT, -3, 0)], "Asia/Shanghai", "a time difference of +8.0 h"),
        (
            [*HOME_LEGS, *at(TOKYO_AT, -4, 0)],
            "Asia/Tokyo",
            "a session there on 2030-06-26, before the arrival",
        ),
        (
            [*HOME_LEGS, *at(HOME_AT, -2), *at(TOKYO_AT, 0)],
            "Asia/Tokyo",
            "a session at home on 2030-06-28, after the arrival",
        ),
        (
            [*HOME_LEGS, *at(HOME_AT, -2), *at(TOKYO_AT, 0)],
            "Asia/Shanghai",
            "a time difference of +8.0 h and a session at home on 2030-06-28, after the arrival",
        ),
    ],
)
def test_files_that_say_otherwise_are_quoted(legs: list[LegSummary], zone: str, words: str) -> None:
    told = found(legs, journal(trips=[trip(-4, -3, zone)]))
    assert told.basis == (
        f"trips, row 2: arrival on 2030-06-27 in {zone} from Europe/Lisbon; the files say "
        f"otherwise: {words}"
    )


def test_a_trip_that_only_files_tell() -> None:
    legs = [*HOME_LEGS, *at(TOKYO_AT, -3, 0)]
    told = found(legs)
    assert (told.source, told.zones_h, told.why) == ("files", 8.0, "")
    assert (told.depart, told.arrive, told.stages) == (day(-6), day(-3), ((8.0, 3),))
    # 10,972 km by the haversine formula on a sphere of 6,371 km
    assert told.basis == (
        "no trip in the journal; by the files' start positions last at home on day −6, first away "
        "on day −3, about 10950 km from home"
    )
    assert len(told.legs) == 1
    got = measured(one_window(legs))
    assert got["days_since_arrival"].basis == (
        f"{told.basis}; the athlete may have arrived earlier"
    )
    assert got["travel_km"].basis == (
        "great circle from home, where 42 sessions started, to the start of the race, in steps; "
        "within 50 km is at home"
    )
    assert len(got["travel_km"].legs) == 43
    assert got["arrival_day_h"].basis == "running 60 min"


def test_a_trip_that_only_clocks_tell() -> None:
    legs = [leg(k, file_utc_offset_s=3600.0) for k in range(-56, -4)]
    told = found([*legs, *(leg(k, **CLOCK_9H) for k in (-3, 0))])
    assert told.basis == (
        "no trip in the journal; by the files' clocks last at home on day −5, first away on day −3"
    )
    assert (told.depart, told.arrive, told.stages) == (day(-5), day(-3), ((8.0, 3),))


def test_another_clock_on_race_day_says_only_that() -> None:
    told = found([*(leg(k) for k in range(-56, 0)), leg(0, **CLOCK_9H)])
    assert (told.source, told.zones_h, told.arrive, told.stages) == ("files", 8.0, None, ())
    assert told.basis == "no trip in the journal, and the race file's clock differs from home's"
    assert len(told.legs) == 1
    got = measured(one_window([*(leg(k) for k in range(-56, 0)), leg(0, **CLOCK_9H)]))
    reason = "the files show another clock at the race, and not when it was reached"
    for name in ("days_since_arrival", "arrival_day_h", "body_clock_lag_h"):
        assert got[name].reason == reason
    assert got["travel_direction"].value == "east"


def test_a_race_under_homes_clock() -> None:
    told = found([leg(k, file_utc_offset_s=3600.0) for k in range(-56, 1)])
    assert (told.source, told.zones_h) == ("none", 0.0)
    assert told.basis == "no trip in the journal, and the race file's clock is home's"
    assert len(told.legs) == 1


def test_a_race_near_home() -> None:
    legs = [*HOME_LEGS, *at(NEAR, 0)]
    told = found(legs)
    assert (told.source, told.zones_h) == ("none", 0.0)
    assert told.basis == "the race started at home, no trip"
    assert len(told.legs) == 1
    got = measured(one_window(legs))
    for name in ("travel_h", "days_since_arrival", "arrival_day_h"):
        assert got[name].reason == "there was no trip"
    assert got["travel_direction"].value == "none"
    assert got["body_clock_lag_h"].basis == told.basis
    assert got["body_clock_lag_h"].legs == told.legs


def test_a_race_near_a_new_home() -> None:
    moved = [*at(HOME_AT, *range(-56, -25)), *at(TOKYO_AT, *range(-25, 1))]
    assert found(moved).basis == "the race started at home (home moved before the race), no trip"
    assert measured(one_window(moved))["travel_km"].basis == (
        "great circle from home, where 26 sessions started, to which the athlete moved before the "
        "race, to the start of the race, in steps; within 50 km is at home"
    )


def test_coming_home_before_the_race_is_said() -> None:
    trips = [trip(-20, -19, "Asia/Tokyo"), trip(-6, -5, "Europe/Lisbon", "Asia/Tokyo", row=3)]
    kept = (
        "; the athlete came home on 2030-06-25, and what the body clock kept of that trip is not "
        "counted"
    )
    book = journal(trips=trips)
    assert found([*HOME_LEGS, *at(HOME_AT, 0)], book).basis == (
        f"the race started at home, no trip{kept}"
    )
    silent = found([], book)
    assert (silent.source, silent.zones_h, silent.why) == ("none", 0.0, "")
    assert silent.basis == (
        "no trip to this race in the journal, which tells of other trips; no file of the last days "
        f"has a position or a clock to compare{kept}"
    )


def test_nothing_is_nothing() -> None:
    nothing = "the journal tells of no trips, and no file of the race has a position or a clock"
    assert found([]) == Trip("unknown", None, why=nothing)
    got = measured(one_window([]))
    told = ("travel_h", "zones_crossed", "travel_direction", "days_since_arrival", "arrival_day_h")
    for name in (*told, "body_clock_lag_h"):
        assert got[name].reason == nothing
    assert got["travel_km"].reason == (
        "too few baseline sessions start at one place to call it home"
    )
    assert measured(one_window(HOME_LEGS))["travel_km"].reason == (
        "no file of the race has a position"
    )


def test_days_of_travel_that_files_tell_have_no_day_of_departure() -> None:
    window = one_window([*HOME_LEGS, *at(TOKYO_AT, -3, 0)])
    told = travel_days(window, as_race(window).trip)
    assert told == {-3: "arrive", -2: "away", -1: "away", 0: "away"}
    nothing = one_race([])
    assert travel_days(nothing.window, nothing.trip) == {}
    short = one_window([], journal(trips=[trip(-2, -2, "Asia/Tokyo")]))
    assert travel_days(short, as_race(short).trip) == {-2: "arrive", -1: "away", 0: "away"}
