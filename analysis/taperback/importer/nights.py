"""Nights from stretches of sleep that files hold."""

from __future__ import annotations

import pandas as pd

from taperback.importer.model import NIGHT_COLUMNS
from taperback.importer.place import utc_offset_s
from taperback.importer.recording import SleepRecord


def nights_frame(sleeps: list[tuple[str, SleepRecord]], home_zone: str) -> pd.DataFrame:
    """One row a local day of waking, columns `NIGHT_COLUMNS`; stretches of one night add up.

    A stretch told by two files is counted once.
    """
    by_day: dict = {}
    for file, sleep in sorted(sleeps, key=lambda item: (item[1].start_utc, item[0])):
        offset = sleep.utc_offset_s
        if offset != offset:
            offset = utc_offset_s(sleep.end_utc.timestamp(), home_zone)
        day = (sleep.end_utc + pd.Timedelta(seconds=offset)).date()
        stretches = by_day.setdefault(day, [])
        if all(sleep.start_utc >= other.end_utc for _, other in stretches):
            stretches.append((file, sleep))
    rows = [
        (day, sum(s.asleep_s for _, s in stretches) / 3600, float("nan"), "file", stretches[0][0])
        for day, stretches in sorted(by_day.items())
    ]
    return pd.DataFrame(rows, columns=list(NIGHT_COLUMNS))
