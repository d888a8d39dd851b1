"""One race and the eight weeks before it, as a value that every factor is measured from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property, partial

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.importer.sports import SPORT_TABLE
from taperback.journal.model import DAY_COLUMNS as DIARY_COLUMNS
from taperback.journal.model import Athlete, Period, empty
from taperback.raceweek.legs import Legs, median
from taperback.raceweek.window.counting import TRANSITION
from taperback.raceweek.window.days import Blocks

FIRST_DAY = -56
"""Day on which the six usual weeks begin; `Window.first_day` is earlier where older weeks count."""
RACE_WEEK = (-7, -1)
"""Days of the race week, first and last included."""


def baseline_days() -> tuple[int, int]:
    """Days of the usual weeks that a race week is measured against, first and last included."""
    limits = LIMITS.baseline
    return limits.first_day, limits.last_day


@dataclass(frozen=True)
class Night:
    """The night that ended on a day.

    Attributes:
        day, days_to_race: the day.
        sleep_h: hours slept; NaN where nothing tells.
        source: who tells: `journal`, `file` or empty.
        file_sleep_h: what a file tells, used or not; NaN where none does.
    """

    day: date
    days_to_race: int
    sleep_h: float
    source: str
    file_sleep_h: float

    @property
    def known(self) -> bool:
        """Whether anything tells."""
        return self.sleep_h == self.sleep_h


@dataclass(frozen=True)
class OtherRace:
    """Another race of the same athlete, seen from this one."""

    race_id: str
    name: str
    day: date
    days_to_race: int
    legs: tuple[str, ...]
    started: bool


@dataclass(frozen=True)
class Window:
    """One race and all that is known of the eight weeks before it; every factor takes it alone.

    Attributes:
        race_id, name, day0: the race and its local date.
        race: the race's row of the journal without how it went.
        athlete: the athlete.
        legs: legs of days `first_day`..0, columns `PLACED_COLUMNS`, `typed_hard_min`,
            `days_to_race`, `role`, `session`, `hours`, `counts` and `block`; in order of start.
            `role` is `race`, `other_race`, `race_day` (warm-up and whatever else day 0 holds) or
            `training`; legs of one activity file share a `session`; `hours` is moving time, or
            elapsed time where the file does not tell it; `counts` says whether it is training,
            which the race and transitions are not; `block` is the place of the usable baseline
            week it lies in, else -1.
        after: legs of the four weeks after the race, same columns; only a home is taken from them.
        days: one row a day `first_day`..0: `day`, `days_to_race`, `state` (`recorded`, `rest` or
            `unknown`), `word`, why it is what it is, and `partial`, whether the journal says that
            records of a recorded day are missing.
        nights: the night that ended on each of these days.
        trips: all trips of the journal; no_trips: whether it says that there were none.
        blocks: the six blocks of the baseline, each usable or not, with older ones before them
            where too few of the six are usable.
        others: the athlete's other races that lie within eight weeks of this one.
        periods: stretches the athlete explains that touch the window.
        race_legs: ids of the legs that are the race.
        stages: the same for each stage of an event; a race that is none is one stage.
        lost_to: names of the earlier races that leave too few usual weeks, which would suffice if
            these had been trained through.
        facts: sentences about the calendar that a reader of the measures should know.
        diary: the journal's diary of all days, columns `journal.model.DAY_COLUMNS`.
    """

    race_id: str
    name: str
    day0: date
    race: Mapping[str, object]
    athlete: Athlete
    legs: Legs
    after: Legs
    days: pd.DataFrame
    nights: tuple[Night, ...]
    trips: pd.DataFrame
    blocks: Blocks
    others: tuple[OtherRace, ...]
    periods: tuple[Period, ...]
    race_legs: tuple[str, ...]
    stages: tuple[tuple[str, ...], ...]
    lost_to: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    diary: pd.DataFrame = field(default_factory=partial(empty, DIARY_COLUMNS))
    no_trips: bool = False

    @property
    def first_day(self) -> int:
        """The first day of the window, counted from the race."""
        return self.blocks[0].first

    @cached_property
    def older_weeks(self) -> int:
        """How many usable weeks lie before the six that a baseline should be made of."""
        return sum(block.usable and block.first < FIRST_DAY for block in self.blocks)

    @cached_property
    def empty_weeks(self) -> int:
        """How many usable weeks have no training at all, so that the usual week is in doubt."""
        return list(self.weekly_sums(self.baseline, "hours").values()).count(0)

    @property
    def tune_up(self) -> bool:
        """Whether the race was trained through, so that nothing before it is a panic."""
        return self.race["aim"] == "tune-up"

    def day(self, days_to_race: int) -> date:
        """The local date of a day counted from the race."""
        return self.day0 + timedelta(days=days_to_race)

    def span(self, first: int, last: int) -> tuple[date, ...]:
        """The local dates from `first` to `last`, both included."""
        return tuple(self.day(k) for k in range(first, last + 1))

    def training(self, first: int, last: int) -> Legs:
        """Legs of those days that count as training: the race itself and transitions are out."""
        return self._training.between(first, last)

    @cached_property
    def _training(self) -> Legs:
        return self.legs.where(self.legs["counts"])

    def besides(self, first: int, last: int) -> Legs:
        """Legs of those days that are neither training, nor the race, nor a transition."""
        legs = self.legs
        out = legs["counts"] | (legs["role"] == "race") | (legs["sport"] == TRANSITION)
        return legs.where(~out).between(first, last)

    def on_feet(self) -> Legs:
        """Legs of walking and hiking, whether they count as training or not; no race is one."""
        of_sport = self.legs.among("sport", SPORT_TABLE.on_feet)
        return self.legs.where(of_sport & ~self.legs.among("role", ("race", "other_race")))

    @cached_property
    def race_day_legs(self) -> Legs:
        """The legs that are the race."""
        return self.legs.named(self.race_legs)

    @cached_property
    def baseline(self) -> Legs:
        """Training legs of the usable blocks; their `block` is 0 for the earliest of all six."""
        return self._training.where(self._training["block"] >= 0)

    def weekly_sums(self, legs: Legs, column: str) -> dict[int, float]:
        """Sum of a column for each usable week of the baseline by its block, 0 without a leg."""
        sums = legs.totals("block", column)
        return {
            place: sums.get(place, 0.0) for place, block in enumerate(self.blocks) if block.usable
        }

    def usual(self, legs: Legs, column: str) -> float:
        """The median of `weekly_sums`; NaN where no week is usable."""
        return median(self.weekly_sums(legs, column).values())

    @cached_property
    def baseline_days(self) -> tuple[date, ...]:
        """The local dates of the usable blocks, in order."""
        blocks = [block for block in self.blocks if block.usable]
        return tuple(day for block in blocks for day in self.span(block.first, block.last))

    @cached_property
    def why_no_baseline(self) -> str:
        """Why the measures that need a baseline are unknown; empty where there is one."""
        needed = LIMITS.baseline.fewest_blocks
        usable = sum(block.usable for block in self.blocks)
        if usable >= needed:
            return ""
        reasons = dict.fromkeys(block.why_not("one") for block in self.blocks if not block.usable)
        return (
            f"only {usable} of {len(self.blocks)} baseline weeks can be used and {needed} are "
            f"needed: {'; '.join(reasons)}"
        )

    def why_unknown(self, first: int, last: int) -> str:
        """Why training on those days is not known in full; empty where it is."""
        days = [day for day in self.states if first <= day[0] <= last]
        missing = [word for _, state, _, word in days if state == "unknown"]
        if not missing:
            return next((word for _, _, partial, word in days if partial), "")
        words = "; ".join(dict.fromkeys(missing))
        return f"{len(missing)} of {len(days)} days are not known: {words}"

    @cached_property
    def states(self) -> list[tuple[int, str, bool, str]]:
        """Days to the race, state, partial and word of each day, which many measures ask for."""
        columns = (self.days[name] for name in ("days_to_race", "state", "partial", "word"))
        return list(zip(*columns, strict=True))
