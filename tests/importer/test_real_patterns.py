"""Patterns met in real recordings, each on bytes written for it and named after it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from fit_writer import FitWriter, degrees
from importer.fit_files import START_S, add_records, run_file, session
from taperback.importer.file.one_file import read_bytes
from taperback.importer.model import LegSummary

START = datetime(2030, 5, 1, 6, 0, tzinfo=UTC)
DEGREE_M = math.pi / 180 * 6_371_008.8
"""Metres of a degree of latitude on the sphere of `geodesy`."""
LAT, LON = 40.5, -8.2


def legs(data: bytes) -> tuple[LegSummary, ...]:
    return read_bytes(data, "d" * 64).legs


def leg(data: bytes) -> LegSummary:
    (only,) = legs(data)
    return only


def codes(*summaries: LegSummary) -> list[str]:
    return [remark.code for summary in summaries for remark in summary.remarks]


def at(second: float) -> str:
    return (START + timedelta(seconds=second)).isoformat().replace("+00:00", "Z")


def gpx_points(metres: Iterable[tuple[float, float]], rate: int | None = None) -> str:
    """Points on a meridian: (second, metres gone), with a heart rate where one is given."""

    def heart(second: float) -> str:
        return f"<extensions><hr>{rate + int(second) % 3}</hr></extensions>" if rate else ""

    return "".join(
        f'<trkpt lat="{LAT + m / DEGREE_M:.9f}" lon="{LON}"><time>{at(s)}</time>{heart(s)}</trkpt>'
        for s, m in metres
    )


def gpx(*segments: str, kind: str = "running") -> bytes:
    body = "".join(f"<trkseg>{points}</trkseg>" for points in segments)
    return f"<gpx><trk><type>{kind}</type>{body}</trk></gpx>".encode()


def tcx_points(
    rows: Iterable[tuple[float, float]], speed: Callable[[float], float] | None = None
) -> str:
    """Track points: (second, metres as the device counts them), with a speed where one is given."""
    return "".join(
        f"<Trackpoint><Time>{at(s)}</Time><DistanceMeters>{m}</DistanceMeters>"
        f"<HeartRateBpm><Value>{140 + int(s) % 3}</Value></HeartRateBpm>"
        + (f"<Extensions><TPX><Speed>{speed(s)}</Speed></TPX></Extensions>" if speed else "")
        + "</Trackpoint>"
        for s, m in rows
    )


def lap(points: str, seconds: float, metres: float, start: float = 0) -> str:
    return (
        f'<Lap StartTime="{at(start)}"><TotalTimeSeconds>{seconds}</TotalTimeSeconds>'
        f"<DistanceMeters>{metres}</DistanceMeters><Track>{points}</Track></Lap>"
    )


def tcx(*laps: str, sport: str = "Running", whole: bool = True) -> bytes:
    end = "</Activity></Activities></TrainingCenterDatabase>" if whole else ""
    head = f'<TrainingCenterDatabase><Activities><Activity Sport="{sport}">'
    return (head + "".join(laps) + end).encode()


def even(seconds: int, step: int = 1, mps: float = 3.0) -> list[tuple[float, float]]:
    return [(s, mps * s) for s in range(0, seconds + 1, step)]


def test_gpx_without_device_distance_is_as_long_as_its_way() -> None:
    turning = [(s, 3.0 * s + 2.0 * math.sin(s / 3)) for s in range(1801)]
    way = sum(abs(b - a) for (_, a), (_, b) in pairwise(turning))
    assert leg(gpx(gpx_points(turning))).distance_m == pytest.approx(way, rel=0.005)


@pytest.mark.parametrize("step", [1, 5, 12])
def test_gpx_and_its_twin_from_the_device_agree(step: int) -> None:
    rows = even(1800, step)
    track, device = leg(gpx(gpx_points(rows))), leg(tcx(lap(tcx_points(rows), 1800, 5400)))
    assert track.distance_m == pytest.approx(device.distance_m, rel=0.005)
    assert track.moving_s == pytest.approx(device.moving_s, rel=0.02)
    longest = track.best_speed_mps[np.isfinite(track.best_speed_mps)][-1]
    assert longest == pytest.approx(3.0, rel=0.02)


def test_a_speed_of_zero_in_every_second_point_is_no_standstill() -> None:
    rows = even(3689)
    row = leg(tcx(lap(tcx_points(rows, lambda s: 3.0 * (s % 2)), 3689, 3689 * 3)))
    assert row.moving_s == pytest.approx(3689, abs=2)
    assert row.best_speed_mps[-1] == pytest.approx(3.0, rel=0.02)


def test_positions_that_change_every_ten_to_twenty_seconds_move_in_between() -> None:
    rows = [(s, 0.9 * (s - s % (10 if s // 100 % 2 else 20))) for s in range(0, 7300, 2)]
    row = leg(gpx(gpx_points(rows, rate=120), kind="hiking"))
    assert row.moving_s == pytest.approx(7300, rel=0.02)


def test_a_place_repeated_and_then_a_jump_is_a_way() -> None:
    rows = [(s, 3.0 * (s - s % 40)) for s in range(0, 2001, 5)]
    row = leg(gpx(gpx_points(rows)))
    assert row.distance_m == pytest.approx(6000, rel=0.005)
    assert row.moving_s == pytest.approx(2000, rel=0.02)


def test_smart_recording_with_long_steps_on_a_straight_has_no_gaps() -> None:
    times = [0, 4, 9, 15, 46, 50, 55, 108, 112, 118, 150, 155, 160, 165, 170, 201]
    rows = [(float(s), 8.0 * s) for s in times]
    row = leg(tcx(lap(tcx_points(rows), 201, 1608), sport="Biking"))
    assert row.moving_s == pytest.approx(201, abs=2)


def test_a_stop_without_points_is_still_a_stop() -> None:
    rows = even(600, 5) + [(s + 900, m) for s, m in even(1200, 5)[121:]]
    row = leg(gpx(gpx_points(rows)))
    assert row.moving_s == pytest.approx(1200, rel=0.02)
    assert codes(row) == ["taken-out"]


def test_a_break_and_a_ride_home_without_points_are_not_trained() -> None:
    rows = even(600, 1, 8.0) + [(s + 3000, 4800 + 1500 + 8.0 * s) for s in range(300)]
    row = leg(gpx(gpx_points(rows), kind="cycling"))
    assert row.moving_s == pytest.approx(900, rel=0.02)
    assert "taken-out" in codes(row)


def test_of_two_points_in_one_second_the_moving_one_is_kept() -> None:
    first, second = even(60), [(s, 3.0 * s) for s in range(60, 121)]
    laps = [
        lap(tcx_points(first, lambda s: 3.0), 60, 180),
        lap(tcx_points(second, lambda s: 3.0 * (s > 60)), 60, 180, 60),
    ]
    row = leg(tcx(*laps))
    assert row.speed_seconds is not None
    assert row.speed_seconds[0] == 0
    assert row.moving_s == pytest.approx(120, abs=1)


def test_climbing_slowly_over_ground_is_moving() -> None:
    writer = FitWriter()
    add = [
        {"timestamp": START_S + s, "distance": 0.3 * s, "speed": 0.3, "altitude": 500 + 0.2 * s}
        for s in range(400)
    ]
    for values in add:
        writer.message("record", **values)
    session(writer, 400, total_distance=120.0)
    assert leg(writer.bytes()).moving_s == pytest.approx(400, rel=0.02)


def test_a_run_on_the_spot_with_the_heart_at_work_is_a_session() -> None:
    wander = [(s, 0.05 * s % 40) for s in range(0, 7487, 2)]
    row = leg(gpx(gpx_points(wander, rate=146)))
    assert row.moving_s == pytest.approx(7487, rel=0.02)
    assert codes(row) == ["on-the-spot"]


def test_an_evening_on_the_couch_with_the_watch_on_is_not() -> None:
    wander = [(s, 3.0 * s if s < 900 else 2700.0) for s in range(0, 7487, 3)]
    assert leg(gpx(gpx_points(wander, rate=70))).moving_s == pytest.approx(900, abs=10)


@pytest.mark.parametrize(("recorded", "moving"), [(300, 3540), (2400, 3540)])
def test_records_that_end_early_leave_the_rest_to_the_timer(recorded: int, moving: int) -> None:
    writer = FitWriter()
    add_records(writer, recorded)
    session(writer, 3540)
    row = leg(writer.bytes())
    assert row.moving_s == pytest.approx(moving, rel=0.01)
    assert codes(row) == ["few-samples"]
    assert f"of {moving // 60} minutes" in row.remarks[0].found


@pytest.mark.parametrize(
    ("kind", "sport"), [("1", "cycling"), ("4", "hiking"), ("9", "running"), ("10", "walking")]
)
def test_a_number_as_type_names_the_sport(kind: str, sport: str) -> None:
    row = leg(gpx(gpx_points(even(60)), kind=kind))
    assert (row.sport, codes(row)) == (sport, [])


@pytest.mark.parametrize("kind", ["57", "geocaching trip"])
def test_a_word_that_is_no_sport_is_reported(kind: str) -> None:
    row = leg(gpx(gpx_points(even(60)), kind=kind))
    assert row.sport == "generic"
    assert f"'{kind}' is not known as a sport" in row.remarks[0].found


@pytest.mark.parametrize(
    ("kind", "named"),
    [
        ("Virtual Ride", ("cycling", "virtual_activity")),
        ("treadmill_running", ("running", "treadmill")),
        ("open_water_swimming", ("swimming", "open_water")),
        ("Handcycle", ("cycling", "hand_cycling")),
        ("EBikeRide", ("e_biking", "")),
        ("cross-country skiing", ("cross_country_skiing", "")),
    ],
)
def test_sub_sports_are_kept(kind: str, named: tuple[str, str]) -> None:
    row = leg(gpx(gpx_points(even(60)), kind=kind))
    assert (row.sport, row.sub_sport) == named


def test_a_treadmill_filed_under_its_equipment_is_running() -> None:
    row = leg(run_file(60, sport="fitness_equipment", sub_sport="treadmill"))
    assert (row.sport, row.sub_sport) == ("running", "treadmill")


@pytest.mark.parametrize("sub_sport", ["virtual_activity", "indoor_cycling"])
def test_invented_places_are_no_places(sub_sport: str) -> None:
    row = leg(run_file(60, sport="cycling", sub_sport=sub_sport))
    assert row.zone == ""
    assert math.isnan(row.start_lat)
    assert math.isnan(row.end_lon)
    assert row.distance_m == 60 * 3.5


def test_a_file_cut_off_in_a_later_lap_tells_of_one_stretch() -> None:
    first = lap(tcx_points(even(600)), 600, 1800)
    second = lap(tcx_points([(s, 3.0 * s) for s in range(601, 1201)]), 600, 1800, 600)
    cut = (tcx(first) + b"")[: -len("</Activity></Activities></TrainingCenterDatabase>")]
    data = cut + second[: second.index(f"<Trackpoint><Time>{at(1000)}")].encode()
    row = leg(data)
    assert row.distance_m == pytest.approx(999 * 3.0, rel=0.005)
    assert row.moving_s == pytest.approx(1000, rel=0.005)


def test_the_same_track_twice_in_one_activity_counts_once() -> None:
    first, whole = tcx_points(even(340)), tcx_points(even(667))
    row = leg(tcx(lap(first, 340, 1020), lap(whole, 327, 981, 340)))
    assert row.moving_s == pytest.approx(667, abs=2)
    assert row.distance_m == pytest.approx(2001)


def test_outings_days_apart_in_one_track_are_two_legs() -> None:
    later = [(s + 172_800, m) for s, m in even(900)]
    first, second = legs(gpx(gpx_points(even(600)), gpx_points(later)))
    assert (second.start_utc - first.start_utc).days == 2
    assert (first.moving_s, second.moving_s) == (600, 900)
    assert codes(first, second) == ["outings"]


def test_laps_that_count_twice_never_move_longer_than_they_last() -> None:
    once = lap(tcx_points(even(2283)), 2283, 6849)
    row = leg(tcx(once, lap("", 2283, 6849)))
    assert row.moving_s == row.elapsed_s == 2283


def test_points_without_time_are_reported() -> None:
    points = gpx_points(even(295)).split("</trkpt>")
    timeless = [
        point if place < 5 else point.replace("<time>", "<no>").replace("</time>", "</no>")
        for place, point in enumerate(points)
    ]
    row = leg(gpx("</trkpt>".join(timeless)))
    assert row.remarks[0].found == "291 of its 296 points have no time and do not count"


@pytest.mark.parametrize("mps", [2.8, 2.9, 3.33, 2.0 / 3, 8.1])
@pytest.mark.parametrize("seconds", [597, 1200, 3601])
def test_constant_speed_is_read(mps: float, seconds: int) -> None:
    writer = FitWriter()
    add_records(writer, seconds, speed=mps, power=None)
    session(writer, seconds, sub_sport="treadmill")
    row = leg(writer.bytes())
    assert row.bouts == ()
    assert row.moving_s == seconds


def test_a_fault_in_one_value_costs_that_value(monkeypatch: pytest.MonkeyPatch) -> None:
    def trip(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("taperback.importer.summary.summary.find_bouts", trip)
    row = leg(run_file(600))
    assert (row.moving_s, row.bouts) == (600, ())
    assert row.remarks[0].found == "its repetitions could not be worked out (ZeroDivisionError)"


def test_a_place_of_the_map_is_kept_for_a_ride_outside() -> None:
    row = leg(run_file(60, sport="cycling", sub_sport="road"))
    assert row.start_lat == pytest.approx(40.5)
    assert degrees(row.start_lat) == degrees(40.5)
