"""What time it was, by the clocks that devices really have."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np

from fit_writer import FitWriter
from importer.fit_files import START, START_S, add_records, session
from taperback.importer.fit.read import read_fit

FIT_EPOCH_S = 631_065_600
OWN_S = FIT_EPOCH_S + 5000  # a device switched on 5,000 seconds ago, as FIT time counts


def own_time_file(**activity: object) -> FitWriter:
    """Ten records and a session dated by the seconds since the device was switched on."""
    writer = FitWriter()
    add_records(writer, 10, start_s=OWN_S)
    writer.message("lap", start_time=OWN_S, timestamp=OWN_S + 10, total_timer_time=10)
    session(writer, 10, start_s=OWN_S)
    if activity:
        writer.message("activity", **activity)
    return writer


def test_own_time_is_anchored_on_a_correlation_message() -> None:
    writer = own_time_file()
    writer.message("timestamp_correlation", timestamp=START_S + 500, system_timestamp=OWN_S + 500)
    content = read_fit(writer.bytes())
    (leg,) = content.recordings
    assert (leg.start_utc, leg.sport) == (START, "running")
    assert leg.laps["start_s"].tolist() == [START_S]
    assert content.remarks == ()


def test_own_time_is_anchored_on_the_local_time_of_the_activity() -> None:
    local = START_S + 3600
    writer = own_time_file(timestamp=OWN_S + 10, local_timestamp=local + 10)
    content = read_fit(writer.bytes())
    (leg,) = content.recordings
    # only the local clock is known, and told as if it were UTC, so that the day is right
    assert leg.start_utc == datetime.fromtimestamp(local, tz=UTC)
    assert leg.utc_offset_s == 0
    (remark,) = content.remarks
    assert "its device did not know the date" in str(remark)
    assert remark.remedy == "check that the day is right"


def test_own_time_that_nothing_dates_waits_in_1989_to_be_put_right() -> None:
    (leg,) = read_fit(own_time_file().bytes()).recordings
    assert leg.start_utc == datetime.fromtimestamp(OWN_S, tz=UTC)
    assert leg.start_utc.year == 1989


def test_monitoring_tells_the_offset_of_a_night() -> None:
    writer = FitWriter()
    writer.message("monitoring_info", timestamp=START_S, local_timestamp=START_S + 7200)
    for hour, level in enumerate(("light", "awake")):
        writer.message("sleep_level", timestamp=START_S + 3600 * hour, sleep_level=level)
    (night,) = read_fit(writer.bytes()).sleeps
    assert night.utc_offset_s == 7200


def test_no_local_time_is_no_offset() -> None:
    writer = FitWriter()
    add_records(writer, 5)
    writer.message("activity", timestamp=START_S, local_timestamp=None)
    (leg,) = read_fit(writer.bytes()).recordings
    assert np.isnan(leg.utc_offset_s)
