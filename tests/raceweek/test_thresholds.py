"""Which thresholds hold: the stated order, by date, one signal a sport through all races."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from build import DAY0, HARD_BPM, day, imported, journal, leg, race
from taperback.importer.model import BEST_DURATIONS_S, LegSummary
from taperback.journal.model import Journal, Threshold
from taperback.raceweek.effort.thresholds import (
    Found,
    NoThresholds,
    Thresholds,
    highest_by_sport,
    thresholds_by_race,
)
from taperback.raceweek.window.calendar import windows

DURATIONS = np.array(BEST_DURATIONS_S, float)
ALL_OUT = np.where(DURATIONS < 1900, 250 + 20000 / DURATIONS, np.nan)
PACE = np.where(DURATIONS < 1900, 4.2 + 150 / DURATIONS, np.nan)


def beats(highest: int) -> np.ndarray:
    """An hour at 130 bpm with two minutes at the highest heart rate."""
    seconds = np.zeros(highest + 1)
    seconds[130], seconds[highest] = 3480, 120
    return seconds


def ride(days_to_race: int, **changes: Any) -> LegSummary:
    power = {"power_seconds": np.array([0] * 40 + [3600])}
    return leg(days_to_race, "cycling", hard_min=None, **(power | changes))


def typed(*thresholds: tuple[int, str, str, float]) -> tuple[Threshold, ...]:
    return tuple(Threshold(day(since), sport, name, x) for since, sport, name, x in thresholds)


def found(legs: list[LegSummary], book: Journal, sport: str = "cycling") -> list[Found]:
    all_windows = windows(imported(legs), book)
    by_race = thresholds_by_race(all_windows, highest_by_sport(all_windows))
    told = [sports[sport] for sports in by_race.values()]
    assert {one.sport for one in told} == {sport}
    return told


def the_one(legs: list[LegSummary], book: Journal, sport: str = "cycling") -> Thresholds:
    (only,) = found(legs, book, sport)
    assert isinstance(only, Thresholds)
    return only


RIDES = [ride(k, best_power_w=ALL_OUT) for k in range(-56, -1, 2)]
NOTHING = journal(thresholds=())


def test_the_athletes_own_figure_comes_first() -> None:
    legs = [ride(k, file_thresholds={"critical_power_w": 240.0}) for k in range(-56, -1, 2)]
    one = the_one(legs, journal(thresholds=typed((-90, "cycling", "critical_power_w", 260.0))))
    assert (one.source, one.signal.name, one.on(DAY0).second) == ("own", "power", 260.0)
    assert one.sentence == (
        f"cycling by power, hard above 260 W, the athlete's own figure since {day(-90)}"
    )


def test_then_the_files_setting() -> None:
    legs = [
        ride(k, file_thresholds={"critical_power_w": 240.0}, best_power_w=ALL_OUT)
        for k in range(-56, -1, 2)
    ]
    one = the_one(legs, NOTHING)
    assert (one.source, one.on(DAY0).second) == ("file", 240.0)
    assert "as set in the files" in one.sentence


def test_then_an_estimate_from_the_best_efforts() -> None:
    one = the_one(RIDES, NOTHING)
    assert one.source == "estimate"
    assert one.on(DAY0).second == pytest.approx(250)
    assert one.on(DAY0).first == pytest.approx(0.75 * 250)
    assert "90% interval 250 W to 250 W" in one.sentence


def test_efforts_in_the_taper_window_are_not_used_for_the_estimate() -> None:
    legs = [ride(k) for k in range(-56, -14, 2)] + [ride(-14, best_power_w=ALL_OUT)]
    (none,) = found(legs, NOTHING)
    assert isinstance(none, NoThresholds)


def test_then_a_share_of_the_highest_heart_rate() -> None:
    legs = [leg(k, heart_rate_seconds=beats(180 + (k == -30) * 10)) for k in range(-56, -1, 2)]
    one = the_one(legs, NOTHING, "running")
    assert (one.source, one.signal.name) == ("share", "heart_rate")
    assert one.on(DAY0).second == pytest.approx(0.935 * 190)
    assert one.on(DAY0).first == pytest.approx(0.851 * 190)
    assert (
        "93.5% of the highest seen for 30 s, 190 bpm, for want of a better threshold"
        in one.sentence
    )


def test_a_typed_highest_heart_rate_beats_the_highest_seen() -> None:
    legs = [leg(k, heart_rate_seconds=beats(180)) for k in range(-56, -1, 2)]
    own = typed((-400, "", "max_heart_rate_bpm", 200.0))
    assert the_one(legs, journal(thresholds=own), "running").on(DAY0).second == 187.0


def test_nothing_at_all_is_told_with_the_reason() -> None:
    (none,) = found([leg(k, hard_min=None) for k in range(-56, -1, 2)], NOTHING, "running")
    assert isinstance(none, NoThresholds)
    assert none.reason == (
        "no threshold for running is typed or set, nor to be had from its files (speed: none was "
        "recorded over long enough a time; heart rate: none was recorded)"
    )


def test_a_figure_holds_from_its_day_on() -> None:
    own = typed(
        (-90, "cycling", "critical_power_w", 240.0), (-20, "cycling", "critical_power_w", 255.0)
    )
    one = the_one(RIDES, journal(thresholds=own))
    assert [one.on(day(k)).second for k in (-200, -21, -20, 0)] == [240, 240, 255, 255]


def test_a_figure_from_after_the_race_is_not_used() -> None:
    own = typed((5, "cycling", "critical_power_w", 300.0))
    assert the_one(RIDES, journal(thresholds=own)).source == "estimate"


def test_a_figure_for_the_sport_beats_one_for_all_sports() -> None:
    name = "second_threshold_heart_rate_bpm"
    own = typed((-90, "", name, 165.0), (-90, "running", name, 170.0))
    runs = [leg(k) for k in range(-56, -1, 2)]
    assert the_one(runs, journal(thresholds=own), "running").on(DAY0).second == 170.0
    rows = [leg(k, "rowing") for k in range(-56, -1, 2)]
    assert the_one(rows, journal(thresholds=own), "rowing").on(DAY0).second == 165.0


def test_the_first_threshold_may_be_typed_too() -> None:
    own = typed(
        (-90, "", "second_threshold_heart_rate_bpm", 170.0),
        (-90, "", "first_threshold_heart_rate_bpm", 148.0),
    )
    one = the_one([leg(k) for k in range(-56, -1, 2)], journal(thresholds=own), "running")
    assert one.on(DAY0).first == 148.0


def test_a_first_threshold_typed_later_than_the_second_holds_before_as_well() -> None:
    """Of two, the earlier one; and no first threshold lies above the second."""
    second, first = "second_threshold_heart_rate_bpm", "first_threshold_heart_rate_bpm"
    runs = [leg(k) for k in range(-56, -1, 2)]
    own = typed((-90, "", second, 170.0), (-60, "", first, 145.0), (-30, "", first, 150.0))
    assert the_one(runs, journal(thresholds=own), "running").on(DAY0).first == 145.0
    same = typed((-90, "", second, 170.0), (-90, "", first, 141.0), (-30, "", second, 172.0))
    steps = the_one(runs, journal(thresholds=same), "running").steps
    assert [(step.since, step.first, step.second) for step in steps] == [
        (day(-90), 141.0, 170.0),
        (day(-30), 141.0, 172.0),
    ]
    high = typed((-90, "", second, 170.0), (-90, "", first, 180.0))
    assert the_one(runs, journal(thresholds=high), "running").on(DAY0).first == 170.0


def test_a_first_threshold_by_heart_rate_tells_nothing_of_power() -> None:
    own = typed(
        (-90, "cycling", "critical_power_w", 260.0),
        (-90, "", "first_threshold_heart_rate_bpm", 148.0),
    )
    assert the_one(RIDES, journal(thresholds=own)).on(DAY0).first == pytest.approx(0.75 * 260)


def test_a_heart_rate_that_was_thrown_away_as_stuck_is_the_reason() -> None:
    legs = [leg(k, heart_rate_seconds=None) for k in range(-56, -1, 2)]
    legs[3] = replace(legs[3], removed_s={"heart rate stuck": 3600.0})
    stuck = (
        "what was recorded stayed the same for minutes on end, as that of a pacemaker or of a "
        "faulty sensor does, so that it tells nothing of effort"
    )
    highest = highest_by_sport(windows(imported(legs), NOTHING))
    assert {sport: one.words for sport, one in highest.items()} == {"running": stuck}
    assert np.isnan(highest["running"].bpm)
    legs[3] = replace(legs[3], removed_s={"power too high": 12.0})
    highest = highest_by_sport(windows(imported(legs), NOTHING))
    assert highest["running"].words == "none was recorded"
    seen = [*legs, leg(-9, heart_rate_seconds=beats(185))]
    seen[3] = replace(legs[3], removed_s={"heart rate stuck": 60.0})
    assert highest_by_sport(windows(imported(seen), NOTHING))["running"].bpm == 185


def test_one_signal_serves_both_races_even_where_one_has_a_better() -> None:
    # Power only before the second race, heart rate before both: heart rate tells both alike.
    first = [leg(k, "cycling", heart_rate_seconds=beats(190)) for k in range(-156, -101, 2)]
    second = [
        ride(k, best_power_w=ALL_OUT, heart_rate_seconds=beats(185)) for k in range(-56, -1, 2)
    ]
    both = found(first + second, journal(race(-100), race(), thresholds=()))
    assert [each.signal.name for each in both if isinstance(each, Thresholds)] == ["heart_rate"] * 2
    seconds = [each.on(DAY0).second for each in both if isinstance(each, Thresholds)]
    assert seconds == pytest.approx([0.935 * 190] * 2)


def test_an_own_heart_rate_beats_an_estimated_speed() -> None:
    speeds = {"speed_seconds": np.array([0] * 60 + [3600]), "best_speed_mps": PACE}
    runs = [leg(k, **speeds) for k in range(-56, -1, 2)]
    assert the_one(runs, journal(), "running").signal.name == "heart_rate"
    estimated = the_one(runs, NOTHING, "running")
    assert estimated.signal.name == "speed"
    assert estimated.on(DAY0).second == pytest.approx(4.2)


def test_a_refused_estimate_says_why() -> None:
    steady = np.where(DURATIONS < 1900, 200.0, np.nan)
    legs = [ride(k, best_power_w=steady, heart_rate_seconds=None) for k in range(-56, -1, 2)]
    (none,) = found(legs, NOTHING)
    assert isinstance(none, NoThresholds)
    assert "(power: the best efforts do not fall with their length" in none.reason


def test_a_race_left_without_the_common_signal_says_that_another_would_serve() -> None:
    # Power before two races of three: it is kept, and the third says what it lacks.
    power = {"best_power_w": ALL_OUT, "heart_rate_seconds": None}
    legs = [ride(k - back, **power) for back in (200, 100) for k in range(-56, -1, 2)]
    legs += [leg(k, "cycling", heart_rate_seconds=beats(185)) for k in range(-56, -1, 2)]
    book = journal(race(-200), race(-100), race(), thresholds=())
    *_, last = found(legs, book)
    assert isinstance(last, NoThresholds)
    assert "heart rate: would serve, but one signal is kept through all races" in last.reason


def test_heart_rate_bins_of_the_builders_lie_above_the_typed_threshold() -> None:
    one = the_one([leg(k) for k in range(-56, -1, 2)], journal(), "running")
    assert one.on(DAY0).second < HARD_BPM
    assert one.on(date(2019, 1, 1)).second == one.on(DAY0).second


def test_best_efforts_with_a_reserve_that_nobody_has_are_no_threshold() -> None:
    """Beyond 60 kJ the efforts were not all-out: `reserve` of limits.toml."""
    within, beyond = (np.where(DURATIONS < 1900, 250 + j / DURATIONS, np.nan) for j in (55e3, 65e3))
    legs = [ride(k, best_power_w=within) for k in range(-56, -1, 2)]
    assert the_one(legs, NOTHING).on(DAY0).second == pytest.approx(250)
    (refused,) = found([ride(k, best_power_w=beyond) for k in range(-56, -1, 2)], NOTHING)
    assert isinstance(refused, NoThresholds)


def test_a_highest_by_which_most_training_were_hard_is_none_of_hard_work() -> None:
    """A runner who never left 140 beats a minute: 93.5% of that is no hard work."""
    always = np.zeros(141)
    always[130], always[140] = 1000, 2600
    (none,) = found(
        [leg(k, heart_rate_seconds=always) for k in range(-56, -1, 2)], NOTHING, "running"
    )
    assert isinstance(none, NoThresholds)
    assert (
        "the highest seen, 140 bpm, is none of hard work, since more than 50% of the training "
        "would be hard by it" in none.reason
    )
    half = np.zeros(141)
    half[130], half[140] = 1800, 1800
    told = the_one([leg(k, heart_rate_seconds=half) for k in range(-56, -1, 2)], NOTHING, "running")
    assert told.source == "share"
