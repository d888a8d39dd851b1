"""Every race with every measure, as values and as a table."""

from __future__ import annotations

import math
from importlib import import_module
from inspect import isfunction
from pathlib import Path

import pytest

from build import day, habit, imported, journal, leg, race
from taperback.common.quantities import QUANTITIES
from taperback.raceweek import factors
from taperback.raceweek.model import DAY_COLUMNS
from taperback.raceweek.table import FACTORS, as_table, race_weeks

LEGS = [*habit(), *(leg(k, hours=0.6) for k in range(-7, -1)), leg(0, "running", 1.5)]
BOOK = journal(
    race(-200, name="Early"), race(0, name="Main", expected_time_s=5400.0, finish_time_s=5346.0)
)


def test_a_race_without_files_is_there_with_reasons():
    early, main = race_weeks(imported(LEGS), BOOK)
    assert early.measures["volume_cut"].value is None
    assert early.measures["volume_cut"].reason == (
        "7 of 7 days are not known: before the first file"
    )
    assert main.measures["volume_cut"].known


def test_every_measure_is_a_number_with_inputs_or_has_a_reason():
    for week in race_weeks(imported(LEGS), BOOK):
        for name, measured in week.measures.items():
            assert measured.name == name
            assert measured.known == (not measured.reason), name
            assert not measured.known or measured.basis, name


def test_every_measure_is_a_registered_quantity():
    for week in race_weeks(imported(LEGS), BOOK):
        assert week.measures.keys() <= QUANTITIES.keys()


def test_days_tell_training_sleep_and_travel_by_day():
    main = race_weeks(imported(LEGS, nights={-1: 7.0}), BOOK)[1]
    assert tuple(main.days.columns) == DAY_COLUMNS
    days = main.days.set_index("days_to_race")
    assert days.loc[-7, "hours"] == {"running": 0.6}
    assert days.loc[-1, "hours"] == {} and days.loc[-1, "state"] == "rest"
    assert days.loc[0, "hours"] == {}, "the race itself is no training"
    assert days.loc[-1, ["sleep_h", "sleep_source"]].tolist() == [7.0, "file"]
    assert math.isnan(days.loc[-2, "sleep_h"])


def test_hard_minutes_by_day_are_zero_at_rest_and_unknown_without_a_sensor():
    legs = [*habit(), leg(-6, hard_min=9), leg(-3, hard_min=None)]
    days = race_weeks(imported(legs), BOOK)[1].days.set_index("days_to_race")
    assert days.loc[-6, "hard_min"] == pytest.approx(9)
    assert days.loc[-5, "hard_min"] == 0
    assert math.isnan(days.loc[-3, "hard_min"])


def test_the_table_has_a_row_a_race_and_reasons_only_where_needed():
    table = as_table(race_weeks(imported(LEGS), BOOK))
    assert table["race_id"].tolist() == [day(-200).isoformat(), day(0).isoformat()]
    assert table["date"].tolist() == [day(-200), day(0)]
    assert list(table)[:3] == ["race_id", "name", "date"]
    assert table["name"].tolist() == ["Early", "Main"]
    assert table["volume_cut"].isna().tolist() == [True, False]
    assert table["volume_cut_reason"].tolist()[1] == ""
    assert table["volume_cut"].dtype == float


def test_no_race_gives_an_empty_table():
    assert len(as_table(())) == 0


def test_shuffled_files_give_the_same_numbers():
    forward = as_table(race_weeks(imported(LEGS), BOOK))
    assert forward.equals(as_table(race_weeks(imported(LEGS[::-1]), BOOK)))


def test_every_factor_is_in_the_list() -> None:
    folder = Path(factors.__path__[0])
    modules = [import_module(f"{factors.__name__}.{path.stem}") for path in folder.glob("[!_]*.py")]
    written = {
        function
        for module in modules
        for function in vars(module).values()
        if isfunction(function)
        and function.__module__ == module.__name__
        and not function.__name__.startswith("_")
        and [*function.__annotations__.values()] == ["Race", "tuple[Measured, ...]"]
    }
    assert written == set(FACTORS)
