"""What the athlete typed and what files were set to: figures by the date from which they hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from taperback.common.limits import LIMITS
from taperback.journal.model import Athlete
from taperback.raceweek.legs import Legs
from taperback.raceweek.window.window import Window

Dated = list[tuple[date, float]]


def typed(athlete: Athlete, sport: str, name: str, day0: date) -> Dated:
    """The athlete's own figures up to the race, those for the sport before those for all."""
    held = [t for t in athlete.thresholds if t.name == name and t.since <= day0]
    of_sport = [t for t in held if t.sport == sport] or [t for t in held if not t.sport]
    return sorted((t.since, t.value) for t in of_sport)


def set_in_files(legs: Legs, name: str) -> Dated:
    """The figures that files carry, each from the day it first appears."""
    steps: Dated = []
    for day, settings in zip(legs["local_day"], legs["file_thresholds"], strict=True):
        value = settings.get(name)
        if value and (not steps or steps[-1][1] != value):
            steps.append((day, float(value)))
    return steps


@dataclass(frozen=True)
class HeartRange:
    """The resting and the highest heart rate in one sport before one race.

    Attributes:
        resting_bpm, highest_bpm: NaN where not known.
        highest_words: where the highest is from, to be followed by the figure; where there is no
            figure, why.
    """

    resting_bpm: float
    highest_bpm: float
    highest_words: str


@dataclass(frozen=True)
class Highest:
    """The highest heart rate [bpm] that stands for a sport where none is typed or set.

    Attributes:
        bpm: NaN where none was recorded in any sport, or none that can be a highest.
        words: in which sport it was seen and why that one stands for this, to be followed by it;
            where it is NaN, why.
    """

    bpm: float
    words: str


def heart_range(window: Window, sport: str, seen: Highest) -> HeartRange:
    """What the heart can do in this sport: typed, else set in its files, else (highest) seen."""
    resting, _ = _latest(window, sport, "resting_heart_rate_bpm")
    highest, source = _latest(window, sport, "max_heart_rate_bpm")
    if source:
        return HeartRange(resting, highest, f"the highest {source},")
    return HeartRange(resting, seen.bpm, seen.words)


def one_heart(sports: Iterable[str], seen: Mapping[str, float]) -> dict[str, Highest]:
    """The highest heart rate that stands for each sport: an athlete has one heart.

    A sport's own stands for it only where it lies close to the highest of all: the highest of a
    sport that is only done with ease is no highest, and a share of it would call ease hard.

    Args:
        sports: names.
        seen: sport -> the highest seen [bpm], NaN where none was; those that do not count, too.
    """
    known = {sport: bpm for sport, bpm in seen.items() if bpm == bpm}
    if not known:
        return dict.fromkeys(sports, Highest(float("nan"), "none was recorded"))
    top = max(sorted(known), key=lambda sport: known[sport])
    if known[top] < LIMITS.intensity.lowest_highest_bpm:
        why = (
            f"the highest seen, {known[top]:.0f} bpm, is none of hard work, so that it tells "
            "nothing of effort, as with a pacemaker, some medicines or a faulty sensor"
        )
        return dict.fromkeys(sports, Highest(float("nan"), why))
    return {sport: _standing(sport, known, top) for sport in sports}


def _standing(sport: str, known: Mapping[str, float], top: str) -> Highest:
    limits = LIMITS.intensity
    held, own = f"for {limits.highest_held_s} s", known.get(sport, float("nan"))
    if sport == top:
        return Highest(own, f"the highest seen {held},")
    name = sport.replace("_", " ")
    if own >= (1 - limits.own_heart_within) * known[top]:
        return Highest(own, f"the highest seen {held} in {name},")
    why = f"{name}'s own, {own:.0f} bpm, lies more than {100 * limits.own_heart_within:.0f}% below"
    why = why if own == own else f"{name} has none of its own"
    return Highest(known[top], f"the highest seen {held} in {top.replace('_', ' ')} ({why}),")


def highest_seen(windows: Sequence[Window], sport: str) -> float:
    """The highest heart rate that a leg of the sport held for a while, races included [bpm].

    It is one figure for all races, so that they are measured alike; NaN where none was recorded.
    A while, since a single beat may be the sensor's fault.
    """
    held_s = LIMITS.intensity.highest_held_s
    rates = [
        seconds
        for window in windows
        for seconds in window.legs.where(window.legs["sport"] == sport)["heart_rate_seconds"]
        if seconds is not None and seconds.sum() >= held_s
    ]
    from_top = (np.cumsum(seconds[::-1]) for seconds in rates)
    held = (len(each) - 1 - int(np.argmax(each >= held_s)) for each in from_top)
    return float(max(held, default=np.nan))


def _latest(window: Window, sport: str, name: str) -> tuple[float, str]:
    """The figure that holds on race day and where it is from; NaN and nothing without one."""
    legs = window.legs
    if own := typed(window.athlete, sport, name, window.day0):
        return own[-1][1], "typed by the athlete"
    if in_files := set_in_files(legs.where(legs["sport"] == sport), name):
        return in_files[-1][1], "set in the files"
    return float("nan"), ""
