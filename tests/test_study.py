"""From a folder to an answer: the sample's planted figures come out, and nothing is invented."""

from __future__ import annotations

import json
import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

import generate
import taperback
from scenario import Effects
from taperback.cli.explain import find_race
from taperback.common.errors import InputError, UsageError
from taperback.study.review import Study
from taperback.study.to_json import to_json

SAMPLE = Path(generate.__file__).parent
TRUTH = tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE / "tove", into, ignore=shutil.ignore_patterns(".taperback"))
    return into


@pytest.fixture(scope="module")
def study(folder: Path) -> Study:
    return taperback.review(folder)


def test_an_outcome_that_there_is_not_is_refused_at_the_door(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="outcome is one of result, rpe, and not 'RPE'"):
        taperback.review(tmp_path / "none", outcome="RPE")


def test_the_outcome_asked_for_leads(study: Study) -> None:
    assert (study.asked, study.other) == (study.result, study.rpe)
    turned = replace(study, outcome="rpe")
    assert (turned.asked, turned.other) == (study.rpe, study.result)


def test_a_race_ahead_counts_in_nothing_but_its_own_week(
    study: Study, folder: Path, tmp_path: Path
) -> None:
    def with_races(name: str, text: str) -> dict:
        shutil.copytree(folder, tmp_path / name)
        (tmp_path / name / "races.csv").write_text(text, encoding="utf-8")
        return to_json(taperback.review(tmp_path / name))

    typed = (folder / "races.csv").read_text(encoding="utf-8")
    *past, ahead = typed.splitlines(keepends=True)
    assert ahead.startswith("2025-09-28,Sedgewater Triathlon")
    told = to_json(study)
    assert [race["race_id"] for race in told["races_ahead"]] == ["2025-09-28"]
    assert told["last_recorded_day"] == "2025-09-07"
    none = with_races("none", "".join(past))
    assert {n for n in told if told[n] != none[n]} == {"journal", "races_ahead", "next_week"}
    two = with_races("two", f"{typed}2025-10-26,Farther Shore,triathlon,olympic,,,,,,,,,,\n")
    assert {name for name in told if told[name] != two[name]} == {"journal", "races_ahead"}


def test_a_race_ahead_has_nothing_to_explain_yet(study: Study) -> None:
    with pytest.raises(UsageError, match="lies ahead: it is after the last recorded day, 2025-09"):
        find_race(study.weeks, "sedgewater", study.ahead)


def test_every_planted_measure_is_recovered(study: Study) -> None:
    tolerances = TRUTH["tolerance"]
    wrong = []
    for race, week in zip(TRUTH["races"], study.weeks, strict=True):
        for name, planted in race.items():
            if name in ("date", "name", "flags"):
                continue
            measured = week.measures[name].value
            within = tolerances.get(name, tolerances["default"])
            if not isinstance(measured, (int, float)) or abs(measured - planted) > within:
                wrong.append((week.name, name, planted, measured))
    assert wrong == []


def test_the_panic_week_is_flagged_with_the_right_sessions_and_no_other(study: Study) -> None:
    for race, week in zip(TRUTH["races"], study.weeks, strict=True):
        planted = {(flag["day"], flag["rule"]) for flag in race["flags"]}
        assert {(flag.day, flag.rule) for flag in week.flags} == planted, week.name


def test_planted_effects_lie_in_every_interval(study: Study) -> None:
    effects = TRUTH["effects"]
    by_name = {factor.factor: factor for factor in study.result.factors}
    for name, planted in (
        ("intensity_kept", 0.1 * effects["per_intensity_kept_pct"]),
        ("sleep_change_h", effects["per_sleep_hour_pct"]),
        ("body_clock_lag_h", effects["per_lag_hour_pct"]),
    ):
        estimate = by_name[name].personal
        assert estimate.low <= planted <= estimate.high, name
    curve = by_name["volume_cut"].curve
    assert curve is not None
    for at, low, high in zip(curve.at, curve.personal_low, curve.personal_high, strict=True):
        planted = Effects(**effects).gain_pct(float(at))
        if 0 <= at <= 0.9:
            assert low - 1e-9 <= planted <= high + 1e-9, at


def test_the_rule_holds_the_planted_best(study: Study) -> None:
    assert study.result.rule is not None
    part = study.result.rule.parts[0]
    assert part.low <= TRUTH["effects"]["best_cut"] <= part.high


def test_files_that_cannot_be_used_are_told(study: Study) -> None:
    assert sorted(notice.file for notice in study.notices) == [
        "2024/2024-03-24-0715-running-cut.fit",
        "2024/2024-04-02-0000-running.fit",
    ]
    assert len(study.imported.copies) == 2


def test_json_holds_every_measure_with_unit_and_inputs(study: Study) -> None:
    told = json.loads(json.dumps(to_json(study), allow_nan=False))
    cut = told["races"][0]["measures"]["volume_cut"]
    assert cut["unit"] == "fraction"
    known = {leg["leg_id"] for leg in told["legs"]}
    assert cut["legs"]
    assert set(cut["legs"]) <= known


def test_no_coordinate_is_in_the_json(study: Study) -> None:
    text = json.dumps(to_json(study))
    assert "lat" not in json.loads(text)["legs"][0]
    for place in ("40.31", "-8.23", "24.62", "90.31"):
        assert place not in text


def test_the_same_folder_gives_the_same_answer(folder: Path, study: Study) -> None:
    again = taperback.review(folder, workers=1)
    assert json.dumps(to_json(again)) == json.dumps(to_json(study))


def test_a_folder_without_anything_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="it holds no activity that can be read; put FIT, TCX"):
        taperback.review(tmp_path)


def test_the_package_tells_what_it_offers() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'nonsense'"):
        _ = taperback.nonsense
