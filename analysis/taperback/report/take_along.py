"""Tables to take along, for a spreadsheet: the race weeks, and next time's week."""

from __future__ import annotations

import csv
import io

import pandas as pd

from taperback.report.words.wording import days_before, sport_word
from taperback.study.next_week import NextWeek

COLUMNS = ("days_to_race", "day", "sport", "minutes")

COMPUTED = ("=", "+", "-", "@", "\t", "\r")
"""How a cell starts that a spreadsheet computes instead of showing it."""


def words_csv(table: pd.DataFrame) -> str:
    """The table as CSV; typed words stay words in a spreadsheet.

    A typed word that a spreadsheet would compute gets an apostrophe before it.
    """
    words = table.select_dtypes(exclude="number").map(_as_word)
    return table.assign(**words).to_csv(index=False, lineterminator="\n")


def _as_word(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(COMPUTED) else cell


def next_week_csv(week: NextWeek) -> str:
    """The planned sessions as CSV; only the heading where there is no plan."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for session in week.sessions:
        day = days_before(-session.days_to_race)
        writer.writerow((session.days_to_race, day, sport_word(session.sport), session.minutes))
    return text.getvalue()
