"""Which seconds of a recording count as training: what moved, by all that the recording says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from taperback.common.limits import LIMITS
from taperback.importer.recording import Recording
from taperback.importer.summary.standing import find_standing
from taperback.importer.summary.way import Way, highest_mps


@dataclass(frozen=True)
class Moving:
    """Which seconds count.

    Attributes:
        counts, stood: whether a second counts, or stood still; bool, shape (n,) each.
        on_the_spot: whether it hardly moved and was a session all the same, by its heart rate.
    """

    counts: np.ndarray
    stood: np.ndarray
    on_the_spot: bool = False


def find_moving(
    recording: Recording,
    start: float,
    recorded: np.ndarray,
    grid: Mapping[str, np.ndarray],
    way: Way | None,
    swimming: np.ndarray | None,
    removed: dict[str, float],
) -> Moving:
    """The seconds without pauses, silences and standing.

    Args:
        recording: what the file says.
        start: Unix time of the first second.
        recorded: whether a sample holds then, and it is no silence; bool, shape (n,).
        grid: `speed_mps`, `power_w`, `heart_rate_bpm` and `altitude_m` at each second.
        way: how far it was gone, None where nothing tells.
        swimming: whether a pool length was swum, None outside a pool.
        removed: seconds that each rule took out, by name; this adds to it.
    """
    seconds = start + np.arange(len(recorded))
    paused = np.zeros(len(recorded), bool)
    for since, until in recording.pauses:
        paused[max(int(since - start), 0) : max(int(until - start), 0)] = True
    if swimming is not None:
        recorded = recorded | swimming
    elif not recorded.all():
        recorded = _with_silences(recording, recorded, paused, seconds, way)
    removed["recording gap"] = float(np.count_nonzero(~recorded & ~paused))
    removed["pause"] = float(np.count_nonzero(paused & recorded))
    recorded = recorded & ~paused
    standing = recorded & (
        find_standing(recording.sport, grid, way, seconds) if swimming is None else ~swimming
    )
    if swimming is None and _is_session_on_the_spot(standing, recorded, grid["heart_rate_bpm"]):
        return Moving(recorded, np.zeros_like(standing), on_the_spot=True)
    removed["standing"] = float(np.count_nonzero(standing))
    return Moving(recorded & ~standing, standing)


def _with_silences(
    recording: Recording,
    recorded: np.ndarray,
    paused: np.ndarray,
    seconds: np.ndarray,
    way: Way | None,
) -> np.ndarray:
    """The recorded seconds, and silent ones in which the athlete went on; bool, shape (n,).

    Over such a silence the way went on, over a long one at least half as fast as usual, and no
    faster than anyone can; where nothing tells the way, the timer ran on. Where the timer's total
    leaves no room for all of them, the longest are pauses.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], ~recorded, [False]]).astype(np.int8)))
    silences = edges.reshape(-1, 2)
    counted = recorded.copy()
    if way is not None:
        # The last sample before a silence is the moment that its step begins.
        silences[:, 0] = np.maximum(silences[:, 0] - 1, 0)
        counted[silences[:, 0]] = False
    # Seconds that the timer counted beyond those with samples; NaN without a timer to believe.
    timer, slack = recording.total_timer_s, LIMITS.fit.timer_slack_s
    room = float("nan")
    if 0 < timer <= len(seconds) + slack:
        room = float(timer + slack - np.count_nonzero(counted & ~paused))
    if way is None:
        ran_on = room >= np.count_nonzero(~recorded & ~paused)  # False where it is NaN
        chosen = silences if ran_on else silences[:0]
    else:
        chosen = silences[_went_on(silences, paused, seconds, way, recording.sport, recorded)]
    for first, last in sorted(chosen, key=lambda silence: silence[1] - silence[0]):
        open_s = np.count_nonzero(~paused[first:last])
        if open_s <= room or np.isnan(room):
            counted[first:last] = True
            room -= open_s
    return counted


def _went_on(
    silences: np.ndarray,
    paused: np.ndarray,
    seconds: np.ndarray,
    way: Way,
    sport: str,
    recorded: np.ndarray,
) -> np.ndarray:
    """Over which silences, as (first, last) second, the way went on enough; bool, shape (k,)."""
    limits = LIMITS.cleaning
    since = seconds[silences[:, 0]]
    until = seconds[np.minimum(silences[:, 1], len(seconds) - 1)]
    stopped = np.concatenate([[0], np.cumsum(paused)])[silences]
    open_s = until - since - (stopped[:, 1] - stopped[:, 0])
    gone = (way.at(until) - way.at(since)) / np.maximum(open_s, 1)
    window = np.clip(2 * way.usual_step_s, limits.speed_window_s, limits.gap_s)
    rate = way.rate_mps(seconds, float(window))  # over two of its usual steps or more
    usual = rate[recorded & (rate >= limits.standing_mps)]
    usual_mps = float(np.median(usual if len(usual) else gone))
    enough = gone >= np.where(
        open_s > limits.longest_gap_s,
        max(limits.standing_mps, limits.silent_share * usual_mps),
        limits.standing_mps,
    )
    went_on: np.ndarray = enough & (gone <= highest_mps(sport))
    return went_on


def _is_session_on_the_spot(
    standing: np.ndarray, recorded: np.ndarray, heart_rate: np.ndarray
) -> bool:
    """Whether most of it stood still with the heart at work, as indoors or where a fix failed."""
    limits = LIMITS.cleaning
    if standing.sum() <= limits.on_the_spot_share * max(recorded.sum(), 1):
        return False
    rates = heart_rate[standing & np.isfinite(heart_rate)]
    measured = len(rates) >= limits.on_the_spot_share * standing.sum()
    return bool(measured and np.median(rates) >= limits.effort_heart_rate_bpm)
