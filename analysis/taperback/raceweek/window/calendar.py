"""Each race with the eight weeks before it: what is recorded, what is rest, what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.wording import listing, number_of
from taperback.importer.model import Imported
from taperback.journal.columns import NOT_STARTED
from taperback.journal.model import Journal, Period
from taperback.journal.proposed import DOUBTFUL
from taperback.raceweek.legs import Legs
from taperback.raceweek.window.days import Block, Blocks, day_states, mark_blocks
from taperback.raceweek.window.events import stages_of, with_events
from taperback.raceweek.window.race_day import find_race_legs, race_ids
from taperback.raceweek.window.records import Records, records_of
from taperback.raceweek.window.window import FIRST_DAY, RACE_WEEK, OtherRace, Window
from taperback.raceweek.wording import span_name

LAST_DAY = 28
"""Four weeks after a race show whether the athlete went home from it."""

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
class _Race:
    """One race of the journal: its name, first day, row and stages, and whether it was started.

    A stage is a day with its legs; a race that is no event has one. Every race counts as started
    unless the journal says otherwise, or nobody has confirmed that it was one. `took_place` says
    that its row tells how it went, which no race to come can have.
    """

    race_id: str
    name: str
    day: date
    row: Mapping[str, object]
    stages: tuple[tuple[date, tuple[str, ...]], ...]
    started: bool
    took_place: bool

    @property
    def legs(self) -> tuple[str, ...]:
        """The legs of all its stages."""
        return tuple(leg for _, legs in self.stages for leg in legs)

    def seen_from(self, day0: date) -> OtherRace:
        """The same race, its days counted from another race."""
        away = (self.day - day0).days
        return OtherRace(self.race_id, self.name, self.day, away, self.legs, self.started)


def windows(imported: Imported, journal: Journal) -> tuple[Window, ...]:
    """One window per race of the journal, in order of date; races without any file have one too."""
    records = records_of(imported, journal)
    typed = journal.races.assign(race_id=race_ids(journal.races["date"]))
    legs_of = find_race_legs(records.legs, typed)
    stages = [(row.date, legs_of[row.race_id]) for row in typed.itertuples()]
    everyone = tuple(
        _Race(
            race_id=typed["race_id"].iat[group[0]],
            name=row["name"] or f"race of {row['date'].isoformat()}",
            day=row["date"],
            row=row,
            stages=tuple(stages[place] for place in group),
            started=row["status"] not in NOT_STARTED and row["leave_out"] != DOUBTFUL,
            took_place=took_place(row),
        )
        for group, row in zip(
            stages_of(journal.races), with_events(journal.races).to_dict("records"), strict=True
        )
    )
    return tuple(_window(records, journal, race, everyone) for race in everyone)


def took_place(row: Mapping[str, object]) -> bool:
    """Whether the journal says how a race went; `finished` is what an empty status is read as."""
    typed = any(pd.notna(row[name]) for name in ("finish_time_s", "place", "race_rpe"))
    return row["status"] not in NOT_STARTED and (typed or row["status"] != "finished")


def _window(records: Records, journal: Journal, race: _Race, everyone: tuple[_Race, ...]) -> Window:
    half_year = _days(race, records, journal.athlete.periods)
    recovered_from = [
        (day, other.name)
        for other in everyone
        if other.race_id != race.race_id and other.started and other.row["aim"] != "tune-up"
        for day, _ in other.stages
    ]
    blocks = mark_blocks(half_year, journal.athlete.periods, recovered_from)
    first_day = blocks[0].first
    days = half_year[half_year["days_to_race"] >= first_day].reset_index(drop=True)
    begins = race.day + timedelta(days=first_day)
    periods = tuple(p for p in journal.athlete.periods if p.first <= race.day and p.last >= begins)
    seen = (other.seen_from(race.day) for other in everyone if other.race_id != race.race_id)
    others = tuple(other for other in seen if abs(other.days_to_race) <= -FIRST_DAY)
    legs = _legs(records, race, everyone, blocks)
    before = legs["days_to_race"] <= 0
    return Window(
        race_id=race.race_id,
        name=race.name,
        day0=race.day,
        race={name: value for name, value in race.row.items() if name not in OUTCOME_COLUMNS},
        athlete=journal.athlete,
        legs=legs.where(before).apart(),
        after=legs.where(~before),
        days=days,
        nights=records.nights_on(days["day"].tolist()),
        trips=journal.trips,
        no_trips=journal.no_trips,
        blocks=blocks,
        others=others,
        periods=periods,
        race_legs=race.legs,
        stages=tuple(legs for _, legs in race.stages),
        lost_to=_lost_to(blocks, half_year, periods, recovered_from),
        facts=_facts(race, others, blocks, periods),
        diary=journal.days,
    )


def _lost_to(
    blocks: Blocks, days: pd.DataFrame, periods: tuple[Period, ...], races: list[tuple[date, str]]
) -> tuple[str, ...]:
    """The races without which there were usual weeks enough; none where there are, or were not."""
    needed = LIMITS.baseline.fewest_blocks
    if sum(block.usable for block in blocks) >= needed:
        return ()
    if sum(block.usable for block in mark_blocks(days, periods, [])) < needed:
        return ()
    span = set(days["day"])
    return tuple(dict.fromkeys(name for day, name in races if day in span))


def _days(race: _Race, records: Records, periods: tuple[Period, ...]) -> pd.DataFrame:
    """One row a day, as `Window.days` has them, of the half year before the race."""
    span = [race.day + timedelta(days=k) for k in range(LIMITS.baseline.older_first_day, 1)]
    recorded = records.recorded_around(span[0], race.day, race.legs)
    days = day_states(span, recorded, periods, took_place=race.took_place)
    blind = days["day"].isin(records.unseen) & (days["state"] == "rest")
    for day, word in records.open_hours(race.legs).items():
        days.loc[(days["day"] == day) & ~days["partial"], ["partial", "word"]] = (True, word)
    if blind.any():
        words = ("unknown", "a file of that day could not be read or dated")
        days.loc[blind, ["state", "word"]] = words
    if not race.legs:
        word = "no file of the race was found" if race.started else "the race was not started"
        days.loc[days["days_to_race"] == 0, ["state", "word"]] = ("unknown", word)
    return days


def _legs(records: Records, race: _Race, everyone: tuple[_Race, ...], blocks: Blocks) -> Legs:
    """Legs from the first block to four weeks after, with the columns that `Window.legs` adds."""
    first, last = race.day + timedelta(days=blocks[0].first), race.day + timedelta(days=LAST_DAY)
    near = records.legs_between(first, last, race.legs)
    own = near.among("leg_id", race.legs)
    # a race that ran past midnight stays together on its own day
    days = np.where(own, 0, near["ordinal"] - race.day.toordinal())
    role = np.where(days == 0, "race_day", "training").astype(object)
    raced = {leg for other in everyone if other.started for leg in other.legs}
    role[near.among("leg_id", raced)] = "other_race"
    role[own] = "race"
    place = {
        day: place
        for place, block in enumerate(blocks)
        if block.usable
        for day in range(block.first, block.last + 1)
    }
    return near.with_columns(
        days_to_race=days,
        role=role,
        counts=near["counted"] & ~own,
        block=[place.get(day, -1) for day in days.tolist()],
    )


def _weeks_left_out(blocks: Blocks) -> list[str]:
    """Which weeks are no usual ones, those of one reason in one sentence."""
    by_reason: dict[str, list[Block]] = {}
    for block in blocks:
        if not block.usable:
            by_reason.setdefault(block.reason, []).append(block)
    facts = []
    for first, *more in by_reason.values():
        weeks = [span_name(block.first, block.last) for block in (first, *more)]
        of, why = ("weeks", "each") if more else ("week", "it")
        verb = "are" if more else "is"
        facts.append(
            f"The {of} of {listing(weeks)} {verb} not part of the baseline: {first.why_not(why)}."
        )
    return facts


def _facts(
    race: _Race, others: tuple[OtherRace, ...], blocks: Blocks, periods: tuple[Period, ...]
) -> tuple[str, ...]:
    """What the calendar has to say: shared baselines, races close by, weeks left out."""
    facts = []
    for other in others:
        days = -other.days_to_race
        if days < 0 or not other.started:
            continue
        when = f"{number_of(days, 'day')} before this race" if days else "on the same day"
        words = f"{other.name} was {when}"
        if blocks[0].first <= blocks[-1].last - days:
            words += "; the two share part of their baseline"
        if 0 < days <= -RACE_WEEK[0]:
            words += "; its hours count as training of this race week"
        facts.append(f"{words}.")
    facts += _weeks_left_out(blocks)
    taper_from = race.day + timedelta(days=-14)
    facts += [
        f"The journal says {period.words} from {period.first} to {period.last}."
        for period in periods
        if period.last >= taper_from
    ]
    return tuple(facts)
