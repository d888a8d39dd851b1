"""The same activity in two files is used once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from taperback.importer.place import unix_seconds
from taperback.resources import shared_toml

_LONGEST_S = 7 * 86_400.0

COPY_COLUMNS = ("file", "leg_index", "same_as", "reason")

_CHANNELS = ("power_seconds", "heart_rate_seconds", "speed_seconds")
_FORMATS = ("fit", "tcx", "gpx")
_NAMELESS = ("generic", "")


@dataclass(frozen=True)
class _Leg:
    """What tells one leg from another."""

    start_s: float
    end_s: float
    sport: str
    file: str
    leg_index: int
    leg_id: str
    digest: str
    rank: tuple


def drop_copies(legs: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """(legs with each activity once, the others with columns `COPY_COLUMNS`).

    Two legs are the same activity when their sport is the same, or one does not name it, and they
    overlap over 80% of the shorter. The richer one stays: one that names its sport, then more
    channels, then part of a multisport file, then the richer format, then the file first by name.
    """
    share = shared_toml("limits.toml")["copies"]["overlap_share"]
    every = _legs(legs)
    kept: list[int] = []
    rows = []
    by_hour: dict[int, list[_Leg]] = {}
    for place in sorted(range(len(every)), key=lambda place: every[place].rank):
        leg = every[place]
        hours = range(int(leg.start_s // 3600), int(leg.end_s // 3600) + 1)
        near = (other for hour in hours for other in by_hour.get(hour, ()))
        same = next((other for other in near if _is_same(leg, other, share)), None)
        if same is None:
            kept.append(place)
            for hour in hours:
                by_hour.setdefault(hour, []).append(leg)
        else:
            reason = "the same bytes" if leg.digest == same.digest else "the same time and sport"
            rows.append((leg.file, leg.leg_index, same.leg_id, reason))
    copies = pd.DataFrame(rows, columns=list(COPY_COLUMNS))
    return (
        legs.iloc[sorted(kept)].reset_index(drop=True),
        copies.sort_values(["file", "leg_index"], ignore_index=True),
    )


def _legs(legs: pd.DataFrame) -> list[_Leg]:
    starts = unix_seconds(legs["start_utc"])
    ends = starts + np.clip(legs["elapsed_s"].to_numpy(float), 1.0, _LONGEST_S)
    channels = sum(legs[name].notna().to_numpy().astype(int) for name in _CHANNELS)
    names = ("sport", "file", "leg_index", "leg_id", "digest", "file_format", "legs_in_file")
    return [
        _Leg(
            *(start, end, sport, file, index, leg_id, digest),
            (
                sport in _NAMELESS,
                -count,
                in_file == 1,
                _FORMATS.index(form) if form in _FORMATS else len(_FORMATS),
                file,
                index,
            ),
        )
        for start, end, count, sport, file, index, leg_id, digest, form, in_file in zip(
            starts.tolist(),
            ends.tolist(),
            channels.tolist(),
            *(legs[name].tolist() for name in names),
            strict=True,
        )
    ]


def _is_same(leg: _Leg, other: _Leg, share: float) -> bool:
    overlap = min(leg.end_s, other.end_s) - max(leg.start_s, other.start_s)
    shorter = min(leg.end_s - leg.start_s, other.end_s - other.start_s)
    alike = leg.sport == other.sport or leg.sport in _NAMELESS or other.sport in _NAMELESS
    return alike and overlap > share * shorter
