"""What a hostile journal costs: time at n, 2n and 4n of every table, and time and memory of bombs.

`python tests/benchmarks/journal_tables.py` prints two tables in Markdown. Each row is read in a
process of its own; memory is the most that it and its bounded reader took up, time is that of the
processor.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

from openpyxl import Workbook

ATHLETE = 'name = "Ada"\nhome_zone = "Europe/Lisbon"\n'
READ = """
import resource, sys, time
from pathlib import Path
from taperback.common.errors import InputError
from taperback.journal.load import read_journal
begin = time.process_time() + resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
try:
    notices = [str(notice) for notice in read_journal(Path(sys.argv[1])).notices]
except InputError as error:
    notices = [str(error)]
own, read = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
print(time.process_time() + read.ru_utime + read.ru_stime - begin)
print(own.ru_maxrss // 1024, read.ru_maxrss // 1024)
print(len(notices), notices[0][:90] if notices else "")
"""


def days(number: int) -> Iterator[date]:
    """Days one after the other, within the years that are believed."""
    return (date(1951, 1, 1) + timedelta(days=k % 50_000) for k in range(number))


def table(header: str, row: str) -> Callable[[int], bytes]:
    """A table of so many rows, one a day."""
    return lambda n: (header + "".join(row.format(day=day) for day in days(n))).encode()


def part(name: str, before: bytes, piece: bytes) -> Callable[[int], bytes]:
    """A workbook with so many pieces in one of its parts."""

    def made(number: int) -> bytes:
        book, whole, out = Workbook(), io.BytesIO(), io.BytesIO()
        book.active.append(("date", "name"))
        book.save(whole)
        with zipfile.ZipFile(whole) as parts, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as to:
            for each in parts.namelist():
                text = parts.read(each)
                to.writestr(
                    each, text.replace(before, piece * number + before) if each == name else text
                )
        return out.getvalue()

    return made


def _settings(number: int) -> str:
    return "".join(f"c{k} = 1\n" for k in range(number))


SHEET, STYLES = "xl/worksheets/sheet1.xml", "xl/styles.xml"
GROWING: dict[str, tuple[str, Callable[[int], bytes], int]] = {
    "settings": ("athlete.toml", lambda n: (ATHLETE + _settings(n)).encode(), 1250),
    "races": ("races.csv", table("date,finish_time,distance\n", "{day},40:00,10 km\n"), 500),
    "nights": ("nights.csv", table("date,sleep_h\n", "{day},7.5\n"), 10_000),
    "trips": ("trips.csv", table("depart_date,arrive_date\n", "{day},{day}\n"), 500),
    "sessions": ("sessions.csv", table("date,sport,duration\n", "{day},run,45\n"), 10_000),
    "days": ("days.csv", table("date,fatigue\n", "{day},3\n"), 10_000),
    "periods": ("periods.csv", table("first,last,kind\n", "{day},{day},rest\n"), 5000),
    "quotes never closed": ("nights.csv", table("date,notes\n", '{day},"a\n'), 10_000),
    "columns": (
        "races.csv",
        lambda n: ("date," + ",".join(f"c{k}" for k in range(n))).encode(),
        45,
    ),
    "rows of a workbook": ("races.xlsx", part(SHEET, b"</sheetData>", b"<row/>"), 200_000),
    "styles of a workbook": ("races.xlsx", part(STYLES, b"</cellXfs>", b"<xf/>"), 45_000),
}
BOMBS: dict[str, tuple[str, bytes]] = {
    "key of 60 kB within keys": ("athlete.toml", (ATHLETE + ".".join("a" * 30_000)).encode()),
    "lists of 60 kB within lists": ("athlete.toml", (ATHLETE + "a = " + "[" * 60_000).encode()),
    "settings of 10 MB": ("athlete.toml", (ATHLETE + "#" * 10_000_000).encode()),
    "header of 549 kB": ("races.csv", ",".join(f"c{k}" for k in range(80_000)).encode()),
    "one cell of 2 MB": ("races.csv", b"date,name\n2030-01-01," + b"a" * 1_900_000),
    "2 MB of blank lines": ("races.csv", b"date\n" + b"\n" * 1_900_000),
    "2 MB of short rows": ("nights.csv", b"date\n" + b"a\n" * 950_000),
    "2 MB of quotes": ("nights.csv", b"date\n" + b'"' * 1_900_000),
    "2 MB of separators": ("nights.csv", b"date\n" + b"," * 1_900_000),
    "10,000 trips": ("trips.csv", table("depart_date,arrive_date\n", "{day},{day}\n")(10_000)),
    "20 million styles": ("races.xlsx", part(STYLES, b"</cellXfs>", b"<xf/>")(20_000_000)),
    "4 million rows": ("races.xlsx", part(SHEET, b"</sheetData>", b"<row/>")(4_000_000)),
    "2 million cells in a row": (
        "races.xlsx",
        part(SHEET, b"</row></sheetData>", b"<c/>")(2_000_000),
    ),
}


def cost(name: str, data: bytes) -> tuple[float, str, str]:
    """(seconds, MB here and in the reader, remarks) of reading a journal with this file."""
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "athlete.toml").write_text(ATHLETE)
        (Path(place) / name).write_bytes(data)
        words = [sys.executable, "-c", READ, place]
        ran = subprocess.run(words, capture_output=True, text=True, check=True)
    seconds, memory, said = ran.stdout.splitlines()
    return float(seconds), memory.replace(" ", " + "), said


def main() -> None:
    """Prints both tables."""
    print("| grows | n | s at n | at 2n | at 4n | 4n : 2n |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for what, (name, made, number) in GROWING.items():
        one, two, four = (cost(name, made(n))[0] for n in (number, 2 * number, 4 * number))
        print(f"| {what} | {number} | {one:.2f} | {two:.2f} | {four:.2f} | {four / two:.1f} |")
    print("\n| bomb | kB | s | MB here + reader | remarks, first |")
    print("| --- | ---: | ---: | ---: | --- |")
    for what, (name, data) in BOMBS.items():
        seconds, memory, said = cost(name, data)
        print(f"| {what} | {len(data) // 1000} | {seconds:.2f} | {memory} | {said} |")


if __name__ == "__main__":
    main()
