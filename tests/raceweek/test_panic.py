"""How much was panic training, and the emptied week."""

from __future__ import annotations

import pytest

from build import day, journal, leg, race
from raceweek.efforts import measured_by
from raceweek.quiet_taper import QUIET, USUAL
from taperback.common.quantities import QUANTITIES
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal, Period
from taperback.raceweek.factors.panic import panic
from taperback.raceweek.model import Measured


def measured(legs: list[LegSummary], book: Journal | None = None) -> dict[str, Measured]:
    return measured_by(panic, legs, book)


def test_the_score_is_the_share_of_time_outside_habit() -> None:
    got = measured([*USUAL, *QUIET[:-1], leg(-1, hours=1.6)])
    assert got["panic_sessions"].value == 1
    assert got["panic_score"].value == pytest.approx(1.6 / (9 * 0.4 + 1.6))
    assert got["panic_score"].basis == (
        "1.6 h of 5.2 h on days \u221210 to \u22121 lay in sessions outside habit (long)"
    )
    assert len(got["panic_sessions"].legs) == 1


def test_a_quiet_week_scores_nought_and_is_known() -> None:
    got = measured(USUAL + QUIET)
    assert (got["panic_sessions"].value, got["panic_score"].value) == (0, 0)
    assert len(got["panic_score"].days) == 10


def test_unknown_days_and_a_missing_baseline_leave_the_score_unknown() -> None:
    gap = journal(periods=(Period(day(-7), day(-1), "gap"),))
    assert "7 of 10 days are not known" in measured(USUAL + QUIET[:3], gap)["panic_score"].reason
    got = measured([leg(k) for k in range(-12, 0)])
    assert "baseline weeks can be used" in got["panic_sessions"].reason


def test_ten_days_without_training_hold_no_panic() -> None:
    rest = journal(periods=(Period(day(-10), day(-1), "rest"),))
    got = measured([one for one in USUAL if one.start_utc.date() < day(-10)], rest)
    assert (got["panic_sessions"].value, got["panic_score"].value) == (0, 0)
    assert got["panic_score"].basis.endswith("lay in sessions outside habit (no rule caught any)")


def test_before_a_tune_up_no_panic_is_looked_for() -> None:
    got = measured([*USUAL, *QUIET[:-1], leg(-1, hours=1.6)], journal(race(aim="tune-up")))
    for name in ("panic_sessions", "panic_score"):
        assert got[name].reason == "a tune-up is trained through, so no panic is looked for"
        assert len(got[name].days) == 10


def test_an_emptied_week_is_told() -> None:
    rest = journal(periods=(Period(day(-7), day(-1), "rest"),))
    got = measured(USUAL, rest)["emptied_week"]
    assert got.value == "under 30% of a usual week and no hard work at all"
    easy = [leg(k, hours=0.6) for k in range(-10, 0)]
    assert measured(USUAL + easy)["emptied_week"].value == "no hard work at all"
    assert measured(USUAL + QUIET)["emptied_week"].value == "no"


def test_an_emptied_week_of_unknown_intensity_says_so() -> None:
    dumb = [leg(k, hours=0.1, hard_min=None) for k in range(-10, 0)]
    got = measured(USUAL + dumb)["emptied_week"]
    assert got.value == "under 30% of a usual week"
    assert "whether any of it was hard is not known" in got.basis


def test_a_week_whose_one_hard_session_may_have_gone_unseen_is_not_told_as_easy() -> None:
    part = [leg(k, hours=0.6, hard_min=None if k == -4 else 0) for k in range(-10, 0)]
    got = measured(USUAL + part)["emptied_week"]
    assert got.value == "no"
    assert "whether any of it was hard is not known" in got.basis


def test_names_are_known_to_the_report() -> None:
    assert set(measured(USUAL + QUIET)) <= set(QUANTITIES)
