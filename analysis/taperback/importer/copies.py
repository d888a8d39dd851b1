"""The same activity in two files is used once."""

from __future__ import annotations

import numpy as np
import pandas as pd

OVERLAP = 0.8
"""Share of the shorter leg that must overlap for two legs to be one activity (design)."""

COPY_COLUMNS = ("file", "leg_index", "same_as", "reason")

_RICHNESS = {"fit": 2, "tcx": 1, "gpx": 0}


def drop_copies(legs: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """(legs with each activity once, the others with columns `COPY_COLUMNS`).

    Two legs are the same activity when their sport is the same, or one does not name it, and they
    overlap over 80% of the shorter. The richer one stays: more channels, then the richer format,
    then the file first by name.
    """
    order = _richest_first(legs)
    starts = legs["start_utc"].map(lambda moment: moment.timestamp()).to_numpy(float)
    ends = starts + np.maximum(legs["elapsed_s"].to_numpy(float), 1.0)
    kept: list[int] = []
    rows = []
    by_hour: dict[int, list[int]] = {}
    for place in order:
        same = _same_as(place, by_hour, starts, ends, legs)
        if same is None:
            kept.append(place)
            for hour in range(int(starts[place] // 3600), int(ends[place] // 3600) + 1):
                by_hour.setdefault(hour, []).append(place)
        else:
            rows.append(_row(legs, place, same))
    copies = pd.DataFrame(rows, columns=list(COPY_COLUMNS))
    return (
        legs.iloc[sorted(kept)].reset_index(drop=True),
        copies.sort_values(["file", "leg_index"], ignore_index=True),
    )


def _richest_first(legs: pd.DataFrame) -> list[int]:
    channels = ("power_seconds", "heart_rate_seconds", "speed_seconds")
    richness = [
        (
            -sum(row[name] is not None for name in channels),
            -_RICHNESS.get(row["file_format"], 0),
            row["file"],
            row["leg_index"],
        )
        for row in legs[[*channels, "file_format", "file", "leg_index"]].to_dict("records")
    ]
    return sorted(range(len(legs)), key=richness.__getitem__)


def _same_as(
    place: int,
    by_hour: dict[int, list[int]],
    starts: np.ndarray,
    ends: np.ndarray,
    legs: pd.DataFrame,
) -> int | None:
    """The kept leg that this one repeats, or None."""
    sports = legs["sport"]
    near: set[int] = set()
    for hour in range(int(starts[place] // 3600), int(ends[place] // 3600) + 1):
        near.update(by_hour.get(hour, ()))
    for other in sorted(near):
        overlap = min(ends[place], ends[other]) - max(starts[place], starts[other])
        shorter = min(ends[place] - starts[place], ends[other] - starts[other])
        pair = {sports.iat[place], sports.iat[other]}
        if overlap > OVERLAP * shorter and (len(pair) == 1 or "generic" in pair):
            return other
    return None


def _row(legs: pd.DataFrame, place: int, other: int) -> tuple:
    same_bytes = legs["digest"].iat[place] == legs["digest"].iat[other]
    reason = "the same bytes" if same_bytes else "the same time and sport"
    return legs["file"].iat[place], legs["leg_index"].iat[place], legs["leg_id"].iat[other], reason
