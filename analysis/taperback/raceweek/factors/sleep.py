"""How the athlete slept before the race, against the athlete's own usual night."""

from __future__ import annotations

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import number_of
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import Window
from taperback.raceweek.wording import span_name

RACE_NIGHTS = (-6, 0)
"""Nights that end on these days count for race week."""


def sleep(race: Race) -> tuple[Measured, ...]:
    """Change against the usual night, the last night, the last three, and the sleep short [h]."""
    window, nights = race.window, race.window.nights
    known = nights[nights["sleep_h"].notna()]
    week = known[known.days_to_race.between(*RACE_NIGHTS)]
    usual = usual_night(window)
    return (
        usual,
        _change(window, week, usual),
        _last_night(window, week),
        _last_three(window, week),
        _debt(window, week, usual),
    )


def usual_night(window: Window) -> Measured:
    """The median night between days -56 and -15 [h], outside illness, injury and recovery."""
    first, last = window.blocks[0].first, window.blocks[-1].last
    nights = window.nights[window.nights["days_to_race"].between(first, last)]
    nights = nights[nights["sleep_h"].notna() & ~nights["days_to_race"].isin(_set_apart(window))]
    needed = LIMITS.sleep.fewest_baseline_nights
    if len(nights) < needed:
        reason = (
            f"{number_of(len(nights), 'usual night')} known on {span_name(first, last)}, "
            f"{needed} are needed"
        )
        return unknown("usual_night_h", reason)
    hours = float(nights["sleep_h"].median())
    basis = (
        f"a usual night of {show('usual_night_h', hours)}, the median of {len(nights)} on "
        f"{span_name(first, last)} ({_sources(nights)})"
    )
    return Measured("usual_night_h", hours, basis=basis, days=tuple(nights["day"]))


def _set_apart(window: Window) -> set[int]:
    """Days of baseline weeks that hold no habit; weeks without files still have their nights."""
    return {
        day
        for block in window.blocks
        if block.kind in ("recovery", "illness", "injury")
        for day in range(block.first, block.last + 1)
    }


def _sources(nights: pd.DataFrame) -> str:
    """Where the nights come from: journal, files, or how many of each."""
    counts = nights["source"].value_counts()
    journal, file = int(counts.get("journal", 0)), int(counts.get("file", 0))
    if journal and file:
        words = f"{journal} from the journal, {file} from files"
    else:
        words = "from the journal" if journal else "from files"
    both = nights[(nights["source"] == "journal") & nights["file_sleep_h"].notna()]
    apart = (both["sleep_h"] - both["file_sleep_h"]).mean()
    if len(both) and abs(apart) >= LIMITS.sleep.sources_apart_h:
        words += f"; where both tell, the journal has {apart:+.1f} h a night against the files"
    return words


def _too_few(race: pd.DataFrame, needed: int) -> str:
    if len(race) >= needed:
        return ""
    span = span_name(*RACE_NIGHTS)
    return f"{len(race)} of the 7 nights that end on {span} are known, {needed} are needed"


def _change(window: Window, race: pd.DataFrame, usual: Measured) -> Measured:
    name = "sleep_change_h"
    reason = _too_few(race, LIMITS.sleep.fewest_race_nights)
    if reason or not usual.known:
        return unknown(name, reason or usual.reason, window.span(*RACE_NIGHTS))
    mean = float(race["sleep_h"].mean())
    basis = (
        f"a mean of {show('last_night_h', mean)} over {number_of(len(race), 'night')} "
        f"({_sources(race)}) against {usual.basis}"
    )
    value = mean - float(usual.value or 0)
    return Measured(name, value, basis=basis, days=(*usual.days, *race["day"]))


def _last_night(window: Window, race: pd.DataFrame) -> Measured:
    last = race[race["days_to_race"] == 0]
    if not len(last):
        reason = "the night before the race is neither in the journal nor in a file"
        return unknown("last_night_h", reason, (window.day0,))
    basis = f"the night that ended on race day ({_sources(last)})"
    hours = float(last["sleep_h"].iloc[0])
    return Measured("last_night_h", hours, basis=basis, days=(window.day0,))


def _last_three(window: Window, race: pd.DataFrame) -> Measured:
    three = race[race["days_to_race"] >= -2]
    if len(three) < 3:
        reason = f"{len(three)} of the last three nights are known"
        return unknown("last_three_h", reason, window.span(-2, 0))
    basis = f"the mean of the nights that ended on {span_name(-2, 0)} ({_sources(three)})"
    hours = float(three["sleep_h"].mean())
    return Measured("last_three_h", hours, basis=basis, days=tuple(three["day"]))


def _debt(window: Window, race: pd.DataFrame, usual: Measured) -> Measured:
    """Hours that the short nights fell below the usual one; longer nights do not pay back."""
    name = "sleep_debt_h"
    reason = _too_few(race, LIMITS.sleep.fewest_race_nights)
    if reason or not usual.known:
        return unknown(name, reason or usual.reason, window.span(*RACE_NIGHTS))
    short = (float(usual.value or 0) - race["sleep_h"]).clip(lower=0)
    nights = race[short > 0]
    basis = (
        f"{number_of(len(nights), 'night')} of {len(race)} below {usual.basis}; longer nights do "
        "not pay back"
    )
    return Measured(name, float(short.sum()), basis=basis, days=(*usual.days, *race["day"]))
