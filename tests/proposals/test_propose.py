"""What files propose for a journal, and what they do not."""

from __future__ import annotations

from build import day, habit, imported, journal, leg, race, trip
from proposals.triathlons import triathlon
from taperback.proposals.propose import propose


def test_days_that_the_journal_tells_of_are_left_alone():
    book = journal(race(0), nights={-1: 7.0})
    found = propose(imported([*habit(), *triathlon(0)], {-1: 6.5, -2: 7.25}), book)
    assert found.races == ()
    assert found.nights == (
        {"date": day(-2).isoformat(), "sleep_h": "7.25", "proposed": "asleep by sleep.fit"},
    )


HOME = {"start_lat": 40.0, "start_lon": -8.0, "zone": "Europe/Lisbon"}
AWAY = {"start_lat": 35.7, "start_lon": 139.7, "zone": "Asia/Tokyo"}
ABROAD = [*(leg(k, **HOME) for k in range(-56, -4)), *(leg(k, **AWAY) for k in (-4, -2, 0))]


def test_a_trip_to_a_race_is_proposed_once_and_not_over_a_typed_one():
    (row,) = propose(imported(ABROAD), journal(race(0))).trips
    assert (row["depart_date"], row["arrive_date"]) == (day(-5).isoformat(), day(-4).isoformat())
    assert (row["from_zone"], row["to_zone"]) == ("Europe/Lisbon", "Asia/Tokyo")
    typed = journal(race(0), trips=[trip(-5, -4, "Asia/Tokyo")])
    assert propose(imported(ABROAD), typed).trips == ()


def test_from_the_samples_files_alone_all_races_and_the_trip_are_proposed(sample, truth):
    found = propose(*sample)
    assert [row["date"] for row in found.races] == [race["date"].isoformat() for race in truth]
    assert {row["distance"] for row in found.races} == {"olympic"}
    (row,) = found.trips
    assert (row["arrive_date"], row["to_zone"]) == ("2025-09-04", "Asia/Dhaka")
    assert len(found.nights) == len(sample[0].nights)
