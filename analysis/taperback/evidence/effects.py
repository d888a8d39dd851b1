"""What a factor's effect is: per what it is given, and how it follows from the parameters."""

from __future__ import annotations

import numpy as np

from taperback.evidence.additive import EFFECTS, KNOTS, hat_weights
from taperback.evidence.priors import FACTORS

EFFECT_UNITS = {
    "volume_cut": 0.1,
    "intensity_kept": 0.1,
    "sleep_change_h": 1.0,
    "body_clock_lag_h": 1.0,
}
"""What an effect is given per: ten points of volume or intensity, an hour."""

RISE = (0.10, 0.50)
"""The published rising part of the curve; its mean slope stands for the whole factor."""


SIZE = 1 + len(KNOTS) + len(FACTORS[1:]) + 1
"""How many parameters there are: level, curve, straight effects, trend."""


def curve_at(cuts: np.ndarray) -> np.ndarray:
    """The linear combinations of parameters that are the curve's height there; shape (k, p)."""
    of = np.zeros((len(cuts), SIZE))
    of[:, 1 : 1 + len(KNOTS)] = hat_weights(cuts)
    return of


def straight(place: int) -> np.ndarray:
    """The parameter that is a straight factor's effect per 1 of it; shape (p,)."""
    of = np.zeros(SIZE)
    of[range(SIZE)[EFFECTS][place - 1]] = 1.0
    return of


def effect_of(place: int) -> np.ndarray:
    """The linear combination of parameters that is a factor's effect per its unit; shape (p,)."""
    unit = EFFECT_UNITS[FACTORS[place]]
    if place:
        return unit * straight(place)
    low, high = curve_at(np.array(RISE))
    slope: np.ndarray = (high - low) * unit / (RISE[1] - RISE[0])
    return slope
