"""No output holds a place, a device's serial number or a name that only the files hold."""

from __future__ import annotations

import struct
import zlib

import pytest

from fit_writer import degrees
from privacy.conftest import TYPED, Everything
from privacy.planted import LAT, LON, NAMES, SERIALS, found_in
from taperback.importer.folder import read_folder
from taperback.importer.store.codec import unframed
from taperback.importer.store.place import store_path, study_path
from taperback.report.page import REPORT_FILES


def test_what_is_planted_would_be_found() -> None:
    texts = (f"{LAT}", f"at {LAT:.3f} N", f'"lon": {LON}', f"[{degrees(LAT)}, 1]", *NAMES)
    assert all(found_in(text) for text in texts)
    assert all(found_in(f"unit {serial}") for serial in SERIALS)
    assert found_in("distance 451.234 km, 51 min 23 s, 107.6 km") == []


def test_the_planted_files_were_used_and_told_of(everything: Everything) -> None:
    page = (everything.out / "study.json").read_text(encoding="utf-8")
    assert "planted/whole.fit" in page
    assert "planted/no-time.gpx" in everything.ran["review"].told
    assert "planted/" in everything.ran["explain"].told


@pytest.mark.parametrize("name", REPORT_FILES)
def test_no_file_of_the_report_holds_it(everything: Everything, name: str) -> None:
    assert found_in((everything.out / name).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("name", ["squad", "showing"])
def test_no_file_of_a_squads_report_holds_it(everything: Everything, name: str) -> None:
    paths = [path for path in getattr(everything, name).rglob("*") if path.is_file()]
    assert len(paths) == (4 + len(REPORT_FILES) if name == "squad" else 4)
    found = {path.name: found_in(path.read_text(encoding="utf-8")) for path in paths}
    assert not any(found.values()), found


def test_the_calendar_names_no_one_no_race_and_no_zone(everything: Everything) -> None:
    text = (everything.out / "next_week.ics").read_text(encoding="utf-8")
    assert "BEGIN:VEVENT" in text
    names = ("Tove", "Aldwin", "Sedgewater", "Lisbon", "Dhaka")
    assert [name for name in names if name in text] == []


def test_the_page_for_showing_names_no_one_and_no_race(everything: Everything) -> None:
    names = ("Tove", "Aldwin", "tove", "Saltgrass", "2024-07-28", "Europe/Lisbon")
    whole = "".join(
        path.read_text(encoding="utf-8") for path in everything.squad.iterdir() if path.is_file()
    )
    shown = "".join(path.read_text(encoding="utf-8") for path in everything.showing.iterdir())
    assert "Tove" in whole
    assert [name for name in names if name in shown] == []


def test_nothing_that_is_kept_of_an_athlete_of_a_squad_holds_it(everything: Everything) -> None:
    path = study_path(everything.squad.parent / "athletes" / "tove", "result")
    assert path is not None and path.exists()
    kept = zlib.decompress(unframed(path.read_bytes()[32:])).decode("utf-8", errors="replace")
    assert "Tove" in kept and "study.json" in kept
    assert found_in(kept) == []


def test_no_command_says_it(everything: Everything) -> None:
    assert {
        name: found_in(ran.told) for name, ran in everything.ran.items() if found_in(ran.told)
    } == {}


def test_no_drafted_journal_holds_it(everything: Everything) -> None:
    assert set(everything.drafted) == set(TYPED)
    assert {
        name: found_in(text) for name, text in everything.drafted.items() if found_in(text)
    } == {}


def test_the_store_keeps_no_serial_and_no_name_and_no_track(everything: Everything) -> None:
    """It keeps where each leg starts and ends, on the athlete's machine, and nothing between."""
    path = store_path(everything.folder)
    kept = path.read_bytes()
    for serial in SERIALS:
        forms = (str(serial).encode(), struct.pack("<I", serial), struct.pack(">I", serial))
        assert not any(form in kept for form in forms), serial
    assert not any(name.encode() in kept for name in NAMES)
    assert found_in(kept.decode("latin-1")) == [], "no remark tells a place in words"
    legs = read_folder(everything.folder, "Europe/London").legs
    there = legs[legs["start_lat"].round(3) == round(LAT, 3)]["start_lat"]
    assert len(there) >= 4
    # the place stands in a leg's start and end, each perhaps once more in a page let go
    assert 1 <= kept.count(struct.pack(">d", there.iloc[0])) <= 4 * len(there)
