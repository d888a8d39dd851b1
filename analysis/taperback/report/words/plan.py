"""Next time's sessions as an athlete writes them into a diary."""

from __future__ import annotations

from taperback.common.quantities import QUANTITIES
from taperback.common.wording import hours_and_minutes
from taperback.report.words.wording import sport_word
from taperback.study.next_days import PlannedSession


def session_words(session: PlannedSession) -> str:
    """A session in a line.

    >>> session_words(PlannedSession(-5, "running", 40, 11, "3 x 1 km at 3:45 /km"))
    'run 40 min, 11 min hard: 3 x 1 km at 3:45 /km'
    >>> session_words(PlannedSession(-5, "running", 40, 3, "at 3:45 /km"))
    'run 40 min, 3 min hard at 3:45 /km'
    >>> session_words(PlannedSession(-1, "cycling", 25, 2, opener=True))
    'bike 25 min with an opener, 2 min hard'
    """
    words = f"{sport_word(session.sport)} {hours_and_minutes(session.minutes)}"
    if not session.hard_min:
        return words
    opener = " with an opener" if session.opener else ""
    words += f"{opener}, {QUANTITIES['hard_min'].show(session.hard_min)} hard"
    if not session.work:
        return words
    return (
        f"{words} {session.work}" if session.work.startswith("at ") else f"{words}: {session.work}"
    )
