"""Race week's load by each scale, and what is made of it."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest

from build import NAN, THRESHOLD_BPM, day, habit, journal, leg
from raceweek.efforts import measured_by
from taperback.common.quantities import QUANTITIES
from taperback.importer.model import LegSummary
from taperback.journal.model import Journal, Period, Threshold
from taperback.raceweek.effort.dose import trimp
from taperback.raceweek.factors.load import load
from taperback.raceweek.model import Measured

RANGE = (
    Threshold(date(2020, 1, 1), "", "second_threshold_heart_rate_bpm", THRESHOLD_BPM),
    Threshold(date(2020, 1, 1), "", "max_heart_rate_bpm", 190),
    Threshold(date(2020, 1, 1), "", "resting_heart_rate_bpm", 60),
)
BOOK = journal(sex="female", thresholds=RANGE)


def rated(days_to_race: int, rpe: float, hours: float = 1.0, **changes: Any) -> LegSummary:
    fixed: dict[str, Any] = {"mean_heart_rate_bpm": 150.0, "session_rpe": rpe}
    return leg(days_to_race, hours=hours, **(fixed | changes))


USUAL = [rated(k, 5) for k in range(-56, -7)]
WEEK = [rated(-6, 4, 0.5), rated(-4, 7, 0.5), rated(-2, 3, 0.5)]


def measured(legs: list[LegSummary], book: Journal = BOOK) -> dict[str, Measured]:
    return measured_by(load, legs, book)


def test_session_rpe_load_by_hand() -> None:
    # 30 min x (4 + 7 + 3) = 420 AU against 7 x 60 x 5 = 2100 AU a week
    got = measured(USUAL + WEEK)
    assert got["session_rpe_load"].value == pytest.approx(420)
    assert got["session_rpe_load_kept"].value == pytest.approx(0.2)


def test_the_day_before_the_race_is_part_of_race_week() -> None:
    assert measured([*USUAL, rated(-1, 6, 0.5)])["session_rpe_load"].value == pytest.approx(180)


def test_trimp_by_hand() -> None:
    got = measured(USUAL + WEEK)
    assert got["trimp"].value == pytest.approx(3 * trimp(30, 150, 60, 190, "female"))
    assert got["trimp_kept"].value == pytest.approx(1.5 / 7)


def test_the_sums_over_zones_by_hand() -> None:
    # 90 min at 130 bpm: 68% of 190, the second of five zones; below both thresholds
    got = measured(USUAL + WEEK)
    assert got["five_zone_load"].value == pytest.approx(90 * 2)
    assert got["three_zone_load"].value == pytest.approx(90 * 1)


def test_monotony_and_strain_are_of_the_weeks_seven_days() -> None:
    got = measured(USUAL + WEEK)
    daily = np.array([0, 120, 0, 210, 0, 90, 0])
    expected = daily.mean() / daily.std(ddof=1)
    assert got["monotony"].value == pytest.approx(expected)
    assert got["strain"].value == pytest.approx(420 * expected)
    assert "n - 1" in got["monotony"].basis


def test_a_trained_day_without_a_rating_is_no_day_of_rest() -> None:
    # heart rate is known for every leg, so that monotony goes by the next scale
    unrated = [*WEEK, rated(-5, NAN, 0.2)]
    got = measured(USUAL + unrated)
    assert got["session_rpe_load"].known
    daily = np.array([0.0, 30, 12, 30, 0, 30, 0]) * trimp(1, 150, 60, 190, "female")
    expected = daily.mean() / daily.std(ddof=1)
    assert got["monotony"].value == pytest.approx(expected)
    assert got["strain"].value == pytest.approx(daily.sum() * expected)
    assert "Banister" in got["strain"].basis
    assert len(got["monotony"].legs) == 4


def test_without_a_load_for_every_leg_there_is_no_monotony() -> None:
    dumb = rated(-5, NAN, 0.2, mean_heart_rate_bpm=NAN, hard_min=None)
    got = measured([*USUAL, *WEEK, dumb])
    for name in ("monotony", "strain"):
        assert got[name].reason == (
            "1 leg of race week lacks a session RPE, and a day without a known load is no rest "
            "day; one scale is kept through all races: minutes x session RPE (Foster 2001)"
        )
        assert len(got[name].days) == 7
    assert got["acute_chronic_ratio"].known


def test_acute_to_chronic_is_told_with_its_criticism() -> None:
    ratio = measured(USUAL + WEEK)["acute_chronic_ratio"]
    assert ratio.value == pytest.approx(420 / ((420 + 3 * 2100) / 4))
    assert "Impellizzeri" in ratio.basis
    assert "no guide to risk" in ratio.basis


def test_without_ratings_the_other_scales_still_tell() -> None:
    legs = [leg(k, mean_heart_rate_bpm=150.0) for k in [*range(-56, -7), -4]]
    got = measured(legs)
    assert got["session_rpe_load"].reason == (
        "0% of the training time has a load, 80% is needed; the rest lacks a session RPE"
    )
    assert got["trimp"].known
    assert "Banister" in got["monotony"].basis


@pytest.mark.parametrize(
    ("book", "lacking"),
    [
        (
            journal(thresholds=RANGE),
            "the athlete's sex, which Banister's constants differ by (athlete.toml)",
        ),
        (journal(sex="male"), "a resting heart rate (athlete.toml)"),
    ],
)
def test_trimp_says_what_it_lacks(book: Journal, lacking: str) -> None:
    assert measured(USUAL + WEEK, book)["trimp"].reason.endswith(f"the rest lacks {lacking}")


def test_a_week_of_rest_days_has_no_load_and_one_of_unknown_days_an_unknown_one() -> None:
    rest = journal(sex="male", thresholds=RANGE, periods=(Period(day(-7), day(-1), "rest"),))
    got = measured(USUAL, rest)
    assert got["session_rpe_load"].value == 0
    assert got["monotony"].reason == "every day of race week cost the same"
    gap = journal(sex="male", thresholds=RANGE, periods=(Period(day(-7), day(-1), "gap"),))
    got = measured(USUAL, gap)
    for name in ("session_rpe_load", "trimp", "three_zone_load", "monotony", "strain"):
        assert not got[name].known


def test_an_unrated_baseline_leaves_the_weeks_load_known() -> None:
    got = measured(habit() + WEEK)
    assert got["session_rpe_load"].known
    assert got["session_rpe_load_kept"].reason.startswith("in the baseline, 0% of the training")


def test_few_unrated_sessions_count_by_the_hour_as_the_others_do() -> None:
    # 4 x 30 min x 5 = 600 AU in 2.0 of 2.4 h; a usual week of 7 x 60 x 5 = 2100, rated or not
    unrated = [rated(k, NAN) if k in (-56, -40, -23) else rated(k, 5) for k in range(-56, -7)]
    week = [*[rated(k, 5, 0.5) for k in (-7, -6, -5, -4)], rated(-3, NAN, 0.4)]
    got = measured([*unrated, *week])
    assert got["session_rpe_load"].value == pytest.approx(600 * 2.4 / 2)
    assert got["session_rpe_load_kept"].value == pytest.approx(720 / 2100)
    by_hour = "in race week 0.4 of 2.4 h have no load and count by the hour as the others do"
    assert got["session_rpe_load"].basis.endswith(f"(Foster 2001); {by_hour}")
    assert got["session_rpe_load_kept"].basis.endswith(
        "in the baseline 3.0 of 42.0 h have no load and count by the hour as the others do; "
        + by_hour
    )
    assert len(got["session_rpe_load"].legs) == 5


@pytest.mark.parametrize("lost", range(-7, 0))
def test_a_sensor_that_fails_once_moves_no_sum_of_equal_sessions(lost: int) -> None:
    legs = [rated(k, 5, 1.0 if k < -7 else 0.6) for k in range(-56, 0)]
    deaf = [
        rated(lost, NAN, 0.6, mean_heart_rate_bpm=NAN, hard_min=None),
        *(one for one in legs if one.start_utc.date() != day(lost)),
    ]
    whole, less = measured(legs), measured(deaf)
    for scale in ("session_rpe_load", "trimp", "five_zone_load", "three_zone_load"):
        for name in (scale, f"{scale}_kept"):
            assert less[name].value == pytest.approx(whole[name].value), name
    assert less["acute_chronic_ratio"].value == pytest.approx(whole["acute_chronic_ratio"].value)


def test_three_weeks_before_that_are_mostly_unrated_give_no_ratio_to_them() -> None:
    early = [rated(k, 5) for k in range(-56, -28)]
    before = [rated(k, 5 if k % 2 else NAN) for k in range(-28, -7)]
    ratio = measured([*early, *before, *[rated(k, 5, 9.0) for k in range(-7, 0)]])
    assert ratio["acute_chronic_ratio"].reason == (
        "in the three weeks before, 47% of the training time has a load, 80% is needed; the rest "
        "lacks a session RPE"
    )


def test_inputs_and_units() -> None:
    got = measured(USUAL + WEEK)
    assert len(got["session_rpe_load"].legs) == 3
    assert len(got["session_rpe_load_kept"].legs) == 42 + 3
    assert len(got["trimp"].days) == 7
    assert all(name in QUANTITIES for name in got)
    assert QUANTITIES["trimp"].unit == "AU"


def test_scaling_time_scales_load_and_leaves_ratios() -> None:
    legs = [(k, 5.0, 1.0) for k in range(-56, -7)] + [(-6, 4.0, 0.5), (-4, 7.0, 0.5)]
    plain = measured([rated(*leg) for leg in legs])
    double = measured([rated(k, rpe, 2 * hours) for k, rpe, hours in legs][::-1])
    for name in ("session_rpe_load", "trimp", "five_zone_load", "three_zone_load", "strain"):
        assert double[name].value == pytest.approx(2 * plain[name].value)
    for name in ("session_rpe_load_kept", "trimp_kept", "monotony", "acute_chronic_ratio"):
        assert double[name].value == pytest.approx(plain[name].value)


@pytest.mark.parametrize(
    ("highest", "mean", "known"), [(190, 150.0, True), (60, 150.0, False), (190, NAN, False)]
)
def test_trimp_needs_a_heart_with_a_range(highest: float, mean: float, known: bool) -> None:
    told = (RANGE[0], Threshold(date(2020, 1, 1), "", "max_heart_rate_bpm", highest), RANGE[2])
    legs = [rated(k, 5, mean_heart_rate_bpm=mean) for k in range(-56, 0)]
    got = measured(legs, journal(sex="male", thresholds=told))["trimp"]
    assert got.known is known
    assert known or got.reason.endswith("the rest lacks heart rate")


def test_each_scale_says_its_rule_and_its_usual_week() -> None:
    got = measured(USUAL + WEEK)
    rules = {
        "session_rpe_load": "minutes x session RPE (Foster 2001)",
        "trimp": "TRIMP of each session's mean heart rate (Banister 1991)",
        "five_zone_load": "minutes in five zones of highest heart rate x 1 to 5",
        "three_zone_load": "minutes easy x 1, moderate x 2, hard x 3",
    }
    for name, rule in rules.items():
        assert got[name].basis == rule
        assert got[f"{name}_kept"].basis.endswith(f" in a usual week; {rule}")
    assert got["session_rpe_load_kept"].basis.startswith("420 in race week, 2100 in a usual week")
    assert got["monotony"].basis == (
        "Foster 1998 with the sample's SD (n - 1) over seven days; minutes x session RPE (Foster "
        "2001)"
    )
    assert got["strain"].basis == got["monotony"].basis


def test_a_usual_week_without_load_gives_no_ratio() -> None:
    book = journal(sex="male", thresholds=RANGE, periods=(Period(day(-56), day(-15), "rest"),))
    got = measured([rated(-9, 5), *WEEK], book)
    assert got["session_rpe_load"].known
    assert got["session_rpe_load_kept"].reason == "a usual week holds no load"
    rested = journal(sex="male", thresholds=RANGE, periods=(Period(day(-56), day(-1), "rest"),))
    empty = measured([rated(-57, 5)], rested)["acute_chronic_ratio"]
    assert empty.reason == "the last four weeks hold no load"
    assert len(empty.days) == 28
