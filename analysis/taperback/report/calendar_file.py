"""Next time's week as a calendar file (iCalendar, RFC 5545): each session an all-day entry."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from hashlib import sha256

from taperback.common.sinks import calendar_word
from taperback.report.words.plan import session_words
from taperback.study.next_week import NextWeek


def next_week_ics(week: NextWeek, athlete: str) -> str:
    """The planned sessions before a race ahead; empty where no race is ahead or nothing is planned.

    It holds the athlete's own sessions: no name, no place, and not the race. An entry keeps its id
    from run to run, so that a calendar that is given the file again replaces it; which version is
    the newer is said by the last recorded day, and not by a clock.

    Args:
        week: the plan.
        athlete: whose it is, as anything that tells athletes apart; only a digest of it is written.
    """
    race = week.race
    if race is None or not week.sessions:
        return ""
    # it loads as much as all the rest of a page does, and few reports have a race ahead
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Taperback//next week//EN")
    calendar.add("version", "2.0")
    stamp = datetime.combine(race.last_day, time(), UTC)
    seen: dict[int, int] = {}
    for session in week.sessions:
        place = seen[session.days_to_race] = seen.get(session.days_to_race, -1) + 1
        identity = f"{athlete}\n{race.race_id}\n{session.days_to_race}\n{place}"
        entry = Event()
        entry.add("uid", sha256(identity.encode("utf-8", errors="replace")).hexdigest()[:32])
        entry.add("dtstamp", stamp)
        entry.add("summary", calendar_word(session_words(session)))
        if session.day is not None:
            entry.add("dtstart", session.day)
            entry.add("dtend", session.day + timedelta(days=1))
        # for the athlete alone, and no time that a calendar would call busy
        entry.add("transp", "TRANSPARENT")
        entry.add("class", "PRIVATE")
        calendar.add_component(entry)
    text: str = calendar.to_ical().decode("utf-8")
    return text
