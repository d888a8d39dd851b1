"""What is wrong between trips: backwards, typed twice, or under way at the same time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault


def each_once(trips: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The trips without those that an earlier row says, too, or that overlap it; what is wrong."""
    notices = []
    rows = trips.to_dict("records")
    overlap = _overlaps(rows)
    seen: dict[tuple[Any, ...], int] = {}
    kept = np.zeros(len(rows), bool)
    for place, trip in enumerate(rows):
        depart, arrive = trip["depart_date"], trip["arrive_date"]
        if depart is not None and depart > arrive and not _over_the_date_line(trip):
            found = f"departure {depart} lies after arrival {arrive}"
            remedy = "swap them, or correct one"
            if (depart - arrive).days == 1 and not (trip["from_zone"] and trip["to_zone"]):
                remedy += "; of a flight east over the date line type both zones"
            notices.append(fault(file, trip["row"], "depart_date", "trip", found, remedy))
            continue
        over = np.flatnonzero(overlap(place) & kept)
        if _as_typed(trip) in seen:
            column, code = "arrive_date", "repeated"
            found = f"row {seen[_as_typed(trip)]} is the same trip"
        elif len(over):
            column, code, other = "depart_date", "overlap", rows[over[0]]["row"]
            found = f"the trip from {depart or arrive} to {arrive} overlaps that of row {other}"
        else:
            seen[_as_typed(trip)] = trip["row"]
            kept[place] = True
            continue
        remedy = "delete one, or correct one; the first is used"
        notices.append(fault(file, trip["row"], column, code, found, remedy))
    backwards = {notice.row for notice in notices if notice.code == "trip"}
    return trips[kept | trips["row"].isin(backwards).to_numpy()], notices


def _over_the_date_line(trip: Mapping[str, Any]) -> bool:
    """Whether the zones say that one who flies east arrives a calendar day before departing.

    Between them lies more than half a day to be put back, as from Tokyo to San Francisco.
    """
    depart, arrive = trip["depart_date"], trip["arrive_date"]
    if not (trip["from_zone"] and trip["to_zone"]) or (depart - arrive).days != 1:
        return False
    change_h = _offset_h(trip["to_zone"], arrive) - _offset_h(trip["from_zone"], depart)
    return change_h <= -LIMITS.journal.date_line_h


def _offset_h(zone: str, day: date) -> float:
    offset = datetime.combine(day, time(12), ZoneInfo(zone)).utcoffset() or timedelta()
    return offset / timedelta(hours=1)


def _as_typed(trip: Mapping[str, Any]) -> tuple[Any, ...]:
    """What two rows that tell the same trip have in common."""
    same = ["depart_date", "arrive_date", "from_zone", "to_zone"]
    if not trip["to_zone"] or trip["to_zone"] == trip["from_zone"]:
        same += ["travel_h", "mode"]  # two stages of a day within a zone are no repetition
    return tuple(None if trip[name] != trip[name] else trip[name] for name in same)


def _overlaps(trips: list[dict[str, Any]]) -> Callable[[int], np.ndarray]:
    """Of a trip by its place: whether each one departs while the other is under way.

    One that goes on from the zone where the other ends is no overlap. A trip is held against all
    others at once, so that a table full of them takes no time to speak of.
    """
    arrive = np.array([trip["arrive_date"].toordinal() for trip in trips])
    depart = np.array([(trip["depart_date"] or date.max).toordinal() for trip in trips])
    start, end = (np.array([trip[name] for trip in trips]) for name in ("from_zone", "to_zone"))

    def of(place: int) -> np.ndarray:
        before = arrive <= arrive[place]
        under_way = np.where(before, depart[place] < arrive, depart < arrive[place])
        first_end = np.where(before, end, end[place])
        goes_on = (first_end != "") & (first_end == np.where(before, start[place], start))
        overlaps: np.ndarray = under_way & ~goes_on
        return overlaps

    return of
