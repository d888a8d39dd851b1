"""Old files or new ones, never half of either."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from taperback.common.files.whole_files import put_whole


def test_files_are_put_in_place_and_nothing_else_is_left(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "a").chmod(0o640)
    put_whole({tmp_path / "a": b"new", tmp_path / "b": b"b"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"new", "b": b"b"}
    assert [(tmp_path / name).stat().st_mode & 0o777 for name in "ab"] == [0o640, 0o644]


@pytest.mark.parametrize(("mask", "mode"), [(0o077, 0o600), (0o002, 0o664)])
def test_a_new_file_is_as_open_as_the_person_lets_files_be(
    tmp_path: Path, mask: int, mode: int
) -> None:
    before = os.umask(mask)
    try:
        put_whole({tmp_path / "a": b"new"})
    finally:
        os.umask(before)
    assert (tmp_path / "a").stat().st_mode & 0o777 == mode


def test_an_old_file_is_at_no_moment_open_to_more_people(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    modes = []
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "a").chmod(0o600)
    monkeypatch.setattr(os, "fsync", lambda file: modes.append(os.fstat(file).st_mode & 0o777))
    put_whole({tmp_path / "a": b"new"})
    assert [*modes, (tmp_path / "a").stat().st_mode & 0o777] == [0o600, 0o600]


def test_where_one_cannot_be_written_none_is_changed(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(FileNotFoundError):
        put_whole({tmp_path / "a": b"new", tmp_path / "gone" / "b": b"b"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"old"}


def test_stopped_while_writing_the_old_ones_are_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(descriptor: int) -> None:
        raise KeyboardInterrupt

    (tmp_path / "a").write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        put_whole({tmp_path / "a": b"new"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"old"}
