"""A session of intervals is told as a coach would write it."""

from __future__ import annotations

import numpy as np
import pytest

from taperback.importer.model import Bout
from taperback.raceweek.effort.repetitions import Repetitions, recognise

NAN = float("nan")


def run(count: int, seconds: float, speed: float, spread: float = 0.0) -> list[Bout]:
    """Bouts of a run, their lengths spread a little around the mean."""
    around = np.linspace(-spread, spread, count) if count > 1 else [0.0]
    return [
        Bout(600.0 * k, seconds * (1 + s), seconds * (1 + s) * speed, speed, NAN, 165)
        for k, s in enumerate(around)
    ]


def ride(count: int, seconds: float, power: float) -> list[Bout]:
    return [Bout(600.0 * k, seconds, seconds * 9, 9.0, power, 160) for k in range(count)]


def told(sport: str, bouts: list[Bout]) -> str:
    found = recognise(sport, bouts)
    assert found is not None
    return str(found)


def test_five_kilometres_at_pace() -> None:
    assert told("running", run(5, 225, 1000 / 225, 0.02)) == "5 x 1 km at 3:45 /km"


@pytest.mark.parametrize(
    ("sport", "bouts", "expected"),
    [
        ("running", run(10, 85, 400 / 85), "10 x 400 m at 3:32 /km"),
        ("running", run(3, 600, 3.9), "3 x 10 min at 4:16 /km"),
        ("cycling", ride(4, 482, 281.2), "4 x 8 min at 281 W"),
        ("cycling", ride(8, 31, 450), "8 x 30 s at 450 W"),
        ("cycling", ride(3, 205, 300), "3 x 205 s at 300 W"),
        ("swimming", run(8, 88, 100 / 88), "8 x 100 m at 1:28 /100 m"),
        ("rowing", run(4, 300, 4.0), "4 x 5 min at 14.4 km/h"),
    ],
)
def test_each_sport_speaks_its_own_units(sport: str, bouts: list[Bout], expected: str) -> None:
    assert told(sport, bouts) == expected


def test_a_warm_up_swum_in_one_go_does_not_hide_the_repetitions() -> None:
    bouts = [*run(1, 400, 1.0), *run(8, 88, 100 / 88), *run(1, 220, 0.9)]
    assert told("swimming", bouts) == "8 x 100 m at 1:28 /100 m"


def test_level_is_heart_rate_where_nothing_else_was_measured() -> None:
    bouts = [Bout(0, 300, NAN, NAN, NAN, 168), Bout(600, 300, NAN, NAN, NAN, 170)]
    assert told("running", bouts) == "2 x 5 min at 169 bpm"


def test_one_bout_and_none_are_no_series() -> None:
    assert recognise("running", run(1, 1200, 3.8)) is None
    assert recognise("running", []) is None


def test_bouts_of_all_lengths_are_no_series() -> None:
    bouts = [bout for seconds in (30, 60, 120, 240, 480) for bout in run(1, seconds, 4.2)]
    assert recognise("running", bouts) is None


def test_bouts_that_tell_no_level_are_no_series() -> None:
    assert recognise("running", [Bout(0, 60, NAN, NAN, NAN, NAN)] * 4) is None


def test_the_number_and_the_level_do_not_make_another_kind() -> None:
    five = Repetitions("running", 5, "distance", 1000, "speed", 4.44, 1125)
    three = Repetitions("running", 3, "distance", 1000, "speed", 4.50, 667)
    assert five.like(three)
    assert not five.like(Repetitions("running", 5, "distance", 400, "speed", 4.44, 450))
    assert not five.like(Repetitions("cycling", 5, "distance", 1000, "speed", 4.44, 1125))


def test_order_of_the_bouts_changes_nothing() -> None:
    bouts = run(6, 120, 4.5, 0.05)
    assert recognise("running", bouts) == recognise("running", bouts[::-1])


def test_the_level_is_the_mean_over_the_time_at_work() -> None:
    bouts = [Bout(0, 300, 1200, 4.0, NAN, 165), Bout(600, 310, 1271, 4.1, NAN, 165)]
    found = recognise("running", bouts)
    assert found is not None
    assert (found.sport, found.count, found.signal) == ("running", 2, "speed")
    assert found.work_s == 610.0
    assert found.level == pytest.approx((300 * 4.0 + 310 * 4.1) / 610)
