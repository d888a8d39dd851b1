"""Next time's week as a table to take along: a row a session, days before the race."""

from __future__ import annotations

import csv
import io

from taperback.next_week import NextWeek
from taperback.report.wording import days_before, sport_word

COLUMNS = ("days_to_race", "day", "sport", "minutes")


def next_week_csv(week: NextWeek) -> str:
    """The planned sessions as CSV; only the heading where there is no plan."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for session in week.sessions:
        day = days_before(-session.days_to_race)
        writer.writerow((session.days_to_race, day, sport_word(session.sport), session.minutes))
    return text.getvalue()
