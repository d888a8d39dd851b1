"""Real recordings, each by itself, beside the device's own totals and an independent reader's.

    python tests/soak/real.py FOLDER [--all] [--csv FILE]

prints every leg outside the tolerance with its remarks, and a count. Nothing in FOLDER is changed
or kept. The independent readers are the official FIT SDK's package, gpxpy and tcxreader.

Distance is held against the device's own total, else against the way between all positions over
the seconds that are no true standstill. Moving time is held against the timer's time less true
standstill, which is worked out here, from the points of those readers: where the sport travels, the
seconds around which the place hardly changes, and in all others only silences.

Not compared is a leg of fewer than 20 points, where the two ends of a recording and one rounded
position decide, and a file that no independent reader reads. Under a roof no place tells of
standstill, so that only silences count there.

A remark explains a leg only if it is about that leg and that quantity, in the right direction:
less distance by jumps or by time taken out; less time by time taken out; more time by a timer that
was believed, or a session on the spot. The rules of the importer were written with these files at
hand, so that the shares are no forecast for others.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import math
import sys
import warnings
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
from taperback.importer.sports import is_indoors  # noqa: E402

NAN = math.nan
TRAVELS = {"running", "walking", "hiking", "cycling"}
FEWEST_POINTS = 20
LESS_M, LESS_S, MORE_S = {"jumps", "taken-out"}, {"taken-out"}, {"few-samples", "on-the-spot"}
"""Codes of the remarks that explain less distance, less time and more time."""
STANDING_MPS = 0.4
LOOK_S = {"device": 3, "positions": 10}
"""A second stands where so many seconds before and after it lie closer than `STANDING_MPS`: few
where the device counts its way, more where places waver."""
SILENT_S = 30
LONGEST_S = 7 * 86_400
ROUNDING_M = 2
"""Metres by which a way of a few points may differ."""


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
    points: int
    codes: str
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
    standstill, way_kept = _standstill(
        other, travels=leg.sport in TRAVELS and not is_indoors(leg.sub_sport)
    )
    if other.rested_s is not None:
        standstill = other.rested_s
    meant = other.device_m if other.device_m > 0 else way_kept
    remarks = [r.found for r in (*leg.remarks, *content.remarks)]
    codes = {r.code for r in leg.remarks}
    return Line(
        file, leg.leg_index, f"{leg.sport}/{leg.sub_sport}", leg.distance_m, other.device_m,
        way_kept, _ratio(leg.distance_m, meant), leg.moving_s, other.timer_s, standstill,
        _ratio(leg.moving_s, other.timer_s - standstill), len(other.time_s),
        " ".join(sorted(codes)), "; ".join(remarks),
    )  # fmt: skip


def _ratio(ours: float, theirs: float) -> float:
    return ours / theirs if theirs > 0 else NAN


def _standstill(other: Outside, *, travels: bool) -> tuple[float, float]:
    """(seconds of true standstill, metres of the way over all other seconds).

    A second stands where the place, or the device's count, changes by less than walking pace from
    some seconds before to some after. In sports that do not travel, and where the sport is
    unknown, only silences count.
    """
    known = np.isfinite(other.counted_m)
    if known.sum() < 2:
        return 0.0, other.way_m
    order = np.argsort(other.time_s[known], kind="stable")
    time, way = other.time_s[known][order], other.counted_m[known][order]
    if time[-1] - time[0] > LONGEST_S:
        return NAN, NAN
    recorded, look = np.sort(other.time_s), LOOK_S["device" if other.lat is None else "positions"]
    changes = np.append(True, np.diff(way) > 0)
    changes[-1] = True
    grid = np.arange(time[0], time[-1])
    if not len(grid):
        return 0.0, other.way_m
    if other.lat is None:
        ahead, behind = (np.interp(grid + s, time[changes], way[changes]) for s in (look, -look))
        net = ahead - behind
    else:
        net = _net_m(other, grid, look)
    span = np.minimum(grid + look, time[-1]) - np.maximum(grid - look, time[0])
    standing = net < STANDING_MPS * np.maximum(span, 1)
    if not travels:
        at = np.clip(np.searchsorted(recorded, grid, side="right") - 1, 0, len(recorded) - 2)
        standing &= (np.diff(recorded) > SILENT_S)[at]
    running = other.running(grid)
    steps = np.diff(np.interp(np.append(grid, time[-1]), time, way))
    stood = float(np.count_nonzero(standing & running))
    # Where no event says when the timer stood, it stood while nothing moved.
    return max(stood - other.stopped_s, 0.0), float(steps[running & ~standing].sum())


def _net_m(other: Outside, grid: np.ndarray, look: int) -> np.ndarray:
    """Straight-line metres from some seconds before each second to some after."""
    lat, lon = other.lat, other.lon
    assert lat is not None
    assert lon is not None
    known = np.flatnonzero(np.isfinite(lat) & np.isfinite(lon))
    known = known[np.argsort(other.time_s[known], kind="stable")]
    moved = np.append(True, (np.diff(lat[known]) != 0) | (np.diff(lon[known]) != 0))
    moved[-1] = True
    time, lat, lon = (values[known][moved] for values in (other.time_s, lat, lon))
    at = [np.clip(grid + s, time[0], time[-1]) for s in (look, -look)]
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


def _off(ratio: float, most: float, seconds: float = math.inf) -> bool:
    """Whether a ratio is off by more than a share; two seconds are the two ends of a recording."""
    return abs(ratio - 1) > max(most, 2 / seconds if seconds > 0 else math.inf)


def _outside(line: Line) -> bool:
    return line.points >= FEWEST_POINTS and (_distance_off(line, 0.01) or _moving_off(line))


def _distance_off(line: Line, most: float) -> bool:
    return _off(line.distance_ratio, most) and abs(line.distance - _meant_m(line)) > ROUNDING_M


def _meant_m(line: Line) -> float:
    return line.device_distance if line.device_distance > 0 else line.way


def _moving_off(line: Line) -> bool:
    return _off(line.moving_ratio, 0.02, line.timer - line.standstill)


def _distance_explained(line: Line) -> bool:
    return line.distance_ratio < 1 and bool(LESS_M & set(line.codes.split()))


def _moving_explained(line: Line) -> bool:
    return bool((LESS_S if line.moving_ratio < 1 else MORE_S) & set(line.codes.split()))


def _text(line: Line) -> str:
    marks = f"{'D' if _distance_off(line, 0.01) else ' '}{'M' if _moving_off(line) else ' '}"
    return (
        f"{marks} {line.file}.{line.leg} {line.sport}: {line.distance:.0f} m (device "
        f"{line.device_distance:.0f}, way {line.way:.0f}, x{line.distance_ratio:.3f}); "
        f"{line.moving:.0f} s (timer {line.timer:.0f} less {line.standstill:.0f}, "
        f"x{line.moving_ratio:.3f}); {line.reason}"
    )


def _summary(lines: list[Line], refused: int) -> None:
    compared = [line for line in lines if line.points >= FEWEST_POINTS]
    measured = [line for line in compared if not math.isnan(line.distance_ratio)]
    timed = [line for line in compared if not math.isnan(line.moving_ratio)]
    for what, known, off in (
        ("distance within 1%", measured, lambda line: _distance_off(line, 0.01)),
        ("distance within 3%", measured, lambda line: _distance_off(line, 0.03)),
        (
            "distance within 3%, or less with a remark that says why",
            measured,
            lambda line: _distance_off(line, 0.03) and not _distance_explained(line),
        ),
        ("moving time within 2% or 2 s", timed, _moving_off),
        (
            "moving time within 2%, or with a remark that says why",
            timed,
            lambda line: _moving_off(line) and not _moving_explained(line),
        ),
    ):
        near = sum(not off(line) for line in known)
        print(f"{what}: {near} of {len(known)} legs ({near / max(len(known), 1):.1%})")
    few = len(lines) - len(compared)
    print(f"{len(lines)} legs, {few} of too few points; {refused} files not used or compared")


if __name__ == "__main__":
    with suppress(BrokenPipeError):
        main()
