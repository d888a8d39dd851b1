"""What the writer writes, two independent readers read back."""

from __future__ import annotations

from datetime import UTC, datetime

import fitdecode
import pytest
from garmin_fit_sdk import Decoder, Stream

from fit_writer import FitWriter, crc16, degrees

START = datetime(2030, 5, 1, 6, 0, tzinfo=UTC)


def activity(*, big_endian: bool) -> bytes:
    """Three records, one of them with an invalid heart rate, and a session."""
    writer = FitWriter(big_endian=big_endian)
    writer.message("file_id", type="activity", time_created=START)
    for second, heart_rate in enumerate((120, None, 122)):
        writer.message(
            "record",
            timestamp=START.timestamp() + second,
            position_lat=degrees(40.5),
            altitude=101.2,
            distance=second * 3.5,
            enhanced_speed=3.5,
            heart_rate=heart_rate,
        )
    writer.message(
        "session",
        timestamp=START.timestamp() + 3,
        start_time=START,
        sport="running",
        total_timer_time=3.0,
        workout_rpe=70,
    )
    return writer.bytes()


@pytest.mark.parametrize("big_endian", [False, True])
def test_fitdecode_reads_it_back(big_endian: bool) -> None:
    data = activity(big_endian=big_endian)
    with fitdecode.FitReader(data, check_crc=fitdecode.CrcCheck.RAISE) as fit:
        frames = [frame for frame in fit if isinstance(frame, fitdecode.FitDataMessage)]
    records = [frame for frame in frames if frame.name == "record"]
    assert [frame.get_value("heart_rate", fallback=None) for frame in records] == [120, None, 122]
    assert [frame.get_value("distance") for frame in records] == [0.0, 3.5, 7.0]
    assert records[0].get_value("altitude") == pytest.approx(101.2)
    assert records[0].get_value("timestamp") == START
    assert frames[-1].get_value("sport") == "running"


@pytest.mark.parametrize("big_endian", [False, True])
def test_the_official_reader_reads_it_back(big_endian: bool) -> None:
    data = bytearray(activity(big_endian=big_endian))
    assert Decoder(Stream.from_byte_array(data)).check_integrity()
    messages, errors = Decoder(Stream.from_byte_array(data)).read()
    assert errors == []
    assert [record.get("heart_rate") for record in messages["record_mesgs"]] == [120, None, 122]
    assert messages["session_mesgs"][0]["total_timer_time"] == 3.0


def test_checksum_of_the_catalogue_string() -> None:
    # CRC-16/ARC check value of the ASCII digits 1 to 9, from the catalogues of CRC parameters.
    assert crc16(b"123456789") == 0xBB3D
