"""What a stranger's file does to its reader costs that process, and one line."""

from __future__ import annotations

import os
import time
from functools import partial
from pathlib import Path

import pytest

from taperback.common.errors import InputError
from taperback.common.files import bounded
from taperback.journal.files import as_text

BOUNDS = {"longest_s": 60, "most_memory_bytes": 1_000_000_000}
within_bounds = partial(bounded.within_bounds, **BOUNDS)


def test_it_gives_what_the_function_gives() -> None:
    assert within_bounds(as_text, "Süd".encode("utf-16"), "races.csv") == "Süd"


def test_what_the_function_finds_wrong_is_said_as_it_says_it() -> None:
    with pytest.raises(InputError, match=r"^races\.csv: it is text in UTF-16 without a mark; save"):
        within_bounds(as_text, b"a\0b\0", "races.csv")


def test_it_has_so_much_time_and_memory_and_no_more() -> None:
    with pytest.raises(InputError, match="reading it stopped the reader; make it anew"):
        within_bounds(bytearray, BOUNDS["most_memory_bytes"])
    with pytest.raises(InputError, match="reading it took too long; make it anew"):
        bounded.within_bounds(time.sleep, 600, **BOUNDS | {"longest_s": 0.5})


def test_a_reader_that_dies_is_one_line() -> None:
    with pytest.raises(InputError, match="reading it stopped the reader"):
        within_bounds(os._exit, 0)


def test_where_no_process_can_be_had_it_is_read_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.executable", "/nowhere/python")
    assert within_bounds(os.getpid) == os.getpid()


def test_no_module_of_the_folder_one_stands_in_is_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("taperback", "pickle", "resource", "tomllib"):
        (tmp_path / f"{name}.py").write_text("open('ran', 'w').close()")
    monkeypatch.chdir(tmp_path)
    assert within_bounds(os.getcwd) == str(tmp_path)
    assert not (tmp_path / "ran").exists()
