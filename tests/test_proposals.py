"""What files propose for a journal, and what they do not."""

from __future__ import annotations

import re
import shutil
import tomllib
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

import generate
from build import day, habit, imported, journal, leg, multisport, race, trip
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.journal.athlete import read_athlete
from taperback.journal.load import read_journal
from taperback.journal.model import Journal
from taperback.proposals import athlete_toml, propose

SAMPLE = Path(generate.__file__).parent
TRIATHLON = (("swimming", 0.45), ("transition", 0.02), ("cycling", 1.1), ("running", 0.7))
METRES = {"swimming": 1500.0, "cycling": 39_000.0, "running": 10_200.0, "transition": 100.0}
NOTHING = replace(journal(), races=journal().races.iloc[:0])


def triathlon(when: int, **metres: float):
    sizes = METRES | metres
    return [replace(part, distance_m=sizes[part.sport]) for part in multisport(when, *TRIATHLON)]


def races(legs, book: Journal = NOTHING):
    return propose(imported(legs), book).races


def test_a_triathlon_in_one_file_is_proposed_with_its_evidence():
    assert races([*habit(), *triathlon(0)]) == (
        {
            "date": day(0).isoformat(),
            "sports": "triathlon",
            "distance": "olympic",
            "proposed": "triathlon of 2:16:12 in multi0.fit",
        },
    )


def test_a_triathlon_in_one_file_a_sport_is_proposed():
    parts = [
        replace(part, file=f"{part.sport}.fit", digest=part.sport, leg_index=0, legs_in_file=1)
        for part in triathlon(0)
        if part.sport != "transition"
    ]
    (row,) = races([*habit(), *parts])
    assert row["proposed"] == "triathlon of 2:16:12 in swimming.fit and 2 more"


def test_a_day_of_three_sports_far_apart_is_training():
    apart = [leg(0, "swimming", 0.5, at=6), leg(0, "cycling", 1.2, at=12), leg(0, at=18)]
    sized = [replace(part, distance_m=METRES[part.sport]) for part in apart]
    assert races([*habit(), *sized]) == ()


def test_a_brick_and_an_odd_distance_are_no_races():
    brick = multisport(0, ("cycling", 1.0), ("transition", 0.05), ("running", 0.4))
    assert races([*habit(), *brick, *triathlon(-9, cycling=65_000.0)]) == ()


def run(when: int, metres: float, speed_mps: float):
    return leg(when, hours=metres / speed_mps / 3600, distance_m=metres, at=15)


def test_a_run_over_a_racing_distance_far_from_the_habit_is_proposed():
    (row,) = races([*habit(), run(0, 10_080, 3.6)])
    assert (row["sports"], row["distance"]) == ("running", "10 km")
    assert row["proposed"].startswith("10 km in 0:46:40, 20% faster than the usual run")


@pytest.mark.parametrize(
    ("metres", "speed_mps"),
    [(10_080, 3.1), (9_500, 3.6), (10_500, 3.6)],
    ids=["as fast as usual", "too short", "too long"],
)
def test_other_runs_are_not_proposed(metres, speed_mps):
    assert races([*habit(), run(0, metres, speed_mps)]) == ()


def test_of_two_fast_runs_only_the_fastest_as_long_is_a_race():
    (row,) = races([*habit(), run(0, 10_000, 3.6), run(-9, 10_000, 3.5)])
    assert row["date"] == day(0).isoformat()


def test_days_that_the_journal_tells_of_are_left_alone():
    book = journal(race(0), nights={-1: 7.0})
    found = propose(imported([*habit(), *triathlon(0)], {-1: 6.5, -2: 7.25}), book)
    assert found.races == ()
    assert found.nights == (
        {"date": day(-2).isoformat(), "sleep_h": "7.25", "proposed": "asleep by sleep.fit"},
    )


HOME = {"start_lat": 40.0, "start_lon": -8.0, "zone": "Europe/Lisbon"}
AWAY = {"start_lat": 35.7, "start_lon": 139.7, "zone": "Asia/Tokyo"}
ABROAD = [*(leg(k, **HOME) for k in range(-56, -4)), *(leg(k, **AWAY) for k in (-4, -2, 0))]


def test_a_trip_to_a_race_is_proposed_once_and_not_over_a_typed_one():
    (row,) = propose(imported(ABROAD), journal(race(0))).trips
    assert (row["depart_date"], row["arrive_date"]) == (day(-5).isoformat(), day(-4).isoformat())
    assert (row["from_zone"], row["to_zone"]) == ("Europe/Lisbon", "Asia/Tokyo")
    typed = journal(race(0), trips=[trip(-5, -4, "Asia/Tokyo")])
    assert propose(imported(ABROAD), typed).trips == ()


def test_a_first_athlete_file_can_be_read(tmp_path: Path):
    legs = [leg(k, **HOME, file_thresholds={"max_heart_rate_bpm": 188.0}) for k in range(-20, 0)]
    text = athlete_toml(imported(legs), 'Ada "A"')
    (tmp_path / "athlete.toml").write_text(text, encoding="utf-8")
    athlete, notices = read_athlete(tmp_path)
    assert (athlete.name, athlete.home_zone, athlete.sports) == (
        'Ada "A"',
        "Europe/Lisbon",
        ("running",),
    )
    assert notices == [] and athlete.thresholds == ()
    assert text.count("# max_heart_rate_bpm = 188") == 1


def test_where_no_file_has_a_position_no_home_is_made_up():
    assert athlete_toml(imported(habit()), "Ada") == ""


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> tuple[Imported, Journal]:
    folder = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE / "tove", folder, ignore=shutil.ignore_patterns("*.csv", ".taperback"))
    book = read_journal(folder)
    return read_folder(folder, book.athlete.home_zone, workers=1), book


def truth() -> list[dict]:
    return tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))["races"]


def test_from_the_samples_files_alone_all_races_and_the_trip_are_proposed(sample):
    found = propose(*sample)
    assert [row["date"] for row in found.races] == [race["date"].isoformat() for race in truth()]
    assert {row["distance"] for row in found.races} == {"olympic"}
    (row,) = found.trips
    assert (row["arrive_date"], row["to_zone"]) == ("2025-09-04", "Asia/Dhaka")
    assert len(found.nights) == len(sample[0].nights)


def test_thresholds_that_efforts_let_estimate_are_dated_remarks(sample, tmp_path: Path):
    text = athlete_toml(sample[0], "Tove")
    (tmp_path / "athlete.toml").write_text(text, encoding="utf-8")
    athlete, notices = read_athlete(tmp_path)
    assert notices == [] and athlete.thresholds == ()
    told = re.findall(r"^#   (\S+), running: critical_speed_mps = ([\d.]+)$", text, re.MULTILINE)
    days = [found["date"] - timedelta(days=15) for found in truth()]
    assert [day for day, _ in told] == [one.isoformat() for one in days]
    planted = [
        limit.value
        for limit in read_athlete(SAMPLE / "tove")[0].thresholds
        if (limit.sport, limit.name) == ("running", "critical_speed_mps")
    ]
    for _, speed in told:
        assert 0.9 * min(planted) < float(speed) < 1.02 * max(planted), "near the truth, or low"
