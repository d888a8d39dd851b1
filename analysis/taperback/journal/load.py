"""The whole journal of one athlete, with everything that is wrong in it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pandas as pd

from taperback.journal import cells
from taperback.journal.athlete import read_athlete
from taperback.journal.expected import with_estimates
from taperback.journal.model import DEFAULT_FILES, STATUSES, Journal
from taperback.journal.tables import Column, read_table
from taperback.notices import Notice, fault, unused

NAN = float("nan")

RACES = {
    "date": Column(cells.day, None, required=True, choose=cells.day_reader),
    "name": Column(cells.text, ""),
    "sports": Column(cells.sports, ()),
    "distance": Column(cells.text, ""),
    "finish_time": Column(cells.duration_s, NAN),
    "expected_time": Column(cells.duration_s, NAN),
    "reference_time": Column(cells.duration_s, NAN),
    "reference": Column(cells.text, ""),
    "place": Column(cells.whole, NAN),
    "field_size": Column(cells.whole, NAN),
    "temp_c": Column(cells.bounded(-40, 55, "degrees Celsius from -40 to 55"), NAN),
    "race_rpe": Column(cells.bounded(0, 10, "a number from 0 to 10 (CR-10)"), NAN),
    "status": Column(lambda cell: cells.choice(cell, words=STATUSES), "finished"),
    "leave_out": Column(cells.unless_no, ""),
    "notes": Column(cells.text, ""),
}
NIGHTS = {
    "date": Column(cells.day, None, required=True, choose=cells.day_reader),
    "sleep_h": Column(lambda cell: cells.hours(cell, most=24), NAN),
    "quality": Column(cells.bounded(1, 5, "a number from 1 to 5"), NAN),
    "notes": Column(cells.text, ""),
}
TRIPS = {
    "depart_date": Column(cells.day, None, choose=cells.day_reader),
    "arrive_date": Column(cells.day, None, required=True, choose=cells.day_reader),
    "from_zone": Column(cells.zone, ""),
    "to_zone": Column(cells.zone, ""),
    "travel_h": Column(lambda cell: cells.hours(cell, most=120), NAN),
    "mode": Column(cells.text, ""),
    "notes": Column(cells.text, ""),
}
_TIMES = {name: f"{name}_s" for name in ("finish_time", "expected_time", "reference_time")}
EXTRA = ("proposed",)
TABLE_SUFFIXES = (".csv", ".xlsx", ".xls", ".ods", ".numbers", ".tsv", ".txt")
"""What spreadsheets save tables as; of these, the first two are read."""


def read_journal(folder: Path) -> Journal:
    """Everything typed in the folder, read as far as it goes.

    Raises:
        InputError: `athlete.toml` is missing or cannot be read at all.
    """
    athlete, notices = read_athlete(folder)
    files = {name: table_file(folder, name) for name in DEFAULT_FILES}
    races, race_notices = read_table(folder / files["races"], RACES, extra=EXTRA)
    nights, night_notices = read_table(folder / files["nights"], NIGHTS, extra=EXTRA)
    trips, trip_notices = read_table(folder / files["trips"], TRIPS, extra=EXTRA)
    race_notices += _race_faults(races, files["races"])
    night_notices += _repeated(
        nights, files["nights"], ["date"], "take one of the two out; the first is used"
    )
    trip_notices += _trip_faults(trips, files["trips"])
    nights = nights.drop_duplicates("date")
    races, estimates = with_estimates(
        _in_order(races.rename(columns=_TIMES), "date"), files["races"]
    )
    race_notices += estimates
    return Journal(
        athlete=athlete,
        races=races,
        nights=_in_order(nights, "date"),
        trips=_in_order(trips, "arrive_date"),
        notices=(
            *notices,
            *_passed_over(folder, files),
            *sorted(race_notices),
            *sorted(night_notices),
            *sorted(trip_notices),
        ),
        files=files,
    )


def table_file(folder: Path, name: str) -> str:
    """The file that holds a table: `races.csv`, or `races.xlsx` where there is no such."""
    workbook = f"{name}.xlsx"
    only_workbook = _there(folder / workbook) and not _there(folder / f"{name}.csv")
    return workbook if only_workbook else f"{name}.csv"


def _there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def _passed_over(folder: Path, files: Mapping[str, str]) -> list[Notice]:
    """Files that are named like a table and are not read."""
    notices = []
    for path in sorted(folder.iterdir()):
        name, suffix = path.stem.lower(), path.suffix.lower()
        used = files.get(name, path.name)
        if path.name == used or suffix not in TABLE_SUFFIXES:
            continue
        found, remedy = "it is not read", f"save it as {name}.csv or {name}.xlsx"
        if _there(folder / used):
            found, remedy = f"it is not read, since {used} is there", "keep one of the two"
        notices.append(unused(path.name, "passed-over", found, remedy))
    return notices


def _in_order(table: pd.DataFrame, column: str) -> pd.DataFrame:
    """The table in order of day, numbers as float64."""
    numeric = [name for name in table.columns if name in _NUMBERS]
    ordered = table.sort_values([column, "row"], ignore_index=True)
    return ordered.astype(dict.fromkeys(numeric, float) | {"row": int})


_NUMBERS = {
    name
    for columns in (RACES, NIGHTS, TRIPS)
    for name, column in columns.items()
    if isinstance(column.absent, float)
} | set(_TIMES.values())


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


def _race_faults(races: pd.DataFrame, file: str) -> list[Notice]:
    """What is wrong between the cells of a race's row."""
    notices = _repeated(races, file, ["date", "name"], "take one of the two out")
    for race in races.itertuples():
        if race.place > race.field_size:
            found = f"place {race.place:g} is larger than the field of {race.field_size:g}"
            notices.append(fault(file, race.row, "place", "place", found, "put one of them right"))
        for name in ("expected_time", "reference_time"):
            ratio = getattr(race, name) / race.finish_time
            if not (ratio != ratio or 0.4 < ratio < 2.5):
                told, finish = (cells.clock(getattr(race, n)) for n in (name, "finish_time"))
                found = f"{told} cannot belong to a finish time of {finish}"
                remedy = "write both as h:mm:ss"
                notices.append(fault(file, race.row, name, "time", found, remedy))
    return notices


def _trip_faults(trips: pd.DataFrame, file: str) -> list[Notice]:
    notices = []
    for trip in trips.itertuples():
        if trip.depart_date is not None and trip.depart_date > trip.arrive_date:
            found = f"departure {trip.depart_date} lies after arrival {trip.arrive_date}"
            remedy = "turn the two round, or put one right"
            notices.append(fault(file, trip.row, "depart_date", "trip", found, remedy))
    return notices
