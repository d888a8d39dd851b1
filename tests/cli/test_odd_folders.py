"""Folders that are not as one would like: each gives one line and its exit code, or a whole report.

Commands run on folders that may not be written to are processes of their own, without the right of
a system's administrator to write anywhere.
"""

from __future__ import annotations

import csv
import ctypes
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import taperback as package
from read_before import copy_read
from taperback.cli.main import app

COMMANDS = ("review", "check", "draft", "explain")
DROP_BOUNDING_CAPABILITY, WRITE_ANYWHERE, READ_ANYWHERE = 24, 1, 2


@pytest.fixture
def odd(taperback, folder: Path, tmp_path: Path) -> Path:
    """A copy of the sample, read before so that each command is quick."""
    if not (folder / "read").exists():
        assert taperback("check", folder).code == 0
        (folder / "read").touch()
    return copy_read(folder, tmp_path / "odd", "read")


def words(command: str, folder: Path, out: Path) -> tuple[object, ...]:
    more = {"review": ("--out", out), "explain": ("2024-05-19", "volume_cut")}
    return (command, folder, *more.get(command, ()))


def races(folder: Path, *rows: str) -> None:
    text = "\n".join(("date,name,sports,distance,finish_time,expected_time", *rows)) + "\n"
    (folder / "races.csv").write_text(text, encoding="utf-8")


def assert_whole(out: Path, races: int, *, ahead: bool = False) -> None:
    """The report is there with all its files, and tells of so many races."""
    assert sorted(path.name for path in out.iterdir()) == [
        "next_week.csv",
        *(["next_week.ics"] if ahead else []),
        "race_weeks.csv",
        "report.html",
        "study.json",
    ]
    assert len(json.loads((out / "study.json").read_text(encoding="utf-8"))["races"]) == races
    with (out / "race_weeks.csv").open(encoding="utf-8", newline="") as table:
        assert len(list(csv.DictReader(table))) == races
    page = (out / "report.html").read_text(encoding="utf-8")
    assert "What to do next time" in page
    assert page.rstrip().endswith("</html>")


@pytest.mark.parametrize("command", COMMANDS)
def test_a_missing_folder_is_one_line(taperback, tmp_path: Path, command: str) -> None:
    ran = taperback(*words(command, tmp_path / "gone", tmp_path / "r"))
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == (
        f"taperback: {tmp_path / 'gone'}: there is no such folder; name the athlete's folder\n"
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_a_file_in_place_of_a_folder_is_one_line(taperback, tmp_path: Path, command: str) -> None:
    (tmp_path / "races.csv").write_text("date\n")
    ran = taperback(*words(command, tmp_path / "races.csv", tmp_path / "r"))
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == (
        f"taperback: {tmp_path / 'races.csv'}: it is a file and not a folder; name the folder of "
        "one athlete\n"
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_an_empty_folder_is_one_line(taperback, tmp_path: Path, command: str) -> None:
    ran = taperback(*words(command, tmp_path, tmp_path / "r"))
    assert (ran.code, ran.out, ran.err.count("\n")) == (1, "", 1)
    assert "it holds no activity that can be read; put FIT, TCX or GPX files in it" in ran.err
    assert not (tmp_path / "r").exists()


def test_without_races_the_report_uses_those_that_the_files_show_and_says_so_first(
    taperback, odd: Path, tmp_path: Path
) -> None:
    (odd / "races.csv").unlink()
    ran = taperback("review", odd, "--out", tmp_path / "r")
    assert ran.code == 0
    assert ran.err.splitlines()[-1].startswith("Nobody has confirmed these races: they are what")
    page = (tmp_path / "r" / "report.html").read_text()
    said = page.index("Nobody has confirmed these races: they are what the files show")
    assert said < page.index('class="rule"')
    assert_whole(tmp_path / "r", 5)
    assert json.loads((tmp_path / "r" / "study.json").read_text())["unconfirmed"] is True
    last = taperback("check", odd).out.splitlines()[-1]
    draft = f"taperback draft {odd} writes them to races.csv."
    assert last == f"No race is typed. The files show 5 races: {draft}"
    assert taperback("explain", odd, "2024-05-19", "volume_cut").code == 0


def test_a_folder_whose_files_show_no_race_says_what_to_write(
    taperback, odd: Path, tmp_path: Path
) -> None:
    (odd / "races.csv").unlink()
    for day in ("2024-05-19", "2024-07-28", "2024-10-06", "2025-05-25", "2025-09-07"):
        for path in odd.rglob(f"*{day}*"):
            path.unlink()
    ran = taperback("review", odd, "--out", tmp_path / "r")
    assert ran.code == 0
    line = (
        "No race is typed, and the files show none: write each into races.csv, its date at least."
    )
    assert ran.err.splitlines()[-1] == line
    assert_whole(tmp_path / "r", 0)
    assert line in taperback("check", odd).out
    ran = taperback("explain", odd, "heronmere", "volume_cut")
    assert (ran.code, ran.err) == (
        2,
        "taperback: no race is called 'heronmere'; name one of: none\n",
    )


def test_files_alone_become_a_report_beside_their_folder(taperback, odd: Path) -> None:
    for table in (*odd.glob("*.csv"), odd / "athlete.toml"):
        table.unlink()
    ran = taperback("review", odd)
    assert ran.code == 0
    where = odd.parent / f"{odd.name}-report" / "report.html"
    assert ran.out.splitlines()[-1] == f"report: {where}"
    assert not list(odd.glob("*.csv")), "nothing is written into the athlete's folder"


def test_the_report_opens_where_asked(taperback, odd: Path, tmp_path: Path, monkeypatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    assert taperback("review", odd, "--out", tmp_path / "r", "--open").code == 0
    assert opened == [(tmp_path / "r" / "report.html").as_uri()]


def test_one_race_is_a_whole_report(taperback, odd: Path, tmp_path: Path) -> None:
    races(odd, "2024-05-19,Heronmere,triathlon,olympic,2:21:19,2:21:00")
    assert taperback("review", odd, "--out", tmp_path / "r").code == 0
    assert_whole(tmp_path / "r", 1)


def test_races_that_lie_ahead_are_no_mistake(taperback, odd: Path, tmp_path: Path) -> None:
    races(odd, "2099-06-01,Farmere,triathlon,olympic,,2:20:00")
    assert taperback("review", odd, "--out", tmp_path / "r").code == 0
    assert_whole(tmp_path / "r", 5, ahead=True)  # those that the files show
    ran = taperback("check", odd)
    assert ran.code == 0
    said = [
        "Last recorded day: 2025-09-07",
        "2099-06-01 Farmere: ahead, 26930 days after the last recorded day",
        f"No past race is typed. The files show 5 races: taperback draft {odd} writes them to "
        "races.csv.",
    ]
    assert [line for line in ran.out.splitlines() if line in said] == said


def test_who_only_runs_gets_a_whole_report(taperback, odd: Path, tmp_path: Path) -> None:
    for path in odd.rglob("20*/*"):
        if "running" not in path.name:
            path.unlink()
    races(
        odd,
        "2024-05-19,A,running,10 km,0:40:00,0:41:00",
        "2024-07-28,B,running,10 km,0:39:30,0:41:00",
        "2025-05-25,C,running,10 km,0:39:00,0:40:00",
    )
    assert taperback("review", odd, "--out", tmp_path / "r").code == 0
    assert_whole(tmp_path / "r", 3)
    assert "cycling" not in (tmp_path / "r" / "next_week.csv").read_text(encoding="utf-8")


def test_letters_of_every_tongue_are_kept(taperback, odd: Path, tmp_path: Path) -> None:
    place = odd.rename(tmp_path / "Jürgen Żółć – 走る")
    (place / "2024").rename(place / "Läufe ’24")
    races(place, "2024-05-19,Hähnchensee-Lauf «10»,triathlon,olympic,2:21:19,2:21:00")
    out = tmp_path / "Bericht für Jürgen"
    ran = taperback("review", place, "--out", out)
    assert ran.code == 0
    assert ran.out.splitlines()[-1] == f"report: {out / 'report.html'}"
    assert_whole(out, 1)
    assert "Hähnchensee-Lauf «10»" in (out / "report.html").read_text(encoding="utf-8")
    assert "Läufe ’24/2024-" in taperback(*words("explain", place, out), "--all").out


@pytest.mark.parametrize("inside", ["report", "."])
def test_a_report_inside_the_folder_is_not_read_as_the_athletes(
    taperback, odd: Path, inside: str
) -> None:
    out = odd / inside
    first = taperback("review", odd, "--out", out)
    told = (out / "study.json").read_bytes()
    again = taperback("review", odd, "--out", out)
    assert (first.code, again.code) == (0, 0)
    assert first.err == again.err
    assert (out / "study.json").read_bytes() == told


def in_a_process(*arguments: object) -> subprocess.CompletedProcess[str]:
    """A command run by somebody who may write only where the permissions allow it."""

    def be_anybody() -> None:
        for capability in (WRITE_ANYWHERE, READ_ANYWHERE):
            ctypes.CDLL(None).prctl(DROP_BOUNDING_CAPABILITY, capability, 0, 0, 0)

    return subprocess.run(
        [sys.executable, "-m", "taperback", *map(str, arguments)],
        env=os.environ | {"PYTHONPATH": str(Path(package.__file__).parents[1])},
        preexec_fn=be_anybody,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def locked(odd: Path):
    """A folder without races, in which nothing may be written."""
    (odd / "races.csv").unlink()
    odd.chmod(0o555)
    yield odd
    odd.chmod(0o755)


def test_a_folder_that_may_only_be_read_is_reviewed(locked: Path, tmp_path: Path) -> None:
    ran = in_a_process("review", locked, "--out", tmp_path / "r")
    assert ran.returncode == 0, ran.stderr
    assert_whole(tmp_path / "r", 5)
    assert not (locked / ".taperback").exists()


def test_a_draft_that_may_not_write_is_one_line_and_claims_nothing(locked: Path) -> None:
    ran = in_a_process("draft", locked)
    assert (ran.returncode, ran.stdout) == (1, "")
    assert ran.stderr == (
        f"taperback: permission denied ({locked / 'races.csv'}); check the disk and its "
        "permissions\n"
    )


def test_a_report_that_may_not_be_written_is_one_line(locked: Path) -> None:
    ran = in_a_process("review", locked, "--out", locked / "r")
    assert (ran.returncode, ran.stdout) == (1, "")
    (line,) = ran.stderr.splitlines()
    assert line.startswith(f"taperback: permission denied ({locked / 'r'}")
    assert line.endswith("; check the disk and its permissions")


def test_the_commands_that_are_tried_here_are_all_there_are() -> None:
    names = {(command.name or command.callback.__name__) for command in app.registered_commands}
    assert set(COMMANDS) <= names <= {*COMMANDS, "squad"}
