"""Readings that cannot be true, taken out and counted by rule."""

from __future__ import annotations

import numpy as np

from taperback.common.importer_limits import Cleaning


def believed(
    name: str,
    values: np.ndarray,
    weight: np.ndarray,
    sport: str,
    limits: Cleaning,
    removed: dict[str, float],
) -> np.ndarray:
    """A channel without readings that cannot be true.

    Args:
        name: `speed_mps`, `power_w` or `heart_rate_bpm`.
        values: its readings, shape (n,), NaN where there is none.
        weight: seconds that each reading holds for, shape (n,).
        sport: name of the FIT profile.
        limits: `cleaning` of `shared/limits.toml`.
        removed: seconds that each rule took out, by name; this adds to it.
    """
    known = np.isfinite(values)
    if not known.any():
        return values
    if not np.any(values[known]):
        # A channel of zeros is a sensor that was not there, not an athlete who did nothing.
        return np.full(len(values), np.nan)
    low, high, spike, stuck_s = _limits_of(name, sport, limits)
    rules = {"out of range": known & ((values < low) | (values > high))}
    if spike:
        rules["spike"] = _spikes(values, spike)
    if stuck_s:
        rules["stuck"] = _stuck(values, weight, stuck_s)
    bad = np.zeros(len(values), bool)
    label = name.rsplit("_", 1)[0].replace("_", " ")
    for rule, hit in rules.items():
        hit &= ~bad
        bad |= hit
        removed[f"{label} {rule}"] = removed.get(f"{label} {rule}", 0.0) + float(weight[hit].sum())
    return np.where(bad, np.nan, values)


def _limits_of(name: str, sport: str, limits: Cleaning) -> tuple[float, float, float, float]:
    """(lowest, highest, how far a spike stands out, how long a stuck sensor says the same); 0 for
    no such rule."""
    if name == "heart_rate_bpm":
        bounds = limits.heart_rate_low_bpm, limits.heart_rate_high_bpm
        return *bounds, limits.spike_heart_rate_bpm, limits.stuck_heart_rate_s
    if name == "power_w":
        return 0.0, limits.power_high_w, limits.spike_power_w, limits.stuck_power_s
    speeds = limits.speed_high_mps
    return 0.0, speeds.get(sport, speeds["other"]), limits.spike_speed_mps, 0.0


def _spikes(values: np.ndarray, jump: float) -> np.ndarray:
    """Single readings far from both neighbours, which agree with each other."""
    hit = np.zeros(len(values), bool)
    before, here, after = values[:-2], values[1:-1], values[2:]
    with np.errstate(invalid="ignore"):
        apart = (np.abs(here - before) > jump) & (np.abs(here - after) > jump)
        hit[1:-1] = apart & (np.abs(before - after) < jump)
    return hit


def _stuck(values: np.ndarray, weight: np.ndarray, longest_s: float) -> np.ndarray:
    """Readings that stay the same, above zero, for longer than the limit."""
    change = np.append(True, np.diff(values) != 0)
    run = np.cumsum(change) - 1
    seconds = np.bincount(run, weights=weight)
    stuck: np.ndarray = (seconds[run] > longest_s) & (values > 0)
    return stuck
