"""A hand-built diary of a race's last three weeks."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd

from taperback.journal.columns import TABLES
from taperback.raceweek.model import DIARY_COLUMNS


def diary_of(day0: date) -> pd.DataFrame:
    """A diary with a gap, a day of notes alone, a massage, and a rating that was never typed."""
    absent = {name: column.absent for name, column in TABLES["days"].columns.items()}
    rows = [
        absent
        | {
            "day": day0 + timedelta(d),
            "days_to_race": d,
            "fatigue": float(2 + d % 5),
            "stress": float(1 + d % 3) if d > -9 else float("nan"),
            "soreness": 3.0,
            "resting_hr_bpm": float(48 + d % 4),
            "massage": {-3: True, -2: False}.get(d),
            "notes": "slept in a tent" if d == -1 else "",
        }
        for d in range(-21, 1)
        if d not in (-12, -11)
    ]
    rows[-1] |= dict.fromkeys(("fatigue", "stress", "soreness", "resting_hr_bpm"), float("nan"))
    return pd.DataFrame(rows).reindex(columns=list(DIARY_COLUMNS))
