"""Whatever a recording holds, its row keeps what must always hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from importer.test_samples import recording
from importer.test_summary import summary
from taperback.importer.model import BEST_DURATIONS_S
from taperback.importer.recording import Recording

NAN = st.just(float("nan"))


@st.composite
def recordings(draw: st.DrawFn) -> Recording:
    """A leg of up to ten minutes with gaps, zeros, unknowns and readings beyond all measure."""
    steps = draw(st.lists(st.integers(-3, 40), min_size=1, max_size=120))
    n = len(steps)

    def channel(largest: float) -> list[float]:
        values = st.floats(0, largest) | st.just(0.0) | NAN | st.floats(-1e9, 1e9)
        return draw(st.lists(values, min_size=n, max_size=n))

    times = np.cumsum(steps).astype(float).tolist()
    since = draw(st.integers(-50, 500))
    return recording(
        times,
        draw(st.sampled_from(["running", "cycling", "swimming", "training", "nothing known"])),
        ((since, since + draw(st.integers(0, 100))),),
        speed_mps=channel(15),
        power_w=channel(600),
        heart_rate_bpm=channel(200),
        altitude_m=channel(2000),
        distance_m=channel(5000),
        lat=channel(60),
        lon=channel(100),
    )


@settings(max_examples=60, deadline=None)
@given(recordings())
def test_a_row_never_holds_more_than_its_time(leg: Recording) -> None:
    row = summary(leg)
    assert 0 <= row.moving_s <= row.elapsed_s
    for seconds in (row.power_seconds, row.heart_rate_seconds, row.speed_seconds):
        assert seconds is None or 0 < seconds.sum() <= row.moving_s
    assert all(seconds >= 0 for seconds in row.removed_s.values())


@settings(max_examples=60, deadline=None)
@given(recordings())
def test_best_efforts_lie_within_what_was_measured(leg: Recording) -> None:
    row = summary(leg)
    for best, top in ((row.best_power_w, 2500.0), (row.best_speed_mps, 71.0)):
        known = best[np.isfinite(best)]
        assert ((known >= -1e-6) & (known <= top + 1e-6)).all()
    longer = np.array(BEST_DURATIONS_S) > row.elapsed_s + 1
    assert np.isnan(row.best_power_w[longer]).all()


@settings(max_examples=40, deadline=None)
@given(recordings(), st.integers(1, 9 * 10**8))
def test_a_recording_at_another_time_is_measured_the_same(leg: Recording, shift_s: int) -> None:
    moved = leg.samples.assign(time_s=leg.samples["time_s"] - shift_s)
    later = replace(
        leg,
        samples=moved,
        start_utc=leg.start_utc - timedelta(seconds=shift_s),
        end_utc=leg.end_utc - timedelta(seconds=shift_s),
        pauses=tuple((since - shift_s, until - shift_s) for since, until in leg.pauses),
    )
    one, other = summary(leg), summary(later)
    assert one.moving_s == other.moving_s
    assert one.removed_s == other.removed_s
    assert np.array_equal(one.best_power_w, other.best_power_w, equal_nan=True)
