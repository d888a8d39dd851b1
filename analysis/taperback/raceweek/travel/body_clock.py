"""How far the body clock lags behind after a time change, at the published rates."""

from __future__ import annotations

from collections.abc import Iterable
from math import copysign

from taperback.common.published import PUBLISHED


def shortest_shift_h(zones_h: float) -> float:
    """The way round on which the body clock has less to shift [h], from -12 to under 12.

    East is positive. Half a day is as far either way, and both ways set the same clock: it counts
    as westward, which the body clock follows faster.

    >>> shortest_shift_h(13.0), shortest_shift_h(12.0)
    (-11.0, -12.0)
    """
    # what lies within is left as it is, since the modulo would round it
    return zones_h if -12 <= zones_h < 12 else (zones_h + 12) % 24 - 12


def shift_rate(zones_h: float) -> tuple[float, str]:
    """Hours a day that the body clock shifts, and the direction; eastward is slower."""
    if shortest_shift_h(zones_h) > 0:
        return PUBLISHED.travel.body_clock_east_h_per_day.value, "east"
    return PUBLISHED.travel.body_clock_west_h_per_day.value, "west"


def body_clock_lag_h(zones_h: float, days: float) -> float:
    """What is left of a time change after some days [h], never below 0.

    >>> round(body_clock_lag_h(6.0, 3), 2)
    3.15
    """
    return max(0.0, abs(shortest_shift_h(zones_h)) - shift_rate(zones_h)[0] * days)


def lag_of_stages_h(stages: Iterable[tuple[float, int]]) -> float:
    """What is left at the end of a journey in stages [h].

    Args:
        stages: (time change of the stage, east positive [h]; days until the next stage or the
            race), in order.

    >>> round(lag_of_stages_h([(6.0, 10), (1.0, 0)]), 2)
    1.0
    """
    lag = 0.0
    for zones_h, days in stages:
        due = shortest_shift_h(lag + zones_h)
        lag = copysign(body_clock_lag_h(due, days), due)
    return abs(lag)
