"""How long a leg was trained, by its seconds and its timer, and what a person should know of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.notices import Notice, note
from taperback.importer.recording import Recording
from taperback.importer.summary.samples import Grid


def elapsed_s(recording: Recording, grid: Grid) -> float:
    """From start to end; the samples tell where the stated end makes no sense."""
    stated = recording.end_utc.timestamp() - grid.start_s
    believed = len(grid.moving) <= stated <= LIMITS.cleaning.longest_s
    return stated if believed else float(len(grid.moving))


def overran(recording: Recording, grid: Grid) -> bool:
    """Whether the timer says that it ran longer than the leg lasted, as where laps stand twice."""
    return recording.total_timer_s > elapsed_s(recording, grid) + LIMITS.fit.timer_slack_s


def moving_s(recording: Recording, grid: Grid) -> tuple[float, tuple[Notice, ...]]:
    """Seconds of training, NaN where nothing tells them, and what should be known about them.

    They are the seconds that moved. What the timer ran before the first sample and after the last
    is added, and where samples cover less than half of the timer's time, the timer alone tells.
    There is never more training than the timer ran or than went by.
    """
    limits = LIMITS.cleaning
    counted = float(np.count_nonzero(grid.moving))
    recorded = counted + grid.removed_s.get("standing", 0.0)
    elapsed, timer = elapsed_s(recording, grid), recording.total_timer_s
    if not 0 < timer <= max(elapsed, LIMITS.cleaning.longest_s):
        moved = min(counted, elapsed) if len(grid.moving) else float("nan")
        return moved, tuple(_remarks(recording, grid))
    if not recorded:
        return timer, ()
    most = min(timer, elapsed)
    records = f"it records {_minutes(recorded)} of {_minutes(timer)} minutes"
    silent = grid.removed_s.get("recording gap", 0.0)
    # Where the way is known on both sides of a silence, that tells that it stood.
    known = recorded + (silent if np.isfinite(grid.way_m) else 0.0)
    if known < limits.least_recorded_share * most:
        return most, (note("few-samples", f"{records}; its timer was believed for the rest"),)
    # Pool lengths tell all the time that was swum; between them lies rest.
    beyond = 0.0 if len(recording.lengths) else most - recorded - silent
    if beyond <= max(LIMITS.fit.timer_slack_s, limits.taken_out_share * most):
        return min(counted, most), tuple(_remarks(recording, grid))
    beyond_records = note("few-samples", f"{records}; its timer was believed for the rest")
    return min(counted + beyond, most), (beyond_records, *_remarks(recording, grid))


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.0f}" if seconds >= 600 else f"{seconds / 60:.1f}"


def _remarks(recording: Recording, grid: Grid) -> Iterator[Notice]:
    """What was taken out of the leg or counted against its looks, where that is a good part.

    Rests between pool lengths are known to be rests.
    """
    limits = LIMITS.cleaning
    counted = float(np.count_nonzero(grid.moving))
    if grid.on_the_spot:
        yield note(
            "on-the-spot",
            "it hardly moves while the heart works, so all of it counts as training on the spot",
        )
    out = {name: grid.removed_s.get(name, 0.0) for name in ("standing", "recording gap")}
    taken = sum(out.values())
    if not len(recording.lengths) and taken > limits.taken_out_share * (counted + taken):
        rule = max(out, key=lambda name: out[name])
        found = f"{_minutes(taken)} of its {_minutes(counted + taken)} minutes do not count"
        why = {"standing": "standing", "recording gap": "silence without any way"}[rule]
        yield note("taken-out", f"{found}, most of them {why}")
    if grid.wavered_m > limits.taken_out_share * (grid.way_m + grid.wavered_m):
        yield note(
            "wavers",
            f"{grid.wavered_m / 1000:.1f} km of its way lie where it hardly got on, as places "
            "waver, and were left out; its way and time are rough",
        )
    astray = grid.removed_s.get("clock astray", 0.0)
    if astray > limits.jumps_share * len(recording.samples):
        yield note(
            "clock-astray",
            f"{astray:.0f} of its {len(recording.samples)} points are dated by another clock and "
            "do not count",
        )
    if grid.too_fast_m > limits.jumps_share * (grid.way_m + grid.too_fast_m):
        yield note(
            "jumps",
            f"{grid.too_fast_m / 1000:.1f} km of jumps faster than anyone in its sport were left "
            "out of its way",
        )
