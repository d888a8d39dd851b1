"""What a worker answers is input: it runs no code here, and what cannot be right is read here.

The workers of these tests wear the right stamp and answer by the name of the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from importer.machines import Machines, machines
from importer.tables import as_text
from importer.test_folder import HOME, later_run, put, zipped
from taperback.cli.readers import readers_at
from taperback.common.limits import LIMITS
from taperback.importer.folder import read_folder
from taperback.importer.readers.cluster import Cluster
from taperback.importer.store.codec import NotOursError, pack_rows, unpack_rows
from taperback.importer.store.rows import ContentRow

WORKER = """
import msgspec, os
import taperback.importer.readers.worker as worker
from taperback.importer.store.codec import framed, pack_rows, unframed, unpack_rows
from taperback.importer.store.rows import ContentRow

class Code:
    def __reduce__(self):
        return os.mkdir, ({marker!r},)

def fails(*_):
    raise ValueError("\\x1b[31m\\nTraceback (most recent call last):")

def changed(change):
    def answer(data):
        (row,) = unpack_rows(data)
        plain = msgspec.msgpack.decode(unframed(row.packed))
        change(plain[1])
        return pack_rows([ContentRow(row.digest, framed(msgspec.msgpack.encode(plain)))])
    return answer

def put(place, value):
    return changed(lambda legs: legs[0].__setitem__(place, value))

def renamed(data):
    (row,) = unpack_rows(data)
    return pack_rows([ContentRow("0" * 64, row.packed)])

ANSWERS = {{
    "number": lambda data: 5,
    "words": lambda data: "moved 99 h",
    "junk": lambda data: b"junk",
    "nested": lambda data: framed(bytes([0x91]) * 100_000),
    "code": lambda data: Code(),
    "fails": fails,
    "other": renamed,
    "missing": lambda data: pack_rows([]),
    "type": put(9, "long"),
    "range": put(9, 1e9),
    "length": put(15, bytes(24)),
    "sport": put(3, "<b>flying</b>"),
    "twice": changed(lambda legs: legs.append(legs[0])),
    "huge": lambda data: bytes({huge}),
}}

def answered(job, known, honest=worker.do_afar):
    data = honest(job, known)
    return ANSWERS.get(job.name.partition(".")[0], lambda data: data)(data)

worker.do_afar = answered
"""

DAMAGED = "damaged"
NO_ACTIVITY = "values that no activity has"
SAID = {
    "number": "no bytes",
    "words": "no bytes",
    "junk": DAMAGED,
    "nested": DAMAGED,
    "code": "no plain values",
    "other": "rows of another file",
    "missing": "rows are missing",
    "type": NO_ACTIVITY,
    "range": NO_ACTIVITY,
    "length": NO_ACTIVITY,
    "sport": NO_ACTIVITY,
    "twice": NO_ACTIVITY,
    "huge": "far larger than any activity",
}


@pytest.fixture(scope="module")
def marker(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("marker") / "code was run"


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory, marker: Path) -> Iterator[Machines]:
    place = tmp_path_factory.mktemp("odd")
    huge = LIMITS.store.most_bytes_a_row + 1
    (place / "odd.py").write_text(WORKER.format(marker=str(marker), huge=huge), encoding="utf-8")
    with machines(place / "m", 2, "--no-nanny", "--preload", str(place / "odd.py")) as them:
        yield them


def told(odd: Machines, folder: Path, *names: str) -> tuple[str, list[str]]:
    """The tables that the cluster gives, and the lines about it."""
    files = {f"{name}.fit": later_run(hour) for hour, name in enumerate((*names, "good"))}
    put(folder, files)
    with Cluster(odd.address) as readers:
        tables = as_text(read_folder(folder, HOME, readers=readers))
        return tables, [str(notice) for notice in readers.notices]


def here(folder: Path, *names: str) -> str:
    files = {f"{name}.fit": later_run(hour) for hour, name in enumerate((*names, "good"))}
    return as_text(read_folder(put(folder, files), HOME, workers=1))


@pytest.mark.parametrize("name", SAID)
def test_an_answer_that_cannot_be_right_is_one_line_and_its_file_is_read_here(
    name: str, odd: Machines, marker: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    tables, lines = told(odd, tmp_path / "afar", name)
    assert tables == here(tmp_path / "here", name)
    assert lines == [
        f"{name}.fit: what the cluster answered about it cannot be right ({SAID[name]}); "
        "this machine read it; look at the workers"
    ]
    assert not marker.exists()
    assert capfd.readouterr().err == ""


def test_a_task_that_fails_is_read_here_and_its_words_are_shown_to_nobody(
    odd: Machines, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    tables, lines = told(odd, tmp_path / "afar", "fails")
    assert tables == here(tmp_path / "here", "fails")
    assert lines == []
    assert capfd.readouterr() == ("", "")


def test_many_odd_answers_are_one_line(
    odd: Machines, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, {f"{name}.fit": later_run(at) for at, name in enumerate(SAID)})
    with readers_at(odd.address) as readers:
        read_folder(tmp_path, HOME, readers=readers)
    (line,) = capsys.readouterr().err.splitlines()
    assert "answered about it and about 12 others cannot be right" in line


def test_what_lies_in_an_archive_is_looked_at_too(odd: Machines, tmp_path: Path) -> None:
    two = zipped({"a.fit": later_run(1), "b.fit": later_run(2)})
    files = {"good.zip": two, "missing.zip": zipped({"c.fit": later_run(3)})}
    put(tmp_path / "afar", files)
    with Cluster(odd.address) as readers:
        tables = as_text(read_folder(tmp_path / "afar", HOME, readers=readers))
        (line,) = readers.notices
    assert tables == as_text(read_folder(put(tmp_path / "here", files), HOME, workers=1))
    assert line.file == "missing.zip"


def test_rows_that_were_packed_are_unpacked_and_nothing_else_is() -> None:
    rows = (ContentRow("d", b"1"), ContentRow("e", b"2"))
    assert unpack_rows(pack_rows(rows)) == rows
    for wrong in (None, 5, "", b"", b"junk", pack_rows(rows)[:-1], [*rows]):
        with pytest.raises(NotOursError):
            unpack_rows(wrong)
