"""How long each leg was easy, moderate and hard: the three-zone model on stored histograms.

References:
    Esteve-Lanao et al. 2005, Med Sci Sports Exerc 37:496-504: time in three zones.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from taperback.raceweek.effort.thresholds import Found, Step, Thresholds
from taperback.raceweek.legs import Legs

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
    below = []
    for bins in (step.first / bin_width, step.second / bin_width):
        whole = min(int(bins), len(seconds))
        part = (bins - whole) * seconds[whole] if whole < len(seconds) else 0.0
        below.append(float(seconds[:whole].sum() + part))
    return np.diff([0.0, *below, float(seconds.sum())])


def leg_zones(legs: Legs, thresholds: Mapping[str, Found]) -> dict[str, np.ndarray]:
    """Seconds easy, moderate and hard of each leg.

    Args:
        legs: columns of `Window.legs`.
        thresholds: what holds in each sport, as `thresholds_by_race` gives it for one race.

    Returns:
        Columns `ZONE_COLUMNS`, `hard_min` and `hard_typed`, whether they rest on hard minutes that
        the athlete typed, which is so where the leg carries no signal; shape (n,) each.
    """
    rows, typed = [], []
    for leg in legs:
        found, seconds = thresholds.get(leg.sport), None
        if isinstance(found, Thresholds):
            seconds = getattr(leg, found.signal.histogram)
            if seconds is not None:
                step = found.on(leg.local_day)
                rows.append(zone_seconds(seconds, found.signal.bin_width, step))
        if seconds is None:  # what the athlete typed is hard, all other time easy; NaN is neither
            hard_s = min(60 * leg.typed_hard_min, 3600 * leg.hours)
            rows.append(np.array([3600 * leg.hours - hard_s, 0.0, hard_s]))
        typed.append(seconds is None and leg.typed_hard_min == leg.typed_hard_min)
    values = np.vstack(rows) if rows else np.empty((0, 3))
    zones = dict(zip(ZONE_COLUMNS, values.T, strict=True))
    return zones | {"hard_typed": np.array(typed, bool), "hard_min": zones["hard_s"] / 60}
