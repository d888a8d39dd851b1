"""The bulk reader says what fitdecode says, value for value, or leaves the file to it."""

from __future__ import annotations

import struct
import warnings
from contextlib import suppress

import fitdecode
import fitfast
import numpy as np
import pytest
from garmin_fit_sdk import Decoder, Stream
from hypothesis import given, settings
from hypothesis import strategies as st

from fit_writer import FitWriter, degrees, wrap
from importer.fit_files import START_S, add_records
from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.importer.fit.excerpt import Wanted, excerpt
from taperback.importer.fit.messages import read_messages
from taperback.importer.fit.read import read_fit
from taperback.importer.fit.records import RECORD_FIELDS, bulk_can_read, read_records
from taperback.importer.fit.stream import index_parts

FIT_EPOCH_S = 631_065_600


def by_fitdecode(data: bytes) -> dict[str, np.ndarray]:
    """The same columns from bare fitdecode, with what it yields before an error."""
    rows: list[dict[str, float]] = []
    reader = fitdecode.FitReader(
        data,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    with warnings.catch_warnings(), suppress(Exception):
        warnings.simplefilter("ignore")
        for frame in reader:
            if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                own = [f for f in frame.fields if f.field_def and not f.field_def.is_dev]
                rows.append({f.name: f.value for f in own if f.value is not None})
    return {
        name: np.array([row.get(name, np.nan) for row in rows], float) for name in RECORD_FIELDS
    }


def assert_same(data: bytes) -> bool:
    """Whether the bulk reader read the file; where it did, it read what fitdecode reads."""
    parts = index_parts(data)
    if not bulk_can_read(data, parts):
        return False
    ours, theirs = read_records(data, parts), by_fitdecode(data)
    for name in RECORD_FIELDS:
        np.testing.assert_array_equal(ours[name], theirs[name], err_msg=name)
    return True


VALUES = {
    "position_lat": st.floats(-89, 89).map(degrees),
    "altitude": st.floats(-400, 8000),
    "enhanced_altitude": st.floats(-400, 8000),
    "heart_rate": st.integers(0, 254),
    "distance": st.floats(0, 1e6),
    "speed": st.floats(0, 60),
    "enhanced_speed": st.floats(0, 60),
    "power": st.integers(0, 3000),
    "cadence": st.integers(0, 254),
    "fractional_cadence": st.floats(0, 0.99),
    "temperature": st.integers(-40, 60),
}
RECORD = st.fixed_dictionaries({}, optional={k: v | st.none() for k, v in VALUES.items()})
OTHER = st.sampled_from(["event", "lap", "vendor", "hr"])
STREAM = st.lists(st.tuples(st.integers(0, 3), RECORD | OTHER, st.booleans()), max_size=25)


def stream(items: list[tuple], *, big_endian: bool) -> bytes:
    """A file of records in changing layouts with other messages between them."""
    writer = FitWriter(big_endian=big_endian)
    for second, (local, item, developer) in enumerate(items):
        time = START_S + second
        extra = [(7, 0, 0x84, second)] if developer else []
        if isinstance(item, dict):
            writer.message("record", local=local, timestamp=time, developer=extra, **item)
        elif item == "vendor":
            writer.message(0xFF00, local=local, raw={0: (0x86, second), 5: (0x02, 3)})
        elif item == "hr":
            writer.message("hr", local=local, timestamp=time, event_timestamp=1.0, filtered_bpm=99)
        else:
            writer.message(item, local=local, timestamp=time)
    return writer.bytes()


@settings(max_examples=120, deadline=None)
@given(STREAM, st.booleans())
def test_any_stream_reads_as_fitdecode_reads_it(items: list[tuple], big_endian: bool) -> None:
    assert assert_same(stream(items, big_endian=big_endian))


@settings(max_examples=80, deadline=None)
@given(STREAM, st.booleans(), st.integers(0, 400))
def test_a_stream_cut_anywhere_gives_the_same_records_or_a_clear_error(
    items: list[tuple], big_endian: bool, cut: int
) -> None:
    whole = stream(items, big_endian=big_endian)
    data = whole[: max(len(whole) - cut, 14)]
    assert_same(data)
    try:
        read_fit(data)
    except InputError as error:
        assert str(error)


# Field number, size in bytes, base type: any number of any type in any size, as a broken or a
# strange device may define it.
BASE_TYPES = [
    0,
    1,
    2,
    0x83,
    0x84,
    0x85,
    0x86,
    7,
    0x88,
    0x89,
    10,
    0x8B,
    0x8C,
    13,
    0x8E,
    0x8F,
    0x90,
    99,
]
FIELD = st.tuples(
    st.sampled_from([*RECORD_FIELDS.values(), 8, 13, 200]),
    st.integers(1, 9),
    st.sampled_from(BASE_TYPES),
)
LAYOUT = st.lists(FIELD, max_size=6)


@settings(max_examples=200, deadline=None)
@given(LAYOUT, LAYOUT, st.booleans(), st.data())
def test_any_definition_reads_as_fitdecode_reads_it(
    one: list[tuple], two: list[tuple], big_endian: bool, data: st.DataObject
) -> None:
    body = b""
    for local, fields in enumerate((one, two)):
        order = ">" if big_endian else "<"
        body += struct.pack(order + "BBBHB", 0x40 | local, 0, big_endian, 20, len(fields))
        body += b"".join(bytes(field) for field in fields)
    for local in data.draw(st.lists(st.integers(0, 1), max_size=8)):
        size = sum(field[1] for field in (one, two)[local])
        filler = st.binary(min_size=size, max_size=size)
        body += bytes([local]) + data.draw(filler | st.sampled_from([b"\xff" * size, bytes(size)]))
    assert_same(wrap(body))


@settings(max_examples=80, deadline=None)
@given(st.binary(max_size=300))
def test_noise_after_a_header_never_raises_anything_but_a_clear_error(noise: bytes) -> None:
    assert_same(wrap(noise))
    try:
        read_fit(wrap(noise))
    except InputError as error:
        assert str(error)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 10_000), st.integers(0, 255)), max_size=6))
def test_flipped_bytes_never_raise_anything_but_a_clear_error(flips: list[tuple[int, int]]) -> None:
    writer = FitWriter()
    writer.message("event", timestamp=START_S, event="timer", event_type="start")
    add_records(writer, 30)
    writer.message("lap", start_time=START_S, total_timer_time=30, timestamp=START_S + 30)
    writer.message("session", start_time=START_S, sport="running", timestamp=START_S + 30)
    data = bytearray(writer.bytes())
    for place, value in flips:
        data[14 + place % (len(data) - 14)] = value
    try:
        read_fit(bytes(data))
    except InputError as error:
        assert str(error)


@pytest.mark.parametrize("big_endian", [False, True])
def test_other_decoders_read_the_same_records(big_endian: bool) -> None:
    # outside checks: the official SDK package and a decoder written in Rust
    writer = FitWriter(big_endian=big_endian)
    writer.message("file_id", type="activity", time_created=START_S)
    add_records(writer, 50)
    add_records(writer, 50, start_s=START_S + 50, heart_rate=None, enhanced_speed=4.25)
    data = writer.bytes()
    ours = read_records(data, index_parts(data))
    messages, errors = Decoder(Stream.from_byte_array(bytearray(data))).read()
    rust = fitfast.records(data, degrees=False)
    assert errors == []
    for name in ("position_lat", "altitude", "heart_rate", "distance", "power", "cadence"):
        official = [record.get(name, np.nan) for record in messages["record_mesgs"]]
        np.testing.assert_array_equal(ours[name], np.array(official, float), err_msg=name)
        np.testing.assert_array_equal(ours[name], rust[name], err_msg=name)
    np.testing.assert_array_equal(ours["timestamp"] + FIT_EPOCH_S, rust["timestamp"])


def test_packed_speed_and_distance_are_read_slowly_and_said() -> None:
    writer = FitWriter()
    add_records(writer, 5)
    writer.message("record", timestamp=START_S + 5, raw={8: (13, [0x2C, 0x01, 0x10])})
    messages = read_messages(writer.bytes())
    assert messages.remarks[-1].code == "fit-slow"
    # 0x12C in 1/100 m/s and 0x100 in 1/16 m (FIT profile, field compressed_speed_distance)
    assert messages.records["speed"][-1] == 3.0
    assert messages.records["distance"][-1] == 16.0


def test_packed_speed_and_distance_that_are_never_set_cost_nothing() -> None:
    writer = FitWriter()
    for second in range(5):
        writer.message(
            "record", timestamp=START_S + second, power=200, raw={8: (13, [255, 255, 255])}
        )
    messages = read_messages(writer.bytes())
    assert messages.remarks == []
    assert assert_same(writer.bytes())


def test_compressed_timestamps_are_left_to_fitdecode() -> None:
    writer = FitWriter()
    writer.message("record", local=0, timestamp=START_S, heart_rate=120)
    writer.message("record", local=1, heart_rate=121)
    # the last message again with a compressed header: local type 1, five seconds on
    low = (int(START_S) - FIT_EPOCH_S + 5) & 0x1F
    writer.body[-2] = 0x80 | 1 << 5 | low
    messages = read_messages(writer.bytes())
    assert messages.remarks[-1].code == "fit-slow"
    assert messages.records["timestamp"].tolist()[-1] + FIT_EPOCH_S == START_S + 5


def test_what_the_slow_way_read_before_an_error_is_kept() -> None:
    writer = FitWriter()
    add_records(writer, 5)
    writer.message("record", timestamp=START_S + 5, raw={8: (13, [0x2C, 0x01, 0x10])})
    # a field of no bytes, which fitdecode refuses
    broken = bytes([0x49, 0, 0, 20, 0, 1, 3, 0, 2, 9])
    whole = wrap(bytes(writer.body) + broken)
    for data in (whole, whole + b"behind its end", whole[:-2] + b"\1\1"):
        content = read_fit(data)
        assert len(content.recordings[0].samples) == 6
        assert "up to where that failed" in content.remarks[-1].found


def test_too_much_for_the_slow_way_is_said_of_a_broken_file_too(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(vars(LIMITS.fit), "most_fields_decoded", 60)
    writer = FitWriter()
    writer.message("record", timestamp=START_S, raw={8: (13, [0x2C, 0x01, 0x10])})
    add_records(writer, 30)
    remarks = read_messages(writer.bytes()[:-5]).remarks
    assert [remark.code for remark in remarks] == ["fit-broken", "fit-slow"]
    assert "too much of it needs to be read the slow way" in remarks[-1].found


def test_an_excerpt_holds_only_the_fields_and_messages_asked_for() -> None:
    writer = FitWriter(big_endian=True)
    for second, event in enumerate(("timer", "rear_gear_change", "timer")):
        writer.message("event", timestamp=START_S + second, event=event, event_type="start", data=7)
    add_records(writer, 50)
    data = writer.bytes()
    small = excerpt(data, index_parts(data), {21: Wanted(frozenset({0, 253}), (0, 0))})
    with fitdecode.FitReader(small, check_crc=fitdecode.CrcCheck.DISABLED) as fit:
        frames = [frame for frame in fit if frame.frame_type == fitdecode.FIT_FRAME_DATA]
    assert [frame.get_value("event") for frame in frames] == ["timer", "timer"]
    assert [field.name for field in frames[0].fields] == ["timestamp", "event"]
