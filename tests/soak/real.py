"""Real recordings, each by itself, beside the device's own totals and an independent reader's.

    python tests/soak/real.py FOLDER [--all] [--csv FILE]

prints every leg outside the tolerance with its reason, and a count. Distance is held against the
device's own total, else against the way between positions; moving time against the timer's time
less true standstill. The independent readers are the official FIT SDK's package, gpxpy and
tcxreader; standstill is worked out here, from their points. Nothing in FOLDER is changed or kept.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import math
import sys
import warnings
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, fields
from pathlib import Path

TOP = Path(__file__).parents[2]
sys.path[:0] = [str(TOP / name) for name in ("analysis", "tests")]

import numpy as np  # noqa: E402
from soak.outside_readers import Outside, outside_legs  # noqa: E402

from taperback.importer.file.archives import Member, members  # noqa: E402
from taperback.importer.file.one_file import Content, read_bytes  # noqa: E402
from taperback.importer.model import LegSummary  # noqa: E402

NAN = math.nan
TRAVELS = {"running", "walking", "hiking", "cycling"}
STANDING_MPS = 0.4
LOOK_S = 10
"""A second stands where so many seconds before and after it lie closer than `STANDING_MPS`."""
LONG_STEP_S = 300


@dataclass(frozen=True)
class Line:
    """One leg as we and the outside have it; lengths in m, times in s, NaN where unknown."""

    file: str
    leg: int
    sport: str
    distance: float
    device_distance: float
    way: float
    distance_ratio: float
    moving: float
    timer: float
    standstill: float
    moving_ratio: float
    reason: str


def lines_of(path: Path) -> Iterator[Line | str]:
    """A line a leg; a text for a file that nothing came of."""
    for member in members(path.name, path.read_bytes()):
        if not isinstance(member, Member):
            yield str(member)
            continue
        content = read_bytes(member.data, hashlib.sha256(member.data).hexdigest())
        if not content.legs:
            yield f"{path.name}: {'; '.join(r.found for r in content.remarks) or 'nothing'}"
            continue
        try:
            others = outside_legs(member.data)
        except Exception as error:  # whatever another program trips over
            yield f"{path.name}: no independent reader reads it ({type(error).__name__}: {error})"
            continue
        if not others:
            yield f"{path.name}: independent readers find no leg"
            continue
        for leg in content.legs:
            yield _line(path.name, leg, _nearest(leg, others), content)


def _nearest(leg: LegSummary, others: list[Outside]) -> Outside:
    """The outside's leg that starts closest to ours."""
    start = leg.start_utc.timestamp()
    return min(others, key=lambda o: (abs(o.start_s - start), o.place != leg.leg_index))


def _line(file: str, leg: LegSummary, other: Outside, content: Content) -> Line:
    standstill = _standstill_s(other) if leg.sport in TRAVELS else 0.0
    expected = max(other.timer_s - standstill, 0.0)
    meant = other.device_m if other.device_m > 0 else other.way_m
    remarks = [r.found for r in (*leg.remarks, *content.remarks)]
    return Line(
        file, leg.leg_index, f"{leg.sport}/{leg.sub_sport}", leg.distance_m, other.device_m,
        other.way_m, _ratio(leg.distance_m, meant), leg.moving_s, other.timer_s, standstill,
        _ratio(leg.moving_s, expected), "; ".join(remarks),
    )  # fmt: skip


def _ratio(ours: float, theirs: float) -> float:
    if math.isnan(theirs) or (math.isnan(ours) and theirs == 0):
        return NAN
    return ours / theirs if theirs > 0 else NAN


def _standstill_s(other: Outside) -> float:
    """Seconds without way: less than walking pace from some seconds before to some after."""
    time, way = other.time_s, other.counted_m
    if len(time) < 3 or not np.isfinite(way).any() or np.nanmax(way) <= 0:
        return 0.0
    known = np.isfinite(way)
    time, way = time[known], way[known]
    changes = np.append(True, np.diff(way) != 0)
    changes[-1] = True
    time, way = time[changes], way[changes]
    grid = np.arange(time[0], time[-1] + 1)
    if other.lat is None:
        ahead, behind = (np.interp(grid + s, time, way) for s in (LOOK_S, -LOOK_S))
        net = ahead - behind
    else:
        net = _net_m(other, grid)
    span = np.minimum(grid + LOOK_S, grid[-1]) - np.maximum(grid - LOOK_S, grid[0])
    standing = net < STANDING_MPS * np.maximum(span, 1)
    return float(np.count_nonzero(standing & other.running(grid)))


def _net_m(other: Outside, grid: np.ndarray) -> np.ndarray:
    """Straight-line metres from some seconds before each second to some after."""
    lat, lon = other.lat, other.lon
    assert lat is not None and lon is not None  # noqa: PT018
    known = np.isfinite(lat) & np.isfinite(lon)
    moved = np.append(True, (np.diff(lat[known]) != 0) | (np.diff(lon[known]) != 0))
    moved[-1] = True
    time, lat, lon = (values[known][moved] for values in (other.time_s, lat, lon))
    at = [np.clip(grid + s, time[0], time[-1]) for s in (LOOK_S, -LOOK_S)]
    north = np.interp(at[0], time, lat) - np.interp(at[1], time, lat)
    east = np.interp(at[0], time, lon) - np.interp(at[1], time, lon)
    return 111_195 * np.hypot(north, east * np.cos(np.radians(np.nanmean(lat))))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--all", action="store_true", help="print every leg")
    parser.add_argument("--csv", type=Path, help="also write all legs to this file")
    given = parser.parse_args()
    warnings.simplefilter("ignore")
    lines: list[Line] = []
    refused = 0
    for path in sorted(path for path in given.folder.rglob("*") if path.is_file()):
        for line in lines_of(path):
            if isinstance(line, str):
                refused += 1
                if given.all:
                    print("not used:", line)
            else:
                lines.append(line)
                if given.all or _outside(line):
                    print(_text(line))
    if given.csv:
        with given.csv.open("w", newline="") as file:
            table = csv.writer(file)
            table.writerow([field.name for field in fields(Line)])
            table.writerows([getattr(line, f.name) for f in fields(Line)] for line in lines)
    _summary(lines, refused)


def _off(ratio: float, most: float) -> bool:
    return abs(ratio - 1) > most


def _outside(line: Line) -> bool:
    return _off(line.distance_ratio, 0.01) or _off(line.moving_ratio, 0.02)


def _text(line: Line) -> str:
    marks = f"{'D' if _off(line.distance_ratio, 0.01) else ' '}"
    marks += f"{'M' if _off(line.moving_ratio, 0.02) else ' '}"
    return (
        f"{marks} {line.file}.{line.leg} {line.sport}: {line.distance:.0f} m (device "
        f"{line.device_distance:.0f}, way {line.way:.0f}, x{line.distance_ratio:.3f}); "
        f"{line.moving:.0f} s (timer {line.timer:.0f} less {line.standstill:.0f}, "
        f"x{line.moving_ratio:.3f}); {line.reason}"
    )


def _summary(lines: list[Line], refused: int) -> None:
    counts: Counter[str] = Counter()
    for name, tolerances in (("distance_ratio", (0.01, 0.03)), ("moving_ratio", (0.02,))):
        ratios = [getattr(line, name) for line in lines]
        known = [ratio for ratio in ratios if not math.isnan(ratio)]
        for tolerance in tolerances:
            near = sum(not _off(ratio, tolerance) for ratio in known)
            share = near / max(len(known), 1)
            print(f"{name} within {tolerance:.0%}: {near} of {len(known)} ({share:.1%})")
    counts["legs"], counts["files not used"] = len(lines), refused
    print(dict(counts))


if __name__ == "__main__":
    with suppress(BrokenPipeError):
        main()
