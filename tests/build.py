"""Small hand-made athletes: legs, nights and journals in a few words.

    week = one_window([leg(-3, "running", 1.0, hard_min=10)], journal())

Days are counted from `DAY0`. Easy time is ridden and run at 130 bpm, hard time at 175 bpm; the
journal's threshold is 165 bpm, so hard minutes are what was asked for.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pandas as pd

from taperback.importer.history import FILE_COLUMNS
from taperback.importer.local_day import place_legs
from taperback.importer.model import (
    BEST_DURATIONS_S,
    NIGHT_COLUMNS,
    Imported,
    LegSummary,
    legs_frame,
)
from taperback.journal import model as typed
from taperback.journal.columns import TABLES
from taperback.raceweek.race import Race, races_of
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.window import Window

DAY0 = date(2030, 6, 30)
HOME = "Europe/Lisbon"
NAN = float("nan")
EASY_BPM, HARD_BPM, THRESHOLD_BPM = 130, 175, 165


def day(days_to_race: int) -> date:
    return DAY0 + timedelta(days=days_to_race)


def leg(
    days_to_race: int,
    sport: str = "running",
    hours: float = 1.0,
    *,
    hard_min: float | None = 0.0,
    at: float = 8.0,
    day0: date = DAY0,
    file: str = "",
    **changes: Any,
) -> LegSummary:
    """One leg that starts at `at` o'clock UTC; `hard_min=None` leaves the heart rate out."""
    start = datetime.combine(day0 + timedelta(days=days_to_race), datetime.min.time(), UTC)
    start += timedelta(hours=at)
    file = file or f"{start:%Y-%m-%d-%H%M}-{sport}.fit"
    seconds = hours * 3600
    rates = None
    if hard_min is not None:
        rates = np.zeros(HARD_BPM + 1, int)
        rates[EASY_BPM], rates[HARD_BPM] = seconds - hard_min * 60, hard_min * 60
    values: dict[str, Any] = {
        "file": file,
        "digest": hashlib.sha256(file.encode()).hexdigest(),
        "leg_index": 0,
        "legs_in_file": 1,
        "file_format": "fit",
        "sport": sport,
        "start_utc": start,
        "elapsed_s": seconds,
        "moving_s": seconds,
        "distance_m": seconds * 3.0,
        "heart_rate_seconds": rates,
    }
    return LegSummary(**(not_recorded() | values | changes))


def not_recorded() -> dict[str, Any]:
    """What a plain file leaves open about a leg."""
    numbers = """
        file_utc_offset_s ascent_m mean_heart_rate_bpm max_heart_rate_bpm mean_power_w pool_length_m
        start_lat start_lon end_lat end_lon session_rpe feel
    """
    best = ("best_power_w", "best_speed_mps")
    halves = ("half_speed_mps", "half_power_w", "half_heart_rate_bpm")
    return {
        **dict.fromkeys(numbers.split(), NAN),
        **{name: np.full(len(BEST_DURATIONS_S), NAN) for name in best},
        **{name: np.full(2, NAN) for name in halves},
        **dict.fromkeys(("sub_sport", "zone"), ""),
        **dict.fromkeys(("power_seconds", "speed_seconds")),
        "bouts": (),
        "remarks": (),
        "file_thresholds": {},
        "removed_s": {},
        "damaged": False,
    }


def multisport(days_to_race: int, *parts: tuple[str, float], at: float = 8.0) -> list[LegSummary]:
    """The legs of one multisport file, one after the other, as (sport, hours)."""
    legs = []
    for index, (sport, hours) in enumerate(parts):
        changes = {"leg_index": index, "legs_in_file": len(parts)}
        legs.append(
            leg(days_to_race, sport, hours, at=at, file=f"multi{days_to_race}.fit", **changes)
        )
        at += hours
    return legs


def habit(hours: float = 1.0, sport: str = "running", *, hard_min: float = 6.0) -> list[LegSummary]:
    """A session every day of the baseline and of week -2."""
    return [leg(k, sport, hours, hard_min=hard_min) for k in range(-56, -7)]


def going_on(legs: list[LegSummary]) -> list[LegSummary]:
    """The same files and one of the day after the race, without which the last days are unknown."""
    return [*legs, leg(1, "walking", file="the-day-after.fit")] if legs else []


def imported(legs: list[LegSummary], nights: dict[int, float] | None = None) -> Imported:
    """The legs placed in the calendar; `nights` are hours by days to the race, from a file."""
    placed = place_legs(legs_frame(legs), HOME)
    rows = [(day(k), h, NAN, "file", "sleep.fit") for k, h in sorted((nights or {}).items())]
    nothing = pd.DataFrame()
    return Imported(
        legs=placed.sort_values(["start_utc", "leg_id"], ignore_index=True),
        nights=pd.DataFrame(rows, columns=list(NIGHT_COLUMNS)).astype({"sleep_h": float}),
        files=pd.DataFrame(columns=list(FILE_COLUMNS)),
        copies=nothing,
        notices=(),
    )


def race(days: int = 0, **cells: Any) -> dict[str, Any]:
    """A row of the journal's races; only what is named is typed."""
    absent = TABLES["races"].absent
    return {**absent, "row": 2, "date": day(days), "expected_source": ""} | cells


def trip(depart: int, arrive: int, to_zone: str, from_zone: str = HOME, **cells: Any) -> dict:
    """A row of the journal's trips, days counted from the race."""
    fixed = {"row": 2, "depart_date": day(depart), "arrive_date": day(arrive)}
    zones = {"from_zone": from_zone, "to_zone": to_zone, "travel_h": NAN, "mode": "", "notes": ""}
    return fixed | zones | cells


def journal(
    *races: dict[str, Any],
    nights: dict[int, float] | None = None,
    trips: list[dict] | None = None,
    periods: tuple[typed.Period, ...] = (),
    **athlete: Any,
) -> typed.Journal:
    """A journal with those races (one on day 0 if none), nights by days to the race, and trips."""
    threshold = typed.Threshold(
        date(2020, 1, 1), "", "second_threshold_heart_rate_bpm", THRESHOLD_BPM
    )
    person = typed.Athlete(
        "Ada Example", HOME, periods=periods, **({"thresholds": (threshold,)} | athlete)
    )
    rows = sorted(races or (race(),), key=lambda row: (row["date"], row["row"]))
    slept = [(2, day(k), h, NAN, "") for k, h in sorted((nights or {}).items())]
    return typed.Journal(
        person,
        pd.DataFrame(rows, columns=list(typed.RACE_COLUMNS)),
        pd.DataFrame(slept, columns=list(typed.NIGHT_COLUMNS)).astype({"sleep_h": float}),
        pd.DataFrame(trips or [], columns=list(typed.TRIP_COLUMNS)),
    )


def one_window(
    legs: list[LegSummary], book: typed.Journal | None = None, nights: dict | None = None
) -> Window:
    """The window of the first race, of an athlete whose files go on after it."""
    return windows(imported(going_on(legs), nights), book or journal())[0]


def as_race(window: Window) -> Race:
    """The race of a window, as if the athlete had no other."""
    return races_of([window])[0]


def one_race(
    legs: list[LegSummary], book: typed.Journal | None = None, nights: dict | None = None
) -> Race:
    """The first race, of an athlete whose files go on after it."""
    return as_race(one_window(legs, book, nights))
