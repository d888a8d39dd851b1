"""What is wrong between cells that can each be read, within a row or from row to row."""

from __future__ import annotations

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, fault
from taperback.journal.cells import clock


def race_faults(races: pd.DataFrame, file: str) -> list[Notice]:
    """Races told twice, places beyond the field, and times that cannot belong to one race."""
    low, high = LIMITS.journal.finish_share
    notices = _repeated(races, file, ["date", "name"], "take one of the two out")
    for race in races.itertuples():
        if race.place > race.field_size:
            found = f"place {race.place:g} is larger than the field of {race.field_size:g}"
            notices.append(fault(file, race.row, "place", "place", found, "put one of them right"))
        for name in ("expected_time", "reference_time"):
            typed = getattr(race, f"{name}_s")
            ratio = typed / race.finish_time_s
            if not (ratio != ratio or low < ratio < high):
                told, finish = clock(typed), clock(race.finish_time_s)
                found = f"{told} cannot belong to a finish time of {finish}"
                remedy = "write both as h:mm:ss"
                notices.append(fault(file, race.row, name, "time", found, remedy))
    return notices


def night_faults(nights: pd.DataFrame, file: str) -> list[Notice]:
    """Nights that are told twice, and nights so short that they may be parts of a day."""
    notices = _repeated(nights, file, ["date"], "take one of the two out; the first is used")
    short = nights[_very_short(nights)]
    if not len(short):
        return notices
    first = short.iloc[0]
    row, hours = int(first["row"]), f"{first['sleep_h']:.2g}"
    if not _are_fractions(nights):
        found = f"{hours} is a night of {60 * first['sleep_h']:.0f} minutes"
        remedy = "it is used; a time that a spreadsheet keeps as a part of a day looks like it"
        return [*notices, Notice(file, row, "sleep_h", "short-night", found, remedy)]
    found = f"{hours} and most nights are under an hour, as times that are kept as parts of a day"
    remedy = "write hours, such as 7.5 or 7:30; until then none of these nights is used"
    return [*notices, fault(file, row, "sleep_h", "part-of-a-day", found, remedy)]


def without_fractions(nights: pd.DataFrame) -> pd.DataFrame:
    """The nights, those that are told in parts of a day unknown."""
    if not _are_fractions(nights):
        return nights
    return nights.assign(sleep_h=nights["sleep_h"].mask(_very_short(nights), float("nan")))


def _very_short(nights: pd.DataFrame) -> pd.Series:
    """Whether each night is above 0 and very short; no sleep at all is a night that exists."""
    hours = nights["sleep_h"]
    return (hours > 0) & (hours < LIMITS.journal.very_short_night_h)


def _are_fractions(nights: pd.DataFrame) -> bool:
    """Whether most nights are so short that they must be told in parts of a day."""
    short, told = _very_short(nights).sum(), (nights["sleep_h"] > 0).sum()
    fewest = LIMITS.journal.fewest_very_short_nights
    return bool(short >= fewest and short > told / 2)


def _repeated(table: pd.DataFrame, file: str, columns: list[str], remedy: str) -> list[Notice]:
    """A fault for each row that says again what an earlier row said."""
    first: dict[tuple, int] = {}
    notices = []
    for row in table.to_dict("records"):
        earlier = first.setdefault(tuple(row[name] for name in columns), row["row"])
        if earlier != row["row"]:
            found = f"row {earlier} has the same {' and '.join(columns)}"
            notices.append(fault(file, row["row"], columns[0], "repeated", found, remedy))
    return notices
