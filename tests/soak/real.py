"""Real recordings, each by itself, beside the device's own totals and an independent reader's.

    python tests/soak/real.py FOLDER [--all] [--csv FILE]

prints every leg outside the tolerance with its remarks, and a count. Nothing in FOLDER is changed
or kept. The independent readers are the official FIT SDK's package, gpxpy and tcxreader.

Distance is held against the device's own total, else against the way between all positions over
the seconds that are no true standstill. Moving time is held against the timer's time less pauses
and true standstill, which `standstill.py` works out from the points of those readers: stays, where
the sport travels and nothing was climbed and no power made; in all others only silences without a
way. In a pool the lengths tell.

Not compared is a leg of fewer than 20 points, where the two ends of a recording and one rounded
position decide, a leg whose points run backwards in time, so that nothing tells its seconds, and a
file that no independent reader reads. Under a roof no place tells of standstill, but a device's
count does.

A remark explains a leg only if it is about that leg and that quantity, in the right direction:
less distance by jumps, by another clock or by time taken out; less time by time taken out; more
time by a timer that was believed, or a session on the spot; either by places that waver where it
hardly gets on. The rules of the importer were written with these files at hand, so that the shares
are no forecast for others.
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
from soak.standstill import (  # noqa: E402
    COUNTED_S,
    PLACES_S,
    SILENT_S,
    WALKING_PACE_MPS,
    climbs,
    stays,
)
from taperback.importer.file.archives import Member, members  # noqa: E402
from taperback.importer.file.one_file import Content, read_bytes  # noqa: E402
from taperback.importer.model import LegSummary  # noqa: E402
from taperback.importer.sports import is_indoors  # noqa: E402

NAN = math.nan
TRAVELS = {"running", "walking", "hiking", "cycling"}
FEWEST_POINTS = 20
LESS_M, MORE_M = {"jumps", "taken-out", "clock-astray", "wavers"}, {"wavers"}
LESS_S, MORE_S = {"taken-out", "wavers"}, {"few-samples", "on-the-spot", "wavers"}
"""Codes of the remarks that explain less or more distance or time."""
LONGEST_S = 7 * 86_400
SAME_START_S = 2
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
    backwards: bool
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
    """The outside's leg at the same place that begins with ours, else one alike in time."""
    start, until = leg.start_utc.timestamp(), leg.start_utc.timestamp() + leg.elapsed_s
    alike = [other for other in others if abs(other.start_s - start) <= SAME_START_S]
    if len(others) == leg.legs_in_file and any(o.place == leg.leg_index for o in alike):
        return next(other for other in alike if other.place == leg.leg_index)
    if alike:
        return min(
            alike,
            key=lambda other: (
                abs(np.ptp(other.time_s) - leg.elapsed_s),
                abs(other.place - leg.leg_index),
            ),
        )
    return max(
        others,
        key=lambda other: np.count_nonzero((other.time_s >= start) & (other.time_s <= until)),
    )


def _line(file: str, leg: LegSummary, other: Outside, content: Content) -> Line:
    standstill, way_kept = _standstill(
        other,
        # Under a roof places are guesses, and a device's own count is none.
        travels=leg.sport in TRAVELS and (other.lat is None or not is_indoors(leg.sub_sport)),
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
        other.disordered, " ".join(sorted(codes)), "; ".join(remarks),
    )  # fmt: skip


def _ratio(ours: float, theirs: float) -> float:
    return ours / theirs if theirs > 0 else NAN


def _standstill(other: Outside, *, travels: bool) -> tuple[float, float]:
    """(seconds of true standstill, metres of the way over all others), while the timer ran."""
    order = np.argsort(other.time_s, kind="stable")
    order = order[np.isfinite(other.counted_m[order])]
    time, way = other.time_s[order], other.counted_m[order]
    if len(time) < 2:
        return 0.0, other.way_m
    if time[-1] - time[0] > LONGEST_S or other.disordered:
        return NAN, NAN
    # Between updates a device repeats what it knows: only changes tell.
    changed = np.append(True, np.diff(way) != 0)
    if other.lat is not None and other.lon is not None:
        changed[1:] |= (np.diff(other.lat[order]) != 0) | (np.diff(other.lon[order]) != 0)
    changed[-1] = True
    if travels:
        order, time, way = order[changed], time[changed], way[changed]
        standing = _stands(other, order, time, way)
    else:
        every = np.sort(other.time_s)
        way = np.interp(every, time[changed], way[changed])
        time = every
        standing = np.diff(time) > SILENT_S
        standing &= np.diff(way) < WALKING_PACE_MPS * np.diff(time)
    ran = other.ran_s(time)
    steps = np.where(ran > 0, np.maximum(np.diff(way), 0.0), 0.0)
    worked = np.diff(np.interp(time, *_worked_s(other)))
    stood = float(np.maximum(ran - worked, 0.0)[standing].sum())
    # Where no event says when the timer stood, it stood while nothing moved.
    return max(stood - other.stopped_s, 0.0), float(steps[~standing].sum())


def _stands(other: Outside, order: np.ndarray, time: np.ndarray, way: np.ndarray) -> np.ndarray:
    if other.lat is None or other.lon is None:
        staying = stays(time, way, np.zeros(len(way)), COUNTED_S)
    else:
        lat, lon = other.lat[order], other.lon[order]
        east = 111_195 * (lon - lon[0]) * np.cos(np.radians(lat.mean()))
        staying = stays(time, east, 111_195 * (lat - lat[0]), PLACES_S)
    return staying & ~climbs(time, way, other.height_m[order])


def _worked_s(other: Outside) -> tuple[np.ndarray, np.ndarray]:
    """(Unix seconds, seconds with power until then)."""
    order = np.argsort(other.time_s, kind="stable")
    time = other.time_s[order]
    steps = np.diff(time)  # a reading holds until the next, but over no silence
    worked = steps * ((steps <= SILENT_S) & (other.power_w[order][:-1] > 0))
    return time, np.concatenate([[0.0], np.cumsum(worked)])


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
    return bool((LESS_M if line.distance_ratio < 1 else MORE_M) & set(line.codes.split()))


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
            "distance within 3%, or with a remark that says why",
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
    backwards = sum(line.backwards for line in compared)
    print(
        f"{len(lines)} legs, {len(lines) - len(compared)} of too few points and {backwards} that "
        f"run backwards in time; {refused} files not used or compared"
    )


if __name__ == "__main__":
    with suppress(BrokenPipeError):
        main()
