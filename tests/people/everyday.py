"""An athlete with an everyday life, planted: training of 5.9 h a week beside commutes and strength.

All arithmetic of what is planted is here and uses nothing of the tool. Three races, each with six
usual weeks, a week of 90% and a race week that is cut by 42, 36 and 48%. Every usual week holds a
run of intervals and a ride of intervals; every day a commute on an e-bike and two on foot.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from build import DAY0, HARD_BPM, leg
from taperback.importer.model import LegSummary

CUTS = (0.42, 0.36, 0.48)
RACES = (0, 120, 240)
"""Days of the races, counted from `DAY0`."""
USUAL_H = 5.9
WEEK = (  # day of the week, sport, hours, hard minutes
    (0, "running", 0.9, 0.0),
    (1, "running", 0.8, 12.0),
    (3, "cycling", 1.2, 0.0),
    (4, "cycling", 1.0, 16.0),
    (6, "cycling", 2.0, 0.0),
)
HARD_MIN = 28.0
"""Of a usual week; race week keeps them all."""
FLAGS = [("late", 3)]
"""The ride of day -3 keeps its 16 hard minutes, where up to 10 pass as an opener."""
OTHER_H = 7 * (2 * 0.4 + 2 * 0.25) + 1.0 + 1.0
"""A week: e-bike and walks twice a day, strength and yoga once."""
EASY = {"walking": 105, "e_biking": 100, "training": 110}


def race_day(place: int) -> date:
    return DAY0 + timedelta(days=RACES[place])


def training() -> list[LegSummary]:
    """Running and cycling before every race, and the races."""
    legs = []
    for place, cut in enumerate(CUTS):
        for week in range(-8, 0):
            share = 1 - cut if week == -1 else 1.0
            for weekday, sport, hours, hard in WEEK:
                day = 7 * week + weekday
                legs.append(_leg(place, day, sport, hours * share, hard_min=hard))
        legs.append(_leg(place, 0, "running", 1.5, hard_min=60.0))
        legs.append(_leg(place, 2, "running", 0.5))
    return legs


def life() -> list[LegSummary]:
    """What everybody does beside: commutes each day, strength on Tuesdays, yoga on Sundays."""
    legs = []
    for place in range(len(RACES)):
        for day in range(-56, 3):
            for at in (7.0, 17.0):
                legs.append(_leg(place, day, "e_biking", 0.4, at=at, beats=EASY["e_biking"]))
                legs.append(_leg(place, day, "walking", 0.25, at=at + 0.6, beats=EASY["walking"]))
            if day % 7 in (1, 6):
                kind = "strength_training" if day % 7 == 1 else "yoga"
                beats = EASY["training"]
                legs.append(_leg(place, day, "training", 1.0, at=20, beats=beats, sub_sport=kind))
    return legs


def _leg(
    place: int, day: int, sport: str, hours: float, *, beats: int = 0, at: float = 12.0, **more: Any
) -> LegSummary:
    """A leg with easy and hard beats as `build.leg` has them, or with `beats` throughout."""
    made = leg(day, sport, hours, day0=race_day(place), at=at, **more)
    if not beats:
        return made
    rates = made.heart_rate_seconds
    assert rates is not None
    rates[:] = 0
    rates[min(beats, HARD_BPM)] = int(3600 * hours)
    return made
