"""Legs as columns give what a table of pandas gives, and nothing of theirs is copied by taking."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from build import imported, leg
from taperback.raceweek.legs import Legs, median, total, totals


@pytest.fixture
def legs() -> Legs:
    placed = imported([leg(-3), leg(-2, "cycling", 2.0), leg(-2, hours=0.5, at=18)]).legs
    return Legs.of(placed.assign(days_to_race=[-3, -2, -2]))


def test_a_column_holds_what_the_table_held(legs: Legs) -> None:
    assert legs["sport"].tolist() == ["running", "cycling", "running"]
    assert legs["moving_s"].dtype == float
    assert isinstance(legs["start_utc"][0], pd.Timestamp)


def test_each_leg_has_its_columns_as_plain_values(legs: Legs) -> None:
    (_, ride, run) = legs
    assert (ride.sport, ride.moving_s, run.days_to_race) == ("cycling", 7200.0, -2)
    assert type(run.days_to_race) is int
    with pytest.raises(AttributeError, match="a leg has no load"):
        _ = run.load


def test_parts_of_parts_are_in_order(legs: Legs) -> None:
    late = legs.between(-2, -1)
    assert late.where(late["sport"] == "running").ids == legs.ids[2:]
    assert late.at([1]).ids == late.rows(1).ids == legs.ids[2:]
    assert legs.named(legs.ids[:1]).ids == legs.ids[:1]
    assert late.apart()["moving_s"].tolist() == [7200.0, 1800.0]
    assert not len(late.rows(0, 0)) and late.rows(0, 0).total("moving_s") == 0.0


def test_more_columns_follow_the_legs(legs: Legs) -> None:
    late = legs.between(-2, -1)
    assert late.with_columns(word=["a", "b"]).where(np.array([False, True]))["word"] == ["b"]
    assert late.with_shared({"load": np.array([1.0, 2.0, 3.0])})["load"].tolist() == [2.0, 3.0]


def test_groups_come_in_order(legs: Legs) -> None:
    told = [(sport, len(of)) for sport, of in legs.by("sport")]
    assert told == [("cycling", 1), ("running", 2)]
    assert legs.totals("days_to_race", "moving_s") == {-3: 3600.0, -2: 9000.0}


@pytest.mark.parametrize("order", ["as drawn", "sorted", "one group"])
@pytest.mark.parametrize("unknown", [0.0, 0.3])
def test_sums_are_those_of_pandas_to_the_last_bit(order: str, unknown: float) -> None:
    rng = np.random.default_rng(7)
    for count in (1, 2, 3, 7, 8, 9, 60, 200):
        keys = rng.integers(0, 1 if order == "one group" else 6, count)
        keys = np.sort(keys) if order == "sorted" else keys
        values = np.where(rng.random(count) < unknown, np.nan, rng.random(count) * 100)
        expected = pd.Series(values).groupby(keys).sum()
        assert totals(keys.tolist(), values) == expected.to_dict()
        assert total(values) == pd.Series(values).sum()
        assert median(expected) == expected.median()


def test_nothing_has_no_median() -> None:
    assert np.isnan(median([]))
    assert totals([], np.empty(0)) == {}
