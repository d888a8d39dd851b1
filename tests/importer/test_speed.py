"""Speed from distance, positions and pool lengths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from importer.test_samples import T0, every_second, recording
from taperback.importer.recording import LENGTH_COLUMNS
from taperback.importer.summary.samples import clean
from taperback.importer.summary.speed import known_positions, length_speed, speed_of

NOTHING = np.full(20, np.nan)
STEP_DEG = 3.0 / 111_195  # three metres of latitude on the sphere


def columns(**given: np.ndarray) -> dict[str, np.ndarray]:
    names = ("speed_mps", "distance_m", "lat", "lon")
    return {name: given.get(name, NOTHING) for name in names}


def test_measured_speed_comes_before_all() -> None:
    speed = np.full(20, 4.0)
    assert speed_of(np.arange(20.0), columns(speed_mps=speed, distance_m=np.arange(20.0)), 5) is (
        speed
    )


def test_positions_tell_speed_and_bear_a_lost_fix() -> None:
    lat = 40 + STEP_DEG * np.arange(20)
    lat[8:11] = np.nan
    speed = speed_of(np.arange(20.0), columns(lat=lat, lon=np.full(20, -8.0)), 5)
    assert speed[1:] == pytest.approx(np.full(19, 3.0), rel=1e-3)


def test_nothing_known_gives_no_speed() -> None:
    assert np.isnan(speed_of(np.arange(20.0), columns(), 5)).all()


def test_a_receiver_without_a_fix_is_nowhere() -> None:
    lat = np.array([0.0, 40.0, 91.0, np.nan, 0.0])
    lon = np.array([0.0, -8.0, 0.0, 0.0, 5.0])
    assert known_positions(lat, lon).tolist() == [1, 4]


def swim(rows: list[tuple[float, float, bool]], pool_m: float = 25.0, n: int = 75):
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    return replace(recording(every_second(n), "swimming"), lengths=lengths, pool_length_m=pool_m)


def test_a_pool_of_unknown_length_is_swum_all_the_same() -> None:
    grid = clean(swim([(T0, 30.0, True), (T0 + 30, 20.0, False)], pool_m=np.nan))
    assert int(grid.moving.sum()) == 30
    assert np.isnan(grid.speed_mps).all()


@pytest.mark.parametrize("row", [(T0, 1e12, True), (T0 + 1e12, 30.0, True), (np.nan, 9.0, True)])
def test_a_length_beyond_all_measure_is_passed_over(row: tuple) -> None:
    speed, swimming = length_speed(swim([row]), T0, 75)
    assert not swimming.any()
    assert np.isnan(speed).all()
