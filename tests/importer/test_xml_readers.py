"""Legs of TCX and GPX files."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from importer.xml_texts import TCX_HEAD, gpx, tcx, tcx_point
from taperback.common.errors import InputError
from taperback.common.quantities import SPORTS
from taperback.importer.formats.formats import claim
from taperback.importer.formats.gpx import read_gpx
from taperback.importer.formats.tcx import read_tcx
from taperback.importer.summary.samples import clean

START = datetime(2030, 5, 1, 6, 0, tzinfo=UTC)
ENTITIES = '<!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE gpx [<!ENTITY a SYSTEM "file:///etc/passwd">]>'


def test_a_ride_has_every_channel() -> None:
    (leg,) = read_tcx(tcx()).recordings
    assert (leg.sport, leg.start_utc) == ("cycling", START)
    first = leg.samples.iloc[0]
    assert first[["speed_mps", "power_w", "heart_rate_bpm", "cadence_rpm"]].tolist() == [
        10.0,
        210.0,
        130.0,
        88.0,
    ]
    assert first[["lat", "lon", "altitude_m", "distance_m"]].tolist() == [40.5, -8.2, 100.0, 0.0]
    assert (leg.total_timer_s, leg.total_distance_m, leg.pauses) == (120.0, 1200.0, ())


def test_a_silence_between_tracks_is_a_pause() -> None:
    (leg,) = read_tcx(tcx(pause=True)).recordings
    assert leg.pauses == ((START.timestamp() + 30, START.timestamp() + 90),)


def test_a_cut_file_keeps_what_stands_before_and_says_so() -> None:
    cut = (TCX_HEAD + "<Track>" + "".join(tcx_point(s) for s in range(20)) + "<Trackpo").encode()
    content = read_tcx(cut)
    assert len(content.recordings[0].samples) == 20
    assert content.remarks[0].code == "tcx-broken"


def test_a_run_has_positions_and_heart_rate() -> None:
    (leg,) = read_gpx(gpx()).recordings
    assert (leg.sport, leg.start_utc) == ("running", START)
    assert leg.samples["heart_rate_bpm"].unique().tolist() == [141.0]


@pytest.mark.parametrize(
    ("kind", "sport"),
    [
        *((sport, sport) for sport in SPORTS if sport != "other"),
        ("Rowing", "rowing"),
        ("Cross-Country Skiing", "cross_country_skiing"),
        ("Ride", "cycling"),
        ("other", "generic"),
        ("9", "running"),
        ("57", ""),
    ],
)
def test_a_word_for_a_sport_is_known_whoever_wrote_it(kind: str, sport: str) -> None:
    (leg,) = read_gpx(gpx(kind=kind)).recordings
    assert leg.sport == sport


def test_a_track_whose_times_run_backwards_does_not_end_before_it_starts() -> None:
    points = gpx().decode().split("</trkpt>")
    back = "</trkpt>".join([points[0].replace("06:00:00", "06:30:00"), *points[1:]])
    (leg,) = read_gpx(back.encode()).recordings
    assert leg.start_utc <= leg.end_utc


def test_speed_comes_from_positions_where_nothing_else_tells_it() -> None:
    (leg,) = read_gpx(gpx()).recordings
    # 3e-5 degrees of latitude on a sphere of 6371.0088 km are 3.3358 m
    assert np.nanmedian(clean(leg).speed_mps) == pytest.approx(3.3358, abs=0.02)


def test_several_tracks_are_several_legs() -> None:
    text = gpx().decode()
    track = text[text.index("<trk>") : text.index("</gpx>")]
    both = text.replace("</gpx>", track + "</gpx>")
    assert len(read_gpx(both.encode()).recordings) == 2


@pytest.mark.parametrize("lead", [b"\xef\xbb\xbf", b"\n\n  "])
def test_a_mark_or_blank_line_in_front_is_borne(lead: bytes) -> None:
    assert len(read_gpx(lead + gpx()).recordings) == 1


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (gpx(times=False), "its track points carry no time, so nothing can be measured"),
        (b"<gpx><rte></rte></gpx>", "it holds no track points; export the recorded track"),
        (ENTITIES.encode() + gpx().lstrip(), "it declares a document type"),
        (OUTSIDE.encode() + gpx().lstrip(), "it declares a document type"),
        (b"<gpx><trk>", "it is broken as XML"),
    ],
)
def test_what_cannot_be_used_says_why(data: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message):
        read_gpx(data)


def test_a_new_lap_is_no_pause_and_laps_are_kept() -> None:
    text = tcx().decode()
    middle = text.index("</Track><Track>")
    lap = '</Track></Lap><Lap StartTime="2030-05-01T06:01:00Z"><TotalTimeSeconds>60'
    two = text[:middle] + lap + "</TotalTimeSeconds><Track>" + text[middle + 15 :]
    (leg,) = read_tcx(two.encode()).recordings
    assert leg.pauses == ()
    assert leg.laps["duration_s"].tolist() == [120.0, 60.0]
    assert len(leg.samples) == 120


def test_a_lap_without_points_still_tells_its_time() -> None:
    (leg,) = read_tcx((TCX_HEAD + "</Lap></Activity></Activities></T>").encode()).recordings
    assert (leg.total_timer_s, leg.total_distance_m, len(leg.samples)) == (120.0, 1200.0, 0)


def test_a_course_is_a_plan_and_no_activity() -> None:
    plan = tcx().replace(b"Activities", b"Courses").replace(b"Activity", b"Course")
    with pytest.raises(InputError, match="it holds no activity with times"):
        read_tcx(plan)


def test_a_prefix_that_nobody_declared_is_borne() -> None:
    assert (
        read_tcx(tcx().replace(b"xmlns:x=", b"other=")).recordings[0].samples["power_w"][0] == 210
    )


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_other_encodings_are_read(encoding: str) -> None:
    text = f'<?xml version="1.0" encoding="{encoding}"?><!-- \xe9 -->{gpx().decode().lstrip()}'
    data = text.encode(encoding)
    assert claim(data).name == "gpx"
    assert len(read_gpx(data).recordings[0].samples) == 60


def test_numbers_beyond_all_measure_are_not_measured() -> None:
    odd = gpx().replace(b'lat="40.500000"', b'lat="1e300"').replace(b">141<", b">inf<")
    samples = read_gpx(odd).recordings[0].samples
    assert np.isnan(samples["lat"][0])
    assert samples["heart_rate_bpm"].isna().all()
