"""What is wrong between cells that can each be read, within a row or from row to row."""

from __future__ import annotations

import pandas as pd

from taperback.journal.cells import clock
from taperback.notices import Notice, fault
from taperback.resources import shared_toml


def race_faults(races: pd.DataFrame, file: str) -> list[Notice]:
    """Races told twice, places beyond the field, and times that cannot belong to one race."""
    low, high = shared_toml("limits.toml")["journal"]["finish_share"]
    notices = _repeated(races, file, ["date", "name"], "take one of the two out")
    for race in races.itertuples():
        if race.place > race.field_size:
            found = f"place {race.place:g} is larger than the field of {race.field_size:g}"
            notices.append(fault(file, race.row, "place", "place", found, "put one of them right"))
        for name in ("expected_time", "reference_time"):
            ratio = getattr(race, name) / race.finish_time
            if not (ratio != ratio or low < ratio < high):
                told, finish = (clock(getattr(race, n)) for n in (name, "finish_time"))
                found = f"{told} cannot belong to a finish time of {finish}"
                remedy = "write both as h:mm:ss"
                notices.append(fault(file, race.row, name, "time", found, remedy))
    return notices


def night_faults(nights: pd.DataFrame, file: str) -> list[Notice]:
    """Nights that are told twice."""
    return _repeated(nights, file, ["date"], "take one of the two out; the first is used")


def trip_faults(trips: pd.DataFrame, file: str) -> list[Notice]:
    """Trips that end before they begin."""
    notices = []
    for trip in trips.itertuples():
        if trip.depart_date is not None and trip.depart_date > trip.arrive_date:
            found = f"departure {trip.depart_date} lies after arrival {trip.arrive_date}"
            remedy = "turn the two round, or put one right"
            notices.append(fault(file, trip.row, "depart_date", "trip", found, remedy))
    return notices


def _repeated(table: pd.DataFrame, file: str, columns: list[str], remedy: str) -> list[Notice]:
    """A fault for each row that says again what an earlier row said."""
    first: dict[tuple, int] = {}
    notices = []
    for row in table.to_dict("records"):
        earlier = first.setdefault(tuple(row[name] for name in columns), row["row"])
        if earlier != row["row"]:
            found = f"row {earlier} has the same {' and '.join(columns)}"
            notices.append(fault(file, row["row"], columns[0], "repeated", found, remedy))
    return notices
