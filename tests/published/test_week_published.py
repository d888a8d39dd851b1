"""Race-week measures against figures from outside the project."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from build import HOME, as_race, habit, imported, journal, leg, one_race, one_window, race, trip
from journal.test_expected import journal as results
from published.ledger import library
from taperback.common.geodesy import great_circle_m
from taperback.common.published import PUBLISHED
from taperback.common.quantities import show
from taperback.raceweek.factors.travel import travel
from taperback.raceweek.factors.volume import volume
from taperback.raceweek.result.outcome import outcomes
from taperback.raceweek.travel.body_clock import body_clock_lag_h
from taperback.raceweek.travel.whereabouts import zones_between_h
from taperback.raceweek.window.calendar import windows

AREA = "measures"
PRACTICE = "common practice, no source"


def test_a_week_of_11_h_cut_to_6_5_h_is_41_percent(outside):
    legs = [*habit(11 / 7), *(leg(k, hours=6.5 / 6) for k in range(-7, -1)), leg(0)]
    found = {one.name: one.value for one in volume(one_race(legs))}
    assert show("volume_cut", found["volume_cut"]) == "41%"
    source = "a normal week of 10-12 h becomes 6-7 h in the final week"
    outside("volume cut, middle of both", 0.41, found["volume_cut"], 0.005, source, PRACTICE)


def test_a_10_km_run_shortened_to_8_is_a_cut_of_a_fifth(outside):
    legs = [*habit(50 / 60), *(leg(k, hours=40 / 60) for k in range(-7, 0)), leg(0)]
    found = {one.name: one.value for one in volume(one_race(legs))}
    source = "a 10 km run becomes 8 km, 50 min becomes 40"
    outside("volume cut of shortened easy runs", 0.20, found["volume_cut"], 1e-9, source, PRACTICE)


PLACES = st.tuples(st.floats(-89, 89), st.floats(-180, 180))


@settings(max_examples=100, deadline=None)
@given(start=PLACES, end=PLACES)
def test_great_circle_is_within_its_stated_error_of_the_ellipsoid(start, end):
    """Geodesics on WGS84 by geographiclib (Karney 2013, J Geodesy 87:43-55)."""
    ellipsoid = Geodesic.WGS84.Inverse(*start, *end)["s12"]
    sphere = float(great_circle_m(*start, *end))
    assert ellipsoid == pytest.approx(sphere, rel=0.0056, abs=1.0)


def test_great_circle_against_geographiclib(outside):
    rng = np.random.default_rng(8)
    lat = np.degrees(np.arcsin(rng.uniform(-1, 1, (2, 2000))))
    lon = rng.uniform(-180, 180, (2, 2000))
    sphere = great_circle_m(lat[0], lon[0], lat[1], lon[1])
    pairs = zip(lat[0], lon[0], lat[1], lon[1], strict=True)
    ellipsoid = np.array([Geodesic.WGS84.Inverse(*map(float, pair))["s12"] for pair in pairs])
    worst = float(np.abs(sphere / ellipsoid - 1).max())
    source = library(
        "geographiclib", "2,000 pairs over the Earth (Karney 2013, J Geodesy 87:43-55)"
    )
    measure = "great circle, largest relative error"
    outside(measure, 0, worst, 0.0056, source, "reference library")


@pytest.mark.parametrize(
    ("measure", "places", "metres", "tolerance", "source", "status"),
    [
        (
            "great circle from (36.12, -86.67) to (33.94, -118.40) on a sphere of 6371 km",
            (36.12, -86.67, 33.94, -118.40),
            2886444.4,
            1.0,
            "worked example of the haversine formula",
            "from memory",
        ),
        (
            "great circle from (36.12, -86.67) to (33.94, -118.40) for the ellipsoid's length",
            (36.12, -86.67, 33.94, -118.40),
            2892776.957,
            0.0056 * 2892776.957,
            "WGS84 ellipsoid, geographiclib",
            "recomputed",
        ),
        (
            "great circle from (40.6, -73.8) to (51.6, -0.5) for the ellipsoid's length",
            (40.6, -73.8, 51.6, -0.5),
            5551759.400,
            0.0056 * 5551759.400,
            "WGS84 ellipsoid, an example that geodesic programs are shown with",
            "from memory",
        ),
        (
            "great circle from Flinders Peak to Buninyong for the ellipsoid's length",
            (-37.95103341666667, 144.42486788888888, -37.65282113888889, 143.92649552777777),
            54972.271,
            0.0056 * 54972.271,
            "GRS80 ellipsoid, geodetic manual of Australia",
            "recomputed",
        ),
    ],
    ids=["sphere", "ellipsoid", "ocean", "peaks"],
)
def test_great_circle_of_examples(outside, measure, places, metres, tolerance, source, status):
    ours = float(great_circle_m(*places))
    if "sphere" in measure:
        ours *= 6371 / 6371.0088
    outside(measure, metres, ours, tolerance, source, status, "m")


def test_travel_distance_against_the_ellipsoid(outside):
    home = [leg(k, start_lat=40.0, start_lon=-8.0, zone=HOME) for k in range(-56, -5)]
    there = leg(0, start_lat=35.7, start_lon=139.7, zone="Asia/Tokyo")
    found = one_race([*home, there]).there.distance_km  # told in steps of 50 km
    ellipsoid = Geodesic.WGS84.Inverse(40.0, -8.0, 35.7, 139.7)["s12"] / 1000
    measure = "travel distance of a race, 40 N 8 W to 35.7 N 139.7 E"
    source, room = library("geographiclib", "WGS84"), 0.0056 * ellipsoid
    outside(measure, ellipsoid, found, room, source, "reference library", "km")


ZONES = (
    "America/Los_Angeles",
    "America/St_Johns",
    "Europe/London",
    "Asia/Kolkata",
    "Asia/Kathmandu",
    "Australia/Lord_Howe",
    "Pacific/Kiritimati",
)


@settings(max_examples=100, deadline=None)
@given(
    home=st.sampled_from(ZONES),
    away=st.sampled_from(ZONES),
    day=st.dates(date(2015, 1, 1), date(2035, 12, 31)),
)
def test_zone_offsets_against_zoneinfo(home, away, day):
    """The IANA database through Python's own zoneinfo, at noon UTC of the race date."""
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    offsets = [noon.astimezone(ZoneInfo(zone)).utcoffset() for zone in (away, home)]
    assert zones_between_h(home, away, day) == (offsets[0] - offsets[1]).total_seconds() / 3600


@pytest.mark.parametrize(
    ("day", "zones"), [(date(2024, 3, 15), 4.0), (date(2024, 7, 1), 5.0), (date(2024, 11, 1), 4.0)]
)
def test_zones_crossed_follow_both_clocks_through_the_year(outside, day, zones):
    # From New York to London: the two change to summer time weeks apart.
    ours = zones_between_h("America/New_York", "Europe/London", day)
    measure = f"zones crossed, New York to London, {day:%d %B %Y}"
    source = "IANA time zone database: the two change their clocks on different Sundays"
    outside(measure, zones, ours, 0, source, "published", "h")


@pytest.mark.parametrize(("zones", "minutes"), [(9.0, 57), (-9.0, 92)])
def test_body_clock_rates(outside, zones, minutes):
    shifts = [body_clock_lag_h(zones, day) - body_clock_lag_h(zones, day + 1) for day in range(5)]
    assert np.ptp(shifts) == pytest.approx(0, abs=1e-9)
    way = "eastward" if zones > 0 else "westward"
    measure = f"how fast the body clock follows {way}"
    source = "Eastman and Burgess 2009, quoted second-hand"
    outside(measure, minutes, 60 * shifts[0], 1e-6, source, "from memory", "min a day")


def test_about_one_zone_a_day(outside):
    rates = PUBLISHED.travel
    east, west = rates.body_clock_east_h_per_day.value, rates.body_clock_west_h_per_day.value
    assert east < 1.0 < west
    left = body_clock_lag_h(6.0, 4)
    source = "rule of thumb, about one zone a day, give or take half a zone"
    outside("body clock behind, 6 zones and 4 days", 2.0, left, 0.5, source, "from memory", "h")


@pytest.mark.parametrize(("zones", "said"), [("Europe/Athens", True), ("Asia/Dubai", False)])
def test_jet_lag_is_told_from_three_zones(outside, zones, said):
    window = one_window([], journal(trips=[trip(-1, -1, zones)]))
    lag = {one.name: one for one in travel(as_race(window))}["body_clock_lag_h"]
    assert ("travel and not jet lag" in lag.basis) is said
    crossed = zones_between_h(HOME, zones, window.day0)
    ours = "travel" if "travel and not jet lag" in lag.basis else "jet lag"
    source = "three zones or more: Roach and Sargent 2019, doi 10.3389/fphys.2019.00927"
    measure = f"what {crossed:g} zones are called"
    outside(measure, "jet lag" if crossed >= 3 else "travel", ours, 0, source, "published")


def test_normal_scores_against_scipy(outside):
    # Place p of n as the normal quantile of 1 - (p - 1/2) / n.
    rows = [race(-100 * k, place=float(p), field_size=120.0) for k, p in enumerate((3, 40, 90))]
    book = journal(*rows)
    found = [result.value for result, _ in outcomes(windows(imported([]), book), book.races)]
    scores = norm.ppf(1 - (book.races["place"] - 0.5) / 120)
    worst = float(np.abs(found - 2.5 * (scores - np.median(scores))).max())
    measure = "results by place as normal scores, largest error"
    outside(measure, 0, worst, 1e-9, library("scipy", "stats.norm.ppf"), "reference library", "%")


def test_a_half_marathon_from_ten_kilometres(outside, tmp_path):
    book = results(tmp_path, "2030-05-01,A,run,10 km,40:00,,,", "2030-07-01,B,run,21.1 km,,,,")
    source = "Riegel 1981, Am Sci 69:285-290: time grows with distance to the power 1.06"
    measure = "half marathon expected of a runner with 40:00 over 10 km"
    told = float(book.races["expected_time_s"].iloc[1])
    outside(measure, 2400 * 2.11**1.06, told, 0.5, source, "published", "s")
