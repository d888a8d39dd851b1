"""The whole way on the sample, with things missing: the report comes and invents nothing."""

from __future__ import annotations

import json
import re
import shutil
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

import generate
from taperback.cli.main import run

SAMPLE = Path(generate.__file__).parent
TRUTH = tomllib.loads((SAMPLE / "TRUTH.toml").read_text(encoding="utf-8"))

Review = Callable[[Path], tuple[int, dict, str]]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the sample, which others copy with what was read of it."""
    into = tmp_path_factory.mktemp("whole") / "tove"
    shutil.copytree(SAMPLE / "tove", into, ignore=shutil.ignore_patterns(".taperback"))
    return into


@pytest.fixture
def review(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> Review:
    """Reviews a folder: exit code, study.json, the page's text without script and style."""

    def reviewed(folder: Path) -> tuple[int, dict, str]:
        out = tmp_path / "report"
        monkeypatch.setattr(sys, "argv", ["taperback", "review", str(folder), "--out", str(out)])
        code = 0
        try:
            run()
        except SystemExit as stop:
            code = int(str(stop.code or 0))
        assert "Traceback" not in capsys.readouterr().err
        told = json.loads((out / "study.json").read_text(encoding="utf-8"))
        page = (out / "report.html").read_text(encoding="utf-8")
        text = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
        return code, told, re.sub(r"<[^>]+>", " ", text)

    return reviewed


def copy_of(whole: Path, into: Path) -> Path:
    shutil.copytree(whole, into / "tove")
    return into / "tove"


def measure(told: dict, race: int, name: str) -> dict:
    return told["races"][race]["measures"][name]


def test_the_page_names_all_races_with_the_planted_cuts(whole: Path, review: Review) -> None:
    code, told, text = review(whole)
    assert code == 0
    for place, race in enumerate(TRUTH["races"]):
        assert race["name"] in text
        cut = measure(told, place, "volume_cut")["value"]
        assert cut == pytest.approx(race["volume_cut"], abs=0.02)
        assert f"{100 * cut:.0f}%" in text


def test_without_one_races_row_the_others_are_told(
    whole: Path, tmp_path: Path, review: Review
) -> None:
    folder = copy_of(whole, tmp_path)
    lines = (folder / "races.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "races.csv").write_text("".join(lines[:2] + lines[3:]), encoding="utf-8")
    code, told, text = review(folder)
    assert code == 0
    assert len(told["races"]) == 4
    assert "Saltgrass" not in text
    assert told["evidence"]["result"]["n"] == 4


def test_without_a_baseline_what_needs_one_is_unknown_with_the_reason(
    whole: Path, tmp_path: Path, review: Review
) -> None:
    folder = copy_of(whole, tmp_path)
    for path in (folder / "2025").glob("2025-0[3-4]*"):
        path.unlink()
    for path in (folder / "2025").glob("2025-05-[01]*"):
        path.unlink()
    _, told, text = review(folder)
    for name in ("volume_cut", "intensity_kept", "baseline_weekly_h"):
        found = measure(told, 3, name)
        assert found["value"] is None
        assert found["reason"]
    assert measure(told, 3, "result_pct")["value"] is not None
    assert measure(told, 0, "volume_cut")["value"] is not None
    assert "unknown" in text
    labels = told["evidence"]["result"]["factors"][0]["labels"]
    assert told["races"][3]["race_id"] not in labels


def test_without_any_night_sleep_is_unknown_everywhere(
    whole: Path, tmp_path: Path, review: Review
) -> None:
    folder = copy_of(whole, tmp_path)
    (folder / "nights.csv").unlink()
    shutil.rmtree(folder / "sleep")
    code, told, text = review(folder)
    assert code == 0
    for place in range(5):
        found = measure(told, place, "sleep_change_h")
        assert found["value"] is None
        assert "night" in found["reason"]
    sleep = told["evidence"]["result"]["factors"][2]
    assert sleep["strength"] == "published only"
    assert sleep["exposure"] == []
    assert "unknown" in text


def test_two_runs_give_the_same_bytes(whole: Path, tmp_path: Path, review: Review) -> None:
    review(whole)
    first = {p.name: p.read_bytes() for p in (tmp_path / "report").iterdir()}
    review(whole)
    assert {p.name: p.read_bytes() for p in (tmp_path / "report").iterdir()} == first


def test_no_output_holds_a_coordinate(whole: Path, tmp_path: Path, review: Review) -> None:
    review(whole)
    for path in (tmp_path / "report").iterdir():
        text = path.read_text(encoding="utf-8")
        for place in ("40.31", "40.62", "-8.23", "-8.11", "24.62", "90.31"):
            assert not re.search(rf"(?<![\d.]){re.escape(place)}\d", text), (path.name, place)
