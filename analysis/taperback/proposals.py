"""What a journal could say, as far as files know: races, nights, trips, and the athlete's home."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from taperback.importer.model import Imported
from taperback.journal.cells import clock
from taperback.journal.model import (
    NIGHT_COLUMNS,
    RACE_COLUMNS,
    TRIP_COLUMNS,
    Athlete,
    Journal,
)
from taperback.raceweek.calendar import windows
from taperback.raceweek.thresholds import Thresholds, thresholds_by_race
from taperback.raceweek.trips import find_trip
from taperback.raceweek.window import Window
from taperback.resources import shared_toml

Cells = dict[str, str]
"""One proposed row: cells by column, with its evidence under `proposed`."""

PATTERNS = {
    "triathlon": ("swimming", "cycling", "running"),
    "duathlon": ("running", "cycling", "running"),
}


@dataclass(frozen=True)
class Proposals:
    """Rows that could be added to the journal; none for a day that it already tells of."""

    races: tuple[Cells, ...]
    nights: tuple[Cells, ...]
    trips: tuple[Cells, ...]


def propose(imported: Imported, journal: Journal) -> Proposals:
    """What the files tell that the journal does not."""
    told = set(journal.races["date"])
    races = [row for row in _races(imported.legs) if date.fromisoformat(row["date"]) not in told]
    return Proposals(
        tuple(races), _nights(imported, journal), _trips(imported, _with_races(journal, races))
    )


def _races(legs: pd.DataFrame) -> list[Cells]:
    """Races that the files show, one a day, in order of date."""
    found: dict[str, Cells] = {}
    for row in (*_multisport(legs), *_all_out(legs)):
        found.setdefault(row["date"], row)
    return [found[day] for day in sorted(found)]


def _multisport(legs: pd.DataFrame) -> Iterator[Cells]:
    """Sports that follow each other as in a race, in one file or in several."""
    limits = shared_toml("limits.toml")["draft"]
    sports = legs[legs["sport"] != "transition"].reset_index(drop=True)
    ends = sports["start_utc"] + pd.to_timedelta(sports["elapsed_s"], unit="s")
    gaps = (sports["start_utc"] - ends.shift()).dt.total_seconds()
    close = gaps.between(-limits["gap_min"] * 60, limits["gap_min"] * 60).to_numpy()
    names = tuple(sports["sport"])
    for kind, pattern in PATTERNS.items():
        for first in range(len(names) - 2):
            parts = sports.iloc[first : first + 3]
            if names[first : first + 3] == pattern and close[first + 1 : first + 3].all():
                distance = _standard(parts, limits["multisport_km"].get(kind, {}))
                if distance:
                    yield _multisport_row(kind, distance, parts)


def _standard(parts: pd.DataFrame, distances: dict) -> str:
    """The standard distance that all parts come close to, or empty."""
    within = shared_toml("limits.toml")["draft"]["multisport_tolerance"]
    km = parts["distance_m"].to_numpy(float) / 1000
    for name, standard in distances.items():
        if (np.abs(km / np.array(standard) - 1) <= within).all():
            return str(name)
    return ""


def _multisport_row(kind: str, distance: str, parts: pd.DataFrame) -> Cells:
    ends = parts["start_utc"] + pd.to_timedelta(parts["elapsed_s"], unit="s")
    seconds = (ends.max() - parts["start_utc"].min()).total_seconds()
    files = list(dict.fromkeys(parts["file"]))
    where = files[0] if len(files) == 1 else f"{files[0]} and {len(files) - 1} more"
    return {
        "date": parts["local_day"].iloc[0].isoformat(),
        "sports": kind,
        "distance": distance,
        "proposed": f"{kind} of {clock(seconds)} in {where}",
    }


def _all_out(legs: pd.DataFrame) -> Iterator[Cells]:
    """Runs over a racing distance, faster than any other as long and far from the habit."""
    limits = shared_toml("limits.toml")["draft"]
    runs = legs[(legs["sport"] == "running") & (legs["legs_in_file"] == 1)]
    runs = runs[(runs["distance_m"] > 0) & (runs["elapsed_s"] > 0)]
    speed = runs["distance_m"] / runs["elapsed_s"]
    for index, run in runs.iterrows():
        name = _racing_distance(float(run["distance_m"]), limits)
        apart = pd.Series([abs((d - run["local_day"]).days) for d in runs["local_day"]], runs.index)
        near = (apart <= limits["habit_days"]) & (runs.index != index)
        rivals = near & (runs["distance_m"] >= 0.9 * run["distance_m"])
        if not name or near.sum() < limits["fewest_sessions"]:
            continue
        faster = speed[index] / speed[near].median() - 1
        if faster >= limits["faster_than_habit"] and not (speed[rivals] >= speed[index]).any():
            yield {
                "date": run["local_day"].isoformat(),
                "sports": "running",
                "distance": name,
                "proposed": (
                    f"{name} in {clock(run['elapsed_s'])}, {100 * faster:.0f}% faster than the "
                    f"usual run, in {run['file']}"
                ),
            }


def _racing_distance(metres: float, limits: dict) -> str:
    """The racing distance that a run comes close to; watches measure rather long than short."""
    short, long = limits["run_tolerance"]
    for name, standard in limits["run_m"].items():
        if 1 - short <= metres / standard <= 1 + long:
            return str(name)
    return ""


def _nights(imported: Imported, journal: Journal) -> tuple[Cells, ...]:
    told = set(journal.nights["date"])
    return tuple(
        {
            "date": night.day.isoformat(),
            "sleep_h": f"{night.sleep_h:.2f}",
            "proposed": f"asleep by {night.file}",
        }
        for night in imported.nights.itertuples()
        if night.day not in told and night.sleep_h == night.sleep_h
    )


def _with_races(journal: Journal, rows: list[Cells]) -> Journal:
    """The journal as it would be with the proposed races."""
    absent = {"row": 0, "sports": (), "status": "finished", "leave_out": "", "reference": ""}
    texts = dict.fromkeys(("name", "distance", "notes"), "")
    added = [
        {name: float("nan") for name in RACE_COLUMNS}
        | absent
        | texts
        | {"date": date.fromisoformat(row["date"]), "sports": PATTERNS.get(row["sports"], ())}
        for row in rows
    ]
    if not added:
        return journal
    frames = [frame for frame in (journal.races, pd.DataFrame(added)) if len(frame)]
    races = pd.concat(frames, ignore_index=True)[list(RACE_COLUMNS)]
    return replace(journal, races=races.sort_values(["date", "row"], ignore_index=True))


def _trips(imported: Imported, journal: Journal) -> tuple[Cells, ...]:
    """A trip to each race that the files show and the journal does not."""
    rows: dict[str, Cells] = {}
    for window in windows(imported, journal):
        row = _trip(window)
        if row:
            rows.setdefault(row["arrive_date"], row)
    return tuple(rows[day] for day in sorted(rows))


def _trip(window: Window) -> Cells | None:
    trip = find_trip(window)
    if trip.source != "files" or trip.arrive is None:
        return None
    zones = window.legs.loc[window.legs["leg_id"].isin(trip.legs), "zone"]
    # the journey may have begun on any day since the last session at home; one is known to fit
    next_day = trip.depart is not None and trip.arrive - trip.depart <= timedelta(days=1)
    return {
        "depart_date": trip.depart.isoformat() if trip.depart and next_day else "",
        "arrive_date": trip.arrive.isoformat(),
        "from_zone": window.athlete.home_zone,
        "to_zone": next((zone for zone in zones if zone), ""),
        "proposed": trip.basis.removeprefix("no trip in the journal; "),
    }


def athlete_toml(imported: Imported, name: str) -> str:
    """A first `athlete.toml`; empty where no file tells where home is.

    What files say of thresholds stands there as remarks, since a device's setting is often stale,
    and so does what best efforts before each race let estimate, since few of them are all-out.
    """
    legs = imported.legs
    zones = legs.loc[legs["zone"] != "", "zone"]
    if not len(zones):
        return ""
    hours = legs[legs["sport"] != "transition"].groupby("sport")["moving_s"].sum()
    sports = hours[hours >= 0.05 * hours.sum()].sort_values(ascending=False).index
    known = [sport for sport in sports if sport in ("swimming", "cycling", "running", "rowing")]
    lines = [
        "# Proposed from the activity files; put right what is wrong.",
        f"name = {_quoted(name)}",
        f"home_zone = {_quoted(zones.mode().iloc[0])}",
        f"sports = [{', '.join(map(_quoted, known))}]",
        *_threshold_remarks(legs),
        *_estimate_remarks(imported, Athlete(name, zones.mode().iloc[0])),
    ]
    return "\n".join(lines) + "\n"


def _quoted(word: str) -> str:
    escaped = word.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _threshold_remarks(legs: pd.DataFrame) -> Iterator[str]:
    """Settings that the files hold, each from the first day it was seen, as remarks."""
    last: dict[tuple[str, str], float] = {}
    for leg in legs.itertuples():
        for name, value in leg.file_thresholds.items():
            if last.get((leg.sport, name)) == value:
                continue
            last[leg.sport, name] = value
            yield from (
                "",
                f"# A file of {leg.local_day} says so; take the marks away to make it yours.",
                "# [[thresholds]]",
                f"# since = {leg.local_day}",
                f'# sport = "{leg.sport}"',
                f"# {name} = {value:g}",
            )


def _estimate_remarks(imported: Imported, athlete: Athlete) -> Iterator[str]:
    """Thresholds estimated before each proposed race, each with the day it holds from."""
    tables = (pd.DataFrame(columns=list(c)) for c in (RACE_COLUMNS, NIGHT_COLUMNS, TRIP_COLUMNS))
    weeks = windows(imported, _with_races(Journal(athlete, *tables), _races(imported.legs)))
    by_race = thresholds_by_race(weeks)
    baseline = shared_toml("limits.toml")["baseline"]
    first, last = baseline["first_day"], baseline["last_day"]
    lines = [
        f"#   {week.day0 + timedelta(days=last)}, {sport}: "
        f"{found.signal.second} = {found.steps[-1].second:.{found.signal.decimals}f}"
        for week in weeks
        for sport, found in by_race[week.race_id].items()
        if isinstance(found, Thresholds) and found.source == "estimate"
    ]
    if lines:
        yield ""
        yield f"# Estimated from the best efforts {-first} to {-last} days before each race, and"
        yield "# too low if none was all-out; a tested one, written as [[thresholds]] with since,"
        yield "# sport and its name, is used instead."
        yield from lines
