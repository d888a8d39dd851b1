"""Rows of the journal that are one race: the stages or heats of an event."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.wording import number_of

Row = dict[str, Any]
"""One row of the journal's races by column."""

_TIMES = ("finish_time_s", "expected_time_s", "reference_time_s")


def stages_of(races: pd.DataFrame) -> list[list[int]]:
    """The places of the rows that are each race, in order of its first day.

    Rows with the same word under `event` are one race where each follows within
    `event_gap_days` of the one before, so that next year's event is another; case does not matter.

    Args:
        races: `RACE_COLUMNS`, in order of date.
    """
    groups: list[list[int]] = []
    latest: dict[str, list[int]] = {}
    days = races["date"].to_list()
    most = timedelta(days=LIMITS.race_day.event_gap_days)
    for place, word in enumerate(word.casefold() for word in races["event"]):
        group = latest.get(word) if word else None
        if group and days[place] - days[group[-1]] <= most:
            group.append(place)
        else:
            latest[word] = [place]
            groups.append(latest[word])
    return groups


def with_events(races: pd.DataFrame) -> pd.DataFrame:
    """One row for each race, events as one: their first day, their times summed.

    A time of an event is known where all its stages have one. It has the place of its last stage,
    the mean race RPE and temperature, and the status of the first stage that was not finished;
    stages that were cancelled are left out.
    """
    groups = stages_of(races)
    if len(groups) == len(races):
        return races
    rows = races.to_dict("records")
    merged = [_as_one([rows[place] for place in group]) for group in groups]
    return pd.DataFrame(merged, columns=races.columns).astype(races.dtypes.to_dict())


def _as_one(rows: Sequence[Row]) -> Row:
    held = [row for row in rows if row["status"] != "cancelled"] or list(rows)
    if len(held) == 1:
        return held[0]
    first, last = held[0], held[-1]
    return first | {
        **{name: sum(row[name] for row in held) for name in _TIMES},
        **pd.DataFrame(held)[["race_rpe", "temp_c"]].astype(float).mean().to_dict(),
        **{name: last[name] for name in ("place", "field_size")},
        "name": first["event"],
        "sports": tuple(dict.fromkeys(sport for row in held for sport in row["sports"])),
        "distance": number_of(len(held), "stage"),
        "status": next((r["status"] for r in held if r["status"] != "finished"), "finished"),
        "aim": "main" if any(row["aim"] == "main" for row in held) else first["aim"],
        "leave_out": next((row["leave_out"] for row in held if row["leave_out"]), ""),
        "notes": "; ".join(dict.fromkeys(row["notes"] for row in held if row["notes"])),
    }
