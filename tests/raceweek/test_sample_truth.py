"""Every measure that was planted in the sample is recovered within its stated tolerance."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from taperback.importer.folder import read_folder
from taperback.journal.load import read_journal
from taperback.raceweek.table import race_weeks

SAMPLE = Path(__file__).parents[2] / "sample_data"
TRUTH = tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))
TOLERANCE = TRUTH["tolerance"]
NOT_MEASURES = {"date", "name", "flags"}
PLANTED = [
    (place, name)
    for place, truth in enumerate(TRUTH["races"])
    for name in truth.keys() - NOT_MEASURES
]


@pytest.fixture(scope="module")
def weeks():
    journal = read_journal(SAMPLE / "tove")
    return race_weeks(read_folder(SAMPLE / "tove", journal.athlete.home_zone), journal)


def test_every_race_is_there(weeks):
    assert [(week.day0, week.name) for week in weeks] == [
        (truth["date"], truth["name"]) for truth in TRUTH["races"]
    ]


@pytest.mark.parametrize(("place", "name"), sorted(PLANTED))
def test_what_was_planted_is_measured(weeks, place, name):
    measured = weeks[place].measures[name]
    assert measured.known, measured.reason
    tolerance = TOLERANCE.get(name, TOLERANCE["default"])
    assert measured.value == pytest.approx(TRUTH["races"][place][name], abs=tolerance)


def test_each_measure_rests_on_named_days_or_says_why_not(weeks):
    for week in weeks:
        for measured in week.measures.values():
            assert measured.known != bool(measured.reason), measured
            assert measured.basis or not measured.known, measured


def test_the_race_is_the_multisport_file_and_never_training(weeks):
    for week in weeks:
        assert len(week.race_legs) >= 3
        assert week.days["hours"].iloc[-1] == {}


def test_no_day_of_the_sample_is_unknown_but_for_what_was_not_recorded(weeks):
    for week in weeks:
        assert set(week.days["state"]) == {"recorded", "rest"}
