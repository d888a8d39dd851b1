"""The athlete of `everyday.py`: usual week, cuts, hard minutes and flags equal what is planted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from build import day, habit, imported, journal, leg, one_race, race
from people.everyday import CUTS, FLAGS, HARD_MIN, OTHER_H, RACES, USUAL_H, life, training
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.table import race_weeks
from taperback.study.besides import besides

TYPED = (race(days, sports=("running",)) for days in RACES)
BOOK = journal(*TYPED)
HEART_ALONE = replace(BOOK, athlete=replace(BOOK.athlete, thresholds=()))


@pytest.fixture(scope="module")
def weeks() -> tuple[RaceWeek, ...]:
    return race_weeks(imported([*training(), *life()]), BOOK)


@pytest.fixture(scope="module")
def by_heart() -> tuple[RaceWeek, ...]:
    """The same without any threshold typed: a share of the highest heart rate has to do."""
    return race_weeks(imported([*training(), *life()]), HEART_ALONE)


def test_the_usual_week_is_that_of_training(weeks: tuple[RaceWeek, ...]) -> None:
    assert [week.number("baseline_weekly_h") for week in weeks] == pytest.approx([USUAL_H] * 3)


def test_the_cuts_are_those_of_training(weeks: tuple[RaceWeek, ...]) -> None:
    assert [week.number("volume_cut") for week in weeks] == pytest.approx(CUTS)


@pytest.mark.parametrize("which", ["weeks", "by_heart"])
def test_hard_minutes_are_those_planted(which: str, request: pytest.FixtureRequest) -> None:
    for week in request.getfixturevalue(which):
        assert week.number("hard_min") == pytest.approx(HARD_MIN)
        assert week.number("baseline_hard_min") == pytest.approx(HARD_MIN)
        assert [(flag.rule, flag.day_before) for flag in week.flags] == FLAGS


def test_the_rest_is_kept_apart_in_hours(weeks: tuple[RaceWeek, ...]) -> None:
    for week in weeks:
        assert week.number("other_h") == pytest.approx(OTHER_H)
        assert week.number("on_feet_h") == pytest.approx(3 * 2 * 0.25)
    found = besides(weeks)
    assert found.weekly_h == pytest.approx(OTHER_H)
    assert found.names == ("e_biking", "walking", "strength_training", "yoga")


def test_the_page_says_what_does_not_count(weeks: tuple[RaceWeek, ...]) -> None:
    from taperback.report.view import besides_words

    assert besides_words(besides(weeks)) == (
        f"Besides: {OTHER_H:.1f} h a week of e-biking, walking, strength training and yoga, which "
        "do not count as training. The sports that count are in athlete.toml."
    )


@pytest.mark.parametrize("sport", ["hiking", "cycling", "running"])
def test_an_easy_sport_beside_a_hard_one_has_no_hard_minute_and_no_flag(sport: str) -> None:
    """An easy day before the race, in a sport that was never done hard, is no panic."""
    hard = "rowing"
    easy = [leg(k, sport, 1.0, at=17) for k in range(-56, -1, 2)]
    found = one_race(
        [*habit(sport=hard), *easy, leg(-1, sport, 1.0, at=17)], journal(thresholds=())
    )
    assert day(-1) in set(found.week.legs["local_day"]) or sport == "hiking"
    of_sport = found.week.legs.where(found.week.legs["sport"] == sport)
    assert of_sport["hard_min"].sum() == 0.0
    assert not found.flags
