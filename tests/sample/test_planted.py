"""What was planted in the sample comes out again, within the tolerance that TRUTH.toml states."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from taperback.importer.folder import read_folder
from taperback.journal.load import read_journal
from taperback.raceweek.ahead import part_ahead
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.result.doubts import last_recorded_day
from taperback.raceweek.table import race_weeks
from taperback.raceweek.window.typed_legs import with_sessions

SAMPLE = Path(__file__).parents[2] / "sample_data"
TRUTH = tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))
PLANTED = [
    (race["name"], measure, value)
    for race in TRUTH["races"]
    for measure, value in race.items()
    if isinstance(value, float)
]


@pytest.fixture(scope="module")
def weeks(tmp_path_factory: pytest.TempPathFactory) -> dict[str, RaceWeek]:
    """The sample's race weeks by name, read from a copy so that the sample stays as it is."""
    folder = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE / "tove", folder, ignore=shutil.ignore_patterns(".taperback"))
    journal = read_journal(folder)
    imported = with_sessions(read_folder(folder, journal.athlete.home_zone, workers=1), journal)
    past, _ = part_ahead(journal, last_recorded_day(imported))
    return {week.name: week for week in race_weeks(imported, past)}


@pytest.mark.parametrize(("name", "measure", "planted"), PLANTED)
def test_every_planted_measure_is_recovered(
    weeks: dict[str, RaceWeek], name: str, measure: str, planted: float
) -> None:
    tolerance = TRUTH["tolerance"].get(measure, TRUTH["tolerance"]["default"])
    found = weeks[name].measures[measure]
    assert found.known, found.reason
    assert found.value == pytest.approx(planted, abs=tolerance)


@pytest.mark.parametrize("truth", TRUTH["races"], ids=lambda race: race["name"])
def test_the_planted_sessions_are_flagged_and_no_others(
    weeks: dict[str, RaceWeek], truth: dict[str, Any]
) -> None:
    flags = weeks[truth["name"]].flags
    found = {(flag.day, flag.rule, flag.session.split(" of ")[1].split(",")[0]) for flag in flags}
    assert found == {(flag["day"], flag["rule"], flag["sport"]) for flag in truth["flags"]}


def test_repetitions_are_told_as_they_were_planned(weeks: dict[str, RaceWeek]) -> None:
    told = [str(week.measures["repetitions"].value) for week in weeks.values()]
    assert [words.split(" at ")[0] for words in told] == [f"{n} x 1 km" for n in (5, 3, 8, 3, 2)]
    kept = [week.measures["repetitions_kept"].value for week in weeks.values()]
    assert kept == pytest.approx([1.0, 0.6, 1.6, 0.6, 0.4])
    for week in weeks.values():
        assert week.measures["repetition_level_kept"].value == pytest.approx(1.0, abs=0.01)


def test_every_week_had_an_opener(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        assert str(week.measures["opener"].value).startswith("day \u22121:")


def test_no_measure_is_silently_empty(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        for measure in week.measures.values():
            assert measure.known != bool(measure.reason), measure.name
            assert not measure.known or measure.basis, measure.name


def test_each_race_is_its_own_files_and_never_training(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        assert len(week.race_legs) >= 3
        assert week.days["hours"].iloc[-1] == {}


def test_every_day_of_the_sample_is_recorded_or_rest(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        assert set(week.days["state"]) == {"recorded", "rest"}


def test_each_measure_has_a_basis_or_a_reason(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        for measured in week.measures.values():
            assert measured.known != bool(measured.reason), measured
            assert measured.basis or not measured.known, measured


def test_the_run_that_the_watch_missed_counts_as_its_file_would(weeks: dict[str, RaceWeek]) -> None:
    assert "sessions.csv" in str(weeks["Saltgrass Triathlon"].measures["baseline_weekly_h"].legs)


def test_everyday_life_is_told_apart_and_does_not_count(weeks: dict[str, RaceWeek]) -> None:
    # 25 minutes of commute and 45 of strength a week
    other = [weeks[race["name"]].measures["other_h"].value for race in TRUTH["races"]]
    assert other == pytest.approx([70 / 60, 70 / 60, 0.0, 0.0, 0.0], abs=0.02)


def test_every_race_has_a_diary_of_its_last_three_weeks(weeks: dict[str, RaceWeek]) -> None:
    for week in weeks.values():
        assert len(week.diary) == 22
        assert week.measures["hooper_index"].caveat == ""
        assert week.measures["usual_resting_hr_bpm"].value == pytest.approx(48, abs=1.5)
    changes = {name: week.number("resting_hr_change_bpm") for name, week in weeks.items()}
    assert max(changes, key=lambda name: changes[name] or 0.0) == "Gullcliff Triathlon"
