"""Where an athlete lives cannot be computed from what is handed on, though races have places."""

from __future__ import annotations

import re

import numpy as np
import pytest

from build import imported, journal, leg, race
from taperback.common.geodesy import great_circle_m
from taperback.raceweek.table import race_weeks

HOME = (40.2134, -8.4271)
RACES = {0: (41.1496, -8.6110), 100: (38.7223, -9.1393), 200: (40.6405, -7.9022)}
"""Public places, 105, 177 and 65 km from home."""


def told() -> dict[int, tuple[float, str]]:
    """Race -> the distance that is told, and all that is said beside it."""
    legs = []
    for day, place in RACES.items():
        home = {"start_lat": HOME[0], "start_lon": HOME[1], "zone": "Europe/Lisbon"}
        legs += [leg(day + k, **home, hours=0.7) for k in range(-56, 0)]
        legs.append(leg(day, start_lat=place[0], start_lon=place[1], zone="Europe/Lisbon", hours=2))
    weeks = race_weeks(imported(legs), journal(*(race(day) for day in RACES)))
    return {
        day: (
            float(week.measures["travel_km"].value or 0),
            " ".join(measured.basis for measured in week.measures.values()),
        )
        for day, week in zip(RACES, weeks, strict=True)
    }


def homes(distances: dict[int, float], half_step: dict[int, float]) -> np.ndarray:
    """Where home may be: points (lat, lon) a kilometre apart that fit all that is told."""
    lat, lon = np.meshgrid(np.arange(39, 41.5, 0.01), np.arange(-10, -7, 0.012), indexing="ij")
    fits = np.ones(lat.shape, bool)
    for day, km in distances.items():
        away = great_circle_m(lat, lon, *RACES[day]) / 1000
        fits &= np.abs(away - km) <= half_step[day]
    return np.column_stack([lat[fits], lon[fits]])


def furthest_km(points: np.ndarray) -> float:
    return float(great_circle_m(points[:, 0], points[:, 1], *HOME).max() / 1000)


def test_exact_distances_to_three_races_would_give_home_away() -> None:
    exact = {day: float(great_circle_m(*HOME, *place)) / 1000 for day, place in RACES.items()}
    assert furthest_km(homes(exact, dict.fromkeys(RACES, 1.0))) < 3


def test_what_is_told_leaves_home_open_over_many_kilometres() -> None:
    distances = {day: km for day, (km, _) in told().items()}
    assert distances == {0: 100.0, 100: 200.0, 200: 70.0}
    points = homes(distances, {0: 25.0, 100: 25.0, 200: 5.0})
    assert furthest_km(points) > 15
    assert len(points) > 200, "square kilometres"


def test_nothing_said_beside_it_tells_the_distance_more_closely() -> None:
    for _, words in told().values():
        for km in re.findall(r"([\d.]+) km", words):
            assert float(km) % 10 == 0, km


@pytest.mark.parametrize(("km", "shown"), [(49, 0), (52, 50), (96, 100), (104, 100), (126, 150)])
def test_steps(km: float, shown: float) -> None:
    from taperback.raceweek.travel.whereabouts import Whereabouts

    there = Whereabouts(float(km), 0.0, 0.0, None, None, False, (), ())
    assert there.shown_km == shown
    assert there.shown_distance == (f"about {shown} km from home" if shown else "at home")
