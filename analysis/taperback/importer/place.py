"""Where a leg lies in the athlete's calendar: its local clock and its local day."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import tzfpy

from taperback.importer.model import PLACED_COLUMNS


def zone_at(lat: float, lon: float) -> str:
    """IANA zone of a position, empty where there is none.

    >>> zone_at(40.0, -8.0)
    'Europe/Lisbon'
    """
    if not (np.isfinite(lat) and np.isfinite(lon)):
        return ""
    # A hundredth of a degree is about a kilometre; an athlete's legs start at few such places.
    return _zone_at(round(lat, 2), round(lon, 2))


@cache
def _zone_at(lat: float, lon: float) -> str:
    return tzfpy.get_tz(lon, lat) or ""


def place_legs(legs: pd.DataFrame, home_zone: str) -> pd.DataFrame:
    """The legs with `leg_id`, the offset believed, the local start and the local day.

    The file's own offset comes first, then the zone of the start position, then the home zone.
    """
    placed = legs.copy()
    placed["leg_id"] = [
        f"{digest[:10]}.{index}"
        for digest, index in zip(legs["digest"], legs["leg_index"], strict=True)
    ]
    offsets, sources, starts = [], [], []
    for start, offset, zone in zip(
        legs["start_utc"], legs["file_utc_offset_s"], legs["zone"], strict=True
    ):
        source = "file" if np.isfinite(offset) else "position" if zone else "home"
        if source != "file":
            offset = utc_offset_s(start.to_pydatetime().timestamp(), zone or home_zone)
        offsets.append(float(offset))
        sources.append(source)
        starts.append((start + timedelta(seconds=float(offset))).tz_localize(None))
    placed["utc_offset_s"] = pd.Series(offsets, index=legs.index, dtype=float)
    placed["offset_source"] = pd.Series(sources, index=legs.index, dtype=object)
    placed["local_start"] = pd.Series(starts, index=legs.index, dtype="datetime64[ns]")
    placed["local_day"] = pd.Series([s.date() for s in starts], index=legs.index, dtype=object)
    return placed[list(PLACED_COLUMNS)]


def utc_offset_s(unix_s: float, zone: str) -> float:
    """Seconds that the zone's clock is ahead of UTC at that moment."""
    offset = datetime.fromtimestamp(unix_s, ZoneInfo(zone)).utcoffset()
    return offset.total_seconds() if offset is not None else 0.0
