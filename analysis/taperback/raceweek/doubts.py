"""What a typed result and the files say against each other, and what is not believed for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import log

import pandas as pd

from taperback.importer.model import Imported
from taperback.journal.cells import clock
from taperback.notices import Level, Notice, fault
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.race_file import FileTimes, file_times, told_apart
from taperback.raceweek.window import Window
from taperback.resources import shared_toml

RESULTS = ("result_pct", "race_rpe")


@dataclass(frozen=True)
class Doubt:
    """One remark about a race's row, and the outcomes that are unknown until it is put right."""

    notice: Notice
    outcomes: tuple[str, ...] = ()

    def why(self) -> dict[str, str]:
        """Outcome -> why it is unknown, as a clause."""
        return dict.fromkeys(self.outcomes, self.notice.found)


def doubts(
    windows: tuple[Window, ...], races: pd.DataFrame, last_day: date | None, file: str
) -> tuple[Doubt | None, ...]:
    """What stands against each race's typed result, in the order of the windows.

    Args:
        windows: one per race.
        races: the journal's races in the same order.
        last_day: the last day that files tell of, None where they tell of none.
        file: the file that a remark about a row names.
    """
    rows = races.to_dict("records")
    return tuple(
        _beyond_records(row, last_day, file) or _against_file(row, file_times(window), file)
        if row["status"] == "finished" and not row["leave_out"]
        else None
        for row, window in zip(rows, windows, strict=True)
    )


def last_recorded_day(imported: Imported) -> date | None:
    """The last local day of a session that files hold; None where they hold none."""
    return max(imported.legs["local_day"], default=None)


def seen_today(weeks: tuple[RaceWeek, ...], today: date, file: str) -> tuple[RaceWeek, ...]:
    """The race weeks, with a fault for each result of a race that still lies ahead.

    A day's grace, since it may be tomorrow where the race is.
    """
    return tuple(
        replace(week, notices=(_ahead(week, typed, today, file),))
        if week.day0 > today + timedelta(days=1) and (typed := _typed_result(week.race))
        else week
        for week in weeks
    )


def _ahead(week: RaceWeek, typed: str, today: date, file: str) -> Notice:
    found = f"{week.day0} lies ahead of today, {today}, and yet a {typed} is typed"
    remedy = f"put the date right, or leave the {typed} empty until then"
    return fault(file, int(str(week.race["row"])), "date", "ahead", found, remedy)


def _typed_result(row: Mapping) -> str:
    """The first of the columns that only a race that is over can have; empty where none is."""
    columns = {"finish_time": "finish_time_s", "place": "place", "race_rpe": "race_rpe"}
    return next((name for name, column in columns.items() if row[column] == row[column]), "")


def _beyond_records(row: Mapping, last_day: date | None, file: str) -> Doubt | None:
    """A result so long after the last file that nothing of its weeks is recorded.

    The clock is the files' and not today's, so that the same folder gives the same answer.
    """
    typed = _typed_result(row)
    most = shared_toml("limits.toml")["race_day"]["longest_after_files_days"]
    if not typed or last_day is None or (row["date"] - last_day).days <= most:
        return None
    found = f"{row['date']} lies {(row['date'] - last_day).days} days after the last file"
    found += f", of {last_day}, and a {typed} is typed"
    remedy = "put the date right, or add the files of the weeks before it"
    notice = Notice(file, int(row["row"]), "date", "beyond-files", found, remedy, Level.UNUSED)
    return Doubt(notice, RESULTS)


def _against_file(row: Mapping, times: FileTimes | None, file: str) -> Doubt | None:
    """A finish time that the race's own file contradicts.

    A file may hold a warm-up, or a part of the race only. So it alone overrules no typed time: the
    time that the race was measured against has to lie nearer to the file, too.
    """
    typed = row["finish_time_s"]
    if times is None or not typed > 0 or not told_apart(times, typed):
        return None
    place = (file, int(row["row"]), "finish_time")
    found = f"the race's file lasts {clock(times.elapsed_s)}, and {clock(typed)} is typed"
    slack = shared_toml("limits.toml")["race_day"]["times_far_apart_share"]
    if not times.apart(60 * typed, shared_toml("limits.toml")["race_day"]["times_apart_share"]):
        remedy = f"hours and minutes were read as minutes and seconds; write {clock(60 * typed)}"
        return Doubt(fault(*place, "read-as-minutes", found, remedy), ("result_pct",))
    if times.apart(typed, slack) and _others_side_with_file(row, times.nearest(typed)):
        remedy = "write the right one as h:mm:ss; until then the race has no result"
        return Doubt(fault(*place, "against-file", found, remedy), ("result_pct",))
    return Doubt(
        Notice(*place, "against-file", found, "check which is right; the typed one is used")
    )


def _others_side_with_file(row: Mapping, file_s: float) -> bool:
    """Whether each time that the race is measured against lies nearer to the file's."""
    others = [row[name] for name in ("expected_time_s", "reference_time_s") if row[name] > 0]
    return bool(others) and all(
        abs(log(file_s / other)) < abs(log(row["finish_time_s"] / other)) for other in others
    )
