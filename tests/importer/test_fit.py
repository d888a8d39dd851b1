"""Legs and nights of FIT files."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from fit_writer import FitWriter, wrap
from importer.fit_files import START, START_S, add_records, run_file, session
from taperback.common.errors import InputError
from taperback.importer.fit.read import read_fit


def test_a_plain_run_is_one_leg_with_its_samples() -> None:
    (leg,) = read_fit(run_file(60)).recordings
    assert (leg.sport, leg.start_utc) == ("running", START)
    assert leg.end_utc == START + timedelta(seconds=60)
    assert leg.samples["time_s"].tolist() == [START_S + second for second in range(60)]
    assert leg.samples["speed_mps"].unique().tolist() == [3.5]
    assert leg.samples["power_w"].iloc[:3].tolist() == [200, 201, 202]
    assert leg.samples["lat"].iloc[0] == pytest.approx(40.5, abs=1e-6)
    assert (leg.total_timer_s, leg.total_distance_m) == (60, 210)


def test_both_byte_orders_say_the_same() -> None:
    (little,) = read_fit(run_file(30)).recordings
    (big,) = read_fit(run_file(30, big_endian=True)).recordings
    assert little.samples.equals(big.samples)


def test_rpe_and_feel_are_read_in_their_own_scales() -> None:
    (leg,) = read_fit(run_file(10, workout_rpe=70, workout_feel=50)).recordings
    assert (leg.session_rpe, leg.feel) == (7.0, 50.0)


def test_no_rpe_is_not_a_number() -> None:
    (leg,) = read_fit(run_file(10, workout_rpe=None)).recordings
    assert np.isnan(leg.session_rpe)


def test_a_multisport_file_is_cut_into_its_legs() -> None:
    writer = FitWriter()
    starts = {"swimming": 0, "transition": 60, "cycling": 80, "running": 200}
    add_records(writer, 300)
    for sport, first in starts.items():
        later = [other for other in starts.values() if other > first]
        seconds = min(later, default=300) - first
        session(writer, seconds, start_s=START_S + first, sport=sport)
    legs = read_fit(writer.bytes()).recordings
    assert [leg.sport for leg in legs] == list(starts)
    assert [len(leg.samples) for leg in legs] == [60, 20, 120, 100]
    # the device counts the distance on; each leg starts at zero
    assert [leg.samples["distance_m"].iloc[0] for leg in legs] == [0.0, 0.0, 0.0, 0.0]


def test_a_file_without_a_session_still_gives_a_leg() -> None:
    writer = FitWriter()
    add_records(writer, 20)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.start_utc == START
    assert len(leg.samples) == 20


def test_pauses_lie_between_a_stop_and_the_next_start() -> None:
    writer = FitWriter()
    add_records(writer, 100)
    for second, kind in ((0, "start"), (20, "stop_all"), (50, "start"), (99, "stop_all")):
        writer.message("event", timestamp=START_S + second, event="timer", event_type=kind)
    session(writer, 100)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.pauses == ((START_S + 20, START_S + 50),)


@pytest.mark.parametrize(
    ("offset_s", "believed"),
    [
        (3600, True),
        (-12600, True),
        (20700, True),
        (50401, False),
        (1234, False),
        (15 * 3600, False),
    ],
)
def test_local_offset_is_believed_only_where_plausible(offset_s: int, believed: bool) -> None:
    writer = FitWriter()
    add_records(writer, 5)
    session(writer, 5)
    writer.message("activity", timestamp=START_S, local_timestamp=START_S + offset_s)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.utc_offset_s == offset_s if believed else np.isnan(leg.utc_offset_s)


def test_lengths_of_a_pool_swim() -> None:
    writer = FitWriter()
    for place, kind in enumerate(("active", "active", "idle")):
        writer.message(
            "length", start_time=START_S + 30 * place, total_timer_time=28.5, length_type=kind
        )
    session(writer, 90, sport="swimming", pool_length=25.0)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.pool_length_m == 25.0
    assert leg.lengths["active"].tolist() == [True, True, False]
    assert leg.lengths["duration_s"].tolist() == [28.5, 28.5, 28.5]


def test_a_cut_pool_swim_is_made_from_its_lengths_and_laps() -> None:
    writer = FitWriter()
    for place in range(4):
        writer.message(
            "length", start_time=START_S + 30 * place, total_timer_time=28.5, length_type="active"
        )
        if place % 2:
            lap = {"total_timer_time": 60, "total_distance": 50.0}
            writer.message("lap", start_time=START_S + 30 * (place - 1), **lap)
    (leg,) = read_fit(writer.bytes()).recordings
    assert (leg.sport, leg.sub_sport) == ("swimming", "lap_swimming")
    assert leg.end_utc == START + timedelta(seconds=118.5)
    assert (len(leg.lengths), leg.pool_length_m) == (4, 25.0)


def test_heart_rate_of_hr_messages_is_merged_as_means_since_the_record_before() -> None:
    writer = FitWriter()
    add_records(writer, 10, heart_rate=None)
    writer.message("hr", timestamp=START_S + 2, event_timestamp=100.0, filtered_bpm=131)
    # ticks 100 s + 1 s and + 2 s, as twelve-bit remainders of 1/1024 s: 102400 + 1024 k
    low = [(102400 + 1024 * step) % 4096 for step in (1, 2)]
    packed = bytes([low[0] & 0xFF, low[0] >> 8 | (low[1] & 0xF) << 4, low[1] >> 4])
    writer.message("hr", event_timestamp_12=packed, filtered_bpm=[132, 133])
    session(writer, 10)
    (leg,) = read_fit(writer.bytes()).recordings
    rate = leg.samples.set_index("time_s")["heart_rate_bpm"].dropna()
    assert rate.to_dict() == {START_S + 2: 131, START_S + 3: 131.25, START_S + 4: 132.25}


def test_sleep_levels_become_a_night() -> None:
    writer = FitWriter()
    levels = ("light", "deep", "awake", "rem", "awake")
    for hour, level in enumerate(levels):
        writer.message("sleep_level", timestamp=START_S + 3600 * hour, sleep_level=level)
    (sleep,) = read_fit(writer.bytes()).sleeps
    assert sleep.asleep_s == 3 * 3600
    assert (sleep.start_utc, sleep.end_utc) == (START, START + timedelta(hours=4))


def test_settings_in_the_file_are_kept() -> None:
    writer = FitWriter()
    writer.message("zones_target", functional_threshold_power=251, threshold_heart_rate=168)
    writer.message("user_profile", resting_heart_rate=47)
    add_records(writer, 5)
    session(writer, 5)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.thresholds == {
        "critical_power_w": 251,
        "second_threshold_heart_rate_bpm": 168,
        "resting_heart_rate_bpm": 47,
    }


def test_a_wrong_checksum_is_said_and_the_file_used() -> None:
    data = bytearray(run_file(10))
    data[-1] ^= 0xFF
    content = read_fit(bytes(data))
    assert len(content.recordings[0].samples) == 10
    assert [remark.code for remark in content.remarks] == ["fit-checksum"]


def test_what_stands_before_a_cut_is_used() -> None:
    data = run_file(60)
    content = read_fit(data[: len(data) // 2])
    assert 20 <= len(content.recordings[0].samples) < 40
    assert content.remarks[0].code == "fit-broken"


def test_chained_files_are_one_activity() -> None:
    first, second = FitWriter(), FitWriter()
    add_records(first, 10)
    add_records(second, 10, start_s=START_S + 10)
    session(second, 20)
    content = read_fit(first.bytes() + second.bytes())
    assert len(content.recordings) == 1
    assert len(content.recordings[0].samples) == 20
    assert [remark.code for remark in content.remarks] == ["fit-chained"]


def test_chained_files_of_two_days_are_two_activities() -> None:
    first, second = FitWriter(), FitWriter()
    add_records(first, 30)
    session(first, 30)
    add_records(second, 20, start_s=START_S + 10 * 86_400)
    session(second, 20, start_s=START_S + 10 * 86_400, sport="cycling")
    legs = read_fit(first.bytes() + second.bytes()).recordings
    assert [(leg.sport, len(leg.samples)) for leg in legs] == [("running", 30), ("cycling", 20)]
    assert legs[1].start_utc == START + timedelta(days=10)


def test_records_dated_years_away_are_left_out_and_counted() -> None:
    writer = FitWriter()
    add_records(writer, 10)
    add_records(writer, 2, start_s=START_S - 400 * 86_400)
    session(writer, 10)
    content = read_fit(writer.bytes())
    assert len(content.recordings[0].samples) == 10
    assert "2 records are dated days away" in content.remarks[0].found


def test_a_clock_of_the_device_is_anchored_on_the_activity() -> None:
    writer = FitWriter()
    epoch_s = 631_065_600
    add_records(writer, 10, start_s=epoch_s + 5000)
    writer.message("activity", timestamp=START_S + 9)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.samples["time_s"].iloc[-1] == START_S + 9


def test_cumulative_timers_are_not_believed() -> None:
    writer = FitWriter()
    add_records(writer, 60)
    session(writer, 30)
    session(writer, 30, start_s=START_S + 30, total_timer_time=3600.0)
    legs = read_fit(writer.bytes()).recordings
    assert legs[0].total_timer_s == 30
    assert np.isnan(legs[1].total_timer_s)


def test_distance_that_starts_again_a_moment_late_has_no_jump() -> None:
    writer = FitWriter()
    add_records(writer, 100)
    # the bike's first two records still carry the swim's distance
    for second, distance in enumerate((350.0, 350.0, 0.0, 8.0, 16.0)):
        writer.message("record", timestamp=START_S + 100 + second, distance=distance)
    session(writer, 100, sport="swimming")
    session(writer, 5, start_s=START_S + 100, sport="cycling")
    _, bike = read_fit(writer.bytes()).recordings
    assert bike.samples["distance_m"].isna().tolist() == [True, True, False, False, False]
    assert bike.samples["distance_m"].iloc[2:].tolist() == [0.0, 8.0, 16.0]


def test_a_last_leg_whose_elapsed_time_counts_from_the_start_of_the_race_ends_at_its_stamp() -> (
    None
):
    writer = FitWriter()
    add_records(writer, 60)
    session(writer, 30)
    session(writer, 30, start_s=START_S + 30, total_elapsed_time=9000.0)
    _, last = read_fit(writer.bytes()).recordings
    assert last.end_utc == START + timedelta(seconds=60)


def test_a_session_around_all_legs_is_no_leg() -> None:
    writer = FitWriter()
    add_records(writer, 90)
    session(writer, 90, start_s=START_S - 1, sport="multisport")
    session(writer, 50, sport="swimming")
    session(writer, 40, start_s=START_S + 50)
    assert [leg.sport for leg in read_fit(writer.bytes()).recordings] == ["swimming", "running"]


def test_the_same_session_twice_is_one_leg() -> None:
    writer = FitWriter()
    add_records(writer, 30)
    session(writer, 30)
    session(writer, 30)
    assert len(read_fit(writer.bytes()).recordings) == 1


def test_a_session_dated_years_away_starts_with_its_records() -> None:
    writer = FitWriter()
    add_records(writer, 30)
    session(writer, 30, start_s=START_S - 9e7)
    content = read_fit(writer.bytes())
    assert content.recordings[0].start_utc == START
    assert content.remarks[0].code == "fit-session-date"


def test_summary_messages_may_come_first() -> None:
    writer = FitWriter()
    writer.message("activity", timestamp=START_S + 30, local_timestamp=START_S + 3630)
    session(writer, 30)
    add_records(writer, 30)
    (leg,) = read_fit(writer.bytes()).recordings
    assert (leg.utc_offset_s, len(leg.samples)) == (3600, 30)


def test_laps_belong_to_the_leg_they_start_in() -> None:
    writer = FitWriter()
    add_records(writer, 90)
    for start, seconds in ((0, 50), (50, 30), (80, 10)):
        lap = {"total_timer_time": seconds, "total_distance": 100.0}
        writer.message("lap", timestamp=START_S + 90, start_time=START_S + start, **lap)
    session(writer, 50, sport="swimming")
    session(writer, 40, start_s=START_S + 50)
    swim, run = read_fit(writer.bytes()).recordings
    assert swim.laps["duration_s"].tolist() == [50]
    assert run.laps.to_numpy().tolist() == [[START_S + 50, 30, 100], [START_S + 80, 10, 100]]


def test_a_pause_over_two_legs_is_cut_to_each() -> None:
    writer = FitWriter()
    add_records(writer, 100)
    for second, kind in ((40, "stop_all"), (60, "start")):
        writer.message("event", timestamp=START_S + second, event="timer", event_type=kind)
    session(writer, 50, sport="swimming")
    session(writer, 50, start_s=START_S + 50)
    swim, run = read_fit(writer.bytes()).recordings
    assert swim.pauses == ((START_S + 40, START_S + 50),)
    assert run.pauses == ((START_S + 50, START_S + 60),)


def test_absent_power_and_heart_rate_are_never_zero() -> None:
    writer = FitWriter()
    writer.message("record", timestamp=START_S, heart_rate=None, power=None, cadence=None)
    writer.message("record", timestamp=START_S + 1, distance=3.0)
    (leg,) = read_fit(writer.bytes()).recordings
    assert leg.samples[["heart_rate_bpm", "power_w", "cadence_rpm"]].isna().all(axis=None)


def test_the_threshold_a_session_was_recorded_with_counts_where_the_settings_have_none() -> None:
    (leg,) = read_fit(run_file(5, threshold_power=244)).recordings
    assert leg.thresholds == {"critical_power_w": 244}


def test_more_sessions_than_any_race_are_cut_short_and_said() -> None:
    writer = FitWriter()
    for place in range(101):
        session(writer, 5, start_s=START_S + 10 * place)
    content = read_fit(writer.bytes())
    assert len(content.recordings) == 100
    assert "it has 101 sessions" in content.remarks[0].found


def kind_of_file(kind: str) -> bytes:
    writer = FitWriter()
    writer.message("file_id", type=kind)
    if kind == "course":
        add_records(writer, 5)
    return writer.bytes()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (
            b"not a fit file at all",
            "it does not start with a FIT header; export the activity again",
        ),
        (wrap(b""), "it holds no activity and no sleep; export the activity itself"),
        (kind_of_file("course"), "it is a route to follow, not a training session"),
        (kind_of_file("monitoring_b"), "it is a FIT file of kind monitoring b, with no activity"),
    ],
)
def test_a_file_with_nothing_in_it_says_so(data: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message):
        read_fit(data)
