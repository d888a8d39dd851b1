"""What is wrong between trips: backwards, told twice, or under way at the same time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pandas as pd

from taperback.common.notices import Notice, fault

_UNUSED = ("repeated", "overlap")


def trip_faults(trips: pd.DataFrame, file: str) -> list[Notice]:
    """Trips that end before they begin, that are told twice, and that overlap."""
    notices = []
    kept: list[dict] = []
    for trip in trips.to_dict("records"):
        depart, arrive = trip["depart_date"], trip["arrive_date"]
        if depart is not None and depart > arrive:
            found = f"departure {depart} lies after arrival {arrive}"
            remedy = "turn the two round, or put one right"
            notices.append(fault(file, trip["row"], "depart_date", "trip", found, remedy))
            continue
        against = [told for earlier in kept if (told := _clash(trip, earlier))]
        if against:
            code, column, found = against[0]
            remedy = "take one of the two out, or put one right; the first is used"
            notices.append(fault(file, trip["row"], column, code, found, remedy))
        else:
            kept.append(trip)
    return notices


def each_once(trips: pd.DataFrame, notices: Iterable[Notice]) -> pd.DataFrame:
    """The trips without those that an earlier row tells, too."""
    again = {notice.row for notice in notices if notice.code in _UNUSED}
    return trips[~trips["row"].isin(again)]


def _clash(trip: Mapping, earlier: Mapping) -> tuple[str, str, str] | None:
    """(code, column, finding) where two rows cannot both be trips of their own."""
    same = ["depart_date", "arrive_date", "from_zone", "to_zone"]
    if not trip["to_zone"] or trip["to_zone"] == trip["from_zone"]:
        same += ["travel_h", "mode"]  # two stages of a day within a zone are no repetition
    if all(_alike(trip[name], earlier[name]) for name in same):
        return "repeated", "arrive_date", f"row {earlier['row']} tells the same trip"
    first, second = sorted((earlier, trip), key=lambda one: one["arrive_date"])
    chained = first["to_zone"] and first["to_zone"] == second["from_zone"]
    if second["depart_date"] is None or second["depart_date"] >= first["arrive_date"] or chained:
        return None
    found = (
        f"the trip from {trip['depart_date'] or trip['arrive_date']} to {trip['arrive_date']} "
        f"overlaps that of row {earlier['row']}"
    )
    return "overlap", "depart_date", found


def _alike(one: object, other: object) -> bool:
    return one == other or (one != one and other != other)
