"""What is wrong from night to night: nights so short that they may be parts of a day."""

from __future__ import annotations

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault


def without_fractions(nights: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The nights, those in parts of a day unknown; and a line where nights are as short as that."""
    short = _very_short(nights)
    if not short.any():
        return nights, []
    first = nights[short].iloc[0]
    row, hours = int(first["row"]), f"{first['sleep_h']:.2g}"
    if not _are_fractions(nights):
        found = f"{hours} is a night of {60 * first['sleep_h']:.0f} minutes"
        remedy = "it is used; a time that a spreadsheet keeps as a part of a day looks like it"
        return nights, [Notice(file, row, "sleep_h", "short-night", found, remedy)]
    found = f"{hours} and most nights are under an hour, as times that are kept as parts of a day"
    remedy = "write hours, such as 7.5 or 7:30; until then none of these nights is used"
    unknown = nights.assign(sleep_h=nights["sleep_h"].mask(short, float("nan")))
    return unknown, [fault(file, row, "sleep_h", "part-of-a-day", found, remedy)]


def _very_short(nights: pd.DataFrame) -> pd.Series:
    """Whether each night is above 0 and very short; no sleep at all is a night that exists."""
    hours = nights["sleep_h"]
    return (hours > 0) & (hours < LIMITS.journal.very_short_night_h)


def _are_fractions(nights: pd.DataFrame) -> bool:
    """Whether most nights are so short that they must be parts of a day."""
    short, slept = _very_short(nights).sum(), (nights["sleep_h"] > 0).sum()
    fewest = LIMITS.journal.fewest_very_short_nights
    return bool(short >= fewest and short > slept / 2)
