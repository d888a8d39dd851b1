"""The rule becomes hours and minutes of a week the athlete has done."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pandas as pd
import pytest

from taperback.evidence.model import CutRange, Estimate, Rule, RulePart
from taperback.raceweek.model import Flag, Measured, RaceWeek, unknown
from taperback.study.next_week import plan_next_week

GAIN = Estimate(2.0, 0.5, 3.5)


def rule(low: float = 0.4, high: float = 0.6, best: float = 0.5) -> Rule:
    """A rule with a range of volume cut and three quarters of the intensity kept."""
    parts = (
        RulePart("volume_cut", low, high, best, GAIN, "leaning", "model"),
        RulePart("intensity_kept", 0.7, 1.1, 0.75, GAIN, "published only", "published"),
    )
    return Rule(
        parts,
        before=CutRange(0.35, 0.65, 0.5),
        best_inside=0.7,
        not_knowing=0.5,
        passed_up=0.0,
        at_most_lost=1.7,
        worthwhile=0.9,
        worthwhile_source="half of the race-to-race variation",
        worth_knowing=None,
        sensitivity=(),
    )


def race_week(
    day0: date,
    hours: dict[int, dict[str, float]],
    *,
    baseline_h: float | None = 10.0,
    flagged: bool = False,
    unknown_days: tuple[int, ...] = (),
    hard: dict[int, float] | None = None,
) -> RaceWeek:
    """A race week with these hours by sport on days before the race."""
    days = pd.DataFrame(
        {
            "day": [day0 + timedelta(d) for d in range(-7, 1)],
            "days_to_race": range(-7, 1),
            "state": ["unknown" if d in unknown_days else "recorded" for d in range(-7, 1)],
            "hours": [hours.get(d, {}) for d in range(-7, 1)],
            "hard_min": [(hard or {}).get(d, 0.0) for d in range(-7, 1)],
        }
    )
    total = sum(sum(by_sport.values()) for by_sport in hours.values())
    measures = {"volume_h": Measured("volume_h", total)}
    for name in ("baseline_weekly_h", "volume_cut", "baseline_hard_min"):
        measures[name] = unknown(name, "only two usable weeks")
    if baseline_h is not None:
        measures["baseline_weekly_h"] = Measured("baseline_weekly_h", baseline_h)
        measures["volume_cut"] = Measured("volume_cut", 1 - total / baseline_h)
        measures["baseline_hard_min"] = Measured("baseline_hard_min", 40.0)
    flag = Flag("late", day0 - timedelta(2), 2, ("a.0",), "run", 25.0, 10.0, "min", 0, 20)
    name = f"race of {day0}"
    flags = (flag,) if flagged else ()
    return RaceWeek(day0.isoformat(), name, day0, {}, measures, days, flags, ())


STEADY = race_week(
    date(2030, 5, 5), {-6: {"cycling": 2.0}, -4: {"running": 1.0}, -1: {"cycling": 1.0}}
)


def test_hours_follow_the_range_of_the_cut() -> None:
    plan = plan_next_week((STEADY,), rule(low=0.4, high=0.6, best=0.5))
    assert (plan.low_h, plan.target_h, plan.high_h) == pytest.approx((4.0, 5.0, 6.0))
    assert plan.reason == ""


def test_a_usual_week_without_training_is_no_measure_for_the_next() -> None:
    idle = replace(race_week(date(2030, 8, 5), {}, baseline_h=None), race_id="idle")
    idle.measures["baseline_weekly_h"] = Measured("baseline_weekly_h", 0.0)
    assert plan_next_week((STEADY, idle), rule()).baseline_race == STEADY.race_id
    assert plan_next_week((idle,), rule()).reason == "no usual week is known for any race"


def test_sessions_are_the_closest_week_scaled_to_the_target() -> None:
    plan = plan_next_week((STEADY,), rule(best=0.5))
    told = [(s.days_to_race, s.sport, s.minutes) for s in plan.sessions]
    assert told == [(-6, "cycling", 150), (-4, "running", 75), (-1, "cycling", 75)]
    assert sum(sport.target_h for sport in plan.sports) == pytest.approx(plan.target_h)


def test_the_pattern_is_the_week_closest_to_the_best_cut() -> None:
    light = race_week(date(2030, 8, 4), {-5: {"running": 3.0}})
    plan = plan_next_week((STEADY, light), rule(best=0.6))
    assert plan.pattern_race == STEADY.race_id
    assert plan_next_week((STEADY, light), rule(best=0.7)).pattern_race == light.race_id


def test_of_two_weeks_alike_the_later_one_is_taken() -> None:
    again = race_week(date(2031, 5, 4), {-6: {"cycling": 4.0}})
    assert plan_next_week((STEADY, again), rule()).pattern_race == again.race_id


def test_a_week_with_panic_training_is_never_copied() -> None:
    panicked = race_week(date(2030, 8, 4), {-5: {"running": 5.0}}, flagged=True)
    plan = plan_next_week((panicked,), rule())
    assert plan.sessions == ()
    assert plan.reason.startswith("no race week without panic flags")
    assert plan.target_h == pytest.approx(5.0)


def test_a_week_that_is_not_known_in_full_is_never_copied() -> None:
    hours = {-6: {"cycling": 5.0}}
    ended = race_week(date(2030, 8, 4), hours, unknown_days=(-2, -1))
    lost = race_week(date(2030, 9, 1), hours, unknown_days=(-7,))
    assert plan_next_week((STEADY, ended, lost), rule()).pattern_race == STEADY.race_id
    assert plan_next_week((ended,), rule()).sessions == ()
    raced = race_week(date(2030, 8, 4), hours, unknown_days=(0,))
    assert plan_next_week((STEADY, raced), rule()).pattern_race == raced.race_id


def test_hours_rest_on_the_latest_known_usual_week() -> None:
    later = race_week(date(2031, 5, 4), {-6: {"cycling": 6.0}}, baseline_h=12.0)
    unknown_week = race_week(date(2031, 9, 7), {-6: {"cycling": 6.0}}, baseline_h=None)
    plan = plan_next_week((STEADY, later, unknown_week), rule())
    assert (plan.baseline_race, plan.baseline_h) == (later.race_id, 12.0)


def test_hard_minutes_shrink_with_the_volume_and_the_intensity_kept() -> None:
    # 40 hard minutes a usual week, half the volume, three quarters of the share kept
    assert plan_next_week((STEADY,), rule(best=0.5)).hard_min == pytest.approx(15.0)


def test_sessions_too_short_to_be_worth_it_are_left_out() -> None:
    week = race_week(date(2030, 5, 5), {-6: {"cycling": 4.0}, -1: {"running": 0.1}})
    assert [s.sport for s in plan_next_week((week,), rule()).sessions] == ["cycling"]


def test_without_a_rule_there_is_no_plan_but_a_reason() -> None:
    plan = plan_next_week((STEADY,), None)
    assert plan.target_h is None
    assert plan.reason == "no rule could be given for the volume cut"


def test_without_a_usual_week_there_is_no_plan_but_a_reason() -> None:
    week = race_week(date(2030, 5, 5), {-6: {"cycling": 4.0}}, baseline_h=None)
    plan = plan_next_week((week,), rule())
    assert plan.target_h is None
    assert plan.reason == "no usual week is known for any race"
