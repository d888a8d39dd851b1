"""Where messages lie, whatever their order, and what ends the pass."""

from __future__ import annotations

import struct
import time

import pytest

from fit_writer import FitWriter, wrap
from importer.fit_files import START_S, add_records
from taperback.common.errors import InputError
from taperback.importer.fit.layout import Definition
from taperback.importer.fit.read import read_fit
from taperback.importer.fit.stream import index_parts


def define(local: int, number: int, *fields: tuple[int, int, int]) -> bytes:
    """A definition message."""
    head = struct.pack("<BBBHB", 0x40 | local, 0, 0, number, len(fields))
    return head + b"".join(bytes(field) for field in fields)


HEART_RATE = (3, 1, 2)
TIMESTAMP = (253, 4, 0x86)


def index(body: bytes) -> tuple[Definition, ...]:
    (part,) = index_parts(wrap(body))
    assert part.broken == ""
    return part.definitions


def test_a_long_run_is_one_stretch() -> None:
    head = define(0, 20, HEART_RATE)
    (definition,) = index(head + b"\0\x78" * 1000)
    assert definition.runs == [(14 + len(head), 1000)]
    assert definition.offsets.tolist() == list(range(14 + len(head), 14 + len(head) + 2000, 2))


def test_interleaved_messages_are_told_apart() -> None:
    heads = define(0, 20, HEART_RATE) + define(1, 0xFF00, (0, 2, 0x84))
    first, second = index(heads + b"\0\x78\1\5\5" * 40)
    start = 14 + len(heads)
    assert first.offsets.tolist() == list(range(start, start + 200, 5))
    assert second.offsets.tolist() == list(range(start + 2, start + 202, 5))


def test_a_new_definition_of_the_same_number_takes_over() -> None:
    body = define(0, 20, HEART_RATE) + b"\0\x78" + define(0, 20, (7, 2, 0x84)) + b"\0\x78\0"
    first, second = index(body)
    assert (len(first.offsets), len(second.offsets)) == (1, 1)
    assert second.size == 3


def test_reserved_bits_of_a_data_header_mean_nothing() -> None:
    (definition,) = index(define(0, 20, HEART_RATE) + b"\0\x78\x10\x78\x20\x78\x30\x78")
    assert len(definition.offsets) == 4


def test_developer_fields_count_towards_the_size() -> None:
    head = bytes([0x60, 0, 0]) + struct.pack("<HB", 20, 1) + bytes(HEART_RATE) + bytes([1, 0, 4, 0])
    (definition,) = index(head + b"\0\x78\1\2\3\4" * 3)
    assert (definition.size, len(definition.offsets)) == (6, 3)
    assert [field.number for field in definition.fields(range(256))] == [3]


def test_compressed_headers_are_noticed() -> None:
    (part,) = index_parts(wrap(define(1, 20, HEART_RATE) + b"\xa3\x78\xa4\x79"))
    assert part.compressed
    assert len(part.definitions[0].offsets) == 2


def test_a_header_that_states_no_size_is_read_to_the_end() -> None:
    writer = FitWriter()
    add_records(writer, 20)
    data = bytearray(writer.bytes())
    data[4:8] = b"\0\0\0\0"
    assert len(read_fit(bytes(data)).recordings[0].samples) == 20


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (define(0, 20, HEART_RATE)[:-1], "a definition is cut off"),
        (define(0, 20, HEART_RATE)[:4], "a definition is cut off"),
        (define(0, 20, TIMESTAMP) + b"\0\1", "its last message is cut off"),
        (b"\5\0\0", "a message at byte 14 has no definition"),
        (b"\xe0\0\0", "a message at byte 14 has no definition"),
        (define(0, 20, HEART_RATE) * 50_001, "it has more definitions than any recording"),
        (define(0, 20) + bytes(1_000_001), "it has more messages than any recording"),
    ],
)
def test_what_ends_the_pass_is_said(body: bytes, reason: str) -> None:
    assert index_parts(wrap(body))[0].broken == reason


def test_bytes_behind_the_end_are_said() -> None:
    writer = FitWriter()
    add_records(writer, 5)
    remarks = read_fit(writer.bytes() + b"left behind").remarks
    assert [str(remark.found) for remark in remarks] == [
        "11 bytes behind its end are no FIT file and were left out"
    ]


WIDE = [(number, 1, 2) for number in range(255)]
SECOND = struct.pack("<I", 1_000_000_000)
HOSTILE = {
    "records without a field": define(0, 20) + bytes(2_000_000),
    "messages of two kinds in turn": define(0, 20) + define(1, 20) + b"\0\1" * 1_000_000,
    "a definition for each record": (define(0, 20, TIMESTAMP) + b"\0" + SECOND) * 60_000,
    "definitions and nothing else": define(0, 18, *WIDE) * 3_000,
    "laps of 255 fields": (define(0, 19, *WIDE) + bytes(256)) * 2_000,
    "timer events": define(0, 21, TIMESTAMP, (0, 1, 0)) + (b"\0" + SECOND + b"\0") * 300_000,
    "sessions": define(0, 18, (2, 4, 0x86)) + (b"\0" + SECOND) * 300_000,
    "compressed timestamps": define(0, 20, HEART_RATE) + b"\x81\x78" * 1_000_000,
    "fields that come twice": define(0, 20, HEART_RATE, HEART_RATE) + bytes(3_000_000),
    "heart rate": define(0, 132, TIMESTAMP, (6, 255, 2), (9, 252, 0x86)) + bytes(5_120_000),
    "text": define(0, 0, (8, 255, 7)) + (b"\0" + b"\xff" * 255) * 10_000,
}


@pytest.mark.parametrize("body", HOSTILE.values(), ids=HOSTILE)
def test_no_file_takes_longer_than_five_seconds(body: bytes) -> None:
    began = time.process_time()
    try:
        read_fit(wrap(body))
    except InputError as error:
        assert str(error)
    assert time.process_time() - began < 5


def test_a_thousand_files_in_a_row_are_not_all_read() -> None:
    assert len(index_parts(wrap(b"") * 1000)) == 64


def test_records_keep_their_order_over_layouts() -> None:
    writer = FitWriter()
    for second in range(40):
        local = second % 3
        extra = {"heart_rate": 100 + second} if local else {"power": 200}
        writer.message("record", local=local, timestamp=START_S + second, **extra)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.samples["time_s"].tolist() == [START_S + second for second in range(40)]
