"""How much of the hard work was kept in race week."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from build import day, going_on, habit, imported, journal, leg, race
from raceweek.efforts import measured_by
from taperback.common.quantities import QUANTITIES
from taperback.importer.model import LegSummary
from taperback.journal.model import SESSION_COLUMNS, Journal, Period
from taperback.raceweek.factors.intensity import intensity
from taperback.raceweek.model import Measured
from taperback.raceweek.race import races_of
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.typed_legs import with_sessions

# A usual week: 7 h with 42 hard minutes, a tenth of the time.
USUAL = habit(1.0, hard_min=6.0)


def measured(legs: list[LegSummary], book: Journal | None = None) -> dict[str, Measured]:
    return measured_by(intensity, legs, book)


def race_week(*hard_min: float | None, hours: float = 0.5) -> list[LegSummary]:
    return [leg(-7 + k, hours=hours, hard_min=minutes) for k, minutes in enumerate(hard_min)]


def test_by_hand() -> None:
    # 2 h with 12 hard minutes is a tenth again: all intensity kept, 12 of 42 minutes kept.
    got = measured(USUAL + race_week(3, 3, 3, 3))
    assert got["intensity_kept"].value == pytest.approx(1.0)
    assert got["hard_minutes_kept"].value == pytest.approx(12 / 42)
    assert got["hard_min"].value == pytest.approx(12)
    assert got["baseline_hard_min"].value == pytest.approx(42)
    assert got["hard_share"].value == pytest.approx(0.1)
    assert got["easy_share"].value == pytest.approx(0.9)
    assert got["moderate_share"].value == 0
    assert got["known_intensity_share"].value == pytest.approx(1.0)


def test_typed_hard_minutes_of_either_side_are_said() -> None:
    typed = {"hard_min": None, "hours": 1.0}
    rows = pd.DataFrame(
        [
            {"row": 60 + k, "date": day(k), "sport": "running", "sub_sport": "", "notes": ""}
            | {"duration_s": 3600.0, "distance_km": np.nan, "hard_min": 5.0, "rpe": np.nan}
            for k in (-6, -4)
        ],
        columns=list(SESSION_COLUMNS),
    )
    book = replace(journal(), sessions=rows)
    legs = [*USUAL, leg(-6, **typed), leg(-4, **typed)]
    held = with_sessions(imported(going_on(legs)), book)
    race = races_of(windows(held, book))[-1]
    got = {one.name: one for one in intensity(race)}
    for name in ("intensity_kept", "hard_minutes_kept"):
        assert got[name].known
        assert "hard minutes of 2 sessions as typed" in got[name].basis


def test_moderate_time_lies_between_the_thresholds() -> None:
    rates = np.zeros(200)
    rates[130], rates[155] = 1800, 1800  # first threshold of the journal's 165: 150.2 bpm
    got = measured([*USUAL, leg(-3, heart_rate_seconds=rates)])
    assert got["moderate_share"].value == pytest.approx(0.5)


def test_a_sensor_that_ran_on_at_rest_knows_all_of_the_time_and_no_more() -> None:
    """An hour of moving time in a file with two hours of heart rate."""
    rates = np.zeros(200)
    rates[130] = 7200
    got = measured([*USUAL, leg(-3, heart_rate_seconds=rates)])
    assert got["known_intensity_share"].value == 1.0


def test_fewer_hard_minutes_in_a_shorter_week_still_keep_the_intensity() -> None:
    got = measured(USUAL + race_week(6, 6, hours=0.5))
    assert got["intensity_kept"].value == pytest.approx(2.0)
    assert (got["hard_minutes_kept"].value or 0) < 1


def test_a_week_without_hard_time_kept_nothing_and_is_known() -> None:
    got = measured(USUAL + race_week(0, 0, 0))
    assert got["intensity_kept"].value == 0
    assert got["hard_minutes_kept"].value == 0


def test_a_week_of_rest_days_has_no_hard_minutes_but_no_share() -> None:
    got = measured(USUAL, journal(periods=(Period(day(-7), day(-1), "rest"),)))
    assert got["hard_min"].value == 0
    assert got["hard_minutes_kept"].value == 0
    week = tuple(day(k) for k in range(-7, 0))
    usual = tuple(day(k) for k in range(-56, -14))
    for name in ("easy_share", "moderate_share", "hard_share", "known_intensity_share"):
        assert (got[name].name, got[name].days) == (name, week)
        assert got[name].reason == "there was no training in race week"
    assert got["intensity_kept"].reason == "there was no training in race week"
    assert got["intensity_kept"].days == usual + week


def test_a_week_of_unknown_days_is_unknown() -> None:
    got = measured(USUAL, journal(periods=(Period(day(-7), day(-1), "gap"),)))
    for name in ("intensity_kept", "hard_minutes_kept", "hard_min", "hard_share"):
        assert not got[name].known
        assert "7 of 7 days are not known" in got[name].reason


def test_too_little_known_time_is_unknown_and_says_how_much_and_why() -> None:
    got = measured(USUAL + race_week(3, None, None, 3, None))
    assert got["intensity_kept"].reason == (
        "only 40% of the training time has a known intensity, 60% is needed "
        "(3 legs of running carry no heart rate)"
    )
    assert got["known_intensity_share"].value == pytest.approx(0.4)


def test_over_the_limit_the_share_is_of_the_known_time() -> None:
    got = measured(USUAL + race_week(3, None, 3, 3))
    assert got["intensity_kept"].value == pytest.approx(1.0)
    assert got["known_intensity_share"].value == pytest.approx(0.75)


def test_a_sum_of_hard_minutes_takes_more_than_a_share() -> None:
    """The leg without a sensor may hold half of the week's hard minutes, and none were zero."""
    got = measured(USUAL + race_week(3, None, 3, 3))
    for name in ("hard_min", "hard_minutes_kept"):
        assert got[name].reason == (
            "only 75% of the training time has a known intensity, 90% is needed "
            "(1 leg of running carries no heart rate)"
        )
    assert got["hard_share"].value == pytest.approx(0.1)
    assert got["baseline_hard_min"].known
    usual = [leg(k, hard_min=6 if k % 7 else None) for k in range(-56, -7)]
    got = measured(usual + race_week(3, 3, 3))
    for name, of in (("baseline_hard_min", ""), ("hard_minutes_kept", "in the baseline, ")):
        assert got[name].reason.startswith(f"{of}only 85% of the training time has a known")
    assert got["hard_min"].value == 9


def test_a_short_leg_without_a_sensor_leaves_the_sums_known() -> None:
    got = measured([*USUAL, *race_week(3, 3, 3, 3), leg(-1, hours=0.2, hard_min=None)])
    assert got["hard_min"].value == 12
    assert got["hard_minutes_kept"].value == pytest.approx(12 / 42)


# An hour's run with 12 hard minutes and an hour's easy ride a day: a tenth of all time is hard.
TWO_SPORTS = [
    one
    for k in range(-56, -7)
    for one in (leg(k, hard_min=12), leg(k, "cycling", hard_min=0, at=16))
]


def two_sports(*rides: float | None) -> list[LegSummary]:
    """Race week with two such runs, and rides of an hour."""
    runs = [leg(k, hard_min=12) for k in (-6, -4)]
    return runs + [leg(-7 + k, "cycling", hard_min=minutes) for k, minutes in enumerate(rides)]


def test_a_ride_without_its_sensor_leaves_the_rides_their_weight() -> None:
    # One of four hours of rides is unknown; they weigh 4 h of 6 all the same.
    whole = measured(TWO_SPORTS + two_sports(0, 0, 0, 0))
    less = measured(TWO_SPORTS + two_sports(0, 0, 0, None))
    assert whole["intensity_kept"].value == pytest.approx(2 / 3)
    assert less["intensity_kept"].value == pytest.approx(2 / 3)
    assert less["intensity_kept"].basis.endswith(
        "time of unknown intensity (17% of race week) counts like the rest of its sport"
    )
    assert "unknown" not in whole["intensity_kept"].basis


def test_a_sport_that_is_known_on_one_side_alone_is_compared_on_none() -> None:
    legs = [*TWO_SPORTS, *two_sports(None), leg(-3, hard_min=12)]
    kept = measured(legs)["intensity_kept"]
    assert kept.reason.startswith(
        "only 50% of the training time of the baseline has a known intensity in sports to compare, "
        "60% is needed (left out on both sides: cycling (intensity known for 0% of race week))"
    )
    short = [leg(k, "cycling", 0.5, hard_min=0, at=16) for k in range(-56, -7)]
    kept = measured([*habit(hard_min=12), *short, *legs[len(TWO_SPORTS) :]])["intensity_kept"]
    # 36 of 180 minutes of running against 12 of 60, whatever the rides were
    assert kept.value == pytest.approx(1.0)
    assert kept.basis.endswith(
        "left out on both sides: cycling (intensity known for 0% of race week)"
    )
    assert len(kept.legs) == 42 + 3


def test_a_sport_known_for_just_enough_of_its_time_is_compared() -> None:
    """Three of five hours are the limit, `fewest_known_share` of limits.toml; two are too few."""
    usual = [leg(k, "cycling", 0.5, hard_min=3.0, at=15) for k in range(-56, -7)]
    for known, compared in ((3, True), (2, False)):
        rides = [
            leg(-7 + k, "cycling", hard_min=6.0 if k < known else None, at=15) for k in range(5)
        ]
        runs = [leg(-7 + k, hours=2.0, hard_min=12.0) for k in range(5)]
        kept = measured([*USUAL, *usual, *rides, *runs])["intensity_kept"]
        assert kept.known
        assert ("left out on both sides: cycling" in kept.basis) is not compared


def test_a_sport_that_was_rested_in_race_week_still_counts_as_usual() -> None:
    kept = measured(TWO_SPORTS + two_sports())["intensity_kept"]
    assert kept.value == pytest.approx(0.2 / 0.1)


def test_an_unknown_baseline_is_told_as_the_baselines() -> None:
    dumb = [leg(k, hard_min=None) for k in range(-56, -7)]
    got = measured(dumb + race_week(3, 3, 3))
    assert got["intensity_kept"].reason.startswith("in the baseline, only 0% of the training time")
    assert got["hard_min"].known


def test_too_short_a_baseline_is_unknown_with_its_weeks() -> None:
    got = measured([leg(k, hard_min=6) for k in range(-28, -7)] + race_week(3, 3))
    assert "baseline weeks can be used and 3 are needed" in got["intensity_kept"].reason


def test_a_baseline_without_hard_time_gives_no_ratio() -> None:
    got = measured(habit(hard_min=0) + race_week(3, 3))
    assert got["intensity_kept"].reason == "the baseline holds no hard time"
    assert got["baseline_hard_min"].value == 0


def test_inputs_are_named() -> None:
    legs = USUAL + race_week(3, None, 3, 3)
    kept = measured(legs)["intensity_kept"]
    assert len(kept.days) == 42 + 7
    assert len(kept.legs) == 42 + 3
    assert list(kept.days) == sorted(kept.days)
    assert kept.basis.startswith(
        "9 hard of 90 known minutes in race week, 252 hard of 2520 known minutes in the baseline; "
        "running by heart rate, hard above 165 bpm, the athlete's own figure"
    )


def test_units_and_names_are_known_to_the_report() -> None:
    for name, each in measured(USUAL + race_week(3)).items():
        assert each.name == name
        assert name in QUANTITIES
    assert QUANTITIES["hard_min"].unit == "min"
    assert QUANTITIES["intensity_kept"].show(0.8) == "80%"


def test_the_race_itself_and_the_days_outside_do_not_count() -> None:
    legs = USUAL + race_week(3, 3, 3, 3)
    with_race = [*legs, leg(0, hours=2, hard_min=100), leg(-10, hours=1, hard_min=50, at=16)]
    plain, other = measured(legs), measured(with_race, journal(race(sports=("running",))))
    assert other["intensity_kept"].value == pytest.approx(plain["intensity_kept"].value)


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False), st.sampled_from([0.5, 2.0]))
def test_order_of_files_and_scale_of_time_change_nothing(random: object, scale: float) -> None:
    legs = USUAL + race_week(3, 4, 0, 5)
    longer = [
        leg(
            k.start_utc.toordinal() - legs[0].start_utc.toordinal() - 56,
            hours=scale * k.moving_s / 3600,
            hard_min=scale * float(k.heart_rate_seconds[175]) / 60,  # type: ignore[index]
        )
        for k in legs
    ]
    random.shuffle(longer)  # type: ignore[attr-defined]
    plain, other = measured(legs), measured(longer)
    for name in ("intensity_kept", "hard_minutes_kept", "hard_share"):
        assert other[name].value == pytest.approx(plain[name].value)
    assert other["hard_min"].value == pytest.approx(scale * 12)


def test_a_sport_without_any_threshold_says_why_there_is_none() -> None:
    dumb = [leg(k, hard_min=None) for k in range(-56, 0)]
    got = measured(dumb, journal(thresholds=()))
    assert got["hard_share"].reason == (
        "only 0% of the training time has a known intensity, 60% is needed (no threshold for "
        "running is typed or set, nor to be had from its files (speed: none was recorded over long "
        "enough a time; heart rate: none was recorded))"
    )


def test_a_sensor_that_drops_out_within_its_sessions_is_named_as_such() -> None:
    rates = np.zeros(200)
    rates[130] = 600  # ten of thirty minutes
    got = measured([*USUAL, leg(-3, hours=0.5, heart_rate_seconds=rates)])
    assert got["hard_share"].reason == (
        "only 33% of the training time has a known intensity, 60% is needed (the sensors dropped "
        "out)"
    )


def test_each_share_says_what_it_rests_on() -> None:
    got = measured(USUAL + race_week(3, 3))
    own = "running by heart rate, hard above 165 bpm, the athlete's own figure since 2020-01-01"
    told = f"6 hard of 60 known minutes in race week; {own}"
    for name in ("hard_min", "easy_share", "moderate_share", "hard_share"):
        assert got[name].basis == told
    assert got["baseline_hard_min"].basis == (
        f"252 hard of 2520 known minutes in the baseline; {own}"
    )
    assert got["known_intensity_share"].basis == (
        "time whose intensity could be read over all training time of race week"
    )
