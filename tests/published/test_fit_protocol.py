"""What the FIT protocol and the clocks of the world say, and what our reader makes of it."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files
from zoneinfo import ZoneInfo, available_timezones

import fastcrc
import fitdecode
import fitfast
import numpy as np
import pytest
from garmin_fit_sdk import Decoder, Profile, Stream

from fit_writer import FitWriter, crc16, wrap
from importer.fit_files import START_S, add_records, run_file, session
from importer.test_fit_hr import swim
from importer.test_fit_records import by_fitdecode
from published.ledger import library
from taperback.importer.fit.clock import FIT_EPOCH_S, Clock
from taperback.importer.fit.messages import read_messages
from taperback.importer.fit.read import read_fit
from taperback.importer.fit.records import RECORD, RECORD_FIELDS, read_records
from taperback.importer.fit.stream import index_parts
from taperback.importer.local_day import utc_offset_s, zone_at

AREA = "files"
PROTOCOL = "FIT protocol description and profile"
OFFICIAL = library("garmin-fit-sdk", "the official decoder")


def official(data: bytes, **options: bool) -> list[dict]:
    """The records as the official decoder reads them."""
    messages, errors = Decoder(Stream.from_byte_array(bytearray(data))).read(**options)
    assert errors == []
    return messages["record_mesgs"]


def same(ours: np.ndarray, theirs: np.ndarray) -> int:
    assert ours.shape == theirs.shape
    return int(np.count_nonzero((ours == theirs) | (np.isnan(ours) & np.isnan(theirs))))


def test_the_checksum(outside) -> None:
    check = crc16(b"123456789")
    assert fastcrc.crc16.arc(b"123456789") == check, "the reader's and the writer's"
    source = "check value of CRC-16/ARC, the checksum of FIT files, for 123456789"
    outside("FIT checksum", "0xBB3D", f"0x{check:X}", 0, source, "published")


def test_the_epoch(outside) -> None:
    moment = datetime.fromtimestamp(float(Clock().unix_s(np.array(938622559.0))), tz=UTC)
    told = f"{moment:%Y-%m-%dT%H:%M:%SZ}"
    outside("FIT time 938622559", "2019-09-28T16:29:19Z", told, 0, PROTOCOL, "published")
    stands_for = datetime(1989, 12, 31, tzinfo=UTC).timestamp()
    measure = "start of FIT time, 31 December 1989"
    outside(measure, stands_for, FIT_EPOCH_S, 0, PROTOCOL, "published", "Unix s")


@pytest.mark.parametrize(("raw", "degrees"), [(2**30, 90.0), (-(2**29), -45.0)])
def test_semicircles(outside, raw: int, degrees: float) -> None:
    writer = FitWriter().message("record", timestamp=START_S, position_lat=raw, position_long=raw)
    session(writer, 1)
    (leg,) = read_fit(writer.bytes()).recordings
    measure = f"latitude of {raw} semicircles"
    lat = float(leg.samples["lat"].iloc[0])
    outside(measure, degrees, lat, 0, f"{PROTOCOL}: value x 180 / 2^31", "published", "degrees")


@pytest.mark.parametrize(("stored", "rpe"), [(70, "7"), (255, "nan")])
def test_session_rpe_is_stored_tenfold(outside, stored: int, rpe: str) -> None:
    (leg,) = read_fit(run_file(60, workout_rpe=None if stored == 255 else stored)).recordings
    measure = f"session RPE of a workout_rpe of {stored}"
    source = "FIT profile, session.workout_rpe: CR-10 x 10, 255 is none"
    outside(measure, rpe, f"{leg.session_rpe:g}", 0, source, "published")


def test_fields_have_the_numbers_of_the_official_profile(outside) -> None:
    theirs = {
        (kind, field["name"]): number
        for kind in (20, 18, 34, 275)
        for number, field in Profile["messages"][kind]["fields"].items()
    }
    ours = {(RECORD, name): number for name, number in RECORD_FIELDS.items()}
    for kind, name in ((18, "workout_rpe"), (18, "workout_feel"), (34, "local_timestamp")):
        fields = fitdecode.profile.MESSAGE_TYPES[kind].fields.values()
        ours[kind, name] = next(field.def_num for field in fields if field.name == name)
    agreed = sum(theirs.get(key) == number for key, number in ours.items())
    source = library("garmin-fit-sdk", "the official profile")
    measure = "field numbers that our reader relies on, equal of all"
    outside(measure, len(ours), agreed, 0, source, "reference library", "fields")
    assert (ours[18, "workout_feel"], ours[18, "workout_rpe"]) == (192, 193)


def test_sleep_levels(outside) -> None:
    theirs = Profile["types"]["sleep_level"]
    names = ", ".join(f"{number} {theirs[number]}" for number in range(5))
    levels = ("unmeasurable", "awake", "light", "deep", "rem")
    stages = [asleep(name) for name in levels]
    ours = ", ".join(f"{number} {name}" for number, name in enumerate(levels))
    assert stages == [False, False, True, True, True]
    outside("sleep levels by number", names, ours, 0, OFFICIAL, "reference library")


def asleep(level: str) -> bool:
    """Whether an hour of this level counts as sleep."""
    writer = FitWriter().message("file_id", time_created=START_S)
    for hour, name in enumerate(("light", level, "light", "awake")):
        writer.message("sleep_level", timestamp=START_S + 3600 * hour, sleep_level=name)
    return sum(sleep.asleep_s for sleep in read_fit(writer.bytes()).sleeps) == 3 * 3600


def compressed(first_s: float, offsets: list[int]) -> bytes:
    """One record with a whole timestamp, then records that carry five bits of it."""
    writer = FitWriter()
    writer.message("record", local=0, timestamp=first_s, heart_rate=120)
    writer.message("record", local=1, heart_rate=121)
    body = bytes(writer.body)
    body += b"".join(bytes([0x80 | 1 << 5 | offset, 122]) for offset in offsets)
    return wrap(body)


def test_compressed_timestamps_roll_over(outside) -> None:
    # A whole time that ends in 0x3B, then the offsets of the protocol's own example.
    first = FIT_EPOCH_S + 0x3B00003B
    data = compressed(first, [0x1D, 0x02, 0x05, 0x01, 0x12])
    times = read_messages(data).records["timestamp"]
    ours = " ".join(f"{int(at) & 0xFF:02X}" for at in times[2:])
    source = "FIT protocol description, example of a compressed timestamp after 0x3B"
    outside("offsets 1D 02 05 01 12 as times", "3D 42 45 61 72", ours, 0, source, "from memory")
    theirs = fitfast.records(data)["timestamp"][2:] - FIT_EPOCH_S
    measure = "records with a compressed timestamp, equal times of all"
    agreed, rust = same(times[2:], theirs), library("fitfast", "a decoder in Rust")
    outside(measure, len(theirs), agreed, 0, rust, "reference library", "records")


def test_big_endian_records_with_developer_fields(outside) -> None:
    writer = FitWriter(big_endian=True)
    for second in range(50):
        extra = [(0, 0, 2, second)] if second % 3 else []
        values = {"timestamp": START_S + second, "heart_rate": 100 + second, "distance": 2.5}
        writer.message("record", developer=extra, **values)
    data = wrap(bytes(writer.body))
    ours = read_messages(data).records
    theirs = official(data, convert_types_to_strings=True)
    agreed = sum(
        ours["heart_rate"][place] == record["heart_rate"] and record["distance"] == 2.5
        for place, record in enumerate(theirs)
    )
    measure = "big-endian records, some with developer fields, equal of all"
    outside(measure, 50, int(agreed), 0, OFFICIAL, "reference library", "records")


def test_bulk_records_are_fitdecodes(outside) -> None:
    writer = FitWriter()
    add_records(writer, 500)
    add_records(writer, 500, start_s=START_S + 500, heart_rate=None, power=None)
    data = writer.bytes()
    ours, theirs = read_records(data, index_parts(data)), by_fitdecode(data)
    pairs = [(ours[name], theirs[name]) for name in RECORD_FIELDS]
    total, agreed = sum(len(one) for one, _ in pairs), sum(same(*pair) for pair in pairs)
    measure = "values of records read in bulk, equal of all"
    outside(
        measure, total, agreed, 0, library("fitdecode", "FitReader"), "reference library", "values"
    )


def test_heart_rate_handed_over_later(outside) -> None:
    beats = np.random.default_rng(5).integers(600, 1400, 80).tolist()
    data = swim(beats)
    theirs = np.array([record.get("heart_rate", np.nan) for record in official(data)], float)[1:]
    (leg,) = read_fit(data).recordings
    ours = np.floor(leg.samples["heart_rate_bpm"].to_numpy() + 0.5)[1:]
    known = np.isfinite(theirs)
    measure = "seconds with heart rate merged from hr messages, equal of all"
    agreed = same(ours[known], theirs[known])
    assert known.sum() > 40
    outside(measure, int(known.sum()), agreed, 0, OFFICIAL, "reference library", "s")


def offsets_in_use() -> list[int]:
    """Every UTC offset [s] that a zone of the world had in a January or July since 2000."""
    moments = [
        datetime(year, month, 1, tzinfo=UTC) for year in range(2000, 2027) for month in (1, 7)
    ]
    zones = [ZoneInfo(name) for name in sorted(available_timezones()) if "right/" not in name]
    found = {moment.astimezone(zone).utcoffset() for zone in zones for moment in moments}
    return sorted(int(offset.total_seconds()) for offset in found if offset is not None)


def test_every_offset_of_the_world_is_believed(outside) -> None:
    offsets = offsets_in_use()
    assert len(offsets) > 35
    believed = 0
    for offset in offsets:
        writer = FitWriter()
        add_records(writer, 5)
        session(writer, 5)
        writer.message("activity", timestamp=START_S, local_timestamp=START_S + offset)
        (leg,) = read_fit(writer.bytes()).recordings
        believed += leg.utc_offset_s == offset
    measure = "UTC offsets in use since 2000 that a file is believed with, of all"
    source = library("tzdata", "the IANA time zone database")
    outside(measure, len(offsets), believed, 0, source, "published", "offsets")


def cities() -> list[tuple[float, float, str]]:
    """(latitude, longitude, zone) of the place that the zone database gives for each zone."""
    text = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in text.splitlines() if not line.startswith("#")]
    places = []
    for _, position, zone, *_ in rows:
        cut = max(position.rfind("+"), position.rfind("-"))
        places.append((degrees_of(position[:cut], 2), degrees_of(position[cut:], 3), zone))
    return places


def degrees_of(text: str, whole: int) -> float:
    """Degrees of +DDMM or +DDMMSS, with as many digits of whole degrees."""
    sign, digits = (-1.0 if text[0] == "-" else 1.0), text[1:]
    minutes, seconds = float(digits[whole : whole + 2]), float(digits[whole + 2 :] or 0)
    return sign * (float(digits[:whole]) + minutes / 60 + seconds / 3600)


def test_the_clock_at_a_position(outside) -> None:
    moments = [datetime(2025, month, 1, 12, tzinfo=UTC).timestamp() for month in (1, 7)]
    agreed = 0
    for lat, lon, zone in cities():
        found = zone_at(lat, lon)
        clocks = [[utc_offset_s(at, name) for at in moments] for name in (found or "UTC", zone)]
        agreed += clocks[0] == clocks[1]
    total = len(cities())
    source = library("tzdata", "places of the IANA table zone.tab")
    measure = "places whose clock is told by position alone, winter and summer, of all"
    outside(measure, total, agreed, 0.01 * total, source, "published", "places")
