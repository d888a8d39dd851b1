"""What is wrong within the diary: sessions, days and periods."""

from __future__ import annotations

import pandas as pd

from taperback.common.notices import Notice, fault
from taperback.journal.columns import RATINGS


def with_sub_sports(sessions: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The sessions, sport and sub-sport each a column; and one line on rows typed twice, if any.

    Two alike on one day are used both: a way to work and back is two sessions.
    """
    names = [name for name in sessions.columns if name != "row"]
    again = sessions[sessions.duplicated(names)]
    marked = sessions.assign(
        sport=[sport.sport for sport in sessions["sport"]],
        sub_sport=[sport.sub_sport for sport in sessions["sport"]],
    )
    if not len(again):
        return marked, []
    more = len(again) - 1
    found = "it says the same as an earlier row"
    found += f" (and {more} more row{'s do' if more > 1 else ' does'})" if more else ""
    remedy = "all are used as sessions of their own; delete what was typed twice"
    return marked, [Notice(file, int(again["row"].iloc[0]), "", "alike", found, remedy)]


def with_index(days: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The days with `hooper_index`, the sum of the ratings of days on which all were typed."""
    ratings = days[list(RATINGS)]
    return days.assign(hooper_index=ratings.sum(axis=1, min_count=len(RATINGS)).astype(float)), []


def without_backwards(periods: pd.DataFrame, file: str) -> tuple[pd.DataFrame, list[Notice]]:
    """The periods that do not end before they begin, and a line for each that does."""
    backwards = periods["last"] < periods["first"]
    notices = [
        fault(
            file,
            row.row,
            "last",
            "backwards",
            f"{row.last} lies before {row.first}",
            "swap them, or correct one",
        )
        for row in periods[backwards].itertuples()
    ]
    return periods[~backwards], notices
