"""Which signals serve which sport, and how a level is printed."""

from __future__ import annotations

from dataclasses import fields

import pytest

from taperback.importer.model import SUMMARY_COLUMNS, Bout
from taperback.journal.model import Threshold
from taperback.raceweek.effort.signals import HEART_RATE, POWER, SPEED, Signal, signals_of


@pytest.mark.parametrize(
    ("sport", "expected"),
    [
        ("cycling", (POWER, HEART_RATE)),
        ("running", (SPEED, HEART_RATE)),
        ("swimming", (SPEED, HEART_RATE)),
        ("rowing", (HEART_RATE,)),
    ],
)
def test_the_more_direct_signal_comes_first(sport: str, expected: tuple[Signal, ...]) -> None:
    assert signals_of(sport) == expected


@pytest.mark.parametrize("signal", [POWER, SPEED, HEART_RATE])
def test_every_signal_names_columns_that_exist(signal: Signal) -> None:
    assert signal.histogram in SUMMARY_COLUMNS
    assert not signal.best or signal.best in SUMMARY_COLUMNS
    assert signal.of_bout in {field.name for field in fields(Bout)}
    assert signal.second in str(Threshold.__doc__)


def test_levels_carry_their_unit() -> None:
    assert [POWER.show(251.6), SPEED.show(4.2), HEART_RATE.show(168)] == [
        "252 W",
        "4.20 m/s",
        "168 bpm",
    ]
    assert HEART_RATE.label == "heart rate"
