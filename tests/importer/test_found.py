"""Which files of a folder are looked at, and what is passed over with a word."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from importer.test_folder import put
from taperback.common.errors import InputError
from taperback.common.limits import LIMITS
from taperback.common.lines import printable
from taperback.importer.find import find_files

SOME = {"b.fit": b"1", "a/c.TCX": b"22", "a/deep/er/d.gpx.gz": b"3", "e.zip": b"4"}


def names(folder: Path) -> list[str]:
    return [item.name for item in find_files(folder)[0]]


def told(folder: Path) -> list[str]:
    return [str(notice) for notice in find_files(folder)[1]]


def test_activities_and_archives_are_found_at_any_depth(tmp_path: Path) -> None:
    put(tmp_path, SOME | {"races.csv": b"x", "photo.jpg": b"x", "athlete.toml": b"x"})
    assert names(tmp_path) == ["a/c.TCX", "a/deep/er/d.gpx.gz", "b.fit", "e.zip"]
    assert told(tmp_path) == []


@pytest.mark.parametrize(
    ("name", "suffix"),
    [("a/run.fit.txt", ".fit"), ("a/RUN.TCX.bz2", ".tcx"), ("run.gpx (1)", ".gpx")],
)
def test_an_activity_with_another_ending_is_said(tmp_path: Path, name: str, suffix: str) -> None:
    put(tmp_path, {name: b"1", "my.fitness.txt": b"x", "old.fit.d/a.fit": b"1"})
    assert names(tmp_path) == ["old.fit.d/a.fit"]
    assert told(tmp_path) == [
        f"{name}: its name goes on after {suffix}, so it was not read; rename it, or unpack it"
    ]


def test_size_and_time_are_those_of_the_file(tmp_path: Path) -> None:
    put(tmp_path, {"a.fit": b"12345"})
    os.utime(tmp_path / "a.fit", ns=(7, 1_234_567_891))
    (item,) = find_files(tmp_path)[0]
    assert (item.size, item.mtime_ns) == (5, 1_234_567_891)


def test_hidden_things_are_left_alone(tmp_path: Path) -> None:
    put(tmp_path, {".taperback/a.fit": b"1", "b/.c.fit": b"1"})
    assert names(tmp_path) == []


def test_a_missing_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such folder; name the athlete's folder"):
        find_files(tmp_path / "none")


def test_links_that_lead_out_are_refused_files_and_folders(tmp_path: Path) -> None:
    outside = put(tmp_path / "outside", {"x/secret.fit": b"1"})
    folder = put(tmp_path / "athlete", {"good.fit": b"1"})
    (folder / "file.fit").symlink_to(outside / "x/secret.fit")
    (folder / "folder").symlink_to(outside)
    (folder / "up").symlink_to("..")
    assert names(folder) == ["good.fit"]
    assert told(folder) == [
        f"{name}: it is a link that leads out of the folder; copy the file itself"
        for name in ("file.fit", "folder", "up")
    ]


def test_links_inside_the_folder_do_no_harm(tmp_path: Path) -> None:
    folder = put(tmp_path, {"a/good.fit": b"1"})
    (folder / "again.fit").symlink_to(folder / "a/good.fit")
    (folder / "b").symlink_to(folder / "a")
    (folder / "a" / "round").symlink_to(folder)
    assert names(folder) == ["a/good.fit", "again.fit"]
    assert told(folder) == []


def test_a_link_to_nothing_or_to_itself_is_said(tmp_path: Path) -> None:
    (tmp_path / "nothing.fit").symlink_to(tmp_path / "gone.fit")
    (tmp_path / "round.fit").symlink_to(tmp_path / "round.fit")
    assert names(tmp_path) == []
    assert [line.split(":")[0] for line in told(tmp_path)] == ["nothing.fit", "round.fit"]


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.fit")
    assert told(tmp_path) == ["pipe.fit: it is not a file that can be read; leave it out"]


def test_a_folder_named_like_a_file_is_a_folder(tmp_path: Path) -> None:
    assert names(put(tmp_path, {"old.fit/a.fit": b"1"})) == ["old.fit/a.fit"]


@pytest.mark.parametrize(
    ("name", "shown"),
    [("läuft 5.fit", "läuft 5.fit"), ("a\nb.fit", "a\\nb.fit"), ("a\udcff.fit", "a\\udcff.fit")],
)
def test_names_are_told_in_one_line(tmp_path: Path, name: str, shown: str) -> None:
    (tmp_path / name).write_bytes(b"1")
    assert names(tmp_path) == [shown] == [printable(name)]


def test_a_folder_without_end_is_not_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(vars(LIMITS.reading), "deepest_folder", 2)
    for place in (tmp_path / "a/b", tmp_path / "a/b/c"):
        place.mkdir(parents=True)
        (place / "run.fit").write_bytes(b"x")
    found, notices = find_files(tmp_path)
    assert [item.name for item in found] == ["a/b/run.fit"]
    assert [str(notice) for notice in notices] == [
        "a/b/c/: it lies more than 2 folders deep; move its files further up"
    ]
