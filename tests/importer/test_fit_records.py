"""The bulk reader says what fitdecode says, value for value, or leaves the file to it."""

from __future__ import annotations

import warnings

import fitdecode
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fit_writer import FitWriter, degrees
from importer.fit_files import START_S, add_records
from taperback.errors import InputError
from taperback.importer.fit import read_fit
from taperback.importer.fit_excerpt import Wanted, excerpt
from taperback.importer.fit_messages import read_messages
from taperback.importer.fit_records import RECORD_FIELDS, bulk_can_read, read_records
from taperback.importer.fit_stream import index_parts


def by_fitdecode(data: bytes) -> dict[str, np.ndarray]:
    """The same columns from bare fitdecode, with what it yields before an error."""
    rows: list[dict[str, float]] = []
    reader = fitdecode.FitReader(
        data,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            for frame in reader:
                if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                    own = [f for f in frame.fields if f.field_def and not f.field_def.is_dev]
                    rows.append({f.name: f.value for f in own if f.value is not None})
        except fitdecode.FitError:
            pass
    return {
        name: np.array([row.get(name, np.nan) for row in rows], float) for name in RECORD_FIELDS
    }


def assert_same(data: bytes) -> None:
    parts = index_parts(data)
    if not bulk_can_read(data, parts):
        return
    ours, theirs = read_records(data, parts), by_fitdecode(data)
    for name in RECORD_FIELDS:
        np.testing.assert_array_equal(ours[name], theirs[name], err_msg=name)


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
    assert_same(stream(items, big_endian=big_endian))


@settings(max_examples=80, deadline=None)
@given(STREAM, st.booleans(), st.integers(0, 400))
def test_a_stream_cut_anywhere_gives_the_same_records_or_a_clear_error(
    items: list[tuple], big_endian: bool, cut: int
) -> None:
    data = (
        stream(items, big_endian=big_endian)[:-cut] if cut else stream(items, big_endian=big_endian)
    )
    assert_same(data)
    try:
        read_fit(data)
    except InputError as error:
        assert "export" in str(error)


@settings(max_examples=80, deadline=None)
@given(st.binary(max_size=300))
def test_noise_after_a_header_never_raises_anything_but_a_clear_error(noise: bytes) -> None:
    writer = FitWriter()
    writer.body += noise
    try:
        read_fit(writer.bytes())
    except InputError as error:
        assert str(error)


def test_what_bulk_cannot_read_is_read_slowly_and_said() -> None:
    writer = FitWriter()
    add_records(writer, 5)
    writer.message("record", timestamp=START_S + 5, raw={7: (0x84, 240), 6: (0x84, [1000, 1000])})
    messages = read_messages(writer.bytes())
    assert messages.remarks[-1].code == "fit-slow"
    assert messages.records["power"][-1] == 240


def test_compressed_timestamps_are_left_to_fitdecode() -> None:
    writer = FitWriter()
    writer.message("record", local=0, timestamp=START_S, heart_rate=120)
    writer.message("record", local=1, heart_rate=121)
    # the last message again with a compressed header: local type 1, five seconds on
    low = (int(START_S) - 631_065_600 + 5) & 0x1F
    writer.body[-2] = 0x80 | 1 << 5 | low
    messages = read_messages(writer.bytes())
    assert messages.remarks[-1].code == "fit-slow"
    assert messages.records["timestamp"].tolist()[-1] + 631_065_600 == START_S + 5


def test_the_small_stream_holds_only_what_was_asked_for() -> None:
    writer = FitWriter()
    writer.message("event", timestamp=START_S, event="timer", event_type="start")
    writer.message("event", timestamp=START_S, event="rear_gear_change", event_type="marker")
    add_records(writer, 50)
    data = writer.bytes()
    small = excerpt(data, index_parts(data), {21: Wanted(frozenset({0, 1, 253}), (0, 0))})
    with fitdecode.FitReader(small, check_crc=fitdecode.CrcCheck.DISABLED) as fit:
        frames = [frame for frame in fit if frame.frame_type == fitdecode.FIT_FRAME_DATA]
    assert [frame.get_value("event") for frame in frames] == ["timer"]
