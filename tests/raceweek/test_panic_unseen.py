"""Where nothing tells hard from easy, no flag is said to be none with a caveat."""

from __future__ import annotations

from build import habit, journal, leg, one_race
from taperback.raceweek.factors.panic import HARD_UNSEEN, panic


def test_none_says_that_hard_work_was_not_seen() -> None:
    easy = [leg(k, hours=0.5, hard_min=None) for k in range(-7, 0)]
    blind = [leg(k, hard_min=None) for k in range(-56, -7)]
    for legs, caveat in (([*habit(), *easy], HARD_UNSEEN), ([*blind, *easy], HARD_UNSEEN)):
        sessions, share, _ = panic(one_race(legs, journal()))
        assert (sessions.value, sessions.caveat, share.caveat) == (0.0, caveat, caveat)
        assert sessions.basis.endswith("hard sessions could not be looked for")
    sessions, _, _ = panic(one_race([*habit(), *(leg(k, hours=0.5) for k in range(-7, 0))]))
    assert (sessions.value, sessions.caveat) == (0.0, "")
