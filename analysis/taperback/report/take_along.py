"""Tables to take along, for a spreadsheet: the race weeks, and next time's week."""

from __future__ import annotations

import csv
import io

import pandas as pd

from taperback.common.dates import weekday
from taperback.common.sinks import csv_word
from taperback.report.words.wording import days_before, sport_word
from taperback.study.next_week import NextWeek

COLUMNS = ("days_to_race", "day", "sport", "minutes", "hard_min", "work", "date", "weekday")


def words_csv(table: pd.DataFrame) -> str:
    """The table as CSV; words stand in quotes and stay words in a spreadsheet."""
    words = table.select_dtypes(exclude="number").map(
        lambda cell: csv_word(cell) if isinstance(cell, str) else cell
    )
    quoting = csv.QUOTE_NONNUMERIC
    text: str = table.assign(**words).to_csv(index=False, lineterminator="\n", quoting=quoting)
    return text


def next_week_csv(week: NextWeek) -> str:
    """The planned sessions as CSV; only the heading where there is no plan.

    `hard_min` is empty where it is unknown; `date` and `weekday` are where no race is ahead.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(COLUMNS)
    for session in week.sessions:
        writer.writerow(
            (
                session.days_to_race,
                days_before(-session.days_to_race),
                csv_word(sport_word(session.sport)),
                session.minutes,
                session.hard_min,
                "opener" if session.opener else csv_word(session.work),
                session.day.isoformat() if session.day else "",
                weekday(session.day) if session.day else "",
            )
        )
    return text.getvalue()
