"""Speed from distance, positions and pool lengths."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from importer.test_samples import T0, every_second, recording
from taperback.importer.recording import LENGTH_COLUMNS
from taperback.importer.summary.samples import clean
from taperback.importer.summary.speed import length_speed, speed_of
from taperback.importer.summary.way import known_positions, read_way

NOTHING = np.full(20, np.nan)
STEP_DEG = 3.0 / 111_195  # three metres of latitude on the sphere


def speed(measured: np.ndarray = NOTHING, **given: np.ndarray) -> np.ndarray:
    """Speed from these columns, a sample a second."""
    columns = {name: given.get(name, NOTHING) for name in ("distance_m", "lat", "lon")}
    time = np.arange(20.0)
    return speed_of(time, measured, read_way(recording([]), time, columns))


def test_measured_speed_is_believed_where_it_adds_up_to_the_way() -> None:
    measured = np.full(20, 4.0)
    assert speed(measured, distance_m=4.2 * np.arange(20.0)) is measured


def test_measured_speed_in_another_unit_gives_way_to_the_way() -> None:
    in_kmh = np.full(20, 4.0 * 3.6)
    assert speed(in_kmh, distance_m=4.0 * np.arange(20.0)) == pytest.approx(np.full(20, 4.0))


def test_zeros_between_readings_are_filled_from_the_way() -> None:
    measured = np.full(20, 4.0)
    measured[7:9] = 0.0
    assert speed(measured, distance_m=4.0 * np.arange(20.0)) == pytest.approx(np.full(20, 4.0))


def test_positions_tell_speed_and_bear_a_lost_fix() -> None:
    lat = 40 + STEP_DEG * np.arange(20)
    lat[8:11] = np.nan
    assert speed(lat=lat, lon=np.full(20, -8.0)) == pytest.approx(np.full(20, 3.0), rel=1e-3)


def test_nothing_known_gives_no_speed() -> None:
    assert np.isnan(speed()).all()


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
