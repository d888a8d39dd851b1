"""Beliefs written down by hand, so that what follows from them can be worked out beside them."""

from __future__ import annotations

import numpy as np

from taperback.evidence.additive import EFFECTS, KNOTS, Posterior

SIZE = 1 + len(KNOTS) + 3 + 1
"""The level, the curve at its knots, three straight effects and the trend."""


def place(cut: float) -> int:
    """Where the parameters hold the height of the curve at a cut."""
    return 1 + int(np.argmin(np.abs(KNOTS - cut)))


def certain(
    curve: np.ndarray | None = None,
    effects: tuple[float, float, float] = (0.0, 0.0, 0.0),
    noise: float = 2.0,
    covariance: np.ndarray | None = None,
) -> Posterior:
    """One size of noise, this curve at `KNOTS`, these effects; no doubt unless stated."""
    mean = np.zeros(SIZE)
    mean[1 : 1 + len(KNOTS)] = 0.0 if curve is None else curve
    mean[EFFECTS] = effects
    spread = np.zeros((SIZE, SIZE)) if covariance is None else covariance
    return Posterior(np.array([noise]), np.array([1.0]), mean[None], spread[None])


def peak(at: float, drop: float = 1.0) -> np.ndarray:
    """A curve that is zero at its best and falls by `drop` at each knot away from it."""
    return -drop * np.abs(np.arange(len(KNOTS)) - (place(at) - 1.0))
