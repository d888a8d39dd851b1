"""How far apart two places on the Earth are."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

EARTH_RADIUS_M = 6_371_008.8
"""Mean radius R1 of the WGS84 ellipsoid [m]: (2a + b) / 3, Moritz 2000, J Geodesy 74:128-133."""


def great_circle_m(
    lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike
) -> np.ndarray:
    """Length of the great circle between points [m], by the haversine formula on a sphere.

    Arguments are decimal degrees (WGS84) and broadcast against each other; the result has their
    common shape. The sphere differs from the ellipsoid by at most 0.56%.

    References:
        Sinnott 1984, Sky and Telescope 68:159 (the haversine form).

    >>> round(float(great_circle_m(0.0, 0.0, 0.0, 1.0)))
    111195
    """
    phi1, lambda1, phi2, lambda2 = (
        np.radians(np.asarray(degrees, float)) for degrees in (lat1, lon1, lat2, lon2)
    )
    half_chord = (
        np.sin((phi2 - phi1) / 2) ** 2
        + np.cos(phi1) * np.cos(phi2) * np.sin((lambda2 - lambda1) / 2) ** 2
    )
    apart_m: np.ndarray = 2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(np.clip(half_chord, 0.0, 1.0)))
    return apart_m
