"""A first `athlete.toml` says what files know, and can be read."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

import generate
from build import imported, journal, leg
from taperback.importer.home import Home
from taperback.importer.model import Imported
from taperback.journal.athlete import read_athlete
from taperback.proposals.athlete_toml import first_athlete
from taperback.proposals.propose import propose

SAMPLE = Path(generate.__file__).parent / "tove"
HOME = {"start_lat": 40.0, "start_lon": -8.0, "zone": "Europe/Lisbon"}


def first_file(files: Imported, name: str, zone: str = "Europe/Lisbon") -> str:
    """What a first `athlete.toml` says where only files are there."""
    book = replace(journal(), athlete=first_athlete(files.legs, name, Home(zone)))
    return propose(files, replace(book, races=book.races.iloc[:0])).athlete_toml


def test_a_first_athlete_file_can_be_read(tmp_path: Path):
    legs = [leg(k, **HOME, file_thresholds={"max_heart_rate_bpm": 188.0}) for k in range(-20, 0)]
    text = first_file(imported(legs), 'Ada "A"')
    (tmp_path / "athlete.toml").write_text(text, encoding="utf-8")
    athlete, notices = read_athlete(tmp_path)
    assert (athlete.name, athlete.home_zone, athlete.sports) == (
        'Ada "A"',
        "Europe/Lisbon",
        ("running",),
    )
    assert notices == [] and athlete.thresholds == ()
    assert text.count("# max_heart_rate_bpm = 188") == 1


@pytest.mark.parametrize(
    ("folder", "name"),
    [
        ("a\udcffb", r"a\udcffb"),  # a byte of no encoding, as the system tells it
        ("two\nlines", r"two\nlines"),
        ('\x00\x1b\x7f\u2028"\\', r"""\x00\x1b\x7f\u2028"\\"""[:-1]),
    ],
)
def test_a_folder_of_any_name_gives_a_file_that_can_be_read(tmp_path: Path, folder: str, name: str):
    text = first_file(imported([leg(k, **HOME) for k in range(-20, 0)]), folder)
    (tmp_path / "athlete.toml").write_bytes(text.encode())
    assert read_athlete(tmp_path)[0].name == name


def test_an_athlete_that_a_person_wrote_is_left_alone(sample):
    assert propose(*sample).athlete_toml == ""


def test_thresholds_that_efforts_let_estimate_are_dated_remarks(sample, truth, tmp_path: Path):
    text = first_file(sample[0], "Tove", sample[1].athlete.home_zone)
    (tmp_path / "athlete.toml").write_text(text, encoding="utf-8")
    athlete, notices = read_athlete(tmp_path)
    assert notices == [] and athlete.thresholds == ()
    told = re.findall(r"^#   (\S+), running: critical_speed_mps = ([\d.]+)$", text, re.MULTILINE)
    days = [found["date"] - timedelta(days=15) for found in truth]
    assert [day for day, _ in told] == [one.isoformat() for one in days]
    planted = [
        limit.value
        for limit in read_athlete(SAMPLE)[0].thresholds
        if (limit.sport, limit.name) == ("running", "critical_speed_mps")
    ]
    for _, speed in told:
        assert 0.9 * min(planted) < float(speed) < 1.02 * max(planted), "near the truth, or low"
