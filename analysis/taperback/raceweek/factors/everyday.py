"""What does not count as training: its hours in race week, and the hours on the feet before a race.

Both are described and never tested.
"""

from __future__ import annotations

from taperback.common.quantities import show
from taperback.common.wording import listing
from taperback.raceweek.legs import Legs
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.counting import activity, activity_words
from taperback.raceweek.window.window import RACE_WEEK, Window
from taperback.raceweek.wording import span_name

LAST_DAYS = (-3, -1)
"""The days before a race on which hours on the feet are given."""


def everyday(race: Race) -> tuple[Measured, ...]:
    """`other_h`, hours of race week that do not count as training, and `on_feet_h`, hours of
    walking and hiking on the last three days, whether they count or not; each with its habit."""
    return _other(race.window), _on_feet(race.window)


def _other(window: Window) -> Measured:
    days = window.span(*RACE_WEEK)
    legs = window.besides(*RACE_WEEK)
    reason = _days_unknown(window, *RACE_WEEK) or _open(legs)
    if reason:
        return unknown("other_h", reason, days)
    names = sorted({activity(leg.sport, leg.sub_sport) for leg in legs})
    words = listing([activity_words(name) for name in names]) or "nothing"
    basis = f"{words} on {span_name(*RACE_WEEK)}"
    first = window.first_day
    before = window.besides(first, -1)
    if not window.why_no_baseline:
        usual = window.usual(before.where(before["block"] >= 0), "hours")
        basis += f", against {show('other_h', usual)} in a usual week (median)"
    return Measured("other_h", legs.total("hours"), basis=basis, days=days, legs=legs.ids)


def _on_feet(window: Window) -> Measured:
    """Of a day of the diary, the larger one of what was typed and what was recorded is taken."""
    name, days = "on_feet_h", window.span(*LAST_DAYS)
    every = window.on_feet()
    legs = every.between(*LAST_DAYS)
    diary = zip(window.diary["date"], window.diary["on_feet_h"].astype(float), strict=True)
    typed = {day: hours for day, hours in diary if day in days and hours == hours}
    reason = "" if len(typed) == len(days) else _days_unknown(window, *LAST_DAYS) or _open(legs)
    if reason:
        return unknown(name, reason, days)
    recorded = legs.totals("local_day", "hours")
    hours = [max_known(recorded.get(day, 0.0), typed.get(day, float("nan"))) for day in days]
    basis = f"walking and hiking on {span_name(*LAST_DAYS)}"
    if len(typed):
        basis += f", {len(typed)} of {len(days)} days as typed where that is more"
    if not window.why_no_baseline:
        weekly = window.usual(every.where(every["block"] >= 0), "hours")
        usual = len(days) / 7 * weekly
        basis += f", against {show(name, usual)} recorded on three days of a usual week (median)"
    return Measured(name, sum(hours), basis=basis, days=days, legs=legs.ids)


def max_known(recorded: float, typed: float) -> float:
    """The larger of the two; what was recorded where nothing was typed.

    >>> max_known(1.0, 3.0), max_known(1.0, float("nan"))
    (3.0, 1.0)
    """
    return max(recorded, typed) if typed == typed else recorded


def _days_unknown(window: Window, first: int, last: int) -> str:
    """Why not all of those days are known; a session of unknown length is none of it."""
    words = [
        word for day, state, _, word in window.states if first <= day <= last and state == "unknown"
    ]
    if not words:
        return ""
    return f"{len(words)} of {last - first + 1} days are not known: {words[0]}"


def _open(legs: Legs) -> str:
    """Why the hours of these legs are not known in full; empty where they are."""
    for leg in legs.where(~legs.known("hours")):
        sport = activity_words(activity(leg.sport, leg.sub_sport))
        return f"how long the {sport} of {leg.local_day} took is not typed in {leg.file}"
    return ""
