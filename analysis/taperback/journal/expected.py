"""What a race could be expected to take where nobody typed it: an estimate, and called one.

References:
    Riegel 1981, Am Sci 69:285-290 (time grows with distance to the power 1.06).
"""

from __future__ import annotations

import re
from bisect import bisect_left, insort
from collections.abc import Collection
from datetime import timedelta
from statistics import median
from typing import Any

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.common.published import PUBLISHED
from taperback.journal.times import about

KILOMETRES = {"marathon": 42.195, "half marathon": 21.0975}
UNITS_KM = (
    dict.fromkeys(("k", "km", "kilometer", "kilometre", "kilometers", "kilometres"), 1.0)
    | dict.fromkeys(("m", "meter", "metre", "meters", "metres"), 0.001)
    | dict.fromkeys(("mi", "mile", "miles"), 1.609344)
    | dict.fromkeys(("yd", "yard", "yards"), 0.0009144)
)
"""Words for a unit of distance -> its length in kilometres."""


def with_estimates(
    races: pd.DataFrame, file: str = "races.csv", unreadable: Collection[int] = ()
) -> tuple[pd.DataFrame, list[Notice]]:
    """The races with `expected_source`, and an estimate where no expected time was typed.

    The athlete's own earlier results over the same distance come first, then, for one sport over a
    known distance, Riegel's exponent on the earlier result closest in distance. Nothing is
    estimated where the journal compares by reference times, since those are measured, nor for a
    race that is left out. A stage or heat is no earlier result for another one of its event.

    Args:
        races: in order of date, columns `RACE_COLUMNS` but for `expected_source`.
        file: the file that a remark about a row names.
        unreadable: rows in which an expected time is typed that cannot be read; none is put in
            its place.

    Returns:
        the races, `expected_source` being the words of an estimate and empty elsewhere; and a
        remark for each estimate.
    """
    typed = races["expected_time_s"].notna()
    sources = np.full(len(races), "", dtype=object)
    times = races["expected_time_s"].to_numpy(float).copy()
    notices = []
    if not races["reference_time_s"].notna().any():
        earlier, waiting = _Results(), list[dict[str, Any]]()
        for place, row in enumerate(races.to_dict("records")):
            for other in [other for other in waiting if not _one_event(other, row)]:
                earlier.add(other)
            waiting = [*(other for other in waiting if _one_event(other, row)), row]
            known = typed.iat[place] or row["row"] in unreadable or row["leave_out"]
            found = None if known else earlier.estimate(row)
            if found:
                times[place], sources[place] = found
                remark = f"none is typed; {about(found[0])} is used, {found[1]}"
                notices.append(Notice(file, int(row["row"]), "expected_time", "estimate", remark))
    filled = races.assign(expected_time_s=times)
    filled["expected_source"] = pd.Series(sources, index=races.index, dtype=object)
    return filled, notices


class _Results:
    """The results of earlier races, kept in order so that a further one looks at few of them."""

    def __init__(self) -> None:
        self._times: dict[tuple[Any, ...], list[float]] = {}
        self._distances: dict[tuple[Any, ...], list[float]] = {}
        self._latest: dict[tuple[Any, ...], dict[str, Any]] = {}

    def add(self, race: dict[str, Any]) -> None:
        """Keeps what the race says, where it is a result; races come in order of date."""
        finished = (
            race["finish_time_s"] > 0 and race["status"] == "finished" and not race["leave_out"]
        )
        if not finished:
            return
        insort(self._times.setdefault(_course(race), []), race["finish_time_s"])
        sports, km = race["sports"], kilometres(race["distance"])
        shortest = LIMITS.journal.riegel_shortest_s
        if not (km > 0 and race["finish_time_s"] >= shortest):
            return
        latest = self._latest.get((sports, km))
        if latest is None:
            insort(self._distances.setdefault(sports, []), km)
        if latest is None or latest["date"] < race["date"]:
            self._latest[sports, km] = race

    def estimate(self, race: dict[str, Any]) -> tuple[float, str] | None:
        """(seconds, words) or None where the earlier results do not tell."""
        same = self._times.get(_course(race), [])
        if same and race["distance"].strip():
            plural = "" if len(same) == 1 else "s"
            words = (
                f"an estimate: the median of {len(same)} earlier result{plural} over the distance"
            )
            return median(same), words
        sports, distance = race["sports"], kilometres(race["distance"])
        known = self._distances.get(sports, [])
        if len(sports) != 1 or not (distance > 0 and known):
            return None
        place = bisect_left(known, distance)
        near = [
            (max(km, distance) / min(km, distance), km)
            for km in known[max(place - 1, 0) : place + 1]
        ]
        # of two alike the later one is taken
        latest = {km: self._latest[sports, km]["date"].toordinal() for _, km in near}
        apart, km = min(near, key=lambda item: (item[0], -latest[item[1]]))
        if apart > LIMITS.journal.widest_distance_ratio:
            return None
        other = self._latest[sports, km]
        exponent = PUBLISHED.result.riegel_exponent.value
        seconds = other["finish_time_s"] * (distance / km) ** exponent
        return (
            seconds,
            f"an estimate: {km:g} km on {other['date']} by Riegel's exponent {exponent:g}",
        )


def _one_event(race: dict[str, Any], later: dict[str, Any]) -> bool:
    """Whether both are stages or heats of one event, as `stages_of` of the race weeks has them."""
    apart = later["date"] - race["date"]
    same = race["event"] and race["event"].casefold() == later["event"].casefold()
    return bool(same) and apart <= timedelta(days=LIMITS.race_day.event_gap_days)


def _course(race: dict[str, Any]) -> tuple[Any, ...]:
    """What two races have in common whose times can be compared as they are."""
    return race["sports"], race["distance"].strip().lower()


def kilometres(distance: str) -> float:
    """The distance that a typed one begins with or is named by, in kilometres; NaN without one.

    >>> kilometres("10 km road"), kilometres("Half marathon"), kilometres("5k")
    (10.0, 21.0975, 5.0)
    >>> kilometres("100 m freestyle"), round(kilometres("50 miles"), 2), kilometres("olympic")
    (0.1, 80.47, nan)
    """
    typed = distance.strip().lower()
    if typed in KILOMETRES:
        return KILOMETRES[typed]
    parts = re.match(r"(\d+(?:[.,]\d+)?)\s*([a-z]+)\b", typed)
    if not parts or parts[2] not in UNITS_KM:
        return float("nan")
    return float(parts[1].replace(",", ".")) * UNITS_KM[parts[2]]
