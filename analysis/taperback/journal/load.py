"""The whole journal of one athlete, with everything that is wrong in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pandas as pd

from taperback.common.notices import Notice
from taperback.journal.athlete import read_athlete
from taperback.journal.columns import TABLES
from taperback.journal.expected import with_estimates
from taperback.journal.faults.diary import with_index, with_sub_sports, without_backwards
from taperback.journal.faults.nights import without_fractions
from taperback.journal.faults.races import within_races
from taperback.journal.faults.trips import each_once
from taperback.journal.faults.twice import first_valid
from taperback.journal.files import passed_over, table_file
from taperback.journal.model import Athlete, Journal, Period
from taperback.journal.tables import REMARK, TableRead, read_table

UNREAD_EXPECTATION = ("expected_time", "unreadable")

_WITHIN: dict[str, Callable[[pd.DataFrame, str], tuple[pd.DataFrame, list[Notice]]]] = {
    "races": within_races,
    "nights": without_fractions,
    "trips": each_once,
    "sessions": with_sub_sports,
    "days": with_index,
    "periods": without_backwards,
}
"""What looks at the cells of a table together, each read by itself already: (rows, file) -> (the
rows without what cannot be, what is wrong)."""


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
    rows: dict[str, pd.DataFrame] = {}
    said: dict[str, list[Notice]] = {}
    none: dict[str, bool] = {}
    for name, file in files.items():
        rows[name], said[name], none[name] = _read(folder / file, name)
    unreadable = {n.row for n in said["races"] if (n.column, n.code) == UNREAD_EXPECTATION}
    said["sessions"] = _not_counted(said["sessions"], rows["sessions"], athlete)
    races, estimates = with_estimates(rows["races"], files["races"], unreadable)
    said["races"] += estimates
    return Journal(
        athlete=_with_periods(athlete, rows["periods"]),
        races=races,
        nights=rows["nights"],
        trips=rows["trips"],
        sessions=rows["sessions"],
        days=rows["days"],
        no_trips=none["trips"],
        notices=(
            *notices,
            *passed_over(folder, files),
            *(notice for name in files for notice in sorted(said[name])),
        ),
        files=files,
    )


def _not_counted(notices: list[Notice], rows: pd.DataFrame, athlete: Athlete) -> list[Notice]:
    """Remarks on sessions without those on a sport that athlete.toml has as training."""
    counted = {one.sport for one in athlete.counted}
    known = {row.row for row in rows.itertuples() if row.sport in counted}
    return [
        one
        for one in notices
        if (one.column, one.code) != ("sport", REMARK) or one.row not in known
    ]


def _read(path: Path, name: str) -> TableRead:
    """One table in order of day, and what is wrong in its cells, its rows and between them."""
    table = TABLES[name]
    rows, notices, none = read_table(path, table)
    rows, within = _WITHIN[name](rows, path.name)
    rows, twice = first_valid(rows, table, path.name, [*notices, *within])
    rows = rows.sort_values([table.day, "row"], ignore_index=True)
    return TableRead(rows, [*notices, *within, *twice], none)


def _with_periods(athlete: Athlete, rows: pd.DataFrame) -> Athlete:
    """The athlete with the periods of `athlete.toml` and of the table, each once, in order."""
    if not len(rows):
        return athlete
    typed = (Period(row.first, row.last, row.kind, row.notes) for row in rows.itertuples())
    once = {(each.first, each.last, each.kind): each for each in (*typed, *athlete.periods)}
    return replace(athlete, periods=tuple(once[key] for key in sorted(once)))
