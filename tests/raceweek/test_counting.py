"""What counts as training, and hours by what was done."""

from __future__ import annotations

import pytest

from build import NAN, imported, leg
from taperback.journal.sports import Sport
from taperback.raceweek.window.counting import (
    activity,
    activity_words,
    counted,
    counts,
    hours_by_activity,
    hours_words,
)

RIDES = (Sport("cycling"),)


@pytest.mark.parametrize(
    ("sport", "sub_sport", "typed", "expected"),
    [
        ("running", "", (), True),
        ("walking", "", (), False),
        ("transition", "", (Sport("transition"),), False),
        ("cycling", "road", RIDES, True),
        ("cycling", "e_bike_fitness", RIDES, False),
        ("cycling", "e_bike_mountain", (Sport("e_biking"),), True),
        ("cycling", "road", (Sport("e_biking"),), False),
        ("running", "", RIDES, False),
        ("training", "yoga", (Sport("training", "yoga"),), True),
        ("training", "pilates", (Sport("training", "yoga"),), False),
        ("training", "pilates", (Sport("training"),), True),
        ("training", "", (Sport("training", "yoga"),), False),
    ],
)
def test_what_counts(sport: str, sub_sport: str, typed: tuple[Sport, ...], expected: bool) -> None:
    assert counts(sport, sub_sport, typed) is expected


@pytest.mark.parametrize(
    ("sport", "sub_sport", "name", "words"),
    [
        ("cycling", "e_bike_fitness", "e_biking", "e-biking"),
        ("e_biking", "", "e_biking", "e-biking"),
        ("training", "strength_training", "strength_training", "strength training"),
        ("fitness_equipment", "stair_climbing", "stair_climbing", "stair climbing"),
        ("generic", "match", "match", "match"),
        ("training", "", "training", "training"),
        ("running", "trail", "running", "running"),
        ("generic", "", "generic", "no sport named"),
        ("", "", "generic", "no sport named"),
    ],
)
def test_what_was_done_has_a_name_and_words(
    sport: str, sub_sport: str, name: str, words: str
) -> None:
    assert activity(sport, sub_sport) == name
    assert activity_words(name) == words


LEGS = [
    leg(-9, "running", 1.0),
    leg(-8, "running", 0.5, sub_sport="trail"),
    leg(-7, "cycling", 4.0),
    leg(-6, "cycling", 12.0, sub_sport="e_bike_fitness"),
    leg(-5, "walking", 2.0, moving_s=NAN),
    leg(-4, "walking", 1.0, moving_s=0.4 * 3600),
    leg(-3, "transition", 0.2),
    leg(-2, "swimming", 1.0, moving_s=NAN, elapsed_s=NAN),
]


def test_hours_by_activity_come_with_the_most_first() -> None:
    """Moving time, else elapsed time; what has neither adds nothing; no transition is any."""
    training, besides = hours_by_activity(imported(LEGS).legs, ())
    assert list(training.items()) == [("cycling", 4.0), ("running", 1.5), ("swimming", 0.0)]
    assert list(besides.items()) == [("e_biking", 12.0), ("walking", 2.4)]
    assert hours_words(training) == "cycling 4.0 h, running 1.5 h, swimming 0.0 h"
    assert hours_words(besides) == "e-biking 12 h, walking 2.4 h"
    assert hours_words({"running": 10.0, "cycling": 9.94}) == "running 10 h, cycling 9.9 h"
    assert hours_words({}) == ""


def test_the_athletes_own_sports_part_the_hours_anew() -> None:
    training, besides = hours_by_activity(imported(LEGS).legs, (Sport("walking"),))
    assert training == {"walking": 2.4}
    assert besides == {"e_biking": 12.0, "cycling": 4.0, "running": 1.5, "swimming": 0.0}


def test_legs_are_marked_in_their_own_order() -> None:
    legs = imported(LEGS).legs
    marked = counted(legs, RIDES)
    assert marked.index.equals(legs.index)
    assert marked.tolist() == [one.sport == "cycling" and not one.sub_sport for one in LEGS]
