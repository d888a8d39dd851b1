"""How long each leg was easy, moderate and hard: the three-zone model on stored histograms.

References:
    Esteve-Lanao et al. 2005, Med Sci Sports Exerc 37:496-504: time in three zones.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.raceweek.effort.thresholds import Found, Step, Thresholds
from taperback.raceweek.legs import Leg, Legs

ZONE_COLUMNS = ("easy_s", "moderate_s", "hard_s")
"""Seconds below the first, between the two and above the second threshold; all NaN where the leg
does not carry the signal that its sport is read by."""


def zone_seconds(seconds: np.ndarray, bin_width: float, step: Step) -> np.ndarray:
    """Seconds in the three zones from seconds per bin; a bin across a threshold is shared out.

    Args:
        seconds: seconds per bin from 0 on, shape (k,).
        bin_width: width of a bin, in the thresholds' unit.
        step: the thresholds.

    Returns:
        Easy, moderate and hard seconds, shape (3,).
    """
    below = [_seconds_below(seconds, limit / bin_width) for limit in (step.first, step.second)]
    return np.diff([0.0, *below, float(seconds.sum())])


def _seconds_below(seconds: np.ndarray, bins: float) -> float:
    """Seconds in the first `bins` bins, the last one in part."""
    whole = min(int(bins), len(seconds))
    part = (bins - whole) * seconds[whole] if whole < len(seconds) else 0.0
    return float(seconds[:whole].sum() + part)


def leg_zones(legs: Legs, thresholds: Mapping[str, Found]) -> dict[str, np.ndarray]:
    """Seconds easy, moderate and hard of each leg.

    Args:
        legs: columns of `Window.legs`.
        thresholds: what holds in each sport, as `thresholds_by_race` gives it for one race.

    Returns:
        Columns `ZONE_COLUMNS` and `hard_typed`, whether they rest on hard minutes that the athlete
        typed, which is so where the leg carries no signal; shape (n,) each.
    """
    rows, typed = [], []
    for leg in legs:
        read = _zones(leg, thresholds.get(leg.sport))
        rows.append(_typed(leg) if read is None else read)
        typed.append(read is None and leg.typed_hard_min == leg.typed_hard_min)
    values = np.vstack(rows) if rows else np.empty((0, 3))
    zones = dict(zip(ZONE_COLUMNS, values.T, strict=True))
    return zones | {"hard_typed": np.array(typed, bool)}


def _zones(leg: Leg, found: Found | None) -> np.ndarray | None:
    """Seconds by zone as the leg's signal tells them; None where it carries none."""
    if isinstance(found, Thresholds):
        seconds: np.ndarray | None = getattr(leg, found.signal.histogram)
        if seconds is not None:
            step = found.on(leg.local_day)
            return zone_seconds(seconds, found.signal.bin_width, step)
    return None


def _typed(leg: Leg) -> np.ndarray:
    """Hard minutes as the athlete typed them, all other time as easy; NaN where none are typed."""
    hard_s = min(60 * leg.typed_hard_min, 3600 * leg.hours)
    return np.array([3600 * leg.hours - hard_s, 0.0, hard_s])
