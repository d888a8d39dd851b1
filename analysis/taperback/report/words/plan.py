"""Next time's sessions as an athlete writes them into a diary."""

from __future__ import annotations

from taperback.common.quantities import QUANTITIES
from taperback.common.wording import hours_and_minutes
from taperback.report.words.wording import sport_word
from taperback.study.next_days import PlannedSession


def session_words(session: PlannedSession) -> str:
    """A session in a line.

    >>> work = "3 x 1 km at 3:45 /km"
    >>> session_words(PlannedSession(-5, "running", 40, 11, work))
    'run 40 min, 11 min of it hard: 3 x 1 km at 3:45 /km'
    >>> session_words(PlannedSession(-1, "cycling", 25, 2, opener=True))
    'bike 25 min with an opener, 2 min of it hard'
    """
    words = f"{sport_word(session.sport)} {hours_and_minutes(session.minutes)}"
    if not session.hard_min:
        return words
    hard = f"{QUANTITIES['hard_min'].show(session.hard_min)} of it hard"
    if session.opener:
        return f"{words} with an opener, {hard}"
    return f"{words}, {hard}: {session.work}" if session.work else f"{words}, {hard}"
