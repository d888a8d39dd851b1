"""What stood still and what moved, on recordings with a planted truth."""

from __future__ import annotations

import math
from itertools import accumulate

import pytest

from fit_writer import FitWriter
from importer.fit_files import START_S, session
from importer.test_real_patterns import at, codes, even, gpx, gpx_points, lap, leg, tcx, tcx_points


def with_stops(
    mps: float, stops: list[tuple[int, int]], seconds: int = 3600
) -> list[tuple[int, float]]:
    """(second, metres) at an even pace, standing between each (from, to)."""
    paces = (0.0 if any(a <= s < b for a, b in stops) else mps for s in range(seconds))
    return list(enumerate(accumulate(paces, initial=0.0)))


def wavering(rows: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """The same with places off by up to 1.4 m, as receivers give them."""
    return [(s, m + math.sin(s / 3) + 0.4 * math.sin(s / 1.3)) for s, m in rows]


STOPS = [(600, 690), (1500, 1530), (2400, 2640), (3000, 3015)]
MOVED_S = 3600 - sum(until - since for since, until in STOPS)


@pytest.mark.parametrize("mps", [1.2, 3.0, 7.0])
@pytest.mark.parametrize("step", [1, 5])
def test_stops_are_seen_between_wavering_places(mps: float, step: int) -> None:
    rows = wavering(with_stops(mps, STOPS))[::step]
    kind = "cycling" if mps > 6 else "running"
    assert leg(gpx(gpx_points(rows), kind=kind)).moving_s == pytest.approx(MOVED_S, rel=0.02)


@pytest.mark.parametrize("step", [1, 5])
def test_stops_are_seen_where_the_device_counts(step: int) -> None:
    rows = [(s, float(round(m))) for s, m in with_stops(3.0, STOPS)][::step]
    row = leg(tcx(lap(tcx_points(rows), 3600, rows[-1][1])))
    assert row.moving_s == pytest.approx(MOVED_S, rel=0.02)


def test_stops_are_seen_between_places_written_every_quarter_of_a_minute() -> None:
    stops = [(600, 690), (1500, 1560), (2400, 2640)]
    rows = wavering(with_stops(1.2, stops))[::15]
    row = leg(gpx(gpx_points(rows), kind="walking"))
    assert row.moving_s == pytest.approx(3600 - 390, rel=0.02)


def test_a_speed_that_lags_behind_the_distance_is_not_believed() -> None:
    rows = with_stops(3.0, [(600, 900)], 1800)
    text = tcx_points(rows, lambda s: 1.3 if 600 <= s < 900 else 3.0)
    assert leg(tcx(lap(text, 1800, rows[-1][1]))).moving_s == pytest.approx(1500, rel=0.01)


def test_points_from_nothing_to_n_seconds_last_n_seconds() -> None:
    for data in (gpx(gpx_points(even(600))), tcx(lap(tcx_points(even(600)), 600, 1800))):
        row = leg(data)
        assert (row.elapsed_s, row.moving_s) == (600, 600)


def test_silences_on_the_spot_take_their_whole_steps() -> None:
    rows = [(s + 300 * (s // 100), 3.0 * s) for s in range(1000)]
    row = leg(gpx(gpx_points(rows)))
    # Ten stretches of 100 points last 99 s each, a step of 301 s and 3 m lies between each two.
    assert row.moving_s == pytest.approx(10 * 99, abs=1)
    assert row.distance_m == pytest.approx(10 * 99 * 3, abs=1)


def test_points_a_minute_apart_fill_the_timer() -> None:
    rows = [(s, 8.0 * s) for s in range(0, 7201, 60)]
    row = leg(tcx(lap(tcx_points(rows), 7200, 57_600), sport="Biking"))
    assert (row.moving_s, row.removed_s.get("recording gap")) == (7200, None)


def test_a_silence_between_two_equal_counts_is_standing_whatever_the_timer_says() -> None:
    rows = [(s + 3600 * (s > 300), 3.0 * s) for s in range(601)]
    row = leg(tcx(lap(tcx_points(rows), 4200, 1800)))
    assert row.moving_s == pytest.approx(599, abs=1)
    assert codes(row) == ["taken-out"]


def test_a_place_repeated_before_a_break_takes_nothing_of_the_jump_behind_it() -> None:
    first = [*even(600), (610, 1800.0), (620, 1800.0)]
    second = [(s, 2300.0 + 3.0 * (s - 640)) for s in range(640, 1241)]
    row = leg(gpx(gpx_points(first), gpx_points(second)))
    assert row.distance_m == pytest.approx(3600, rel=0.005)


def test_a_lone_point_from_later_makes_no_leg_longer() -> None:
    rows = even(600)
    rows[300] = (300 + 3600, 900.0)
    row = leg(gpx(gpx_points(rows)))
    assert (row.elapsed_s, row.moving_s) == (600, 600)
    assert row.removed_s == {"clock astray": 1.0}


def test_points_days_from_all_others_are_left_out_and_reported() -> None:
    alone = [(s - 200_000, m) for s, m in even(3)]
    row = leg(gpx(gpx_points(alone), gpx_points(even(600))))
    assert (row.start_utc.isoformat(), row.moving_s) == (at(0).replace("Z", "+00:00"), 600)
    (remark,) = row.remarks
    assert remark.found.startswith("4 of its 605 points lie alone")


def test_rest_at_the_wall_is_rest_however_fast_the_heart_beats() -> None:
    writer = FitWriter()
    for place in range(40):
        kind = "active" if place % 4 == 0 else "idle"
        writer.message(
            "length", start_time=START_S + 30 * place, total_timer_time=30.0, length_type=kind
        )
    for second in range(1200):
        writer.message("record", timestamp=START_S + second, heart_rate=140 + second % 5)
    extra = {"sport": "swimming", "sub_sport": "lap_swimming", "pool_length": 25.0}
    session(writer, 1200, total_distance=250.0, **extra)
    row = leg(writer.bytes())
    assert row.moving_s == 300
    assert codes(row) == []


def test_a_way_of_wavering_places_is_called_rough() -> None:
    around = [(s, 3.0 * min(s, 600) + 4.0 * (s // 5 % 2)) for s in range(0, 3000, 5)]
    row = leg(gpx(gpx_points(around)))
    assert row.moving_s == pytest.approx(600, rel=0.02)
    assert codes(row) == ["taken-out", "wavers"]
