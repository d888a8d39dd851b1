"""A leg's row: times, histograms, best efforts, halves."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pandas as pd
import pytest

from importer.test_samples import every_second, recording
from taperback.importer.model import BEST_DURATIONS_S, LegSummary
from taperback.importer.recording import Recording
from taperback.importer.summary.summary import summarise


def summary(leg: Recording) -> LegSummary:
    return summarise(leg, file="a.fit", digest="d" * 64, place=(0, 1), file_format="fit")


def ride(seconds: int, **columns: Any) -> LegSummary:
    return summary(recording(every_second(seconds), "cycling", **({"speed_mps": 9.0} | columns)))


def test_moving_time_is_seconds_of_training() -> None:
    assert ride(600).moving_s == 600


def test_without_samples_the_device_tells_the_time() -> None:
    leg = replace(recording([]), total_timer_s=1800.0, total_distance_m=5000.0)
    row = summary(leg)
    assert (row.moving_s, row.distance_m) == (1800.0, 5000.0)
    assert row.speed_seconds is None


def test_histograms_hold_every_moving_second_once() -> None:
    row = ride(100, power_w=[202.0] * 60 + [251.0] * 40, heart_rate_bpm=[130, 131] * 50)
    assert row.power_seconds is not None
    assert row.power_seconds[40] == 60  # [200, 205) W
    assert row.power_seconds[50] == 40  # [250, 255) W
    assert row.heart_rate_seconds is not None
    assert row.heart_rate_seconds[130] == 50
    assert row.speed_seconds is not None
    assert row.speed_seconds[180] == 100  # [9.00, 9.05) m/s
    assert row.power_seconds.sum() == row.moving_s


def test_a_channel_that_was_not_measured_is_absent_and_not_zero() -> None:
    row = ride(100)
    assert row.power_seconds is None
    assert np.isnan(row.mean_power_w)
    assert np.isnan(row.best_power_w).all()


def test_best_means_find_the_hard_stretch() -> None:
    power = [149.0, 151.0] * 200 + [300.0] * 60 + [149.0, 151.0] * 100
    best = dict(zip(BEST_DURATIONS_S, ride(660, power_w=power).best_power_w, strict=True))
    assert best[60] == 300.0
    assert best[120] == 225.0
    assert np.isnan(best[720])


def test_best_means_bear_a_short_dropout_but_not_a_long_one() -> None:
    power = np.array([200.0, 201.0] * 330)
    power[100:102] = np.nan
    assert ride(660, power_w=power).best_power_w[3] == pytest.approx(200.5, abs=0.02)
    power[20:640] = np.nan
    assert np.isnan(ride(660, power_w=power).best_power_w[3])


def test_halves_are_of_the_moving_time() -> None:
    row = ride(100, power_w=[200.0] * 50 + [180.0] * 50)
    assert row.half_power_w.tolist() == [200.0, 180.0]


def test_distance_is_the_devices_total_else_its_own_run() -> None:
    leg = recording(every_second(11), distance_m=[5.0 * t for t in range(11)], speed_mps=5.0)
    assert summary(leg).distance_m == 50.0
    assert summary(replace(leg, total_distance_m=52.0)).distance_m == 52.0


def test_zone_is_the_start_positions() -> None:
    leg = recording(every_second(5), speed_mps=3.0, lat=40.5, lon=-8.2)
    assert summary(leg).zone == "Europe/Lisbon"
    assert summary(recording(every_second(5), speed_mps=3.0)).zone == ""


def test_a_file_that_did_not_record_is_told_by_its_timer() -> None:
    leg = replace(recording(every_second(10), speed_mps=3.0), total_timer_s=3000.0)
    leg = replace(leg, end_utc=leg.start_utc + timedelta(seconds=3000))
    row = summary(leg)
    assert row.moving_s == 3000.0
    assert [remark.code for remark in row.remarks] == ["few-samples"]
    assert summary(replace(leg, total_timer_s=12.0)).moving_s == 10.0
    assert summary(replace(leg, total_timer_s=1e9)).moving_s == 10.0


def test_an_end_that_makes_no_sense_is_not_believed() -> None:
    leg = recording(every_second(10), speed_mps=3.0)
    assert summary(replace(leg, end_utc=leg.end_utc.replace(year=2080))).elapsed_s == 10.0


def test_lengths_tell_the_distance_where_nothing_else_does() -> None:
    swim = recording(every_second(60), "swimming")
    lengths = pd.DataFrame(
        [(swim.start_utc.timestamp() + at, 20.0, at != 20) for at in (0, 20, 40)],
        columns=["start_s", "duration_s", "active"],
    )
    row = summary(replace(swim, lengths=lengths, pool_length_m=25.0))
    assert (row.distance_m, row.moving_s) == (50.0, 40.0)
