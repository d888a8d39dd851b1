"""A command that somebody stops says so in one line, whenever it is."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType

import pytest

import taperback as package
from taperback.__main__ import main

LINE = "taperback: stopped; what was read so far is kept for the next run\n"


def test_an_interrupt_while_files_are_read_is_one_line(bare: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    (bare / "athlete.toml").write_text('home_zone = "Europe/Lisbon"\n', encoding="utf-8")
    running = subprocess.Popen(
        [sys.executable, "-m", "taperback", "review", bare, "--out", tmp_path / "out"],
        env=os.environ
        | {"PYTHONPATH": str(Path(package.__file__).parents[1]), "XDG_CACHE_HOME": str(cache)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    end = time.monotonic() + 60
    while not list(cache.rglob("*.sqlite")):
        assert time.monotonic() < end, "it never began to read"
        time.sleep(0.01)
    os.killpg(running.pid, signal.SIGINT)  # as a terminal does
    assert running.communicate(timeout=60) == ("", LINE)
    assert running.returncode == 130
    assert not (tmp_path / "out").exists()


def test_a_reader_that_goes_away_ends_it_without_a_word(folder: Path) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    ran = subprocess.run(
        [sys.executable, "-m", "taperback", "check", folder],
        env=os.environ | {"PYTHONPATH": str(Path(package.__file__).parents[1])},
        stdout=theirs,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(theirs)
    assert (ran.returncode, ran.stderr) == (141, "")


def test_an_interrupt_before_the_command_is_loaded_is_the_same_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class StoppedWhileLoaded(ModuleType):
        def __getattr__(self, name: str) -> object:
            raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "taperback.cli.main", StoppedWhileLoaded("main"))
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 130
    assert capsys.readouterr().err == LINE
