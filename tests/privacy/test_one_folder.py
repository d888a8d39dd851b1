"""Whatever one athlete's folder is called or holds costs itself only, and never in silence."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from report.squads import squad
from report.studies import study
from taperback.report.page import write_report
from taperback.report.squad_page import write_squad
from taperback.squad.files import SQUAD_FILES
from taperback.squad.folders import athlete_folders, passed_over

ATHLETE = 'name = "Ada"\nhome_zone = "Europe/Lisbon"\n'


def athlete(folder: Path) -> Path:
    folder.mkdir(parents=True)
    (folder / "athlete.toml").write_text(ATHLETE)
    return folder


def linked_out(place: Path) -> None:
    (place / "link").symlink_to(athlete(place.parent / "outside"))


def linked_within(place: Path) -> None:
    (place / "link").symlink_to(place / "ada")


def linked_round(place: Path) -> None:
    (place / "link").symlink_to(place)


def hidden(place: Path) -> None:
    athlete(place / ".ada")


def report(place: Path) -> None:
    write_report(study(), place / "old")


def squads_report(place: Path) -> None:
    write_squad(squad(), place / "old")
    write_report(study(), place / "old" / "ada")


LINK = "link: it is a link, and links are not followed; put the athlete's folder itself here"
REPORT = "old: it is a report of Taperback and no athlete's folder"
LEFT_OUT: dict[Callable[[Path], object], str] = {
    linked_out: LINK,
    linked_within: LINK,
    linked_round: LINK,
    hidden: ".ada: it is a hidden folder; rename it if it is an athlete's",
    report: REPORT,
    squads_report: REPORT,
}


@pytest.mark.parametrize(("put", "line"), LEFT_OUT.items())
def test_it_is_left_out_and_said(tmp_path: Path, put: Callable, line: str) -> None:
    place = tmp_path / "squad"
    athlete(place / "ada")
    put(place)
    assert [path.name for path in athlete_folders(place)] == ["ada"]
    broken, left_out = passed_over(place)
    assert [str(one.why) for one in broken] == ([line] if line == LINK else [])
    assert [str(notice) for notice in left_out] == ([] if line == LINK else [line])


@pytest.mark.parametrize("name", [*SQUAD_FILES, "Squad.HTML"])
def test_a_folder_named_like_an_output_costs_no_page(tmp_path: Path, name: str) -> None:
    athlete(tmp_path / "ada")
    athlete(tmp_path / name)
    assert [path.name for path in athlete_folders(tmp_path)] == ["ada"]
    broken, left_out = passed_over(tmp_path)
    assert left_out == []
    assert [str(one.why) for one in broken] == [
        f"{name}: the squad's report has a file named {name.lower()}; rename the folder"
    ]


@pytest.mark.parametrize("text", ["{}", '{"squad_schema_version": 2, "athletes": []}', "["])
def test_a_file_of_a_squad_among_an_athletes_files_drops_nobody(tmp_path: Path, text: str) -> None:
    (athlete(tmp_path / "ada") / "squad.json").write_text(text)
    assert [path.name for path in athlete_folders(tmp_path)] == ["ada"]
    assert passed_over(tmp_path) == ([], [])


def test_a_pipe_named_like_a_report_holds_nobody_up(tmp_path: Path) -> None:
    (tmp_path / "ada").mkdir()
    os.mkfifo(tmp_path / "ada" / "squad.json")
    assert [path.name for path in athlete_folders(tmp_path)] == ["ada"]
