"""Time and memory of files that were made to cost both.

Run by hand: python tests/benchmarks/bounds.py

The first table reads each kind at a size of n, 2n and 4n, up to the largest that is read without a
process of its own; the ratios say whether time grows with the size or with its square. The second
imports a folder with one bomb in it, as every command does, and adds up all processes.
"""

from __future__ import annotations

import gzip
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from fit_writer import FitWriter  # noqa: E402
from importer.test_folder import zipped  # noqa: E402

LARGEST = 1_000_000

_READ = """
import resource, sys, time
from pathlib import Path
from taperback.importer.file.one_file import read_bytes
from taperback.importer.history import FolderContents
from taperback.importer.store.codec import pack, unpack
data = Path(sys.argv[1]).read_bytes()
start = time.process_time()
content = read_bytes(data, "d" * 64)
(again,) = unpack([("a", pack(content))])
FolderContents([("a", again)], []).on_calendar("Europe/Lisbon")
spent = time.process_time() - start
print(spent, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, len(content.legs))
"""

_IMPORT = """
import resource, sys, time
from pathlib import Path
from taperback.importer.folder import read_folder
start = time.perf_counter()
imported = read_folder(Path(sys.argv[1]), "Europe/Lisbon")
spent = time.perf_counter() - start
who = resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN
own, others = (resource.getrusage(each).ru_maxrss / 1024 for each in who)
print(spent, own, others, *[str(notice) for notice in imported.notices][:1], sep="|")
"""


def gpx(inside: Callable[[int], str], size: int) -> bytes:
    """A GPX file of that size, filled with numbered pieces."""
    return _filled("<gpx>", inside, "</gpx>", size)


def _filled(before: str, inside: Callable[[int], str], after: str, size: int) -> bytes:
    count = max((size - len(before) - len(after)) // len(inside(10_000)), 1)
    return (before + "".join(map(inside, range(count))) + after).encode()


def _time(second: int) -> str:
    moment = datetime(2024, 5, 1, tzinfo=UTC) + timedelta(seconds=second)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def _track_of_one(place: int) -> str:
    point = f'<trkpt lat="40" lon="-8"><time>{_time(place * 100)}</time></trkpt>'
    return f"<trk><trkseg>{point}</trkseg></trk>"


def _lap(place: int) -> str:
    return f'<Lap StartTime="{_time(place * 10)}"><TotalTimeSeconds>10</TotalTimeSeconds></Lap>'


def _night(place: int) -> str:
    return '{"header":{"schema_id":{"namespace":"ieee","name":"sleep-episode"}},"body":7},'


def fit_of(message: str, size: int, **fields: object) -> bytes:
    """A FIT file of about that size, of one kind of message."""
    writer = FitWriter()
    writer.message("file_id", type="activity", time_created=1_700_000_000)
    while len(writer.body) < size:
        writer.message(message, **fields)
    return writer.bytes()


_TCX = ("<TrainingCenterDatabase><Activities>", "</Activities></TrainingCenterDatabase>")
SHAPES: Mapping[str, Callable[[int], bytes]] = {
    "GPX: empty tracks": lambda size: gpx(lambda _: "<trk/>", size),
    "GPX: tracks of one point": lambda size: gpx(_track_of_one, size),
    "GPX: empty segments": lambda size: _filled(
        "<gpx><trk>", lambda _: "<trkseg/>", "</trk></gpx>", size
    ),
    "GPX: points without anything": lambda size: _filled(
        "<gpx><trk>", lambda _: "<trkpt/>", "</trk></gpx>", size
    ),
    "GPX: nested tags": lambda size: b"<gpx>" + b"<a>" * (size // 3),
    "GPX: one long text": lambda size: b"<gpx><trk><type>" + b"x&amp;" * (size // 6),
    "GPX: comments": lambda size: b"<gpx>" + b"<!---->" * (size // 7) + b"</gpx>",
    "GPX: attributes": lambda size: _filled("<gpx><trk ", lambda n: f'a{n}="" ', "/></gpx>", size),
    "TCX: empty activities": lambda size: _filled(_TCX[0], lambda _: "<Activity/>", _TCX[1], size),
    "TCX: laps": lambda size: _filled(_TCX[0] + "<Activity>", _lap, "</Activity>" + _TCX[1], size),
    "TCX: activities of one lap": lambda size: _filled(
        _TCX[0], lambda n: f"<Activity>{_lap(n)}</Activity>", _TCX[1], size
    ),
    "JSON: nested": lambda size: b'{"schema_id":' + b"[" * size,
    "JSON: empty lists": lambda size: b'[{"schema_id":1},' + b"[]," * (size // 3) + b"[]]",
    "JSON: points that are no night": lambda size: _filled("[", _night, "{}]", size),
    "JSON: lines that are none": lambda size: b'{"schema_id":1}\n' + b"x\n" * (size // 2),
    "FIT: sessions": lambda size: fit_of(
        "session",
        size,
        start_time=1_700_000_000,
        timestamp=1_700_000_100,
        sport="running",
        total_elapsed_time=100,
    ),
    "FIT: laps": lambda size: fit_of(
        "lap", size, start_time=1_700_000_000, timestamp=1_700_000_100
    ),
    "FIT: records": lambda size: fit_of("record", size, timestamp=1_700_000_000, heart_rate=120),
    "FIT: events": lambda size: fit_of(
        "event", size, timestamp=1_700_000_000, event="timer", event_type="start"
    ),
}
MUCH = 98_000_000


def packed(data: bytes) -> bytes:
    """The bytes in gzip, in a ratio that archives may have: noise stands in front."""
    noise = random.Random(1).randbytes(550_000).hex().encode()
    root, end, rest = data.partition(b">") if data.startswith(b"<") else (b"", b"[", data[1:])
    before, after = (b"<!--", b"-->") if root else (b'"', b'",')
    return gzip.compress(root + end + before + noise + after + rest)


BOMBS: Mapping[str, Callable[[], tuple[str, bytes]]] = {
    "empty tracks, gzip": lambda: ("a.gpx.gz", packed(gpx(lambda _: "<trk/>", MUCH))),
    "segments, gzip": lambda: ("a.gpx.gz", packed(SHAPES["GPX: empty segments"](MUCH))),
    "points, gzip": lambda: (
        "a.gpx.gz",
        packed(SHAPES["GPX: points without anything"](MUCH)),
    ),
    "nested tags, gzip": lambda: ("a.gpx.gz", packed(SHAPES["GPX: nested tags"](MUCH))),
    "laps, zip": lambda: ("a.zip", zipped({"a.tcx": SHAPES["TCX: laps"](MUCH)})),
    "empty lists, gzip named json": lambda: (
        "a.json",
        packed(SHAPES["JSON: empty lists"](MUCH)),
    ),
    "nested lists, zip": lambda: ("a.zip", zipped({"a.json": SHAPES["JSON: nested"](MUCH)})),
    "zeros, gzip": lambda: ("a.fit.gz", gzip.compress(bytes(MUCH))),
    "gzip in gzip": lambda: ("a.gz", gzip.compress(gzip.compress(bytes(MUCH)))),
    "zip in zip in zip": lambda: (
        "a.zip",
        zipped({"b.zip": zipped({"c.zip": zipped({"d.fit": bytes(MUCH)})})}),
    ),
}


def run(code: str, path: Path) -> str:
    paths = os.pathsep.join(path for path in sys.path if path)
    with tempfile.TemporaryDirectory(prefix="cache-") as cache:
        env = os.environ | {"PYTHONPATH": paths, "XDG_CACHE_HOME": cache}
        words = [sys.executable, "-c", code, str(path)]
        return subprocess.run(words, env=env, capture_output=True, text=True, check=True).stdout


def main() -> None:
    with tempfile.TemporaryDirectory(prefix="bounds-") as place:
        print(
            "| kind | n bytes | s at n | 2n / n | 4n / 2n | MB at 4n |\n|---|---|---|---|---|---|"
        )
        for name, make in SHAPES.items():
            told = []
            for size in (LARGEST // 4, LARGEST // 2, LARGEST):
                path = Path(place, "file")
                path.write_bytes(make(size))
                told.append([float(word) for word in run(_READ, path).split()])
            (one, *_), (two, *_), (four, peak, _) = told
            ratios = f"{two / one:.1f} | {four / two:.1f}"
            print(f"| {name} | {LARGEST // 4} | {one:.2f} | {ratios} | {peak:.0f} |", flush=True)
        print("\n| bomb | kB | s | MB here | MB reader | said |\n|---|---|---|---|---|---|")
        for name, made in BOMBS.items():
            folder = Path(tempfile.mkdtemp(dir=place))
            file, data = made()
            (folder / file).write_bytes(data)
            spent, own, others, *said = run(_IMPORT, folder).strip().split("|")
            numbers = (len(data) / 1000, float(spent), float(own), float(others))
            row = "{:.0f} | {:.1f} | {:.0f} | {:.0f}".format(*numbers)
            print(f"| {name} | {row} | {' '.join(said)} |", flush=True)


if __name__ == "__main__":
    main()
