"""One clock that runs forward: what is dropped, moved and refused."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.summary.clock import one_clock, started_s

CLEANING = LIMITS.cleaning
T0 = datetime(2030, 5, 1, 6, 0, tzinfo=UTC).timestamp()
DAY_S = 86_400


def settled(*stretches: range) -> tuple[list[float], dict[str, float]]:
    """Times after cleaning, from T0, and what was counted."""
    removed: dict[str, float] = {}
    time = np.array([T0 + second for stretch in stretches for second in stretch])
    return (one_clock(time, CLEANING, removed)[0] - T0).tolist(), removed


def test_a_clock_that_runs_on_is_left_alone() -> None:
    assert settled(range(100), range(160, 200)) == ([*range(100), *range(160, 200)], {})


def test_a_few_seconds_before_the_clock_was_set_are_left_out() -> None:
    since_1989 = range(-40 * 365 * DAY_S, -40 * 365 * DAY_S + 20)
    assert settled(since_1989, range(100)) == ([*range(100)], {"clock astray": 20.0})


def test_a_long_stretch_before_the_clock_was_set_is_moved_up() -> None:
    since_1989 = range(-40 * 365 * DAY_S, -40 * 365 * DAY_S + 80)
    times, removed = settled(since_1989, range(100))
    assert times == [*range(-80, 100)]
    assert removed == {"clock set while recording": 80.0}


def test_a_clock_set_back_while_recording_loses_nothing() -> None:
    times, removed = settled(range(50, 150), range(200))
    assert times == [*range(-100, 200)]
    assert removed == {"clock set while recording": 100.0}


def test_one_broken_date_does_not_move_its_neighbours() -> None:
    times, removed = settled(range(100), range(5 * DAY_S, 5 * DAY_S + 1), range(130, 200))
    assert times == [*range(100), *range(130, 200)]
    assert removed == {"clock astray": 1.0}


def test_stretches_in_the_wrong_order_are_only_sorted() -> None:
    times, removed = settled(range(500, 600), range(100))
    assert times == [*range(100), *range(500, 600)]
    assert removed == {"clock ran backwards": 1.0}


def test_of_two_samples_in_one_second_the_later_is_kept() -> None:
    time, rows = one_clock(np.array([T0, T0 + 1, T0 + 1.4, T0 + 2]), CLEANING, {})
    assert (time - T0).tolist() == [0, 1, 2]
    assert rows.tolist() == [0, 2, 3]


def test_a_start_that_the_samples_contradict_is_not_believed() -> None:
    stated = datetime.fromtimestamp(T0 - 5 * 3600, tz=UTC)
    assert started_s(stated, np.array([T0, T0 + 1]), CLEANING) == T0
    near = datetime.fromtimestamp(T0 - 30, tz=UTC)
    assert started_s(near, np.array([T0, T0 + 1]), CLEANING) == T0 - 30


@pytest.mark.parametrize("year", [1969, 2150])
def test_a_date_that_no_clock_counts_from_is_refused(year: int) -> None:
    stated = datetime(year, 12, 31, tzinfo=UTC)
    with pytest.raises(InputError, match=f"it is dated {year}-12-31, so its clock was not set"):
        started_s(stated, np.empty(0), CLEANING)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-1e10, 1e10) | st.just(float("nan")), max_size=200))
def test_whatever_the_clock_says_the_result_runs_forward(times: list[float]) -> None:
    time, rows = one_clock(np.array(times, float), CLEANING, {})
    assert (np.diff(time) >= 1).all()
    assert len(time) == len(rows) == len(set(rows.tolist()))
