"""What a leg costs by each scale, and the one scale that all races are compared in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import pytest

from build import NAN, THRESHOLD_BPM, day, imported, journal, leg, race
from taperback.importer.model import LegSummary
from taperback.journal.model import Period, Threshold
from taperback.raceweek.effort.effort import effort_by_race
from taperback.raceweek.effort.scales import one_scale
from taperback.raceweek.model import Measured
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.calendar import windows

RACES = (-140, -70, 0)
BOOK = journal(
    *(race(k) for k in RACES),
    sex="female",
    thresholds=(
        Threshold(date(2020, 1, 1), "", "second_threshold_heart_rate_bpm", THRESHOLD_BPM),
        Threshold(date(2020, 1, 1), "", "max_heart_rate_bpm", 190),
        Threshold(date(2020, 1, 1), "", "resting_heart_rate_bpm", 60),
    ),
)
ONE_SCALE = ("monotony", "strain", "acute_chronic_ratio")


def season(unrated: tuple[int, ...], unmeasured: tuple[int, ...] = ()) -> list[LegSummary]:
    """An hour a day, less and less in race week; no RPE, or no heart rate, on those days."""
    return [
        leg(
            k,
            hours=1.0 if all(not r - 7 <= k < r for r in RACES) else 0.2 + 0.1 * (-k % 7),
            session_rpe=NAN if k in unrated else 5.0,
            mean_heart_rate_bpm=NAN if k in unmeasured else 150.0,
            hard_min=None if k in unmeasured else 0.0,
        )
        for k in range(-196, 0)
        if k not in RACES
    ]


def told(legs: list[LegSummary]) -> list[Mapping[str, Measured]]:
    return [week.measures for week in race_weeks(imported(legs), BOOK)]


def test_one_scale_serves_every_race() -> None:
    # the first race's week lacks a rating, the others do not: TRIMP knows all three
    for measures in told(season(unrated=(-142,))):
        for name in ONE_SCALE:
            assert "Banister" in measures[name].basis, name


def test_a_race_that_lacks_the_scale_of_most_is_unknown_and_says_so() -> None:
    first, *others = told(season(unrated=(-142,), unmeasured=(-2, -72)))
    for measures in others:
        assert all("Foster 2001" in measures[name].basis for name in ONE_SCALE)
    for name in ("monotony", "strain"):
        assert first[name].reason.startswith("1 leg of race week lacks a session RPE")
        assert first[name].reason.endswith("through all races: minutes x session RPE (Foster 2001)")
    # the sum of a week bears one gap
    assert "Foster 2001" in first["acute_chronic_ratio"].basis


@pytest.mark.parametrize(
    ("unrated", "unmeasured", "name"),
    [
        ((), (), "session_rpe_load"),
        ((-1,), (), "trimp"),
        ((-1,), (-71,), "session_rpe_load"),
        ((-1, -2, -3, -71, -141), (-1, -71, -141), "trimp"),
    ],
)
def test_the_scale_is_the_first_that_most_races_know(
    unrated: tuple[int, ...], unmeasured: tuple[int, ...], name: str
) -> None:
    all_windows = windows(imported(season(unrated, unmeasured)), BOOK)
    for effort in effort_by_race(all_windows).values():
        assert effort.scale is not None
        assert effort.scale.name == name


def test_a_race_week_of_unknown_days_has_no_say() -> None:
    book = journal(sex="male", periods=(Period(day(-7), day(-1), "gap"),))
    all_windows = windows(imported([leg(-20, session_rpe=5.0)]), book)
    assert effort_by_race(all_windows)[all_windows[0].race_id].scale is None
    assert one_scale([]) is None
