"""A ride on a simulator's invented map, in a season: it moves nobody."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from fit_writer import FitWriter, degrees
from importer.fit_files import START_S, add_records, session
from importer.test_folder import put
from importer.test_unread import ATHLETE, RACE, RACES, run_on
from taperback.importer.folder import read_files, read_folder
from taperback.importer.home import likely_home
from taperback.study.review import Study, review

FAR_AWAY = {"position_lat": degrees(-11.66), "position_long": degrees(166.95)}
"""An island eleven hours ahead of UTC, where the evening of one day is the next."""
EVENING_S = 14 * 3600
HOME = "Europe/Lisbon"


def ride_on(day: date, sub_sport: str) -> bytes:
    start = START_S + (day - date(2030, 5, 1)).days * 86_400 + EVENING_S
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=start)
    add_records(writer, 1800, start_s=start, **FAR_AWAY)
    session(writer, 1800, start_s=start, sport="cycling", sub_sport=sub_sport)
    return writer.bytes()


def season(ride: str) -> dict[str, bytes]:
    """A run a day near home for ten weeks, and every evening of the last three weeks a ride."""
    files = {f"{back}.fit": run_on(RACE - timedelta(days=back)) for back in range(70)}
    for back in range(1, 21):
        if ride:
            files[f"ride{back}.fit"] = ride_on(RACE - timedelta(days=back), ride)
    athlete = ATHLETE.replace(b"Etc/UTC", HOME.encode())
    return files | {"athlete.toml": athlete, "races.csv": RACES}


def reviewed(folder: Path, ride: str) -> Study:
    return review(put(folder, season(ride)), workers=1)


PLACED = ("travel_km", "travel_h", "zones_crossed", "days_since_arrival", "body_clock_lag_h")


@pytest.mark.parametrize("ride", ["virtual_activity", "indoor_cycling"])
def test_a_virtual_ride_changes_neither_home_nor_day_nor_arrival(tmp_path: Path, ride: str) -> None:
    without = reviewed(tmp_path / "without", "")
    there = reviewed(tmp_path / "with", ride)
    (before,), (after,) = without.weeks, there.weeks
    for name in PLACED:
        assert after.measures[name].value == before.measures[name].value, name
    assert likely_home(read_files(tmp_path / "with", workers=1).legs).zone == HOME
    legs = there.imported.legs
    rides = legs[legs["sport"] == "cycling"]
    assert sorted(rides["local_day"]) == [RACE - timedelta(days=k) for k in range(20, 0, -1)]
    assert after.days["state"].tolist() == before.days["state"].tolist()


def test_the_same_rides_out_of_doors_would_be_far_away(tmp_path: Path) -> None:
    legs = read_folder(put(tmp_path, season("road")), HOME, workers=1).legs
    rides = legs[legs["sport"] == "cycling"]
    assert set(rides["zone"]) == {"Pacific/Guadalcanal"}
    assert max(rides["local_day"]) == RACE
