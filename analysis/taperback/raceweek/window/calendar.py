"""Each race with the eight weeks before it: what is recorded, what is rest, what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from taperback.common.limits import LIMITS
from taperback.common.wording import number_of
from taperback.importer.model import Imported
from taperback.journal.columns import NOT_STARTED
from taperback.journal.model import Athlete, Journal, Period
from taperback.raceweek.window.counting import counted
from taperback.raceweek.window.days import Blocks, day_states, mark_blocks, nights_by_day
from taperback.raceweek.window.events import stages_of, with_events
from taperback.raceweek.window.race_day import find_race_legs, race_ids
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
    unless the journal says otherwise; `took_place` says that its row tells how it went, which no
    race to come can have.
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
    typed = journal.races.assign(race_id=race_ids(journal.races["date"]))
    legs_of = find_race_legs(imported.legs, typed)
    stages = [(row.date, legs_of[row.race_id]) for row in typed.itertuples()]
    everyone = tuple(
        _Race(
            race_id=typed["race_id"].iat[group[0]],
            name=row["name"] or f"race of {row['date'].isoformat()}",
            day=row["date"],
            row=row,
            stages=tuple(stages[place] for place in group),
            started=row["status"] not in NOT_STARTED,
            took_place=took_place(row),
        )
        for group, row in zip(
            stages_of(journal.races), with_events(journal.races).to_dict("records"), strict=True
        )
    )
    return tuple(_window(imported, journal, race, everyone) for race in everyone)


def took_place(row: Mapping[str, object]) -> bool:
    """Whether the journal says how a race went; `finished` is what an empty status is read as."""
    typed = any(pd.notna(row[name]) for name in ("finish_time_s", "place", "race_rpe"))
    return row["status"] not in NOT_STARTED and (typed or row["status"] != "finished")


def _window(
    imported: Imported, journal: Journal, race: _Race, everyone: tuple[_Race, ...]
) -> Window:
    periods = journal.athlete.periods
    half_year = [race.day + timedelta(days=k) for k in range(LIMITS.baseline.older_first_day, 1)]
    unseen = imported.unread_days | {
        day for day in imported.silent_days if not any(p.first <= day <= p.last for p in periods)
    }
    days = _days(race, half_year, imported.legs, periods, unseen, journal.athlete)
    recovered_from = _recovered_from(race, everyone)
    blocks = mark_blocks(days, periods, recovered_from)
    first_day = blocks[0].first
    span = half_year[first_day - LIMITS.baseline.older_first_day :]
    periods = tuple(p for p in periods if p.first <= span[-1] and p.last >= span[0])
    others = _others(race, everyone)
    legs = _legs(imported.legs, race, everyone, journal.athlete, first_day)
    return Window(
        race_id=race.race_id,
        name=race.name,
        day0=race.day,
        race={name: value for name, value in race.row.items() if name not in OUTCOME_COLUMNS},
        athlete=journal.athlete,
        legs=_with_block(legs[legs["days_to_race"] <= 0], blocks),
        after=legs[legs["days_to_race"] > 0].reset_index(drop=True),
        days=days[days["days_to_race"] >= first_day].reset_index(drop=True),
        nights=nights_by_day(span, journal.nights, imported.nights),
        trips=journal.trips,
        blocks=blocks,
        others=others,
        periods=periods,
        race_legs=race.legs,
        stages=tuple(legs for _, legs in race.stages),
        lost_to=_lost_to(blocks, days, periods, recovered_from),
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


def _days(
    race: _Race,
    span: list[date],
    legs: pd.DataFrame,
    periods: tuple[Period, ...],
    unseen: frozenset[date],
    athlete: Athlete,
) -> pd.DataFrame:
    """One row a day, as `Window.days` has them; the race's files count for its own date only."""
    elsewhere = legs[~legs["leg_id"].isin(race.legs)]
    recorded = set(elsewhere["local_day"]) | ({race.day} if race.legs else set())
    days = day_states(span, recorded, periods, took_place=race.took_place)
    blind = days["day"].isin(unseen) & (days["state"] == "rest")
    _mark_open_hours(days, elsewhere, athlete)
    days.loc[blind, ["state", "word"]] = (
        "unknown",
        "a file of that day could not be read or dated",
    )
    if not race.legs:
        word = "no file of the race was found" if race.started else "the race was not started"
        days.loc[days["days_to_race"] == 0, ["state", "word"]] = ("unknown", word)
    return days


def _mark_open_hours(days: pd.DataFrame, legs: pd.DataFrame, athlete: Athlete) -> None:
    """Marks days as partial that hold a session of unknown length, in place."""
    open_legs = legs[legs["moving_s"].isna() & legs["elapsed_s"].isna()]
    open_legs = open_legs[counted(open_legs, athlete.counted)]
    for day, of_day in open_legs.groupby("local_day"):
        sport, file = of_day["sport"].iloc[0].replace("_", " "), of_day["file"].iloc[0]
        word = f"how long the {sport} of {day} took is not typed in {file}"
        days.loc[(days["day"] == day) & ~days["partial"], ["partial", "word"]] = (True, word)


def _recovered_from(race: _Race, everyone: tuple[_Race, ...]) -> list[tuple[date, str]]:
    """(day, name) of each day of the other races that leave recovery; a tune-up leaves none."""
    return [
        (day, other.name)
        for other in everyone
        if other.race_id != race.race_id and other.started and other.row["aim"] != "tune-up"
        for day, _ in other.stages
    ]


def _others(race: _Race, everyone: tuple[_Race, ...]) -> tuple[OtherRace, ...]:
    """The other races within eight weeks before or after, days counted from this race."""
    others = (other.seen_from(race.day) for other in everyone if other.race_id != race.race_id)
    return tuple(other for other in others if abs(other.days_to_race) <= -FIRST_DAY)


def _legs(
    legs: pd.DataFrame,
    race: _Race,
    everyone: tuple[_Race, ...],
    athlete: Athlete,
    first_day: int,
) -> pd.DataFrame:
    """Legs from that day to four weeks after, with the columns that `Window.legs` adds."""
    first, last = race.day + timedelta(days=first_day), race.day + timedelta(days=LAST_DAY)
    of_race = legs["leg_id"].isin(race.legs)
    near = legs[((legs["local_day"] >= first) & (legs["local_day"] <= last)) | of_race].copy()
    near["days_to_race"] = [(day - race.day).days for day in near["local_day"]]
    # a race that ran past midnight stays together on its own day
    near.loc[near["leg_id"].isin(race.legs), "days_to_race"] = 0
    other_legs = {leg for other in everyone for leg in other.legs} - set(race.legs)
    near["role"] = "training"
    near.loc[near["days_to_race"] == 0, "role"] = "race_day"
    near.loc[near["leg_id"].isin(other_legs), "role"] = "other_race"
    near.loc[near["leg_id"].isin(race.legs), "role"] = "race"
    near["session"] = [digest[:10] for digest in near["digest"]]
    near["hours"] = near["moving_s"].fillna(near["elapsed_s"]).astype(float) / 3600
    near["days_to_race"] = near["days_to_race"].astype(int)
    if "typed_hard_min" not in near:
        near["typed_hard_min"] = float("nan")
    near["counts"] = (near["role"] != "race") & counted(near, athlete.counted)
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
    when = f"{number_of(days, 'day')} before this race" if days else "on the same day"
    words = f"{name} was {when}"
    if blocks[0].first <= blocks[-1].last - days:
        words += "; the two share part of their baseline"
    if 0 < days <= -RACE_WEEK[0]:
        words += "; its hours count as training of this race week"
    return f"{words}."


def _facts(
    race: _Race, others: tuple[OtherRace, ...], blocks: Blocks, periods: tuple[Period, ...]
) -> tuple[str, ...]:
    """What the calendar has to say: shared baselines, races close by, weeks left out."""
    facts = [
        _earlier_race(other.name, -other.days_to_race, blocks)
        for other in others
        if other.days_to_race <= 0 and other.started
    ]
    facts += [
        f"The week of {span_name(block.first, block.last)} is not part of the baseline: "
        f"{block.reason}."
        for block in blocks
        if not block.usable
    ]
    taper_from = race.day + timedelta(days=-14)
    facts += [
        f"The journal says {period.words} from {period.first} to {period.last}."
        for period in periods
        if period.last >= taper_from
    ]
    return tuple(facts)
