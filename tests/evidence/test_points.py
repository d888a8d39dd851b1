"""Races that share their week are one point of the evidence."""

from __future__ import annotations

import numpy as np
import pandas as pd

from taperback.common.outcomes import RESULT
from taperback.evidence.assess import assess
from taperback.evidence.model import Ranked
from taperback.evidence.points import points_of
from taperback.evidence.priors import FACTORS

NAN = float("nan")


def frame(cuts: list[float]) -> pd.DataFrame:
    """Races named a, b, c ... with these cuts, everything else as usual."""
    usual = {"intensity_kept": 1.0, "sleep_change_h": 0.0, "body_clock_lag_h": 0.0}
    names = list("abcdefghijklmnopqrstuvwxyz"[: len(cuts)])
    return pd.DataFrame({"volume_cut": cuts, **usual}, index=names, columns=list(FACTORS))


def test_a_race_alone_is_a_point() -> None:
    x = frame([0.2, 0.5])
    points = points_of(x, pd.Series([1.0, 2.0], x.index))
    assert points.races == (("a",), ("b",))
    assert points.exposures.tolist() == x.to_numpy().tolist()
    assert points.values.tolist() == [1.0, 2.0]
    assert points.order.tolist() == [0.0, 1.0]


def test_races_of_one_week_have_the_first_ones_exposures_and_the_mean_of_their_outcomes() -> None:
    x = frame([0.2, 0.9, 0.8, 0.5])
    points = points_of(x, pd.Series([1.0, 2.0, 6.0, 4.0], x.index), [0, 0, 0, 1])
    assert points.races == (("a", "b", "c"), ("d",))
    assert points.labels == ("a", "d")
    assert points.exposures[:, 0].tolist() == [0.2, 0.5]
    assert points.values.tolist() == [3.0, 4.0]


def test_a_race_without_an_outcome_still_opens_its_week() -> None:
    x = frame([0.2, 0.9, 0.5])
    points = points_of(x, pd.Series([NAN, 2.0, NAN], x.index), [0, 0, 1])
    assert points.races == (("b",),), "it is named by the races that count"
    assert points.exposures[:, 0].tolist() == [0.2], "but the week before it is the first one's"
    assert points.values.tolist() == [2.0]


def test_no_race_is_no_point() -> None:
    points = points_of(frame([]), pd.Series([], dtype=float))
    assert (points.races, points.exposures.shape) == ((), (0, 4))


def test_fifteen_rows_of_five_meets_are_five_points() -> None:
    """A swimmer's starts: the same five weeks, each three times, in perfect order."""
    cuts = np.repeat([0.1, 0.5, 0.25, 0.4, 0.3], 3)
    x = frame(list(cuts))
    y = pd.Series(10 * cuts + np.tile([-0.5, 0.0, 0.5], 5), x.index)
    alone = assess(points_of(x, y), RESULT).factors[0]
    evidence = assess(points_of(x, y, [0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4]), RESULT)
    cut = evidence.factors[0]
    assert isinstance(cut.ranked, Ranked)
    assert (evidence.n, cut.ranked.n, cut.races) == (5, 5, 15)
    assert evidence.points[1] == ("d", "e", "f")
    assert cut.ranked.p_value >= 1 / 60
    assert (cut.p_holm > 0.05, alone.p_holm < 0.001) == (True, True)
    assert cut.strength in ("leaning", "supported")
