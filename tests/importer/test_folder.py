"""A folder of files becomes legs, each activity once, and a line for what was not used."""

from __future__ import annotations

import gc
import gzip
import io
import zipfile
from datetime import date, timedelta
from pathlib import Path

import pytest

from fit_writer import FitWriter
from importer.fit_files import START, START_S, add_records, run_file, session
from importer.xml_texts import gpx, tcx
from taperback.importer.folder import read_folder
from taperback.importer.model import PLACED_COLUMNS, Imported

HOME = "Europe/Lisbon"
LAUGHS = b"<!DOCTYPE gpx [<!ENTITY a 'ha'>" + b"".join(
    b"<!ENTITY %c '&%c;&%c;&%c;&%c;&%c;&%c;&%c;&%c;&%c;&%c;'>" % (one, *(one - 1,) * 10)
    for one in range(ord("b"), ord("z"))
)
LAUGHS += b"]>"
OUTSIDE = b'<!DOCTYPE TrainingCenterDatabase [<!ENTITY x SYSTEM "file:///etc/passwd">]>'


def put(folder: Path, files: dict[str, bytes]) -> Path:
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def read(folder: Path, files: dict[str, bytes]) -> Imported:
    return read_folder(put(folder, files), HOME)


def zipped(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return packed.getvalue()


def lines(imported: Imported) -> list[str]:
    return [str(notice) for notice in imported.notices]


def later_run(hours: float) -> bytes:
    writer = FitWriter()
    add_records(writer, 60, start_s=START_S + 3600 * hours)
    session(writer, 60, start_s=START_S + 3600 * hours)
    return writer.bytes()


def test_files_are_found_at_any_depth_and_in_order_of_start(tmp_path: Path) -> None:
    imported = read(tmp_path, {"z/deep/a.fit": later_run(0), "b.FIT": later_run(5), "c.txt": b"x"})
    assert imported.legs["file"].tolist() == ["z/deep/a.fit", "b.FIT"]
    assert tuple(imported.legs.columns) == PLACED_COLUMNS
    assert imported.files["status"].tolist() == ["used", "used"]


def test_the_first_bytes_decide_and_not_the_name(tmp_path: Path) -> None:
    imported = read(tmp_path, {"a.gpx": run_file(30)})
    assert imported.legs["file_format"].tolist() == ["fit"]


def test_hidden_files_and_folders_are_left_alone(tmp_path: Path) -> None:
    assert read(tmp_path, {".old/a.fit": run_file(9), ".b.fit": run_file(9)}).legs.empty


def test_an_empty_folder_gives_empty_tables(tmp_path: Path) -> None:
    imported = read(tmp_path, {})
    assert imported.legs.empty
    assert imported.nights.empty
    assert imported.notices == ()


@pytest.mark.parametrize(
    ("name", "data", "line"),
    [
        ("a.fit", b"", "a.fit: it is empty; export the activity again"),
        ("a.fit", b"hello", "a.fit: it is neither FIT, TCX, GPX nor JSON inside; export"),
        ("a.gpx", gpx(times=False), "a.gpx: its track points carry no time"),
        ("a.gpx", LAUGHS + gpx().lstrip(), "a.gpx: it declares a document type, which no"),
        (
            "a.tcx",
            OUTSIDE + tcx().partition(b"?>")[2],
            "a.tcx: it declares a document type, which no activity",
        ),
        ("a.zip", b"PK\x03\x04junk", "a.zip: it is broken as a zip archive; unpack it by hand"),
        ("a.fit.gz", b"\x1f\x8bjunk", "a.fit.gz: it is broken as a gzip archive"),
        (
            "a.zip",
            zipped({"../../b.fit": run_file(9)}),
            "a.zip!../../b.fit: its path leads out of the archive",
        ),
        (
            "a.zip",
            zipped({"/etc/b.fit": run_file(9)}),
            "a.zip!/etc/b.fit: its path leads out of the archive",
        ),
        (
            "a.gpx.gz",
            gzip.compress(b"<gpx>" + b" " * 40_000_000),
            "a.gpx.gz: it unpacks to far more than an activity holds",
        ),
        (
            "a.zip",
            zipped({"b.gpx": b"<gpx>" + b" " * 40_000_000}),
            "a.zip!b.gpx: it unpacks to far more than an activity holds",
        ),
        (
            "a.zip",
            zipped({"b.zip": zipped({"c.zip": zipped({"d.fit": run_file(9)})})}),
            "a.zip!b.zip!c.zip: it is packed more than once over",
        ),
    ],
)
def test_what_is_refused_gets_one_line_and_the_rest_is_used(
    tmp_path: Path, name: str, data: bytes, line: str
) -> None:
    imported = read(tmp_path, {name: data, "good.fit": run_file(60)})
    (told,) = lines(imported)
    assert told.startswith(line)
    assert imported.legs["file"].tolist() == ["good.fit"]


def test_archives_are_read_in_place(tmp_path: Path) -> None:
    packed = zipped({"one.fit": later_run(30), "two.gpx.gz": gzip.compress(gpx())})
    imported = read(tmp_path, {"export.zip": packed, "three.fit.gz": gzip.compress(later_run(9))})
    assert imported.legs["file"].tolist() == [
        "export.zip!two.gpx.gz",
        "three.fit.gz",
        "export.zip!one.fit",
    ]
    left = {path.name for path in tmp_path.iterdir()}
    assert left == {"export.zip", "three.fit.gz"}


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    outside = put(tmp_path / "outside", {"secret.fit": run_file(30)})
    folder = put(tmp_path / "athlete", {"good.fit": later_run(3)})
    (folder / "link.fit").symlink_to(outside / "secret.fit")
    imported = read_folder(folder, HOME)
    assert lines(imported) == [
        "link.fit: it is a link that leads out of the folder; copy the file itself"
    ]
    assert imported.legs["file"].tolist() == ["good.fit"]


def test_the_same_bytes_under_two_names_count_once(tmp_path: Path) -> None:
    imported = read(tmp_path, {"a.fit": run_file(60), "b.fit": run_file(60)})
    assert imported.legs["file"].tolist() == ["a.fit"]
    assert imported.copies[["file", "reason"]].values.tolist() == [["b.fit", "the same bytes"]]
    assert imported.files.set_index("file")["status"].to_dict() == {
        "a.fit": "used",
        "b.fit": "copy",
    }


def test_of_two_formats_the_richer_is_used(tmp_path: Path) -> None:
    writer = FitWriter()
    add_records(writer, 60, power=None, cadence=None)
    session(writer, 60)
    imported = read(tmp_path, {"a.gpx": gpx(), "b.fit": writer.bytes()})
    assert imported.legs["file"].tolist() == ["b.fit"]
    assert imported.copies["reason"].tolist() == ["the same time and sport"]


def test_two_sports_at_the_same_time_are_two_activities(tmp_path: Path) -> None:
    imported = read(tmp_path, {"a.tcx": tcx(), "b.fit": run_file(60)})
    assert sorted(imported.legs["sport"]) == ["cycling", "running"]


def test_a_multisport_file_wins_over_its_single_legs(tmp_path: Path) -> None:
    race, single = FitWriter(), FitWriter()
    add_records(race, 300)
    session(race, 100, sport="swimming")
    session(race, 200, start_s=START_S + 100, sport="cycling")
    add_records(single, 195, start_s=START_S + 102, power=None)
    session(single, 195, start_s=START_S + 102, sport="cycling")
    imported = read(tmp_path, {"race.fit": race.bytes(), "bike.fit": single.bytes()})
    assert set(imported.legs["file"]) == {"race.fit"}
    assert imported.copies["file"].tolist() == ["bike.fit"]


@pytest.mark.parametrize(
    ("offset_s", "lat", "zone_source", "day"),
    [
        (13 * 3600, None, "file", date(2030, 5, 1)),
        (-9 * 3600, None, "file", date(2030, 4, 30)),
        (None, None, "home", date(2030, 5, 1)),
    ],
)
def test_local_day_follows_the_files_clock_else_home(
    tmp_path: Path, offset_s: int | None, lat: float | None, zone_source: str, day: date
) -> None:
    writer = FitWriter()
    add_records(writer, 30, position_lat=lat, position_long=None)
    session(writer, 30)
    if offset_s is not None:
        writer.message("activity", timestamp=START_S, local_timestamp=START_S + offset_s)
    imported = read(tmp_path, {"a.fit": writer.bytes()})
    row = imported.legs.iloc[0]
    assert (row["offset_source"], row["local_day"]) == (zone_source, day)


def test_local_day_follows_the_position_where_the_file_has_no_clock(tmp_path: Path) -> None:
    imported = read(tmp_path, {"a.fit": run_file(30)})
    row = imported.legs.iloc[0]
    assert (row["offset_source"], row["utc_offset_s"]) == ("position", 3600.0)


def test_sleep_becomes_a_night_of_the_day_of_waking(tmp_path: Path) -> None:
    writer = FitWriter()
    bedtime = START - timedelta(hours=8)
    for hour, level in ((0, "light"), (7, "awake"), (7.5, "awake")):
        writer.message(
            "sleep_level", timestamp=bedtime.timestamp() + 3600 * hour, sleep_level=level
        )
    imported = read(tmp_path, {"sleep.fit": writer.bytes()})
    night = imported.nights.iloc[0]
    assert (night["day"], night["sleep_h"], night["source"]) == (START.date(), 7.0, "file")


def test_order_of_files_changes_nothing(tmp_path: Path) -> None:
    files = {f"{name}.fit": later_run(hour) for hour, name in enumerate("abcd")}
    first = read(tmp_path / "one", files)
    second = read(tmp_path / "two", {f"{ord('d') - ord(n[0])}{n}": d for n, d in files.items()})
    assert first.legs["leg_id"].tolist() == second.legs["leg_id"].tolist()


def test_pythons_collector_is_on_again_after_an_import(tmp_path: Path) -> None:
    read(tmp_path, {"a.fit": run_file(30)})
    assert gc.isenabled()
