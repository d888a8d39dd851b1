"""The arithmetic of training load, as the literature states it; no dates and no files.

References:
    Banister 1991, in: Physiological testing of the high-performance athlete, 403-424.
    Edwards 1993, The heart rate monitor book.
    Foster 1998, Med Sci Sports Exerc 30:1164-1168.
    Foster et al. 2001, J Strength Cond Res 15:109-115.
    Lucia et al. 2003, Med Sci Sports Exerc 35:872-878 (the sum over three zones).
"""

from __future__ import annotations

import math

import numpy as np

from taperback.common.published import PUBLISHED


def session_rpe_load(minutes: float, rpe: float) -> float:
    """How much a session cost by feel: minutes times CR-10 (Foster 2001) [AU].

    >>> session_rpe_load(60, 5)
    300
    """
    return minutes * rpe


def trimp(
    minutes: float, mean_bpm: float, resting_bpm: float, highest_bpm: float, sex: str
) -> float:
    """What a session cost by heart rate (Banister 1991) [AU].

    minutes x r x a x exp(b r), where r is the share of the heart-rate reserve; a and b differ by
    sex. A mean below the resting heart rate counts as rest.

    Args:
        minutes: duration [min].
        mean_bpm, resting_bpm, highest_bpm: heart rates [bpm]; highest above resting.
        sex: `female` or `male`.
    """
    by_sex = {"female": PUBLISHED.load.trimp_female, "male": PUBLISHED.load.trimp_male}
    constants = by_sex[sex].value
    reserve = max((mean_bpm - resting_bpm) / (highest_bpm - resting_bpm), 0.0)
    return minutes * reserve * constants.a * math.exp(constants.b * reserve)


def five_zone_load(seconds: np.ndarray, highest_bpm: float) -> float:
    """What a session cost by five zones of highest heart rate (Edwards 1993) [AU].

    Minutes in 50-60, 60-70, 70-80, 80-90 and 90-100% count one to five times; above 100% five.

    Args:
        seconds: seconds per beat of heart rate from 0 on, shape (k,).
        highest_bpm: highest heart rate [bpm].
    """
    share = np.arange(len(seconds)) / highest_bpm
    weight = np.clip(np.floor(share * 10 + 1e-9) - 4, 0, 5)
    return float(weight @ seconds) / 60


def three_zone_load(zone_s: np.ndarray) -> float:
    """What a session cost by three zones: easy, moderate, hard minutes count 1, 2, 3 [AU].

    Args:
        zone_s: seconds in the three zones, shape (3,).
    """
    return float(np.array([1, 2, 3]) @ zone_s) / 60


def monotony(daily: np.ndarray) -> float | None:
    """How alike the days were: mean daily load over its SD (Foster 1998), None if all are alike.

    The SD is the sample's, with n - 1; rest days count as 0.
    """
    spread = float(np.std(daily, ddof=1))
    return float(np.mean(daily)) / spread if spread > 0 else None


def strain(daily: np.ndarray) -> float | None:
    """The days' load in all times their monotony (Foster 1998) [AU], None without a monotony."""
    alike = monotony(daily)
    return None if alike is None else float(np.sum(daily)) * alike
