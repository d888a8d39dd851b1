"""The races ahead: which races of the journal nothing is recorded of yet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from taperback.journal.model import Journal
from taperback.raceweek.window.calendar import took_place
from taperback.raceweek.window.events import stages_of, with_events
from taperback.raceweek.window.race_day import race_ids


@dataclass(frozen=True)
class RaceAhead:
    """A race ahead; its week is no race week to look back on.

    Attributes:
        race_id, name, day0: as a `RaceWeek` has them.
        race: its row of the journal, by column name; that of an event is made of its stages.
        last_day: the last recorded day. days_to_go: days from then to the race.
        rows: the lines of the file that hold it.
    """

    race_id: str
    name: str
    day0: date
    race: Mapping[str, object]
    last_day: date
    days_to_go: int
    rows: tuple[int, ...]

    def day_before(self, days: int) -> date:
        """The date so many days before the race."""
        return self.day0 - timedelta(days=days)

    @property
    def raced_for(self) -> bool:
        """Whether it will be raced for a result: no tune-up, not cancelled, not left out."""
        race = self.race
        finished = race["status"] == "finished"  # what an empty cell is read as
        return finished and race["aim"] != "tune-up" and not race["leave_out"]


def is_ahead(race: Mapping[str, object], last_day: date | None) -> bool:
    """Whether a race is still to come: after the last recorded day, and nothing says how it went.

    The clock is the records' and not today's, so that the same folder gives the same answer.

    Args:
        race: a row of the journal's races; of an event, its first day's.
        last_day: the last day of which a session is recorded; without any, no race is ahead.
    """
    day = race["date"]
    return (
        last_day is not None and isinstance(day, date) and day > last_day and not took_place(race)
    )


def part_ahead(journal: Journal, last_day: date | None) -> tuple[Journal, tuple[RaceAhead, ...]]:
    """The journal with only the races to look back on, and the races ahead in order of date."""
    races = journal.races
    ids = race_ids(races["date"])
    ahead: list[RaceAhead] = []
    out: list[int] = []
    rows = with_events(races).to_dict("records")
    for group, row in zip(stages_of(races), rows, strict=True):
        if last_day is None or not is_ahead(row, last_day):
            continue
        out += group
        ahead.append(
            RaceAhead(
                race_id=ids[group[0]],
                name=row["name"] or f"race of {row['date'].isoformat()}",
                day0=row["date"],
                race=row,
                last_day=last_day,
                days_to_go=(row["date"] - last_day).days,
                rows=tuple(int(races["row"].iat[place]) for place in group),
            )
        )
    if not ahead:
        return journal, ()
    past = races.drop(index=races.index[out]).reset_index(drop=True)
    return replace(journal, races=past), tuple(ahead)


def next_race(ahead: Sequence[RaceAhead]) -> RaceAhead | None:
    """The race to prepare for: the first one ahead that is raced for; None where there is none."""
    return next((race for race in ahead if race.raced_for), None)
