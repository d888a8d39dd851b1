"""Where home is, where the race was, and what counts as a move, at the limits as stated."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from datetime import date

import pytest

from build import journal, leg, multisport, one_window, race
from raceweek.test_travel import HOME_AT, HOME_LEGS, TOKYO_AT, at
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal
from taperback.raceweek.travel.whereabouts import Whereabouts, whereabouts, zones_between_h

# A degree of latitude is 111.2 km on a sphere of 6,371 km.
KM = 1 / 111.195


def north(km: float) -> dict:
    """A place so far north of home."""
    return HOME_AT | {"start_lat": HOME_AT["start_lat"] + km * KM}


def found(legs: list[LegSummary], book: Journal | None = None) -> Whereabouts:
    return whereabouts(one_window(legs, book or journal()))


def test_home_and_race_by_their_positions() -> None:
    told = found([*HOME_LEGS, *at(TOKYO_AT, -3, -1, 0)])
    assert (told.home_offset_h, told.race_offset_h, told.zones_h) == (1.0, 9.0, 8.0)
    assert (told.first_there, told.last_home, told.moved) == (-3, -6, False)
    assert len(told.home_legs) == 42, "the baseline's days"
    assert len(told.race_legs) == 1
    assert told.distance_km == pytest.approx(10_972, abs=1)


def test_five_sessions_tell_a_home_and_four_do_not() -> None:
    race_there = at(TOKYO_AT, 0)
    five, four = (found([*at(HOME_AT, *range(-30, -30 + n)), *race_there]) for n in (5, 4))
    assert len(five.home_legs) == 5 and five.distance_km > 0
    assert four.home_legs == () and math.isnan(four.distance_km)
    assert (four.first_there, four.last_home) == (None, None)


def test_home_is_one_place_of_fifty_kilometres_that_holds_half_of_the_sessions() -> None:
    near = [*at(HOME_AT, *range(-40, -35)), *at(north(49.97), *range(-35, -30))]
    assert len(found([*near, *at(HOME_AT, 0)]).home_legs) == 10
    apart = [*at(HOME_AT, *range(-40, -35)), *at(north(50.03), *range(-35, -30))]
    assert len(found([*apart, *at(HOME_AT, 0)]).home_legs) == 5, "half is enough"
    places = [*at(HOME_AT, *range(-40, -37)), *at(north(60), *range(-37, -33))]
    places += at(north(120), *range(-33, -30))
    assert found([*places, *at(HOME_AT, 0)]).home_legs == (), "four of ten are not"


@pytest.mark.parametrize(("km", "first_there"), [(99.95, None), (100.05, -2)])
def test_a_hundred_kilometres_from_home_is_away(km: float, first_there: int | None) -> None:
    told = found([*HOME_LEGS, *at(north(km), -2, 0)])
    assert told.first_there == first_there
    assert told.distance_km == pytest.approx(km, rel=1e-3)


@pytest.mark.parametrize(("arrived", "moved"), [(-21, True), (-20, False)])
def test_who_was_there_three_weeks_before_has_moved(arrived: int, moved: bool) -> None:
    legs = [*at(HOME_AT, *range(-56, arrived)), *at(TOKYO_AT, *range(arrived, 1))]
    told = found(legs)
    assert told.moved is moved
    assert told.zones_h == (0.0 if moved else 8.0)
    assert len(told.home_legs) == (1 - arrived if moved else 36)
    assert told.first_there == (None if moved else -20)


def test_a_race_far_from_a_new_home_is_measured_from_the_new_one() -> None:
    legs = [*at(HOME_AT, *range(-56, -30)), *at(TOKYO_AT, *range(-30, 0)), *at(HOME_AT, 0)]
    book = journal(race(0))
    told = found(legs, book)
    assert told.moved is False, "the last stay before the race is home"
    assert told.distance_km == 0.0


@pytest.mark.parametrize(
    ("after", "moved"),
    [
        ([*at(TOKYO_AT, *range(8, 13))], True),
        ([*at(TOKYO_AT, *range(8, 12))], False),
        ([*at(TOKYO_AT, *range(7, 12))], False),
        ([*at(HOME_AT, *range(8, 20))], False),
        ([*at(TOKYO_AT, *range(8, 20)), *at(HOME_AT, 21)], False),
        ([*at(TOKYO_AT | {"start_lat": 43.0}, *range(8, 20))], False),
        ([*at(HOME_AT, 3), *at(TOKYO_AT, *range(8, 13))], True),
    ],
    ids=["stayed", "four", "within a week", "went home", "later", "elsewhere", "looked in"],
)
def test_who_still_trains_there_a_week_after_has_moved(
    after: list[LegSummary], moved: bool
) -> None:
    assert found([*HOME_LEGS, *at(TOKYO_AT, -5, -3, 0), *after]).moved is moved


def test_the_race_is_where_its_first_leg_started_else_the_last_session_before() -> None:
    sports = ("running",)
    legs = [*HOME_LEGS, *at(north(300), -1, at=17), *at(north(500), 0)]
    assert found(legs, journal(race(sports=sports))).distance_km == pytest.approx(500, rel=1e-3)
    silent = [*HOME_LEGS, *at(north(300), -1, at=17), leg(0)]
    assert found(silent, journal(race(sports=sports))).distance_km == pytest.approx(300, rel=1e-3)
    early = [*HOME_LEGS, *at(north(300), -2), leg(0)]
    told = found(early, journal(race(sports=sports)))
    assert math.isnan(told.distance_km) and told.race_legs == ()


def test_home_under_another_clock_than_the_typed_zone() -> None:
    """Files without position, always 5 h behind Lisbon: that is home's clock, by five of them."""
    behind = {"file_utc_offset_s": -4 * 3600.0}
    told = found([leg(k, **behind) for k in (-30, -29, -28, -27, -26, 0)])
    assert (told.home_offset_h, told.race_offset_h, told.zones_h) == (-4.0, -4.0, 0.0)
    four = found([leg(k, **behind) for k in (-30, -29, -28, -27, 0)])
    assert (four.home_offset_h, four.zones_h) == (1.0, -5.0)


def test_a_clock_at_the_other_end_of_the_world_is_homes_to_the_hour() -> None:
    """Honolulu typed (-10 h), all files under Auckland's clock (+12 h in June): 22 h ahead."""
    book = replace(journal(), athlete=replace(journal().athlete, home_zone="Pacific/Honolulu"))
    told = found(
        [leg(k, file_utc_offset_s=12 * 3600.0) for k in (-30, -29, -28, -27, -26, 0)], book
    )
    assert (told.home_offset_h, told.race_offset_h, told.zones_h) == (12.0, 12.0, 0.0)


@pytest.mark.parametrize("machine", ["UTC", "Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_on_the_day_of_a_clock_change_noon_counts_whatever_the_machines_clock(
    machine: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Lisbon's clock goes on by an hour at 01:00 UTC of 2030-03-31, back on 2030-10-27."""
    monkeypatch.setenv("TZ", machine)
    time.tzset()
    try:
        spring, autumn = date(2030, 3, 31), date(2030, 10, 27)
        assert zones_between_h("Asia/Tokyo", "Europe/Lisbon", spring) == -8.0
        assert zones_between_h("Asia/Tokyo", "Europe/Lisbon", date(2030, 3, 30)) == -9.0
        assert zones_between_h("Asia/Tokyo", "Europe/Lisbon", autumn) == -9.0
        assert zones_between_h("Asia/Tokyo", "Europe/Lisbon", date(2030, 10, 26)) == -8.0
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_race_of_several_legs_is_where_the_first_one_started() -> None:
    """It swims at home's lake, rides away and runs 300 km off."""
    places = (HOME_AT, north(40), north(300))
    parts = multisport(0, ("swimming", 0.5), ("cycling", 2.0), ("running", 1.0))
    legs = [replace(one, **place) for one, place in zip(parts, places, strict=True)]
    told = found([*HOME_LEGS, *legs], journal(race(sports=("swimming", "cycling", "running"))))
    assert told.distance_km == 0.0
    assert len(told.race_legs) == 1


def test_nothing_known_is_nothing() -> None:
    told = found([leg(k) for k in range(-56, 1)])
    assert math.isnan(told.distance_km) and math.isnan(told.race_offset_h)
    assert told.home_offset_h == 1.0
    assert (told.first_there, told.last_home, told.moved) == (None, None, False)
    assert (told.home_legs, told.race_legs) == ((), ())


def test_a_race_that_begins_life_at_the_new_home_is_its_only_session_before() -> None:
    told = found([*HOME_LEGS, *at(TOKYO_AT, 0, *range(8, 13))])
    assert told.moved is True
    assert (len(told.home_legs), told.zones_h, told.distance_km) == (1, 0.0, 0.0)


def test_without_a_file_of_the_race_the_day_before_tells_its_clock() -> None:
    sports = ("cycling",)
    assert found([*HOME_LEGS, *at(TOKYO_AT, -1)], journal(race(sports=sports))).zones_h == 8.0
    early = found([*HOME_LEGS, *at(TOKYO_AT, -2)], journal(race(sports=sports)))
    assert math.isnan(early.zones_h)
