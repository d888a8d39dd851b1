"""Nights from stretches of sleep that files hold."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.importer.local_day import unix_seconds, utc_offset_s
from taperback.importer.model import NIGHT_COLUMNS
from taperback.importer.recording import SleepRecord


@dataclass(frozen=True)
class _Sleep:
    """Sleep without a long time awake inside, by the local clock [Unix s, shifted]."""

    file: str
    start_s: float
    end_s: float
    asleep_s: float

    @property
    def day(self) -> date:
        return datetime.fromtimestamp(self.end_s, tz=UTC).date()


def nights_frame(
    sleeps: list[tuple[str, SleepRecord]], offset_at: Callable[[float], float]
) -> tuple[pd.DataFrame, list[Notice]]:
    """(one row a local day of waking, columns `NIGHT_COLUMNS`; what was not counted).

    Stretches of one night add up, one in two files counts once, and a nap by day is no night.

    Args:
        sleeps: (file, stretch of sleep).
        offset_at: Unix seconds -> UTC offset of the athlete's clock [s], where a file has none.
    """
    limits = LIMITS.nights
    asleep = []
    for file, sleep in sleeps:
        start, end = sleep.start_utc.timestamp(), sleep.end_utc.timestamp()
        offset = sleep.utc_offset_s if sleep.utc_offset_s == sleep.utc_offset_s else offset_at(end)
        if sleep.asleep_s > 0:
            asleep.append(_Sleep(file, start + offset, end + offset, sleep.asleep_s))
    by_day: dict[date, list[_Sleep]] = {}
    notices = []
    for one in _joined(_once(asleep), limits.apart_h * 3600):
        from_h, to_h = ((moment % 86_400) / 3600 for moment in (one.start_s, one.end_s))
        by_daylight = limits.day_from_h <= from_h <= to_h <= limits.day_to_h
        if by_daylight and one.asleep_s < limits.nap_h * 3600:
            hours = f"{one.asleep_s / 3600:.1f} h"
            found = f"a nap of {hours} on {one.day} was not counted as a night"
            notices.append(Notice(one.file, 0, "", "nap", found))
        else:
            by_day.setdefault(one.day, []).append(one)
    rows = [
        (day, sum(one.asleep_s for one in night) / 3600, np.nan, "file", night[0].file)
        for day, night in sorted(by_day.items())
    ]
    return pd.DataFrame(rows, columns=list(NIGHT_COLUMNS)), notices


def clock_of(legs: pd.DataFrame, home_zone: str) -> Callable[[float], float]:
    """The UTC offset [s] at a moment [Unix s]: the nearest leg's if it is near, else home's."""
    near_s = LIMITS.nights.near_leg_h * 3600
    starts = unix_seconds(legs["start_utc"])
    order = np.argsort(starts)
    starts, offsets = starts[order], legs["utc_offset_s"].to_numpy(float)[order]

    def offset_at(unix_s: float) -> float:
        after = int(np.searchsorted(starts, unix_s))
        near = [at for at in (after - 1, after) if 0 <= at < len(starts)]
        nearest = min(near, key=lambda at: abs(starts[at] - unix_s), default=None)
        if nearest is None or abs(starts[nearest] - unix_s) > near_s:
            return utc_offset_s(unix_s, home_zone)
        return float(offsets[nearest])

    return offset_at


def _once(sleeps: list[_Sleep]) -> list[_Sleep]:
    """The stretches in order of time; of those that overlap, the one with most sleep."""
    kept: list[_Sleep] = []
    for sleep in sorted(sleeps, key=lambda one: (one.start_s, one.file)):
        last = kept[-1] if kept else None
        if last is None or sleep.start_s >= last.end_s:
            kept.append(sleep)
        elif sleep.asleep_s > last.asleep_s:
            kept[-1] = sleep
    return kept


def _joined(sleeps: list[_Sleep], apart_s: float) -> list[_Sleep]:
    """Stretches with only a short time awake between them, as one."""
    joined: list[_Sleep] = []
    for sleep in sleeps:
        last = joined[-1] if joined else None
        if last is not None and sleep.start_s - last.end_s < apart_s:
            asleep_s = last.asleep_s + sleep.asleep_s
            joined[-1] = _Sleep(last.file, last.start_s, sleep.end_s, asleep_s)
        else:
            joined.append(sleep)
    return joined
