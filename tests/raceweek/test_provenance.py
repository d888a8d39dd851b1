"""What each measure rests on: its days and its legs, known or not, as the measures are defined."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from build import NAN, THRESHOLD_BPM, day, imported, journal, leg, race, trip
from raceweek.efforts import kilometres
from taperback.importer.model import BEST_DURATIONS_S, LegSummary
from taperback.journal.model import Journal, Period, Threshold
from taperback.raceweek.model import Measured
from taperback.raceweek.table import race_weeks

SINCE = date(2020, 1, 1)
THRESHOLDS = (
    Threshold(SINCE, "", "second_threshold_heart_rate_bpm", THRESHOLD_BPM),
    Threshold(SINCE, "", "max_heart_rate_bpm", 190),
    Threshold(SINCE, "", "resting_heart_rate_bpm", 60),
)
SENSED: dict[str, Any] = {
    "session_rpe": 4.0,
    "mean_heart_rate_bpm": 140.0,
    "best_speed_mps": np.full(len(BEST_DURATIONS_S), 4.0),
}
# An hour a day, two every seventh; five kilometres fast once a week; a taper with one fast session.
LEGS = [
    *(leg(k, hours=1 if k % 7 else 2, **SENSED) for k in range(-56, -7)),
    *(leg(k, hours=0.4, **SENSED) for k in range(-7, -1)),
    *(kilometres(k, 5, 225, at=17, **SENSED) for k in (*range(-53, -14, 7), -4)),
    leg(-1, hours=0.5, hard_min=2.0, **SENSED),
    leg(0, hours=1.5, session_rpe=9.0),
]
GAP = (Period(day(-7), day(-1), "gap"),)

BASELINE, WEEK = range(-56, -14), range(-7, 0)
SCALES = ("session_rpe_load", "trimp", "five_zone_load", "three_zone_load")
SHARES = ("easy_share", "moderate_share", "hard_share", "known_intensity_share")
OF_WEEK = ("volume_h", "hard_min", *SHARES, *SCALES, "monotony", "strain", "emptied_week")
OF_BASELINE = ("baseline_weekly_h", "baseline_hard_min")
OF_BOTH = (
    "volume_cut",
    "volume_cut_running",
    "sessions_kept",
    "intensity_kept",
    "hard_minutes_kept",
    *(f"{scale}_kept" for scale in SCALES),
)
OF_TAPER = ("taper_shape", "taper_fit", "taper_days")
REPETITIONS = ("repetitions", "usual_repetitions", "repetitions_kept", "repetition_level_kept")
SHARPNESS = ("sharpness_1min_running", "sharpness_5min_running")
OF_NIGHTS = {"sleep_change_h": (-6, 0), "sleep_debt_h": (-6, 0), "last_three_h": (-2, 0)}


def book(**changes: Any) -> Journal:
    return journal(race(0, finish_time_s=5346.0), sex="female", thresholds=THRESHOLDS, **changes)


def measured(legs: list[LegSummary], written: Journal) -> Mapping[str, Measured]:
    return race_weeks(imported(legs), written)[-1].measures


@pytest.fixture(scope="module")
def full() -> Mapping[str, Measured]:
    return measured(LEGS, book(nights=dict.fromkeys(range(-56, 1), 7.5)))


@pytest.fixture(scope="module")
def placed() -> pd.DataFrame:
    return imported(LEGS).legs


def ids(placed: pd.DataFrame, days: list[int]) -> list[str]:
    """The legs of those days, in order of start."""
    return placed.loc[placed["local_day"].isin([day(k) for k in days]), "leg_id"].tolist()


def test_what_adds_up_days_rests_on_all_of_them_and_all_their_legs(
    full: Mapping[str, Measured], placed: pd.DataFrame
) -> None:
    for names, days in (
        (OF_WEEK, [*WEEK]),
        (OF_BASELINE, [*BASELINE]),
        (OF_BOTH, [*BASELINE, *WEEK]),
        (("volume_cut_week_3",), [*BASELINE]),
        (("volume_cut_week_2",), [*BASELINE, *range(-14, -7)]),
        (OF_TAPER, [*range(-27, 0)]),
        (("acute_chronic_ratio",), [*range(-28, 0)]),
    ):
        for name in names:
            assert full[name].known, name
            assert full[name].days == tuple(day(k) for k in days), name
            assert list(full[name].legs) == ids(placed, days), name


def test_what_is_of_single_days_names_them_and_its_legs(
    full: Mapping[str, Measured], placed: pd.DataFrame
) -> None:
    day_of = dict(zip(placed["leg_id"], placed["local_day"], strict=True))
    fast = [*range(-53, -14, 7)]
    for name, days, leg_days in (
        ("last_long_d", [-14], [-14]),
        ("last_hard_d", [-4], [-4]),
        ("repetitions", [-4], [-4]),
        ("usual_repetitions", [-53], fast),
        ("repetitions_kept", [*BASELINE, *WEEK], [*fast, -4]),
        ("repetition_level_kept", [*BASELINE, *WEEK], [*fast, -4]),
        ("opener", [-1], [-1]),
        ("sharpness_1min_running", [*BASELINE, *WEEK], [-56, -7]),
        ("race_rpe", [0], [0]),
        ("usual_night_h", [*BASELINE], []),
        ("sleep_change_h", [*BASELINE, *range(-6, 1)], []),
        ("sleep_debt_h", [*BASELINE, *range(-6, 1)], []),
        ("last_night_h", [0], []),
        ("last_three_h", [-2, -1, 0], []),
        ("panic_sessions", [*range(-10, 0)], []),
        ("panic_score", [*range(-10, 0)], []),
        ("rest_days", [], []),
    ):
        one = full[name]
        assert one.known, name
        assert one.days == tuple(day(k) for k in days), name
        assert [day_of[told] for told in one.legs] == [day(k) for k in leg_days], name


def test_every_leg_and_day_is_named_as_such_and_every_basis_is_words() -> None:
    """Also of measures that come from a trip, a multisport day or a flag."""
    legs = [*LEGS, leg(-3, hours=3.0, at=14, **SENSED)]
    told = measured(legs, book(trips=[trip(-3, -2, "America/New_York", travel_h=9.0)]))
    known_ids = set(imported(legs).legs["leg_id"])
    for name, one in told.items():
        assert set(one.legs) <= known_ids, name
        assert all(type(each) is date for each in one.days), name
        assert list(one.days) == sorted(one.days), name
        assert type(one.basis) is str and type(one.reason) is str, name
    assert told["panic_sessions"].value == 1
    (flagged,) = told["panic_sessions"].legs
    assert told["panic_score"].legs == (flagged,)
    assert told["days_since_arrival"].days == (day(-2),)
    assert told["arrival_day_h"].days == (day(-2),)
    assert len(told["arrival_day_h"].legs) == 1
    assert told["body_clock_lag_h"].days == (day(-2), day(0))


def check_unknown(
    told: Mapping[str, Measured], names: tuple[str, ...], days: list[int], why: str
) -> None:
    for name in names:
        assert not told[name].known, name
        assert told[name].days == tuple(day(k) for k in days), name
        assert why in told[name].reason, (name, told[name].reason)
        assert (told[name].legs, told[name].basis) == ((), ""), name


def test_a_week_of_missing_records_is_unknown_on_its_days() -> None:
    told = measured(LEGS[:49], book(periods=GAP))
    missing = "7 of 7 days are not known: records are missing, says the journal"
    check_unknown(told, OF_WEEK, [*WEEK], missing)
    check_unknown(told, ("volume_cut", "volume_cut_running", "rest_days"), [*WEEK], missing)
    both = ("sessions_kept", "intensity_kept", "hard_minutes_kept", *REPETITIONS, *SHARPNESS)
    check_unknown(told, both, [*BASELINE, *WEEK], missing)
    check_unknown(told, tuple(f"{scale}_kept" for scale in SCALES), [*WEEK], missing)
    four_weeks = "7 of 28 days are not known: records are missing, says the journal"
    check_unknown(told, ("acute_chronic_ratio",), [*range(-28, 0)], four_weeks)
    check_unknown(told, OF_TAPER, [*range(-27, 0)], "7 of 27 days are not known")
    check_unknown(told, ("panic_sessions", "panic_score"), [*range(-10, 0)], "7 of 10 days")
    check_unknown(told, ("opener",), [-2, -1], "2 of 2 days are not known")
    check_unknown(told, ("last_hard_d",), [*range(-56, 0)], missing)
    check_unknown(told, ("last_long_d",), [], "since the last one known, 7 of 14 days")


def test_nights_that_nobody_wrote_down_are_unknown_on_their_days() -> None:
    told = measured(LEGS, book())
    for name, (first, last) in OF_NIGHTS.items():
        check_unknown(told, (name,), [*range(first, last + 1)], "are known")
    check_unknown(told, ("last_night_h",), [0], "neither in the journal nor in a file")
    check_unknown(told, ("usual_night_h",), [], "0 usual nights known on days")
    check_unknown(told, ("transition_min",), [0], "the race is one leg")


def test_without_a_baseline_race_week_is_told_alone() -> None:
    recent = [one for one in LEGS if one.start_utc.date() >= day(-28)]
    told = measured(recent, book())
    check = "only 2 of 6 baseline weeks can be used and 3 are needed"
    check_unknown(told, ("baseline_weekly_h",), [], check)
    check_unknown(told, ("volume_cut", "volume_cut_running", "volume_cut_week_3"), [], check)
    two_weeks = [*range(-28, -14)]
    check_unknown(told, ("baseline_hard_min",), two_weeks, check)
    both = tuple(name for name in OF_BOTH if not name.startswith("volume"))
    check_unknown(told, (*both, *REPETITIONS, *SHARPNESS), [*two_weeks, *WEEK], check)
    check_unknown(told, ("panic_sessions", "panic_score"), [*range(-10, 0)], check)
    check_unknown(told, ("emptied_week",), [], check)
    check_unknown(told, ("taper_days",), [*range(-27, 0)], check)
    for name in ("volume_h", "hard_min", *SCALES, "monotony", "strain", "acute_chronic_ratio"):
        assert told[name].known, name


def test_without_sensors_and_ratings_what_needs_them_is_unknown_on_its_days() -> None:
    deaf = {"heart_rate_seconds": None, "mean_heart_rate_bpm": NAN, "session_rpe": NAN}
    told = measured([leg(k, **deaf) for k in range(-56, 0)], book())
    only = "only 0% of the training time has a known intensity"
    check_unknown(told, ("hard_min", *SHARES[:3]), [*WEEK], only)
    check_unknown(told, ("intensity_kept", "hard_minutes_kept"), [*BASELINE, *WEEK], only)
    check_unknown(told, ("baseline_hard_min",), [*BASELINE], only)
    lacks = "0% of the training time has a load, 80% is needed; the rest lacks "
    wanted = ("a session RPE", "heart rate", "heart rate", "a known intensity")
    for scale, lack in zip(SCALES, wanted, strict=True):
        check_unknown(told, (scale, f"{scale}_kept"), [*WEEK], lacks + lack)
    no_scale = "no scale of load is known for any race week"
    check_unknown(told, ("monotony", "strain"), [*WEEK], no_scale)
    check_unknown(told, ("acute_chronic_ratio",), [*range(-28, 0)], no_scale)
    speed = "no speed over 1 min was recorded in running in the baseline"
    check_unknown(told, ("sharpness_1min_running",), [*BASELINE, *WEEK], speed)
