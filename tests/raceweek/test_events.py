"""Stages and heats as one race: which rows belong together, and what the event's row says."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
import pytest

from build import day, imported, journal, leg, race
from taperback.common.limits import LIMITS
from taperback.raceweek.window.calendar import windows
from taperback.raceweek.window.events import stages_of, with_events

GAP = LIMITS.race_day.event_gap_days


def rows(*cells: dict[str, Any], event: str = "Tour") -> pd.DataFrame:
    """The journal's races: a stage a day from day 0 on, unless their cells say otherwise."""
    typed = [
        race(place, row=2 + place, event=event, name=f"stage {place + 1}") | of_row
        for place, of_row in enumerate(cells)
    ]
    return journal(*typed).races


def as_one(*cells: dict[str, Any]) -> dict[str, Any]:
    (event,) = with_events(rows(*cells)).to_dict("records")
    return event


def test_rows_of_one_event_that_follow_each_other_are_one_race() -> None:
    tour = [{}, {"event": "TOUR"}, {"event": "tour"}]
    assert stages_of(rows(*tour)) == [[0, 1, 2]]
    assert stages_of(rows({}, {"event": "Other"}, {})) == [[0, 2], [1]]
    assert stages_of(rows({}, {}, event="")) == [[0], [1]]


@pytest.mark.parametrize(("days", "one"), [(GAP, True), (GAP + 1, False)])
def test_next_years_event_is_another(days: int, one: bool) -> None:
    late = [{}, {"date": day(days)}, {"date": day(2 * days)}]
    assert stages_of(rows(*late)) == ([[0, 1, 2]] if one else [[0], [1], [2]])


def test_races_without_an_event_stay_as_they_are() -> None:
    plain = rows({}, {}, event="")
    assert with_events(plain) is plain


def test_an_event_sums_its_times_and_takes_its_last_place() -> None:
    first = {"finish_time_s": 3600.0, "expected_time_s": 3500.0, "reference_time_s": 3000.0}
    last = {"finish_time_s": 1800.0, "expected_time_s": 1900.0, "reference_time_s": 1500.0}
    event = as_one(first | {"place": 9.0, "field_size": 90.0}, last | {"place": 4.0})
    assert [event[name] for name in first] == [5400.0, 5400.0, 4500.0]
    assert event["place"] == 4.0 and math.isnan(event["field_size"])
    assert (event["name"], event["distance"], event["row"]) == ("Tour", "2 stages", 2)
    assert event["date"] == day(0)


def test_a_time_that_one_stage_lacks_is_not_known_of_the_event() -> None:
    assert math.isnan(as_one({"finish_time_s": 3600.0}, {})["finish_time_s"])


def test_effort_and_heat_are_means_of_the_stages_that_have_them() -> None:
    cells = ({"race_rpe": 6.0, "temp_c": 10.0}, {"race_rpe": 9.0}, {"temp_c": 30.0})
    event = as_one(*cells)
    assert (event["race_rpe"], event["temp_c"]) == (7.5, 20.0)
    assert math.isnan(as_one({}, {})["race_rpe"])


def test_an_event_has_each_sport_once_in_order_and_each_note_once() -> None:
    event = as_one(
        {"sports": ("swimming", "running"), "notes": "cold"},
        {"sports": ("running",), "notes": ""},
        {"sports": ("cycling",), "notes": "windy"},
        {"sports": ("cycling",), "notes": "cold"},
    )
    assert event["sports"] == ("swimming", "running", "cycling")
    assert event["notes"] == "cold; windy"


def test_the_first_stage_that_was_not_finished_is_the_events_status() -> None:
    assert as_one({}, {})["status"] == "finished"
    assert as_one({}, {"status": "dnf"}, {"status": "dns"})["status"] == "dnf"
    left = as_one({}, {"leave_out": "lost"}, {"leave_out": "ill"})
    assert left["leave_out"] == "lost"
    assert as_one({}, {})["leave_out"] == ""


def test_a_goal_among_the_stages_makes_the_event_one() -> None:
    assert as_one({"aim": "tune-up"}, {"aim": "main"})["aim"] == "main"
    assert as_one({"aim": "tune-up"}, {"aim": "tune-up"})["aim"] == "tune-up"
    assert as_one({"aim": ""}, {"aim": "tune-up"})["aim"] == ""


def test_a_cancelled_stage_is_left_out_of_its_event() -> None:
    ridden = {"finish_time_s": 3600.0}
    event = as_one(ridden, {"status": "cancelled"}, ridden)
    assert (event["finish_time_s"], event["distance"], event["status"]) == (
        7200.0,
        "2 stages",
        "finished",
    )
    alone = as_one({"status": "cancelled"}, ridden)
    assert (alone["name"], alone["finish_time_s"]) == ("stage 2", 3600.0)
    all_off = as_one({"status": "cancelled"}, {"status": "cancelled"})
    assert (all_off["name"], all_off["status"]) == ("Tour", "cancelled")


def test_numbers_stay_numbers() -> None:
    table = with_events(rows({"finish_time_s": 3600.0}, {"finish_time_s": 3600.0}))
    assert table["finish_time_s"].dtype == float
    assert table["row"].dtype == rows({}, {})["row"].dtype


def test_all_days_of_an_event_are_its_own_and_none_is_training() -> None:
    legs = [*(leg(k) for k in range(-60, 0)), *(leg(k, hours=2.0) for k in (0, 1, 2)), leg(3)]
    stages = [race(k, row=2 + k, event="Tour", sports=("running",)) for k in range(3)]
    (window,) = windows(imported(legs), journal(*stages))
    assert window.name == "Tour"
    assert len(window.race_legs) == 3
    assert [len(stage) for stage in window.stages] == [1, 1, 1]
    assert window.race_day_legs["hours"].tolist() == [2.0, 2.0, 2.0]
    assert window.training(-7, 0)["hours"].sum() == 7.0
