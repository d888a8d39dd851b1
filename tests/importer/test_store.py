"""An unchanged file is not read again, whatever happens to the store in between."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from importer.fit_files import run_file
from importer.tables import as_text
from importer.test_folder import HOME, later_run, put, zipped
from importer.xml_texts import gpx
from taperback.common.limits import LIMITS
from taperback.importer.folder import read_folder
from taperback.importer.model import Imported
from taperback.importer.readers.progress import Progress
from taperback.importer.store import store as store_module
from taperback.importer.store.store import FILE, FOLDER, Store, stamp

FILES = {
    "a.fit": later_run(0),
    "b/c.fit": later_run(30),
    "d.gpx": gpx(),
    "broken.fit": b"no",
    "z.zip": zipped({"e.fit": later_run(60), "f.fit": later_run(90)}),
}


def read(folder: Path) -> tuple[Imported, int]:
    """The import, and how many files had to be read for it."""
    steps: list[Progress] = []
    imported = read_folder(folder, HOME, progress=steps.append)
    return imported, sum(1 for _ in steps) and steps[-1].files_done


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return put(tmp_path / "athlete", FILES)


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache"


def place(folder: Path) -> Path:
    return folder / FOLDER / FILE


def test_a_second_run_reads_nothing_and_gives_the_same(folder: Path) -> None:
    first, read_first = read(folder)
    second, read_second = read(folder)
    assert (read_first, read_second) == (6, 0)
    assert as_text(first) == as_text(second)


def test_a_file_that_was_only_touched_or_moved_is_known_by_its_bytes(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, _ = read(folder)
    os.utime(folder / "a.fit", (1, 1))
    (folder / "b/c.fit").rename(folder / "c.fit")
    monkeypatch.setattr("taperback.importer.file.one_file.read_bytes", forbidden)
    second, looked_at = read(folder)
    assert looked_at == 2
    assert set(second.legs["digest"]) == set(first.legs["digest"])
    assert "c.fit" in set(second.legs["file"])


def forbidden(*_: object) -> None:
    raise AssertionError("it was read again")


def test_a_changed_file_is_read_again(folder: Path) -> None:
    read(folder)
    put(folder, {"a.fit": later_run(500)})
    os.utime(folder / "a.fit", (2, 2))
    imported, looked_at = read(folder)
    assert looked_at == 1
    assert imported.legs["local_day"].nunique() == 5


def test_what_is_gone_is_forgotten(folder: Path) -> None:
    read(folder)
    (folder / "a.fit").unlink()
    imported, _ = read(folder)
    assert "a.fit" not in set(imported.legs["file"])
    with sqlite3.connect(place(folder)) as db:
        names = {name for (name,) in db.execute("SELECT name FROM jobs")}
        legs = db.execute("SELECT count(*) FROM legs").fetchone()[0]
    assert "a.fit" not in names
    assert legs == 4


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:9000])


def garbage(path: Path) -> None:
    path.write_bytes(os.urandom(5000))


def tampered(path: Path) -> None:
    with sqlite3.connect(path) as db:
        db.execute("UPDATE jobs SET pieces = '{'")


def foreign(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE something (else_ TEXT)")


def odd_stamp(path: Path) -> None:
    with sqlite3.connect(path) as db:
        db.execute("UPDATE made_by SET stamp = '3'")


@pytest.mark.parametrize("harm", [cut, garbage, tampered, foreign, odd_stamp])
def test_a_store_that_cannot_be_read_is_made_anew_and_said(
    folder: Path, harm: Callable[[Path], None]
) -> None:
    first, _ = read(folder)
    harm(place(folder))
    second, looked_at = read(folder)
    assert looked_at == 6
    (told,) = [notice for notice in second.notices if notice.code == "store"]
    assert str(told) == (
        ".taperback/legs.sqlite: what was kept from earlier runs could not be read and is made anew"
    )
    third, looked_at = read(folder)
    assert looked_at == 0
    assert as_text(third) == as_text(first)


@pytest.mark.parametrize(
    "change",
    [
        "legs SET bouts = x'00'",
        "legs SET start_utc = 9000000000000000000",
        "legs SET zone = 'No/Where'",
        "legs SET best_power_w = x'0000000000000000'",
        "legs SET half_speed_mps = x''",
        "legs SET elapsed_s = NULL",
        f"legs SET removed_s = '{'[' * 100_000}'",
        f"contents SET sleeps = '{'[' * 100_000}'",
        f"jobs SET pieces = '{'[' * 100_000}'",
        'jobs SET pieces = \'[["a.fit", ["d"], "[]"]]\'',
        "jobs SET lost = 'often'",
        "jobs SET last = 1000000000000",
    ],
)
def test_rows_that_were_tampered_with_are_read_anew(folder: Path, change: str) -> None:
    first, _ = read(folder)
    with sqlite3.connect(place(folder)) as db:
        db.execute(f"UPDATE {change}")
    second, looked_at = read(folder)
    assert looked_at == 6
    assert "made anew" in str(second.notices[0])
    assert as_text(read(folder)[0]) == as_text(first)


def restamp(folder: Path, change: Callable[[list], None]) -> None:
    theirs = stamp()
    change(theirs)
    with sqlite3.connect(place(folder)) as db:
        db.execute("UPDATE made_by SET stamp = ?", (json.dumps(theirs),))


def test_a_newer_version_is_left_alone_and_said(folder: Path) -> None:
    first, _ = read(folder)
    restamp(folder, lambda theirs: theirs[0].__setitem__(1, 999))
    before = place(folder).read_bytes()
    imported, looked_at = read(folder)
    assert looked_at == 6
    assert imported.legs["leg_id"].tolist() == first.legs["leg_id"].tolist()
    assert "a newer version of this tool keeps its results here" in str(imported.notices[0])
    assert place(folder).read_bytes() == before


@pytest.mark.parametrize("part", [0, 1])
def test_an_older_version_or_other_limits_are_read_anew_without_a_word(
    folder: Path, part: int
) -> None:
    first, _ = read(folder)
    older = ([0, 0, 0], "other limits")
    restamp(folder, lambda theirs: theirs.__setitem__(part, older[part]))
    second, looked_at = read(folder)
    assert looked_at == 6
    assert as_text(second) == as_text(first)


@pytest.mark.parametrize(
    ("of", "limit"), [("cleaning", "gap_s"), ("fit", "timer_slack_s"), ("sleep_json", "rounding_s")]
)
def test_a_limit_that_decides_changes_the_stamp(
    monkeypatch: pytest.MonkeyPatch, of: str, limit: str
) -> None:
    before = stamp()
    monkeypatch.setitem(vars(getattr(LIMITS, of)), limit, 31)
    assert stamp() != before


def test_a_folder_that_cannot_be_written_to_keeps_its_store_in_the_cache(
    folder: Path, cache: Path
) -> None:
    (folder / FOLDER).write_text("in the way")  # root may write anywhere, but not here
    _, first = read(folder)
    _, second = read(folder)
    assert (first, second) == (6, 0)
    assert len(list(cache.rglob(FILE))) == 1


def test_nothing_is_written_through_a_link(folder: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (folder / FOLDER).symlink_to(outside)
    read(folder)
    assert list(outside.iterdir()) == []


def test_with_no_place_at_all_it_says_so(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / FOLDER).write_text("in the way")
    cache.write_text("in the way")
    imported, looked_at = read(folder)
    assert looked_at == 6
    assert "nothing can be kept for the next run" in str(imported.notices[0])


def test_a_full_disk_costs_the_next_run_time_and_nothing_else(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(store_module, "insert_content", full)
    imported, _ = read(folder)
    assert len(imported.legs) == 4
    assert "what was read could not be kept (database or disk is full)" in str(imported.notices[0])


def test_a_store_in_use_by_another_run_is_left_to_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read(folder)
    monkeypatch.setattr(store_module, "BUSY_S", 0.05)
    with sqlite3.connect(place(folder)) as db:
        db.execute("BEGIN EXCLUSIVE")
        imported, looked_at = read(folder)
    assert looked_at == 6
    assert len(imported.legs) == 4
    assert "it cannot be used now" in str(imported.notices[0])


def test_the_store_is_one_plain_file_with_a_row_a_leg(folder: Path) -> None:
    read(folder)
    assert [path.name for path in (folder / FOLDER).iterdir()] == [FILE]
    with sqlite3.connect(place(folder)) as db:
        sports = db.execute("SELECT sport, moving_s FROM legs ORDER BY start_utc").fetchall()
    assert sports == [("running", 60.0)] * 5


def test_an_empty_store_holds_nothing(tmp_path: Path) -> None:
    kept = Store(tmp_path).load()
    assert (kept.contents, kept.jobs) == ({}, {})


def test_a_run_that_is_stopped_keeps_what_it_read(folder: Path) -> None:
    def stop_at_three(step: Progress) -> None:
        if step.files_done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read_folder(folder, HOME, progress=stop_at_three)
    whole, looked_at = read(folder)
    assert 2 <= looked_at <= 4
    fresh, _ = read(put(folder.with_name("fresh"), FILES))
    assert as_text(whole) == as_text(fresh)


def test_the_same_file_twice_is_kept_once(tmp_path: Path) -> None:
    folder = put(tmp_path / "twice", {"a.fit": run_file(60), "b.fit": run_file(60)})
    read(folder)
    with sqlite3.connect(place(folder)) as db:
        assert db.execute("SELECT count(*) FROM legs").fetchone() == (1,)
    assert read(folder)[0].copies["file"].tolist() == ["b.fit"]
