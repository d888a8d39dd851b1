"""Tables to take along, for a spreadsheet: the race weeks, and next time's week."""

from __future__ import annotations

import csv
import io

import pandas as pd

from taperback.common.sinks import csv_word
from taperback.report.words.wording import days_before, sport_word
from taperback.study.next_week import NextWeek

COLUMNS = ("days_to_race", "day", "sport", "minutes")


def words_csv(table: pd.DataFrame) -> str:
    """The table as CSV; words stand in quotes and stay words in a spreadsheet."""
    words = table.select_dtypes(exclude="number").map(_as_word)
    quoting = csv.QUOTE_NONNUMERIC
    text: str = table.assign(**words).to_csv(index=False, lineterminator="\n", quoting=quoting)
    return text


def _as_word(cell: object) -> object:
    return csv_word(cell) if isinstance(cell, str) else cell


def next_week_csv(week: NextWeek) -> str:
    """The planned sessions as CSV; only the heading where there is no plan."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(COLUMNS)
    for session in week.sessions:
        day = days_before(-session.days_to_race)
        sport = csv_word(sport_word(session.sport))
        writer.writerow((session.days_to_race, day, sport, session.minutes))
    return text.getvalue()
