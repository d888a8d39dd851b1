"""A plan names the athlete's own sports, also those that have no page of their own."""

from __future__ import annotations

from build import imported, journal, leg
from taperback.journal.sports import Sport
from taperback.raceweek.table import race_weeks

BOOK = journal(counted=(Sport("running"), Sport("fencing")))


def test_days_keep_the_sport_that_was_trained() -> None:
    legs = [
        leg(k, sport, 0.5, hard_min=None) for k in range(-56, 0) for sport in ("fencing", "running")
    ]
    (week,) = race_weeks(imported(legs), BOOK)
    assert set().union(*week.days["hours"]) == {"fencing", "running"}
