"""What a typed result and the files say against each other, and what is not believed for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import log
from statistics import median
from typing import Any

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Level, Notice, fault
from taperback.importer.model import Imported
from taperback.journal.times import clock
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.result.race_file import FileTimes, file_times, told_apart
from taperback.raceweek.window.window import Window

RESULTS = ("result_pct", "race_rpe")


@dataclass(frozen=True)
class Doubt:
    """One remark about a race's row, and the outcomes that are unknown until it is put right.

    Attributes:
        notice: the remark.
        outcomes: those of `RESULTS` that are unknown for it.
        clause: why they are, where the remark's own words do not stand alone.
    """

    notice: Notice
    outcomes: tuple[str, ...] = ()
    clause: str = ""

    def why(self) -> dict[str, str]:
        """Outcome -> why it is unknown, as a clause."""
        return dict.fromkeys(self.outcomes, self.clause or self.notice.found)


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
    found = [
        _beyond_records(row, last_day, file)
        or _against_file(row, file_times(window), _measured_against(row, rows), file)
        or _far_from_expected(row, file)
        if _counts(row)
        else None
        for row, window in zip(rows, windows, strict=True)
    ]
    doubted = [row for row, doubt in zip(rows, found, strict=True) if doubt and doubt.outcomes]
    return tuple(
        doubt or _estimate_of_doubted(row, doubted, file)
        for row, doubt in zip(rows, found, strict=True)
    )


def last_recorded_day(imported: Imported) -> date | None:
    """The last local day of a session that files hold; None where they hold none."""
    return max(imported.legs["local_day"], default=None)


def seen_today(weeks: tuple[RaceWeek, ...], today: date, file: str) -> tuple[RaceWeek, ...]:
    """The race weeks, with a fault for each result of a race that still lies ahead.

    A day's grace, since it may be tomorrow where the race is.
    """
    doubtful = []
    for week in weeks:
        typed = _typed_result(week.race)
        if typed and week.day0 > today + timedelta(days=1):
            found = f"{week.day0} lies ahead of today, {today}, and yet a {typed} is typed"
            remedy = f"put the date right, or leave the {typed} empty until then"
            row = int(str(week.race["row"]))
            notice = fault(file, row, "date", "ahead", found, remedy)
            week = replace(week, notices=(notice,), doubted_column="date")
        doubtful.append(week)
    return tuple(doubtful)


def _typed_result(row: Mapping[str, Any]) -> str:
    """The first of the columns that only a race that is over can have; empty where none is."""
    columns = {"finish_time": "finish_time_s", "place": "place", "race_rpe": "race_rpe"}
    return next((name for name, column in columns.items() if row[column] == row[column]), "")


def _beyond_records(row: Mapping[str, Any], last_day: date | None, file: str) -> Doubt | None:
    """A result so long after the last file that nothing of its weeks is recorded.

    The clock is the files' and not today's, so that the same folder gives the same answer.
    """
    typed = _typed_result(row)
    most = LIMITS.race_day.longest_after_files_days
    if not typed or last_day is None or (row["date"] - last_day).days <= most:
        return None
    found = f"{row['date']} lies {(row['date'] - last_day).days} days after the last file"
    found += f", of {last_day}, and a {typed} is typed"
    remedy = "put the date right, or add the files of the weeks before it"
    notice = Notice(file, int(row["row"]), "date", "beyond-files", found, remedy, Level.UNUSED)
    return Doubt(notice, RESULTS)


def _counts(row: Mapping[str, Any]) -> bool:
    return row["status"] == "finished" and not row["leave_out"]


def _measured_against(row: Mapping[str, Any], rows: list[dict[str, Any]]) -> list[float]:
    """The typed times beside the finish time; without any, the usual time of such races."""
    expected = float("nan") if _is_estimate(row) else row["expected_time_s"]
    typed = [seconds for seconds in (expected, row["reference_time_s"]) if seconds > 0]
    alike = [
        other["finish_time_s"]
        for other in rows
        if other is not row and _counts(other) and other["finish_time_s"] > 0
        if row["distance"]
        and all(_plain(other[k]) == _plain(row[k]) for k in ("sports", "distance"))
    ]
    return typed or ([median(alike)] if alike else [])


def _plain(cell: object) -> str:
    return str(cell).strip().lower()


def _is_estimate(row: Mapping[str, Any]) -> bool:
    """Whether the expected time is an estimate from earlier results."""
    return bool(row["expected_source"]) and row["expected_source"] == row["expected_source"]


def _estimate_of_doubted(
    row: Mapping[str, Any], doubted: list[dict[str, Any]], file: str
) -> Doubt | None:
    """An expected time that may rest on an earlier result which is itself in doubt."""
    source = [
        other["row"]
        for other in doubted
        if other["date"] < row["date"] and other["sports"] == row["sports"]
    ]
    if not (_counts(row) and _is_estimate(row) and source):
        return None
    said = f"is an estimate from earlier results, and that of row {source[0]} is in doubt"
    remedy = f"put row {source[0]} right, or type the expected_time"
    notice = Notice(
        file, int(row["row"]), "expected_time", "doubted", f"it {said}", remedy, Level.UNUSED
    )
    return Doubt(notice, ("result_pct",), f"its expected time {said}")


def _against_file(
    row: Mapping[str, Any], times: FileTimes | None, others: list[float], file: str
) -> Doubt | None:
    """A finish time that the race's own file contradicts.

    A file may hold a warm-up, or a part of the race only. So it alone overrules no typed time: the
    time that the race was measured against has to lie nearer to the file, too.
    """
    typed = row["finish_time_s"]
    if times is None or not typed > 0 or not told_apart(times, typed):
        return None
    place = (file, int(row["row"]), "finish_time")
    found = f"{times.words}, and {clock(typed)} is typed"
    slack = LIMITS.race_day.times_far_apart_share
    if not times.apart(60 * typed, LIMITS.race_day.times_apart_share):
        remedy = f"hours and minutes were read as minutes and seconds; write {clock(60 * typed)}"
        return Doubt(fault(*place, "read-as-minutes", found, remedy), ("result_pct",))
    of_file = times.nearest(typed)
    nearer = (abs(log(of_file / other)) < abs(log(typed / other)) for other in others)
    if times.apart(typed, slack) and others and all(nearer):
        remedy = "write the right one as h:mm:ss; until then the race has no result"
        return Doubt(fault(*place, "against-file", found, remedy), ("result_pct",))
    return Doubt(
        Notice(*place, "against-file", found, "check which is right; the typed one is used")
    )


def _far_from_expected(row: Mapping[str, Any], file: str) -> Doubt | None:
    """A remark where finish and expected time lie so far apart that one may be a slip.

    Times that lie further apart than any race do not count, and their row has its fault already.
    """
    typed, expected = row["finish_time_s"], row["expected_time_s"]
    low, high = LIMITS.journal.finish_share
    if _is_estimate(row) or not (typed > 0 and low <= expected / typed <= high):
        return None
    if abs(log(typed / expected)) <= log(1 + LIMITS.race_day.results_far_apart_share):
        return None
    found = f"{clock(typed)} is far from the expected {clock(expected)}"
    remedy = "check both; they are used, and outweigh every other race if one is a slip"
    return Doubt(Notice(file, int(row["row"]), "expected_time", "far-apart", found, remedy))
