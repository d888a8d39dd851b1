"""What the importer makes of patterns met in real recordings, beside the planted truth.

    python tests/soak/patterns.py [--before FOLDER]

prints a table; FOLDER is a checkout of an earlier commit, which reads the same bytes, so that each
figure stands before and after. The bytes are written here, no recording of anybody's is needed.
"""

from __future__ import annotations

import argparse
import json
import math
import pickle
import subprocess
import sys
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "sample_data", "tests")]

from fit_writer import FitWriter  # noqa: E402
from importer.fit_files import START_S, add_records, run_file, session  # noqa: E402
from importer.test_real_patterns import at, even, gpx, gpx_points, lap, tcx, tcx_points  # noqa: E402


@dataclass(frozen=True)
class Pattern:
    """Files of one pattern, the figure asked of them (as `_READ` names it) and what is right."""

    name: str
    figure: str
    right: str
    files: dict[str, bytes]


_READ = """
import importlib, json, math, pickle, sys, tempfile
from pathlib import Path
sys.path.insert(0, sys.argv[1] + "/analysis")
for name in ("taperback.importer.file.one_file", "taperback.importer.reading"):
    try:
        read_bytes = importlib.import_module(name).read_bytes
        break
    except ImportError:
        pass

def figure(kind, files):
    legs = [leg for data in files.values() for leg in read_bytes(data, "0" * 64).legs]
    if kind == "legs":
        return f"{len(legs)} legs"
    if not legs:
        return "no leg"
    leg = legs[0]
    if kind == "moving":
        return " + ".join(f"{leg.moving_s:.0f} s" for leg in legs)
    if kind == "metres":
        return " + ".join(f"{leg.distance_m:.0f} m" for leg in legs)
    if kind == "both":
        return f"{leg.moving_s:.0f} s, {leg.distance_m:.0f} m"
    if kind == "sport":
        return ", ".join(leg.sport for leg in legs)
    if kind == "place":
        return "no place" if math.isnan(leg.start_lat) else "a place"
    if kind == "said":
        said = [note.code for note in getattr(leg, "remarks", ())]
        return f"{leg.moving_s:.0f} s, said: {', '.join(said) or 'nothing'}"
    raise ValueError(kind)

out = []
for kind, files in pickle.load(sys.stdin.buffer):
    try:
        out.append(figure(kind, files))
    except Exception as error:
        out.append(f"{type(error).__name__}: {error}"[:60])
print(json.dumps(out))
"""


def patterns() -> list[Pattern]:
    """Every pattern, in the order of the table."""
    irregular = [s for s in range(3601) if s * s % 7 in (0, 1, 4) and s % 11 < 6]
    weaving = [(s, 3.0 * s + 20.0 * math.sin(s / 9)) for s in irregular]
    slow_fix = [(s, 0.9 * (s - s % (10 if s // 100 % 2 else 20))) for s in range(0, 7300, 2)]
    frozen = [(s, 3.0 * (s - s % 40)) for s in range(0, 2001, 5)]
    smart = [0, 4, 9, 15, 46, 50, 55, 108, 112, 118, 150, 155, 160, 165, 170, 201]
    wander = [(s, 0.05 * s % 40) for s in range(0, 7487, 2)]
    apart = [(s + 172_800, m) for s, m in even(900)]
    run = even(3689)
    return [
        Pattern("GPX without a device's distance, weaving", "metres", f"{_way_m(weaving):.0f} m",
                {"a.gpx": gpx(gpx_points(weaving))}),
        Pattern("TCX speed 0.0 in every second point", "moving", "3689 s",
                {"a.tcx": tcx(lap(tcx_points(run, lambda s: 3.0 * (s % 2)), 3689, 11_067))}),
        Pattern("heart rate every 2 s, place every 10 to 20 s", "moving", "about 7300 s",
                {"a.gpx": gpx(gpx_points(slow_fix, rate=120), kind="hiking")}),
        Pattern("place repeated, then a jump", "both", "2000 s, 6000 m",
                {"a.gpx": gpx(gpx_points(frozen))}),
        Pattern("steps of 31 to 53 s on a straight", "moving", "201 s",
                {"a.gpx": gpx(gpx_points([(s, 8.0 * s) for s in smart]), kind="cycling")}),
        Pattern("two points in a second at a lap's edge", "moving", "120 s",
                {"a.tcx": _two_laps()}),
        Pattern("uphill, 0.3 m/s over ground", "moving", "400 s", {"a.fit": _uphill()}),
        Pattern("heart rate 147 within 40 m", "said", "7487 s, on-the-spot",
                {"a.gpx": gpx(gpx_points(wander, rate=146))}),
        Pattern("records of 5 of 59 minutes", "said", "3540 s, few-samples",
                {"a.fit": _timed(300, 3540)}),
        Pattern("type 1, 4, 9, 10 in GPX", "sport", "cycling, hiking, running, walking",
                {f"{kind}.gpx": gpx(gpx_points(even(60)), kind=kind)
                 for kind in ("1", "4", "9", "10")}),
        Pattern("TCX cut off in a later lap", "both", "1000 s, 2997 m", {"a.tcx": _cut()}),
        Pattern("the same track twice", "both", "667 s, 2001 m",
                {"a.tcx": tcx(lap(tcx_points(even(340)), 340, 1020),
                              lap(tcx_points(even(667)), 327, 981, 340))}),
        Pattern("two outings in one track", "moving", "600 s + 900 s",
                {"a.gpx": gpx(gpx_points(even(600)), gpx_points(apart))}),
        Pattern("laps that count twice", "moving", "2283 s",
                {"a.tcx": tcx(lap(tcx_points(even(2283)), 2283, 6849), lap("", 2283, 6849))}),
        Pattern("5 of 296 points with a time", "said", "4 s, untimed", {"a.gpx": _untimed()}),
        Pattern("constant speed, 24 files", "legs", "24 legs",
                {f"{mps}-{n}.fit": _constant(mps, n)
                 for mps in (2.0 / 3, 2.5, 2.8, 2.9, 3.0, 3.33, 4.1, 8.1)
                 for n in (597, 1200, 3601)}),
        Pattern("a virtual ride", "place", "no place",
                {"a.fit": run_file(60, sport="cycling", sub_sport="virtual_activity")}),
    ]  # fmt: skip


def _way_m(rows: list[tuple[float, float]]) -> float:
    return sum(abs(after[1] - before[1]) for before, after in pairwise(rows))


def _two_laps() -> bytes:
    second = [(s, 3.0 * s) for s in range(60, 121)]
    return tcx(
        lap(tcx_points(even(60), lambda s: 3.0), 60, 180),
        lap(tcx_points(second, lambda s: 3.0 * (s > 60)), 60, 180, 60),
    )


def _uphill() -> bytes:
    writer = FitWriter()
    for s in range(400):
        told = {"distance": 0.3 * s, "speed": 0.3, "altitude": 500 + 0.2 * s}
        writer.message("record", timestamp=START_S + s, **told)
    session(writer, 400, total_distance=120.0)
    return writer.bytes()


def _timed(recorded: int, timer: int) -> bytes:
    writer = FitWriter()
    add_records(writer, recorded)
    session(writer, timer)
    return writer.bytes()


def _cut() -> bytes:
    first = lap(tcx_points(even(600)), 600, 1800)
    second = lap(tcx_points([(s, 3.0 * s) for s in range(601, 1201)]), 600, 1800, 600)
    stop = second.index(f"<Trackpoint><Time>{at(1000)}")
    return tcx(first, whole=False) + second[:stop].encode()


def _untimed() -> bytes:
    points = gpx_points(even(295)).split("</trkpt>")
    kept = [
        one if place < 5 else one.replace("<time>", "<no>").replace("</time>", "</no>")
        for place, one in enumerate(points)
    ]
    return gpx("</trkpt>".join(kept))


def _constant(mps: float, seconds: int) -> bytes:
    writer = FitWriter()
    add_records(writer, seconds, speed=mps, power=None)
    session(writer, seconds, sub_sport="treadmill")
    return writer.bytes()


def figures(tree: Path, wanted: list[Pattern]) -> list[str]:
    """What the code of a checkout makes of them, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", _READ, str(tree)],
        input=pickle.dumps([(pattern.figure, pattern.files) for pattern in wanted]),
        capture_output=True,
        check=True,
    )
    read: list[str] = json.loads(done.stdout)
    return read


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--before", type=Path, help="a checkout of an earlier commit")
    before = parser.parse_args().before
    wanted = patterns()
    columns = {"pattern": [one.name for one in wanted]}
    if before:
        columns["before"] = figures(before, wanted)
    columns |= {"now": figures(TOP, wanted), "planted": [one.right for one in wanted]}
    print("| " + " | ".join(columns) + " |")
    print("| " + " | ".join("---" for _ in columns) + " |")
    for cells in zip(*columns.values(), strict=True):
        print("| " + " | ".join(cells) + " |")


if __name__ == "__main__":
    main()
