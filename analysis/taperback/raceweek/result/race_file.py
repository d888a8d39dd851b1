"""What the race's own files tell: halves, heart rate, transitions. Description, not a factor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.quantities import show
from taperback.common.wording import number_of, upper_first
from taperback.journal.columns import NOT_STARTED
from taperback.journal.times import about, clock
from taperback.raceweek.legs import Leg, Legs, total
from taperback.raceweek.model import Measured, unknown
from taperback.raceweek.window.typed_legs import FORMAT
from taperback.raceweek.window.window import Window
from taperback.raceweek.wording import level_words


@dataclass(frozen=True)
class FileTimes:
    """How long a race's files last: from the first start to the last end, and the moving time.

    `typed_in` names the table where the race was typed as a session; empty where files hold it.
    """

    elapsed_s: float
    moving_s: float
    typed_in: str = ""

    @property
    def words(self) -> str:
        """How long it was, as a clause: the race's file lasts so long."""
        return f"{_holder(self.typed_in)} lasts {about(self.elapsed_s)}"

    def nearest(self, typed_s: float) -> float:
        """The time within what the files tell that lies nearest to a typed one."""
        return min(max(typed_s, self.moving_s), self.elapsed_s)

    def apart(self, typed_s: float, share: float) -> bool:
        """Whether a typed time differs from all that the files tell by more than this share."""
        nearest = self.nearest(typed_s)
        return abs(typed_s - nearest) > share * nearest


def file_times(window: Window) -> FileTimes | None:
    """How long the race's files last, its stages added up.

    None where a stage has no file, or a session was typed without its duration.
    """
    legs = window.race_day_legs
    stages = [legs.named(stage) for stage in window.stages]
    if not all(map(len, stages)) or np.isnan(legs["elapsed_s"]).any():
        return None
    elapsed = sum(
        (pd.Series(_ends(stage)).max() - min(stage["start_utc"])).total_seconds()
        for stage in stages
    )
    return FileTimes(elapsed, min(elapsed, 3600 * legs.total("hours")), _typed_in(legs))


def holder_of(legs: Legs) -> str:
    """What holds a race's legs, in words."""
    return _holder(_typed_in(legs))


def _holder(typed_in: str) -> str:
    return f"the race's session in {typed_in}" if typed_in else "the race's file"


def _typed_in(legs: Legs) -> str:
    return str(legs["file"][0]) if set(legs["file_format"]) == {FORMAT} else ""


def transition(window: Window) -> Measured:
    """Minutes between the sports of a race: transition legs, else the time between two legs."""
    name = "transition_min"
    legs = window.race_day_legs
    if not len(legs):
        return unknown(name, window.days["word"].iloc[-1], (window.day0,))
    if len(window.stages) > 1:
        return unknown(name, "the race has several stages", (window.day0,))
    if len(legs) > 1 and np.isnan(legs["elapsed_s"]).any():
        return unknown(name, "a session of the race has no duration", (window.day0,))
    parts = legs.where(legs["sport"] == "transition")
    if len(parts):
        seconds = parts.total("elapsed_s")
        basis = f"{number_of(len(parts), 'transition')} of the file"
    elif len(legs) > 1:
        pairs = zip(legs["start_utc"][1:], _ends(legs), strict=False)
        gaps = [(start - end) / pd.Timedelta(seconds=1) for start, end in pairs]
        seconds = total(np.clip(gaps, 0, None))
        basis = "time from one leg's end to the next start"
    else:
        return unknown(name, "the race is one leg", (window.day0,))
    return Measured(name, seconds / 60, basis=basis, days=(window.day0,), legs=legs.ids)


def race_facts(window: Window, row: Mapping[str, Any]) -> tuple[str, ...]:
    """Sentences about the race itself: its start, how long its files last, each leg's halves."""
    legs = window.race_day_legs
    if not len(legs):
        return (*_start(row), *_nearby(window, row))
    facts = [*_start(row)]
    times, typed = file_times(window), row["finish_time_s"]
    if times and (typed != typed or told_apart(times, typed)):
        says = f"says {clock(typed)}" if typed == typed else "has no finish time"
        whose = "its own row" if times.typed_in else "the journal"
        facts.append(f"{upper_first(times.words)}; {whose} {says}.")
    shortest_h = LIMITS.race_day.shortest_leg_min / 60
    long = legs.where((legs["hours"] >= shortest_h) & (legs["sport"] != "transition"))
    facts += [_halves(leg) for leg in long]
    return tuple(fact for fact in facts if fact)


def _start(row: Mapping[str, Any]) -> tuple[str, ...]:
    """When the race started and how long before that the last meal was, as far as typed."""
    start, meal_h = row["start_time"], row["breakfast_h"]
    at = f"{start:%H:%M}" if isinstance(start, time) else ""
    if meal_h != meal_h:
        return (f"The journal has the start at {at}.",) if at else ()
    when = f"the start at {at}" if at else "the start"
    return (f"The journal has the last meal {show('volume_h', meal_h)} before {when}.",)


def _nearby(window: Window, row: Mapping[str, Any]) -> tuple[str, ...]:
    """A multisport file of the race's sports next to the date, which may have been mistyped."""
    sports = set(row["sports"])
    if len(sports) < 2 or row["status"] in NOT_STARTED:
        return ()
    near = [
        leg
        for legs in (window.legs, window.after)
        for leg in legs
        if leg.days_to_race in (-1, 1) and leg.legs_in_file > 1
    ]
    files: dict[tuple[str, date], set[str]] = {}
    for leg in near:
        files.setdefault((leg.file, leg.local_day), set()).add(leg.sport)
    return tuple(
        f"{file} of {day} has the race's sports, and no file of {window.day0} does; check the date."
        for (file, day), held in sorted(files.items())
        if sports <= held
    )


def _ends(legs: Legs) -> list[pd.Timestamp]:
    """When each leg ended, in UTC; `NaT` where that is not known."""
    long = zip(legs["start_utc"], legs["elapsed_s"].tolist(), strict=True)
    return [start + pd.Timedelta(elapsed_s, unit="s") for start, elapsed_s in long]


def told_apart(times: FileTimes, typed_s: float) -> bool:
    """Whether a typed finish time and the whole length of the files are both worth telling."""
    share = LIMITS.race_day.times_apart_share
    return abs(times.elapsed_s - typed_s) > share * typed_s


_EVEN_PCT = 0.5
"""A smaller change between the halves is within what devices can tell apart."""

_PACES = (
    ("half_power_w", "power", ("more", "less")),
    ("half_speed_mps", "speed", ("faster", "slower")),
)


def _halves(leg: Leg) -> str:
    """One leg's second half against its first; empty where the file tells neither."""
    words = []
    for name, signal, ways in _PACES:
        first, second = (float(value) for value in getattr(leg, name))
        if first > 0 and second > 0:
            change = 100 * (second / first - 1)
            was, (now, unit) = (
                level_words(leg.sport, signal, first)[0],
                level_words(leg.sport, signal, second),
            )
            even = abs(change) < _EVEN_PCT
            said = "even" if even else f"{abs(change):.1f}% {ways[change < 0]}"
            words.append(f"{said} ({was}, then {now} {unit})")
            break
    first, second = (float(value) for value in leg.half_heart_rate_bpm)
    if first == first and second == second:
        beats = round(abs(second - first))
        way = "higher" if second >= first else "lower"
        words.append(f"heart rate {beats} bpm {way}" if beats else "the same heart rate")
    if not words:
        return ""
    sport = leg.sport.replace("_", " ").capitalize()
    length = show("volume_h", leg.hours)
    return f"{sport} of {length}, second half against first: {', '.join(words)}."
