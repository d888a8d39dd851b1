"""One effort a race: thresholds, zones and heart ranges, and what is asked of them."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from build import DAY0, NAN, day, habit, imported, journal, leg, race
from raceweek.efforts import kilometres, window_and_effort
from taperback.importer.model import Bout
from taperback.journal.model import Threshold
from taperback.raceweek.effort import thresholds
from taperback.raceweek.effort.effort import effort_by_race
from taperback.raceweek.effort.thresholds import Thresholds
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.calendar import windows


def test_there_is_one_effort_a_race_in_order() -> None:
    legs = [leg(k) for k in range(-156, 0)]
    efforts = effort_by_race(windows(imported(legs), journal(race(-100), race())))
    assert list(efforts) == [day(-100).isoformat(), DAY0.isoformat()]
    for effort in efforts.values():
        assert isinstance(effort.thresholds["running"], Thresholds)


def test_legs_get_their_time_by_zone_and_keep_their_order() -> None:
    window, effort = window_and_effort([leg(-3, hard_min=10), leg(-2, hard_min=None)])
    legs = effort.of(window.training(-7, -1))
    assert legs["hard_min"].tolist()[0] == 10
    assert np.isnan(legs["hard_min"].tolist()[1])
    assert legs["days_to_race"].tolist() == [-3, -2]


def test_hard_minutes_by_day_leave_unknown_days_out() -> None:
    legs = [leg(-3, hard_min=10), leg(-3, hard_min=5, at=17), leg(-2, hard_min=None)]
    window, effort = window_and_effort(legs)
    assert effort.hard_min_by_day(window) == {day(-3): 15.0}


def test_the_days_of_a_race_week_carry_them() -> None:
    legs = [*habit(), leg(-5), leg(-3, hard_min=10), leg(-2, hard_min=None)]
    (week,) = race_weeks(imported(legs), journal())
    hard = week.days.set_index("days_to_race")["hard_min"]
    assert hard[-3] == 10
    assert hard[-4] == 0  # a rest day
    assert np.isnan(hard[-2])
    assert hard[-20] == pytest.approx(6)


def test_hearts_know_rest_and_highest() -> None:
    typed = (Threshold(date(2020, 1, 1), "", "resting_heart_rate_bpm", 50.0),)
    _, effort = window_and_effort(habit(), journal(thresholds=typed))
    heart = effort.hearts["running"]
    assert (heart.resting_bpm, heart.highest_bpm) == (50.0, 175.0)
    assert heart.highest_words == "the highest seen for 30 s,"


def test_the_highest_heart_rate_is_looked_for_once_a_sport_in_the_order_of_names(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It looks at every leg of every race."""
    asked: list[str] = []

    def highest_seen(windows: object, sport: str) -> float:
        asked.append(sport)
        return 180.0

    monkeypatch.setattr(thresholds, "highest_seen", highest_seen)
    legs = [leg(k, sport) for k in (-20, -3) for sport in ("running", "cycling", "swimming")]
    _, effort = window_and_effort(legs)
    assert asked == ["cycling", "running", "swimming"]
    assert [heart.highest_bpm for heart in effort.hearts.values()] == [180.0] * 3
    assert list(effort.hearts) == asked


def test_repetitions_are_judged_by_the_sports_own_signal() -> None:
    easy = tuple(Bout(900.0 + 400 * k, 300, 1000.0, 3.33, NAN, 140) for k in range(5))
    window, effort = window_and_effort([kilometres(-5, 5, 225), leg(-3, bouts=easy)])
    hard_leg, easy_leg = window.training(-7, -1)
    assert str(effort.repetitions(hard_leg)) == "5 x 1 km at 3:45 /km"
    assert effort.repetitions(easy_leg) is None


def test_bouts_without_that_signal_are_taken_as_they_stand() -> None:
    dumb = tuple(Bout(900.0 + 400 * k, 300, 1000.0, 3.33, NAN, NAN) for k in range(5))
    window, effort = window_and_effort([leg(-3, bouts=dumb)])
    (only,) = window.training(-7, -1)
    assert str(effort.repetitions(only)) == "5 x 1 km at 5:00 /km"
