"""Each race's last three weeks: rows and points."""

from __future__ import annotations

import math
from dataclasses import replace

from report.studies import race_week, study
from taperback.common.outcomes import RESULT
from taperback.raceweek.model import unknown
from taperback.report.sections.panic import flag_numbers
from taperback.report.sections.week_strips import Strip, day_points, strips
from taperback.report.words.cells import race_refs

STUDY = study()


def strip(place: int) -> Strip:
    """The strip of the race at that place."""
    refs, numbers = race_refs(STUDY.weeks), flag_numbers(STUDY.weeks)
    return strips(STUDY.weeks, RESULT, refs, ("running",), numbers)[place]


def test_a_strip_holds_the_last_three_weeks_and_race_day() -> None:
    points = day_points(race_week(0))
    assert [point.days_to_race for point in points] == list(range(-21, 1))
    assert len(strip(0).rows) == 22


def test_recorded_rest_and_unknown_days_stay_three_different_things() -> None:
    rows = {row.label: row for row in strip(0).rows}
    assert set(rows["17"].hours) == {"unknown"}
    assert rows["17"].hard == "–"
    assert rows["17"].remarks == "nothing known"
    assert rows["13"].remarks == "rest day"
    assert set(rows["13"].hours) == {"–"}
    assert "2.0 h" in rows["20"].hours


def test_a_night_that_nobody_noted_is_unknown() -> None:
    rows = {row.label: row for row in strip(0).rows}
    assert rows["12"].sleep == "unknown"
    assert math.isnan(next(p for p in strip(0).points if p.days_to_race == -12).sleep_h)


def test_sports_come_as_the_athlete_lists_them() -> None:
    assert strip(0).sport_names == ("run", "swim", "bike")


def test_flags_carry_the_pages_numbers() -> None:
    flags = strip(1).flags
    assert [(f.number, f.days_to_race, f.rule) for f in flags] == [
        (1, -5, "catching up"),
        (2, -4, "long"),
        (3, -2, "late"),
    ]
    assert any("flag 2 (long)" in row.remarks for row in strip(1).rows)


def test_travel_is_told_on_its_days() -> None:
    remarks = {row.label: row.remarks for row in strip(4).rows}
    assert remarks["3"].startswith("departed")
    assert "arrived" in remarks["2"]
    assert "race (its own hours are left out)" in remarks["race day"]


def test_weeks_are_compared_with_a_usual_one() -> None:
    assert strip(0).week_words == ("4% more", "12% less", "46% less")
    assert strip(0).usual_day_h == 1.5


def test_without_a_baseline_there_is_no_band_and_no_comparison() -> None:
    week = race_week(0)
    lost = {
        name: unknown(name, "only two usable weeks")
        for name in ("baseline_weekly_h", "volume_cut", "volume_cut_week_2", "usual_night_h")
    }
    bare = replace(week, measures={**week.measures, **lost})
    numbers = {bare.race_id: ()}
    made = strips((bare,), RESULT, race_refs((bare,)), (), numbers)[0]
    assert (made.usual_day_h, made.usual_night_h) == (None, None)
    assert made.week_words == ("4% more", "", "")
    assert {cell.reason for cell in made.measures} == {"", "Only two usable weeks."}


def test_race_week_rows_are_marked() -> None:
    marked = [row.label for row in strip(0).rows if row.in_race_week]
    assert marked == ["7", "6", "5", "4", "3", "2", "1"]
