"""What a factor's effect is: per what it is told, and how it follows from the parameters."""

from __future__ import annotations

import numpy as np

from taperback.evidence.additive import KNOTS
from taperback.evidence.priors import FACTORS

EFFECT_UNITS = {
    "volume_cut": 0.1,
    "intensity_kept": 0.1,
    "sleep_change_h": 1.0,
    "body_clock_lag_h": 1.0,
}
"""What an effect is told per: ten points of volume or intensity, an hour."""

RISE = (0.10, 0.50)
"""The published rising part of the curve; its mean slope stands for the whole factor."""


def effect_of(place: int) -> np.ndarray:
    """The linear combination of parameters that is a factor's effect per its unit; shape (p,)."""
    of = np.zeros(1 + len(KNOTS) + len(FACTORS) - 1)
    unit = EFFECT_UNITS[FACTORS[place]]
    if place:
        of[len(KNOTS) + place] = unit
        return of
    low, high = (1 + int(np.argmin(np.abs(KNOTS - at))) for at in RISE)
    of[high], of[low] = 1.0, -1.0
    return of * unit / (RISE[1] - RISE[0])
