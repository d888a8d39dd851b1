"""Work stands apart from easier time, and a steady session has none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from importer.test_samples import T0, every_second, recording
from taperback.importer.bouts import find_bouts
from taperback.importer.model import Bout
from taperback.importer.recording import LENGTH_COLUMNS
from taperback.importer.samples import clean

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


def test_too_short_a_session_says_nothing() -> None:
    assert bouts(np.array([3.0] * 100 + [5.0] * 100)) == ()
