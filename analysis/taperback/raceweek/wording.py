"""Few words that the bases of all measures share."""

from __future__ import annotations

import math

from taperback.common.quantity import MINUS


def day_name(days_to_race: int) -> str:
    """A day counted from the race, with a real minus sign.

    >>> day_name(-7)
    '\u22127'
    """
    return f"{MINUS if days_to_race < 0 else ''}{abs(days_to_race)}"


def span_name(first: int, last: int) -> str:
    """A stretch of days counted from the race.

    >>> span_name(-7, -1)
    'days \u22127 to \u22121'
    """
    return f"days {day_name(first)} to {day_name(last)}"


def percent_below(share: float) -> str:
    """A share that is too small, never rounded up to what would have been enough.

    >>> percent_below(0.798)
    '79%'
    """
    return f"{math.floor(100 * share + 1e-9)}%"


def level_words(sport: str, signal: str, level: float) -> tuple[str, str]:
    """A level as a coach says it, and its unit: watts, beats, pace of runs and swims, or speed.

    >>> level_words("running", "speed", 4.0), level_words("cycling", "speed", 10.0)
    (('4:10', '/km'), ('36.0', 'km/h'))
    """
    if signal in ("power", "heart_rate"):
        return f"{level:.0f}", "W" if signal == "power" else "bpm"
    metres, unit = {"running": (1000, "/km"), "swimming": (100, "/100 m")}.get(sport, (0, "km/h"))
    if not metres:
        return f"{3.6 * level:.1f}", unit
    minutes, seconds = divmod(round(metres / level), 60)
    return f"{minutes}:{seconds:02d}", unit
