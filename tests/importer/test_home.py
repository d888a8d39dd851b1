"""Home is where most legs start; without positions it is a guess that says so."""

from __future__ import annotations

import pytest

from build import DAY0, leg
from taperback.importer import home as home_module
from taperback.importer.home import Home, likely_home

SUMMER, WINTER = DAY0, DAY0.replace(month=1)


@pytest.fixture(autouse=True)
def computer_in_lisbon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(home_module.tzlocal, "get_localzone_name", lambda: "Europe/Lisbon")


def test_most_starts_decide_and_of_two_alike_the_first_by_name():
    zones = ["Asia/Tokyo", "Europe/Oslo", "Asia/Tokyo", "Europe/Oslo", "UTC"]
    assert likely_home(leg(-k, zone=zone) for k, zone in enumerate(zones)) == Home("Asia/Tokyo")


def swim(day0, offset_h):
    return leg(0, "swimming", day0=day0, file_utc_offset_s=3600.0 * offset_h)


def test_the_clock_of_the_files_chooses_among_zones():
    home = likely_home([swim(SUMMER, 9.5), swim(WINTER, 10.5)])
    assert home.zone == "Australia/Adelaide"
    assert home.guess.endswith("one with the clock that the files have")


def test_this_computer_comes_first_where_the_clocks_agree():
    assert likely_home([swim(SUMMER, 1), swim(WINTER, 0)]).zone == "Europe/Lisbon"


def test_without_any_clock_it_is_the_zone_of_this_computer():
    assert likely_home([leg(0, "swimming")]) == Home(
        "Europe/Lisbon", "since no file has a position: the zone of this computer"
    )


def test_clocks_of_no_one_zone_are_said_to_be():
    home = likely_home([swim(SUMMER, 1), swim(SUMMER, -7)])
    assert home.zone == "Europe/Lisbon"
    assert "their clocks agree with no one zone" in home.guess


def test_a_computer_without_a_zone_is_on_utc(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(home_module.tzlocal, "get_localzone_name", lambda: None)
    assert likely_home([leg(0, "swimming")]).zone == "UTC"
