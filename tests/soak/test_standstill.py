"""The yardstick of `real.py` on recordings with a planted truth."""

from __future__ import annotations

import numpy as np
import pytest

from soak.standstill import COUNTED_S, PLACES_S, climbs, stays


def with_stops(mps: float, step: int, wavers_m: float) -> tuple[np.ndarray, ...]:
    """(time, east, north, whether it stood) of an hour with a dozen stops of 15 to 90 s."""
    rng = np.random.default_rng(7)
    standing = np.zeros(3600, bool)
    for since in rng.choice(np.arange(0, 3500, 120), 12, replace=False):
        standing[since : since + int(rng.integers(15, 90))] = True
    gone = np.concatenate([[0.0], np.cumsum(np.where(standing, 0.0, mps))])
    waver = np.cumsum(rng.normal(0, wavers_m, (2, 3601)), axis=1)
    waver -= np.array([np.convolve(each, np.ones(60) / 60, "same") for each in waver])
    time = np.arange(0.0, 3601, step)
    return time, (gone + waver[0])[::step], waver[1][::step], standing


@pytest.mark.parametrize("mps", [1.2, 3.0, 7.0])
@pytest.mark.parametrize("step", [1, 5])
@pytest.mark.parametrize(("least_s", "wavers_m"), [(COUNTED_S, 0.0), (PLACES_S, 0.15)])
def test_stays_find_planted_stops(mps: float, step: int, least_s: float, wavers_m: float) -> None:
    time, east, north, standing = with_stops(mps, step, wavers_m)
    moved = float(np.diff(time)[~stays(time, east, north, least_s)].sum())
    assert moved == pytest.approx(np.count_nonzero(~standing), rel=0.02)


def test_an_even_pace_has_no_stay_and_a_climb_is_none() -> None:
    time = np.arange(0.0, 600)
    assert not stays(time, 1.0 * time, 0.0 * time, COUNTED_S).any()
    assert stays(time, 0.3 * time, 0.0 * time, COUNTED_S).mean() > 0.98
    assert climbs(time, 0.3 * time, 0.2 * time).all()
    assert not climbs(time, 0.3 * time, 0.01 * time).any()


def test_a_long_step_stands_or_moves_as_a_whole() -> None:
    time = np.array([0.0, 60, 120, 180])
    east = np.array([0.0, 180, 181, 361])
    assert stays(time, east, 0 * east, COUNTED_S).tolist() == [False, True, False]
