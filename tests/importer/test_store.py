"""An unchanged file is not read again, whatever happens to the store in between."""

from __future__ import annotations

import ast
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

import generate
from importer.fit_files import run_file
from importer.stores import FILES, place, read, told
from importer.tables import as_text
from importer.test_folder import HOME, later_run, put
from taperback.common.files import resources
from taperback.common.limits import LIMITS
from taperback.importer.folder import read_folder
from taperback.importer.readers.progress import Progress
from taperback.importer.store import store as store_module
from taperback.importer.store.made_of import _ROOMS, made_of
from taperback.importer.store.place import tidy
from taperback.importer.store.store import Store

pytestmark = pytest.mark.usefixtures("cache")


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
    with closing(sqlite3.connect(place(folder))) as db:
        names = {name for (name,) in db.execute("SELECT name FROM jobs")}
        (contents,) = db.execute("SELECT count(*) FROM contents").fetchone()
    assert "a.fit" not in names
    assert contents == 5


def test_what_another_version_kept_is_neither_believed_nor_touched(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, _ = read(folder)
    theirs = place(folder)
    before = theirs.read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr("taperback.importer.store.place.made_of", lambda: "another")
        second, looked_at = read(folder)
        assert looked_at == 6
        assert read(folder)[1] == 0
    assert as_text(second) == as_text(first)
    assert theirs.read_bytes() == before
    assert read(folder)[1] == 0


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("importer/summary/speed.py", "import", "import  "),
        ("importer/formats/gpx.py", "90", "91"),
        ("common/geodesy.py", "import", "import  "),
    ],
)
def test_what_a_row_depends_on_follows_from_the_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: str, old: str, new: str
) -> None:
    before = made_of()
    shutil.copytree(Path(resources.__file__).parents[2], tmp_path / "taperback")
    monkeypatch.setattr("taperback.importer.store.made_of._PACKAGE", tmp_path / "taperback")
    made_of.cache_clear()
    assert made_of() == before
    path = tmp_path / "taperback" / file
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    made_of.cache_clear()
    assert made_of() != before
    made_of.cache_clear()


@pytest.mark.parametrize("changed", ["limits.toml", "sports.toml", "library"])
def test_limits_and_libraries_make_another_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, changed: str
) -> None:
    before = made_of()
    module = "taperback.importer.store.made_of"
    if changed != "library":
        for name in ("limits.toml", "sports.toml"):
            text = resources.shared_file(name).read_text(encoding="utf-8")
            (tmp_path / name).write_text(text + "# changed\n" * (name == changed))
        monkeypatch.setattr(f"{module}.shared_file", lambda name: tmp_path / name)
    else:
        monkeypatch.setattr(f"{module}.version", lambda name: "9.9")
    made_of.cache_clear()
    assert made_of() != before
    made_of.cache_clear()


def test_all_that_readers_import_is_looked_at() -> None:
    """In a process that has read a file, no module of ours lies outside what names the store."""
    code = (
        "import sys, hashlib\n"
        "from taperback.importer.readers.worker import do_job\n"
        "from taperback.importer.file.one_file import Job\n"
        "for name in sys.argv[1:]: do_job(Job(name, name, 1, 1), frozenset())\n"
        "print([name for name in sys.modules if name.startswith('taperback.')])"
    )
    env = os.environ | {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    sample = Path(generate.__file__).parent / "tove"
    some = [path for kind in ("fit", "gpx", "tcx", "zip") for path in sample.rglob(f"*.{kind}")][
        -9:
    ]
    ran = subprocess.run(
        [sys.executable, "-c", code, *map(str, some)],
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )
    rooms = {name.split(".")[1] for name in ast.literal_eval(ran.stdout)}
    assert rooms <= set(_ROOMS)


def test_nothing_is_written_into_the_folder(folder: Path) -> None:
    def state() -> dict[Path, int]:
        return {path: path.stat().st_mtime_ns for path in (folder, *folder.rglob("*"))}

    before = state()
    read(folder)
    read(folder)
    assert state() == before


def test_nobody_else_may_look_into_the_cache(folder: Path, cache: Path) -> None:
    (cache / "taperback").mkdir(parents=True, mode=0o777)
    (cache / "taperback").chmod(0o777)
    read(folder)
    modes = {path.stat().st_mode & 0o777 for path in (cache / "taperback").rglob("*")}
    assert modes == {0o700, 0o600}
    assert (cache / "taperback").stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("harm", ["in the way", "somebody else's", "relative"])
def test_with_no_place_at_all_it_says_so_and_goes_on(
    folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch, harm: str
) -> None:
    if harm == "in the way":
        cache.write_text("in the way")
    elif harm == "somebody else's":
        monkeypatch.setattr("os.getuid", lambda: 4711)
    else:
        monkeypatch.setattr(
            "taperback.importer.store.place.user_cache_path", lambda *_, **__: Path("~/.cache")
        )
    imported, looked_at = read(folder)
    assert looked_at == 6
    assert told(imported) == [
        "cache of what was read: nothing can be kept for the next run, which will read every file "
        "again"
    ]


def test_stores_that_nobody_needs_are_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folders = {name: put(tmp_path / name, {"a.fit": run_file(60)}) for name in "abcd"}
    paths = {name: read(folder) and place(folder) for name, folder in folders.items()}
    days_ago = {"a": 400, "b": 40, "c": 40, "d": 1}
    shutil.rmtree(folders["b"])
    shutil.rmtree(folders["d"])
    for name, path in paths.items():
        then = path.stat().st_mtime - days_ago[name] * 86_400
        os.utime(path, (then, then))
    tidy.cache_clear()
    read(put(tmp_path / "new", {"a.fit": run_file(60)}))
    assert [name for name, path in paths.items() if path.exists()] == ["c", "d"]
    assert [name for name, path in paths.items() if path.parent.exists()] == ["c", "d"]
    monkeypatch.setitem(vars(LIMITS.store), "most_bytes_in_all", 1)
    tidy.cache_clear()
    read(put(tmp_path / "newest", {"a.fit": run_file(60)}))
    assert not any(path.exists() for path in paths.values())


def test_a_full_disk_costs_the_next_run_time_and_nothing_else(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(store_module, "insert", full)
    imported, _ = read(folder)
    assert len(imported.legs) == 4
    assert "what was read could not be kept (database or disk is full)" in told(imported)[0]


def test_a_store_in_use_by_another_run_is_left_to_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read(folder)
    monkeypatch.setattr(store_module, "BUSY_S", 0.05)
    with closing(sqlite3.connect(place(folder))) as db:
        db.execute("BEGIN EXCLUSIVE")
        imported, looked_at = read(folder)
    assert looked_at == 6
    assert len(imported.legs) == 4
    assert "it cannot be used now" in told(imported)[0]


def test_the_store_is_one_plain_file_and_the_folders_name(folder: Path) -> None:
    read(folder)
    path = place(folder)
    assert {each.name for each in path.parent.iterdir()} == {path.name, "folder"}
    assert (path.parent / "folder").read_text(encoding="utf-8") == str(folder.resolve())


def test_an_empty_store_holds_nothing(tmp_path: Path) -> None:
    with closing(Store(tmp_path)) as store:
        kept = store.load()
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
    with closing(sqlite3.connect(place(folder))) as db:
        assert db.execute("SELECT count(*) FROM contents").fetchone() == (1,)
    assert read(folder)[0].copies["file"].tolist() == ["b.fit"]
