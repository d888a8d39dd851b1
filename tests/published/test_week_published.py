"""Race-week measures against figures from outside the project."""

from __future__ import annotations

from datetime import UTC, date, datetime
from statistics import NormalDist
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from build import HOME, habit, imported, journal, leg, one_window, race, trip
from taperback.geodesy import great_circle_m
from taperback.quantities import show
from taperback.raceweek.body_clock import body_clock_lag_h
from taperback.raceweek.calendar import windows
from taperback.raceweek.outcome import outcomes
from taperback.raceweek.travel import travel
from taperback.raceweek.volume import volume
from taperback.raceweek.whereabouts import zones_between_h
from taperback.resources import shared_toml


def test_a_week_of_11_h_cut_to_6_5_h_is_41_percent():
    """Common practice, no source: a normal week of 10-12 h becomes 6-7 h in the final week."""
    legs = [*habit(11 / 7), *(leg(k, hours=6.5 / 6) for k in range(-7, -1)), leg(0)]
    found = {one.name: one.value for one in volume(one_window(legs))}
    assert show("volume_cut", found["volume_cut"]) == "41%"


PLACES = st.tuples(st.floats(-89, 89), st.floats(-180, 180))


@settings(max_examples=100, deadline=None)
@given(start=PLACES, end=PLACES)
def test_great_circle_is_within_its_stated_error_of_the_ellipsoid(start, end):
    """Geodesics on WGS84 by geographiclib (Karney 2013, J Geodesy 87:43-55)."""
    ellipsoid = Geodesic.WGS84.Inverse(*start, *end)["s12"]
    sphere = float(great_circle_m(*start, *end))
    assert ellipsoid == pytest.approx(sphere, rel=0.0056, abs=1.0)


def test_great_circle_of_a_printed_example():
    """Haversine, R = 6371 km, (36.12, -86.67) to (33.94, -118.40): 2886.4444 km (from memory)."""
    metres = float(great_circle_m(36.12, -86.67, 33.94, -118.40))
    assert metres * 6371 / 6371.0088 == pytest.approx(2886.4444e3, abs=1.0)


def test_travel_distance_against_the_ellipsoid():
    """geographiclib: 40 N 8 W to 35.7 N 139.7 E."""
    home = [leg(k, start_lat=40.0, start_lon=-8.0, zone=HOME) for k in range(-56, -5)]
    there = leg(0, start_lat=35.7, start_lon=139.7, zone="Asia/Tokyo")
    found = {one.name: one.value for one in travel(one_window([*home, there]))}
    ellipsoid = Geodesic.WGS84.Inverse(40.0, -8.0, 35.7, 139.7)["s12"] / 1000
    assert found["travel_km"] == pytest.approx(ellipsoid, rel=0.0056)


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


@pytest.mark.parametrize(("zones", "minutes"), [(9.0, 57), (-9.0, 92)])
def test_body_clock_rates(zones, minutes):
    """57 min a day eastward, 92 min westward: Eastman and Burgess 2009 (from memory)."""
    shifts = [body_clock_lag_h(zones, day) - body_clock_lag_h(zones, day + 1) for day in range(5)]
    assert np.array(shifts) * 60 == pytest.approx(minutes)


def test_about_one_zone_a_day():
    """The rule of thumb, one zone a day (from memory), lies between the two rates."""
    rates = shared_toml("published.toml")["travel"]
    east, west = (rates[f"body_clock_{way}_h_per_day"]["value"] for way in ("east", "west"))
    assert east < 1.0 < west


@pytest.mark.parametrize(("zones", "said"), [("Europe/Athens", True), ("Asia/Dubai", False)])
def test_jet_lag_is_told_from_three_zones(zones, said):
    """Three zones or more: Roach and Sargent 2019, doi 10.3389/fphys.2019.00927 (confirmed)."""
    window = one_window([], journal(trips=[trip(-1, -1, zones)]))
    lag = {one.name: one for one in travel(window)}["body_clock_lag_h"]
    assert ("travel and not jet lag" in lag.basis) is said


def test_normal_scores_against_scipy():
    """Place p of n as the normal quantile of 1 - (p - 1/2) / n; SciPy's quantiles."""
    rows = [race(-100 * k, place=float(p), field_size=120.0) for k, p in enumerate((3, 40, 90))]
    book = journal(*rows)
    found = [result.value for result, _ in outcomes(windows(imported([]), book), book.races)]
    scores = norm.ppf(1 - (book.races["place"] - 0.5) / 120)
    assert found == pytest.approx(list(2.5 * (scores - np.median(scores))))
    assert NormalDist().inv_cdf(0.975) == pytest.approx(1.959964, abs=1e-6)
