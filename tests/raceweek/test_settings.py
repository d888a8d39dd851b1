"""Figures by date: typed by the athlete, set in files, or seen."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from build import NAN, day, journal, leg
from raceweek.efforts import window_and_effort
from taperback.importer.model import LegSummary
from taperback.journal.model import Athlete, Threshold
from taperback.raceweek.effort.settings import (
    Highest,
    heart_range,
    highest_seen,
    one_heart,
    set_in_files,
    typed,
)

NAME = "max_heart_rate_bpm"
SEEN = Highest(181.0, "the highest seen for 30 s,")


def athlete(*thresholds: Threshold) -> Athlete:
    return Athlete("Ada Example", "Europe/Lisbon", thresholds=thresholds)


def with_beats(days_to_race: int, **seconds: int) -> LegSummary:
    """A run with that many seconds at a heart rate, as in `with_beats(-3, at_190=40)`."""
    rates = np.zeros(231)
    for name, value in seconds.items():
        rates[int(name.removeprefix("at_"))] = value
    return leg(days_to_race, heart_rate_seconds=rates)


def test_typed_figures_come_in_order_and_end_at_the_race() -> None:
    one, two, late = (Threshold(date(2030, m, 1), "", NAME, 180.0 + m) for m in (1, 3, 9))
    found = typed(athlete(two, late, one), "running", NAME, date(2030, 6, 30))
    assert found == [(date(2030, 1, 1), 181.0), (date(2030, 3, 1), 183.0)]


def test_a_figure_typed_for_race_day_holds_in_the_race() -> None:
    on_the_day = athlete(Threshold(date(2030, 6, 30), "", NAME, 185.0))
    assert typed(on_the_day, "running", NAME, date(2030, 6, 30)) == [(date(2030, 6, 30), 185.0)]
    assert typed(on_the_day, "running", NAME, date(2030, 6, 29)) == []


def test_figures_of_files_are_told_from_the_day_they_change() -> None:
    legs = pd.DataFrame(
        {
            "local_day": [date(2030, 1, d) for d in (1, 2, 3, 4)],
            "file_thresholds": [{NAME: 180.0}, {}, {NAME: 180.0}, {NAME: 184.0}],
        }
    )
    assert set_in_files(legs, NAME) == [(date(2030, 1, 1), 180.0), (date(2030, 1, 4), 184.0)]


def test_the_highest_seen_was_held_for_a_while() -> None:
    window, _ = window_and_effort(
        [with_beats(-30, at_150=3000, at_185=40, at_220=5), with_beats(-3, at_150=3000, at_181=90)]
    )
    assert highest_seen([window], "running") == 185
    assert np.isnan(highest_seen([window], "cycling"))


def test_a_leg_too_short_to_hold_anything_is_passed_over() -> None:
    window, _ = window_and_effort([with_beats(-3, at_200=10)])
    assert np.isnan(highest_seen([window], "running"))


def test_thirty_seconds_are_long_enough_and_twenty_nine_are_not() -> None:
    """The limit is `highest_held_s` of limits.toml."""
    window, _ = window_and_effort([with_beats(-9, at_150=600, at_190=30, at_200=29)])
    assert highest_seen([window], "running") == 190
    window, _ = window_and_effort([with_beats(-3, at_170=30)])
    assert highest_seen([window], "running") == 170
    window, _ = window_and_effort([with_beats(-3, at_170=29)])
    assert np.isnan(highest_seen([window], "running"))


def test_seconds_at_and_above_a_rate_are_added_up() -> None:
    """20 s at 190 bpm and 15 s at 188 bpm: 35 s at 188 bpm or more."""
    window, _ = window_and_effort([with_beats(-9, at_150=600, at_188=15, at_190=20)])
    assert highest_seen([window], "running") == 188


@pytest.mark.parametrize(
    ("thresholds", "file", "expected"),
    [
        ((Threshold(day(-90), "", NAME, 190.0),), {NAME: 186.0}, (190, "typed by the athlete")),
        ((), {NAME: 186.0}, (186, "set in the files")),
        ((), {}, (181, "seen for 30 s")),
    ],
)
def test_typed_beats_set_beats_seen(
    thresholds: tuple[Threshold, ...], file: dict[str, float], expected: tuple[int, str]
) -> None:
    legs = [leg(-3, file_thresholds=file)]
    window, _ = window_and_effort(legs, journal(thresholds=thresholds))
    heart = heart_range(window, "running", SEEN)
    assert heart.highest_bpm == expected[0]
    assert expected[1] in heart.highest_words
    assert np.isnan(heart.resting_bpm)


def test_the_latest_figure_of_the_sport_holds_and_files_of_other_sports_do_not_count() -> None:
    own = (
        Threshold(day(-90), "", NAME, 190.0),
        Threshold(day(-90), "running", NAME, 186.0),
        Threshold(day(-9), "running", NAME, 188.0),
        Threshold(day(-90), "", "resting_heart_rate_bpm", 48.0),
        Threshold(day(-90), "cycling", "resting_heart_rate_bpm", 50.0),
    )
    legs = [
        leg(-9, file_thresholds={NAME: 184.0}),
        leg(-5, file_thresholds={NAME: 187.0}),
        leg(-3, "cycling", file_thresholds={NAME: 179.0}, at=17),
    ]
    window, _ = window_and_effort(legs, journal(thresholds=own))
    told = heart_range(window, "running", SEEN)
    assert (told.resting_bpm, told.highest_bpm) == (48.0, 188.0)
    assert told.highest_words == "the highest typed by the athlete,"
    ridden = heart_range(window, "cycling", SEEN)
    assert (ridden.resting_bpm, ridden.highest_bpm) == (50.0, 190.0)
    window, _ = window_and_effort(legs, journal(thresholds=()))
    in_files = heart_range(window, "running", SEEN)
    assert (in_files.highest_bpm, in_files.highest_words) == (
        187.0,
        "the highest set in the files,",
    )
    seen = heart_range(window, "swimming", SEEN)
    assert (seen.highest_bpm, seen.highest_words) == (181.0, "the highest seen for 30 s,")


def test_a_sports_own_highest_stands_for_it_only_close_to_the_highest_of_all() -> None:
    """8% below 200 bpm is 184 bpm."""
    seen = {"running": 200.0, "cycling": 184.0, "swimming": 183.0, "rowing": NAN, "walking": 120.0}
    highest = one_heart(["cycling", "rowing", "running", "swimming"], seen)
    assert {sport: one.bpm for sport, one in highest.items()} == {
        "cycling": 184.0,
        "rowing": 200.0,
        "running": 200.0,
        "swimming": 200.0,
    }
    assert [one.words for one in highest.values()] == [
        "the highest seen for 30 s in cycling,",
        "the highest seen for 30 s in running (rowing has none of its own),",
        "the highest seen for 30 s,",
        "the highest seen for 30 s in running (swimming's own, 183 bpm, lies more than 8% below),",
    ]


def test_sports_are_named_as_one_says_them() -> None:
    ski = "cross_country_skiing"
    highest = one_heart([ski, "stand_up_paddleboarding"], {ski: 190.0})
    assert highest["stand_up_paddleboarding"].words == (
        "the highest seen for 30 s in cross country skiing (stand up paddleboarding has none of "
        "its own),"
    )
    close = one_heart([ski], {ski: 185.0, "running": 190.0})[ski]
    assert close.words == "the highest seen for 30 s in cross country skiing,"


def test_without_any_heart_rate_there_is_no_highest() -> None:
    highest = one_heart(["running"], {"running": NAN})
    assert np.isnan(highest["running"].bpm)
    assert highest["running"].words == "none was recorded"


def test_a_heart_that_never_rises_has_no_highest() -> None:
    """Healthy people of 90 years reach 145 bpm on average (Tanaka and others 2001)."""
    paced = one_heart(["rowing", "running"], {"rowing": 75.0, "running": 119.0})
    assert all(np.isnan(one.bpm) for one in paced.values())
    assert {one.words for one in paced.values()} == {
        "the highest seen, 119 bpm, is none of hard work, so that it tells nothing of effort, as "
        "with a pacemaker, some medicines or a faulty sensor"
    }
    assert one_heart(["rowing"], {"rowing": 120.0})["rowing"].bpm == 120
