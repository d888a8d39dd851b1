"""Races are found in legs where the sports, distances and speeds are those of a race."""

from __future__ import annotations

import time
from dataclasses import replace

import pandas as pd
import pytest

from build import day, habit, imported, leg, multisport
from proposals.triathlons import METRES, triathlon
from taperback.journal.model import NIGHT_COLUMNS, RACE_COLUMNS, TRIP_COLUMNS, Athlete, Journal
from taperback.journal.proposed import with_proposed
from taperback.proposals.races import race_rows


def races(legs):
    return tuple(race_rows(imported(legs).legs))


def test_a_triathlon_in_one_file_is_proposed_with_its_evidence():
    assert races([*habit(), *triathlon(0)]) == (
        {
            "date": day(0).isoformat(),
            "sports": "triathlon",
            "distance": "olympic",
            "finish_time": "2:16:12",
            "proposed": "triathlon of 2:16:12 in multi0.fit; finish_time is the file's",
        },
    )


def test_a_triathlon_in_one_file_a_sport_is_proposed():
    parts = [
        replace(part, file=f"{part.sport}.fit", digest=part.sport, leg_index=0, legs_in_file=1)
        for part in triathlon(0)
        if part.sport != "transition"
    ]
    (row,) = races([*habit(), *parts])
    assert row["proposed"].startswith("triathlon of 2:16:12 in swimming.fit and 2 more")


def test_a_day_of_three_sports_far_apart_is_training():
    apart = [leg(0, "swimming", 0.5, at=6), leg(0, "cycling", 1.2, at=12), leg(0, at=18)]
    sized = [replace(part, distance_m=METRES[part.sport]) for part in apart]
    assert races([*habit(), *sized]) == ()


def test_a_brick_and_an_odd_distance_are_no_races():
    brick = multisport(0, ("cycling", 1.0), ("transition", 0.05), ("running", 0.4))
    assert races([*habit(), *brick, *triathlon(-9, cycling=65_000.0)]) == ()


def run(when: int, metres: float, speed_mps: float):
    return leg(when, hours=metres / speed_mps / 3600, distance_m=metres, at=15)


def test_a_run_over_a_racing_distance_far_from_the_habit_is_proposed():
    (row,) = races([*habit(), run(0, 10_080, 3.6)])
    assert (row["sports"], row["distance"]) == ("running", "10 km")
    assert row["proposed"].startswith("10 km in 0:46:40, 20% faster than the usual run")


@pytest.mark.parametrize(
    ("metres", "speed_mps"),
    [(10_080, 3.1), (9_500, 3.6), (10_500, 3.6)],
    ids=["as fast as usual", "too short", "too long"],
)
def test_other_runs_are_not_proposed(metres, speed_mps):
    assert races([*habit(), run(0, metres, speed_mps)]) == ()


def test_of_two_fast_runs_only_the_fastest_as_long_is_a_race():
    (row,) = races([*habit(), run(0, 10_000, 3.6), run(-9, 10_000, 3.5)])
    assert row["date"] == day(0).isoformat()


def test_a_proposed_race_has_its_sports():
    legs = imported([*habit(), run(-9, 10_080, 3.6), *triathlon(0)]).legs
    absent = (pd.DataFrame(columns=list(c)) for c in (RACE_COLUMNS, NIGHT_COLUMNS, TRIP_COLUMNS))
    journal = Journal(Athlete("Ada", "Europe/Lisbon"), *absent)
    assert with_proposed(journal, {"races": race_rows(legs)}).races["sports"].tolist() == [
        ("running",),
        ("swimming", "cycling", "running"),
    ]


def test_a_long_history_is_searched_in_little_time():
    legs = imported(habit()).legs
    many = pd.concat([legs] * (6000 // len(legs)), ignore_index=True)
    before = time.process_time()
    race_rows(many)
    assert time.process_time() - before < 5, "each run against each takes a minute"


def weeks(first: int, last: int, per_week=((1, 12), (3, 12), (5, 30)), speed_mps=3.0):
    """Runs of so many km on these days of each week from day `first` to day `last`."""
    return [
        run(day_of, 1000 * km, speed_mps)
        for start in range(first, last + 1, 7)
        for weekday, km in per_week
        if first <= (day_of := start + weekday) <= last
    ]


def test_a_marathon_no_faster_than_daily_runs_shows_by_what_came_before_and_after():
    training = [*weeks(-70, -8), run(-4, 6000, 3.0), run(6, 5000, 3.0), *weeks(14, 40)]
    (row,) = races([*training, run(0, 42_300, 2.95)])
    assert (row["distance"], row["finish_time"]) == ("marathon", "3:58:59")
    assert row["proposed"].startswith(
        "marathon in 3:58:59, 89% less running in the week before, 91% less in the week after, in "
    )
    assert "leave_out" not in row


def test_a_training_run_over_the_distance_amid_usual_weeks_is_no_race():
    assert races([*weeks(-70, 40), run(0, 41_850, 2.95)]) == ()


def test_a_track_measured_one_percent_short_is_still_the_distance():
    training = [*weeks(-70, -8), run(-4, 6000, 3.0), run(6, 5000, 3.0), *weeks(14, 40)]
    (row,) = races([*training, run(0, 41_780, 3.4)])
    assert row["distance"] == "marathon"


def test_records_that_end_with_the_race_say_nothing_of_the_week_after():
    assert races([*weeks(-70, -8), run(0, 42_300, 2.9)]) == ()
    (row,) = races([*weeks(-70, -8), run(0, 42_300, 3.2)])
    assert "in the week after" not in row["proposed"]


def test_an_effort_far_longer_than_any_training_is_proposed_whatever_its_distance():
    training = [*weeks(-70, -8), run(-4, 6000, 3.0), run(6, 5000, 3.0), *weeks(14, 40)]
    (row,) = races([*training, run(0, 73_000, 2.2)])
    assert (row["distance"], row["finish_time"]) == ("73 km", "9:13:02")
    assert "3.3 times as long as the long sessions of training" in row["proposed"]


def test_stages_on_days_in_a_row_are_one_event():
    training = [*weeks(-70, -8), run(-4, 6000, 3.0), run(9, 5000, 3.0), *weeks(14, 40)]
    rows = races([*training, run(0, 60_000, 2.0), run(1, 55_000, 2.0), run(2, 62_000, 2.0)])
    assert [row["date"] for row in rows] == [day(k).isoformat() for k in range(3)]
    assert {row["event"] for row in rows} == {f"stages from {day(0).isoformat()}"}


def test_a_race_in_two_files_is_one():
    training = [*weeks(-70, -8), run(-4, 6000, 3.0), run(6, 5000, 3.0), *weeks(14, 40)]
    halves = [
        leg(0, hours=3.0, distance_m=24_000, at=6, file="a.gpx"),
        leg(0, hours=2.4, distance_m=18_400, at=9.1, file="b.gpx"),
    ]
    (row,) = races([*training, *halves])
    assert (row["distance"], row["finish_time"]) == ("marathon", "5:30:00")
    assert "in a.gpx and 1 more" in row["proposed"]


def test_several_starts_of_a_day_are_proposed_each():
    def swim(when, metres, mps, at, name=""):
        hours = metres / mps / 3600
        return leg(when, "swimming", hours, distance_m=metres, at=at, file=name)

    training = [swim(k, 3000, 1.1, 6) for k in range(-56, -2, 2)]
    meet = [swim(0, 1800, 1.0, 7), swim(0, 100, 1.6, 9, "a.fit"), swim(0, 200, 1.5, 11, "b.fit")]
    rows = races([*training, *meet, swim(3, 3000, 1.1, 6)])
    assert [row["distance"] for row in rows] == ["100 m", "200 m"]


def test_a_doubtful_race_is_left_out_until_someone_confirms_it():
    rested = [*weeks(-70, -8), run(-4, 3000, 3.0), run(6, 3000, 3.0), *weeks(14, 40)]
    (row,) = races([*rested, run(0, 10_050, 3.25)])
    assert row["leave_out"] == "not sure it was a race: empty this cell if it was"
