"""Stretches of work inside a session, found without knowing the athlete's thresholds.

Readings of an interval session fall on two levels. The level between them that separates best
(Otsu) divides work from easier time, if little time is spent in between; a steady session, however
hilly, has no such level and gives no bouts. Which seconds belong to work is then decided for the
session as a whole: the two-level sequence that fits best, where each change of level has a price,
so that a corner or a short descent does not cut a repetition in two (Viterbi).

References:
    Otsu 1979, IEEE Trans Syst Man Cybern 9:62-66, doi 10.1109/TSMC.1979.4310076.
    Viterbi 1967, IEEE Trans Inf Theory 13:260-269, doi 10.1109/TIT.1967.1054010.
"""

from __future__ import annotations

import numpy as np

from taperback.common.importer_limits import Bouts
from taperback.common.limits import LIMITS
from taperback.importer.model import Bout
from taperback.importer.recording import Recording
from taperback.importer.summary.channels import known_mean
from taperback.importer.summary.samples import Grid
from taperback.importer.summary.way import highest_mps

_ONE_LEVEL = 1e-6


def find_bouts(recording: Recording, grid: Grid) -> tuple[Bout, ...]:
    """The session's stretches of work, in order; empty for a steady session."""
    if len(recording.lengths):
        return _swum_bouts(recording, grid)
    limits, moved_s = LIMITS.bouts, np.count_nonzero(grid.moving)
    # Power tells effort best (on a bike), then speed, then heart rate, which lags.
    powers = (grid.power_w,) if recording.sport == "cycling" else ()
    channels = (*powers, grid.speed_mps, grid.heart_rate_bpm)
    measured = (one for one in channels if np.count_nonzero(np.isfinite(one)) > 0.8 * moved_s)
    channel = next(measured, None)
    if channel is None or moved_s < limits.shortest_session_s:
        return ()
    effort = _blocks(channel, grid.moving, limits)
    levels = _levels(effort, limits)
    working = _working(effort, levels, limits) if levels else None
    if working is None:
        return ()
    changes = np.flatnonzero(np.diff(working.astype(np.int8), prepend=0, append=0))
    stretches = (changes * limits.block_s).reshape(-1, 2).tolist()
    long = (each for each in stretches if each[1] - each[0] >= limits.shortest_s)
    return tuple(_bout(grid, first, last) for first, last in long)


def _blocks(channel: np.ndarray, moving: np.ndarray, limits: Bouts) -> np.ndarray:
    """Means over short blocks; zero at rest, NaN where not measured; shape (n // block_s,)."""
    coasting: np.ndarray = channel == 0
    if coasting.any():
        # A rest lasts longer than the zeros that a rider has in every corner.
        run = np.cumsum(np.append(True, coasting[1:] != coasting[:-1])) - 1
        coasting &= np.bincount(run)[run] <= limits.coasting_s
    values = np.where(moving, np.where(coasting, np.nan, channel), 0.0)
    step = limits.block_s
    values = values[: len(values) // step * step].reshape(-1, step)
    known = np.isfinite(values)
    count = known.sum(axis=1)
    total = np.where(known, values, 0.0).sum(axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _levels(effort: np.ndarray, limits: Bouts) -> tuple[float, float] | None:
    """The levels (easier, work) that the session falls on, or None where it does not.

    Where the lower level is hardly moving, or rare (lights, descents), only the rest of the time
    is looked at: standing still does not make the time between an interval.
    """
    smooth = _smooth(effort, limits.window_s // limits.block_s)
    while True:
        # Means of equal readings differ in their last digits; such a session has one level.
        if len(smooth) < 2 or np.ptp(smooth) <= _ONE_LEVEL * smooth.max():
            return None
        above = smooth >= _otsu(smooth)
        low, high = float(np.median(smooth[~above])), float(np.median(smooth[above]))
        if low > limits.idle_share * high and (~above).mean() >= limits.easier_share:
            break
        smooth = smooth[above]
    between = np.abs(smooth - (low + high) / 2) < (high - low) / 4
    apart = between.mean() <= limits.between_share and high >= limits.level_ratio * low
    return (low, high) if apart else None


def _smooth(effort: np.ndarray, width: int) -> np.ndarray:
    """Moving means over the blocks that were measured and not at rest; shape (those,)."""
    counts = np.isfinite(effort) & (effort > 0)
    window = np.ones(width)
    total = np.convolve(np.where(counts, effort, 0.0), window, "same")
    mean = total / np.maximum(np.convolve(counts.astype(float), window, "same"), 1)
    means: np.ndarray = mean[counts]
    return means


def _otsu(values: np.ndarray) -> float:
    """The value that divides these into two classes with the largest variance between them."""
    counts, edges = np.histogram(values, bins=64)
    sums = np.cumsum(counts * (edges[:-1] + edges[1:]) / 2)
    below = np.cumsum(counts)[:-1]
    above = len(values) - below
    gap = (sums[-1] - sums[:-1]) / above - sums[:-1] / below
    return float(edges[int(np.argmax(below * above * gap**2)) + 1])


def _working(effort: np.ndarray, levels: tuple[float, float], limits: Bouts) -> np.ndarray | None:
    """Which blocks are work; bool, shape of `effort`, or None where the two levels fit badly.

    The dearest change of level that explains nearly as much as the cheapest is taken: long
    repetitions bear a dear one, short ones need a cheap one.
    """
    known = np.isfinite(effort)
    spread = float(np.var(effort[known]))
    best, chosen = 0.0, None
    for price in limits.change_s:
        working = _decode(effort, levels, price / limits.block_s)
        means = [effort[known & side] for side in (working, ~working)]
        if min(map(len, means)) == 0:
            continue
        unexplained = sum(float(np.var(part)) * len(part) for part in means) / known.sum()
        explained = 1 - unexplained / spread
        if explained >= limits.nearly * best:
            chosen = working
        best = max(best, explained)
    return chosen


def _decode(effort: np.ndarray, levels: tuple[float, float], price: float) -> np.ndarray:
    """The best two-level sequence where a change costs `price` blocks at the wrong level."""
    low, high = levels
    towards = np.clip((effort - (low + high) / 2) * 3 / (high - low), -1.0, 1.0)
    leads = []
    ahead = 0.0
    for step in np.nan_to_num(towards).tolist():
        ahead = (price if ahead > price else -price if ahead < -price else ahead) + step
        leads.append(ahead)
    lead = np.array(leads)
    # A lead above the price settles the block before any later one can; the others follow those.
    settled = np.abs(lead) > price
    settled[-1] = True
    places = np.where(settled, np.arange(len(lead)), len(lead) - 1)
    return lead[np.minimum.accumulate(places[::-1])[::-1]] > 0


def _bout(grid: Grid, first: int, last: int) -> Bout:
    speed = known_mean(grid.speed_mps[first:last])
    return Bout(
        float(first),
        float(last - first),
        speed * (last - first),
        speed,
        known_mean(grid.power_w[first:last]),
        known_mean(grid.heart_rate_bpm[first:last]),
    )


def _swum_bouts(recording: Recording, grid: Grid) -> tuple[Bout, ...]:
    """Lengths swum without a rest between them; a swim in one go gives no bouts."""
    pool_m, highest = recording.pool_length_m, highest_mps(recording.sport)
    bouts: list[list[tuple[float, float]]] = []
    resting = True
    for length in recording.lengths.itertuples():
        if not length.active:
            resting = True
            continue
        since_s, duration_s = float(length.start_s) - grid.start_s, float(length.duration_s)
        # A slip of the device may last no time; in a damaged file a length may start years away.
        within = 0 < duration_s <= len(grid.moving) >= since_s >= 0
        if not within or pool_m > highest * duration_s:
            continue
        if resting:
            bouts.append([])
        bouts[-1].append((since_s, duration_s))
        resting = False
    if len(bouts) < 2:
        return ()
    found = []
    for lengths in bouts:
        seconds, metres = sum(duration for _, duration in lengths), pool_m * len(lengths)
        first = int(lengths[0][0])
        rate = known_mean(grid.heart_rate_bpm[first : first + int(seconds)])
        found.append(Bout(float(first), seconds, metres, metres / seconds, float("nan"), rate))
    return tuple(found)
