"""Where easy ends and hard begins, for each sport and race, and where that was taken from.

The three-zone model has a first and a second threshold. The second is taken from, in this order,
the athlete's own figure by date, the file's setting, an estimate from the best efforts before the
race, and a published share of the highest heart rate. Each sport keeps one signal through all races
compared, so that a change of sensor is not mistaken for a change of training.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from taperback.critical import NoCritical, fit_critical
from taperback.importer.model import (
    BEST_DURATIONS_S,
    HEART_RATE_BIN_BPM,
    POWER_BIN_W,
    SPEED_BIN_MPS,
)
from taperback.journal.model import Athlete
from taperback.raceweek.calendar import Window
from taperback.resources import shared_toml


@dataclass(frozen=True)
class Signal:
    """One way to tell how hard a second was.

    Attributes:
        name: `power`, `speed` or `heart_rate`; label: how a sentence calls it.
        second: name of its second threshold in the journal and in files.
        unit, decimals: how its level is printed.
        histogram, bin_width: the column of `LegSummary` that holds seconds per bin, and its bins.
        best: the column of best mean efforts, empty for heart rate.
    """

    name: str
    label: str
    second: str
    unit: str
    decimals: int
    histogram: str
    bin_width: float
    best: str


SIGNALS = {
    signal.name: signal
    for signal in (
        Signal(
            "power",
            "power",
            "critical_power_w",
            "W",
            0,
            "power_seconds",
            POWER_BIN_W,
            "best_power_w",
        ),
        Signal(
            "speed",
            "speed",
            "critical_speed_mps",
            "m/s",
            2,
            "speed_seconds",
            SPEED_BIN_MPS,
            "best_speed_mps",
        ),
        Signal(
            "heart_rate",
            "heart rate",
            "second_threshold_heart_rate_bpm",
            "bpm",
            0,
            "heart_rate_seconds",
            HEART_RATE_BIN_BPM,
            "",
        ),
    )
}

_CANDIDATES = {
    "cycling": ("power", "heart_rate"),
    "running": ("speed", "heart_rate"),
    "swimming": ("speed", "heart_rate"),
}
"""Signals by sport, the more direct one first; every other sport has its heart rate only."""

SOURCES = ("own", "file", "estimate", "share")
"""Where a second threshold can come from, the most trusted first."""


@dataclass(frozen=True)
class Step:
    """The two thresholds that hold from a day on, in the signal's unit."""

    since: date
    first: float
    second: float


@dataclass(frozen=True)
class Thresholds:
    """What divides easy, moderate and hard in one sport in the weeks before one race.

    Attributes:
        sport: FIT sport name.
        signal: what intensity is read from.
        source: one of `SOURCES`.
        steps: the values by date, at least one, in order.
        sentence: what was used and where it is from, as a sentence without a full stop.
    """

    sport: str
    signal: Signal
    source: str
    steps: tuple[Step, ...]
    sentence: str

    def on(self, day: date) -> Step:
        """The thresholds on that day; before the first step, the first step's."""
        held = [step for step in self.steps if step.since <= day]
        return held[-1] if held else self.steps[0]


@dataclass(frozen=True)
class NoThresholds:
    """Why easy and hard cannot be told apart, as a clause that can follow "unknown: "."""

    sport: str
    reason: str


Found = Thresholds | NoThresholds


def thresholds_by_race(windows: Sequence[Window]) -> dict[str, dict[str, Found]]:
    """Which thresholds hold before each race, for every sport trained; one signal per sport.

    The signal is the one that serves most races: a threshold is known and most of the training
    time was measured. On a tie the more trusted source wins, then the more direct signal.

    Returns:
        race_id -> sport -> thresholds, or why there are none.
    """
    by_race: dict[str, dict[str, Found]] = {window.race_id: {} for window in windows}
    sports = {str(sport) for w in windows for sport in _training(w, -1)["sport"]}
    for sport in sorted(sports):
        options = {
            name: _option(windows, sport, SIGNALS[name])
            for name in _CANDIDATES.get(sport, ("heart_rate",))
        }
        chosen = max(options, key=lambda name: options[name].worth)
        for race_id, found in options[chosen].found.items():
            by_race[race_id][sport] = _with_the_others(found, options, race_id)
    return by_race


@dataclass(frozen=True)
class _Option:
    """One signal for one sport: the thresholds by race, and how well it serves (more is better)."""

    signal: Signal
    found: Mapping[str, Found]
    worth: tuple[int, float, int]


def _with_the_others(found: Found, options: Mapping[str, _Option], race_id: str) -> Found:
    """A missing threshold told with what the sport's other signals would have given."""
    if isinstance(found, Thresholds):
        return found
    parts = []
    for option in options.values():
        other = option.found[race_id]
        served = "would serve, but one signal is kept through all races"
        words = other.reason if isinstance(other, NoThresholds) else served
        parts.append(f"{option.signal.label}: {words}")
    reason = f"no threshold for {found.sport} is typed or set, nor to be had from its files"
    return NoThresholds(found.sport, f"{reason} ({'; '.join(parts)})")


def _option(windows: Sequence[Window], sport: str, signal: Signal) -> _Option:
    limit = shared_toml("limits.toml")["intensity"]["fewest_known_share"]
    highest = _highest_seen(windows, sport)
    found, ranks = {}, []
    for window in windows:
        legs = _training(window, -1)
        legs = legs[legs["sport"] == sport]
        thresholds = _found(window, legs, sport, signal, highest)
        found[window.race_id] = thresholds
        if isinstance(thresholds, Thresholds) and _measured_share(legs, signal) >= limit:
            ranks.append(SOURCES.index(thresholds.source))
    told = sum(isinstance(thresholds, Thresholds) for thresholds in found.values())
    worth = (len(ranks), -float(np.mean(ranks)) if ranks else 0.0, told)
    return _Option(signal, found, worth)


def _training(window: Window, last_day: int) -> pd.DataFrame:
    """Training legs from the baseline's first day to `last_day`."""
    return window.training(shared_toml("limits.toml")["baseline"]["first_day"], last_day)


def _highest_seen(windows: Sequence[Window], sport: str) -> float:
    """The highest heart rate seen in the sport around any race, races included; NaN for none.

    It is one figure for all races, so that they are measured alike.
    """
    seen = [w.legs.loc[w.legs["sport"] == sport, "max_heart_rate_bpm"].max() for w in windows]
    known = [float(value) for value in seen if np.isfinite(value)]
    return max(known, default=float("nan"))


def _measured_share(legs: pd.DataFrame, signal: Signal) -> float:
    total = float(legs["hours"].sum())
    measured = float(legs.loc[legs[signal.histogram].notna(), "hours"].sum())
    return measured / total if total else 0.0


def _found(
    window: Window, legs: pd.DataFrame, sport: str, signal: Signal, highest_bpm: float
) -> Found:
    """One signal's thresholds before one race, from the most trusted source that has them."""
    athlete, day0 = window.athlete, window.day0
    typed = _typed(athlete, sport, signal.second, day0)
    if typed:
        return _held(athlete, sport, signal, typed, "own", "the athlete's own figure", day0)
    in_files = _set_in_files(legs, signal.second)
    if in_files:
        return _held(athlete, sport, signal, in_files, "file", "as set in the files", day0)
    if signal.best:
        return _estimated(legs, sport, signal, day0)
    return _shared(legs, athlete, sport, signal, day0, highest_bpm)


Dated = list[tuple[date, float]]


def _typed(athlete: Athlete, sport: str, name: str, day0: date) -> Dated:
    """The athlete's own figures up to the race, those for the sport before those for all."""
    held = [t for t in athlete.thresholds if t.name == name and t.since <= day0]
    of_sport = [t for t in held if t.sport == sport] or [t for t in held if not t.sport]
    return sorted((t.since, t.value) for t in of_sport)


def _set_in_files(legs: pd.DataFrame, name: str) -> Dated:
    """The figures that files carry, each from the day it first appears."""
    steps: Dated = []
    for day, settings in zip(legs["local_day"], legs["file_thresholds"], strict=True):
        value = settings.get(name) if settings else None
        if value and (not steps or steps[-1][1] != value):
            steps.append((day, float(value)))
    return steps


def _held(
    athlete: Athlete,
    sport: str,
    signal: Signal,
    dated: Dated,
    source: str,
    words: str,
    day0: date,
) -> Thresholds:
    """Thresholds from dated figures, told by the one that holds on race day."""
    since, value = dated[-1]
    sentence = f"{_told(sport, signal, value)}, {words} since {since}"
    return Thresholds(sport, signal, source, _steps(athlete, sport, signal, dated, day0), sentence)


def _told(sport: str, signal: Signal, value: float) -> str:
    return f"{sport} by {signal.label}, hard above {value:.{signal.decimals}f} {signal.unit}"


def _steps(
    athlete: Athlete, sport: str, signal: Signal, dated: Iterable[tuple[date, float]], day0: date
) -> tuple[Step, ...]:
    """Both thresholds by date; the first is the athlete's own or a share of the second."""
    firsts: Dated = []
    if signal.name == "heart_rate":
        firsts = _typed(athlete, sport, "first_threshold_heart_rate_bpm", day0)
    share = _first_share(sport, signal)
    steps = []
    for since, second in dated:
        own = [value for day, value in firsts if day <= since] or [v for _, v in firsts[:1]]
        steps.append(Step(since, min(own[-1], second) if own else share * second, second))
    return tuple(steps)


def _first_share(sport: str, signal: Signal) -> float:
    """The first threshold as a share of the second."""
    known = shared_toml("published.toml")["intensity"]
    if signal.name == "heart_rate":
        first, second = (
            known[f"{n}_threshold_share_of_max_hr"]["value"] for n in ("first", "second")
        )
        return first / second
    shares = known["first_threshold_share_of_critical"]["value"]
    return shares.get(sport, shares["cycling"])


def _estimated(legs: pd.DataFrame, sport: str, signal: Signal, day0: date) -> Found:
    """Critical power or speed from the best efforts of the baseline's days."""
    limits = shared_toml("limits.toml")
    last_day = day0 + timedelta(limits["baseline"]["last_day"])
    efforts = legs[legs["local_day"] <= last_day]
    durations = np.array(BEST_DURATIONS_S, float)
    low, high = limits["critical"]["shortest_s"], limits["critical"]["longest_s"]
    used = (durations >= low) & (durations <= high)
    best = _best(efforts, signal)[used]
    kind = "power" if signal.name == "power" else sport
    if not np.isfinite(best).any():
        return NoThresholds(sport, "none was recorded over long enough a time")
    fit = fit_critical(durations[used], best, kind)
    if isinstance(fit, NoCritical):
        return NoThresholds(sport, fit.reason)
    share = _first_share(sport, signal)
    window = f"{-limits['baseline']['first_day']} to {-limits['baseline']['last_day']} days before"
    interval = f"{fit.level_low:.{signal.decimals}f} to {fit.level_high:.{signal.decimals}f}"
    sentence = (
        f"{_told(sport, signal, fit.level)}, estimated from the best efforts {window} the race "
        f"(two-parameter model; 90% interval {interval} {signal.unit})"
    )
    step = Step(day0, share * fit.level, fit.level)
    return Thresholds(sport, signal, "estimate", (step,), sentence)


def _best(legs: pd.DataFrame, signal: Signal) -> np.ndarray:
    """Best means of all these legs over `BEST_DURATIONS_S`; shape (17,), NaN where none."""
    rows = [row for row in legs[signal.best] if row is not None]
    if not rows:
        return np.full(len(BEST_DURATIONS_S), np.nan)
    return np.fmax.reduce(np.vstack(rows))


def _shared(
    legs: pd.DataFrame,
    athlete: Athlete,
    sport: str,
    signal: Signal,
    day0: date,
    highest_bpm: float,
) -> Found:
    """A published share of the highest heart rate: typed, set in files, or seen."""
    value, words = highest_heart_rate(legs, athlete, sport, day0, highest_bpm)
    if np.isnan(value):
        return NoThresholds(sport, "none was recorded")
    share = shared_toml("published.toml")["intensity"]["second_threshold_share_of_max_hr"]["value"]
    sentence = (
        f"{_told(sport, signal, share * value)}, {100 * share:.1f}% of {words} {value:.0f} bpm "
        "for want of a better threshold"
    )
    steps = _steps(athlete, sport, signal, [(day0, share * value)], day0)
    return Thresholds(sport, signal, "share", steps, sentence)


def highest_heart_rate(
    legs: pd.DataFrame, athlete: Athlete, sport: str, day0: date, seen_bpm: float
) -> tuple[float, str]:
    """The highest heart rate [bpm] in this sport, NaN for none, and words for where it is from."""
    name = "max_heart_rate_bpm"
    if typed := _typed(athlete, sport, name, day0):
        return typed[-1][1], "the athlete's own highest,"
    if in_files := _set_in_files(legs, name):
        return in_files[-1][1], "the highest set in the files,"
    return seen_bpm, "the highest seen,"
