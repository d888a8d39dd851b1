"""What is written is for its user alone, and nothing strange in an old report's folder is read."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest

from report.squads import squad
from report.studies import study
from taperback.cli.earlier import refuse_foreign_report, refuse_foreign_squad, refuse_named_reports
from taperback.common.errors import UsageError
from taperback.common.files.plain_file import read_start
from taperback.report.page import write_report
from taperback.report.squad_page import write_squad


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_report_and_the_folders_made_for_it_are_for_the_user_alone(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write_report(study(), tmp_path / "reports" / "new" / "ada")
        write_squad(squad(), tmp_path / "reports" / "new")
    finally:
        os.umask(before)
    made = [tmp_path / "reports", *(tmp_path / "reports").rglob("*")]
    assert len(made) == 1 + 1 + 4 + 1 + 4
    assert {rights(path) for path in made if path.is_dir()} == {0o700}
    assert {rights(path) for path in made if path.is_file()} == {0o600}


def test_rights_that_somebody_gave_an_old_report_stay(tmp_path: Path) -> None:
    write_report(study(), tmp_path)
    (tmp_path / "report.html").chmod(0o640)
    write_report(study(), tmp_path)
    assert rights(tmp_path / "report.html") == 0o640


def pipe(path: Path) -> None:
    os.mkfifo(path)


def link(path: Path) -> None:
    path.symlink_to(path.parent.parent / "theirs" / path.name)


def endless(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(1 << 40)


def nested(path: Path) -> None:
    path.write_text("[" * 1_000_000)


def folder(path: Path) -> None:
    path.mkdir()


def like_ours(path: Path) -> None:
    path.write_text(json.dumps({"schema_version": "2", "athlete": 1}))


@pytest.mark.parametrize("put", [pipe, link, endless, nested, folder, like_ours])
def test_what_lies_in_place_of_an_old_report_is_refused_at_once(tmp_path: Path, put) -> None:
    write_report(study(), tmp_path / "theirs")
    write_squad(squad(), tmp_path / "theirs")
    for name, refuse in (
        ("study.json", refuse_foreign_report),
        ("squad.json", refuse_foreign_squad),
    ):
        out = tmp_path / f"out of {name}"
        out.mkdir()
        put(out / name)
        with pytest.raises(UsageError, match=f"holds a {name} that Taperback did not write"):
            refuse(out)
        refuse_named_reports(tmp_path / f"out of {name}")


def test_an_old_report_is_known_by_how_it_begins(tmp_path: Path) -> None:
    write_report(study(), tmp_path / "ada")
    write_squad(squad(), tmp_path)
    refuse_foreign_report(tmp_path / "ada")
    refuse_foreign_squad(tmp_path)
    with pytest.raises(UsageError, match="holds athletes' own reports"):
        refuse_named_reports(tmp_path)


def test_only_the_start_is_read(tmp_path: Path) -> None:
    (tmp_path / "long").write_bytes(b"a" * 1000)
    assert read_start(tmp_path / "long", 10) == b"a" * 10
