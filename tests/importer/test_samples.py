"""Each cleaning rule: what it takes out, what it leaves, and that it counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from taperback.common.errors import InputError
from taperback.importer.recording import LENGTH_COLUMNS, SAMPLE_COLUMNS, Recording
from taperback.importer.summary.samples import clean

START = datetime(2030, 5, 1, 6, 0, tzinfo=UTC)
T0 = START.timestamp()


def recording(
    times: list[float], sport: str = "running", pauses: tuple = (), **columns: object
) -> Recording:
    """A recording with these seconds and columns, each a second long; no more is measured."""
    samples = pd.DataFrame({"time_s": [T0 + t for t in times]} | columns)
    samples = samples.reindex(columns=list(SAMPLE_COLUMNS)).astype(float)
    end = START + timedelta(seconds=max(times, default=0) + 1)
    shifted = tuple((T0 + a, T0 + b) for a, b in pauses)
    return Recording(sport, "", START, end, samples, pauses=shifted)


def every_second(n: int) -> list[float]:
    return [float(second) for second in range(n)]


def test_clean_samples_stay_as_they_are() -> None:
    grid = clean(
        recording(every_second(5), speed_mps=3.0, heart_rate_bpm=[120, 121, 122, 121, 120])
    )
    assert grid.heart_rate_bpm.tolist() == [120, 121, 122, 121, 120]
    assert grid.moving.all()
    assert grid.removed_s == {}


def test_smart_recording_holds_a_reading_until_the_next() -> None:
    grid = clean(recording([0, 4, 7], speed_mps=[3.0, 4.0, 5.0]))
    assert grid.speed_mps.tolist() == [3, 3, 3, 3, 4, 4, 4, 5]


def test_a_long_silence_is_a_gap_and_no_training() -> None:
    grid = clean(recording([0, 1, 101, 102], speed_mps=3.0))
    assert int(grid.moving.sum()) == 4
    assert grid.removed_s == {"recording gap": 99.0}
    assert np.isnan(grid.speed_mps[50])


def test_a_device_that_writes_every_half_minute_has_no_gaps() -> None:
    times = [25.0 * step for step in range(20)] + [475.0 + 40.0, 475.0 + 600.0]
    grid = clean(recording(times, speed_mps=3.0))
    assert grid.removed_s == {"recording gap": 559.0}
    assert int(grid.moving.sum()) == 517


def test_a_pause_is_no_training() -> None:
    grid = clean(recording(every_second(20), speed_mps=3.0, pauses=((5, 15),)))
    assert int(grid.moving.sum()) == 10
    assert grid.removed_s == {"pause": 10.0}


def test_standing_is_no_training() -> None:
    speed = [3.0] * 5 + [0.1] * 5
    grid = clean(recording(every_second(10), speed_mps=speed))
    assert grid.moving.tolist() == [True] * 5 + [False] * 5
    assert grid.removed_s == {"standing": 5.0}


def test_turning_the_pedals_on_the_spot_is_training() -> None:
    grid = clean(recording(every_second(10), "cycling", speed_mps=[9.0] + [0.0] * 9, power_w=180))
    assert grid.moving.all()


@pytest.mark.parametrize("rate", [29.0, 231.0])
def test_impossible_heart_rates_are_taken_out(rate: float) -> None:
    grid = clean(recording(every_second(4), speed_mps=3.0, heart_rate_bpm=[120, rate, rate, 121]))
    assert np.isnan(grid.heart_rate_bpm).tolist() == [False, True, True, False]
    assert grid.removed_s == {"heart rate out of range": 2.0}


def test_impossible_power_and_speed_are_taken_out() -> None:
    grid = clean(recording(every_second(3), speed_mps=[3, 14, 3], power_w=[200, 210, 2600]))
    assert np.isnan(grid.speed_mps).tolist() == [False, True, False]
    assert np.isnan(grid.power_w).tolist() == [False, False, True]
    assert grid.removed_s == {"speed out of range": 1.0, "power out of range": 1.0}


def test_a_spike_between_two_readings_that_agree_is_taken_out() -> None:
    rate = [120, 121, 190, 122, 121]
    grid = clean(recording(every_second(5), speed_mps=3.0, heart_rate_bpm=rate))
    assert np.isnan(grid.heart_rate_bpm).tolist() == [False, False, True, False, False]
    assert grid.removed_s == {"heart rate spike": 1.0}


def test_a_real_rise_is_no_spike() -> None:
    rate = [100, 101, 150, 155, 156]
    assert clean(recording(every_second(5), speed_mps=3.0, heart_rate_bpm=rate)).removed_s == {}


def test_a_stuck_heart_rate_is_taken_out_after_its_limit() -> None:
    rate = [120.0, 121.0] + [133.0] * 601
    grid = clean(recording(every_second(603), speed_mps=3.0, heart_rate_bpm=rate))
    assert grid.removed_s == {"heart rate stuck": 601.0}
    rate[300] = 134.0
    assert clean(recording(every_second(603), speed_mps=3.0, heart_rate_bpm=rate)).removed_s == {}


def test_a_channel_of_zeros_was_not_measured() -> None:
    grid = clean(recording(every_second(5), speed_mps=3.0, power_w=0, heart_rate_bpm=0))
    assert np.isnan(grid.power_w).all()
    assert np.isnan(grid.heart_rate_bpm).all()


def test_a_clock_that_runs_backwards_is_put_in_order_and_counted() -> None:
    grid = clean(recording([0, 1, 2, 1, 3], speed_mps=[1, 2, 3, 9, 4]))
    assert grid.speed_mps.tolist() == [1, 9, 3, 4]
    assert grid.removed_s == {"clock ran backwards": 1.0}


def test_a_clock_that_jumps_for_days_is_refused() -> None:
    with pytest.raises(InputError, match="it lasts 60 hours, so its clock jumped"):
        clean(recording([0, 72_000, 144_000, 216_000], speed_mps=3.0))


def test_speed_comes_from_distance_where_it_is_not_measured() -> None:
    grid = clean(recording(every_second(30), distance_m=[4.0 * t for t in range(30)]))
    assert grid.speed_mps[5:].tolist() == [4.0] * 25


def test_a_pool_swim_moves_while_lengths_are_swum() -> None:
    lengths = pd.DataFrame(
        [(T0, 30.0, True), (T0 + 30, 25.0, True), (T0 + 55, 20.0, False)],
        columns=list(LENGTH_COLUMNS),
    )
    swim = recording(every_second(75), "swimming")
    swim = Recording(
        "swimming", "", START, swim.end_utc, swim.samples, lengths=lengths, pool_length_m=25.0
    )
    grid = clean(swim)
    assert int(grid.moving.sum()) == 55
    assert grid.speed_mps[10] == pytest.approx(25 / 30)
    assert grid.speed_mps[40] == pytest.approx(1.0)


@pytest.mark.parametrize("sport", ["swimming", "training", "generic"])
def test_where_standing_is_no_rest_the_timer_tells(sport: str) -> None:
    speed = [1.0] * 5 + [0.1] * 5
    grid = clean(recording(every_second(10), sport, speed_mps=speed))
    assert grid.moving.all()
    assert grid.removed_s == {}


def test_a_power_spike_is_taken_out_and_a_sprint_is_not() -> None:
    power = [200, 210, 1900, 205, 400, 1300, 1250, 500]
    grid = clean(recording(every_second(8), "cycling", speed_mps=9.0, power_w=power))
    assert np.isnan(grid.power_w).tolist() == [False, False, True] + [False] * 5
    assert grid.removed_s == {"power spike": 1.0}


def test_lengths_that_outlast_the_samples_are_swum_all_the_same() -> None:
    rows = [(T0 + 30 * k, 25.0, True) for k in range(4)]
    swim = replace(
        recording(every_second(40), "swimming", heart_rate_bpm=[120, 121] * 20),
        lengths=pd.DataFrame(rows, columns=list(LENGTH_COLUMNS)),
        pool_length_m=25.0,
    )
    grid = clean(swim)
    assert int(grid.moving.sum()) == 4 * 25
    assert np.isnan(grid.heart_rate_bpm[60])


def test_lengths_without_samples_tell_the_time_swum() -> None:
    lengths = pd.DataFrame([(T0, 30.0, True)], columns=list(LENGTH_COLUMNS))
    swim = Recording(
        "swimming", "", START, START + timedelta(seconds=40), recording([]).samples, lengths=lengths
    )
    assert int(clean(swim).moving.sum()) == 30
    endless = Recording(
        "swimming", "", START, datetime(2090, 1, 1, tzinfo=UTC), swim.samples, lengths=lengths
    )
    assert len(clean(endless).moving) == 0


def test_a_leg_without_samples_has_an_empty_grid() -> None:
    assert len(clean(recording([])).moving) == 0
