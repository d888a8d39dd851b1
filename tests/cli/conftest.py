"""A command run in this process, and the sample to run it on."""

from __future__ import annotations

import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

import generate
from read_before import copy_read
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


@pytest.fixture
def bare(folder: Path, tmp_path: Path) -> Path:
    """The sample's activity files alone."""
    return copy_read(folder, tmp_path / "tove", "*.csv", "*.toml")
