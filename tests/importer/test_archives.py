"""What archives may hold, and what is refused in one line."""

from __future__ import annotations

import gzip
import io
import zipfile
from pathlib import Path

import pytest

from importer.fit_files import run_file
from importer.test_folder import zipped
from taperback.common.limits import LIMITS
from taperback.common.notices import Notice
from taperback.importer.changed import sort_out
from taperback.importer.file.archives import Member, count_members, members, members_of
from taperback.importer.find import find_files
from taperback.importer.store.rows import Kept


def told(items: list[Member | Notice]) -> list[str]:
    return [str(item) if isinstance(item, Notice) else item.name for item in items]


def test_a_plain_file_is_its_only_member() -> None:
    assert told(list(members("a.fit", run_file(9)))) == ["a.fit"]


def test_members_come_in_order_of_name_and_shadows_are_left_alone() -> None:
    data = zipped({"b.fit": b"1", "a/a.gpx": b"2", "__MACOSX/._b.fit": b"3", "readme.txt": b"4"})
    assert told(list(members("z.zip", data))) == ["z.zip!a/a.gpx", "z.zip!b.fit"]


def test_a_part_of_an_archive_can_be_read_alone(tmp_path: Path) -> None:
    path = tmp_path / "z.zip"
    path.write_bytes(zipped({f"{name}.fit": name.encode() for name in "abcd"}))
    assert count_members(path) == 4
    assert told(list(members_of(path, "z.zip", 1, 3))) == ["z.zip!b.fit", "z.zip!c.fit"]


def test_the_directory_of_a_large_archive_is_read_a_few_times_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reads: list[int] = []
    archive = zipfile.ZipFile
    limits = vars(LIMITS.reading)
    monkeypatch.setitem(limits, "members_a_job", 10)
    monkeypatch.setitem(limits, "most_jobs_an_archive", 4)
    path = tmp_path / "z.zip"
    path.write_bytes(zipped({f"{place:03d}.fit": b"1" for place in range(90)}))
    monkeypatch.setattr(zipfile, "ZipFile", lambda file: reads.append(1) or archive(file))
    _, todo = sort_out(find_files(tmp_path)[0], Kept({}, {}))
    names = [told(list(members_of(path, "z.zip", job.first, job.last))) for job in todo]
    assert [len(some) for some in names] == [23, 23, 23, 21]
    assert [name for some in names for name in some] == [
        f"z.zip!{place:03d}.fit" for place in range(90)
    ]
    assert len(reads) == 1 + 4


def test_a_zip_in_a_zip_is_opened_and_a_third_is_not() -> None:
    once = zipped({"a.fit": b"1"})
    assert told(list(members("y.zip", zipped({"z.zip": once})))) == ["y.zip!z.zip!a.fit"]
    (line,) = told(list(members("x.zip", zipped({"y.zip": zipped({"z.zip": once})}))))
    assert line.startswith("x.zip!y.zip!z.zip: it is packed more than once over")


def test_what_a_cut_gzip_still_holds_is_used() -> None:
    data = run_file(600)
    (member,) = members("a.fit.gz", gzip.compress(data)[:-3000])
    assert isinstance(member, Member)
    assert data.startswith(member.data)
    assert len(member.data) > 1000
    assert str(member.remarks[0]).startswith("a.fit.gz: its gzip wrapping is cut off or damaged")


@pytest.mark.parametrize("between", [b"", b"\0" * 512])
def test_gzip_members_in_a_row_are_one_file(between: bytes) -> None:
    data = run_file(600)
    parts = [gzip.compress(data[at : at + 999]) for at in range(0, len(data), 999)]
    (member,) = members("a.fit.gz", between.join([*parts, b""]))
    assert isinstance(member, Member)
    assert member.data == data
    assert member.remarks == ()
    (cut,) = members("a.fit.gz", between.join(parts)[:-20])
    assert isinstance(cut, Member)
    assert data.startswith(cut.data)
    assert len(cut.data) >= len(data) // 999 * 999
    assert cut.remarks[0].code == "gzip-broken"


def test_gzip_members_in_a_row_are_bounded_together() -> None:
    parts = gzip.compress(b" " * 900_000) * 9
    assert told(list(members("a.gpx.gz", parts))) == [
        "a.gpx.gz: it unpacks to far more than an activity holds; unpack it by hand"
    ]
    many = gzip.compress(b"") * LIMITS.archives.most_members
    assert told(list(members("a.gz", many + gzip.compress(b"1")))) == [
        "a.gz: it is broken as a gzip archive; unpack it by hand"
    ]


@pytest.mark.parametrize(
    "path", ["../a.fit", "a/../../a.fit", "/a.fit", "C:/a.fit", "..\\a.fit", "\\a.fit"]
)
def test_no_path_leads_out(path: str) -> None:
    (line,) = told(list(members("z.zip", zipped({path: run_file(9)}))))
    assert "its path leads out of the archive" in line


def test_a_bomb_is_stopped_while_it_unpacks(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = b"<gpx>" + bytes(5_000_000)
    for name, data in (("z.zip", zipped({"a.gpx": bomb})), ("a.gpx.gz", gzip.compress(bomb))):
        (line,) = told(list(members(name, data)))
        assert "it unpacks to far more than an activity holds" in line


def limit(monkeypatch: pytest.MonkeyPatch, **values: int) -> None:
    for name, value in values.items():
        monkeypatch.setitem(vars(LIMITS.archives), name, value)


def test_archives_of_too_many_or_too_large_files_are_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    data = zipped({f"{place}.fit": b"1" * 50 for place in range(4)})
    limit(monkeypatch, most_members=3)
    (line,) = told(list(members("z.zip", data)))
    assert "it holds more than 3 activity files" in line
    limit(monkeypatch, most_members=9, most_bytes_in_all=199)
    (line,) = told(list(members("z.zip", data)))
    assert "it unpacks to far more than a lifetime of activities" in line


def test_an_archive_that_is_refused_is_one_job_and_so_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "z.zip"
    path.write_bytes(zipped({f"{place}.fit": b"1" * 50 for place in range(4)}))
    assert count_members(path) == 4
    limit(monkeypatch, most_bytes_in_all=199)
    assert count_members(path) == 1


@pytest.mark.parametrize("comment", [b"", b"made by hand"])
@pytest.mark.parametrize("large", [False, True])
def test_a_directory_larger_than_any_of_activities_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, comment: bytes, large: bool
) -> None:
    monkeypatch.setattr("zipfile.ZIP_FILECOUNT_LIMIT", 2 if large else 1 << 16)
    path = tmp_path / "z.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.comment = comment
        for place in range(4):
            archive.writestr(f"{place}.fit", b"1")
    assert (b"PK\x06\x06" in path.read_bytes()) is large
    limit(monkeypatch, most_directory_bytes=4 * (46 + len("0.fit")))
    assert count_members(path) == 4
    limit(monkeypatch, most_directory_bytes=4 * (46 + len("0.fit")) - 1)
    assert count_members(path) == 1
    (line,) = told(list(members_of(path, "z.zip", 0, 1)))
    assert line == "z.zip: it is broken as a zip archive; unpack it by hand"


def test_a_file_far_bigger_than_an_activity_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    limit(monkeypatch, most_bytes=100)
    path = tmp_path / "a.fit"
    path.write_bytes(run_file(60))
    (line,) = told(list(members_of(path, "a.fit", 0, 1)))
    assert line == "a.fit: it is far bigger than an activity; leave it out"


def test_an_archive_without_activities_says_so() -> None:
    (line,) = told(list(members("z.zip", zipped({"notes.txt": b"x"}))))
    assert line == "z.zip: it holds no activity files; leave it out"


def test_a_member_that_lies_about_its_size_or_needs_a_password_costs_only_itself(
    tmp_path: Path,
) -> None:
    data = bytearray(zipped({"a.fit": b"1" * 900, "b.fit": b"2"}))
    entry = data.index(b"PK\x01\x02")
    data[entry + 24 : entry + 28] = (10).to_bytes(4, "little")  # the directory's size of a.fit
    lines = told(list(members("z.zip", bytes(data))))
    assert lines == ["z.zip!a.fit: it cannot be unpacked; unpack it by hand", "z.zip!b.fit"]
    data[entry + 8] |= 1  # the directory's mark of encryption
    assert "it cannot be unpacked" in told(list(members("z.zip", bytes(data))))[0]


def test_a_member_packed_in_a_way_that_does_not_exist_costs_only_itself() -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("a.fit", b"1" * 50, zipfile.ZIP_LZMA)
        archive.writestr("b.fit", b"2")
    content = bytearray(data.getvalue())
    content[content.index(b"a.fit") + len("a.fit") + 4] = 0xFF  # LZMA's first byte of settings
    lines = told(list(members("z.zip", bytes(content))))
    assert lines == ["z.zip!a.fit: it cannot be unpacked; unpack it by hand", "z.zip!b.fit"]


def test_nothing_is_written_while_unpacking(tmp_path: Path) -> None:
    path = tmp_path / "z.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("a.fit", run_file(9))
    list(members_of(path, "z.zip", 0, 1))
    assert list(tmp_path.iterdir()) == [path]
