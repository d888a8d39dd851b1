"""FIT files that the tests of the FIT reader share."""

from __future__ import annotations

from datetime import UTC, datetime

from fit_writer import FitWriter, degrees

START = datetime(2030, 5, 1, 6, 0, tzinfo=UTC)
START_S = START.timestamp()


def add_records(
    writer: FitWriter, count: int, *, start_s: float = START_S, **extra: object
) -> None:
    """One record a second with position, distance, speed, power and heart rate."""
    for second in range(count):
        values = {
            "timestamp": start_s + second,
            "position_lat": degrees(40.5 + second * 1e-5),
            "position_long": degrees(-8.25),
            "altitude": 100.0 + second % 7,
            "distance": second * 3.5,
            "speed": 3.5,
            "power": 200 + second % 11,
            "heart_rate": 120 + second % 5,
            "cadence": 85,
        }
        writer.message("record", **(values | extra))


def session(writer: FitWriter, seconds: int, *, start_s: float = START_S, **extra: object) -> None:
    """A session over these seconds."""
    values = {
        "timestamp": start_s + seconds,
        "start_time": start_s,
        "sport": "running",
        "total_elapsed_time": seconds,
        "total_timer_time": seconds,
        "total_distance": seconds * 3.5,
    }
    writer.message("session", **(values | extra))


def run_file(seconds: int = 60, *, big_endian: bool = False, **session_values: object) -> bytes:
    """A plain run."""
    writer = FitWriter(big_endian=big_endian)
    writer.message("file_id", type="activity", time_created=START)
    add_records(writer, seconds)
    session(writer, seconds, **session_values)
    return writer.bytes()
