"""Where a leg lies in the athlete's calendar: its local clock and its local day."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
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
    return _zone_at(round(lon, 2), round(lat, 2)) or ""


_zone_at = lru_cache(4096)(tzfpy.get_tz)
_zone = lru_cache(512)(ZoneInfo)


def is_zone(name: str) -> bool:
    """Whether this machine knows an IANA zone of that name.

    >>> is_zone("Europe/Lisbon"), is_zone("Europe")
    (True, False)
    """
    try:
        return bool(_zone(name))
    except (LookupError, ValueError, OSError):
        return False


def place_legs(legs: pd.DataFrame, home_zone: str) -> pd.DataFrame:
    """The legs with `leg_id`, the offset believed, the local start and the local day.

    The file's own offset comes first, then the zone of the start position, then the home zone.
    A file's offset of zero that the position contradicts is a clock that does not know it.
    """
    start_s = unix_seconds(legs["start_utc"])
    believed: list[tuple[float, str]] = []
    for at, in_file_s, zone in zip(start_s, legs["file_utc_offset_s"], legs["zone"], strict=True):
        by_position_s = utc_offset_s(at, zone) if zone else in_file_s
        if np.isfinite(in_file_s) and (in_file_s or not by_position_s):
            believed.append((in_file_s, "file"))
        elif zone:
            believed.append((by_position_s, "position"))
        else:
            believed.append((utc_offset_s(at, home_zone), "home"))
    offsets = np.array([offset for offset, _ in believed], float)
    local = np.round((start_s + offsets) * 1e6).astype("datetime64[us]")
    placed = legs.copy()
    placed["leg_id"] = [
        f"{digest[:10]}.{index}"
        for digest, index in zip(legs["digest"], legs["leg_index"], strict=True)
    ]
    placed["utc_offset_s"] = offsets
    placed["offset_source"] = pd.Series([s for _, s in believed], index=legs.index, dtype=object)
    placed["local_start"] = local.astype("datetime64[ns]")
    placed["local_day"] = pd.Series(
        local.astype("datetime64[D]").tolist(), index=legs.index, dtype=object
    )
    return placed[list(PLACED_COLUMNS)]


def unix_seconds(moments: pd.Series) -> np.ndarray:
    """Unix seconds of timezone-aware moments; shape (n,)."""
    microseconds: np.ndarray = moments.dt.tz_localize(None).to_numpy("datetime64[us]")
    return microseconds.astype(np.int64) / 1e6


def utc_offset_s(unix_s: float, zone: str) -> float:
    """Seconds that the zone's clock is ahead of UTC at that moment."""
    offset = datetime.fromtimestamp(unix_s, _zone(zone)).utcoffset()
    return offset.total_seconds() if offset is not None else 0.0
