"""A session of intervals is told as a coach would write it."""

from __future__ import annotations

from dataclasses import replace

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


def alike(count: int, *others: float) -> int | None:
    """How many of so many bouts of 200 s, and others of these lengths, are repetitions."""
    bouts = [bout for t in (*[200.0] * count, *others) for bout in run(1, t, 4.0)]
    found = recognise("running", bouts)
    return found.count if found else None


def test_a_bout_within_a_seventh_and_two_seconds_is_one_more() -> None:
    """15% and 2 s of the one they are held against, `alike_duration` of limits.toml.

    That is 32 s for 200 s, and 37.6 s for 237.6 s, to which four of 200 s are alike.
    """
    assert alike(4, 237.6) == 5
    assert alike(4, 237.7) == 4
    assert alike(4, 168.0) == 5
    assert alike(4, 167.9) == 4


def test_half_of_the_bouts_must_be_alike_and_two_of_them() -> None:
    assert alike(3, 30.0, 60.0, 90.0) == 3
    assert alike(3, 30.0, 60.0, 90.0, 130.0) is None
    assert alike(2) == 2
    assert alike(1, 1000.0) is None


def test_a_bout_at_another_level_is_none_of_them() -> None:
    """4.0 m/s and a tenth: `alike_level` of limits.toml."""
    for speed, count in ((4.4, 4), (4.45, 3), (3.6, 4), (3.55, 3)):
        bouts = [*run(3, 200, 4.0), Bout(2000.0, 200, 200 * speed, speed, NAN, 165)]
        found = recognise("running", bouts)
        assert found is not None and found.count == count, speed


def test_the_group_that_lasts_longest_in_all_is_the_session() -> None:
    bouts = [*run(5, 30, 5.0), *run(5, 240, 4.0)]
    assert told("running", bouts) == "5 x 1 km at 4:10 /km"


@pytest.mark.parametrize(
    ("metres", "size"), [(1040, "1 km"), (1041, "260 s"), (960, "1 km"), (958, "4 min")]
)
def test_a_mean_close_to_a_usual_distance_is_called_by_it(metres: float, size: str) -> None:
    """Within 4%, `named_distance` of limits.toml, at 4 m/s; 1,041 m last 260 s, 958 m 240 s."""
    found = recognise("running", run(4, metres / 4.0, 4.0))
    assert found is not None
    assert found.size_label == size


@pytest.mark.parametrize(
    ("seconds", "size"),
    [(324, "5 min"), (332, "6 min"), (276, "5 min"), (205, "205 s"), (207.6, "3.5 min")],
)
def test_a_mean_close_to_a_usual_time_is_called_by_it(seconds: float, size: str) -> None:
    """Within 8%, `named_time` of limits.toml, else in steps of five seconds."""
    found = recognise("cycling", ride(4, seconds, 250))
    assert found is not None
    assert (found.kind, found.size_label) == ("time", size)


@pytest.mark.parametrize(
    ("kind", "size", "label"),
    [
        ("distance", 1000, "1 km"),
        ("distance", 999, "999 m"),
        ("distance", 1500, "1.5 km"),
        ("time", 120, "2 min"),
        ("time", 90, "90 s"),
        ("time", 150, "2.5 min"),
        ("time", 125, "125 s"),
    ],
)
def test_a_size_as_a_coach_says_it(kind: str, size: float, label: str) -> None:
    assert Repetitions("running", 4, kind, size, "speed", 4.0, 900.0).size_label == label


def test_sessions_are_like_within_a_share_of_size_in_one_kind_and_signal() -> None:
    """8%: `alike_size` of limits.toml."""
    usual = Repetitions("running", 5, "time", 200, "speed", 4.0, 1000.0)
    for size, like in ((216, True), (217, False), (184, True), (183, False)):
        assert replace(usual, size=size).like(usual) is like, size
    assert not replace(usual, kind="distance").like(usual)
    assert not replace(usual, signal="heart_rate").like(usual)
