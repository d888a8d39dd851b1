"""Each race's last three weeks: rows and points."""

from __future__ import annotations

import math
from dataclasses import replace

from report.studies import race_week, study
from taperback.common.outcomes import RESULT
from taperback.raceweek.model import unknown
from taperback.report.sections.panic import flag_numbers
from taperback.report.sections.week_strips import Strip, day_points, legend, strips
from taperback.report.words.cells import race_refs

STUDY = study()


def strip(place: int) -> Strip:
    """The strip of the race at that place."""
    refs, numbers = race_refs(STUDY.weeks), flag_numbers(STUDY.weeks)
    return strips(STUDY.weeks, RESULT, refs, ("running",), numbers)[place]


def told(label: str, place: int = 0) -> dict[str, str]:
    """The numbers of a day by the heads of their columns."""
    row = next(row for row in strip(place).rows if row.label == label)
    return dict(zip(strip(place).columns, row.numbers, strict=True))


def test_a_strip_holds_the_last_three_weeks_and_race_day() -> None:
    points = day_points(race_week(0))
    assert [point.days_to_race for point in points] == list(range(-21, 1))
    assert len(strip(0).rows) == 22


def test_recorded_rest_and_unknown_days_stay_three_different_things() -> None:
    rows = {row.label: row for row in strip(0).rows}
    assert told("17") == {
        "run, h": "unknown",
        "swim, h": "unknown",
        "bike, h": "unknown",
        "hard, min": "–",
        "slept, h": "7.7",
    }
    assert rows["17"].remarks == "nothing known"
    assert rows["13"].remarks == "rest day"
    assert {told("13")[f"{sport}, h"] for sport in ("run", "swim", "bike")} == {"–"}
    assert told("20")["bike, h"] == "2.0"


def test_a_night_that_nobody_noted_is_unknown() -> None:
    assert told("12")["slept, h"] == "unknown"
    assert math.isnan(next(p for p in strip(0).points if p.days_to_race == -12).sleep_h)


def test_sports_come_as_the_athlete_lists_them() -> None:
    assert strip(0).columns[:3] == ("run, h", "swim, h", "bike, h")


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
    assert remarks["race day"] == "away"


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


def test_race_week_rows_are_marked() -> None:
    marked = [row.label for row in strip(0).rows if row.in_race_week]
    assert marked == ["7", "6", "5", "4", "3", "2", "1"]


def test_the_legend_holds_what_is_there_and_nothing_else() -> None:
    assert [words for _, words in legend((strip(0),))] == [
        *("swim", "bike", "run", "hard minutes", "a usual day", "a usual night"),
        *("rest day", "day unknown"),
    ]
    assert {"panic flag", "away from home"} < {words for _, words in legend((strip(1), strip(4)))}
    nan = float("nan")
    bare = replace(
        strip(0),
        sports=("rowing",),
        usual_day_h=None,
        points=tuple(
            replace(p, sleep_h=nan, hard_min=nan, state="recorded") for p in strip(0).points
        ),
    )
    assert [words for _, words in legend((bare,))] == ["other sport"]
    assert legend(()) == ()


def test_what_nobody_recorded_has_no_column() -> None:
    assert not any("does not count" in column for column in strip(0).columns)
    week = race_week(0)
    days = week.days.assign(
        sleep_h=float("nan"), besides=[{"e_biking": 0.4} if k == -3 else {} for k in range(-56, 1)]
    )
    bare = replace(week, days=days)
    made = strips((bare,), RESULT, race_refs((bare,)), (), {bare.race_id: ()})[0]
    assert made.columns[-1] == "does not count, h"
    assert made.rows[-4].numbers[-1] == "0.4 e-biking"
    assert not any("slept" in column for column in made.columns)
