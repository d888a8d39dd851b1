"""The commands as a person meets them: words, lines, exit codes."""

from __future__ import annotations

import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

import generate
from taperback import __version__
from taperback.cli.main import run

SAMPLE = Path(generate.__file__).parent / "tove"


@dataclass(frozen=True)
class Ran:
    """What a command said and how it ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def taperback(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Runs the command with these words."""

    def run_with(*words: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["taperback", *map(str, words)])
        try:
            run()
            code: object = 0
        except SystemExit as stop:
            code = stop.code or 0
        told = capsys.readouterr()
        return Ran(int(str(code)), told.out, told.err)

    return run_with


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("sample") / "tove"
    shutil.copytree(SAMPLE, into, ignore=shutil.ignore_patterns(".taperback"))
    return into


def test_version(taperback) -> None:
    assert taperback("--version") == Ran(0, f"taperback {__version__}\n", "")


@pytest.mark.parametrize("command", ["review", "explain"])
def test_help_of_every_command_has_an_example(taperback, command: str) -> None:
    ran = taperback(command, "--help")
    assert ran.code == 0
    assert f"Example: taperback {command}" in " ".join(ran.out.split())


def test_review_writes_the_report_and_says_where(taperback, folder: Path, tmp_path: Path) -> None:
    ran = taperback("review", folder, "--out", tmp_path / "r")
    assert ran.code == 0
    assert ran.out == f"report: {tmp_path / 'r' / 'report.html'}\n"
    assert ran.err.splitlines() == [
        "2024/2024-04-02-0000-running.fit: it is empty; export the activity again"
    ]
    assert sorted(path.name for path in (tmp_path / "r").iterdir()) == [
        "next_week.csv",
        "race_weeks.csv",
        "report.html",
        "study.json",
    ]
    again = taperback("review", folder, "--out", tmp_path / "r")
    assert again.code == 0, "an earlier report of ours is written over"


def test_review_never_writes_over_what_is_not_its_own(
    taperback, folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "report.html").write_text("mine")
    ran = taperback("review", folder, "--out", tmp_path)
    assert ran.code == 2
    assert "holds a report.html that Taperback did not write" in ran.err
    assert (tmp_path / "report.html").read_text() == "mine"


def test_ten_mistakes_are_ten_lines_and_the_report_still_comes(
    taperback, folder: Path, tmp_path: Path
) -> None:
    wrong = tmp_path / "wrong"
    shutil.copytree(folder, wrong)
    races = (wrong / "races.csv").read_text().splitlines()
    races += [
        "2026-13-01,A,triathlon,,,,,,,,,,,",
        "2025-10-05,B,chess,olympic,fast,later,soon,,0,,99,11,won,",
    ]
    (wrong / "races.csv").write_text("\n".join(races) + "\n")
    with (wrong / "trips.csv").open("a") as trips:
        trips.write("2025-10-02,2025-10-03,Atlantis,Europe/Lisbon,,,\n")
    ran = taperback("review", wrong, "--out", tmp_path / "r")
    faults = [line for line in ran.err.splitlines() if line.startswith(("races", "trips"))]
    assert ran.code == 1
    assert len(faults) == 10
    assert (tmp_path / "r" / "report.html").exists()


def test_explain_goes_down_to_days_and_files(taperback, folder: Path) -> None:
    ran = taperback("explain", folder, "saltgrass", "volume_cut")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert lines[0] == "Saltgrass Triathlon, 2024-07-28"
    assert lines[1].startswith("volume cut: 45%")
    assert any(line.startswith("days: 2024-06-02 to ") for line in lines)
    assert any(line.endswith("2024/2024-07-27-0830-cycling.fit") for line in lines)


@pytest.mark.parametrize(
    ("race", "measure", "line"),
    [
        ("nowhere", "volume_cut", "no race is called 'nowhere'; name one of: 2024-05-19 Heronmere"),
        ("triathlon", "volume_cut", "several races are called 'triathlon'; name one of:"),
        ("heronmere", "volume_cutt", "there is no measure 'volume_cutt'; did you mean volume_cut?"),
    ],
)
def test_explain_helps_with_names(
    taperback, folder: Path, race: str, measure: str, line: str
) -> None:
    ran = taperback("explain", folder, race, measure)
    assert ran.code == 2
    assert ran.err.startswith(f"taperback: {line}")


@pytest.mark.parametrize(
    ("words", "code", "line"),
    [
        (("review", "no-such-folder", "--out", "x"), 1, "taperback: no-such-folder: there is no"),
        (("review",), 2, "Usage: taperback review"),
        (("nonsense",), 2, "Usage: taperback"),
    ],
)
def test_wrong_words_are_said_in_a_line(taperback, words: tuple, code: int, line: str) -> None:
    ran = taperback(*words)
    assert ran.code == code
    assert ran.err.startswith(line)


def test_a_folder_without_an_athlete_is_one_line(taperback, tmp_path: Path) -> None:
    ran = taperback("review", tmp_path, "--out", tmp_path / "r")
    assert ran.code == 1
    assert ran.err.count("\n") == 1
    assert "there is no athlete.toml in the folder; write one with two lines" in ran.err
