"""Every race with every measure: the one list of factors, and the races as a table."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import pandas as pd

from taperback.common.quantities import QUANTITIES
from taperback.importer.model import Imported
from taperback.journal.model import Journal
from taperback.raceweek.diary import diary_days, diary_measures
from taperback.raceweek.factors.everyday import everyday
from taperback.raceweek.factors.intensity import intensity
from taperback.raceweek.factors.intervals import intervals
from taperback.raceweek.factors.load import load
from taperback.raceweek.factors.panic import panic
from taperback.raceweek.factors.shape import shape
from taperback.raceweek.factors.sharpness import sharpness
from taperback.raceweek.factors.sleep import sleep
from taperback.raceweek.factors.travel import travel
from taperback.raceweek.factors.volume import volume
from taperback.raceweek.legs import totals
from taperback.raceweek.model import DAY_COLUMNS, Measured, RaceWeek
from taperback.raceweek.race import Race, races_of
from taperback.raceweek.result.doubts import Doubt, doubts, last_recorded_day
from taperback.raceweek.result.outcome import outcomes, scale_of
from taperback.raceweek.result.race_file import race_facts, transition
from taperback.raceweek.travel.trips import travel_days
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.counting import activity
from taperback.raceweek.window.events import with_events
from taperback.raceweek.window.window import Window

NAN = float("nan")
FACTORS: tuple[Callable[[Race], tuple[Measured, ...]], ...] = (
    volume,
    shape,
    intensity,
    intervals,
    sharpness,
    load,
    sleep,
    travel,
    everyday,
    panic,
)
"""One function a factor, in the order of the table: it takes a race, which holds no outcome."""


def race_weeks(imported: Imported, journal: Journal) -> tuple[RaceWeek, ...]:
    """Every race of the journal, measured, in order of date.

    A race without files, not started or left out is there too: its measures say why they are
    unknown.
    """
    all_windows = windows(imported, journal)
    last_day = last_recorded_day(imported)
    races = with_events(journal.races)
    doubted = doubts(all_windows, races, last_day, journal.files["races"])
    why = tuple(doubt.why() if doubt else {} for doubt in doubted)
    results, scale = outcomes(all_windows, races, why), scale_of(races, why)
    rows = races.to_dict("records")
    return tuple(
        _race_week(race, result, row, doubt, scale.name, journal)
        for race, result, row, doubt in zip(
            races_of(all_windows), results, rows, doubted, strict=True
        )
    )


def with_files_word(journal: Journal, weeks: Iterable[RaceWeek]) -> Journal:
    """The journal, its notices followed by what the files say against its races."""
    remarks = tuple(notice for week in weeks for notice in week.notices)
    return replace(journal, notices=(*journal.notices, *remarks))


def _race_week(
    race: Race,
    result: tuple[Measured, ...],
    row: dict[str, Any],
    doubt: Doubt | None,
    scale: str,
    journal: Journal,
) -> RaceWeek:
    window = race.window
    measured = [
        *(one for factor in FACTORS for one in factor(race)),
        *result,
        transition(window),
        *diary_measures(window, journal),
    ]
    return RaceWeek(
        race_id=window.race_id,
        name=window.name,
        day0=window.day0,
        race=row,
        measures={one.name: with_caveat(one, window) for one in measured},
        days=day_rows(race),
        flags=race.flags,
        race_legs=window.race_legs,
        facts=(*window.facts, *race_facts(window, row)),
        notices=(doubt.notice,) if doubt else (),
        doubted_column=doubt.notice.column if doubt and doubt.outcomes else "",
        scale=scale,
        diary=diary_days(window, journal.days),
        lost_to=window.lost_to,
    )


def with_caveat(measured: Measured, window: Window) -> Measured:
    """The measure with what weakens the usual week that it is held against."""
    of_usual_weeks = set(window.baseline_days) & set(measured.days)
    if not of_usual_weeks or not measured.known:
        return measured
    caveats = [
        words
        for holds, words in (
            (measured.caveat, measured.caveat),
            (window.older_weeks, "older weeks"),
            (window.empty_weeks, "usual week in doubt"),
        )
        if holds
    ]
    return replace(measured, caveat=", ".join(caveats))


def day_rows(race: Race) -> pd.DataFrame:
    """One row a day, columns `DAY_COLUMNS`."""
    window = race.window
    days = window.days.assign(
        sleep_h=[night.sleep_h for night in window.nights],
        sleep_source=pd.Series([night.source for night in window.nights], dtype=object),
    )
    training = window.training(window.first_day, 0)
    hours: dict[int, dict[str, float]] = {}
    recorded = zip(training["days_to_race"].tolist(), training["sport"], strict=True)
    for (day, sport), of_day in totals(recorded, training["hours"]).items():
        hours.setdefault(day, {})[sport] = of_day
    trip = travel_days(window, race.trip)
    days["hours"] = pd.Series([hours.get(k, {}) for k in days["days_to_race"]], dtype=object)
    besides: dict[int, dict[str, float]] = {}
    for leg in window.besides(window.first_day, 0):
        if leg.hours == leg.hours:
            name, day = activity(leg.sport, leg.sub_sport), leg.days_to_race
            so_far = besides.setdefault(day, {})
            so_far[name] = so_far.get(name, 0.0) + leg.hours
    days["besides"] = [besides.get(k, {}) for k in days["days_to_race"]]
    days["travel"] = [trip.get(k, "") for k in days["days_to_race"]]
    hard_min = race.effort.hard_min_by_day(window)
    days["hard_min"] = [
        hard_min.get(day, 0.0 if k not in hours and state != "unknown" and not partial else NAN)
        for day, (k, state, partial, _) in zip(days["day"], window.states, strict=True)
    ]
    return days[list(DAY_COLUMNS)]


def as_table(weeks: Iterable[RaceWeek]) -> pd.DataFrame:
    """One row a race: `race_id`, `name`, `date`, every measure, and why unknown ones are.

    A measure is a column of its name, empty (NaN or None) where it is unknown. A measure that is
    unknown in any race is followed by `<name>_reason`, empty where it is known.
    """
    weeks = list(weeks)
    names = list(dict.fromkeys(name for week in weeks for name in week.measures))
    table: dict[str, list[Any]] = {
        "race_id": [week.race_id for week in weeks],
        "name": [week.name for week in weeks],
        "date": [week.day0 for week in weeks],
    }
    for name in names:
        measures = [week.measures.get(name) for week in weeks]
        table[name] = [one.value if one else None for one in measures]
        reasons = [one.reason if one else _NOT_HELD for one in measures]
        if any(reasons):
            table[f"{name}_reason"] = reasons
    frame = pd.DataFrame(table)
    for name in names:
        if QUANTITIES[name].unit:
            frame[name] = frame[name].astype(float)
    return frame


_NOT_HELD = "the sport is not part of this race's weeks"
