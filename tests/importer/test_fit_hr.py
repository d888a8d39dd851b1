"""Heart rate handed over later: the official SDK package merges it the same way."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from garmin_fit_sdk import Decoder, Stream
from hypothesis import given, settings
from hypothesis import strategies as st

from fit_writer import FitWriter, wrap
from importer.fit_files import START_S, add_records, session
from taperback.common.limits import LIMITS
from taperback.importer.fit import heart_rate as fit_hr
from taperback.importer.fit.heart_rate import hr_layouts, hr_of_records, read_hr
from taperback.importer.fit.layout import Definition
from taperback.importer.fit.read import read_fit
from taperback.importer.fit.stream import index_parts

FIT_EPOCH_S = 631_065_600
TICKS = 1024


def pack(ticks: list[int]) -> bytes:
    """The low twelve bits of each tick, two in three bytes."""
    low = [tick % 4096 for tick in ticks]
    return b"".join(
        bytes([one & 0xFF, one >> 8 | (two & 0xF) << 4, two >> 4])
        for one, two in zip(low[0::2], low[1::2], strict=True)
    )


def swim(beats: list[int], *, first_tick: int = 100 * TICKS, big_endian: bool = False) -> bytes:
    """Records without heart rate, and one anchor with packed beats, eight in a message.

    Args:
        beats: ticks between beats.
        first_tick: the strap's clock at the anchor.
    """
    writer = FitWriter(big_endian=big_endian)
    writer.message("file_id", type="activity", time_created=START_S)
    add_records(writer, 60, heart_rate=None)
    session(writer, 60, sport="swimming")
    anchor = {"event_timestamp": first_tick / TICKS, "fractional_timestamp": 0.0}
    writer.message("hr", timestamp=START_S, filtered_bpm=120, **anchor)
    ticks = (first_tick + np.cumsum(beats)).tolist()
    for place in range(0, len(ticks) // 8 * 8, 8):
        rates = [130 + (place + step) % 40 for step in range(8)]
        packed = list(pack(ticks[place : place + 8]))
        writer.message("hr", filtered_bpm=rates, raw={10: (13, packed)})
    return writer.bytes()


BEATS = st.lists(st.integers(256, 4000), min_size=8, max_size=80)


@settings(max_examples=40, deadline=None)
@given(BEATS, st.booleans())
def test_heart_rate_is_what_the_official_package_merges(beats: list[int], big: bool) -> None:
    data = swim(beats, big_endian=big)
    messages, errors = Decoder(Stream.from_byte_array(bytearray(data))).read()
    assert errors == []
    official = [record.get("heart_rate", np.nan) for record in messages["record_mesgs"]][1:]
    (leg,) = read_fit(data).recordings
    # The package rounds to whole beats, starts a first record's second a little elsewhere, and
    # never tells the record after which no heart rate follows.
    ours = np.floor(leg.samples["heart_rate_bpm"].to_numpy() + 0.5)[1:]
    known = np.isfinite(official)
    np.testing.assert_array_equal(ours[known], np.array(official)[known])
    assert np.isfinite(ours[~known]).sum() <= 1


def test_a_strap_clock_that_rolls_over_goes_on() -> None:
    beats = [1024] * 16
    data = swim(beats, first_tick=2**32 - 4 * TICKS)
    time, rate = read_hr(data, hr_layouts(index_parts(data))[0])
    assert (time - time[0]).tolist() == list(range(17))
    assert rate[:3].tolist() == [120, 130, 131]


def test_fractions_of_the_anchor_count_and_no_rate_is_no_rate() -> None:
    writer = FitWriter()
    writer.message(
        "hr", timestamp=START_S, fractional_timestamp=0.5, event_timestamp=7.0, filtered_bpm=[140]
    )
    writer.message("hr", event_timestamp=[8 * TICKS, 9 * TICKS], filtered_bpm=[255, 142])
    data = writer.bytes()
    time, rate = read_hr(data, hr_layouts(index_parts(data))[0])
    assert (time + FIT_EPOCH_S - START_S).tolist() == [0.5, 2.5]
    assert rate.tolist() == [140, 142]


def test_beats_before_any_anchor_are_left_out() -> None:
    writer = FitWriter()
    writer.message("hr", event_timestamp=[8 * TICKS, 9 * TICKS], filtered_bpm=[140, 142])
    data = writer.bytes()
    time, rate = read_hr(data, hr_layouts(index_parts(data))[0])
    assert (len(time), len(rate)) == (0, 0)


def test_chained_files_bring_the_heart_rate_of_the_first() -> None:
    first, second = FitWriter(), FitWriter()
    add_records(first, 10, heart_rate=None)
    session(first, 10)
    second.message("hr", timestamp=START_S + 4, event_timestamp=1.0, filtered_bpm=133)
    content = read_fit(first.bytes() + second.bytes())
    (leg,) = content.recordings
    assert leg.samples["heart_rate_bpm"].dropna().tolist() == [133.0]
    assert content.remarks == ()


def test_more_heart_rate_than_any_strap_kept_is_left_out_unread_and_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    data = swim([1024] * 80)
    monkeypatch.setitem(vars(LIMITS.fit), "most_hr_bytes", 200)
    monkeypatch.setattr(fit_hr, "_numbers", one_at_most(fit_hr._numbers))
    content = read_fit(data)
    assert content.recordings[0].samples["heart_rate_bpm"].dropna().tolist() == [120.0]
    assert [str(remark.found) for remark in content.remarks] == [
        "it holds more heart rate of a strap than any did; what comes first was used"
    ]


def one_at_most(numbers: Callable) -> Callable:
    """Reads one message only, as the anchor's layout has."""

    def read(data: bytes, layout: Definition, field: object) -> np.ndarray:
        assert len(layout.offsets) == 1
        return numbers(data, layout, field)

    return read


def test_heart_rate_alone_still_makes_samples() -> None:
    writer = FitWriter()
    session(writer, 5, sport="swimming")
    writer.message("hr", timestamp=START_S + 2, event_timestamp=1.0, filtered_bpm=[133])
    (leg,) = read_fit(writer.bytes()).recordings
    known = leg.samples.dropna(subset="heart_rate_bpm")
    assert known[["time_s", "heart_rate_bpm"]].to_numpy().tolist() == [[START_S + 2, 133.0]]


@pytest.mark.parametrize(
    ("records", "expected"),
    [
        ([1.0, 2.0, 3.0], [100, 100, 110]),
        # a record every five seconds has the mean since the one before
        ([1.0, 6.0], [100, 108]),
        # held for five seconds, then unknown
        ([7.0, 8.0, 9.0, 10.0], [110, 110, np.nan, np.nan]),
        # two in one second say the same
        ([2.0, 2.0], [100, 100]),
    ],
)
def test_a_rate_holds_until_the_next(records: list[float], expected: list[float]) -> None:
    time, rate = np.array([0.9, 2.1, 20.0]), np.array([100.0, 110.0, 120.0])
    merged = hr_of_records(np.array(records), time, rate)
    np.testing.assert_allclose(merged, expected, atol=0.6)


def test_a_layout_of_hr_messages_that_makes_no_sense_gives_nothing() -> None:
    writer = FitWriter()
    writer.message("hr", raw={6: (2, 7), 9: (2, 1)}, timestamp=START_S)
    data = wrap(bytes(writer.body))
    time, _ = read_hr(data, hr_layouts(index_parts(data))[0])
    assert len(time) == 0
