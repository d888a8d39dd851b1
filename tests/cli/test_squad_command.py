"""`taperback squad` as a coach meets it: what is written where, lines, exit codes."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pytest

from squad_athletes import draw_squad
from squad_folder import write_squad
from taperback.common.errors import InputError
from taperback.squad.folders import athlete_folders

FILES = ["squad.csv", "squad.html", "squad.json", "squad_race_weeks.csv"]


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two athletes with a race each, and a folder that is nobody's."""
    into = tmp_path_factory.mktemp("squad") / "athletes"
    drawn = draw_squad(5, seed=12, races=1)
    write_squad(into, [one for one in drawn if one.profile.folder in ("maelis", "bertok")])
    (into / "old stuff").mkdir()
    return into


def test_the_coachs_page_and_a_report_for_each_athlete_are_written(
    taperback,
    folders: Path,
    tmp_path: Path,
) -> None:
    ran = taperback("squad", folders, "--out", tmp_path, "--workers", "1")
    assert ran.out == f"squad: {tmp_path / 'squad.html'}\n"
    assert ran.code == 1, "a folder could not be used"
    assert len(ran.err.splitlines()) == 1
    assert ran.err.startswith("old stuff")
    assert "it holds no activity that can be read" in ran.err
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == FILES
    assert (tmp_path / "maelis" / "report.html").exists()
    assert (tmp_path / "bertok" / "study.json").exists()
    assert not (tmp_path / "old stuff").exists()
    again = taperback("squad", folders, "--out", tmp_path, "--workers", "1")
    assert again == ran, "an earlier report of ours is written over"
    shown = (tmp_path / "squad.html").read_bytes()
    for more in ((), ("--replace",)):
        ran = taperback("squad", folders, "--out", tmp_path, "--anonymous", *more)
        assert (ran.code, ran.out) == (2, ""), "no page for showing beside names"
        assert ran.err == (
            f"taperback: {tmp_path} holds athletes' own reports (bertok and 1 more), which would "
            "lie beside the page for showing; choose another --out, or take them away\n"
        )
    assert (tmp_path / "squad.html").read_bytes() == shown


def test_the_page_for_showing_comes_alone(
    taperback,
    folders: Path,
    tmp_path: Path,
) -> None:
    ran = taperback("squad", folders, "--out", tmp_path, "--anonymous", "--workers", "1")
    assert ran.code == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == FILES
    assert "Quillfenne" not in (tmp_path / "squad.html").read_text(encoding="utf-8")


def test_what_taperback_did_not_write_is_not_written_over(
    taperback,
    folders: Path,
    tmp_path: Path,
) -> None:
    (tmp_path / "squad.csv").write_text("mine", encoding="utf-8")
    ran = taperback("squad", folders, "--out", tmp_path)
    assert ran.code == 2
    assert "holds a squad.csv that Taperback did not write" in ran.err
    shutil.rmtree(tmp_path)
    (tmp_path / "maelis").mkdir(parents=True)
    (tmp_path / "maelis" / "report.html").write_text("mine", encoding="utf-8")
    ran = taperback("squad", folders, "--out", tmp_path)
    assert ran.code == 2
    assert "holds a report.html that Taperback did not write" in ran.err
    assert (tmp_path / "maelis" / "report.html").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("command", ["squad", "review"])
def test_without_dask_a_scheduler_is_one_line(
    taperback,
    folders: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    folder = folders if command == "squad" else folders / "maelis"
    ran = taperback(command, folder, "--out", tmp_path, "--scheduler", "tcp://127.0.0.1:1")
    assert ran.code == 2
    assert ran.err == (
        "taperback: --scheduler needs Dask, which is not installed here; install Taperback with "
        "its extra 'cluster'\n"
    )


@pytest.mark.parametrize("command", ["squad", "review"])
@pytest.mark.parametrize("further", [".", "deeper"])
def test_a_file_in_place_of_the_report_is_one_line(
    taperback,
    folders: Path,
    tmp_path: Path,
    command: str,
    further: str,
) -> None:
    file = tmp_path / "mine.csv"
    file.write_text("mine", encoding="utf-8")
    folder = folders if command == "squad" else folders / "maelis"
    ran = taperback(command, folder, "--out", file / further)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == f"taperback: --out {file / further}: {file} is a file; name a folder\n"
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_file_in_place_of_an_athletes_report_is_one_line(
    taperback,
    folders: Path,
    tmp_path: Path,
) -> None:
    (tmp_path / "maelis").write_text("mine", encoding="utf-8")
    ran = taperback("squad", folders, "--out", tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert f"{tmp_path / 'maelis'} is a file; name a folder" in ran.err


def test_a_folder_that_is_not_there_is_one_line(
    taperback,
    tmp_path: Path,
) -> None:
    ran = taperback("squad", tmp_path / "none", "--out", tmp_path / "out")
    assert ran.code == 1
    assert ran.err == (
        f"taperback: {tmp_path / 'none'}: there is no such folder; name the squad's folder\n"
    )


def test_one_athletes_own_folder_is_no_squad(
    taperback,
    folders: Path,
    tmp_path: Path,
) -> None:
    ran = taperback("squad", folders / "maelis", "--out", tmp_path / "out")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == (
        f"taperback: {folders / 'maelis'}: it is the folder of one athlete; use taperback review, "
        "or name the folder above it\n"
    )
    assert not (tmp_path / "out").exists()


def test_one_athletes_own_files_side_by_side_are_no_squad(folders: Path, tmp_path: Path) -> None:
    shutil.copy(folders / "maelis" / "athlete.toml", tmp_path)
    with pytest.raises(InputError, match="it is the folder of one athlete; use taperback review"):
        athlete_folders(tmp_path)


def test_a_coach_who_is_an_athlete_too_has_a_squad(folders: Path, tmp_path: Path) -> None:
    shutil.copytree(folders, tmp_path / "athletes")
    shutil.copy(folders / "maelis" / "athlete.toml", tmp_path / "athletes")
    names = [path.name for path in athlete_folders(tmp_path / "athletes")]
    assert names == ["bertok", "maelis", "old stuff"]
