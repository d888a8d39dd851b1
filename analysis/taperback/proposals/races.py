"""Races that a history of legs shows without anybody's word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS, Draft
from taperback.journal.cells import WHOLE_RACES, clock, sports
from taperback.journal.model import RACE_COLUMNS, Journal

Cells = dict[str, str]
"""One proposed row: cells by column, with its evidence under `proposed`."""


def race_rows(legs: pd.DataFrame) -> list[Cells]:
    """Races that the files show, one a day, in order of date."""
    found: dict[str, Cells] = {}
    for row in (*_multisport(legs), *_all_out(legs)):
        found.setdefault(row["date"], row)
    return [found[day] for day in sorted(found)]


def with_races(journal: Journal, rows: list[Cells]) -> Journal:
    """The journal as it would be with the proposed races."""
    absent = {"row": 0, "sports": (), "status": "finished", "leave_out": "", "reference": ""}
    texts = dict.fromkeys(("name", "distance", "notes"), "")
    added = [
        {name: float("nan") for name in RACE_COLUMNS}
        | absent
        | texts
        | {"date": date.fromisoformat(row["date"]), "sports": sports(row["sports"])}
        for row in rows
    ]
    if not added:
        return journal
    frames = [frame for frame in (journal.races, pd.DataFrame(added)) if len(frame)]
    races = pd.concat(frames, ignore_index=True)[list(RACE_COLUMNS)]
    return replace(journal, races=races.sort_values(["date", "row"], ignore_index=True))


def _multisport(legs: pd.DataFrame) -> Iterator[Cells]:
    """Sports that follow each other as in a race, in one file or in several."""
    limits = LIMITS.draft
    held = legs[legs["sport"] != "transition"].reset_index(drop=True)
    ends = held["start_utc"] + pd.to_timedelta(held["elapsed_s"], unit="s")
    gaps = (held["start_utc"] - ends.shift()).dt.total_seconds()
    close = gaps.between(-limits.gap_min * 60, limits.gap_min * 60).to_numpy()
    names = tuple(held["sport"])
    for kind, pattern in WHOLE_RACES.items():
        for first in range(len(names) - 2):
            if names[first : first + 3] == pattern and close[first + 1 : first + 3].all():
                parts = held.iloc[first : first + 3]
                distance = _standard(parts, limits.multisport_km.get(kind, {}))
                if distance:
                    yield _multisport_row(kind, distance, parts)


def _standard(parts: pd.DataFrame, distances: Mapping[str, tuple[float, ...]]) -> str:
    """The standard distance that all parts come close to, or empty."""
    within = LIMITS.draft.multisport_tolerance
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
    limits = LIMITS.draft
    runs = legs[(legs["sport"] == "running") & (legs["legs_in_file"] == 1)]
    runs = runs[(runs["distance_m"] > 0) & (runs["elapsed_s"] > 0)]
    metres = runs["distance_m"].to_numpy(float)
    speed = metres / runs["elapsed_s"].to_numpy(float)
    days = np.array([day.toordinal() for day in runs["local_day"]])
    for place, name in enumerate(_racing_distance(each, limits) for each in metres):
        if not name:
            continue
        near = np.abs(days - days[place]) <= limits.habit_days
        near[place] = False
        rivals = near & (metres >= limits.rival_share * metres[place])
        if near.sum() < limits.fewest_sessions:
            continue
        faster = speed[place] / np.median(speed[near]) - 1
        if faster >= limits.faster_than_habit and not (speed[rivals] >= speed[place]).any():
            run = runs.iloc[place]
            yield {
                "date": run["local_day"].isoformat(),
                "sports": "running",
                "distance": name,
                "proposed": (
                    f"{name} in {clock(run['elapsed_s'])}, {100 * faster:.0f}% faster than the "
                    f"usual run, in {run['file']}"
                ),
            }


def _racing_distance(metres: float, limits: Draft) -> str:
    """The racing distance that a run comes close to; watches measure rather long than short."""
    short, long = limits.run_tolerance
    for name, standard in limits.run_m.items():
        if 1 - short <= metres / standard <= 1 + long:
            return str(name)
    return ""
