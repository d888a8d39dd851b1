"""How the athlete slept before the race, against the athlete's own usual night."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import number_of
from taperback.raceweek.legs import median
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.race import Race
from taperback.raceweek.window.window import Night, Window
from taperback.raceweek.wording import span_name

RACE_NIGHTS = (-6, 0)
"""Nights that end on these days count for race week."""


def sleep(race: Race) -> tuple[Measured, ...]:
    """Change against the usual night, the last night, the last three, and the sleep short [h]."""
    window = race.window
    week = _known(window, *RACE_NIGHTS)
    usual = usual_night(window)
    return (
        usual,
        _change(window, week, usual),
        _last(window, week, 1),
        _last(window, week, 3),
        _debt(window, week, usual),
    )


def usual_night(window: Window) -> Measured:
    """The median night between days -56 and -15 [h], outside illness, injury and recovery."""
    first, last = window.blocks[0].first, window.blocks[-1].last
    apart = [block for block in window.blocks if block.kind in ("recovery", "illness", "injury")]
    # weeks without files still have their nights
    nights = [
        night
        for night in _known(window, first, last)
        if not any(block.first <= night.days_to_race <= block.last for block in apart)
    ]
    needed = LIMITS.sleep.fewest_baseline_nights
    if len(nights) < needed:
        reason = (
            f"{number_of(len(nights), 'usual night')} known on {span_name(first, last)}, "
            f"{needed} are needed"
        )
        return unknown("usual_night_h", reason)
    hours = median(night.sleep_h for night in nights)
    basis = (
        f"a usual night of {show('usual_night_h', hours)}, the median of {len(nights)} on "
        f"{span_name(first, last)} ({_sources(nights)})"
    )
    return Measured("usual_night_h", hours, basis=basis, days=_days(nights))


def _known(window: Window, first: int, last: int) -> list[Night]:
    return [night for night in window.nights if night.known and first <= night.days_to_race <= last]


def _days(nights: Sequence[Night]) -> tuple[date, ...]:
    return tuple(night.day for night in nights)


def _mean_h(nights: Sequence[Night]) -> float:
    return float(np.mean([night.sleep_h for night in nights]))


def _sources(nights: Sequence[Night]) -> str:
    """Where the nights come from: journal, files, or how many of each."""
    typed = [night for night in nights if night.source == "journal"]
    journal, file = len(typed), len(nights) - len(typed)
    if journal and file:
        words = f"{journal} from the journal, {file} from files"
    else:
        words = "from the journal" if journal else "from files"
    apart = [night.sleep_h - night.file_sleep_h for night in typed]
    both = [hours for hours in apart if hours == hours]
    if both and abs(np.mean(both)) >= LIMITS.sleep.sources_apart_h:
        difference = f"the journal has {np.mean(both):+.1f} h a night against the files"
        words += f"; where both tell, {difference}"
    return words


def _too_few(race: Sequence[Night], needed: int) -> str:
    if len(race) >= needed:
        return ""
    span = span_name(*RACE_NIGHTS)
    return f"{len(race)} of the 7 nights that end on {span} are known, {needed} are needed"


def _change(window: Window, race: Sequence[Night], usual: Measured) -> Measured:
    name = "sleep_change_h"
    reason = _too_few(race, LIMITS.sleep.fewest_race_nights)
    if reason or not usual.known:
        return unknown(name, reason or usual.reason, window.span(*RACE_NIGHTS))
    mean = _mean_h(race)
    basis = (
        f"a mean of {show('last_night_h', mean)} over {number_of(len(race), 'night')} "
        f"({_sources(race)}) against {usual.basis}"
    )
    value = mean - float(usual.value or 0)
    return Measured(name, value, basis=basis, days=(*usual.days, *_days(race)))


def _last(window: Window, race: Sequence[Night], count: int) -> Measured:
    """The mean of the last nights, one of them or three; unknown where not all are known."""
    name = "last_night_h" if count == 1 else "last_three_h"
    nights = [night for night in race if night.days_to_race > -count]
    if len(nights) < count:
        reason = (
            "the night before the race is neither in the journal nor in a file"
            if count == 1
            else f"{len(nights)} of the last three nights are known"
        )
        return unknown(name, reason, window.span(1 - count, 0))
    those = (
        "the night that ended on race day"
        if count == 1
        else f"the mean of the nights that ended on {span_name(1 - count, 0)}"
    )
    basis = f"{those} ({_sources(nights)})"
    return Measured(name, _mean_h(nights), basis=basis, days=_days(nights))


def _debt(window: Window, race: Sequence[Night], usual: Measured) -> Measured:
    """Hours that the short nights fell below the usual one; longer nights do not pay back."""
    name = "sleep_debt_h"
    reason = _too_few(race, LIMITS.sleep.fewest_race_nights)
    if reason or not usual.known:
        return unknown(name, reason or usual.reason, window.span(*RACE_NIGHTS))
    usual_h = float(usual.value or 0)
    short = np.clip([usual_h - night.sleep_h for night in race], 0, None)
    nights = number_of(int(np.count_nonzero(short)), "night")
    basis = f"{nights} of {len(race)} below {usual.basis}; longer nights do not pay back"
    return Measured(name, float(short.sum()), basis=basis, days=(*usual.days, *_days(race)))
