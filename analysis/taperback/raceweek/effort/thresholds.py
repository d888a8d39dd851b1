"""Where easy ends and hard begins, for each sport and race, and where that was taken from.

The three-zone model has a first and a second threshold. The second is taken from, in this order,
the athlete's own figure by date, the file's setting, an estimate from the best efforts before the
race, and a published share of the highest heart rate. Each sport keeps one signal through all races
compared, so that a change of sensor is not mistaken for a change of training.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from taperback.common.limits import LIMITS
from taperback.common.published import PUBLISHED
from taperback.importer.model import BEST_DURATIONS_S
from taperback.raceweek.effort.critical import NoCritical, fit_critical
from taperback.raceweek.effort.settings import (
    Dated,
    HeartRange,
    Highest,
    heart_range,
    highest_seen,
    one_heart,
    set_in_files,
    typed,
)
from taperback.raceweek.effort.signals import Signal, signals_of
from taperback.raceweek.legs import Legs
from taperback.raceweek.window.window import Window, baseline_days

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


def highest_by_sport(windows: Sequence[Window]) -> dict[str, Highest]:
    """The highest heart rate that stands for every sport trained before any race, by name.

    It is looked for in all sports, those that do not count as training among them.
    """
    every = sorted({sport for window in windows for sport in window.legs["sport"]})
    trained = sorted({sport for window in windows for sport in sports_of(window)})
    seen = {sport: highest_seen(windows, sport) for sport in every}
    removed = (one for window in windows for one in window.legs["removed_s"])
    if all(map(np.isnan, seen.values())) and any(one.get("heart rate stuck") for one in removed):
        why = (
            "what was recorded stayed the same for minutes on end, as that of a pacemaker or of a "
            "faulty sensor does, so that it tells nothing of effort"
        )
        return dict.fromkeys(trained, Highest(float("nan"), why))
    hearts = one_heart(trained, seen)
    rates: dict[str, list[np.ndarray]] = {}
    for window in windows:
        legs = window.training(window.first_day, -1)
        for sport, seconds in zip(legs["sport"], legs["heart_rate_seconds"], strict=True):
            if seconds is not None:
                rates.setdefault(sport, []).append(seconds)
    return {sport: _of_hard_work(rates.get(sport, []), one) for sport, one in hearts.items()}


def _of_hard_work(rates: Sequence[np.ndarray], highest: Highest) -> Highest:
    """The same; none where most training would be hard by it, since nobody trains like that.

    Args:
        rates: of each session of the sport, its seconds at each heart rate.
    """
    if np.isnan(highest.bpm):
        return highest
    most = LIMITS.intensity.most_hard_share
    share = PUBLISHED.intensity.second_threshold_share_of_max_hr.value
    from_bpm = int(np.ceil(share * highest.bpm))
    known = sum(float(seconds.sum()) for seconds in rates)
    hard = sum(float(seconds[from_bpm:].sum()) for seconds in rates)
    if hard <= most * known:
        return highest
    why = (
        f"the highest seen, {highest.bpm:.0f} bpm, is none of hard work, since more than "
        f"{100 * most:.0f}% of the training would be hard by it"
    )
    return Highest(float("nan"), why)


def thresholds_by_race(
    windows: Sequence[Window], highest: Mapping[str, Highest]
) -> dict[str, dict[str, Found]]:
    """Which thresholds hold before each race, for every sport trained; one signal per sport.

    The signal is the one that serves most races: a threshold is known and most of the training
    time was measured. On a tie the more trusted source wins, then the more direct signal.

    Args:
        windows: one per race.
        highest: what `highest_by_sport` gives for them.

    Returns:
        race_id -> sport -> thresholds, or why there are none.
    """
    by_race: dict[str, dict[str, Found]] = {window.race_id: {} for window in windows}
    for sport, seen in highest.items():
        options = [_option(windows, sport, signal, seen) for signal in signals_of(sport)]
        chosen = max(options, key=lambda option: option.worth)
        for race_id, found in chosen.found.items():
            by_race[race_id][sport] = _with_the_others(found, options, race_id)
    return by_race


def sports_of(window: Window) -> set[str]:
    """The sports trained before the race."""
    return set(window.training(window.first_day, -1)["sport"])


@dataclass(frozen=True)
class _Option:
    """One signal for one sport: the thresholds by race, and how well it serves (more is better)."""

    signal: Signal
    found: Mapping[str, Found]
    worth: tuple[int, float, int]


@dataclass(frozen=True)
class _Case:
    """One sport read by one signal before one race: what there is to find a threshold from."""

    window: Window
    sport: str
    signal: Signal
    legs: Legs
    heart: HeartRange

    def typed(self, name: str) -> Dated:
        return typed(self.window.athlete, self.sport, name, self.window.day0)

    def figure(self, second: float) -> str:
        return f"{self.sport} by {self.signal.label}, hard above {self.signal.show(second)}"


def _with_the_others(found: Found, options: Sequence[_Option], race_id: str) -> Found:
    """A missing threshold, with what the sport's other signals would have given."""
    if isinstance(found, Thresholds):
        return found
    parts = []
    for option in options:
        other = option.found[race_id]
        served = "would serve, but one signal is kept through all races"
        words = other.reason if isinstance(other, NoThresholds) else served
        parts.append(f"{option.signal.label}: {words}")
    sport = found.sport.replace("_", " ")
    reason = f"no threshold for {sport} is typed or set, nor to be had from its files"
    return NoThresholds(found.sport, f"{reason} ({'; '.join(parts)})")


def _option(windows: Sequence[Window], sport: str, signal: Signal, seen: Highest) -> _Option:
    limit = LIMITS.intensity.fewest_known_share
    found, ranks = {}, []
    for window in windows:
        legs = window.training(window.first_day, -1)
        legs = legs.where(legs["sport"] == sport)
        case = _Case(window, sport, signal, legs, heart_range(window, sport, seen))
        thresholds: Found
        if own := case.typed(signal.second):
            thresholds = _dated(case, "own", own, "the athlete's own figure")
        elif in_files := set_in_files(legs, signal.second):
            thresholds = _dated(case, "file", in_files, "as set in the files")
        else:
            thresholds = _estimated(case) if signal.best else _shared(case)
        found[window.race_id] = thresholds
        held = np.array([seconds is not None for seconds in legs[signal.histogram]], bool)
        hours, measured = legs.total("hours"), legs.where(held).total("hours")
        enough = bool(hours) and measured / hours >= limit
        if isinstance(thresholds, Thresholds) and enough:
            ranks.append(SOURCES.index(thresholds.source))
    known_count = sum(isinstance(thresholds, Thresholds) for thresholds in found.values())
    return _Option(
        signal, found, (len(ranks), -float(np.mean(ranks)) if ranks else 0.0, known_count)
    )


def _dated(case: _Case, source: str, dated: Dated, words: str) -> Thresholds:
    """Thresholds from dated figures, named by the one that holds on race day."""
    since, value = dated[-1]
    sentence = f"{case.figure(value)}, {words} since {since}"
    return Thresholds(case.sport, case.signal, source, _steps(case, dated), sentence)


def _steps(case: _Case, dated: Dated) -> tuple[Step, ...]:
    """Both thresholds by date; the first is the athlete's own or a share of the second."""
    heart_rate = case.signal.name == "heart_rate"
    firsts = case.typed("first_threshold_heart_rate_bpm") if heart_rate else []
    known = PUBLISHED.intensity
    second_of_max = known.second_threshold_share_of_max_hr.value
    share = (
        known.first_threshold_share_of_max_hr.value / second_of_max
        if heart_rate
        else known.first_threshold_share_of_critical.value[case.sport]
    )
    steps = []
    for since, second in dated:
        own = [value for day, value in firsts if day <= since] or [v for _, v in firsts[:1]]
        steps.append(Step(since, min(own[-1], second) if own else share * second, second))
    return tuple(steps)


def _estimated(case: _Case) -> Found:
    """Critical power or speed from the best efforts of the baseline's days.

    Best efforts of training are seldom all-out and one may lie within another, so that the
    estimate errs low and its interval is narrower than its error; both hold before every race.
    """
    limits = LIMITS.critical
    first, last = baseline_days()
    durations = np.array(BEST_DURATIONS_S)
    used = (durations >= limits.shortest_s) & (durations <= limits.longest_s)
    rows = case.legs.between(first, last)[case.signal.best]
    best = np.fmax.reduce([np.full(len(durations), np.nan), *rows])[used]
    if not np.isfinite(best).any():
        return NoThresholds(case.sport, "none was recorded over long enough a time")
    kind = "power" if case.signal.name == "power" else case.sport
    fit = fit_critical(durations[used], best, kind)
    if isinstance(fit, NoCritical):
        return NoThresholds(case.sport, fit.reason)
    low, high = case.signal.show(fit.level_low), case.signal.show(fit.level_high)
    sentence = (
        f"{case.figure(fit.level)}, estimated from the best efforts {-first} to {-last} days "
        f"before the race (two-parameter model; 90% interval {low} to {high}; too low if none of "
        "them was all-out)"
    )
    steps = _steps(case, [(case.window.day0, fit.level)])
    return Thresholds(case.sport, case.signal, "estimate", steps, sentence)


def _shared(case: _Case) -> Found:
    """A published share of the highest heart rate: typed, set in files, or seen."""
    highest = case.heart.highest_bpm
    if np.isnan(highest):
        return NoThresholds(case.sport, case.heart.highest_words)
    share = PUBLISHED.intensity.second_threshold_share_of_max_hr.value
    sentence = (
        f"{case.figure(share * highest)}, {100 * share:.1f}% of {case.heart.highest_words} "
        f"{highest:.0f} bpm, for want of a better threshold"
    )
    steps = _steps(case, [(case.window.day0, share * highest)])
    return Thresholds(case.sport, case.signal, "share", steps, sentence)
