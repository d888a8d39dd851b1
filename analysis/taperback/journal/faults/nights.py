"""What is wrong from night to night: nights so short that they may be parts of a day."""

from __future__ import annotations

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault


def without_fractions(nights: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The nights, those in parts of a day unknown; and a line where nights are as short as that."""
    limits, hours = LIMITS.journal, nights["sleep_h"]
    slept = hours > 0  # no sleep at all is a night that exists
    short = slept & (hours < limits.very_short_night_h)
    if not short.any():
        return nights, []
    first = nights[short].iloc[0]
    row, typed = int(first["row"]), f"{first['sleep_h']:.2g}"
    if short.sum() < limits.fewest_very_short_nights or short.sum() <= slept.sum() / 2:
        found = f"{typed} is a night of {60 * first['sleep_h']:.0f} minutes"
        remedy = "it is used; a time that a spreadsheet keeps as a part of a day looks like it"
        return nights, [Notice(file, row, "sleep_h", "short-night", found, remedy)]
    found = f"{typed} and most nights are under an hour, as times that are kept as parts of a day"
    remedy = "write hours, such as 7.5 or 7:30; until then none of these nights is used"
    unknown = nights.assign(sleep_h=hours.mask(short, float("nan")))
    return unknown, [fault(file, row, "sleep_h", "part-of-a-day", found, remedy)]
