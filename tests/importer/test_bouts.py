"""Work stands apart from easier time, and a steady session has none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from importer.test_samples import T0, every_second, recording
from taperback.importer.model import Bout
from taperback.importer.recording import LENGTH_COLUMNS
from taperback.importer.summary.bouts import find_bouts
from taperback.importer.summary.samples import clean

RNG = np.random.default_rng(20300501)


def bouts(speed: np.ndarray, sport: str = "running", **columns: object) -> tuple[Bout, ...]:
    leg = recording(every_second(len(speed)), sport, speed_mps=speed, **columns)
    return find_bouts(leg, clean(leg))


def noisy(level: float, seconds: int, share: float = 0.03) -> np.ndarray:
    return level * (1 + share * RNG.standard_normal(seconds))


def test_five_kilometres_apart_are_five_bouts() -> None:
    parts = [noisy(2.8, 900)]
    for _ in range(5):
        parts += [noisy(4.4, 227), noisy(2.2, 120)]
    found = bouts(np.concatenate([*parts, noisy(2.7, 600)]))
    assert len(found) == 5
    assert all(abs(bout.distance_m - 1000) < 40 for bout in found)
    assert all(abs(bout.speed_mps - 4.4) < 0.1 for bout in found)


def test_a_steady_run_has_none() -> None:
    assert bouts(noisy(3.1, 3600, 0.06)) == ()


def test_a_run_with_a_slow_start_and_drift_has_none() -> None:
    drift = np.linspace(2.9, 3.3, 3600)
    assert bouts(drift * (1 + 0.05 * RNG.standard_normal(3600))) == ()


def test_short_hard_bursts_of_an_opener_are_seen() -> None:
    power = np.concatenate(
        [noisy(150, 900), *(np.concatenate([noisy(330, 25), noisy(140, 120)]) for _ in range(4))]
    )
    found = bouts(np.full(len(power), 9.0), "cycling", power_w=power)
    assert len(found) == 4
    assert all(20 <= bout.duration_s <= 32 for bout in found)


def test_a_swim_with_rests_has_a_bout_a_repetition() -> None:
    rows, at = [], T0
    for _ in range(4):
        for _ in range(4):
            rows.append((at, 22.0, True))
            at += 22
        rows.append((at, 15.0, False))
        at += 15
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    leg = replace(
        recording(every_second(int(at - T0)), "swimming"), lengths=lengths, pool_length_m=25.0
    )
    found = find_bouts(leg, clean(leg))
    assert [bout.distance_m for bout in found] == [100.0] * 4
    assert [bout.duration_s for bout in found] == [88.0] * 4


@pytest.mark.parametrize("duration_s", [0.0, np.nan])
def test_a_length_that_took_no_time_costs_no_other(duration_s: float) -> None:
    rows = [
        (T0, 22.0, True),
        (T0 + 22, 22.0, False),
        (T0 + 44, duration_s, True),
        (T0 + 44, 22.0, False),
        (T0 + 66, 22.0, True),
        (T0 + 88, duration_s, True),
    ]
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    leg = replace(recording(every_second(99), "swimming"), lengths=lengths, pool_length_m=25.0)
    found = find_bouts(leg, clean(leg))
    assert [(bout.start_s, bout.duration_s) for bout in found] == [(0.0, 22.0), (66.0, 22.0)]


@pytest.mark.parametrize(
    ("since_s", "duration_s"),
    [(291_890_520.0, 404.0), (-60.0, 22.0), (44.0, 1e9), (44.0, 0.01)],
    ids=["years away", "before the start", "longer than the leg", "faster than anyone"],
)
def test_a_damaged_length_makes_no_bout_and_costs_no_other(
    since_s: float, duration_s: float
) -> None:
    rows = [
        (T0, 22.0, True),
        (T0 + 22, 22.0, False),
        (T0 + since_s, duration_s, True),
        (T0 + 44, 22.0, False),
        (T0 + 66, 22.0, True),
    ]
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    leg = replace(recording(every_second(99), "swimming"), lengths=lengths, pool_length_m=25.0)
    found = find_bouts(leg, clean(leg))
    assert [(bout.start_s, bout.duration_s) for bout in found] == [(0.0, 22.0), (66.0, 22.0)]


def test_a_leg_of_which_no_second_is_known_has_no_bouts() -> None:
    rows = [(T0 + far, 404.0, active) for far in (2e8, 3e8) for active in (True, False)]
    lengths = pd.DataFrame(rows, columns=list(LENGTH_COLUMNS))
    leg = replace(recording(every_second(0), "swimming"), lengths=lengths, pool_length_m=25.0)
    assert find_bouts(leg, clean(leg)) == ()


def test_too_short_a_session_says_nothing() -> None:
    assert bouts(np.array([3.0] * 100 + [5.0] * 100)) == ()


def repetitions(work: np.ndarray, easier: np.ndarray, times: int) -> np.ndarray:
    return np.concatenate([noisy(150, 900), *[np.concatenate([work, easier])] * times])


def ride(power: np.ndarray) -> tuple[Bout, ...]:
    return bouts(np.full(len(power), 9.0), "cycling", power_w=power)


def hills(seconds: int, share: float = 0.25) -> np.ndarray:
    """Slow ups and downs around one, as a road has them."""
    bumps = np.convolve(RNG.standard_normal(seconds + 240), np.hanning(240), "valid")[:seconds]
    return np.clip(1 + share * bumps / bumps.std(), 0, None)


def test_a_corner_does_not_cut_a_repetition_in_two() -> None:
    work = noisy(300, 300)
    work[100:108] = 0
    work[220:226] = 0
    found = ride(repetitions(work, noisy(140, 180), 4))
    assert [round(bout.duration_s, -1) for bout in found] == [300] * 4


def test_a_hilly_ride_has_none() -> None:
    assert ride(180 * hills(5400)) == ()


def test_standing_at_lights_makes_no_repetitions() -> None:
    run = np.concatenate([np.concatenate([noisy(3.1, 400), np.zeros(25)]) for _ in range(8)])
    assert bouts(run) == ()


def test_one_long_stretch_is_one_bout() -> None:
    found = bouts(np.concatenate([noisy(2.8, 900), noisy(3.8, 2400), noisy(2.7, 600)]))
    assert len(found) == 1
    assert found[0].start_s == pytest.approx(900, abs=6)
    assert found[0].duration_s == pytest.approx(2400, abs=10)


def test_heart_rate_serves_where_nothing_else_was_measured() -> None:
    level = np.concatenate([noisy(130, 600, 0.01)] + [noisy(172, 300), noisy(138, 180)] * 4)
    lagging = np.convolve(np.concatenate([np.full(90, 130.0), level]), np.full(30, 1 / 30))
    rate = lagging[90 : 90 + len(level)]
    leg = recording(every_second(len(rate)), "running", heart_rate_bpm=rate)
    found = find_bouts(leg, clean(leg))
    assert len(found) == 4
    assert all(np.isnan(bout.speed_mps) and bout.heart_rate_bpm > 160 for bout in found)


def test_a_dropout_inside_a_repetition_is_bridged() -> None:
    work = noisy(300, 300)
    work[50:80] = np.nan
    found = ride(repetitions(work, noisy(140, 180), 4))
    assert [round(bout.duration_s, -1) for bout in found] == [300] * 4


@pytest.mark.parametrize("scale", [0.5, 2.0])
def test_the_athletes_level_does_not_matter(scale: float) -> None:
    power = repetitions(noisy(300, 240), noisy(150, 120), 5)
    plain, other = ride(power), ride(scale * power)
    assert [(b.start_s, b.duration_s) for b in plain] == [(b.start_s, b.duration_s) for b in other]
    assert [b.power_w * scale for b in plain] == pytest.approx([b.power_w for b in other])
