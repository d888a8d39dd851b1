"""What is planted in the invented squad comes out again, and the journals load without a remark."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import generate
from squad_athletes import NAMED, NOISE_PCT, PERSONAL_SD, SHARED, Member, draw_squad
from squad_folder import assessed, shared_assessed, write_squad
from taperback.evidence.effects import EFFECT_UNITS
from taperback.evidence.model import Races
from taperback.evidence.priors import FACTORS
from taperback.evidence.squad import assess_squad
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.journal.load import read_journal
from taperback.journal.model import Journal
from taperback.raceweek.model import RaceWeek
from taperback.raceweek.table import race_weeks
from truth import race_truth

SEED = 5
SHOWN = ("ivo", "zuri", "odo")
"""One who panics, one who only rides, one whose nights are thin."""


@pytest.fixture(scope="module")
def squad(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three of the squad with two races each."""
    into = tmp_path_factory.mktemp("squad")
    members = draw_squad(12, seed=SEED, races=2)
    write_squad(into, [one for one in members if one.profile.folder in SHOWN])
    return into


@pytest.fixture(scope="module")
def truth(squad: Path) -> dict[str, Any]:
    return tomllib.loads((squad / "TRUTH.toml").read_text(encoding="utf-8"))


Read = dict[str, tuple[Journal, Imported, dict[Any, RaceWeek]]]


@pytest.fixture(scope="module")
def read(squad: Path) -> Read:
    """Journal, files and race weeks by date of each athlete."""
    found = {}
    for folder in SHOWN:
        journal = read_journal(squad / folder)
        imported = read_folder(squad / folder, journal.athlete.home_zone, workers=1)
        weeks = {week.day0: week for week in race_weeks(imported, journal)}
        found[folder] = (journal, imported, weeks)
    return found


def test_nothing_in_journal_or_files_calls_for_a_remark(read: Read) -> None:
    for journal, imported, _ in read.values():
        assert (*journal.notices, *imported.notices) == ()


def test_every_planted_measure_is_recovered(read: Read, truth: dict[str, Any]) -> None:
    tolerance = truth["tolerance"]
    seen = 0
    for athlete in truth["athletes"]:
        weeks = read[athlete["folder"]][2]
        for race in athlete["races"]:
            for name, planted in race.items():
                if isinstance(planted, float):
                    found = weeks[race["date"]].measures[name]
                    assert found.known, (athlete["folder"], name, found.reason)
                    within = tolerance.get(name, tolerance["default"])
                    assert found.value == pytest.approx(planted, abs=within), name
                    seen += 1
    assert seen > 80


def test_panic_is_flagged_where_it_was_planted_and_nowhere_else(
    read: Read, truth: dict[str, Any]
) -> None:
    panics = 0
    for athlete in truth["athletes"]:
        weeks = read[athlete["folder"]][2]
        for race in athlete["races"]:
            flags = weeks[race["date"]].flags
            found = {
                (one.day, one.rule, one.session.split(" of ")[1].split(",")[0]) for one in flags
            }
            assert found == {(one["day"], one["rule"], one["sport"]) for one in race["flags"]}
            assert bool(flags) == (race["date"] in athlete["panics"])
            panics += bool(flags)
    assert panics == 1


def test_what_the_journal_does_not_tell_is_unknown(read: Read, truth: dict[str, Any]) -> None:
    thin = next(one for one in truth["athletes"] if one["folder"] == "odo")
    assert thin["not_told"] == ["sleep_change_h", "last_three_h"]
    for race in thin["races"]:
        measures = read["odo"][2][race["date"]].measures
        assert [name for name in thin["not_told"] if measures[name].known] == []


def test_the_race_to_come_has_neither_files_nor_result(read: Read) -> None:
    for _, _, weeks in read.values():
        last = list(weeks.values())[-1]
        assert not last.race_legs
        assert not last.measures["result_pct"].known


def test_an_athlete_without_results_trained_for_all_that(tmp_path: Path) -> None:
    member = draw_squad(12, seed=SEED, races=1)[11]
    write_squad(tmp_path, [member])
    athlete = tomllib.loads((tmp_path / "TRUTH.toml").read_text(encoding="utf-8"))["athletes"][0]
    assert athlete["results"] == 0
    assert "result_pct" not in athlete["races"][0]
    journal = read_journal(tmp_path / "linnea")
    assert journal.notices == ()
    assert journal.races["finish_time_s"].isna().all()
    assert len(list((tmp_path / "linnea").rglob("*.fit"))) > 40


def test_the_twelve_are_as_different_as_a_squad_is() -> None:
    members = draw_squad(12, seed=SEED)
    results = [len(one.scenario.races) for one in members if one.profile.told]
    assert set(results) >= {3, 4, 5, 6, 8}
    assert results.count(3) >= 2
    assert [one.profile.told for one in members].count(False) == 1
    assert sum(any(race.panic for race in one.scenario.races) for one in members) == 2
    kinds = Counter(one.profile.discipline for one in members)
    assert kinds == {"triathlon": 10, "running": 1, "cycling": 1}
    assert len({one.profile.zone for one in members}) == 12
    assert "<" in NAMED[0].name and "'" in NAMED[0].name and "ö" in NAMED[0].name
    assert "<" in members[0].scenario.races[0].name


def test_a_hostile_name_arrives_as_it_was_given(tmp_path: Path) -> None:
    member = draw_squad(1, seed=SEED, races=1)[0]
    write_squad(tmp_path, [member])
    journal = read_journal(tmp_path / "joerun")
    assert journal.athlete.name == NAMED[0].name
    assert journal.races["name"].iloc[0] == member.scenario.races[0].name


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others(tmp_path: Path) -> None:
    for name, seed in (("a", 1), ("b", 1), ("c", 2)):
        write_squad(tmp_path / name, draw_squad(1, seed=seed, races=1))
    first, again, other = (contents(tmp_path / name) for name in "abc")
    assert first == again
    assert first["TRUTH.toml"] != other["TRUTH.toml"]


def contents(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def test_a_larger_squad_begins_with_the_smaller_one() -> None:
    larger = draw_squad(40, seed=SEED)
    assert larger[:12] == draw_squad(12, seed=SEED)
    assert len({one.profile.folder for one in larger}) == 40
    assert {len(one.scenario.races) for one in larger[12:]} == {3, 4}


def test_all_have_as_many_races_as_asked_for() -> None:
    assert {len(one.scenario.races) for one in draw_squad(20, seed=SEED, races=3)} == {3}


def test_the_shared_effects_are_the_mean_of_many_athletes() -> None:
    """The stated means against 2,000 drawn athletes, within four standard errors."""
    drawn = [assessed(one.scenario.effects) for one in draw_squad(2000, seed=SEED, races=1)]
    for name, stated in shared_assessed().items():
        values = [one[name] for one in drawn]
        mean = sum(values) / len(values)
        spread = (sum((value - mean) ** 2 for value in values) / len(values)) ** 0.5
        assert mean == pytest.approx(stated, abs=4 * spread / len(values) ** 0.5), name


def test_the_evidence_can_find_what_is_planted() -> None:
    """Over fifteen squads, at least four in five 90% intervals hold what was planted."""
    stated = shared_assessed()
    shared, own = Counter[str](), Counter[str]()
    seeds = range(1, 16)
    athletes = 0
    for seed in seeds:
        members = draw_squad(12, seed=seed)
        evidence = assess_squad({one.profile.folder: races_of(one) for one in members}, mixed=False)
        athletes += len(members)
        for factor in evidence.factors:
            name = factor.factor
            shared[name] += factor.shared.low <= stated[name] <= factor.shared.high
            for one in members:
                planted = assessed(one.scenario.effects)[name]
                found = factor.athletes[one.profile.folder].together
                own[name] += found.low <= planted <= found.high
    for name in stated:
        assert shared[name] >= 0.8 * len(seeds), name
        assert own[name] >= 0.85 * athletes, name


def races_of(member: Member) -> Races:
    """What the plan says of an athlete's races, as the evidence takes it."""
    rng = np.random.default_rng(member.scenario.seed)
    truths = [race_truth(member.scenario, race, rng).values for race in member.scenario.races]
    told = truths if member.profile.told else []
    exposures = np.array([[values[name] for name in FACTORS] for values in told])
    exposures = exposures.reshape(-1, len(FACTORS))
    if member.profile.nights_every > 1:
        exposures[:, FACTORS.index("sleep_change_h")] = np.nan
    return exposures, np.array([values["result_pct"] for values in told])


def test_every_athlete_has_flown_to_a_race() -> None:
    for member in draw_squad(12, seed=SEED):
        trips = [race.trip for race in member.scenario.races if race.trip]
        assert trips, member.profile.folder
        assert all(trip.zone != member.scenario.home_zone for trip in trips)


def test_effects_are_told_per_the_units_of_the_evidence() -> None:
    told = assessed(SHARED)
    assert told.keys() == EFFECT_UNITS.keys()
    per_hour = (SHARED.per_sleep_hour_pct, SHARED.per_lag_hour_pct)
    assert (told["sleep_change_h"], told["body_clock_lag_h"]) == per_hour
    assert told["intensity_kept"] == pytest.approx(0.1 * SHARED.per_intensity_kept_pct)
    assert told["volume_cut"] == pytest.approx((SHARED.gain_pct(0.5) - SHARED.gain_pct(0.1)) / 4)
    assert PERSONAL_SD.keys() == vars(SHARED).keys()
    assert NOISE_PCT > 0


def run_generator(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, generate.__file__, *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_a_directory_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept")
    ran = run_generator("--squad", str(tmp_path))
    assert ran.returncode == 2
    assert "is not empty; name a new directory" in ran.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("wrong", [("--athletes", "0"), ("--races", "0"), ("--seed", "-1")])
def test_numbers_that_make_no_squad_are_refused(tmp_path: Path, wrong: tuple[str, str]) -> None:
    ran = run_generator("--squad", str(tmp_path / "new"), *wrong)
    assert ran.returncode == 2
    assert "--athletes and --races count from 1, --seed from 0" in ran.stderr
    assert not (tmp_path / "new").exists()


def test_the_command_writes_the_squad_that_was_asked_for(tmp_path: Path) -> None:
    ran = run_generator("--squad", str(tmp_path), "--athletes", "2", "--races", "1", "--seed", "3")
    assert ran.returncode == 0, ran.stderr
    write_squad(tmp_path / "again", draw_squad(2, seed=3, races=1))
    again = contents(tmp_path / "again")
    made = contents(tmp_path)
    assert {name: data for name, data in made.items() if not name.startswith("again/")} == again
