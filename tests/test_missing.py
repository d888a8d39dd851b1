"""What is missing is told with what adding it would make known."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pandas as pd
import pytest

from taperback.cli.check import race_lines
from taperback.journal.columns import PERIOD_KINDS
from taperback.journal.model import DEFAULT_FILES
from taperback.raceweek.model import Measured, RaceWeek, unknown
from taperback.report.words.gaps import to_do
from taperback.study.missing import ASKED, PERIODS, gaps

DAY0 = date(2030, 6, 30)
NAN = float("nan")


def week(
    *missing: str,
    nights: tuple[int, ...] = (),
    blank: tuple[int, ...] = (),
    **race: object,
) -> RaceWeek:
    """A race whose named measures are unknown; nights are known on these days, days are blank."""
    span = range(-56, 1)
    days = pd.DataFrame(
        {
            "day": [DAY0 + timedelta(k) for k in span],
            "days_to_race": span,
            "state": ["unknown" if k in blank else "recorded" for k in span],
            "sleep_h": [7.0 if k in nights else NAN for k in span],
        }
    )
    measures = {
        name: unknown(name, "why") if name in missing else Measured(name, 1.0) for name in ASKED
    }
    row = {"row": 4, "status": "finished", "leave_out": ""} | race
    return RaceWeek(DAY0.isoformat(), "Cove", DAY0, row, measures, days, (), ())


def remedy(one: RaceWeek) -> str:
    (gap,) = gaps((one,))
    return gap.remedy


def test_a_race_with_everything_known_has_no_gap() -> None:
    assert gaps((week(),)) == ()


def test_gaps_carry_the_reason_and_come_in_the_order_of_the_measures() -> None:
    found = gaps((week("sleep_change_h", "result_pct", finish_time_s=NAN),))
    assert [gap.measure for gap in found] == ["result_pct", "sleep_change_h"]
    assert {gap.reason for gap in found} == {"why"}


def test_where_sessions_are_known_a_threshold_tells_hard_from_easy() -> None:
    """Files of more days would not."""
    told = remedy(week("intensity_kept", blank=(-70,)))
    assert told == (
        "files with heart rate or power and, under [[thresholds]] in athlete.toml, a "
        "second_threshold_heart_rate_bpm or critical_power_w, or hard_min in sessions.csv, would "
        "make intensity kept known for Cove"
    )


def test_days_and_what_tells_hard_from_easy_are_asked_for_at_once() -> None:
    one = week("intensity_kept", "volume_cut", blank=(-20, -19))
    asked = {gap.measure: gap.remedy for gap in gaps((one,))}
    days = "activity files of 2 days between 10 June 2030 and 11 June 2030, or sessions.csv with "
    assert asked["intensity_kept"].startswith(days)
    assert asked["intensity_kept"].endswith(
        "; what tells hard from easy is lacking, too: files with heart rate or power and, under "
        "[[thresholds]] in athlete.toml, a second_threshold_heart_rate_bpm or critical_power_w, or "
        "hard_min in sessions.csv"
    )
    (gap,) = [gap for gap in gaps((one,)) if gap.measure == "intensity_kept"]
    assert to_do(gap).split(". ")[2].startswith("What tells hard from easy is lacking, too: files")
    known = Measured("known_intensity_share", 0.9)
    told_apart = replace(one, measures={**one.measures, "known_intensity_share": known})
    asked = {gap.measure: gap.remedy for gap in gaps((told_apart,))}
    assert "hard from easy" not in asked["intensity_kept"], "only the days are lacking"
    assert asked["intensity_kept"].startswith(days)


def test_an_event_lacks_the_time_of_each_of_its_stages() -> None:
    told = remedy(week("result_pct", event="Ridge", finish_time_s=3600.0))
    assert "in row 4 of races.csv, and in those of its other stages, would" in told


def test_who_made_no_trip_is_told_how_to_say_so() -> None:
    assert remedy(week("body_clock_lag_h")) == (
        "a trip that ends before 30 June 2030 in trips.csv, or that table with its header alone "
        "where you made none, would make body clock behind known for Cove"
    )


def test_where_there_was_nothing_hard_nothing_is_asked_for() -> None:
    one = week("intensity_kept")
    measures = {**one.measures, "baseline_hard_min": Measured("baseline_hard_min", 0.0)}
    assert remedy(replace(one, measures=measures)) == ""


class ElsewhereDate(date):
    """A day on a machine that is set to another language."""

    def strftime(self, form: str) -> str:
        return "juin"


def test_days_read_the_same_in_any_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(globals(), "DAY0", ElsewhereDate(2030, 6, 30))
    told = [remedy(week(name)) for name in ("sleep_change_h", "body_clock_lag_h")]
    assert all("June 2030" in words for words in told)
    assert not any("juin" in words for words in told)


def test_nights_are_counted_up_to_what_is_needed() -> None:
    known = (-3, -2, *range(-40, -31))
    assert remedy(week("sleep_change_h", nights=known)) == (
        "3 nights between 24 June 2030 and 30 June 2030 and 1 night between 5 May 2030 and "
        "15 June 2030 in nights.csv would make sleep change known for Cove"
    )


def test_enough_nights_on_one_side_are_not_asked_for_again() -> None:
    known = tuple(range(-56, -14))
    assert remedy(week("sleep_change_h", nights=known)).startswith("5 nights between 24 June")
    assert "and 10 nights" not in remedy(week("sleep_change_h", nights=known))


@pytest.mark.parametrize(
    ("race", "words"),
    [
        (
            {},
            "a finish_time and an expected_time or a reference_time in row 4 of races.csv would "
            "make result known for Cove",
        ),
        (
            {"finish_time_s": 7800.0},
            "an expected_time or a reference_time in row 4 of races.csv would make result known "
            "for Cove",
        ),
        ({"status": "dnf"}, ""),
        ({"finish_time_s": 7800.0, "expected_time_s": 7900.0}, ""),
    ],
)
def test_a_result_asks_for_what_the_row_lacks(race: dict, words: str) -> None:
    assert remedy(week("result_pct", **race)) == words


def test_race_rpe_is_asked_for_unless_nobody_started() -> None:
    assert remedy(week("race_rpe")).startswith("a race_rpe from 0 to 10 in row 4 of races.csv")
    for race in ({"status": "dns"}, {"status": "dnf"}):
        assert remedy(week("race_rpe", race_rpe=7.0, **race)) == ""


def test_of_a_race_that_is_left_out_nothing_is_asked() -> None:
    left_out = week("race_rpe", "result_pct", "sleep_change_h", leave_out="fog")
    assert gaps((left_out,)) == ()
    assert race_lines((left_out,), DEFAULT_FILES) == ["2030-06-30 Cove: left out: fog"]


def test_a_race_that_only_files_show_has_no_row_yet() -> None:
    told = remedy(replace(week("race_rpe"), race={"row": 0, "status": "finished", "leave_out": ""}))
    assert told.startswith(
        "a race_rpe from 0 to 10 in the row that taperback draft writes to races"
    )


def test_what_is_wrong_is_asked_for_and_not_what_is_there() -> None:
    times = {"finish_time_s": 60.0, "expected_time_s": 8000.0}
    assert remedy(replace(week("result_pct", **times), doubted_column="finish_time")) == (
        "the right finish_time in row 4 of races.csv would make result known for Cove"
    )
    assert remedy(replace(week("result_pct", **times), doubted_column="expected_time")).startswith(
        "an expected_time in row 4 of races.csv"
    )
    assert remedy(replace(week("race_rpe", race_rpe=7.0), doubted_column="date")) == (
        "the right date in row 4 of races.csv would make race RPE known for Cove"
    )


def test_blank_days_ask_for_files_or_a_word() -> None:
    assert remedy(week("volume_cut", blank=(-20, -19, -18))) == (
        "activity files of 3 days between 10 June 2030 and 12 June 2030, or sessions.csv with what "
        f"no watch recorded, would make volume cut known for Cove; where nobody trained, {PERIODS}"
    )
    assert all(f"{kind} (" in PERIODS or f"{kind} or" in PERIODS for kind in PERIOD_KINDS)


def test_what_three_races_lack_alike_is_said_once() -> None:
    weeks = [replace(week("volume_cut"), race_id=f"{DAY0}-{k}", name=f"R{k}") for k in range(3)]
    lines = race_lines(tuple(weeks), DEFAULT_FILES)
    assert lines == [
        "3 races: volume cut is unknown: why",
        *(f"{each.race_id} {each.name}: 1 measure is unknown" for each in weeks),
    ]
    assert race_lines((weeks[0],), DEFAULT_FILES)[1] == "  volume cut is unknown: why"


def test_files_that_say_too_little_ask_for_nothing_made_up() -> None:
    assert remedy(week("volume_cut")) == ""
