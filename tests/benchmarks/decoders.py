"""How fast one file is read, against other decoders on the same bytes in the same run."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable

import fitdecode
import fitfast
from garmin_fit_sdk import Decoder, Stream
from history import FIRST_DAY_S, SECONDS, one_hour

from fit_writer import FitWriter, degrees
from taperback.importer.fit.read import read_fit
from taperback.importer.fit.records import bulk_can_read, read_records
from taperback.importer.fit.stream import index_parts


def messy_hour() -> bytes:
    """An hour with several record layouts, vendor messages in between and developer fields."""
    writer = FitWriter(big_endian=True)
    writer.message("file_id", type="activity", time_created=FIRST_DAY_S)
    writer.message("developer_data_id", application_id=bytes(range(16)), developer_data_index=0)
    for number, name in enumerate(("stiffness", "oscillation")):
        writer.message(
            "field_description",
            developer_data_index=0,
            field_definition_number=number,
            fit_base_type_id=0x84,
            field_name=name,
        )
    for second in range(SECONDS):
        values = {"timestamp": FIRST_DAY_S + second, "heart_rate": 140, "distance": second * 3.2}
        if second % 3:
            values |= {
                "position_lat": degrees(40.5 + second * 3e-5),
                "position_long": degrees(-8.2),
            }
        if second % 5:
            values |= {"enhanced_speed": 3.2, "enhanced_altitude": 100.0, "cadence": 88}
        strange = [(0, 0, 0x84, 300), (1, 0, 0x84, second % 700)]
        writer.message(
            "record", local=2 + bool(second % 3) + 2 * bool(second % 5), developer=strange, **values
        )
        writer.message(0xFF00, local=10, raw={253: (0x86, second), 0: (0x86, 7), 1: (0x02, 3)})
        if second % 2:
            writer.message(0xFF01, local=11, raw={0: (13, [1, 2, 3, 4, 5, 6, 7, 8]), 1: (0x84, 5)})
        if second % 300 == 299:
            lap = {"start_time": FIRST_DAY_S + second - 299, "total_timer_time": 300}
            writer.message("lap", local=12, timestamp=FIRST_DAY_S + second, **lap)
    writer.message(
        "session",
        timestamp=FIRST_DAY_S + SECONDS,
        start_time=FIRST_DAY_S,
        sport="running",
        total_elapsed_time=SECONDS,
        total_timer_time=SECONDS,
    )
    return writer.bytes()


def bare_fitdecode(data: bytes) -> None:
    """Every field of every message, as a plain loop reads them."""
    with fitdecode.FitReader(data) as reader:
        for frame in reader:
            if isinstance(frame, fitdecode.FitDataMessage):
                for field in frame.fields:
                    _ = field.value


def official(data: bytes) -> None:
    """Everything, as the official SDK package reads it."""
    Decoder(Stream.from_byte_array(bytearray(data))).read()


def record_columns(data: bytes) -> None:
    """The records alone, in bulk: what the decoder written in Rust gives as columns."""
    parts = index_parts(data)
    if not bulk_can_read(data, parts):
        raise SystemExit("the bulk reader does not take this file")
    read_records(data, parts)


READERS: dict[str, Callable[[bytes], object]] = {
    "bare fitdecode": bare_fitdecode,
    "official SDK package": official,
    "Rust-backed, all records' columns": fitfast.records,
    "ours, records in bulk": record_columns,
    "ours, whole file to legs": read_fit,
}


def medians_ms(data: bytes, repeats: int) -> dict[str, float]:
    """Reader -> median of its times [ms]; the readers take turns, so that all see the same load."""
    times: dict[str, list[float]] = {name: [] for name in READERS}
    for _ in range(repeats):
        for name, reader in READERS.items():
            # what another reader left behind is not this one's to clear away
            gc.collect()
            start = time.perf_counter()
            reader(data)
            times[name].append(1000 * (time.perf_counter() - start))
    return {name: statistics.median(spent) for name, spent in times.items()}


def decoders(repeats: int) -> None:
    """Prints the median time of each reader and how many times faster than fitdecode it is."""
    for label, data in (("clean hour", one_hour(FIRST_DAY_S, 0)), ("messy hour", messy_hour())):
        medians = medians_ms(data, repeats)
        print(f"{label}, {len(data) / 1000:.0f} kB, median of {repeats}:")
        for name, spent in medians.items():
            ratio = medians["bare fitdecode"] / spent
            print(f"  {name:34s} {spent:8.2f} ms  {ratio:7.1f} times bare fitdecode")
