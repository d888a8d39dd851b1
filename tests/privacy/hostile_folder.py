"""An athlete's folder whose every word, in tables and in file names, is an attack."""

from __future__ import annotations

import csv
import zipfile
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from fit_writer import FitWriter, degrees
from taperback.journal.columns import TABLES

IMAGE = "<img src=x onerror=alert(1)>"
SCRIPT = "</script><script>alert(2)</script>"
TEMPLATE = "{{ 7*7 }}{% raw %}"
FORMULA = "=HYPERLINK(A1)"
TERMINAL = "\x1b[31mred\x1b]0;title\x07\x9b2J"
TURNED = "\u202efdp.exe"
WORDS = (IMAGE, SCRIPT, TEMPLATE, FORMULA, TERMINAL, TURNED)

FORMULAS = ("=1+2", "+1+2", "-1+2", "@SUM(1)", "\t=1+2")
"""What a spreadsheet computes where it stands at the start of a cell."""

RACES = (date(2030, 6, 30), date(2030, 9, 15))


def recorded(day: date) -> bytes:
    """Half an hour's run in the morning; on a race's day a triathlon."""
    race = {"swimming": 1500, "cycling": 40_000, "running": 10_000}
    metres = race if day in RACES else {"running": 5400}
    start = datetime(day.year, day.month, day.day, 7, tzinfo=UTC)
    writer = FitWriter().message("file_id", type="activity", time_created=start)
    at = {"position_lat": degrees(40.0), "position_long": degrees(-8.0)}
    for place, (sport, way) in enumerate(metres.items()):
        since = start.timestamp() + 1800 * place
        for second in range(0, 1800, 10):
            writer.message("record", timestamp=since + second, heart_rate=130, **at)
        totals = {"total_elapsed_time": 1800, "total_timer_time": 1800, "total_distance": way}
        writer.message("session", timestamp=since + 1800, start_time=since, sport=sport, **totals)
    return writer.bytes()


def build(folder: Path) -> Path:
    """Two races with the days before them, every name and note hostile."""
    (folder / "files").mkdir(parents=True)
    _journal(folder)
    for race in RACES:
        for back in range(56, -1, -1):
            day = race - timedelta(days=back)
            name = f"{WORDS[back % len(WORDS)].replace('/', '')}-{day}.fit"
            (folder / "files" / name).write_bytes(recorded(day))
    for place, word in enumerate((*WORDS, *FORMULAS)):
        safe = word.replace("/", "")
        (folder / f"{safe}-{place}.fit").write_bytes(b"\x0e\x20nothing")
        (folder / f"{safe}-{place}.gpx").write_bytes(b"<gpx><trk><trkpt></gpx>")
    with zipfile.ZipFile(folder / "more.zip", "w") as archive:
        for word in WORDS:
            archive.writestr(f"../../{word}.fit", b"\x0e\x20nothing")
    return folder


def _journal(folder: Path) -> None:
    text = TEMPLATE + IMAGE + SCRIPT
    (folder / "athlete.toml").write_text(
        f"name = '{text}'\nhome_zone = 'Europe/Lisbon'\n", encoding="utf-8"
    )
    columns = ["date", "name", "distance", "finish_time", "expected_time", "reference", "notes"]
    rows = [
        [RACES[0], IMAGE + SCRIPT, "10 km", "40:00", "41:00", SCRIPT, TERMINAL],
        [RACES[1], TERMINAL + FORMULA, "10 km", "40:30", "41:00", TURNED, IMAGE],
        *([f"2029-05-{k + 1:02d}", word, *[""] * 4, word] for k, word in enumerate(FORMULAS)),
        [IMAGE, SCRIPT, TEMPLATE, IMAGE, TERMINAL, "", ""],
    ]
    _table(folder / "races.csv", columns, rows)
    nights = [[RACES[0] - timedelta(days=k), "7.5", "", SCRIPT] for k in range(40)]
    nights.append([RACES[1], "7.5", IMAGE, SCRIPT])
    _table(folder / "nights.csv", ["date", "sleep_h", "quality", "notes"], nights)
    trip = [RACES[0], RACES[0], SCRIPT, IMAGE, TERMINAL, IMAGE, SCRIPT]
    names = ["depart_date", "arrive_date", "from_zone", "to_zone", "travel_h", "mode", "notes"]
    _table(folder / "trips.csv", names, [trip])
    for table in (TABLES["sessions"], TABLES["days"], TABLES["periods"]):
        near = RACES[0] - timedelta(days=3)
        hostile = [dict.fromkeys(table.header, word) for word in (*WORDS, *FORMULAS)]
        dated = [row | dict.fromkeys(table.required, near) | {"notes": SCRIPT} for row in hostile]
        _table(folder / table.file, table.header, [[*row.values()] for row in (*hostile, *dated)])


def _table(path: Path, columns: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows(rows)
