"""Races are found in legs where the sports, distances and speeds are those of a race."""

from __future__ import annotations

import time
from dataclasses import replace

import pandas as pd
import pytest

from build import day, habit, imported, leg, multisport
from proposals.triathlons import METRES, triathlon
from taperback.journal.model import NIGHT_COLUMNS, RACE_COLUMNS, TRIP_COLUMNS, Athlete, Journal
from taperback.proposals.races import race_rows, with_races


def races(legs):
    return tuple(race_rows(imported(legs).legs))


def test_a_triathlon_in_one_file_is_proposed_with_its_evidence():
    assert races([*habit(), *triathlon(0)]) == (
        {
            "date": day(0).isoformat(),
            "sports": "triathlon",
            "distance": "olympic",
            "proposed": "triathlon of 2:16:12 in multi0.fit",
        },
    )


def test_a_triathlon_in_one_file_a_sport_is_proposed():
    parts = [
        replace(part, file=f"{part.sport}.fit", digest=part.sport, leg_index=0, legs_in_file=1)
        for part in triathlon(0)
        if part.sport != "transition"
    ]
    (row,) = races([*habit(), *parts])
    assert row["proposed"] == "triathlon of 2:16:12 in swimming.fit and 2 more"


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
    assert with_races(journal, race_rows(legs)).races["sports"].tolist() == [
        ("running",),
        ("swimming", "cycling", "running"),
    ]


def test_a_long_history_is_searched_in_little_time():
    legs = imported(habit()).legs
    many = pd.concat([legs] * (6000 // len(legs)), ignore_index=True)
    before = time.process_time()
    race_rows(many)
    assert time.process_time() - before < 5, "each run against each takes a minute"
