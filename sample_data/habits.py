"""What those of one discipline do in an ordinary week, in a race week, and in a panic."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Place = tuple[int, str]
"""A day, 0 being seven days before a race, and a sport."""


@dataclass(frozen=True)
class Habit:
    """What those of one discipline do.

    Attributes:
        sports: what they train. race, distance: their races, as the journal has them.
        legs: of a race: sport, share of the finish time (nought for the rest of it; of a change
            between two legs its seconds), share of the second threshold.
        usual: hours of an ordinary week, to be scaled. usual_hard: its hard work.
        race_week: hours of a race week, to be scaled. race_hard: where its hard work lies.
        panic: hours of a race week in a panic. panic_hard: its hard work, nought for the race's.
        flags: what a rule should catch of it: days before the race, rule, sport.
    """

    sports: tuple[str, ...]
    race: str
    distance: str
    legs: tuple[tuple[str, float, float], ...]
    usual: Mapping[Place, float]
    usual_hard: Mapping[Place, int]
    race_week: Mapping[Place, float]
    race_hard: tuple[Place, ...]
    panic: Mapping[Place, float] = field(default_factory=dict)
    panic_hard: Mapping[Place, int] = field(default_factory=dict)
    flags: tuple[tuple[int, str, str], ...] = ()


HABITS = {
    "triathlon": Habit(
        sports=("swimming", "cycling", "running"),
        race="triathlon",
        distance="olympic",
        legs=(
            ("swimming", 0.19, 0.97),
            ("transition", 75, 0.5),
            ("cycling", 0.0, 0.93),
            ("transition", 60, 0.5),
            ("running", 0.305, 0.96),
        ),
        usual={
            (0, "running"): 1.55,
            (1, "swimming"): 1.0,
            (2, "running"): 1.15,
            (3, "cycling"): 1.9,
            (4, "swimming"): 1.0,
            (4, "running"): 0.8,
            (6, "cycling"): 3.1,
        },
        usual_hard={(2, "running"): 5, (4, "swimming"): 8, (6, "cycling"): 15},
        race_week={
            (0, "running"): 0.9,
            (1, "swimming"): 0.62,
            (2, "running"): 0.85,
            (3, "cycling"): 1.7,
            (4, "swimming"): 0.55,
            (5, "cycling"): 0.55,
            (6, "cycling"): 0.58,
            (6, "running"): 0.33,
        },
        race_hard=((2, "running"), (4, "swimming"), (3, "cycling")),
        # a ride longer than any before, twice the usual repetitions, hard blocks two days out
        panic={
            (0, "running"): 0.7,
            (1, "swimming"): 0.7,
            (2, "cycling"): 4.0,
            (3, "running"): 1.35,
            (4, "swimming"): 0.8,
            (5, "cycling"): 1.3,
            (6, "running"): 0.45,
        },
        panic_hard={(3, "running"): 8, (4, "swimming"): 8, (5, "cycling"): 0},
        flags=(
            (5, "long", "cycling"),
            (4, "hard", "running"),
            (3, "late", "swimming"),
            (2, "late", "cycling"),
        ),
    ),
    "running": Habit(
        sports=("running",),
        race="running",
        distance="half marathon",
        legs=(("running", 0.0, 0.95),),
        usual={
            (0, "running"): 1.0,
            (1, "running"): 0.7,
            (2, "running"): 1.1,
            (4, "running"): 0.9,
            (5, "running"): 0.7,
            (6, "running"): 1.6,
        },
        usual_hard={(2, "running"): 6},
        race_week={
            (0, "running"): 1.0,
            (1, "running"): 0.7,
            (2, "running"): 1.1,
            (4, "running"): 0.8,
            (6, "running"): 0.5,
        },
        race_hard=((2, "running"),),
    ),
    "cycling": Habit(
        sports=("cycling",),
        race="cycling",
        distance="40 km",
        legs=(("cycling", 0.0, 0.93),),
        usual={
            (0, "cycling"): 1.5,
            (1, "cycling"): 1.2,
            (2, "cycling"): 1.8,
            (4, "cycling"): 1.5,
            (6, "cycling"): 3.4,
        },
        usual_hard={(2, "cycling"): 20},
        race_week={
            (0, "cycling"): 1.5,
            (2, "cycling"): 1.8,
            (4, "cycling"): 1.2,
            (6, "cycling"): 0.7,
        },
        race_hard=((2, "cycling"),),
    ),
}
"""Habit by discipline."""
