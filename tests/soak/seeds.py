"""Where a fuzzer starts: files that work, the smallest of the sample and what tests build."""

from __future__ import annotations

import gzip
import io
import json
import zipfile
import zlib
from pathlib import Path

from faults.stage import TYPED
from fit_writer import FitWriter
from importer.fit_files import START_S, run_file
from importer.test_fit_hr import swim
from importer.test_sleep_json import UP, hours, point
from importer.xml_texts import TCX_HEAD, TCX_TAIL, tcx_point
from importer.xml_texts import gpx as a_gpx
from importer.xml_texts import tcx as a_tcx
from report.squads import member
from soak.targets import BETWEEN, BOOK, JOURNAL, book_parts
from taperback.importer.store.codec import unframed
from taperback.journal.columns import TABLES
from taperback.journal.draft import with_rows
from taperback.squad import codec as squad_codec

TYPED_MORE = {
    "athlete.toml": TYPED["athlete.toml"] + b'[[clocks]]\nfiles = "z.zip!f.fit"\nshift_h = 24\n',
    "trips.csv": b"arrive_date,to_zone\n2030-04-28,Asia/Dhaka\n",
    "sessions.csv": b"date,sport,duration,hard_min,rpe\n2030-04-29,running,45 min,5,7\n",
    "days.csv": b"date,fatigue,resting_hr_bpm,on_feet_h,massage\n2030-04-30,3,48,2.5,y\n",
    "periods.csv": b"first,last,kind,notes\n2030-04-01,2030-04-05,no records,flu\n",
}
CLOCKS = {
    "named": (b"2030-05-03-0730 run [1].fit", b'[[clocks]]\nfiles = "*run*"\nshift_h = 3.5\n'),
    "start": (
        "Läufe/20300503.fit".encode(),
        '[[clocks]]\nfiles = ["Läufe/20300503.fit"]\nright_start = 2030-05-03T07:30Z\n'.encode(),
    ),
    "plain": (b"a.fit", b'[[clocks]]\nfiles = "a.fit"\nright_start = "2030-05-31 7:30"\n'),
}


def seeds(target: str, folder: Path) -> dict[str, bytes]:
    """Files to start from, by a short name: the smallest of the sample, and what tests build."""
    if target == "journal":
        paths = (folder / name for name in JOURNAL)
        typed = (path.read_bytes() if path.exists() else b"" for path in paths)
        begun = [with_rows(b"", (), table) for table in TABLES.values()]
        return {
            "sample": BETWEEN.join(map(_head, typed)),
            "begun": BETWEEN.join([TYPED["athlete.toml"], *begun]),
        }
    if target == "study":
        typed = TYPED | TYPED_MORE
        return {"small": BETWEEN.join(typed.get(name, b"") for name in JOURNAL)}
    if target == "clocks":
        return {name: BETWEEN.join(parts) for name, parts in CLOCKS.items()}
    if target == "kept":
        made = (squad_codec.pack(member(place), {}) for place in (1, 2))
        plain = [zlib.decompress(unframed(packed)) for packed, _ in made]
        return {str(place): data for place, data in enumerate(plain)}
    if target == "calendar":
        return {"run": BETWEEN.join([b"running", b"4 x 1 km at 3:45 /km; then, easy", b"Ada"])}
    if target == "workbook":
        book = book_parts()
        return {"sample": BETWEEN.join(book[name] for name in BOOK)}
    if target == "archives":
        return _packed()
    if target == "sleep":
        return _points()
    found = sorted(folder.rglob(f"*.{target}"), key=lambda path: path.stat().st_size)[:20]
    return {path.name: path.read_bytes() for path in found} | _built(target)


def _head(text: bytes) -> bytes:
    return b"\n".join(text.split(b"\n")[:12]) + b"\n"


def _built(target: str) -> dict[str, bytes]:
    return {
        "fit": {
            "run": run_file(20),
            "big": run_file(5, big_endian=True, total_ascent=3),
            "chained": run_file(3) + run_file(4),
            "heart": swim([900, 910, 930, 950] * 4),
            "slept": slept(),
        },
        "tcx": {"short": _short_tcx(), "ride": a_tcx(), "pause": a_tcx(pause=True)},
        "gpx": {"short": _short_gpx(), "run": a_gpx(), "undated": a_gpx(times=False)},
    }[target]


def slept() -> bytes:
    """A night: asleep, awake, asleep."""
    writer = FitWriter()
    for hour, level in enumerate(("light", "deep", "awake", "rem", "awake")):
        writer.message("sleep_level", timestamp=START_S + 3600 * hour, sleep_level=level)
    return writer.bytes()


def _short_tcx() -> bytes:
    points = "".join(tcx_point(second) for second in range(4))
    return f"{TCX_HEAD}<Track>{points}</Track><Track>{tcx_point(9)}</Track>{TCX_TAIL}".encode()


def _short_gpx() -> bytes:
    parts = a_gpx().split(b"<trkpt")
    return b"<trkpt".join(parts[:4]) + b"</trkseg><trkseg>" + b"<trkpt".join([b"", *parts[-2:]])


def _points() -> dict[str, bytes]:
    night, bad = point(is_main_sleep=True), point("ieee:sleep-duration:1.0", sleep_duration={})
    interval = {"start_date_time": UP, "duration": hours(8)}
    later = point(effective_time_frame={"time_interval": interval}, is_main_sleep=False)
    lines = b"\n".join(json.dumps(one).encode() for one in (night, bad, later))
    series = night | {"body": [night["body"], later["body"]]}
    whole = {"one": night, "list": [night, bad, later], "series": series}
    return {"lines": lines} | {name: json.dumps(value).encode() for name, value in whole.items()}


def _packed() -> dict[str, bytes]:
    stored, deflated = io.BytesIO(), io.BytesIO()
    with zipfile.ZipFile(stored, "w") as archive:
        archive.writestr("a.fit", b"..........FIT")
        archive.writestr("b/c.gpx", b"<gpx>")
        archive.writestr(".hidden.fit", b"x")
    with zipfile.ZipFile(deflated, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("in.zip", stored.getvalue())
        archive.writestr("d.tcx.gz", gzip.compress(b"<TrainingCenterDatabase>"))
    single = gzip.compress(b"<gpx></gpx>" * 20)
    return {
        "stored": stored.getvalue(),
        "nested": deflated.getvalue(),
        "single": single,
        "twice": gzip.compress(single),
        "cut": single[:-6],
    }
