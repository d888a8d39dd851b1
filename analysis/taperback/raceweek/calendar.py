"""Each race with the eight weeks before it: what is recorded, what is rest, what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from taperback.importer.model import Imported
from taperback.journal.model import Athlete, Journal, Period
from taperback.raceweek.days import Blocks, day_states, mark_blocks, nights_by_day
from taperback.raceweek.race_day import find_race_legs, race_ids
from taperback.raceweek.wording import span_name
from taperback.resources import shared_toml

FIRST_DAY = -56
RACE_WEEK = (-7, -1)
"""Days of the race week, first and last included."""

OUTCOME_COLUMNS = (
    "finish_time_s",
    "expected_time_s",
    "reference_time_s",
    "reference",
    "place",
    "field_size",
    "race_rpe",
    "status",
    "leave_out",
    "notes",
)
"""Columns of the journal's races that a factor must not see."""


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
        race: the race's row of the journal without `OUTCOME_COLUMNS`.
        athlete: the athlete.
        legs: legs of days -56..0, columns `PLACED_COLUMNS`, `days_to_race`, `role`, `session`,
            `hours`, `counts` and `block`; in order of start. `role` is `race`, `other_race`,
            `race_day` (warm-up and whatever else day 0 holds) or `training`; legs of one activity
            file share a `session`; `hours` is moving time, or elapsed time where the file does not
            tell it; `counts` says whether it is training, which the race and transitions are not;
            `block` is the place of the usable baseline week it lies in, else -1.
        after: legs of the four weeks after the race, same columns; only a home is told from them.
        days: one row a day -56..0: `day`, `days_to_race`, `state` (`recorded`, `rest` or
            `unknown`) and `word`, why it is what it is.
        nights: one row a day -56..0: `day`, `days_to_race`, `sleep_h`, `quality`, `source`
            (`journal`, `file` or empty), `file_sleep_h` and `file`.
        trips: all trips of the journal.
        blocks: the six blocks of the baseline, each usable or not.
        others: the athlete's other races that lie within eight weeks of this one.
        periods: stretches the athlete explains that touch the window.
        race_legs: ids of the legs that are the race.
        facts: sentences about the calendar that a reader of the measures should know.
    """

    race_id: str
    name: str
    day0: date
    race: Mapping[str, object]
    athlete: Athlete
    legs: pd.DataFrame
    after: pd.DataFrame
    days: pd.DataFrame
    nights: pd.DataFrame
    trips: pd.DataFrame
    blocks: Blocks
    others: tuple[OtherRace, ...]
    periods: tuple[Period, ...]
    race_legs: tuple[str, ...]
    facts: tuple[str, ...] = ()

    def day(self, days_to_race: int) -> date:
        """The local date of a day counted from the race."""
        return self.day0 + timedelta(days=days_to_race)

    def span(self, first: int, last: int) -> tuple[date, ...]:
        """The local dates from `first` to `last`, both included."""
        return tuple(self.day(k) for k in range(first, last + 1))

    def training(self, first: int, last: int) -> pd.DataFrame:
        """Legs of those days that count as training: the race itself and transitions are out."""
        return self.legs[self.legs["counts"] & self.legs["days_to_race"].between(first, last)]

    def baseline(self) -> pd.DataFrame:
        """Training legs of the usable blocks; their `block` is 0 for the earliest of all six."""
        return self.legs[self.legs["counts"] & (self.legs["block"] >= 0)]

    def baseline_days(self) -> tuple[date, ...]:
        """The local dates of the usable blocks, in order."""
        blocks = [block for block in self.blocks if block.usable]
        return tuple(day for block in blocks for day in self.span(block.first, block.last))

    def why_no_baseline(self) -> str:
        """Why the measures that need a baseline are unknown; empty where there is one."""
        needed = shared_toml("limits.toml")["baseline"]["fewest_blocks"]
        usable = sum(block.usable for block in self.blocks)
        if usable >= needed:
            return ""
        reasons = dict.fromkeys(block.reason for block in self.blocks if not block.usable)
        return (
            f"only {usable} of {len(self.blocks)} baseline weeks can be used and {needed} are "
            f"needed: {'; '.join(reasons)}"
        )

    def why_unknown(self, first: int, last: int) -> str:
        """Why training on those days is not known in full; empty where it is."""
        days = self.days[self.days["days_to_race"].between(first, last)]
        missing = days[days["state"] == "unknown"]
        if not len(missing):
            return next((word for word in days["word"] if word.startswith("records")), "")
        words = "; ".join(dict.fromkeys(missing["word"]))
        return f"{len(missing)} of {len(days)} days are not known: {words}"


def windows(imported: Imported, journal: Journal) -> tuple[Window, ...]:
    """One window per race of the journal, in order of date; races without any file have one too."""
    races = journal.races.assign(race_id=race_ids(journal.races["date"]))
    race_legs = find_race_legs(imported.legs, races)
    everyone = tuple(
        OtherRace(
            race.race_id,
            race.name or f"race of {race.date.isoformat()}",
            race.date,
            0,
            race_legs[race.race_id],
            race.status != "dns",
        )
        for race in races.itertuples()
    )
    return tuple(
        _window(imported, journal, row, this, everyone)
        for row, this in zip(races.to_dict("records"), everyone, strict=True)
    )


def _window(
    imported: Imported,
    journal: Journal,
    row: dict,
    this: OtherRace,
    everyone: tuple[OtherRace, ...],
) -> Window:
    day0 = this.day
    others = _others(this, everyone)
    periods = tuple(
        period
        for period in journal.athlete.periods
        if period.first <= day0 and period.last >= day0 + timedelta(days=FIRST_DAY)
    )
    span = [day0 + timedelta(days=k) for k in range(FIRST_DAY, 1)]
    legs = _legs(imported.legs, this, everyone)
    days = day_states(span, _recorded(imported.legs, this), periods)
    if not this.legs:
        word = "no file of the race was found" if this.started else "the race was not started"
        days.loc[days["days_to_race"] == 0, ["state", "word"]] = ("unknown", word)
    earlier = [(race.day, race.name) for race in others if race.started]
    blocks = mark_blocks(days, periods, earlier)
    return Window(
        race_id=this.race_id,
        name=this.name,
        day0=day0,
        race={name: value for name, value in row.items() if name not in OUTCOME_COLUMNS},
        athlete=journal.athlete,
        legs=_with_block(legs[legs["days_to_race"] <= 0], blocks),
        after=legs[legs["days_to_race"] > 0].reset_index(drop=True),
        days=days,
        nights=nights_by_day(span, journal.nights, imported.nights),
        trips=journal.trips,
        blocks=blocks,
        others=others,
        periods=periods,
        race_legs=this.legs,
        facts=_facts(this, others, blocks, periods),
    )


def _recorded(legs: pd.DataFrame, this: OtherRace) -> set[date]:
    """Local days with a file; the race counts for its own date only."""
    elsewhere = legs[~legs["leg_id"].isin(this.legs)]
    return set(elsewhere["local_day"]) | ({this.day} if this.legs else set())


def _others(this: OtherRace, everyone: tuple[OtherRace, ...]) -> tuple[OtherRace, ...]:
    """The other races within eight weeks before or after, days counted from this race."""
    return tuple(
        OtherRace(
            race.race_id,
            race.name,
            race.day,
            (race.day - this.day).days,
            race.legs,
            race.started,
        )
        for race in everyone
        if race.race_id != this.race_id and abs((race.day - this.day).days) <= -FIRST_DAY
    )


def _legs(legs: pd.DataFrame, this: OtherRace, everyone: tuple[OtherRace, ...]) -> pd.DataFrame:
    """Legs from day -56 to four weeks after, with the columns that `Window.legs` adds."""
    first, last = this.day + timedelta(days=FIRST_DAY), this.day + timedelta(days=28)
    of_race = legs["leg_id"].isin(this.legs)
    near = legs[((legs["local_day"] >= first) & (legs["local_day"] <= last)) | of_race].copy()
    near["days_to_race"] = [(day - this.day).days for day in near["local_day"]]
    # a race that ran past midnight stays together on its own day
    near.loc[near["leg_id"].isin(this.legs), "days_to_race"] = 0
    other_legs = {leg for race in everyone for leg in race.legs} - set(this.legs)
    near["role"] = "training"
    near.loc[near["days_to_race"] == 0, "role"] = "race_day"
    near.loc[near["leg_id"].isin(other_legs), "role"] = "other_race"
    near.loc[near["leg_id"].isin(this.legs), "role"] = "race"
    near["session"] = [digest[:10] for digest in near["digest"]]
    near["hours"] = near["moving_s"].fillna(near["elapsed_s"]).astype(float) / 3600
    near["days_to_race"] = near["days_to_race"].astype(int)
    near["counts"] = (near["role"] != "race") & (near["sport"] != "transition")
    return near.sort_values(["start_utc", "leg_id"], ignore_index=True)


def _with_block(legs: pd.DataFrame, blocks: Blocks) -> pd.DataFrame:
    """The legs with the place of the usable baseline week that each lies in."""
    place = {
        day: place
        for place, block in enumerate(blocks)
        if block.usable
        for day in range(block.first, block.last + 1)
    }
    days = legs["days_to_race"]
    return legs.assign(block=[place.get(day, -1) for day in days]).reset_index(drop=True)


def _earlier_race(name: str, days: int, blocks: Blocks) -> str:
    """What a race so many days before this one means for it."""
    words = f"{name} was {days} days before this race" if days else f"{name} was on the same day"
    if blocks[0].first <= blocks[-1].last - days:
        words += "; the two share part of their baseline"
    if 0 < days <= -RACE_WEEK[0]:
        words += "; its hours count as training of this race week"
    return f"{words}."


def _facts(
    this: OtherRace,
    others: tuple[OtherRace, ...],
    blocks: Blocks,
    periods: tuple[Period, ...],
) -> tuple[str, ...]:
    """What the calendar has to say: shared baselines, races close by, weeks left out."""
    facts = []
    for race in others:
        if race.days_to_race > 0 or not race.started:
            continue
        facts.append(_earlier_race(race.name, -race.days_to_race, blocks))
    facts += [
        f"The week of {span_name(block.first, block.last)} is not part of the baseline: "
        f"{block.reason}."
        for block in blocks
        if not block.usable
    ]
    near = this.day + timedelta(days=-14)
    facts += [
        f"The journal says {period.kind} from {period.first} to {period.last}."
        for period in periods
        if period.last >= near
    ]
    return tuple(facts)
