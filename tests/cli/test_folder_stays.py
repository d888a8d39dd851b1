"""No command writes anything into an athlete's folder but what `draft` is asked to write."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from taperback.cli.main import app


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b""
        for path in folder.rglob("*")
    }


COMMANDS = {
    "check": ("check", "{folder}"),
    "review": ("review", "{folder}", "--out", "{out}"),
    "explain": ("explain", "{folder}", "saltgrass", "volume_cut"),
    "squad": ("squad", "{squad}", "--out", "{out}"),
    "draft": ("draft", "{folder}", "--show"),
}


def test_every_command_is_tried() -> None:
    assert set(COMMANDS) == {c.callback.__name__ for c in app.registered_commands if c.callback}


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_leaves_the_folder_as_it_was(
    taperback, folder: Path, tmp_path: Path, name: str
) -> None:
    squad = tmp_path / "squad"
    shutil.copytree(folder, squad / "tove")
    before = contents(squad)
    places = {"folder": squad / "tove", "squad": squad, "out": tmp_path / "out"}
    ran = taperback(*(word.format(**places) for word in COMMANDS[name]))
    assert ran.code in (0, 1)
    assert contents(squad) == before


def test_draft_writes_tables_and_copies_of_them_and_nothing_else(
    taperback, folder: Path, tmp_path: Path
) -> None:
    shutil.copytree(folder, tmp_path / "tove")
    (tmp_path / "tove" / "races.csv").unlink()
    before = contents(tmp_path / "tove")
    assert taperback("draft", tmp_path / "tove").code == 0
    after = contents(tmp_path / "tove")
    new = {name for name in after if before.get(name) != after[name]}
    tables = {name for name in new if name.endswith(".csv") and "/" not in name}
    assert "races.csv" in tables
    assert all(name.startswith(".taperback") for name in new - tables)
