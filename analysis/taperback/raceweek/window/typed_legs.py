"""Sessions that were typed, as legs beside those of files; what a file holds, too, is used once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.wording import number_of
from taperback.importer.local_day import place_legs
from taperback.importer.model import BEST_DURATIONS_S, Imported, LegSummary, legs_frame
from taperback.journal.model import Journal

NAN = float("nan")
FORMAT = "journal"
"""`file_format` of a leg that was typed."""

_FIRST_START = time(8)
_APART = timedelta(hours=1)
"""Nobody types when a session began. Those of a day stand in their order, an hour apart, so that
none is taken for the end of another."""


def with_sessions(imported: Imported, journal: Journal) -> Imported:
    """What files hold and, as legs with the journal as their file, what was typed.

    A row of `sessions` that tells of the same session as a leg of a file (same day and sport,
    duration within a quarter, or not typed) is left out, and that is a remark; what only the row
    knows, its RPE and its hard minutes, is kept with the file's leg.

    Returns:
        The same with one leg more for each other row, and the column `typed_hard_min`: minutes
        above the second threshold as typed, NaN where none are. The id of a typed leg is its file
        and row. Its duration is both elapsed and moving time, NaN where it was not typed.
    """
    legs = imported.legs.assign(typed_hard_min=NAN)
    file, alone, known = journal.files["sessions"], [], []
    taken: set[str] = set()
    for row in journal.sessions.to_dict("records"):
        same = _same_session(row, legs, taken)
        if same is None:
            alone.append(row)
            continue
        taken.add(str(legs.at[same, "leg_id"]))
        known.append(row)
        legs.at[same, "typed_hard_min"] = row["hard_min"]
        if np.isnan(legs.at[same, "session_rpe"]):
            legs.at[same, "session_rpe"] = row["rpe"]
    if alone:
        placed = _placed(alone, file, journal)
        legs = pd.concat([legs, placed]) if len(legs) else placed
    return replace(
        imported,
        legs=legs.sort_values(["start_utc", "leg_id"], ignore_index=True),
        notices=(*imported.notices, *_told_once(known, file)),
    )


def _same_session(row: dict[str, Any], legs: pd.DataFrame, taken: set[str]) -> Any:
    """The index of the leg that a row tells of, the nearest in duration; None without any."""
    of_day = legs[(legs["local_day"] == row["date"]) & (legs["sport"] == row["sport"])]
    of_day = of_day[~of_day["leg_id"].isin(taken)]
    if not len(of_day):
        return None
    typed_s = float(row["duration_s"])
    lengths = of_day[["moving_s", "elapsed_s"]].astype(float)
    apart = (typed_s / lengths - 1).abs().min(axis=1).fillna(0.0)
    return apart.idxmin() if apart.min() <= LIMITS.sessions.same_within else None


def _told_once(rows: list[dict[str, Any]], file: str) -> Iterator[Notice]:
    """One remark about all rows that files tell of, too."""
    if not rows:
        return
    first, count = rows[0], len(rows)
    held = (
        "its session is in a file, too"
        if count == 1
        else (f"this session and those of {number_of(count - 1, 'more row')} are in files, too")
    )
    found = f"{held} (same day and sport, about as long); the file is used"
    yield Notice(file, int(first["row"]), "", "session-in-file", found)


def _placed(rows: list[dict[str, Any]], file: str, journal: Journal) -> pd.DataFrame:
    """The rows as legs on their days."""
    zone = ZoneInfo(journal.athlete.home_zone)
    free: dict[date, datetime] = {}
    summaries = []
    for row in rows:
        day = row["date"]
        start = free.get(day, datetime.combine(day, _FIRST_START, zone))
        summary = _summary(row, file, start.astimezone(UTC))
        free[day] = start + timedelta(seconds=np.nan_to_num(summary.elapsed_s)) + _APART
        summaries.append(summary)
    placed = place_legs(legs_frame(summaries), journal.athlete.home_zone)
    return placed.assign(
        leg_id=[f"{file}.{row['row']}" for row in rows],
        local_day=pd.Series([row["date"] for row in rows], dtype=object),
        typed_hard_min=[float(row["hard_min"]) for row in rows],
    )


def _summary(row: dict[str, Any], file: str, start: datetime) -> LegSummary:
    """What a row tells of its session; all else is unknown."""
    best, halves = (np.full(size, NAN) for size in (len(BEST_DURATIONS_S), 2))
    return LegSummary(
        file=file,
        digest=hashlib.sha256(f"{file} {row['row']}".encode()).hexdigest(),
        leg_index=0,
        legs_in_file=1,
        file_format=FORMAT,
        sport=row["sport"],
        sub_sport=row["sub_sport"],
        start_utc=start,
        file_utc_offset_s=NAN,
        zone="",
        elapsed_s=float(row["duration_s"]),
        moving_s=float(row["duration_s"]),
        distance_m=1000 * float(row["distance_km"]),
        ascent_m=NAN,
        power_seconds=None,
        heart_rate_seconds=None,
        speed_seconds=None,
        best_power_w=best,
        best_speed_mps=best,
        mean_heart_rate_bpm=NAN,
        max_heart_rate_bpm=NAN,
        mean_power_w=NAN,
        half_speed_mps=halves,
        half_power_w=halves,
        half_heart_rate_bpm=halves,
        bouts=(),
        pool_length_m=NAN,
        start_lat=NAN,
        start_lon=NAN,
        end_lat=NAN,
        end_lon=NAN,
        session_rpe=float(row["rpe"]),
        feel=NAN,
        file_thresholds={},
        removed_s={},
        damaged=False,
        remarks=(),
    )
