"""The whole journal of one athlete, with everything that is wrong in it."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from taperback.common.notices import Notice
from taperback.journal.athlete import read_athlete
from taperback.journal.columns import TABLES
from taperback.journal.expected import with_estimates
from taperback.journal.faults.rows import night_faults, race_faults, without_fractions
from taperback.journal.faults.trips import each_once, trip_faults
from taperback.journal.files import passed_over, table_file
from taperback.journal.model import Athlete, Journal
from taperback.journal.tables import read_table

UNREAD_EXPECTATION = ("expected_time", "unreadable")
_ROW_FAULTS = {"races": race_faults, "nights": night_faults, "trips": trip_faults}


def read_journal(folder: Path, athlete: Athlete | None = None) -> Journal:
    """Everything typed in the folder, read as far as it goes.

    Args:
        folder: one athlete's folder.
        athlete: who it is, where there is no `athlete.toml` to read.

    Raises:
        InputError: `athlete.toml` is missing or cannot be read at all.
    """
    athlete, notices = (athlete, []) if athlete else read_athlete(folder)
    files = {name: table_file(folder, name) for name in TABLES}
    tables: dict[str, pd.DataFrame] = {}
    said: dict[str, list[Notice]] = {}
    for name, file in files.items():
        tables[name], said[name] = read_table(folder / file, TABLES[name])
        said[name] += _ROW_FAULTS[name](tables[name], file)
    races = _in_order(tables["races"], "date")
    unreadable = {n.row for n in said["races"] if (n.column, n.code) == UNREAD_EXPECTATION}
    races, estimates = with_estimates(races, files["races"], unreadable)
    said["races"] += estimates
    return Journal(
        athlete=athlete,
        races=races,
        nights=_in_order(without_fractions(tables["nights"]).drop_duplicates("date"), "date"),
        trips=_in_order(each_once(tables["trips"], said["trips"]), "arrive_date"),
        notices=(
            *notices,
            *passed_over(folder, files),
            *(notice for name in files for notice in sorted(said[name])),
        ),
        files=files,
    )


def _in_order(table: pd.DataFrame, column: str) -> pd.DataFrame:
    return table.sort_values([column, "row"], ignore_index=True)
